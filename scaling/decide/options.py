"""Ranking real options: every combination of the brief's candidates, tried in vectorised passes.

Each combination of rotor motor, drive motor, cells, ratios and materials is tried as its own
motor-diameter law and fitted under the mass law. A pass takes some thousands of combinations at once,
so memory does not grow with their number.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from math import prod
from pathlib import Path
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
from scaling.files import toml as tomlfile
from scaling.files import units
from scaling.files.errors import InputError
from scaling.files.schema import Choice
from scaling.formulas import book
from scaling.port.asked import Brief, LawRequest, Variation
from scaling.port.inputs import inputs_at, port_parts
from scaling.port.laws import LAWS, largest_within
from scaling.port.levers import check_closure, close_parts
from scaling.port.rules import DRIVE_RULES, SPEED_RULES
from scaling.port.schema import OPTIONS
from scaling.robot.design import Design
from scaling.robot.parts import count, mass_at
from scaling.shop import materials
from scaling.shop.motors import Motor, load_motors
from scaling.study.run import LEAST, reference_values
from scaling.study.run import MOST as LARGEST

CHUNK = 2048
"""Combinations in one pass."""

MOST = 200_000
"""Combinations beyond which the brief is refused: a slip in a list, more likely than a wish."""

AXES = ("rotor_motors", "drive_motors", "cells", "rotor_ratios", "drive_ratios")
KEYS = (*OPTIONS.by_name, "materials")
FITS = ("mass", "motor-diameter")

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
class OptionSpace:
    """What may vary: each axis a list of alternatives, None or empty where the brief does not say."""

    rotor_motors: tuple[Motor, ...] = ()
    drive_motors: tuple[Motor, ...] = ()
    cells: tuple[int, ...] = ()
    rotor_ratios: tuple[float, ...] = ()
    drive_ratios: tuple[float, ...] = ()
    materials: dict[str, tuple[str, ...]] = field(default_factory=dict)
    fits: tuple[str, ...] = FITS
    speed_rule: str | None = "as-motored"
    drive_rule: str = "as-bought"

    def axes(self) -> dict[str, tuple[Any, ...]]:
        """Return the axes that have alternatives, by name; those of materials by 'material of PART'."""
        named = {name: getattr(self, name) for name in AXES}
        found = {name: values for name, values in named.items() if values}
        return found | {f"material of {part}": names for part, names in self.materials.items()}


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


def read_space(brief: Brief, design: Design) -> OptionSpace:
    """Return what the brief's ``[options]`` lets vary; raises InputError where there is nothing, or a bad list."""
    if brief.file is None or "options" not in (tables := tomlfile.read(brief.file)):
        raise InputError(
            "the brief has no options to try",
            brief.file,
            "options",
            allowed="a table headed [options] with rotor_motors, cells ...",
        )
    table, file = tables["options"], brief.file
    if not isinstance(table, dict):
        raise InputError("this must be a table", file, "options", table, "a table headed [options]")
    for key in table:
        if key not in KEYS:
            raise tomlfile.unknown(f"options.{key}", [f"options.{known}" for known in KEYS], file)
    motors = {}
    for key in ("rotor_motors", "drive_motors"):
        if key in table:
            name = tomlfile.choice(Choice(None, "path of a CSV file"), table[key], file, f"options.{key}")
            motors[key] = load_motors(file.parent / name)
    rule = tomlfile.choice(
        Choice(tuple(SPEED_RULES), "speed rule"), table.get("speed_rule", "as-motored"), file, "options.speed_rule"
    )
    drive_rule = tomlfile.choice(
        Choice(tuple(DRIVE_RULES), "drive rule"), table.get("drive_rule", "as-bought"), file, "options.drive_rule"
    )
    space = OptionSpace(
        **motors,
        cells=tuple(count(value, file, "options.cells") for value in _listed(table, "cells", file)),
        rotor_ratios=_numbers(table, "rotor_ratios", file),
        drive_ratios=_numbers(table, "drive_ratios", file),
        materials=_read_materials(table.get("materials", {}), design, file),
        fits=_read_fits(table, brief, design, set(motors), file),
        speed_rule=rule if design.has_rotor else None,
        drive_rule=drive_rule,
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


def _read_fits(table: dict[str, Any], brief: Brief, design: Design, varied: set[str], file: Path) -> tuple[str, ...]:
    """Which fits to try: both, where a motor's diameter is known at the port, unless the brief says which."""
    key = LAWS["motor-diameter"].compares(design, None)
    known = key in brief.numbers or f"{key.partition('.')[0]}_motors" in varied
    if "fits" not in table:
        return FITS if known else FITS[:1]
    _check_list(table["fits"], file, "options.fits")
    fits = [tomlfile.choice(Choice(FITS, "fit"), fit, file, "options.fits") for fit in table["fits"]]
    if "motor-diameter" in fits and not known:
        hint = f"give {key.partition('.')[0]}_motors, or state port.{key}"
        raise InputError("no motor's diameter varies or is stated for the port", file, "options.fits", hint=hint)
    return tuple(dict.fromkeys(fits))


def _check_list(value: object, file: Path, key: str) -> None:
    if not isinstance(value, list) or not value:
        raise InputError("this must be a list with something in it", file, key, value)


def _listed(table: dict[str, Any], key: str, file: Path) -> list[Any]:
    if key in table:
        _check_list(table[key], file, f"options.{key}")
    return list(table.get(key, []))


def _numbers(table: dict[str, Any], key: str, file: Path) -> tuple[float, ...]:
    found = tuple(units.parse(value, "1", file, f"options.{key}") for value in _listed(table, key, file))
    for value in found:
        if value <= 0:
            raise InputError("a ratio must be above zero", file, f"options.{key}", value)
    return found


def _read_materials(table: object, design: Design, file: Path) -> dict[str, tuple[str, ...]]:
    if not isinstance(table, dict):
        raise InputError("this must be a table", file, "options.materials", table, "part names with lists of materials")
    with_one = {part.name for part in design.parts if part.material is not None and part.name != "rotor"}
    found: dict[str, tuple[str, ...]] = {}
    for name, values in table.items():
        where = f"options.materials.{name}"
        if name not in with_one:
            allowed = ", ".join(sorted(with_one))
            raise InputError("the design has no such part of one material", file, where, allowed=allowed)
        _check_list(values, file, where)
        found[name] = tuple(materials.material(str(value), file, where).name for value in values)
    return found


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
            cells = np.asarray(values, dtype=float)[place]
            # What the brief says of its pack is said of its own cells: more of the same weigh and resist more.
            share = cells / brief.numbers.get("battery.cells", own_cells)
            numbers |= {key: numbers[key] * share for key in ("battery.mass", "battery.resistance") if key in numbers}
            numbers["battery.cells"] = cells
            numbers.pop("battery.voltage", None)
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
        parts, _ = close_parts(parts, factor, target, brief.closure, tried.shelves_of(brief))
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
        unreached = found["rotor_speed"] > found["rotor_speed_as_motored"] * (1 + 1e-6)
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
