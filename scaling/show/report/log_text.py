"""What the build log says, as data: short enough to paste into a thread, long enough to be argued with."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scaling.decide.feel import felt
from scaling.decide.risks import Risk
from scaling.decide.shopping import shopping
from scaling.decide.verdict import Judged
from scaling.decide.verdicts import cautions, factor_source
from scaling.files.version import VERSION
from scaling.formulas import book
from scaling.show.report.answer import Answer
from scaling.show.report.page import risk_line
from scaling.show.report.pictures import BEHIND, OTHER, TOP, Picture, Placed
from scaling.show.report.repeat import command_of
from scaling.show.report.sheet import Sheet, Shown, of_port, sheet_of
from scaling.show.report.title_block import subject, with_unit
from scaling.show.table import cell_text
from scaling.show.tables.freed import changes_table
from scaling.study.drifts import is_against, judged
from scaling.study.results import Port, Study

PICTURES, OTHERS, DRAWN, CHANGED, RISKS, DOUBTS, ESTIMATES = 3, 2, 3, 7, 3, 1, 3
"""How many stand in the log: pictures, other ports, changes drawn and in all, risks, doubts, estimates."""

NUMBERS = (
    "rotor_speed", "tip_speed", "rotor_energy", "spin_up_time", "top_speed", "half_turn_time", "gyro_margin",
    "rush_margin", "throw_height", "arena_crossing_time", "drive_push_margin",
)  # fmt: skip
"""Quantities of the table, beside factor, length and mass."""

ROWS = 9
LONGEST, ALT, VERDICT = 28, 24, 36
"""Words of a line, of a picture's, and of the verdict: what is longer, with a stranger's names in it, is cut."""

FOUND = re.compile(r"(.*?: .*?)\. [A-Z]", re.DOTALL)
"""A first sentence that names the robot, whose name may have stops in it, before a colon."""


@dataclass(frozen=True)
class Log:
    """Everything that the build log says."""

    title: str
    verdict: str
    why: tuple[str, ...]
    numbers: Sheet
    pictures: tuple[Picture, ...]
    changed: tuple[str, ...]
    unproven: tuple[str, ...]
    care: str
    command: str
    version: str


def log_of(answer: Answer, pictures: Placed) -> Log:
    """Put what a study answers into a build log's few lines."""
    study, told = answer.study, answer.told
    return Log(
        title=cut(subject(study)),
        verdict=cut(answer.decision.verdict.text, VERDICT),
        why=tuple(_why(answer, told)),
        numbers=numbers_sheet(study, told.port, told.letter) if told else Sheet("", (), ()),
        pictures=chosen(pictures),
        changed=tuple(map(cut, _changed(study, told.port, told.letter))) if told else ("No port has a factor.",),
        unproven=tuple(map(cut, _unproven(answer))),
        care=" ".join(_care(study)),
        command=command_of(study),
        version=VERSION,
    )


def chosen(pictures: Placed) -> tuple[Picture, ...]:
    """The three pictures of a log: those at the page's top, then what else the page shows."""
    order = [TOP, *(name for name in pictures if name not in (TOP, OTHER, BEHIND)), OTHER, BEHIND]
    return tuple(picture for name in order for picture in pictures.get(name, ()))[:PICTURES]


def first_sentence(text: str) -> str:
    """Return what a picture finds: the first sentence of its words.

    >>> first_sentence("Quornlet Mk. II: 1 of 9 margins is below 1. The table holds every number.")
    'Quornlet Mk. II: 1 of 9 margins is below 1.'
    """
    found = FOUND.match(text)
    return cut(_ended(text if found is None else found[1]), ALT)


def cut(line: str, most: int = LONGEST) -> str:
    """Return a line with so many words at most."""
    words = line.split()
    return line if len(words) <= most else f"{' '.join(words[:most])} ..."


def _care(study: Study) -> list[str]:
    """The first cautions, the second of them its first sentence."""
    first, *others = cautions(study)
    return [first, *(_ended(line.split(". ")[0]) for line in others[:1])]


def _why(answer: Answer, told: Judged | None) -> list[str]:
    """Where the factor comes from, why this port, and why not the next ones."""
    own, others = answer.why
    lines = [f"Factor: {factor_source(told.port)}."] if told is not None and own else []
    lines += [*map(_ended, own), *(f"Not {cut(line)}" for line in others[:OTHERS])]
    more = len(others) - OTHERS
    return [*lines, *([f"{more} more in the report."] if more > 0 else [])]


def _ended(line: str) -> str:
    line = line[:1].upper() + line[1:]
    return line if line.endswith(".") else f"{line}."


def numbers_sheet(study: Study, port: Port, letter: str) -> Sheet:
    """The port's numbers beside the reference's, with their drift."""
    design = study.design.variables
    rows = [
        (Shown("Factor"), *(Shown(text, number=True) for text in ("1", cell_text(port.factor, 4), "-"))),
        *(_given(label, key, unit, design, port) for label, key, unit in
          (("Length", "length", "m"), ("Mass", "mass", "kg")) if key in port.variables),
    ]  # fmt: skip
    for name in NUMBERS:
        entry = port.quantities.get(name)
        if entry is not None and len(rows) < ROWS:
            drift = port.marked(name, judged(port, name))
            own = study.marked(name, study.reference.get(name))
            texts = (with_unit(own, entry.unit), with_unit(port.marked(name, entry.value), entry.unit))
            rows.append((Shown(book.quantities[name].label), *(Shown(text, number=True) for text in texts),
                         Shown(cell_text(drift), number=True, worse=is_against(drift, name))))  # fmt: skip
    return Sheet("Numbers", ("", "reference", f"port {letter}", "drift (1 is alike)"), tuple(rows))


def _given(label: str, key: str, unit: str, design: Mapping[str, float], port: Port) -> tuple[Shown, ...]:
    values = (Shown(with_unit(values.get(key), unit, 4), number=True) for values in (design, port.variables))
    return (Shown(label), *values, Shown("-", number=True))


def _changed(study: Study, port: Port, letter: str) -> Sequence[str]:
    """What a driver will feel, and what is bought or cut anew."""
    unlike, alike = felt(study, port)
    same = [f"as before: {', '.join(label.lower() for label in alike[:2])}"] if alike else []
    feels = [_ended(line) for line in (*unlike[:3], *same)]
    found = of_port(sheet_of(changes_table(study)), letter).rows
    drawn = [f"{name.text}: {to.text}, plain scaling {plain.text}." for name, _, plain, to, _ in found[:DRAWN]]
    bought = [] if study.compares else [f"{line[0].upper()}{line[1:]}." for line in shopping(study, port)]
    return [*feels, *drawn, *bought][:CHANGED]


def _unproven(answer: Answer) -> list[str]:
    """Risks that stand with their mends, doubts about the files, and what was estimated."""
    standing = [risk for risk in answer.risks if risk.stands]
    lines = [_risk(risk) for risk in standing[:RISKS]]
    if len(standing) > RISKS:
        more = len(standing) - RISKS
        lines.append(f"{more} more risk{'s' if more > 1 else ''} in the report.")
    doubts = answer.study.design.doubts
    lines += [f"Doubtful: {doubt.sentence}." for doubt in doubts[:DOUBTS]]
    if (estimated := [each.key for each in answer.study.design.estimates]):
        others = f" and {len(estimated) - ESTIMATES} more" if len(estimated) > ESTIMATES else ""
        lines.append(f"Estimated, not measured: {', '.join(estimated[:ESTIMATES])}{others}.")
    return [*lines, "Nothing here has been tested: these are computed numbers."]


def _risk(risk: Risk) -> str:
    line = risk_line(risk)
    if not line.quantity:
        return f"{line.says}."
    was = f", was {line.was}" if line.was else ""
    mend = f". Mend: {risk.mend.text}, {line.gives}" if risk.mend is not None else ""
    return f"{line.says}: {line.quantity} {line.value}{was}{mend}."
