"""Sequential linear programming: a weighted sum of absolute values least, under limits, with the price of each limit.

Each round linearises cost, residuals and limits at the best point so far and solves the linear program in a trust
region; the absolute values and the limits, which may be passed at a penalty, are its slack variables, so that the
program has a solution anywhere. A step that makes the exact L1 merit less is taken. Method: R. Fletcher & E. Sainz de
la Maza, Nonlinear programming and nonsmooth optimization by successive linear programming, Mathematical Programming
43 (1989) 235-256; R. H. Byrd, N. I. M. Gould, J. Nocedal & R. A. Waltz, Mathematical Programming 100 (2004) 27-48, of
which the first half of each round is taken; both from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Generator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from scaling.book.entry import Array
from scaling.decide.side_by_side import Evaluated, Search, together

STEP = 1e-4
"""Half the usual width of the central differences."""

BENT = 0.2
"""Slopes to either side that differ by more than this share, or by this, are those of a bend or a jump."""

ACCEPTED, GOOD, POOR = 0.05, 0.75, 0.25
"""Shares of the predicted gain: what a step must bring to be taken, and what widens or narrows the trust region."""

FIRST_REACH, LEAST_REACH = 0.25, 1e-8

PRICED = 1e-3
"""Least trust region of the program that gives the prices: none smaller sees a limit that is a hair away."""

MOST_ROUNDS = 80

PATIENCE = 6
"""Points that are tried for a gain that is worth it."""


@dataclass(frozen=True)
class Problem:
    """What is to be made least: cost + sum of ``weights`` times |residual|, absent ones counting as ``absent``.

    ``evaluate`` takes points as columns. ``lower`` and ``upper`` bound each variable, equal ones hold it. ``penalty``
    is what one unit of each missed level costs. ``pull`` times |home @ point|, row by row, is added: a small one makes
    the point unique. ``step`` is half the width of the differences.
    """

    evaluate: Callable[[Array], Evaluated]
    weights: Array
    lower: Array
    upper: Array
    penalty: Array
    pull: Array
    home: Array
    absent: float = 0.0
    step: float = STEP

    def merits(self, points: Array) -> Array:
        """Return what is made least, with what missed levels cost, at points as columns."""
        found = self.evaluate(points)
        residuals = np.where(np.isnan(found.residuals), self.absent, np.abs(found.residuals))
        missed = np.where(np.isfinite(found.levels), np.maximum(-found.levels, 0), 1.0)
        return found.cost + self.weights @ residuals + self.penalty @ missed + self.pull @ np.abs(self.home @ points)


@dataclass(frozen=True)
class Linear:
    """A problem's numbers at ``point`` and their slopes there: how each row changes with each variable."""

    point: Array
    cost: float
    residuals: Array
    levels: Array
    cost_slope: Array
    residual_slopes: Array
    level_slopes: Array

    def merit(self, problem: Problem) -> float:
        """What is made least, with what missed levels cost."""
        return self.score(problem) + _pulled(problem, self.point) + float(problem.penalty @ np.maximum(-self.levels, 0))

    def score(self, problem: Problem) -> float:
        """Cost and weighted residuals alone."""
        return float(self.cost + problem.weights @ np.abs(self.residuals))

    def along(self, step: Array) -> Linear:
        """Return what the slopes say of the end of a step."""
        return replace(
            self,
            point=self.point + step,
            cost=float(self.cost + self.cost_slope @ step),
            residuals=self.residuals + self.residual_slopes @ step,
            levels=self.levels + self.level_slopes @ step,
        )

    def bent(self, trial: Linear) -> Linear:
        """Return the same slopes through the values at ``trial``: what it tells of curvature corrects the next step."""
        step = trial.point - self.point
        return replace(
            self,
            cost=float(trial.cost - self.cost_slope @ step),
            residuals=trial.residuals - self.residual_slopes @ step,
            levels=trial.levels - self.level_slopes @ step,
        )

    @property
    def missed(self) -> float:
        """The most by which a level is missed, 0 where none is."""
        return float(max(0.0, -self.levels.min(initial=0.0)))


@dataclass(frozen=True)
class Step:
    """What a linear program gives: the step, the merit that it predicts, and the prices at the end of it.

    A price is the change of the merit for one unit more room: in each level, and between each bound and its variable.
    """

    step: Array
    predicted: float
    level_prices: Array
    lower_prices: Array
    upper_prices: Array


@dataclass(frozen=True)
class Minimum:
    """Where a search of a ``problem`` ended, at which trust region, and how many points were tried."""

    problem: Problem
    at: Linear
    reach: float
    tried: int

    @cached_property
    def merit(self) -> float:
        """What was made least, with what missed levels cost."""
        return self.at.merit(self.problem)

    @cached_property
    def last(self) -> Step:
        """The step that the linear program would take from there, with its prices."""
        return step_of(self.problem, self.at, max(self.reach, PRICED))


def minimise(problem: Problem, start: Array, **how: Any) -> Minimum:
    """Return what ``minimising`` finds by itself."""
    return together(problem.evaluate, [minimising(problem, start, **how)])[0]


def minimising(
    problem: Problem,
    start: Array,
    reach: float = FIRST_REACH,
    tolerance: float = 1e-9,
    worth: float = 0.0,
    beat: float = np.inf,
    racing: bool = False,
    enough: float = -1.0,
) -> Search[Minimum]:
    """Search near ``start`` for a point from which no small step makes the merit less by more than ``tolerance``.

    ``reach`` is the first trust region: how far each variable may go in one step. The search ends where the last few
    points brought less than ``worth``, or so little that as much again would not ``beat`` a merit, or, where it is
    ``racing``, one that is had already; and where no level is missed by more than ``enough``.
    """
    best, had = yield from _asked(problem, np.clip(start, problem.lower, problem.upper))
    merit, tried = best.merit(problem), 1
    before = [merit]
    found = step_of(problem, best, reach)
    while tried < MOST_ROUNDS and merit - found.predicted > tolerance and reach > LEAST_REACH:
        if best.missed <= enough:
            break
        trial, had = yield from _asked(problem, best.point + found.step)
        tried += 1
        there = trial.merit(problem)
        if merit - there < POOR * (merit - found.predicted):
            second = step_of(problem, best.bent(trial), reach)
            again, had = yield from _asked(problem, best.point + second.step)
            tried += 1
            if again.merit(problem) < there:
                trial, there, found = again, again.merit(problem), replace(second, predicted=found.predicted)
        share = (merit - there) / (merit - found.predicted)
        length = float(np.abs(found.step).max())
        if share > ACCEPTED:
            best, merit = trial, there
        before.append(merit)
        brought = before[-PATIENCE] - merit if len(before) > PATIENCE else np.inf
        if brought < worth or merit - brought > (min(beat, had) if racing else beat):
            break
        if share < POOR:
            # a parabola through both ends and the first slope is least at this share of the step
            reach = length * float(np.clip(0.5 / (1 - share), 0.1, 0.5))
        elif share > GOOD and length > 0.9 * reach:
            reach *= 2
        found = step_of(problem, best, reach)
    return Minimum(problem, best, reach, tried)


def _asked(problem: Problem, point: Array) -> Generator[Array, tuple[Evaluated, float], tuple[Linear, float]]:
    """A problem at a point, and the merit that is had already."""
    found, had = yield _with_differences(problem, point)
    return _linear(problem, point, found), had


def linearised(problem: Problem, point: Array) -> Linear:
    """Return a problem's numbers and slopes at a point, by central differences within the bounds in one evaluation.

    Where one side cannot be computed the other one gives the slope, and where they differ as at a jump or a bend the
    flatter one; where neither can, none is known and it is 0.
    """
    return _linear(problem, point, problem.evaluate(_with_differences(problem, point)))


def _ways(problem: Problem, point: Array) -> tuple[Any, Array, Array]:
    """The variables that are free, and how far each goes up and down for its differences."""
    free = np.flatnonzero(problem.upper > problem.lower)
    ahead = np.minimum(problem.step, problem.upper - point)[free]
    return free, ahead, np.minimum(problem.step, point - problem.lower)[free]


def _with_differences(problem: Problem, point: Array) -> Array:
    free, ahead, behind = _ways(problem, point)
    unit, here = np.eye(point.size)[:, free], point[:, None]
    return np.concatenate([here, here + unit * ahead, here - unit * behind], axis=1)


def _linear(problem: Problem, point: Array, found: Evaluated) -> Linear:
    free, ahead, behind = _ways(problem, point)
    cost, residuals, levels = _filled(problem, found)
    slopes = [np.zeros((rows.shape[0], point.size)) for rows in (cost, residuals, levels)]
    for rows, of in zip((cost, residuals, levels), slopes, strict=True):
        of[:, free] = _slopes(rows, ahead, behind)
    return Linear(point, float(cost[0, 0]), residuals[:, 0], levels[:, 0], slopes[0][0], slopes[1], slopes[2])


def _filled(problem: Problem, found: Evaluated) -> tuple[Array, Array, Array]:
    """Cost, residuals and levels as rows; what is absent at the first point is so at all, at what it costs."""
    residuals = np.where(np.isnan(found.residuals[:, :1]), problem.absent, found.residuals)
    levels = np.where(np.isfinite(found.levels[:, :1]), found.levels, -1.0)
    return found.cost[None, :], residuals, levels


def _slopes(rows: Array, ahead: Array, behind: Array) -> Array:
    here, count = rows[:, :1], ahead.size
    with np.errstate(all="ignore"):
        up, down = (rows[:, 1 : 1 + count] - here) / ahead, (here - rows[:, 1 + count :]) / behind
        up, down = np.where(np.isfinite(up), up, down), np.where(np.isfinite(down), down, up)
        mean, flatter = (up * ahead + down * behind) / (ahead + behind), np.where(np.abs(up) < np.abs(down), up, down)
        bent = np.abs(up - down) > BENT * np.maximum(np.abs(mean), 1.0)
    return np.nan_to_num(np.where(bent, flatter, mean), nan=0.0)


def step_of(problem: Problem, at: Linear, reach: float, goal: Array | None = None) -> Step:
    """Return the best step within the trust region ``reach`` by the linear program.

    ``goal`` has a value for the variables that are to end there, however far that is, and NaN for the others.
    """
    from scaling.decide.linear_program import solve

    low, high = np.maximum(problem.lower - at.point, -reach), np.minimum(problem.upper - at.point, reach)
    if goal is not None:
        low, high = (np.where(np.isnan(goal), side, goal - at.point) for side in (low, high))
    size, count = at.point.size, at.levels.size
    # columns: step, missed levels, what is above nought of each residual and pull, what is below it
    slopes = np.concatenate([at.level_slopes, at.residual_slopes, problem.home])
    ends = -np.concatenate([at.levels, at.residuals, problem.home @ at.point])
    unit = np.eye(ends.size)
    twice = np.concatenate([problem.weights, problem.pull])
    none, endless = np.zeros(ends.size + twice.size), np.full(ends.size + twice.size, np.inf)
    found = solve(
        np.concatenate([at.cost_slope, problem.penalty, twice, twice]),
        np.concatenate([slopes, unit, -unit[:, count:]], axis=1),
        (ends, np.concatenate([endless[:count], ends[count:]])),
        (np.concatenate([low, none]), np.concatenate([high, endless])),
    )
    if found is None:
        return Step(np.zeros(size), at.merit(problem), np.zeros(count), np.zeros(size), np.zeros(size))
    step, prices = np.clip(found.point[:size], low, high), found.column_prices[:size]
    at_lower, at_upper = at.point + step <= problem.lower, at.point + step >= problem.upper
    return Step(
        step,
        at.along(step).merit(problem),
        -found.row_prices[:count],
        np.where(at_lower, -np.maximum(prices, 0.0), 0.0),
        np.where(at_upper, np.minimum(prices, 0.0), 0.0),
    )


def _pulled(problem: Problem, point: Array) -> float:
    return float(problem.pull @ np.abs(problem.home @ point))
