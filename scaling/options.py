"""Ranking real options: every combination of the brief's candidates, tried in vectorised passes.

Each combination of rotor motor, drive motor, cells, ratios and materials is tried as its own
motor-diameter law and fitted under the mass law. A pass takes some thousands of combinations at once,
so memory does not grow with their number.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from math import prod
from pathlib import Path
from typing import Any

import numpy as np

from scaling import materials, tomlfile, units
from scaling.brief import Brief, LawRequest
from scaling.candidates import Motor, load_motors
from scaling.design import MATERIAL_PROPERTIES, Design
from scaling.drift import similarity_ratio
from scaling.errors import InputError
from scaling.formulas import book
from scaling.formulas.book import Array, Choice
from scaling.laws import SPEED_RULES
from scaling.parts import Part, count
from scaling.port import inputs_at, mass_at, port_parts
from scaling.problems import STRENGTH_BRANCHES
from scaling.study import reference_values

CHUNK = 2048
"""Combinations in one pass."""

MOST = 200_000
"""Combinations beyond which the brief is refused: a slip in a list, more likely than a wish."""

KEYS = ("rotor_motors", "drive_motors", "cells", "rotor_ratios", "drive_ratios", "materials", "fits", "speed_rule", "drive_rule")
FITS = ("mass", "motor-diameter")

WATCHED = ("energy_lift_lengths", "gyro_margin", "rush_margin", "bite_ratio", "spin_up_time_80_energy", "froude_speed",
           "top_yaw_rate", "arena_crossing_time", "throw_height", "drive_push_margin", "match_energy_margin")
"""Quantities whose drift the score counts: what a driver notices."""

HELD = ("brown_out_margin", "match_energy_margin", "rotor_steady_current_margin", "belt_slip_margin")

SCORE = (
    "score = mean |ln drift| of what a driver notices (gravity's clock, only drifts for the worse) "
    "+ sum of ln(bound / margin) of survival and electrical margins below their bound (1, or the reference's where that is "
    "lower) + 10 x share of mass over the limit less margin + share of it unused + 1 where the set speed is not reached; "
    "less is better"
)

LOW, HIGH, HALVINGS = 0.05, 20.0, 50
"""Factors between which the mass closes, and halvings of that: to a part in 1e13."""


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
        named = {name: getattr(self, name) for name in ("rotor_motors", "drive_motors", "cells", "rotor_ratios", "drive_ratios")}
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
        raise InputError("the brief has no options to try", brief.file, "options",
                         allowed="a table headed [options] with rotor_motors, cells ...")
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
    if motors.get("rotor_motors") and not design.has_rotor:
        raise InputError("the design has no rotor to put a motor on", file, "options.rotor_motors")
    rule = tomlfile.choice(Choice(tuple(SPEED_RULES), "speed rule"), table.get("speed_rule", "as-motored"), file,
                           "options.speed_rule")
    fits = table.get("fits", list(FITS))
    _check_list(fits, file, "options.fits")
    space = OptionSpace(
        **motors,
        cells=tuple(count(value, file, "options.cells") for value in _listed(table, "cells", file)),
        rotor_ratios=_numbers(table, "rotor_ratios", file),
        drive_ratios=_numbers(table, "drive_ratios", file),
        materials=_read_materials(table.get("materials", {}), design, file),
        fits=tuple(tomlfile.choice(Choice(FITS, "fit"), fit, file, "options.fits") for fit in fits),
        speed_rule=rule if design.has_rotor else None,
        drive_rule=table.get("drive_rule", "as-bought"),
    )
    total = prod(len(values) for values in space.axes().values()) * len(space.fits)
    if not space.axes() or total > MOST:
        raise InputError(f"{total} combinations" if space.axes() else "nothing varies", file, "options",
                         allowed=f"at least one list, at most {MOST} combinations")
    return space


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
            raise InputError("the design has no such part of one material", file, where, allowed=", ".join(sorted(with_one)))
        _check_list(values, file, where)
        found[name] = tuple(materials.material(str(value), file, where).name for value in values)
    return found


@dataclass(frozen=True)
class _Batch:
    """Columns of a run of combinations, each an array of one length."""

    number: Array
    fit: str
    factor: Array
    mass: Array
    drift: Array
    shortfall: Array
    score: Array
    unreached: Array
    values: dict[str, Array]


def rank_options(
    design: Design, brief: Brief, space: OptionSpace, most: int, progress: Callable[[int, int], None] | None = None
) -> tuple[list[Option], int]:
    """Return the ``most`` best options and every unbeaten one, best first, and how many were tried.

    ``progress`` is called with the combinations done and their number.
    """
    reference = reference_values(design)
    lengths = [len(values) for values in space.axes().values()]
    total = prod(lengths) * len(space.fits)
    kept: list[_Batch] = []
    done = 0
    for fit in space.fits:
        for start in range(0, prod(lengths), CHUNK):
            numbers = np.arange(start, min(start + CHUNK, prod(lengths)))
            places = np.unravel_index(numbers, lengths)
            batch = _tried(design, brief, space, fit, numbers, places, reference)
            kept = [_best(batch, most), *kept]
            done += numbers.size
            if progress is not None:
                progress(done, total)
    return _ranked(brief, space, kept, most, reference), total


def _columns(space: OptionSpace, places: tuple[Any, ...], brief: Brief) -> dict[str, Any]:
    """Values of the design's keys for each combination, by the axes' alternatives."""
    numbers: dict[str, Any] = dict(brief.numbers)
    for (name, values), place in zip(space.axes().items(), places, strict=True):
        if name in ("rotor_motors", "drive_motors"):
            table = "rotor.motor" if name == "rotor_motors" else "drive.motor"
            for key in values[0].numbers:
                numbers[f"{table}.{key}"] = np.asarray([motor.numbers[key] for motor in values])[place]
            numbers.pop(f"{table}.inertia", None)
        elif name == "cells":
            numbers["battery.cells"] = np.asarray(values, dtype=float)[place]
        elif name.endswith("_ratios"):
            numbers[name.removesuffix("_ratios") + ".ratio"] = np.asarray(values, dtype=float)[place]
    return numbers


def _with_materials(
    space: OptionSpace, places: tuple[Any, ...], design: Design, parts: tuple[Part, ...], numbers: dict[str, Any]
) -> tuple[Part, ...]:
    """Parts whose masses are arrays by each combination's materials; properties of tables that are those parts too."""
    changed = list(parts)
    for (name, values), place in zip(space.axes().items(), places, strict=True):
        if not name.startswith("material of "):
            continue
        part_name = name.removeprefix("material of ")
        row = next(index for index, part in enumerate(changed) if part.name == part_name)
        old = materials.material(changed[row].material or "").density.typical
        density = np.asarray([materials.material(value).density.typical for value in values])[place]
        # Shelves differ by family, so a part whose material varies keeps its scaled thickness.
        changed[row] = replace(changed[row], mass=changed[row].mass * density / old, on_shelf=())
        for key, word in design.choices.items():
            if key.endswith(".part") and word == part_name:
                _set_properties(numbers, key.removesuffix(".part"), values, place)
    return tuple(changed)


def _set_properties(numbers: dict[str, Any], table: str, values: tuple[str, ...], place: Any) -> None:
    for quality in MATERIAL_PROPERTIES:
        key = f"{table}.{quality}"
        if key in book.variables():
            found = [getattr(materials.material(value), quality) for value in values]
            numbers[key] = np.asarray([value if isinstance(value, float) else value.typical for value in found])[place]


def _tried(
    design: Design, brief: Brief, space: OptionSpace, fit: str, numbers: Array, places: tuple[Any, ...],
    reference: dict[str, float],
) -> _Batch:
    given = _columns(space, places, brief)
    own = replace(brief, numbers=given)
    parts = _with_materials(space, places, design, port_parts(design, own), given)
    own = replace(brief, numbers={key: value for key, value in given.items() if key in design.variables})
    target = brief.mass_limit - brief.mass_margin
    factor = _fitted(parts, target, numbers.shape) if fit == "mass" else _by_diameter(design, given, numbers.shape)
    request = LawRequest("length", space.speed_rule, space.drive_rule)
    inputs = inputs_at(design, own, request, parts, factor)
    wanted = [name for name in book.quantities() if name in WATCHED or name in HELD or _is_strength(name)]
    found = book.evaluate(inputs.variables, design.traits, only=[*wanted, "rotor_speed_as_motored", "rotor_speed"])
    mass = np.asarray(inputs.variables["mass"])
    volts = inputs.variables["battery.voltage"] / design.variables["battery.voltage"] if "battery.voltage" in design.variables else None
    drift = _drift(found, reference, mass / design.variables["mass"], factor, volts)
    shortfall = _shortfall(found, reference)
    unreached = np.zeros(numbers.shape, dtype=bool)
    if "rotor_speed_as_motored" in found and "rotor_speed" in found:
        unreached = found["rotor_speed"] > found["rotor_speed_as_motored"] * (1 + 1e-6)
    left = (target - mass) / target
    score = drift + shortfall + 10 * np.maximum(-left, 0) + np.maximum(left, 0) + unreached
    score = np.where(np.isfinite(score) & np.isfinite(factor), score, np.inf)
    return _Batch(numbers, fit, factor, mass, drift, shortfall, score, unreached, found)


def _is_strength(name: str) -> bool:
    return name.endswith("_margin") and book.quantities()[name].branch in STRENGTH_BRANCHES


def _fitted(parts: tuple[Part, ...], target: float, shape: tuple[int, ...]) -> Array:
    """Largest factor at which each combination's parts are within ``target``, NaN where none is; by bisection."""
    low, high = np.full(shape, LOW), np.full(shape, HIGH)
    nowhere = mass_at(parts, low) > target
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        within = mass_at(parts, middle) <= target
        low, high = np.where(within, middle, low), np.where(within, high, middle)
    return np.where(nowhere, np.nan, low)


def _by_diameter(design: Design, given: dict[str, Any], shape: tuple[int, ...]) -> Array:
    key = "rotor.motor.diameter" if "rotor.motor.diameter" in design.variables else "drive.motor.diameter"
    if key not in design.variables:
        return np.full(shape, np.nan)
    return np.broadcast_to(given.get(key, design.variables[key]) / design.variables[key], shape).astype(float)


def _drift(
    found: dict[str, Array], reference: dict[str, float], mass_ratio: Array, factor: Array, volts: Any
) -> Array:
    """Mean |ln drift| of the watched quantities, of those that drift for the worse."""
    sizes: list[Array] = []
    with np.errstate(all="ignore"):
        for name in WATCHED:
            if name not in found or not reference.get(name):
                continue
            entry = book.quantities()[name]
            alike = similarity_ratio(entry.dimension, mass_ratio, factor, "gravity", volts)
            size = np.log(found[name] / reference[name] / alike)
            size = {"higher": np.maximum(-size, 0), "lower": np.maximum(size, 0), "same": np.abs(size)}[entry.better]
            sizes.append(np.where(np.isfinite(size), size, 1.0))
    return np.asarray(np.mean(sizes, axis=0)) if sizes else np.zeros(factor.shape)


def _shortfall(found: dict[str, Array], reference: dict[str, float]) -> Array:
    """Sum of ln(bound / margin) of the margins below their bound."""
    total: Any = 0.0
    with np.errstate(all="ignore"):
        for name, value in found.items():
            if name in HELD or _is_strength(name):
                bound = min(1.0, reference.get(name, 1.0))
                total = total + np.nan_to_num(np.maximum(np.log(bound / value), 0.0), nan=0.0, posinf=5.0)
    return np.asarray(total)


def _best(batch: _Batch, most: int) -> _Batch:
    """The rows of a batch that may end up in the answer: its best by score and its unbeaten ones."""
    order = np.argsort(batch.score, kind="stable")[:most]
    rows = np.union1d(order, np.flatnonzero(_unbeaten(batch)))
    rows = rows[np.isfinite(batch.score[rows])]
    return _Batch(
        batch.number[rows], batch.fit, batch.factor[rows], batch.mass[rows], batch.drift[rows], batch.shortfall[rows],
        batch.score[rows], batch.unreached[rows],
        {name: np.broadcast_to(value, batch.score.shape)[rows] for name, value in batch.values.items()},
    )


def _unbeaten(batch: _Batch) -> Any:
    return pareto(np.stack([batch.drift, batch.shortfall + batch.unreached, batch.mass], axis=1), np.isfinite(batch.score))


def pareto(costs: Array, usable: Any) -> Any:
    """Return which rows of ``costs`` (n by k, less is better) no other usable row beats in every column.

    A row beats another when it is nowhere worse and somewhere better.
    """
    unbeaten = np.asarray(usable, dtype=bool).copy()
    order = np.argsort(costs.sum(axis=1), kind="stable")
    for row in order:
        if not unbeaten[row]:
            continue
        worse = (costs >= costs[row]).all(axis=1) & (costs > costs[row]).any(axis=1)
        unbeaten &= ~worse
    return unbeaten


def _ranked(
    brief: Brief, space: OptionSpace, kept: list[_Batch], most: int, reference: dict[str, float]
) -> list[Option]:
    scores = np.concatenate([batch.score for batch in kept])
    if not scores.size:
        return []
    costs = np.concatenate([
        np.stack([batch.drift, batch.shortfall + batch.unreached, batch.mass], axis=1) for batch in kept
    ])
    unbeaten = pareto(costs, np.isfinite(scores))
    rows = [(batch, row) for batch in kept for row in range(batch.score.size)]
    order = np.argsort(scores, kind="stable")
    wanted = [index for place, index in enumerate(order) if place < most or unbeaten[index]]
    return [
        _option(rank, brief, space, *rows[index], bool(unbeaten[index]), reference) for rank, index in enumerate(wanted, 1)
    ]


def _option(
    rank: int, brief: Brief, space: OptionSpace, batch: _Batch, row: int, unbeaten: bool, reference: dict[str, float]
) -> Option:
    axes = space.axes()
    places = np.unravel_index(int(batch.number[row]), [len(values) for values in axes.values()])
    chosen = {name: _alternative(values[place]) for (name, values), place in zip(axes.items(), places, strict=True)}
    target = brief.mass_limit - brief.mass_margin
    values = {name: float(value[row]) for name, value in batch.values.items() if np.isfinite(value[row])}
    left = target - float(batch.mass[row])
    reason = _reason(values, reference, batch, row, left, unbeaten)
    return Option(rank, chosen, batch.fit, float(batch.factor[row]), float(batch.mass[row]), left, float(batch.score[row]),
                  float(batch.drift[row]), float(batch.shortfall[row]), unbeaten, values, reason)


def _alternative(value: Any) -> str:
    return value.name if isinstance(value, Motor) else str(value)


def _reason(
    values: dict[str, float], reference: dict[str, float], batch: _Batch, row: int, left: float, unbeaten: bool
) -> str:
    """A rank in a sentence: drift, the margin that is furthest below its bound, mass, and whether anything beats it."""
    text = f"mean drift for the worse {100 * float(np.expm1(batch.drift[row])):.0f} %"
    short = [
        (float(np.log(min(1.0, reference.get(name, 1.0)) / value)), name)
        for name, value in values.items()
        if (name in HELD or _is_strength(name)) and 0 < value < min(1.0, reference.get(name, 1.0)) * (1 - 1e-9)
    ]
    if short:
        name = max(short)[1]
        label = book.quantities()[name].label
        text += f"; {label[0].lower()}{label[1:]} at {values[name]:.2f} is furthest below its bound"
    else:
        text += "; every margin at its bound or above"
    if batch.unreached[row]:
        text += "; the motor does not reach the set speed"
    text += f"; {left * 1e3:.0f} g left" if left >= 0 else f"; {-left * 1e3:.0f} g too heavy"
    return text + ("; nothing beats it in drift, margins and mass at once" if unbeaten else "")

