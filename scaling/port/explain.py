"""A quantity in words: formula, inputs with their values, exponents, source, assumptions and range."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np

from scaling.book.entry import Model, Quantity
from scaling.files.errors import InputError, nearest
from scaling.files.units import format_number, format_value, shown_unit
from scaling.formulas import book
from scaling.port.rules import SPEED_RULES, pure_inputs

if TYPE_CHECKING:
    from scaling.robot.design import Design


@dataclass(frozen=True)
class Input:
    """One input of a formula: its name, symbol, meaning and unit; its value where a design is given."""

    name: str
    symbol: str
    meaning: str
    unit: str
    value: float | None


@dataclass(frozen=True)
class Explanation:
    """Everything that the book says of one quantity; ``value`` and the inputs' values where a design is given."""

    name: str
    label: str
    symbol: str
    unit: str
    branch: str
    better: str
    formula: str
    inputs: tuple[Input, ...]
    value: float | None
    exponents: dict[str, Fraction | None]
    source: str
    assumes: str
    ranges: tuple[str, ...]
    needs: tuple[str, ...]


FULL_TRAITS = frozenset({"rotor", "rotor.axis=across", "rotor.axis=level", "rotor.transmission=belt"})
"""Traits by which exponents are listed where no design is given."""


def explain(name: str, design: Design | None) -> Explanation:
    """Return what the book says of quantity ``name``, with a design's numbers where one is given.

    Raises InputError for a name that is not in the book.
    """
    if name not in book.quantities:
        raise InputError(
            "there is no such quantity",
            None,
            "QUANTITY",
            name,
            hint=nearest(name, book.quantities) or "scaling check DESIGN lists them",
        )
    if design is not None and not _has(name, design):
        wanted = [" and ".join(entry.when) for entry in book.entries if entry.name == name and entry.when]
        kind = f", or it wants another kind of robot: {' or '.join(wanted)}" if wanted else ""
        raise InputError(
            f"{design.name} does not have this quantity", design.file, name, hint=f"its inputs are not all stated{kind}"
        )
    traits = design.traits if design is not None else FULL_TRAITS
    entry = _entry(name, design)
    values: dict[str, float] = {}
    if design is not None:
        found = book.evaluate(design.variables, design.traits)
        values = {**design.variables, **{key: float(value) for key, value in found.items() if np.isfinite(value)}}
    powers = {rule: book.powers(pure_inputs(rule, "as-bought", traits), traits).get(name) for rule in SPEED_RULES}
    return Explanation(
        entry.name,
        entry.label,
        entry.symbol,
        entry.unit,
        entry.branch,
        entry.better,
        formula_text(entry),
        tuple(_input(key, values) for key in entry.inputs),
        values.get(name),
        powers,
        book.cite(entry.source),
        entry.assumes,
        tuple(_range_text(valid.of, valid.low, valid.high, book.range_text(valid)) for valid in entry.valid),
        entry.when,
    )


def _has(name: str, design: Design) -> bool:
    found = book.evaluate(design.variables, design.traits, only=[name]).get(name)
    return found is not None


def _entry(name: str, design: Design | None) -> Quantity:
    """The entry that counts for a design: the first whose traits it has."""
    alternatives = [entry for entry in book.entries if entry.name == name]
    if design is None:
        return alternatives[0]
    return next((entry for entry in alternatives if design.traits.issuperset(entry.when)), alternatives[0])


def formula_text(entry: Quantity) -> str:
    """The formula as one line over names, or the numeric model's own first sentence."""
    if isinstance(entry.formula, Model):
        words = (entry.formula.function.__doc__ or "").strip().split("\n\n")[0]
        return "numeric model: " + " ".join(words.split())
    return f"{entry.name} = {entry.formula}"


def _input(key: str, values: dict[str, float]) -> Input:
    entry = book.variables.get(key)
    if entry is not None:
        return Input(key, entry.symbol, entry.meaning, entry.unit, values.get(key))
    other = book.quantities[key]
    return Input(key, other.symbol, other.label, other.unit, values.get(key))


def _range_text(of: str, low: float, high: float, sentence: str) -> str:
    bounds = [f"at least {format_number(low)}"] if np.isfinite(low) else []
    bounds += [f"at most {format_number(high)}"] if np.isfinite(high) else []
    return f"{of} {' and '.join(bounds)}: {sentence}"


def lines(found: Explanation) -> list[str]:
    """The explanation as lines of text."""
    text = [
        f"{found.label} ({found.symbol}), {found.branch}; {found.better} is better"
        if found.better != "same"
        else f"{found.label} ({found.symbol}), {found.branch}; like the reference is better"
    ]
    if found.value is not None:
        text.append(f"value: {format_value(found.value, found.unit, 4)}")
    text += [f"unit: {found.unit} (shown in {shown_unit(found.unit) or 'no unit'})", f"formula: {found.formula}"]
    for row in found.inputs:
        value = "" if row.value is None else f" = {format_value(row.value, row.unit, 4)}"
        text.append(f"  {row.name}{value}: {row.meaning} ({row.symbol}, {row.unit})")
    powers = ", ".join(
        f"{rule} {power if power is not None else 'no single power'}" for rule, power in found.exponents.items()
    )
    text += [f"power of the factor, all parts solid and of one density: {powers}", f"source: {found.source}"]
    if found.assumes:
        text.append(f"assumes: {found.assumes}")
    text += [f"good for: {valid}" for valid in found.ranges]
    if found.needs:
        text.append(f"only for a design with: {', '.join(found.needs)}")
    return text
