"""What an option's score is made of: drift, missed bounds, who beats whom, and a rank in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from scaling.brief import Brief
from scaling.drift import similarity_ratio
from scaling.formulas import book
from scaling.formulas.book import Array
from scaling.window import Limit, box_limits, is_strength, stated_limits

WATCHED = ("energy_lift_lengths", "gyro_margin", "rush_margin", "bite_ratio", "spin_up_time_80_energy", "froude_speed",
           "top_yaw_rate", "arena_crossing_time", "throw_height", "drive_push_margin", "match_energy_margin")
"""Quantities whose drift the score counts: what a driver notices."""

HELD = ("brown_out_margin", "match_energy_margin", "rotor_steady_current_margin", "belt_slip_margin")


NO_MARGIN = 5.0
"""What a margin of nought adds to the score."""


def drift_of(
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


def shortfall_of(found: dict[str, Array], reference: dict[str, float]) -> Array:
    """Sum of ln(bound / margin) of the margins below their bound."""
    total: Any = 0.0
    with np.errstate(all="ignore"):
        for name, value in found.items():
            if name in HELD or is_strength(name):
                bound = min(1.0, reference.get(name, 1.0))
                total = total + np.nan_to_num(np.maximum(np.log(bound / value), 0.0), nan=0.0, posinf=5.0)
    return np.asarray(total)


def passed(brief: Brief, values: dict[str, Any]) -> Any:
    """Sum of ln(value / bound) of the brief's own limits that are passed: its box and its bounds."""
    total: Any = 0.0
    for limit in [*box_limits(brief, values)[1:], *stated_limits(brief, values)]:  # mass counts by itself
        with np.errstate(all="ignore"):
            total = total + np.nan_to_num(np.maximum(-np.log(limit.level), 0.0), nan=0.0, posinf=5.0)
    return total


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


def _reason(
    values: dict[str, float], brief: Brief, reference: dict[str, float], batch: _Batch, row: int, left: float, unbeaten: bool
) -> str:
    """A rank in a sentence: drift, the bound that is missed most, mass, and whether anything beats it."""
    text = f"mean drift for the worse {100 * float(np.expm1(batch.drift[row])):.0f} %"
    short = [
        (float(np.log(min(1.0, reference.get(name, 1.0)) / value)), f"{_lower(name)} at {value:.2f}")
        for name, value in values.items()
        if (name in HELD or is_strength(name)) and 0 < value < min(1.0, reference.get(name, 1.0)) * (1 - 1e-9)
    ]
    short += [
        (-float(np.log(limit.level)), f"{limit.label} passed by {100 * (1 / float(limit.level) - 1):.0f} %,")
        for limit in [*box_limits(brief, {**values, "mass": batch.mass[row]})[1:], *stated_limits(brief, values)]
        if 0 < limit.level < 1 - 1e-9
    ]
    text += f"; {max(short)[1]} is furthest below its bound" if short else "; every margin at its bound or above"
    if batch.unreached[row]:
        text += "; the motor does not reach the set speed"
    text += f"; {left * 1e3:.0f} g left" if left >= 0 else f"; {-left * 1e3:.0f} g too heavy"
    return text + ("; nothing beats it in drift, margins and mass at once" if unbeaten else "")


def _lower(name: str) -> str:
    label = book.quantities()[name].label
    return label[0].lower() + label[1:]
