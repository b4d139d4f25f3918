"""What the file behind the page says: every number, formula and source, in order, as data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from scaling.book.sources import STATED, STATUSES, Use
from scaling.decide.throws import farthest_lines
from scaling.decide.verdicts import rule_lines, verdicts
from scaling.port.laws import SIMILAR_MACHINE
from scaling.show.report.answer import Answer
from scaling.show.report.formulas import FormulaLine, formulas, inputs_sheet
from scaling.show.report.pictures import Placed
from scaling.show.report.quantities import Branch, branches, groups
from scaling.show.report.sheet import Sheet, Shown, joined, sheet_of
from scaling.show.report.title_block import subject
from scaling.show.report.words import NUMBERS, NUMBERS_COMPARED, READING
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
from scaling.study.results import Study
from scaling.study.used import works_of_study


@dataclass(frozen=True)
class NumbersContent:
    """Everything behind the page; ``tables``, ``lines`` and ``pictures`` are what stands in each section.

    ``headings`` are those of all sections by id, ``filled`` the sections that hold something without a picture.
    """

    title: str
    headings: Mapping[str, str]
    filled: frozenset[str]
    tables: Mapping[str, tuple[Sheet, ...]]
    lines: Mapping[str, tuple[str, ...]]
    branches: tuple[Branch, ...]
    formulas: tuple[tuple[str, tuple[FormulaLine, ...]], ...]
    alike: str
    marks: str
    pictures: Placed = field(default_factory=dict)

    @property
    def sections(self) -> dict[str, str]:
        """Headings by id of what there is."""
        return {name: title for name, title in self.headings.items() if name in self.pictures or name in self.filled}


def numbers_content(answer: Answer) -> NumbersContent:
    """Put everything that is known of a study into tables and sentences, by section; pictures come by and by."""
    study = answer.study
    tables = {
        "laws": (sheet_of(laws_table(study), 4),),
        "freed": tuple(sheet_of(make(study)) for make in (changes_table, restored_table, prices_table)),
        "problems": _problems(study),
        "throws": (sheet_of(throws_table(study)),),
        "parts": (sheet_of(mass_table(study), 4), joined(sheet_of(closure_table(study), 4)),
                  sheet_of(swaps_table(study))),
        "shelves": tuple(joined(sheet_of(table)) for table in
                         (stock_table(study), holes_table(study), stock_effect_table(study))),
        "absent": (sheet_of(study_absent_table(study)), sheet_of(only_table(study)),
                   sheet_of(estimates_table(designs_of(study)))),
        "groups": tuple(sheet for _, sheet in groups(study)),
        "inputs": (inputs_sheet(study),),
        "sources": (_sources(works_of_study(study)),),
    }  # fmt: skip
    tables = {name: tuple(sheet for sheet in sheets if sheet.rows) for name, sheets in tables.items()}
    lines = {
        "gives": tuple(f"{letter}: {line}" for letter, line in zip(study.letters, verdicts(study), strict=True)),
        "throws": tuple(farthest_lines(study)),
        "rules": (*(line[0].upper() + line[1:] for line in rule_lines(study)),
                  *(() if study.compares else (SIMILAR_MACHINE,))),
        "reading": READING,
    }  # fmt: skip
    filled = {name for name, found in (*tables.items(), *lines.items()) if found}
    return NumbersContent(
        title=f"Every number and formula of {subject(study)}",
        headings=NUMBERS | (NUMBERS_COMPARED if study.compares else {}),
        filled=frozenset({"branches", "formulas"} | filled),
        tables=tables,
        lines=lines,
        branches=tuple(branches(study)),
        formulas=tuple(formulas(study)),
        alike=f"{ALIKE * 100:.0f} %",
        marks=" ".join(f"{mark}: {meaning}." for mark, meaning in MEANINGS.items()),
    )


def _problems(study: Study) -> tuple[Sheet, ...]:
    """Problems of the ports' own, then those that the reference has too, then ranges of formulas."""
    rows = shared_problems(study)
    strict = [row for row in rows if not row.problem.kind.range]
    return (
        _problem_sheet("Problems of the ports", [row for row in strict if not row.problem.kind.alike]),
        _problem_sheet("As on the reference", [row for row in strict if row.problem.kind.alike]),
        _problem_sheet("Outside the range of a formula", [row for row in rows if row.problem.kind.range]),
    )


def _problem_sheet(title: str, rows: list[Shared]) -> Sheet:
    return Sheet(title, ("ports", "problem"), tuple((Shown(", ".join(row.ports)), Shown(_told(row))) for row in rows))


def _told(row: Shared) -> str:
    if row.problem.about is None or not row.rests_on:
        return row.text
    return f"{row.text} Rests on it: {'; '.join(map(label_of, row.rests_on))}."


def _sources(uses: list[Use]) -> Sheet:
    """The works behind a study, the least known first."""
    rows = tuple(
        (Shown(use.text), Shown("; ".join(use.places)), Shown(STATUSES.get(use.status, STATED)),
         Shown(str(len(use.quantities)), number=True))
        for use in uses
    )  # fmt: skip
    return Sheet("Works that the study rests on", ("work", "places", "how it is known", "quantities"), rows)
