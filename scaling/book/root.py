"""One finder of roots for the numeric models: a whole batch at once, between two ends, each root in a few steps."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from scaling.book.entry import Array

MOST = 100
"""Steps after which a root stays as it is: halving alone would need about 60 for every digit there is."""

EXACT, NEAR = 1e-14, 1e-10
"""Shares of a root: what a last step may still move it by, and from where a step that no longer shrinks is rounding."""

NOTHING = 1e-18
"""Share of the way between the ends below which a root is no longer told from the lower one."""

SOON = 6
"""Steps after which most rows are done, so that it costs little to ask for the others whether they have a root."""

ValueAndSlope = Callable[..., tuple[Array, Array]]


def rising_root(function: ValueAndSlope, low: Array, high: Array, *given: Array, start: Array | None = None) -> Array:
    """Return where ``function`` rises through zero between ``low`` and ``high``.

    ``function`` takes the places, arrays of any one shape, and as many rows of each of the ``given``, and returns its
    values and its slopes there. It must rise through zero once at most between the ends; kinks only cost steps. Where
    it is not below zero at all the root is ``low``, where it is not above it ``high``; NaN where it is no number.
    Where both ends are the same nothing is looked for, so that a caller who knows that there is no root says so.

    Newton's step where it stays between the ends and shrinks, else the middle of the ends, which close in at each
    value. Rows that are done are left out from when they are half of all. ``start`` is the first place, the middle
    without it.

    >>> rising_root(lambda x, a: (x**3 - a, 3 * x**2), np.zeros(3), np.full(3, 4.0), np.array([1.0, 8.0, 27.0]))
    array([1., 2., 3.])

    Source: W. H. Press et al., Numerical Recipes, 2nd ed., sec. 9.4, Newton-Raphson with bisection, from memory.
    """
    shape = np.broadcast_shapes(*(np.shape(value) for value in (low, high, *given)))
    low, high, *rows = (np.broadcast_to(np.asarray(value, dtype=float), shape) for value in (low, high, *given))
    found = np.full(shape, np.nan)
    place = (low + high) / 2 if start is None else np.clip(np.broadcast_to(start, shape), low, high)
    left: Any = None  # places in the flat batch of the rows still worked on; None stands for all of them
    before = np.abs(high - low)
    least = NOTHING * before
    with np.errstate(all="ignore"):
        for passed in range(MOST):
            if passed == SOON:
                high = np.where(function(low, *rows)[0] >= 0, low, high)
                low = np.where(function(high, *rows)[0] <= 0, high, low)
                place = np.clip(place, low, high)
            value, slope = function(place, *rows)
            below = value < 0
            low, high = np.where(below, place, low), np.where(below, high, place)
            newton = place - value / slope
            step, size = np.abs(newton - place), np.abs(place)
            shrinks, near = 2 * step <= before, step <= NEAR * size
            trusted = (newton >= low) & (newton <= high) & (shrinks | near)
            after = np.where(trusted, newton, (low + high) / 2)
            step = np.abs(after - place)
            going = (step > EXACT * size + least) & (np.abs(value) > 0) & ~(trusted & near & ~shrinks)
            place, before = np.where(value == 0, place, after), step
            if left is None:
                found = np.where(np.isnan(value), np.nan, place)
            else:
                found.reshape(-1)[left] = np.where(np.isnan(value), np.nan, place)
            count = np.count_nonzero(going)
            if count == 0:
                break
            if 2 * count < going.size:
                left = np.flatnonzero(going) if left is None else left[going]
                low, high, place, before, least, *rows = (
                    part[going] for part in (low, high, place, before, least, *rows)
                )
    return found
