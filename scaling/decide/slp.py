"""Sequential linear programming: a weighted sum of absolute values least, under limits, with the price of each limit.

Each round linearises cost, residuals and limits at the best point so far and solves the linear program in a trust
region; the absolute values and the limits, which may be passed at a penalty, are its slack variables, so that the
program has a solution anywhere. A step that makes the exact L1 merit less is taken. Method: R. Fletcher & E. Sainz de
la Maza, Nonlinear programming and nonsmooth optimization by successive linear programming, Mathematical Programming
43 (1989) 235-256; R. H. Byrd, N. I. M. Gould, J. Nocedal & R. A. Waltz, Mathematical Programming 100 (2004) 27-48, of
which the first half of each round is taken; both from memory.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from scaling.book.entry import Array

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
class Evaluated:
    """What a problem has at a row of points, each an array whose last axis are the points.

    ``cost`` is smooth, of each of the ``residuals`` the absolute value counts, and each of the ``levels`` is to be at
    least 0. A residual that is NaN is absent, a level that is NaN is missed.
    """

    cost: Array
    residuals: Array
    levels: Array


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
        missed = np.where(np.isnan(found.levels), 1.0, np.maximum(-found.levels, 0))
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
    """Where a search ended: the problem's numbers there, its last step, and how many points were tried."""

    at: Linear
    last: Step
    tried: int


def minimise(
    problem: Problem,
    start: Array,
    reach: float = FIRST_REACH,
    tolerance: float = 1e-9,
    worth: float = 0.0,
    beat: float = np.inf,
) -> Minimum:
    """Return a point near ``start`` from which no small step makes the merit less by more than ``tolerance``.

    ``reach`` is the first trust region: how far each variable may go in one step. The search ends where the last few
    points brought less than ``worth``, or so little that as much again would not ``beat`` a merit that is had already.
    """
    best = linearised(problem, np.clip(start, problem.lower, problem.upper))
    merit, tried = best.merit(problem), 1
    before = [merit]
    found = step_of(problem, best, reach)
    while tried < MOST_ROUNDS and merit - found.predicted > tolerance and reach > LEAST_REACH:
        trial = linearised(problem, best.point + found.step)
        tried += 1
        there = trial.merit(problem)
        if merit - there < POOR * (merit - found.predicted):
            second = step_of(problem, best.bent(trial), reach)
            again = linearised(problem, best.point + second.step)
            tried += 1
            if again.merit(problem) < there:
                trial, there, found = again, again.merit(problem), replace(second, predicted=found.predicted)
        share = (merit - there) / (merit - found.predicted)
        length = float(np.abs(found.step).max())
        if share > ACCEPTED:
            best, merit = trial, there
        before.append(merit)
        brought = before[-PATIENCE] - merit if len(before) > PATIENCE else np.inf
        if brought < worth or merit - brought > beat:
            break
        if share < POOR:
            # a parabola through both ends and the first slope is least at this share of the step
            reach = length * float(np.clip(0.5 / (1 - share), 0.1, 0.5))
        elif share > GOOD and length > 0.9 * reach:
            reach *= 2
        found = step_of(problem, best, reach)
    return Minimum(best, step_of(problem, best, max(reach, PRICED)), tried)


def linearised(problem: Problem, point: Array) -> Linear:
    """Return a problem's numbers and slopes at a point, by central differences within the bounds in one evaluation.

    Where one side cannot be computed the other one gives the slope, and where they differ as at a jump or a bend the
    flatter one; where neither can, none is known and it is 0.
    """
    free = np.flatnonzero(problem.upper > problem.lower)
    ahead = np.minimum(problem.step, problem.upper - point)[free]
    behind = np.minimum(problem.step, point - problem.lower)[free]
    unit = np.eye(point.size)[:, free]
    here = point[:, None]
    cost, residuals, levels = _filled(
        problem, problem.evaluate(np.concatenate([here, here + unit * ahead, here - unit * behind], axis=1))
    )
    slopes = [np.zeros((rows.shape[0], point.size)) for rows in (cost, residuals, levels)]
    for rows, found in zip((cost, residuals, levels), slopes, strict=True):
        found[:, free] = _slopes(rows, ahead, behind)
    return Linear(point, float(cost[0, 0]), residuals[:, 0], levels[:, 0], slopes[0][0], slopes[1], slopes[2])


def _filled(problem: Problem, found: Evaluated) -> tuple[Array, Array, Array]:
    """Cost, residuals and levels as rows; what is absent at the first point is so at all, at what it costs."""
    residuals = np.where(np.isnan(found.residuals[:, :1]), problem.absent, found.residuals)
    levels = np.where(np.isnan(found.levels[:, :1]), -1.0, found.levels)
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
    from scipy.optimize import linprog

    size, terms, pulls = at.point.size, problem.weights.size, problem.pull.size
    span = np.abs(at.level_slopes) @ np.full(size, reach)
    near = np.flatnonzero(at.levels <= span) if goal is None else np.arange(at.levels.size)
    slopes, levels = at.level_slopes[near], at.levels[near]
    away = problem.home @ at.point
    # columns: step, |residual|, |pull|, missed levels
    rows = np.zeros((2 * terms + 2 * pulls + near.size, size + terms + pulls + near.size))
    first, second, third = 2 * terms, 2 * terms + 2 * pulls, size + terms + pulls
    rows[:first, :size] = np.concatenate([at.residual_slopes, -at.residual_slopes])
    rows[:first, size : size + terms] = -np.concatenate([np.eye(terms), np.eye(terms)])
    rows[first:second, :size] = np.concatenate([problem.home, -problem.home])
    rows[first:second, size + terms : third] = -np.concatenate([np.eye(pulls), np.eye(pulls)])
    rows[second:, :size] = -slopes
    rows[second:, third:] = -np.eye(near.size)
    ends = np.concatenate([-at.residuals, at.residuals, -away, away, levels])
    costs = np.concatenate([at.cost_slope, problem.weights, problem.pull, problem.penalty[near]])
    low, high = np.maximum(problem.lower - at.point, -reach), np.minimum(problem.upper - at.point, reach)
    if goal is not None:
        low, high = (np.where(np.isnan(goal), side, goal - at.point) for side in (low, high))
    slack = np.repeat([[0.0, np.inf]], terms + pulls + near.size, axis=0)
    found = linprog(costs, rows, ends, bounds=np.concatenate([np.stack([low, high], axis=1), slack]), method="highs")
    if found.x is None:
        none = np.zeros(size)
        return Step(none, at.merit(problem), np.zeros(at.levels.size), none, none)
    prices = np.zeros(at.levels.size)
    prices[near] = found.ineqlin.marginals[second:]
    step = np.clip(found.x[:size], low, high)
    at_lower, at_upper = at.point + step <= problem.lower, at.point + step >= problem.upper
    return Step(
        step,
        float(at.cost + found.fun),
        prices,
        np.where(at_lower, -found.lower.marginals[:size], 0.0),
        np.where(at_upper, found.upper.marginals[:size], 0.0),
    )


def _pulled(problem: Problem, point: Array) -> float:
    return float(problem.pull @ np.abs(problem.home @ point))
