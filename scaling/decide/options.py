"""Ranking real options: every combination of the brief's candidates, tried in vectorised passes.

Each combination of rotor motor, drive motor, cells, ratios and materials is fitted under the mass law and by the
diameters of the motors, and judged as ports are: what it misses, then its score. A pass takes some thousands of
combinations at once, so memory does not grow with their number.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from scaling.decide.option import Option
from scaling.decide.option_batch import NEVER, Batch, best, needed, order, unbeaten
from scaling.decide.option_judge import (
    BEHIND,
    CODE_BITS,
    UNFIT,
    Judge,
    codes_of,
    judge_of,
    misses_of,
    scored,
    standing_of,
)
from scaling.decide.option_trials import Trials
from scaling.decide.option_words import told
from scaling.decide.redrawn import redrawn_rotor
from scaling.files.bounds import BOUNDS
from scaling.files.errors import InputError
from scaling.files.sentence import listed
from scaling.port.asked import FITS, Brief, OptionSpace
from scaling.port.inputs import port_parts
from scaling.port.laws import LAWS
from scaling.port.levers import check_closure
from scaling.robot.design import Design
from scaling.shop.motors import Motor, total_price

CHUNK = 2048
"""Combinations in one pass."""

NEEDS = {
    "rotor_motors": "rotor.motor.kv",
    "drive_motors": "drive.motor.kv",
    "cells": "battery.cells",
    "rotor_ratios": "rotor.ratio",
    "drive_ratios": "drive.ratio",
}
"""What the design must state for an axis to vary it."""


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
                             allowed=listed(sorted(with_one)))
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
    if not space.axes():
        raise InputError("nothing varies", file, "options", allowed="at least one list")
    BOUNDS["options"].check(space.combinations, file, "options")
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
    design: Design,
    brief: Brief,
    space: OptionSpace,
    most: int,
    progress: Callable[[int, int], None] | None = None,
    judge: Judge | None = None,
    beside: bool = True,
) -> tuple[list[Option], int]:
    """Return the ``most`` best options and every unbeaten one, best first, and how many were tried.

    Of options with the same score the first in the order of the brief's lists stands first. ``progress`` is called
    with the combinations done and their number; ``judge`` is what judges them, where it is there already. Without
    ``beside`` the unbeaten ones that are not among the best are left out.
    """
    check_closure(brief.closure, port_parts(design, brief), brief.file)
    trials, judge = Trials(design, brief, space), judge or judge_of(design, brief)
    total = trials.count * len(space.fits)
    kept: Batch | None = None
    unfit: Batch | None = None
    for place in range(len(space.fits)):
        for start in range(0, trials.count, CHUNK):
            numbers = np.arange(start, min(start + CHUNK, trials.count))
            batch = _tried(trials, judge, place, numbers, most, kept)
            unfit = _kept(unfit, _forgiven(batch), most)
            kept = _kept(kept, batch, most)
            if progress is not None:
                progress(place * trials.count + int(numbers[-1]) + 1, total)
    for batch in _redrawn(trials, judge, unfit, most):
        kept = _kept(kept, batch, most)
    if kept is None:
        return [], total
    nothing_beats = unbeaten(kept)
    return [
        _option(rank, trials, judge, kept, row, bool(nothing_beats[row]))
        for rank, row in enumerate(order(kept)[: None if beside else most], 1)
    ], total


def _kept(kept: Batch | None, batch: Batch | None, most: int) -> Batch | None:
    if batch is None:
        return kept
    return best(batch if kept is None else kept.and_then(batch), most)


def _tried(
    trials: Trials,
    judge: Judge,
    place: int,
    numbers: Any,
    most: int,
    kept: Batch | None,
    redrawn: Mapping[str, Any] | None = None,
) -> Batch | None:
    """The combinations of some numbers with the fit at ``place``, of those that may still end up in the answer."""
    factor, variables = trials.at(trials.space.fits[place], numbers, redrawn)
    seen = {**variables, **judge.evaluated(variables, judge.at_first, factor.shape)}
    misses = misses_of(judge, seen, factor.shape)
    standing = standing_of(judge, seen, misses, factor)
    wanted = needed(standing, [] if kept is None else kept.standing, most)
    if judge.has_ring and redrawn is None:
        wanted |= needed(_without_fit(standing, misses), [], most) & (misses & CODE_BITS[UNFIT] > 0)
    rows = np.flatnonzero(wanted)
    if not rows.size:
        return None
    some = {key: value[rows] if value.strides[0] else value[0] for key, value in variables.items()}
    return Batch(
        number=numbers[rows],
        fit=np.full(rows.shape, place),
        redrawn=np.full(rows.shape, redrawn is not None),
        factor=factor[rows],
        mass=np.asarray(variables["mass"])[rows],
        misses=misses[rows],
        standing=standing[rows],
        **scored(judge, some, factor[rows]),
    )


def _without_fit(standing: Any, misses: Any) -> Any:
    """The standing of options if nothing were wrong with the fit of rotor and motor."""
    return np.where(standing < NEVER, standing - (misses & CODE_BITS[UNFIT] > 0), NEVER)


def _forgiven(batch: Batch | None) -> Batch | None:
    """The options whose rotor does not go over its motor, as they would stand if it did."""
    rows = np.asarray([]) if batch is None else np.flatnonzero(batch.misses & CODE_BITS[UNFIT] > 0)
    if batch is None or not rows.size:
        return None
    found = batch.picked(rows)
    return replace(found, standing=_without_fit(found.standing, found.misses))


def _redrawn(trials: Trials, judge: Judge, unfit: Batch | None, most: int) -> list[Batch | None]:
    """The best of the options whose rotor does not go over its motor, with a rotor that is redrawn round that."""
    found: list[Batch | None] = []
    for place, fit in enumerate(trials.space.fits):
        rows = np.asarray([], dtype=int) if unfit is None else np.flatnonzero(unfit.fit == place)
        if unfit is None or not rows.size:
            continue
        numbers = unfit.number[rows]
        possible, rotor = redrawn_rotor(trials.design, trials.at(fit, numbers)[1])
        here = np.flatnonzero(possible)
        if here.size:
            rotor = {key: value[here] for key, value in rotor.items()}
            found.append(_tried(trials, judge, place, numbers[here], most, None, rotor))
    return found


def _option(rank: int, trials: Trials, judge: Judge, batch: Batch, row: int, nothing_beats: bool) -> Option:
    brief, number = trials.brief, int(batch.number[row])
    values = {name: float(column[row]) for name, column in batch.values.items() if np.isfinite(column[row])}
    redrawn = bool(batch.redrawn[row])
    rotor = {key: values[key] for key in ("rotor.diameter", "rotor.bore", "rotor.mass")} if redrawn else {}
    if redrawn and "rotor.inertia" in trials.design.stated:
        rotor["rotor.inertia"] = values["rotor.inertia"]
    misses = codes_of(int(batch.misses[row]))
    option = Option(
        rank=rank,
        chosen={name: _alternative(value) for name, value in trials.chosen(number).items()},
        fit=trials.space.fits[int(batch.fit[row])],
        factor=float(batch.factor[row]),
        mass=float(batch.mass[row]),
        left=brief.allowed_mass - float(batch.mass[row]),
        status="misses" if misses else "fits",
        misses=misses,
        score=float(batch.score[row]),
        aims={name: float(column[row]) for name, column in batch.aims.items()},
        unbeaten=nothing_beats,
        redrawn=redrawn,
        price=total_price(trials.bought(number)) or None,
        values=values,
        changes=trials.changes(number, rotor),
        text="",
    )
    return replace(option, text=told(option, judge, batch.standing[row] >= BEHIND))


def _alternative(value: Any) -> str:
    return value.name if isinstance(value, Motor) else str(value)
