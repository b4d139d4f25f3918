"""A quantity in words: formula, inputs with their values, exponents, source, assumptions and range."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np

from scaling.book.entry import Clock, Model, Quantity, Role
from scaling.files.errors import InputError
from scaling.files.units import format_value, shown_unit
from scaling.formulas import book
from scaling.port.rules import SPEED_RULES, pure_inputs, pure_powers

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


@dataclass(frozen=True, repr=False)
class Explanation:
    """Everything that the book says of one quantity; ``value`` and the inputs' values where a design is given."""

    name: str
    label: str
    symbol: str
    unit: str
    branch: str
    better: str
    role: Role
    clock: Clock | None
    formula: str
    inputs: tuple[Input, ...]
    value: float | None
    exponents: dict[str, Fraction | None]
    source: str
    assumes: str
    ranges: tuple[str, ...]
    needs: tuple[str, ...]

    def __repr__(self) -> str:
        return "\n".join(lines(self))


FULL_TRAITS = frozenset({"rotor", "rotor.axis=across", "rotor.axis=level", "rotor.transmission=belt"})
"""Traits by which exponents are listed where no design is given."""


def explain(quantity: str, design: Design | None = None) -> Explanation:
    """Return what the book says of a quantity, by its name or label, with a design's numbers where one is given.

    Raises InputError for what the book does not have, and for what the design does not.
    """
    name = book.find(quantity, key="QUANTITY")
    traits = FULL_TRAITS if design is None else design.traits
    known = book.variables if design is None else design.variables
    entry = book.counted(traits, known).get(name)
    values: dict[str, float] = {}
    if design is None:
        entry = entry or book.quantities[name]
    else:
        found = book.evaluate(design.variables, traits, only=[name])
        values = {**design.variables, **{key: float(value) for key, value in found.items() if np.isfinite(value)}}
    if entry is None:
        raise _absent(name, design)
    pure = {rule: pure_inputs(rule, "as-bought", traits) for rule in SPEED_RULES}
    own = {rule: {key: power for key, power in powers.items() if key in known} for rule, powers in pure.items()}
    return Explanation(
        entry.name,
        entry.label,
        entry.symbol,
        entry.unit,
        entry.branch,
        entry.better,
        entry.role,
        entry.clock,
        formula_text(entry),
        tuple(_input(key, values) for key in entry.inputs),
        values.get(name),
        {rule: pure_powers(powers, traits, only=[name]).get(name) for rule, powers in own.items()},
        book.cite(entry.source),
        entry.assumes,
        tuple(_range_text(valid.of, valid.low, valid.high, book.range_text(valid)) for valid in entry.valid),
        entry.when,
    )


def _absent(name: str, design: Design | None) -> InputError:
    """The error that says why a design does not have a quantity: the inputs that it lacks, or its kind."""
    assert design is not None  # noqa: S101 - for the type checker; without a design nothing is absent
    had = {*design.variables, *book.counted(design.traits, design.variables)}
    alike = [entry for entry in book.entries if entry.name == name and design.traits.issuperset(entry.when)]
    wanted = [" and ".join(entry.when) for entry in book.entries if entry.name == name]
    lacks = [", ".join(key for key in entry.inputs if key not in had) for entry in alike]
    why = f"it lacks {' or '.join(lacks)}" if lacks else f"it wants another kind of robot: {' or '.join(wanted)}"
    return InputError(f"{design.name} does not have this quantity", design.file, name, hint=why)


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
    unit = (book.quantities.get(of) or book.variables[of]).unit
    bounds = [f"at least {format_value(low, unit)}"] if np.isfinite(low) else []
    bounds += [f"at most {format_value(high, unit)}"] if np.isfinite(high) else []
    return f"{of} {' and '.join(bounds)}: {sentence}"


def lines(found: Explanation) -> list[str]:
    """The explanation as lines of text."""
    better = "like the reference" if found.better == "same" else found.better
    text = [f"{found.label} ({found.name}, {found.symbol}), {found.branch}; {better} is better"]
    if found.value is not None:
        text.append(f"value: {format_value(found.value, found.unit, 4)}")
    text += [f"unit: {found.unit} (shown in {shown_unit(found.unit) or 'no unit'})", f"formula: {found.formula}"]
    for row in found.inputs:
        value = "" if row.value is None else f" = {format_value(row.value, row.unit, 4)}"
        text.append(f"  {row.name}{value}: {row.meaning} ({row.symbol}, {row.unit})")
    powers = ", ".join(
        f"{rule} {power if power is not None else 'no single power'}" for rule, power in found.exponents.items()
    )
    text += [f"power of the factor, all parts solid, of one density, no no-load current: {powers}"]
    text += [f"source: {found.source}"]
    if found.assumes:
        text.append(f"assumes: {found.assumes}")
    text += [f"good for: {valid}" for valid in found.ranges]
    if found.needs:
        text.append(f"only for a design with: {', '.join(found.needs)}")
    return text
