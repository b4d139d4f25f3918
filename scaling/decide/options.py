"""Ranking real options: every combination of the brief's candidates, tried in vectorised passes.

Each combination of rotor motor, drive motor, cells, ratios and materials is tried as its own
motor-diameter law and fitted under the mass law. A pass takes some thousands of combinations at once,
so memory does not grow with their number.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import prod
from typing import Any

import numpy as np

from scaling.decide.option_score import (
    HELD,
    WATCHED,
    Batch,
    best,
    drift_of,
    mass_cost,
    order,
    reason_of,
    shortfall_of,
    unbeaten_of,
)
from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.port.asked import FITS, Brief, LawRequest, OptionSpace, Variation, with_cells
from scaling.port.inputs import inputs_at, port_parts
from scaling.port.laws import LAWS, largest_within
from scaling.port.levers import check_closure, close_parts
from scaling.robot.design import Design
from scaling.robot.parts import mass_at
from scaling.shop.motors import Motor
from scaling.study.reach import is_reached
from scaling.study.run import LEAST, reference_values
from scaling.study.run import MOST as LARGEST

CHUNK = 2048
"""Combinations in one pass."""

MOST = 200_000
"""Combinations beyond which the brief is refused: a slip in a list, more likely than a wish."""

SCORE = (
    "score = mean |ln drift| of what a driver notices (gravity's clock, only drifts for the worse) "
    "+ sum of ln(bound / margin) of survival and electrical margins below their bound (1, or the reference's where "
    "that is lower) and of the brief's own limits that are passed + 10 x share of mass over the limit less margin "
    "+ share of it unused + 1 where the set speed is not reached; less is better"
)

NEEDS = {
    "rotor_motors": "rotor.motor.kv",
    "drive_motors": "drive.motor.kv",
    "cells": "battery.cells",
    "rotor_ratios": "rotor.ratio",
    "drive_ratios": "drive.ratio",
}
"""What the design must state for an axis to vary it."""


@dataclass(frozen=True)
class Option:
    """One ranked combination: what was chosen, how it was fitted, its factor, mass, score and what makes it up."""

    rank: int
    chosen: dict[str, str]
    fit: str
    factor: float
    mass: float
    left: float
    score: float
    drift: float
    shortfall: float
    unbeaten: bool
    values: dict[str, float]
    reason: str


def space_of(brief: Brief, design: Design) -> OptionSpace:
    """Return what the brief lets vary of the design, with the fits that it leaves open.

    Raises InputError where the brief lets nothing vary, or what the design does not have.
    """
    space, file = brief.options, brief.file
    if space is None:
        raise InputError(
            "the brief has no options to try",
            file,
            "options",
            allowed="a table headed [options] with rotor_motors, cells ...",
        )
    with_one = {part.name for part in design.parts if part.material is not None and part.name != "rotor"}
    for name in space.materials:
        if name not in with_one:
            raise InputError("the design has no such part of one material", file, f"options.materials.{name}",
                             allowed=", ".join(sorted(with_one)))
    space = replace(
        space, fits=_fits(space, brief, design), speed_rule=space.speed_rule if design.has_rotor else None
    )
    for axis in space.axes():
        if axis in NEEDS and NEEDS[axis] not in design.variables:
            raise InputError(
                "the design does not state what this varies",
                file,
                f"options.{axis}",
                hint=f"state {NEEDS[axis]} in the design file, or leave the list out",
            )
    total = prod(len(values) for values in space.axes().values()) * len(space.fits)
    if not space.axes() or total > MOST:
        raise InputError(
            f"{total} combinations" if space.axes() else "nothing varies",
            file,
            "options",
            allowed=f"at least one list, at most {MOST} combinations",
        )
    return space


def _fits(space: OptionSpace, brief: Brief, design: Design) -> tuple[str, ...]:
    """Which fits to try: both, where a motor's diameter is known at the port, unless the brief says which."""
    key = LAWS["motor-diameter"].compares(design, None)
    varied = f"{key.partition('.')[0]}_motors"
    known = key in brief.numbers or varied in space.axes()
    if not space.fits:
        return FITS if known else FITS[:1]
    if "motor-diameter" in space.fits and not known:
        hint = f"give {varied}, or state port.{key}"
        raise InputError("no motor's diameter varies or is stated for the port", brief.file, "options.fits", hint=hint)
    return space.fits


def rank_options(
    design: Design, brief: Brief, space: OptionSpace, most: int, progress: Callable[[int, int], None] | None = None
) -> tuple[list[Option], int]:
    """Return the ``most`` best options and every unbeaten one, best first, and how many were tried.

    Of options with the same score the first in the order of the brief's lists stands first. ``progress`` is called
    with the combinations done and their number.
    """
    reference = reference_values(design)
    check_closure(brief.closure, port_parts(design, brief), brief.file)
    lengths = [len(values) for values in space.axes().values()]
    target = brief.allowed_mass
    total = prod(lengths) * len(space.fits)
    kept: Batch | None = None
    for place, fit in enumerate(space.fits):
        for start in range(0, prod(lengths), CHUNK):
            numbers = np.arange(start, min(start + CHUNK, prod(lengths)))
            columns = _tried(design, brief, space, fit, numbers, np.unravel_index(numbers, lengths), reference)
            batch = Batch(number=numbers, fit=np.full(numbers.shape, place), **columns)
            kept = best(batch if kept is None else kept.and_then(batch), most, target)
            if progress is not None:
                progress(place * prod(lengths) + numbers[-1] + 1, total)
    assert kept is not None  # noqa: S101 - a space has an axis and a fit
    unbeaten = unbeaten_of(kept, target)
    return [
        _option(rank, brief, space, kept, row, bool(unbeaten[row]), reference)
        for rank, row in enumerate(order(kept), 1)
    ], total


def _columns(space: OptionSpace, places: tuple[Any, ...], brief: Brief, own_cells: float) -> dict[str, Any]:
    """Values of the design's keys for each combination, by the axes' alternatives."""
    numbers: dict[str, Any] = dict(brief.numbers)
    for (name, values), place in zip(space.axes().items(), places, strict=True):
        if name in ("rotor_motors", "drive_motors"):
            table = "rotor.motor" if name == "rotor_motors" else "drive.motor"
            for key in values[0].numbers:
                numbers[f"{table}.{key}"] = np.asarray([motor.numbers[key] for motor in values])[place]
            numbers.pop(f"{table}.inertia", None)
        elif name == "cells":
            numbers = with_cells(numbers, np.asarray(values, dtype=float)[place], own_cells)
        elif name.endswith("_ratios"):
            numbers[name.removesuffix("_ratios") + ".ratio"] = np.asarray(values, dtype=float)[place]
    return numbers


def _materials(space: OptionSpace, places: tuple[Any, ...]) -> dict[str, tuple[tuple[str, ...], Any]]:
    """The materials that are tried by part, and each combination's place among them."""
    by_axis = dict(zip(space.axes(), places, strict=True))
    return {name: (names, by_axis[f"material of {name}"]) for name, names in space.materials.items()}


def _tried(
    design: Design,
    brief: Brief,
    space: OptionSpace,
    fit: str,
    numbers: Any,
    places: tuple[Any, ...],
    reference: dict[str, float],
) -> dict[str, Any]:
    """Columns of a run of combinations, those of a batch but its number and fit."""
    given = _columns(space, places, brief, design.variables.get("battery.cells", 1.0))
    given = {key: value for key, value in given.items() if key in design.variables}
    tried = Variation(given, _materials(space, places))
    parts = port_parts(design, brief, tried)
    target = brief.allowed_mass
    if LAWS[fit].closes_mass:
        factor = largest_within(lambda factors: mass_at(parts, factors), target, LEAST, LARGEST, numbers.shape)
    else:
        key = LAWS[fit].compares(design, None)
        factor = np.broadcast_to(given[key] / design.variables[key], numbers.shape).astype(float)
        factor = np.where((factor >= LEAST) & (factor <= LARGEST), factor, np.nan)
        parts, _ = close_parts(parts, factor, target, brief.closure, tried.shelves_of(design, brief))
    request = LawRequest(fit, space.speed_rule, space.drive_rule)
    variables = inputs_at(design, brief, request, parts, factor, tried).variables
    wanted = [name for name in book.quantities if name in WATCHED or name in HELD]
    found = book.evaluate(
        variables, design.traits, only=[*wanted, *brief.limits, "rotor_speed_as_motored", "rotor_speed"]
    )
    found = {name: np.broadcast_to(value, numbers.shape) for name, value in found.items()}
    mass = np.asarray(variables["mass"])
    voltage = "battery.voltage"
    volts = variables[voltage] / design.variables[voltage] if voltage in variables else None
    drift = drift_of(found, reference, mass / design.variables["mass"], factor, volts)
    shortfall = shortfall_of({**variables, **found}, reference, brief)
    unreached = np.zeros(numbers.shape, dtype=bool)
    if "rotor_speed_as_motored" in found and "rotor_speed" in found:
        unreached = ~is_reached(found["rotor_speed"], found["rotor_speed_as_motored"], reference)
    score = drift + shortfall + mass_cost(mass, target) + unreached
    score = np.where(np.isfinite(score) & np.isfinite(factor), score, np.inf)
    shown = {name: value for name, value in found.items() if name in wanted or name in brief.limits}
    shown |= {name: variables[name] for name in [*brief.limits, *brief.size_limit] if name in variables}
    return {
        "factor": factor,
        "mass": mass,
        "drift": drift,
        "shortfall": shortfall,
        "score": score,
        "unreached": unreached,
        "values": shown,
    }


def _option(
    rank: int, brief: Brief, space: OptionSpace, batch: Batch, row: int, unbeaten: bool, reference: dict[str, float]
) -> Option:
    axes = space.axes()
    places = np.unravel_index(int(batch.number[row]), [len(values) for values in axes.values()])
    factor, mass, score, drift, shortfall = (
        float(column[row]) for column in (batch.factor, batch.mass, batch.score, batch.drift, batch.shortfall)
    )
    values = {name: float(value[row]) for name, value in batch.values.items() if np.isfinite(value[row])}
    return Option(
        rank=rank,
        chosen={name: _alternative(axis[place]) for (name, axis), place in zip(axes.items(), places, strict=True)},
        fit=space.fits[int(batch.fit[row])],
        factor=factor,
        mass=mass,
        left=brief.allowed_mass - mass,
        score=score,
        drift=drift,
        shortfall=shortfall,
        unbeaten=unbeaten,
        values=values,
        reason=reason_of({**values, "mass": mass}, reference, brief, drift, bool(batch.unreached[row]), unbeaten),
    )


def _alternative(value: Any) -> str:
    return value.name if isinstance(value, Motor) else str(value)
