"""What an option's rank is made of: drift, missed bounds, the score's order, who beats whom, and words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.book.entry import Array
from scaling.book.similarity import similarity_ratio
from scaling.decide.limits import box_limits, stated_limits
from scaling.formulas import book
from scaling.port.brief import Brief
from scaling.study.problem import in_sentence

WATCHED = (
    "energy_lift_lengths",
    "gyro_margin",
    "rush_margin",
    "bite_ratio",
    "spin_up_time_80_energy",
    "froude_speed",
    "top_yaw_rate",
    "arena_crossing_time",
    "throw_height",
    "throw_slide",
    "drive_push_margin",
    "match_energy_margin",
)
"""Quantities whose drift the score counts: what a driver notices."""

HELD = tuple(name for name in book.kept if book.quantities[name].role != "handling")
"""Margins below whose bound an option falls short; what a driver feels counts by its drift instead."""

NO_MARGIN = 5.0
"""What a margin of nought adds to the score."""

CLOSE = 1e-9
"""A bound that is missed by this share, or a kilogram, counts as met."""

ALIKE = 12
"""Digits after the point of scores and costs that count: what differs by less is alike, and the first stands first."""


@dataclass(frozen=True)
class Batch:
    """Columns of a run of combinations, each an array of one length; ``fit`` is a place in the space's fits."""

    number: Any
    fit: Any
    factor: Array
    mass: Array
    drift: Array
    shortfall: Array
    score: Array
    unreached: Array
    values: dict[str, Array]

    def picked(self, rows: Any) -> Batch:
        """The batch of some of the rows."""
        columns = {name: column[rows] for name, column in vars(self).items() if name != "values"}
        return Batch(**columns, values={name: value[rows] for name, value in self.values.items()})

    def and_then(self, other: Batch) -> Batch:
        """Both batches, the other behind."""
        own, more = vars(self), vars(other)
        columns = {name: np.concatenate([own[name], more[name]]) for name in own if name != "values"}
        values = {name: np.concatenate([value, other.values[name]]) for name, value in self.values.items()}
        return Batch(**columns, values=values)


def drift_of(
    found: dict[str, Array], reference: dict[str, float], mass_ratio: Array, factor: Array, volts: Any
) -> Array:
    """Mean |ln drift| of the watched quantities, of those that drift for the worse."""
    sizes: list[Array] = []
    with np.errstate(all="ignore"):
        for name in WATCHED:
            if name not in found or not reference.get(name):
                continue
            entry = book.quantities[name]
            alike = similarity_ratio(entry.dimension, mass_ratio, factor, "gravity", volts)
            if alike is None:
                continue
            size = np.log(found[name] / reference[name] / alike)
            size = {"higher": np.maximum(-size, 0), "lower": np.maximum(size, 0), "same": np.abs(size)}[entry.better]
            sizes.append(np.where(np.isfinite(size), size, 1.0))
    return np.asarray(np.mean(sizes, axis=0)) if sizes else np.zeros(factor.shape)


def missed(values: Mapping[str, Any], reference: Mapping[str, float], brief: Brief) -> list[tuple[str, Any]]:
    """Return every bound that an option has with ln(bound / value), above 0 where it is missed.

    Bounds are those of survival and electrical margins (1, or the reference's where that is lower), by name of the
    margin, and the brief's own, box and limits, by their label; the mass counts by itself. What cannot be computed
    counts as met: where the set speed is not reached that counts by itself too.
    """
    found: list[tuple[str, Any]] = []
    with np.errstate(all="ignore"):
        for name, value in values.items():
            if name in HELD:
                found.append((name, np.log(min(1.0, reference.get(name, 1.0)) / value)))
        for limit in [*box_limits(brief, values)[1:], *stated_limits(brief, values)]:
            found.append((limit.label, -np.log(limit.level)))
    return [(bound, np.nan_to_num(size, nan=0.0, posinf=NO_MARGIN)) for bound, size in found]


def shortfall_of(values: Mapping[str, Any], reference: Mapping[str, float], brief: Brief) -> Array:
    """Sum of ln(bound / value) of the bounds that are missed."""
    return np.asarray(sum(np.where(size > CLOSE, size, 0.0) for _, size in missed(values, reference, brief)))


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


def mass_cost(mass: Any, target: float) -> Any:
    """What a mass adds to the score: the share of ``target`` that it leaves, or ten times the share that it is over."""
    left = (target - mass) / target
    return np.maximum(left, 0) + 10 * np.maximum(-left, 0)


def best(batch: Batch, most: int, target: float) -> Batch:
    """Return the rows of a batch that may end up in the answer: its best by score and its unbeaten ones."""
    rows = np.union1d(order(batch)[:most], np.flatnonzero(unbeaten_of(batch, target)))
    return batch.picked(rows[np.isfinite(batch.score[rows])])


def unbeaten_of(batch: Batch, target: float) -> Any:
    """Return which options within the ``target`` mass none of them beats in drift, margins and mass at once."""
    over = batch.mass > target * (1 + CLOSE)
    costs = np.stack([batch.drift, batch.shortfall + batch.unreached, mass_cost(batch.mass, target)], axis=1)
    return pareto(np.round(costs, ALIKE).astype(float), np.isfinite(batch.score) & ~over)


def order(batch: Batch) -> Any:
    """Return the rows of a batch by score, fit and number."""
    return np.lexsort((batch.number, batch.fit, np.round(batch.score, ALIKE)))


def reason_of(
    values: Mapping[str, float],
    reference: Mapping[str, float],
    brief: Brief,
    drift: float,
    unreached: bool,
    unbeaten: bool,
) -> str:
    """Return a rank in a sentence: drift, the bound that is missed most, mass, and whether anything beats it."""
    text = f"mean drift {100 * float(np.expm1(drift)):.0f} % worse"
    bound, size = max(missed(values, reference, brief), key=lambda pair: float(pair[1]), default=("", 0.0))
    if size <= CLOSE:
        text += "; every margin at its bound or above"
    elif bound in book.quantities:
        text += f"; furthest below its bound: {in_sentence(bound)} {values[bound]:.2f}"
    else:
        text += f"; {bound[0].lower()}{bound[1:]} is passed most, by {100 * float(np.expm1(size)):.0f} %"
    if unreached:
        text += "; the motor does not reach the set speed"
    left = brief.allowed_mass - values["mass"]
    text += f"; {abs(left) * 1e3:.0f} g {'left' if left >= -CLOSE else 'too heavy'}"
    return text + ("; nothing beats it" if unbeaten else "")
