"""The comparison: what a quantity's ratio would be for a port that behaved alike, and how far it is off."""

from __future__ import annotations

from typing import Any

import numpy as np

from scaling.book.dimensions import Dimension

CLOCKS = ("gravity", "driver")
"""Whose time counts: gravity's (time scales as the square root of the factor) or the driver's (it does not)."""


def time_ratio(factor: Any, clock: str) -> Any:
    """Time ratio of a port that behaves alike by ``clock``."""
    return np.sqrt(factor) if clock == "gravity" else 1.0


def similarity_ratio(
    dimension: Dimension, mass_ratio: Any, factor: Any, clock: str, voltage_ratio: float | None
) -> Any | None:
    """Ratio that a quantity of ``dimension`` would have if the port behaved exactly like the reference.

    mu^a lambda^b tau^c i^d, with the current ratio i = mu lambda^2 tau^-3 / voltage ratio. Temperature
    does not scale. None for an electrical quantity of a design without a pack (``voltage_ratio`` None).
    """
    mass, length, time, current, _ = (float(power) for power in dimension)
    tau = time_ratio(factor, clock)
    ratio = mass_ratio**mass * factor**length * tau**time
    if current == 0:
        return ratio
    if voltage_ratio is None:
        return None
    return ratio * (mass_ratio * factor**2 * tau**-3 / voltage_ratio) ** current


def worse(drift: float, better: str) -> bool:
    """Whether a drift is against the builder: down where higher is better, up where lower is, any where neither."""
    if better == "higher":
        return drift < 1
    if better == "lower":
        return drift > 1
    return drift != 1
