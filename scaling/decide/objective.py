"""How far a port is from the like of the reference in what a builder cares for: one score, lower is better."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.book.entry import Array, Clock
from scaling.book.similarity import similarity_ratio
from scaling.files.errors import InputError
from scaling.files.sentence import listed
from scaling.formulas import book
from scaling.port.asked import Brief
from scaling.port.presets import PRESETS
from scaling.study.drifts import DRIFT_OF, USUAL
from scaling.study.results import Port

ABSENT = math.log(2)
"""What a quantity costs that a port lacks: as much as one that is doubled or halved. Choice of this project."""

MOST = math.log(1000)
"""What a drift costs at most, so that a quantity that comes to nought leaves a score."""


@dataclass(frozen=True)
class Objective:
    """What a robot's ports are scored by: a weight above zero on each quantity that counts, and whose time judges it.

    ``preset`` is where the weights come from; the brief's own stand among them.
    """

    preset: str
    weights: Mapping[str, float]
    clocks: Mapping[str, Clock]


def objective_of(brief: Brief, reference: Mapping[str, float]) -> Objective:
    """Return what the brief scores ports by, of the quantities that the ``reference`` has.

    Raises InputError where that is nothing.
    """
    asked = brief.objective
    wanted = PRESETS[asked.preset].weights | dict(asked.weights)
    weights = {name: weight for name, weight in wanted.items() if weight > 0 and reference.get(name)}
    if not weights:
        raise InputError("nothing that this robot has is weighed", brief.file, "objective", asked.preset,
                         f"one of the presets {listed(PRESETS)}, or weights above 0",
                         "scaling check DESIGN lists what the robot has")  # fmt: skip
    return Objective(asked.preset, weights, {name: book.quantities[name].clock or USUAL for name in weights})


def port_drifts(objective: Objective, port: Port) -> dict[str, float]:
    """Return ln drift of each quantity that counts, NaN where the port lacks it or would have it if reached."""
    found: dict[str, float] = {}
    for name, clock in objective.clocks.items():
        entry = port.quantities.get(name)
        drift = None if entry is None or entry.if_reached else entry.drift.get(DRIFT_OF[clock])
        found[name] = math.nan if drift is None else float(_log(drift))
    return found


def drifts_over(
    objective: Objective,
    values: Mapping[str, Any],
    reference: Mapping[str, float],
    mass_ratio: Any,
    factor: Any,
    volts: Any,
) -> dict[str, Array]:
    """Return ln drift of each quantity that counts over any number of ports at once, NaN where it is absent.

    ``values`` are the ports' quantities, NaN where absent or only there if a speed were reached; ``mass_ratio``,
    ``factor`` and ``volts`` (None without a pack) their mass, length and pack voltage over the reference's.
    """
    found: dict[str, Array] = {}
    for name, clock in objective.clocks.items():
        dimension = book.quantities[name].dimension
        alike = similarity_ratio(dimension, mass_ratio, factor, DRIFT_OF[clock], volts)
        value = values.get(name)
        found[name] = _log(np.nan if alike is None or value is None else value / (reference[name] * alike))
    return found


def _log(drift: Any) -> Array:
    """Return ln of a drift, cut off at ``MOST`` either way; NaN where the drift is none or of the other sign."""
    with np.errstate(all="ignore"):
        return np.asarray(np.clip(np.log(np.asarray(drift, dtype=float)), -MOST, MOST))


def terms(objective: Objective, drifts: Mapping[str, Any]) -> dict[str, Array]:
    """Return what each quantity adds to the score, by ln drift as ``port_drifts`` or ``drifts_over`` give it."""
    whole = sum(objective.weights.values())
    return {
        name: weight / whole * np.where(np.isnan(drifts[name]), ABSENT, np.abs(drifts[name]))
        for name, weight in objective.weights.items()
    }


def score(objective: Objective, drifts: Mapping[str, Any]) -> Array:
    """Return the weighted mean of |ln drift|, what is absent counting as ``ABSENT``: 0 is just like the reference."""
    return np.asarray(sum(terms(objective, drifts).values()))


def port_score(objective: Objective, port: Port) -> float | None:
    """Return a port's score; None where no factor was found, so that there is nothing to score."""
    return None if port.factor is None else float(score(objective, port_drifts(objective, port)))
