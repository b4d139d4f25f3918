"""What a report says, in order, as data: the HTML file and the build log only render it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

import sympy

from scaling.book.entry import Model, Quantity
from scaling.book.groups import SETS, expression_text
from scaling.book.similarity import CLOCKS, worse
from scaling.decide.verdicts import ALIKE, cautions, drift_size, give_way_lines, rule_lines, verdict
from scaling.files.units import format_value, shown_unit, to_shown
from scaling.formulas import book
from scaling.port.laws import SIMILAR_MACHINE
from scaling.show.report.formula_text import symbol_text, symbols_of, unit_text
from scaling.show.report.words import FIGURES, READING
from scaling.show.table import Cell, Table, cell_text
from scaling.show.tables import (
    closure_table,
    drift_table,
    holes_table,
    laws_table,
    mass_table,
    problems_table,
    stock_effect_table,
    stock_table,
    swaps_table,
    worst_first,
)
from scaling.study.problems import ALIKE_CODE
from scaling.study.results import Port, Study
from scaling.study.run import group_values

WORST = 10


@dataclass(frozen=True)
class Shown:
    """A cell as text; ``number`` says that it lines up to the right, ``worse`` that it is against the builder."""

    text: str
    number: bool = False
    worse: bool = False


@dataclass(frozen=True)
class Sheet:
    """A table ready to show: ``spans`` are headings over so many of the last columns, or none."""

    title: str
    headers: tuple[str, ...]
    rows: tuple[tuple[Shown, ...], ...]
    spans: tuple[tuple[str, int], ...] = ()

    @property
    def before_spans(self) -> int:
        """Number of columns that stand before those under ``spans``."""
        return len(self.headers) - sum(width for _, width in self.spans)

    @property
    def numeric(self) -> tuple[bool, ...]:
        """Whether each column holds numbers alone."""
        return tuple(all(row[place].number for row in self.rows) for place in range(len(self.headers)))


@dataclass(frozen=True)
class Branch:
    """The quantities of one branch, worst first: their values, and their drift by both clocks."""

    title: str
    values: Sheet
    drift: Sheet


@dataclass(frozen=True)
class Input:
    """A variable or quantity that a formula uses."""

    name: str
    symbol: str
    meaning: str


@dataclass(frozen=True)
class FormulaLine:
    """A quantity as it was computed: a closed ``formula``, or None and ``words`` for a model or a plain input."""

    entry: Quantity
    unit: str
    inputs: tuple[Input, ...]
    formula: sympy.Expr | None
    words: str = ""


@dataclass(frozen=True)
class Figure:
    """A figure's heading, what it shows in words, and its file."""

    name: str
    title: str
    alt: str
    path: Path


@dataclass(frozen=True)
class Content:
    """Everything that the report and the build log say."""

    title: str
    answer: str
    verdicts: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
    laws: Sheet
    worst: Sheet
    problems: Sheet
    problems_alike: Sheet
    give_way: tuple[str, ...]
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
    notes: tuple[str, ...]
    alike: str


def content(study: Study) -> Content:
    """Put a study into the words, tables and formulas of its report."""
    mass, limit = study.design.variables["mass"], study.brief.mass_limit
    return Content(
        title=f"{study.design.name}: {format_value(mass, 'kg', 4)} to a limit of {format_value(limit, 'kg', 4)}",
        answer=answer(study),
        verdicts=tuple(zip(study.letters, map(verdict, study.ports), strict=True)),
        cautions=tuple(cautions(study)),
        laws=_sheet(laws_table(study), 4),
        worst=_worst(study),
        problems=_problems(study, alike=False),
        problems_alike=_problems(study, alike=True),
        give_way=tuple(give_way_lines(study)),
        rules=(*(_capital(line) for line in rule_lines(study)), SIMILAR_MACHINE),
        mass=_sheet(mass_table(study), 4),
        closure=_joined(_sheet(closure_table(study), 4)),
        swaps=_sheet(swaps_table(study)),
        sizes=tuple(_joined(_sheet(table)) for table in (stock_table(study), holes_table(study)) if table.rows),
        effect=_joined(_sheet(stock_effect_table(study))),
        branches=tuple(_branches(study)),
        groups=tuple(_groups(study)),
        reading=READING,
        formulas=tuple(_formulas(study)),
        inputs=_inputs(study),
        notes=study.design.notes,
        alike=f"{ALIKE * 100:.0f} %",
    )


def answer(study: Study) -> str:
    """Which law meets the mass limit, at which factor, and by how much the others miss."""
    allowed = study.brief.mass_limit - study.brief.mass_margin
    text = (f"The limit of {format_value(study.brief.mass_limit, 'kg', 4)} less the margin of "
            f"{format_value(study.brief.mass_margin, 'kg', 3)} leaves {format_value(allowed, 'kg', 4)}. ")
    found: dict[tuple[str, str], list[str]] = {}
    for name, port in zip(study.letters, study.ports, strict=True):
        found.setdefault((port.request.law, _outcome(port, allowed)), []).append(name)
    return text + " ".join(f"Law {law} (port{'s' if len(names) > 1 else ''} {', '.join(names)}) {outcome}."
                           for (law, outcome), names in found.items())


def _outcome(port: Port, allowed: float) -> str:
    if port.factor is None:
        return "meets it at no factor"
    mass = port.variables["mass"]
    at = f"at factor {cell_text(port.factor, 4)} with {format_value(mass, 'kg', 4)}"
    if any(problem.code == "mass_over_limit" for problem in port.problems):
        return f"misses it {at}, {format_value(mass - allowed, 'kg', 3)} over"
    return f"meets it {at}"


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]


def _cell(cell: Cell, digits: int) -> Shown:
    return Shown(cell_text(cell, digits), number=isinstance(cell, int | float) or cell is None)


def _sheet(table: Table, digits: int = 3) -> Sheet:
    return Sheet(table.title, table.headers, tuple(tuple(_cell(cell, digits) for cell in row) for row in table.rows))


def _joined(table: Sheet) -> Sheet:
    """Join the rows that say the same of several ports, which stand in the first column."""
    found: dict[tuple[Shown, ...], list[str]] = {}
    for port, *rest in table.rows:
        found.setdefault(tuple(rest), []).append(port.text)
    rows = tuple((Shown(", ".join(letters)), *rest) for rest, letters in found.items())
    return Sheet(table.title, ("ports", *table.headers[1:]), rows)


def _unit(unit: str) -> str:
    return unit_text(shown_unit(unit) or "1")


def _worst(study: Study) -> Sheet:
    names = worst_first(study)[:WORST]
    rows = [
        (row[1], row[0], *row[2:4], Shown(_unit(book.quantities[name].unit)),
         *(_drift(port, name, "gravity") for port in study.ports))
        for name, row in zip(names, _sheet(drift_table(study, names)).rows, strict=True)
    ]
    return Sheet(f"The {len(rows)} quantities that drift most, by gravity's clock",
                 ("quantity", "branch", "better", "reference", "unit", *study.letters), tuple(rows),
                 (("drift, no unit", len(study.ports)),))


def _drift(port: Port, name: str, clock: str) -> Shown:
    entry = port.quantities.get(name)
    drift = None if entry is None else entry.drift.get(clock)
    off = drift is not None and (drift <= 0 or drift_size(drift) > math.log1p(ALIKE))
    against = off and drift is not None and worse(drift, book.quantities[name].better)
    return Shown(cell_text(drift), number=True, worse=against)


def _problems(study: Study, *, alike: bool) -> Sheet:
    """Either what only the ports have, or what is so on the reference as well."""
    table = problems_table(study)
    rows = tuple((Shown(", ".join(str(ports).split())), Shown(str(text))) for ports, code, text in table.rows
                 if str(code).endswith(ALIKE_CODE) == alike)
    return Sheet("As on the reference" if alike else table.title, ("ports", "problem"), rows)


def _branches(study: Study) -> Iterable[Branch]:
    order = worst_first(study)
    order += [name for name in study.reference if name not in order]
    letters = study.letters
    for branch in book.titles:
        names = [name for name in order if book.quantities[name].branch == branch]
        if not names:
            continue
        title = book.titles[branch]
        values = Sheet(f"{title}: values", ("quantity", "unit", "reference", *letters),
                       tuple(_values(study, name) for name in names), (("in that unit", len(letters) + 1),))
        drift = Sheet(
            f"{title}: drift by either clock, 1 is like the reference", ("quantity", "better", *CLOCKS * len(letters)),
            tuple(_drifts(study, name) for name in names),
            tuple((f"{letter}, no unit", len(CLOCKS)) for letter in letters),
        )
        yield Branch(title, values, drift)


def _values(study: Study, name: str) -> tuple[Shown, ...]:
    entry = book.quantities[name]
    found = [study.reference.get(name), *(_value(port, name) for port in study.ports)]
    return (Shown(entry.label), Shown(_unit(entry.unit)),
            *(_cell(None if value is None else to_shown(value, entry.unit), 4 if entry.unit == "kg" else 3)
              for value in found))


def _value(port: Port, name: str) -> float | None:
    return port.quantities[name].value if name in port.quantities else None


def _drifts(study: Study, name: str) -> tuple[Shown, ...]:
    entry = book.quantities[name]
    return (Shown(entry.label), Shown(entry.better),
            *(_drift(port, name, clock) for port in study.ports for clock in CLOCKS))


def _groups(study: Study) -> Iterable[tuple[str, Sheet]]:
    for group_set in SETS:
        rows: list[tuple[Shown, ...]] = []
        for group in study.groups:
            if group.set_name != group_set.name:
                continue
            own, ports = group_values(study, group)
            text = expression_text(group.expression)
            name = "(no name)" if group.name == text else group.name
            rows.append((Shown(text), Shown(name), *(_cell(value, 3) for value in (own, *ports))))
        if rows:
            title = _capital(group_set.label)
            yield title, Sheet(title, ("expression", "group", "reference", *study.letters), tuple(rows),
                               (("no unit", len(study.ports) + 1),))


def used_entries(study: Study) -> list[Quantity]:
    """Return the book's entries by which the study's quantities were computed, in the order of the book."""
    known = set(study.design.variables).union(*(port.variables for port in study.ports))
    shown = set(study.reference).union(*(port.quantities for port in study.ports))
    found: list[Quantity] = []
    placed: set[str] = set()
    for entry in book.entries:
        # As evaluation does: the first entry that the design's traits and inputs allow is the one that counts.
        if entry.name in placed or not study.design.traits.issuperset(entry.when) or not known.issuperset(entry.inputs):
            continue
        placed.add(entry.name)
        known.add(entry.name)
        if entry.name in shown:
            found.append(entry)
    return found


def _formulas(study: Study) -> Iterable[tuple[str, tuple[FormulaLine, ...]]]:
    entries = used_entries(study)
    told: dict[tuple[object, tuple[str, ...]], str] = {}
    for branch in book.titles:
        lines = tuple(_formula(entry, told) for entry in entries if entry.branch == branch)
        if lines:
            yield book.titles[branch], lines


def _formula(entry: Quantity, told: dict[tuple[object, tuple[str, ...]], str]) -> FormulaLine:
    """Say how ``entry`` is computed; ``told`` holds the label under which each model was told of first."""
    unit, symbols = unit_text(entry.unit), symbols_of(entry.inputs)
    inputs = tuple(Input(name, symbols[name], _meaning(name)) for name in entry.inputs)
    formula = entry.formula
    if isinstance(formula, Model):
        name = f"Numeric model {formula.function.__name__}, result {formula.output}"
        first = told.setdefault((formula.function, formula.inputs), entry.label)
        if first != entry.label:
            return FormulaLine(entry, unit, (), None, f"{name}: inputs as for '{first}'.")
        said = " ".join((formula.function.__doc__ or "").split("\n\n")[0].replace("`", "").split())
        return FormulaLine(entry, unit, inputs, None, f"{name}: {said}")
    if formula.is_Symbol:
        return FormulaLine(entry, unit, inputs, None, "As given.")
    return FormulaLine(entry, unit, inputs, formula)


def _meaning(name: str) -> str:
    if name in book.variables:
        return book.variables[name].meaning
    label = book.quantities[name].label
    return label[0].lower() + label[1:]


def _inputs(study: Study) -> Sheet:
    """List the numbers that the formulas were given."""
    rows: list[tuple[Shown, ...]] = []
    given = (study.design.variables, *(port.variables for port in study.ports))
    for key, variable in book.variables.items():
        if any(key in variables for variables in given):
            found = [to_shown(variables[key], variable.unit) if key in variables else None for variables in given]
            rows.append((Shown(key), Shown(symbol_text(variable.symbol)), Shown(variable.meaning),
                         Shown(_unit(variable.unit)), *map(_given, found)))
    return Sheet("Inputs", ("key", "symbol", "meaning", "unit", "reference", *study.letters), tuple(rows),
                 (("in that unit", len(study.ports) + 1),))


def _given(value: float | None) -> Shown:
    """Show a value as it might stand in a file: without zeros behind the point that say nothing."""
    text = cell_text(value, 4)
    return Shown(text.rstrip("0").rstrip(".") if "." in text and "e" not in text else text, number=True)


def figures_of(study: Study, paths: Mapping[str, Path]) -> dict[str, Figure]:
    """Return the figures that there are, by name, each with its words."""
    return {
        name: Figure(name, title, alt.format(name=study.design.name), paths[name])
        for name, (title, alt) in FIGURES.items() if name in paths
    }


def plain(text: str) -> str:
    """Text of a stranger on one line, without marks that do not print or turn the reading direction."""
    if not text.isprintable():
        text = "".join(mark if mark.isprintable() else " " for mark in text)
    return " ".join(text.split())
