"""What a report says, in order, as data: the HTML file and the build log only render it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from scaling.decide.throws import farthest_lines
from scaling.decide.verdict import decided
from scaling.decide.verdicts import cautions, give_way_lines, rule_lines, verdicts
from scaling.decide.words import label_in_words
from scaling.files.units import format_value
from scaling.port.laws import SIMILAR_MACHINE
from scaling.show.report.formulas import FormulaLine, formulas, inputs_sheet
from scaling.show.report.pictures import OTHER, Picture, placed
from scaling.show.report.quantities import Branch, branches, groups, worst_sheet
from scaling.show.report.sheet import Sheet, Shown, joined, sheet_of
from scaling.show.report.words import COMPARED, READING, SECTIONS
from scaling.show.table import cell_text
from scaling.show.tables.freed import changes_table, prices_table, restored_table
from scaling.show.tables.laws import laws_table
from scaling.show.tables.mass import closure_table, mass_table, swaps_table
from scaling.show.tables.problems import shared_problems
from scaling.show.tables.sizes import holes_table, stock_effect_table, stock_table
from scaling.show.tables.throws import throws_table
from scaling.show.tables.unknown import designs_of, estimates_table, only_table, study_absent_table
from scaling.study.drifts import ALIKE
from scaling.study.marks import MEANINGS
from scaling.study.problem import Shared, label_of
from scaling.study.results import Port, Study


@dataclass(frozen=True)
class Content:
    """Everything that the report and the build log say; ``sections`` are headings by id, ``pictures`` by section."""

    title: str
    sections: Mapping[str, str]
    pictures: Mapping[str, tuple[Picture, ...]]
    answer: str
    verdicts: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
    laws: Sheet
    worst: Sheet
    problems: Sheet
    problems_alike: Sheet
    ranges: Sheet
    give_way: tuple[str, ...]
    throws: Sheet
    farthest: tuple[str, ...]
    rules: tuple[str, ...]
    mass: Sheet
    closure: Sheet
    swaps: Sheet
    sizes: tuple[Sheet, ...]
    effect: Sheet
    branches: tuple[Branch, ...]
    groups: tuple[tuple[str, Sheet], ...]
    reading: tuple[str, ...]
    formulas: tuple[tuple[str, tuple[FormulaLine, ...]], ...]
    inputs: Sheet
    doubts: tuple[str, ...]
    notes: tuple[str, ...]
    estimates: Sheet
    absent: Sheet
    only: Sheet
    alike: str
    marks: str


def content(study: Study, figures: Mapping[str, Path]) -> Content:
    """Put a study into the words, tables and formulas of its report; ``figures`` maps a picture's name to its file."""
    problems = shared_problems(study)
    strict = [row for row in problems if not row.problem.kind.range]
    sizes = tuple(joined(sheet_of(table)) for table in (stock_table(study), holes_table(study)) if table.rows)
    freed = tuple(sheet_of(make(study)) for make in (changes_table, restored_table, prices_table))
    sizes = (*(table for table in freed if table.rows), *sizes)
    empty = [name for name, rows in (("sizes", sizes), ("doubts", study.design.doubts)) if not rows]
    always = [section for section in SECTIONS if section not in (OTHER, *empty)]
    headings = SECTIONS | (COMPARED if study.compares else {})
    pictures = placed(study, figures, always)
    return Content(
        title=title(study),
        sections={name: words for name, words in headings.items() if name in always or name in pictures},
        pictures=pictures,
        answer=answer(study),
        verdicts=tuple(zip(study.letters, verdicts(study), strict=True)),
        cautions=tuple(cautions(study)),
        laws=sheet_of(laws_table(study), 4),
        worst=worst_sheet(study),
        problems=_problems("Problems", [row for row in strict if not row.problem.kind.alike]),
        problems_alike=_problems("As on the reference", [row for row in strict if row.problem.kind.alike]),
        ranges=_problems("Outside the range of a formula", [row for row in problems if row.problem.kind.range]),
        give_way=tuple(give_way_lines(study)),
        throws=sheet_of(throws_table(study)),
        farthest=tuple(farthest_lines(study)),
        rules=(
            *(line[0].upper() + line[1:] for line in rule_lines(study)),
            *(() if study.compares else (SIMILAR_MACHINE,)),
        ),
        mass=sheet_of(mass_table(study), 4),
        closure=joined(sheet_of(closure_table(study), 4)),
        swaps=sheet_of(swaps_table(study)),
        sizes=sizes,
        effect=joined(sheet_of(stock_effect_table(study))),
        branches=tuple(branches(study)),
        groups=tuple(groups(study)),
        reading=READING,
        formulas=tuple(formulas(study)),
        inputs=inputs_sheet(study),
        doubts=tuple(doubt.sentence for doubt in study.design.doubts),
        notes=study.design.notes,
        estimates=sheet_of(estimates_table(designs_of(study))),
        absent=sheet_of(study_absent_table(study)),
        only=sheet_of(only_table(study)),
        alike=f"{ALIKE * 100:.0f} %",
        marks=" ".join(f"{mark}: {meaning}." for mark, meaning in MEANINGS.items()),
    )


def title(study: Study) -> str:
    """What a study is about, in a line."""
    own = f"{study.design.name}: {format_value(study.design.variables['mass'], 'kg', 4)}"
    if not study.compares:
        return f"{own} to a limit of {format_value(study.brief.mass_limit, 'kg', 4)}"
    machines = [
        f"{letter} {label_in_words(port)}, {format_value(port.variables['mass'], 'kg', 4)}"
        for letter, port in zip(study.letters, study.ports, strict=True)
    ]
    return f"{own}, and beside it {'; '.join(machines)}"


def answer(study: Study) -> str:
    """Which law meets the mass limit, at which factor, and by how much others miss; of machines, which stands best."""
    if study.compares:
        verdict = decided(study).verdict
        return " ".join([verdict.text, *(f"{reason.rstrip('.')}." for reason in verdict.reasons)])
    allowed = study.brief.mass_limit - study.brief.mass_margin
    limit, margin = format_value(study.brief.mass_limit, "kg", 4), format_value(study.brief.mass_margin, "kg", 3)
    text = f"The limit of {limit} less the margin of {margin} leaves {format_value(allowed, 'kg', 4)}. "
    found: dict[tuple[str, str], list[str]] = {}
    for name, port in zip(study.letters, study.ports, strict=True):
        found.setdefault((port.request.law, _outcome(port, allowed)), []).append(name)
    return text + " ".join(
        f"Law {law} (port{'s' if len(names) > 1 else ''} {', '.join(names)}) {outcome}."
        for (law, outcome), names in found.items()
    )


def _outcome(port: Port, allowed: float) -> str:
    if port.factor is None:
        return "meets it at no factor"
    mass = port.variables["mass"]
    at = f"at factor {cell_text(port.factor, 4)} with {format_value(mass, 'kg', 4)}"
    if any(problem.code == "mass_over_limit" for problem in port.problems):
        return f"misses it {at}, {format_value(mass - allowed, 'kg', 3)} over"
    return f"meets it {at}"


def _problems(title: str, rows: list[Shared]) -> Sheet:
    return Sheet(title, ("ports", "problem"), tuple((Shown(", ".join(row.ports)), Shown(_told(row))) for row in rows))


def _told(row: Shared) -> str:
    if row.problem.about is None or not row.rests_on:
        return row.text
    return f"{row.text} Rests on it: {'; '.join(map(label_of, row.rests_on))}."


def plain(text: str) -> str:
    """Text of a stranger on one line, without marks that do not print or turn the reading direction."""
    if not text.isprintable():
        text = "".join(mark if mark.isprintable() else " " for mark in text)
    return " ".join(text.split())
