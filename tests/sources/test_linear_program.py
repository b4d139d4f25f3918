"""The linear programs, and the step that is one, against SciPy's, a proof by duality and sums done by hand.

SciPy has a HiGHS in it too, so that nothing is less is proved as well, by duality: prices that are within their limits
bound from below what any other point comes to.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.optimize import linprog

from scaling.decide.linear_program import Solved, solve
from scaling.decide.side_by_side import Evaluated
from scaling.decide.slp import Linear, Problem, step_of

REACH = 2.0


def drawn(seed: int) -> tuple[Problem, Linear]:
    """Slopes at nought: some of whole numbers, with equal rows, with all rows nought at once or without a cost."""
    rng = np.random.default_rng(seed)
    size, levels, residuals = int(rng.integers(1, 12)), int(rng.integers(1, 40)), int(rng.integers(1, 30))
    count = levels + residuals
    rows, ends, cost = rng.normal(size=(count, size)), 0.3 * rng.normal(size=count), 0.1 * rng.normal(size=size)
    if seed % 3 == 0:
        rows, ends = np.round(rows), np.round(2 * ends)
    if seed % 5 == 0:
        ends = 0 * ends
    if seed % 7 == 0:
        rows[::2] = rows[0]
    if seed % 11 == 0:
        cost = 0 * cost
    low, high = -rng.choice([0.0, 0.3, 5.0], size), rng.choice([0.0, 0.3, 5.0], size)
    if seed % 13 == 0:
        low[0] = high[0] = 0.2  # held, away from nought
    weight, home = rng.uniform(size=count), np.eye(size)[: size // 2]
    problem = Problem(_nothing, weight[levels:], low, high, weight[:levels], np.full(size // 2, 0.01), home)
    return problem, Linear(
        np.zeros(size), 0.7, ends[levels:], ends[:levels], cost, rows[levels:], rows[:levels]
    )  # fmt: skip


def _nothing(points: Any) -> Evaluated:
    raise AssertionError(points)


def box(problem: Problem) -> tuple[Any, Any]:
    return np.maximum(problem.lower, -REACH), np.minimum(problem.upper, REACH)


def reference(problem: Problem, at: Linear) -> Any:
    """The same by SciPy, each absolute value as one more variable above two rows."""
    twice = np.concatenate([problem.weights, problem.pull])
    rows, ends = np.concatenate([at.residual_slopes, problem.home]), np.append(at.residuals, 0 * problem.pull)
    one, none = np.eye(twice.size), np.zeros((at.levels.size, twice.size))
    missed = np.eye(at.levels.size)
    return linprog(
        np.concatenate([at.cost_slope, problem.penalty, twice]),
        np.block([[-at.level_slopes, -missed, none], [rows, none.T, -one], [-rows, none.T, -one]]),
        np.concatenate([at.levels, -ends, ends]),
        bounds=[*zip(*box(problem), strict=True), *[(0, None)] * (at.levels.size + twice.size)],
        method="highs",
    )


def at_end(problem: Problem, at: Linear, step: Any) -> float:
    """What is made least after a step, written out."""
    levels, residuals = at.levels + at.level_slopes @ step, at.residuals + at.residual_slopes @ step
    parts = [problem.penalty @ np.maximum(-levels, 0), problem.weights @ np.abs(residuals)]
    return float(at.cost + at.cost_slope @ step + sum(parts) + problem.pull @ np.abs(problem.home @ step))


@pytest.mark.parametrize("first", range(0, 300, 50))
def test_a_step_is_as_good_as_scipy_s(first: int) -> None:
    for seed in range(first, first + 50):
        problem, at = drawn(seed)
        found, (low, high) = step_of(problem, at, REACH), box(problem)
        assert found.predicted == pytest.approx(at.cost + reference(problem, at).fun, abs=1e-8), seed
        assert found.predicted == pytest.approx(at_end(problem, at, found.step), abs=1e-12), seed
        assert np.all((found.step >= low) & (found.step <= high)), seed


@pytest.mark.parametrize("first", range(0, 300, 50))
def test_prices_prove_that_no_step_is_better(first: int) -> None:
    """What is missed counts by its price at least, the rest is a program without levels, whose least SciPy knows."""
    for seed in range(first, first + 50):
        problem, at = drawn(seed)
        found, prices = step_of(problem, at, REACH), -step_of(problem, at, REACH).level_prices
        assert np.all((prices >= -1e-8) & (prices <= problem.penalty + 1e-8)), seed
        size = at.levels.size
        eased = replace(at, cost_slope=at.cost_slope - prices @ at.level_slopes, levels=np.full(size, 1e3))
        bound = at.cost - prices @ at.levels + reference(problem, eased).fun
        assert bound == pytest.approx(found.predicted, abs=1e-7), seed


@pytest.mark.parametrize("seed", [2, 17, 19, 21, 38])
def test_prices_are_scipy_s_where_there_is_one_answer(seed: int) -> None:
    """Draws in which no more rows are nought than make the corner."""
    problem, at = drawn(seed)
    found, other = step_of(problem, at, REACH), reference(problem, at)
    size = at.point.size
    assert np.abs(found.level_prices).max() > 0.1
    assert found.step == pytest.approx(other.x[:size], abs=1e-9)
    assert found.level_prices == pytest.approx(other.ineqlin.marginals[: at.levels.size], abs=1e-9)
    lower, upper = found.step <= problem.lower, found.step >= problem.upper
    assert (lower | upper).any()
    assert found.lower_prices == pytest.approx(-other.lower.marginals[:size] * lower, abs=1e-9)
    assert found.upper_prices == pytest.approx(other.upper.marginals[:size] * upper, abs=1e-9)


def general(seed: int) -> tuple[Any, Any, tuple[Any, Any], tuple[Any, Any]]:
    """A program with rows that are held, bounded on one side and on both, that nought solves."""
    rng = np.random.default_rng(seed)
    size, count = int(rng.integers(2, 9)), int(rng.integers(1, 9))
    rows = np.round(2 * rng.normal(size=(count, size)) * (rng.random((count, size)) < 0.6))
    least, most = rng.choice([-np.inf, -1.0, 0.0], count), rng.choice([0.0, 1.0, np.inf], count)
    return np.round(3 * rng.normal(size=size)), rows, (least, most), (-rng.random(size), rng.random(size))


def test_any_program_is_scipy_s_and_proves_that_nothing_is_less() -> None:
    """By duality: each row at the end that its price points to, and each column at its bound, sum up to the least."""
    for seed in range(100):
        costs, rows, ends, bounds = general(seed)
        found = solve(costs, rows, ends, bounds)
        other = linprog(costs, *one_sided(rows, ends), bounds=np.stack(bounds, axis=1))
        assert found is not None
        least = costs @ found.point
        assert least == pytest.approx(other.fun, abs=1e-8), seed
        assert found.column_prices == pytest.approx(costs - found.row_prices @ rows, abs=1e-8), seed
        priced = np.abs(found.row_prices) > 1e-9
        at_rows = np.where(found.row_prices > 0, *ends)[priced] @ found.row_prices[priced]
        at_bounds = np.where(found.column_prices > 0, *bounds) @ found.column_prices
        assert at_rows + at_bounds == pytest.approx(least, abs=1e-7), seed


def one_sided(rows: Any, ends: tuple[Any, Any]) -> tuple[Any, Any]:
    rows, most = np.concatenate([rows, -rows]), np.concatenate([ends[1], -ends[0]])
    return rows[np.isfinite(most)], most[np.isfinite(most)]


def test_a_program_leaves_nothing_for_another() -> None:
    """Backwards, four at once, every program has the same point and prices as forwards, to the last digit."""

    def solved(seed: int) -> Solved:
        found = solve(*general(seed))
        assert found is not None
        return found

    forwards = [solved(seed) for seed in range(60)]
    with ThreadPoolExecutor(4) as pool:
        backwards = list(pool.map(solved, reversed(range(60))))
    for one, other in zip(forwards, reversed(backwards), strict=True):
        for name in ("point", "row_prices", "column_prices"):
            assert np.array_equal(getattr(one, name), getattr(other, name))


@pytest.mark.parametrize(
    ("cost", "end", "most"),
    [(1.0, 9.0, 2.0), (-1.0, 0.0, np.inf), (1.0, 0.0, -1.0)],
    ids=["no point holds the row", "less without end", "bounds that cross"],
)
def test_what_has_no_answer_has_none_and_leaves_nothing(cost: float, end: float, most: float) -> None:
    one = np.ones(1)
    assert solve(cost * one, np.eye(1), (end * one, np.inf * one), (0 * one, most * one)) is None
    assert found_point(solve(one, np.eye(1), (one, np.inf * one), (0 * one, 2 * one))) == [1.0]


def found_point(found: Solved | None) -> list[float]:
    assert found is not None
    return [float(value) for value in found.point]


def test_where_there_is_no_step_the_search_stays() -> None:
    """Bounds that cross: no step, what is there now, and no price."""
    problem, at = drawn(17)
    found = step_of(replace(problem, lower=problem.upper + 1), at, REACH)
    assert not found.step.any()
    assert found.predicted == pytest.approx(at_end(problem, at, 0 * at.point), abs=1e-12)
    assert not any(prices.any() for prices in (found.level_prices, found.lower_prices, found.upper_prices))


def test_it_works_in_silence(capfd: pytest.CaptureFixture[str], process: Any) -> None:
    code = (
        "import numpy as np; from scaling.decide.linear_program import solve; one = np.ones(1);"
        "print(solve(one, np.eye(1), (one, 2 * one), (0 * one, 3 * one)).point)"
    )
    done = process(before=("-c", code))
    assert (done.out, done.err) == ("[1.]\n", "")


def along_one(cost: float, residuals: Any, side: float) -> tuple[Problem, Linear]:
    """A variable within ``side`` of nought, with a cost and residuals that grow as it does."""
    given = np.asarray(residuals, dtype=float)
    wide, slopes = np.full(1, side), np.ones((given.size, 1))
    none, empty = np.zeros(0), np.zeros((0, 1))
    problem = Problem(_nothing, np.ones(given.size), -wide, wide, none, none, empty)
    return problem, Linear(np.zeros(1), 0.0, given, none, np.full(1, cost), slopes, empty)


@pytest.mark.parametrize("values", [(1.0, 2.0, 7.0), (4.0, -3.0, 0.5, 2.0, 9.0)])
def test_the_median(values: tuple[float, ...]) -> None:
    """The sum of distances is least at the middle value."""
    found = step_of(*along_one(0.0, -np.asarray(values), 10.0), 20.0)
    assert found.step[0] == pytest.approx(np.median(values), abs=1e-12)
    assert found.predicted == pytest.approx(sum(abs(value - np.median(values)) for value in values))


def test_a_bound_and_its_price() -> None:
    """-0.5 x + |x - 20| within 10: the bound is reached, and one more would bring one and a half."""
    found = step_of(*along_one(-0.5, [-20.0], 10.0), 50.0)
    assert (found.step[0], found.predicted, found.upper_prices[0], found.lower_prices[0]) == (10.0, 5.0, -1.5, 0.0)
    nearer = step_of(*along_one(-0.5, [-20.0], 10.0), 4.0)
    assert (nearer.step[0], nearer.predicted, nearer.upper_prices[0]) == (4.0, 14.0, 0.0)  # not the bound's doing


def test_a_goal_is_reached_however_far() -> None:
    """|x - 20| with x to end at 7, beyond the reach of one."""
    found = step_of(*along_one(-0.5, [-20.0], 10.0), 1.0, np.asarray([7.0]))
    assert (found.step[0], found.predicted) == (7.0, 9.5)
