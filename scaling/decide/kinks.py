"""The least of a linear cost and of kinks within a box: the linear program of absolute values and of penalties.

At a corner as many rows are nought as there are variables. The search goes from corner to corner along the edge that
falls most steeply, through every kink that does not yet turn the cost up again. Method: R. H. Bartels, A. R. Conn &
J. W. Sinclair, Minimization techniques for piecewise differentiable functions, SIAM Journal on Numerical Analysis 15
(1978) 224-241, with the steepest edge of the simplex method; both from memory. SciPy's own program gives the same, but
its import alone takes longer than all the programs of a law.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from scaling.book.entry import Array

APART = 1e-11
"""How far rows are shifted against each other, so that no more of them are nought in a corner than make it."""

FALLS = 1e-10
"""An edge along which the cost falls by less is level."""

ROUND = 1e-12
"""A row that changes by less along an edge does not change."""

FRESH = 64
"""Corners after which the search starts anew from the one that it is in, so that rounding does not add up."""

STAYS = 1e-9
"""What one unit of a variable costs, so that one on which nothing hangs stays at nought."""

MOST_CORNERS = 2000
"""Corners after which the one that was found is taken as it is."""


@dataclass(frozen=True)
class Kinked:
    """What is to be made least: ``cost`` @ x and, of each t = ``rows`` @ x + ``ends``, its slope times t.

    The slope is ``below`` where t is negative, else ``above``, which is nowhere less. x is between ``low`` and
    ``high``, both finite, and nought is between them where they are not the same.
    """

    cost: Array
    rows: Array
    ends: Array
    below: Array
    above: Array
    low: Array
    high: Array


@dataclass(frozen=True)
class Corner:
    """The point that is least, its value, and by how much more that is for one more of each end: the ``prices``.

    ``slopes`` say the same of each variable that is at a side of the box, if it were moved.
    """

    point: Array
    value: float
    prices: Array
    slopes: Array


def least(kinked: Kinked) -> Corner:
    """Return the corner that is least, of those that are alike the nearest to nought."""
    moves, own = kinked.high > kinked.low, kinked.ends.size
    point = np.where(moves, 0.0, kinked.low)
    ends = kinked.ends + kinked.rows @ point
    prices = np.where(ends < 0, kinked.below, kinked.above)
    if moves.any():
        boxed = _boxed(kinked, moves, ends)
        size = boxed.cost.size
        corner, found = _searched(replace(boxed, ends=boxed.ends + APART * _shifts(own, size)), own)
        rows = boxed.rows[corner]
        point[moves] = np.clip(np.linalg.solve(rows, -boxed.ends[corner]), boxed.low, boxed.high)
        found[own : own + size] = 0.0
        found[corner] = -np.linalg.solve(rows.T, boxed.cost + found @ boxed.rows)
        prices = found[:own]
    level = kinked.rows @ point + kinked.ends
    value = kinked.cost @ point + np.maximum(kinked.below * level, kinked.above * level).sum()
    return Corner(point, float(value), prices, kinked.cost + prices @ kinked.rows)


def _boxed(kinked: Kinked, moves: Any, ends: Array) -> Kinked:
    """The same of the variables that move, each with three rows more: that it stays, and both sides of the box.

    Beyond a side it costs without end.
    """
    low, high, unit = kinked.low[moves], kinked.high[moves], np.eye(int(moves.sum()))
    none, stays, steep = np.zeros(low.size), np.full(low.size, STAYS), np.full(low.size, np.inf)
    return Kinked(
        kinked.cost[moves],
        np.concatenate([kinked.rows[:, moves], unit, unit, unit]),
        np.concatenate([ends, none, -low, -high]),
        np.concatenate([kinked.below, -stays, -steep, none]),
        np.concatenate([kinked.above, stays, none, steep]),
        low,
        high,
    )


def _shifts(own: int, size: int) -> Array:
    """Shifts of the rows, the same in no two corners that would be one; those of the sides outwards and by more."""
    shifts = 1.5 + 0.5 * np.sin(np.arange(1.0, own + 3 * size + 1) ** 2)
    shifts[own + size :] += 2
    shifts[own + 2 * size :] *= -1
    return np.asarray(shifts)


def _searched(boxed: Kinked, own: int) -> tuple[Any, Array]:
    """The rows that are nought in the corner that is least, and the price of each row, 0 of those.

    It begins at nought, in the corner of the rows that come after the ``own`` ones. Each of the ``edges`` leaves one
    row of the corner, which grows by one along it.
    """
    cost, rows, below, above = boxed.cost, boxed.rows, boxed.below, boxed.above
    corner, since = np.arange(own, own + cost.size), FRESH
    for _ in range(MOST_CORNERS):
        if since == FRESH:
            edges, since = np.linalg.inv(rows[corner]), 0
            level = rows @ (edges @ -boxed.ends[corner]) + boxed.ends
            prices = np.where(level < 0, below, above)
            level[corner] = prices[corner] = 0.0
        held = -(cost + prices @ rows) @ edges
        up, down = held - above[corner], below[corner] - held
        lengths = np.sqrt(np.einsum("ij,ij->j", edges, edges))
        place = int(np.argmax(np.maximum(up, down) / lengths))
        fall, sign = max((float(up[place]), 1.0), (float(down[place]), -1.0))
        if fall <= FALLS:
            if since == 0:
                break
            since = FRESH
            continue
        gone, change = corner[place], sign * (rows @ edges[:, place])
        met, way, passed = _met(boxed, level, np.where(np.abs(change) > ROUND * lengths[place], change, 0.0), fall)
        prices[passed] = below[passed] + above[passed] - prices[passed]
        prices[gone], prices[met] = (above[gone] if sign > 0 else below[gone]), 0.0
        level += way * change
        level[gone], level[met] = sign * way, 0.0
        turn = rows[met] @ edges
        column = edges[:, place] / turn[place]
        edges -= np.outer(column, turn)
        edges[:, place] = column
        corner[place] = met
        since += 1
    return corner, prices


def _met(boxed: Kinked, level: Array, change: Array, fall: float) -> tuple[int, float, Any]:
    """The row at whose kink a way along an edge ends, how long it is, and the rows whose kinks it passes."""
    near = np.flatnonzero(level * change < 0)
    ways = -level[near] / change[near]
    order = np.argsort(ways, kind="stable")
    near, ways = near[order], ways[order]
    turned = np.cumsum((boxed.above[near] - boxed.below[near]) * np.abs(change[near]))
    stop = int(np.searchsorted(turned, fall))
    return int(near[stop]), float(ways[stop]), near[:stop]
