"""What the page says, in order, as data: the HTML only renders it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from scaling.decide.risks import Risk
from scaling.decide.shopping import shopping
from scaling.decide.verdicts import cautions, give_way_lines
from scaling.files.units import format_number, format_value, shown_unit
from scaling.formulas import book
from scaling.robot.design import Design
from scaling.show.figures import absences
from scaling.show.report.answer import Answer
from scaling.show.report.pictures import OTHER, Placed
from scaling.show.report.quantities import worst_sheet
from scaling.show.report.repeat import Given, command_of, given_files
from scaling.show.report.sheet import Sheet, sheet_of
from scaling.show.report.title_block import TitleBlock, subject, title_block
from scaling.show.report.told_tables import closure_sheet, drift_sheet, mass_sheet, ports_sheet, size_sheets
from scaling.show.report.words import PAGE, PAGE_COMPARED, READING_SHORT
from scaling.show.tables.unknown import absent_summary, designs_of, estimates_table, study_absent_table
from scaling.study.drifts import ALIKE
from scaling.study.marks import MEANINGS
from scaling.study.problem import in_sentence
from scaling.study.results import Study


@dataclass(frozen=True)
class RiskLine:
    """A risk as it stands in the list: what may go wrong, of which number, and the mend with what it gives and costs.

    ``changes`` are lines to write into the brief.
    """

    says: str
    quantity: str
    value: str
    was: str
    wants: str
    rise: str
    mend: str
    gives: str
    changes: tuple[str, ...]


@dataclass(frozen=True)
class PageContent:
    """Everything that the page says; ``pictures`` by section, ``filled`` are the sections that say something without.

    ``headings`` are those of all sections by id.
    """

    title: str
    head: TitleBlock
    headings: Mapping[str, str]
    filled: frozenset[str]
    ports: Sheet
    risks: tuple[RiskLine, ...]
    nearest: tuple[RiskLine, ...]
    give_way: tuple[str, ...]
    drift: Sheet | None
    worst: Sheet
    mass: Sheet | None
    closure: Sheet | None
    shopping: tuple[str, ...]
    sizes: tuple[Sheet, ...]
    doubts: tuple[str, ...]
    notes: tuple[str, ...]
    estimates: Sheet
    absent: str
    undrawn: tuple[str, ...]
    cautions: tuple[str, ...]
    into: str
    reading: str
    alike: str
    marks: str
    given: tuple[Given, ...]
    command: str
    pictures: Placed = field(default_factory=dict)

    @property
    def sections(self) -> dict[str, str]:
        """Headings by id of what there is."""
        return {name: title for name, title in self.headings.items() if name in self.pictures or name in self.filled}


def page_content(answer: Answer) -> PageContent:
    """Put what a study answers into the words and tables of its page, whose pictures come by and by."""
    study, told = answer.study, answer.told
    standing = tuple(risk_line(risk) for risk in answer.risks if risk.stands)
    nearest = tuple(risk_line(risk) for risk in answer.risks if not risk.stands)
    closure = closure_sheet(study, told.letter) if told else None
    designs = designs_of(study)
    lists = shopping(study, told.port) if told and not study.compares else []
    sizes = size_sheets(study, told.letter) if told else ()
    empty = {
        "risks": not answer.risks,
        "worst": told is None,
        "mass": told is None,
        "sizes": not lists and not sizes,
        OTHER: True,
    }
    absent = study_absent_table(study)
    headings = PAGE | (PAGE_COMPARED if study.compares else {})
    return PageContent(
        title=subject(study),
        head=title_block(answer),
        headings=headings,
        filled=frozenset(name for name in headings if not empty.get(name)),
        ports=ports_sheet(answer),
        risks=standing,
        nearest=nearest,
        give_way=tuple(give_way_lines(study)),
        drift=drift_sheet(answer, told.port, told.letter) if told else None,
        worst=worst_sheet(study),
        mass=mass_sheet(study, told.port, told.letter) if told else None,
        closure=closure if closure is not None and closure.rows else None,
        shopping=tuple(lists),
        sizes=sizes,
        doubts=tuple(doubt for design in designs for doubt in _of(design.name, study, _doubts(design))),
        notes=tuple(note for design in designs for note in _of(design.name, study, design.notes)),
        estimates=_estimates(study),
        absent=absent_summary(absent, "the file of numbers") if absent.rows else "",
        undrawn=tuple(absences(study).values()),
        cautions=tuple(cautions(study)),
        into="the machine's file" if study.compares else "the brief",
        reading=READING_SHORT,
        alike=f"{ALIKE * 100:.0f} %",
        marks=" ".join(f"{mark}: {meaning}." for mark, meaning in MEANINGS.items()),
        given=given_files(study),
        command=command_of(study),
    )


def risk_line(risk: Risk) -> RiskLine:
    """Put a risk and its mend into the words of the list."""
    says = risk.says[0].upper() + risk.says[1:]
    rise = f"{risk.rise:+.2f}" if risk.rise >= 0.005 else ""
    if risk.quantity is None or risk.value is None:
        return RiskLine(says, "", "", "", "", rise, "", "", ())
    unit = book.quantities[risk.quantity].unit
    wants = risk.kind.limit if risk.kind is not None else None
    mend = risk.mend
    gives = ""
    if mend is not None:
        grams = f", {mend.mass * 1e3:+.0f} {shown_unit('kg')}" if abs(mend.mass) >= 0.0005 else ""
        gives = f"then {format_value(mend.value, unit)}{grams}"
    return RiskLine(
        says,
        in_sentence(risk.quantity),
        format_value(risk.value, unit),
        "" if risk.reference is None else format_value(risk.reference, unit),
        "" if wants is None else format_number(wants, 2) if unit == "1" else format_value(wants, unit, 2),
        rise,
        "" if mend is None else mend.text[0].upper() + mend.text[1:],
        gives,
        () if mend is None else tuple(f'{key} = "{text}"' for key, text in mend.changes.items()),
    )


def _doubts(design: Design) -> tuple[str, ...]:
    return tuple(doubt.sentence for doubt in design.doubts)


def _of(name: str, study: Study, lines: Iterable[str]) -> Iterator[str]:
    """Lines about a design, with its name before them where there is more than one."""
    several = len(designs_of(study)) > 1
    return (f"{name}: {line}." if several else f"{line}." for line in lines)


def _estimates(study: Study) -> Sheet:
    """What was estimated, without the sources: they stand in the file behind the page."""
    found = sheet_of(estimates_table(designs_of(study)))
    return Sheet(found.title, found.headers[:-1], tuple(row[:-1] for row in found.rows), mixed=(1, 2, 3))
