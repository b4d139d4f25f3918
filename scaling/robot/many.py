"""Many designs at once: one file with other numbers in it, everything that follows worked out anew."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from scaling.book.entry import Array
from scaling.files.errors import InputError, Mistakes, nearest
from scaling.files.reading import read_value
from scaling.files.toml import quoted
from scaling.formulas import book
from scaling.robot.derived import derive
from scaling.robot.design import Design
from scaling.robot.parts import Part
from scaling.robot.possible import refuse_impossible
from scaling.robot.row_by_row import row_by_row
from scaling.robot.schema import DESIGN
from scaling.robot.worked_out import (
    set_opponent,
    set_rotor_speed,
    use_place_of_rotor,
    use_positions,
    whole_sum,
)

AT_ONCE = 8000
"""Designs that are worked out at once, so that what a formula needs stays in the processor's cache."""


def evaluated(
    design: Design, given: Mapping[str, Array], only: Sequence[str]
) -> Iterator[tuple[slice, dict[str, Array]]]:
    """Give the quantities ``only`` of a design with the ``given`` numbers in its file, so many designs at once.

    Each time which these are, and their quantities: a single number where it is the same for all. A design that cannot
    be has NaN.
    """
    size = next(iter(given.values())).size
    for start in range(0, size, AT_ONCE):
        place = slice(start, start + AT_ONCE)
        numbers = {**design.given, **{key: value[place] for key, value in given.items()}}
        whole = row_by_row(lambda each: worked_out(design, each), numbers, design.variables, passing=True)
        yield place, _of_those_that_can_be(design, whole, only)


def _of_those_that_can_be(design: Design, numbers: dict[str, Any], only: Sequence[str]) -> dict[str, Array]:
    """The quantities of designs, NaN for those that have no mass, since there is no such design."""
    there = ~np.isnan(numbers["mass"])
    if not there.any():
        return dict.fromkeys(only, np.asarray(np.nan))
    if there.all():
        found = book.evaluate(numbers, design.traits, only)
        return {name: found[name] for name in only}
    found = book.evaluate(
        {key: value[there] if np.ndim(value) else value for key, value in numbers.items()}, design.traits, only
    )
    whole = {name: np.full(there.shape, np.nan) for name in only}
    for name, values in whole.items():
        values[there] = found[name]
    return whole


def worked_out(design: Design, given: Mapping[str, Any]) -> dict[str, Any]:
    """Return every number of a design with the ``given`` ones in the place of what its file states: floats, or arrays.

    Raises InputError where there is no such design.
    """
    numbers, words, mistakes, notes = dict(given), design.choices, Mistakes(design.file), list[str]()
    weighed = {key: numbers.pop(key) for key in design_parts(design) if key in numbers}
    listed = design.listed and tuple(
        replace(part, mass=weighed.get(mass_key(part), part.mass)) for part in design.listed
    )
    whole = whole_sum(listed, numbers, words, design.file, notes)
    numbers["mass"] = sum(part.total for part in whole)
    numbers.setdefault("mass_limit", numbers["mass"])
    body = use_positions(design.places, whole, numbers, design.file)
    use_place_of_rotor(body, design.places.get("rotor", ()), numbers, words, design.file)
    for key in ("service.screws", "service.tool_changes"):  # counted from what the file lists
        if key in design.variables:
            numbers.setdefault(key, design.variables[key])
    derive(numbers, words, design.shelves, mistakes, notes)
    refuse_impossible(numbers, design.traits, mistakes)
    mistakes.settle()
    if design.has_rotor:
        set_rotor_speed(numbers, design.traits, design.file)
        set_opponent(numbers, design.traits)
    return numbers


def mass_key(part: Part) -> str:
    """Return the key under which a part's row of the file states the mass of one piece."""
    return f"parts.{quoted(part.name)}.mass"


def design_parts(design: Design) -> dict[str, Part]:
    """Return the parts that a design lists by the key of their mass."""
    return {mass_key(part): part for part in design.listed or ()}


def checked(design: Design, given: Mapping[str, Any]) -> dict[str, Array]:
    """Return rows of numbers by key, each as long as the longest; raises InputErrors where one cannot be."""
    mistakes = Mistakes(design.file)
    rows = {key: mistakes.attempt(_row, design, key, value) for key, value in given.items()}
    found = {key: row for key, row in rows.items() if row is not None}
    sizes = {row.size for row in found.values()} - {1}
    if len(sizes) > 1:
        told = ", ".join(f"{row.size} of {key}" for key, row in found.items() if row.size > 1)
        mistakes.add(InputError("the rows are not of one length", design.file, None, told, "one length, or a number"))
    if not given:
        mistakes.add(InputError("no key is varied", design.file, allowed="a key of the file with a row of numbers"))
    mistakes.settle()
    size = max(row.size for row in found.values())
    return {key: np.broadcast_to(row, (size,)) for key, row in found.items()}


def _row(design: Design, key: str, value: Any) -> Array:
    listed = design_parts(design)
    if key not in design.given and key not in listed:
        derived = key in design.variables
        problem = "this follows from other numbers of the file" if derived else "the file states no such number"
        hint = "vary what it follows from, or state it" if derived else nearest(key, [*design.given, *listed])
        raise InputError(problem, design.file, key, hint=hint)
    try:
        row = np.atleast_1d(np.asarray(value, dtype=float))
    except (TypeError, ValueError):
        raise InputError("these are no numbers", design.file, key, value, "a row of numbers in SI units") from None
    if row.ndim != 1 or not row.size or not np.isfinite(row).all():
        raise InputError("these are no numbers", design.file, key, allowed="finite numbers in a row, in SI units")
    stated = DESIGN.by_name["parts"].by_name["mass"] if key in listed else DESIGN.keys[key]
    if stated.allowed == "count" and (row % 1).any():
        raise InputError("not all of these are whole", design.file, key, float(row[row % 1 != 0][0]), "whole numbers")
    for end in (float(row.min()), float(row.max())):  # what the file may say of both ends it may say of all
        read_value(stated, _as_text(end, stated.unit), design.file, key)
    return row


def _as_text(value: float, unit: str) -> Any:
    """A number as a file has it: plain without a unit, else with it."""
    return (int(value) if value % 1 == 0 else value) if unit in ("", "1") else f"{value!r} {unit}"
