"""How every quantity of a study was computed: formula, inputs, source and range, and the numbers put in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from scaling.book.algebra import Expression
from scaling.book.entry import Model, Quantity
from scaling.files.units import format_short, to_shown
from scaling.formulas import book
from scaling.show.report.formula_text import symbol_text, symbols_of, unit_text
from scaling.show.report.quantities import shown_in
from scaling.show.report.sheet import Sheet, Shown
from scaling.show.table import cell_text
from scaling.study.problem import in_sentence
from scaling.study.results import Study
from scaling.study.used import used_entries


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
    formula: Expression | None
    words: str = ""


def formulas(study: Study) -> Iterable[tuple[str, tuple[FormulaLine, ...]]]:
    """Return the formulas of each branch, by its title."""
    entries = used_entries(study)
    told: dict[tuple[object, tuple[str, ...]], str] = {}
    for branch, title in book.titles.items():
        lines = tuple(formula_line(entry, told) for entry in entries if entry.branch == branch)
        if lines:
            yield title, lines


def formula_line(entry: Quantity, told: dict[tuple[object, tuple[str, ...]], str]) -> FormulaLine:
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
    if formula.kind == "symbol":
        return FormulaLine(entry, unit, inputs, None, "As given.")
    return FormulaLine(entry, unit, inputs, formula)


def _meaning(name: str) -> str:
    if name in book.variables:
        return book.variables[name].meaning
    return in_sentence(name)


def inputs_sheet(study: Study) -> Sheet:
    """List the numbers that the formulas were given."""
    rows: list[tuple[Shown, ...]] = []
    given = (study.design.variables, *(port.variables for port in study.ports))
    for key, variable in book.variables.items():
        if any(key in variables for variables in given):
            found = [to_shown(variables[key], variable.unit) if key in variables else None for variables in given]
            texts = (key, symbol_text(variable.symbol), variable.meaning, shown_in(variable.unit))
            rows.append((*map(Shown, texts), *map(_given, found)))
    headers = ("key", "symbol", "meaning", "unit", "reference", *study.letters)
    return Sheet("Inputs", headers, tuple(rows), (("in that unit", len(study.ports) + 1),))


def _given(value: float | None) -> Shown:
    return Shown(cell_text(None) if value is None else format_short(value), number=True)
