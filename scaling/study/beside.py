"""A robot's quantities, and each beside the reference's."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from scaling.book.dimensions import dimension_of
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


class Ratios(NamedTuple):
    """What a machine is over the reference: its mass, its length, and its pack's voltage where both have a pack."""

    mass: float
    length: float
    volts: float | None


def all_beside(
    values: Mapping[str, float],
    exponents: Mapping[str, Fraction | float | None],
    reference: Mapping[str, float],
    ratios: Ratios,
    hollow: Collection[str] = (),
) -> dict[str, PortQuantity]:
    """A machine's quantities beside the reference's: ratio, what that would be alike, and drift, by each clock.

    ``exponents`` are those of the factor that each follows, ``hollow`` the names of what is so only if the rotor's
    speed were reached.
    """
    from scaling.study.results import PortQuantity

    found: dict[str, PortQuantity] = {}
    for name, value in values.items():
        unit, own = book.quantities[name].unit, reference.get(name)
        ratio = _finite(value / own) if own else None
        similarity = dict(_alike(unit, ratios))
        drift: dict[str, float] = {}
        if ratio is not None:
            drift = {clock: ratio / alike for clock, alike in similarity.items() if math.isfinite(ratio / alike)}
        found[name] = PortQuantity(value, unit, ratio, exponents.get(name), similarity, drift, name in hollow)
    return found


@lru_cache(maxsize=4096)
def _alike(unit: str, ratios: Ratios) -> Mapping[str, float]:
    """The ratio of any quantity of a unit if the machine behaved like the reference, by the clocks that have one."""
    found: dict[str, float] = {}
    for clock in CLOCKS:
        alike = similarity_ratio(dimension_of(unit), ratios.mass, ratios.length, clock, ratios.volts)
        if alike is not None and np.isfinite(alike) and alike > 0:
            found[clock] = float(alike)
    return MappingProxyType(found)


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
