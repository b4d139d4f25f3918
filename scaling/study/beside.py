"""A robot's quantities, and each beside the reference's."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np

from scaling.book.similarity import CLOCKS, similarity_ratio
from scaling.formulas import book
from scaling.robot.design import Design

if TYPE_CHECKING:
    from scaling.study.results import PortQuantity


def reference_values(design: Design) -> dict[str, float]:
    """The reference's own quantities, SI; what cannot be computed is absent."""
    return values_of(design.variables, design.traits)


def values_of(variables: Mapping[str, float], traits: frozenset[str]) -> dict[str, float]:
    """The quantities of one robot, SI; what cannot be computed is absent."""
    values = book.evaluate(variables, traits)
    return {name: float(value) for name, value in values.items() if np.isfinite(value)}


def beside(
    name: str,
    value: float,
    exponent: Fraction | float | None,
    reference: Mapping[str, float],
    mass_ratio: float,
    factor: float,
    volts: float | None,
    if_reached: bool = False,
) -> PortQuantity:
    """A port's quantity beside the reference's: its ratio, what that would be alike, and its drift, by each clock.

    ``mass_ratio``, ``factor`` and ``volts`` are the port's mass, length and pack voltage over the reference's.
    """
    from scaling.study.results import PortQuantity

    entry = book.quantities[name]
    own = reference.get(name)
    ratio = _finite(value / own) if own else None
    similarity: dict[str, float] = {}
    drift: dict[str, float] = {}
    for clock in CLOCKS:
        alike = similarity_ratio(entry.dimension, mass_ratio, factor, clock, volts)
        if alike is not None and np.isfinite(alike) and alike > 0:
            similarity[clock] = float(alike)
            if ratio is not None and (found := _finite(ratio / alike)) is not None:
                drift[clock] = found
    return PortQuantity(value, entry.unit, ratio, exponent, similarity, drift, if_reached)


def _finite(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
