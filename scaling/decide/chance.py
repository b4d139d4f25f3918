"""By how much a margin's fall raises the chance of failing, with what the reference survived as the anchor.

A margin that the reference came through N matches with has failed in none of them, so that its chance in the next is
taken as 1/(N + 2), Laplace's rule of succession. How far that is from even odds, on the scale of the scatter of ln of
the margin, says how much a port's fall of that margin brings it nearer. The error of the formula is in both margins
and cancels in their ratio.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache
from statistics import NormalDist
from typing import Any

import numpy as np

from scaling.book.dimensions import dimension_of
from scaling.formulas import book

STRENGTH = 0.4
"""Scatter of ln of a margin of strength, of the part and of the hit together: common practice, no source."""

ENERGY = 2 * STRENGTH
"""Scatter of ln of a margin of energy: it goes with the square of the speed that a strength goes with."""

MODEL = 0.8
"""Scatter of ln of what a formula of strength says of a margin: right within a factor of 2.2 two times in three
(common practice, no source)."""

SURVIVED = 3
"""Matches that the reference is taken to have come through where its file does not say."""

SURVIVED_KEY = "history.matches"
"""The key of the design file that says it."""

_NORMAL = NormalDist()


def survived_of(variables: Mapping[str, float]) -> float:
    """Return the matches that a design has come through: stated, else ``SURVIVED``."""
    return variables.get(SURVIVED_KEY, SURVIVED)


@cache
def scatter_of(name: str) -> float:
    """Return the scatter of ln of a survival margin: that of energy where it compares energies, else of strength."""
    known = [book.dimensions[key] for key in book.quantities[name].inputs]
    with_unit = {dimension for dimension in known if any(dimension)}
    return ENERGY if with_unit == {dimension_of("J")} else STRENGTH


def chance_before(survived: float = SURVIVED) -> float:
    """Return the reference's chance of failing in its next match: 1/(N + 2), N of which it has ``survived``."""
    return 1 / (survived + 2)


def chance_after(ratio: Any, scatter: float, survived: float = SURVIVED) -> Any:
    """Return a port's chance of failing, its margin ``ratio`` times the reference's: Phi(-z - ln(ratio)/scatter).

    z = -Phi^-1(1/(N + 2)) is how many scatters the reference is from even odds. A ``ratio`` of nought fails surely.
    It is a number or, of many ports at once, an array; so is what follows from it below.

    >>> round(chance_after(0.7, STRENGTH, survived=20), 3)
    0.212
    """
    return _normal(_NORMAL.inv_cdf(chance_before(survived)) - _log(ratio) / scatter)


def rise_of(value: Any, reference: float | None, limit: float, scatter: float, survived: float = SURVIVED) -> Any:
    """Return by how much the chance of failing rises from the reference's margin of strength to a port's ``value``.

    ``scatter`` is that of ln of the margin, of a strength or an energy. A margin so far above its limit that even a
    rough formula puts the chance lower than the count of matches does so: what holds thirty times its load is no even
    match after three fights. What the reference does not have has no anchor and could not fail before: there the
    ``value`` counts by itself.
    """
    if reference is None or reference <= 0:
        return chance_at(value, limit, scatter)
    before = min(chance_before(survived), chance_at(reference, limit, MODEL))
    return np.minimum(chance_after(value / reference, scatter, survived), chance_at(value, limit, MODEL)) - before


def chance_at(value: Any, limit: float, scatter: float) -> Any:
    """Return the chance that what is computed as ``value`` falls below a ``limit``: even odds where they are equal.

    For what is no strength, such as a race or a grip, where the limit is plain and only the ``value`` is in doubt.
    """
    return _normal(-_log(value / limit) / scatter)


def _log(ratio: Any) -> Any:
    """Natural logarithm, without end downwards for what is nought or less."""
    if isinstance(ratio, float):
        return -math.inf if ratio <= 0 else math.log(ratio)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.log(np.where(np.asarray(ratio) <= 0, 0.0, ratio))


def _normal(z: Any) -> Any:
    """The normal distribution, of an array between the steps of a table, which leaves 3e-8 of error."""
    return _NORMAL.cdf(float(z)) if np.ndim(z) == 0 else np.interp(z, *_table())


@cache
def _table() -> tuple[Any, Any]:
    places = np.linspace(-9, 9, 18_001)
    return places, np.asarray([_NORMAL.cdf(place) for place in places.tolist()])
