"""The solver against problems with published answers, linear programs by SciPy and sums done by hand.

Box: S. Boyd, S. J. Kim, L. Vandenberghe & A. Hassibi, A tutorial on geometric programming, sec. 2.4; simple aircraft:
W. Hoburg & P. Abbeel, Geometric programming for aircraft design optimization, sec. 3. Numbers and sensitivities of both
as the documentation of gpkit prints them (simple_box_output.txt, simpleflight_output.txt; both opened).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.optimize import linprog

from scaling.decide.side_by_side import Evaluated, together
from scaling.decide.slp import Minimum, Problem, linearised, minimise, minimising

Levels = Callable[..., Sequence[Any]]


def program(cost: Callable[..., Any], levels: Levels, size: int, penalty: float = 20.0) -> Problem:
    """A geometric program in the logarithms of its variables: the least cost with every level at least 1."""

    def evaluate(points: Any) -> Evaluated:
        values = np.exp(points)
        held = np.log(np.stack([np.broadcast_to(level, points.shape[1:]) for level in levels(*values)]))
        return Evaluated(np.log(cost(*values)), np.zeros((0, points.shape[1])), held)

    count = len(levels(*np.ones(size)))
    wide = np.full(size, 25.0)
    return Problem(
        evaluate, np.zeros(0), -wide, wide, np.full(count, penalty), np.zeros(0), np.zeros((0, size))
    )  # fmt: skip


def residual_problem(residuals: Callable[[Any], Any], weights: Any, size: int, **rest: Any) -> Problem:
    def evaluate(points: Any) -> Evaluated:
        return Evaluated(np.zeros(points.shape[1]), residuals(points), np.zeros((0, points.shape[1])))

    wide = np.full(size, 10.0)
    given = {"pull": np.zeros(0), "home": np.zeros((0, size))} | rest
    return Problem(evaluate, np.asarray(weights, dtype=float), -wide, wide, np.zeros(0), **given)


BOX_LEVELS = ("wall area", "floor area", "least h/w", "most h/w", "least d/w", "most d/w")


def box(wall: float = 200.0, alpha: float = 2.0) -> Problem:
    """The largest box of height h, width w and depth d with bounds on its walls, its floor and its shape."""
    return program(
        lambda h, w, d: 1 / (h * w * d),
        lambda h, w, d: (wall / (2 * h * w + 2 * h * d), 50 / (w * d), h / w / alpha, 10 / (h / w), d / w / 2,
                         10 / (d / w)),
        3,
    )  # fmt: skip


STARTS = ((0.0, 0.0, 0.0), (3.0, -1.0, 0.5), (-4.0, 2.0, 2.0))


@pytest.mark.parametrize("start", STARTS)
def test_the_box_and_what_its_limits_are_worth(start: Sequence[float]) -> None:
    found = minimise(box(), np.asarray(start))
    assert np.exp(found.at.cost) == pytest.approx(0.003674, abs=5e-7)
    assert np.exp(found.at.point) == pytest.approx([8.163, 4.081, 8.17], rel=2e-3)  # printed to the solver's tolerance
    prices = dict(zip(BOX_LEVELS, found.last.level_prices, strict=True))
    assert prices["wall area"] == pytest.approx(-1.5, abs=1e-3)
    assert -prices["least h/w"] == pytest.approx(0.5, abs=1e-3)
    assert [prices[name] for name in ("floor area", "most h/w", "most d/w")] == pytest.approx([0, 0, 0], abs=1e-3)


def test_a_price_is_what_solving_again_with_more_room_gives() -> None:
    found = minimise(box(), np.zeros(3))
    for place, more in ((0, box(wall=200 * np.exp(1e-3))), (2, box(alpha=2 * np.exp(-1e-3)))):
        again = minimise(more, found.at.point)
        assert (again.at.cost - found.at.cost) / 1e-3 == pytest.approx(found.last.level_prices[place], rel=2e-3)


def aircraft(weight: float = 4940.0, efficiency: float = 0.95, takeoff: float = 22.0) -> Problem:
    """The least drag of a small aeroplane: aspect ratio, area, speed, weights and coefficients are free."""
    thick, factor, wet, density, viscosity = 0.12, 1.2, 2.05, 1.23, 1.78e-5

    def levels(D: Any, A: Any, S: Any, V: Any, W: Any, Re: Any, CD: Any, CL: Any, Cf: Any, Ww: Any) -> Sequence[Any]:
        return (
            CD / (0.031 / S + factor * Cf * wet + CL**2 / (np.pi * A * efficiency)),
            Ww / (45.24 * S + 8.71e-5 * 3.8 * A**1.5 * (weight * W * S) ** 0.5 / thick),
            D / (0.5 * density * S * CD * V**2),
            density / viscosity * V * (S / A) ** 0.5 / Re,
            Cf / (0.074 / Re**0.2),
            0.5 * density * S * CL * V**2 / W,
            0.5 * density * S * 1.5 * takeoff**2 / W,
            W / (weight + Ww),
        )

    return program(lambda D, *_rest: D, levels, 10)


START = np.log([500, 8, 16, 40, 7000, 3e6, 0.02, 0.5, 0.004, 2000])


@pytest.mark.parametrize("start", [START, np.zeros(10)])
def test_the_simple_aircraft(start: Any) -> None:
    found = minimise(aircraft(), start, reach=1.0)
    D, A, S, V, W, _Re, CD, CL, Cf, Ww = np.exp(found.at.point)
    assert pytest.approx(303.1, abs=0.05) == D
    assert [A, S, V, W, Ww] == pytest.approx([8.46, 16.44, 38.15, 7341, 2401], rel=2e-3)
    assert [CD, CL, Cf] == pytest.approx([0.02059, 0.4988, 0.003599], rel=2e-3)


def test_what_the_simple_aircraft_s_fixed_values_are_worth() -> None:
    """Sensitivities by the prices: per cent of drag for a per cent more of each fixed value."""
    found = minimise(aircraft(), START)
    drag, wing, *_, takeoff, weight = -found.last.level_prices
    _D, A, S, _V, W, _Re, CD, CL, _Cf, Ww = np.exp(found.at.point)
    induced = CL**2 / (np.pi * A * 0.95)
    structure = 8.71e-5 * 3.8 * A**1.5 * (4940 * W * S) ** 0.5 / 0.12
    assert weight * 4940 / W + wing * structure / Ww / 2 == pytest.approx(1.01, abs=0.005)
    assert -drag * induced / CD == pytest.approx(-0.48, abs=0.005)
    assert -2 * takeoff == pytest.approx(-0.37, abs=0.005)


@pytest.mark.parametrize("values", [(1.0, 2.0, 7.0), (4.0, -3.0, 0.5, 2.0, 9.0)])
def test_the_least_sum_of_distances_is_at_the_median(values: Sequence[float]) -> None:
    given = np.asarray(values)
    found = minimise(residual_problem(lambda points: points - given[:, None], np.ones(given.size), 1), np.zeros(1))
    assert found.at.point[0] == pytest.approx(np.median(given), abs=1e-6)


def test_a_least_absolute_fit_is_the_linear_program_s() -> None:
    rng = np.random.default_rng(4)
    slopes, ends, weights = rng.normal(size=(12, 3)), rng.normal(size=12), rng.uniform(0.5, 2, 12)
    problem = residual_problem(lambda points: slopes @ points - ends[:, None], weights, 3)
    found = minimise(problem, np.zeros(3))
    rows = np.block([[slopes, -np.eye(12)], [-slopes, -np.eye(12)]])
    fit = linprog(np.concatenate([np.zeros(3), weights]), rows, np.concatenate([ends, -ends]),
                  bounds=[(None, None)] * 3 + [(0, None)] * 12)  # fmt: skip
    assert found.at.score(problem) == pytest.approx(fit.fun, rel=1e-8)


@pytest.mark.parametrize("start", [(3.0, 1.0), (1.0, 1.0), (0.5, 0.3)])
def test_a_curved_sum_of_absolute_values(start: Sequence[float]) -> None:
    """|x^2 + y^2 + xy| + |sin x| + |cos y| has a valley's end at the origin, where it is 1 (by hand)."""
    problem = residual_problem(
        lambda p: np.stack([p[0] ** 2 + p[1] ** 2 + p[0] * p[1], np.sin(p[0]), np.cos(p[1])]), np.ones(3), 2
    )
    found = minimise(problem, np.asarray(start))
    assert found.at.score(problem) == pytest.approx(1.0, abs=1e-6)


def test_what_is_absent_costs_and_does_not_win() -> None:
    """|x - 2| that is absent beyond 1, where it would cost less by being there: the search stays at the edge."""
    problem = residual_problem(
        lambda p: np.where(p > 1, np.nan, np.stack([p[0] - 2])), np.ones(1), 1, absent=3.0
    )  # fmt: skip
    found = minimise(problem, np.zeros(1))
    assert found.at.point[0] == pytest.approx(1.0, abs=1e-3)
    assert found.at.score(problem) == pytest.approx(1.0, abs=1e-3)
    beyond = linearised(problem, np.asarray([1.5]))
    assert beyond.score(problem) == 3.0


def test_a_small_pull_decides_where_nothing_else_does() -> None:
    """x + y alone is asked for: the dearer of both levers stands still, from wherever the search starts."""
    pull = np.asarray([1.1e-4, 1e-4])
    problem = residual_problem(lambda p: np.stack([p[0] + p[1] - 1]), np.ones(1), 2, pull=pull, home=np.eye(2))
    for start in ((0.0, 0.0), (2.0, -3.0), (-1.0, 1.5)):
        found = minimise(problem, np.asarray(start))
        assert found.at.point == pytest.approx([0.0, 1.0], abs=1e-6)


def test_a_limit_that_cannot_be_held_is_missed_by_the_least() -> None:
    """x at least 1 and at most 0: the dearer of both limits is held."""

    def evaluate(points: Any) -> Evaluated:
        levels = np.stack([points[0] - 1, -points[0]])
        return Evaluated(0.01 * points[0], np.zeros((0, points.shape[1])), levels)

    wide = np.full(1, 10.0)
    problem = Problem(evaluate, np.zeros(0), -wide, wide, np.asarray([1.0, 5.0]), np.zeros(0), np.zeros((0, 1)))
    found: Minimum = minimise(problem, np.asarray([4.0]))
    assert found.at.point[0] == pytest.approx(0.0, abs=1e-9)
    assert found.at.missed == pytest.approx(1.0, abs=1e-9)
    held = minimise(Problem(evaluate, np.zeros(0), wide / 4, wide, np.ones(2), np.zeros(0), np.zeros((0, 1))), wide)
    assert held.at.point[0] == 2.5  # a bound is never passed


def test_one_evaluation_a_trial_point_with_all_its_differences() -> None:
    calls: list[int] = []
    problem = box()

    def counted(points: Any) -> Evaluated:
        calls.append(points.shape[1])
        return problem.evaluate(points)

    found = minimise(replace(problem, evaluate=counted), np.zeros(3))
    assert calls == [7] * found.tried


def test_searches_side_by_side_find_what_each_finds_by_itself() -> None:
    problem, calls = box(), list[int]()

    def counted(points: Any) -> Evaluated:
        calls.append(points.shape[1])
        return problem.evaluate(points)

    starts = [np.asarray(start) for start in STARTS]
    alone = [minimise(problem, start) for start in starts]
    found = together(counted, [minimising(problem, start) for start in starts])
    assert [found[place].tried for place in range(3)] == [each.tried for each in alone]
    for place, each in enumerate(alone):
        assert found[place].at.point == pytest.approx(each.at.point, abs=1e-12)
    assert len(calls) == max(each.tried for each in alone)
    assert sum(calls) == 7 * sum(each.tried for each in alone)


def test_two_at_once_and_what_is_no_longer_wanted_is_left_out() -> None:
    problem, calls = box(), list[int]()

    def counted(points: Any) -> Evaluated:
        calls.append(points.shape[1])
        return problem.evaluate(points)

    searches = [minimising(problem, np.asarray(start)) for start in STARTS]
    found = together(counted, searches, 2, lambda place, done: place < 2 or 0 not in done)
    assert {0, 1} <= found.keys()
    assert max(calls) == 14
    alone = together(counted, [minimising(problem, np.asarray(start)) for start in STARTS], 1,
                     lambda _place, done: not done)  # fmt: skip
    assert alone.keys() == {0}


def test_a_race_ends_for_what_cannot_win() -> None:
    """|x| + 1 where x is above 5, from afar in small steps, beside one that is at nought at once."""
    problem = residual_problem(
        lambda p: np.where(p > 5, np.abs(p) + 1, p), np.ones(1), 1, pull=np.full(1, 1e-6), home=np.eye(1)
    )  # fmt: skip
    near, far = np.zeros(1), np.asarray([10.0])
    by_itself = minimise(problem, far, reach=1e-3, racing=True)
    found = together(problem.evaluate, [minimising(problem, near),
                                        minimising(problem, far, reach=1e-3, racing=True)])  # fmt: skip
    assert found[0].merit == pytest.approx(0.0, abs=1e-6)
    assert found[1].tried < by_itself.tried


def test_a_search_for_what_is_enough_ends_there() -> None:
    found = minimise(box(), np.asarray([3.0, -1.0, 0.5]), enough=1e-6)
    assert found.at.missed <= 1e-6
    assert found.tried < minimise(box(), np.asarray([3.0, -1.0, 0.5])).tried


def test_a_level_of_nothing_at_all_is_missed() -> None:
    """ln of x, which is 0 below 0: nothing says where to go from there, so the search ends there, missed by one.

    From above it comes to where x is at least 1.
    """

    def evaluate(points: Any) -> Evaluated:
        with np.errstate(divide="ignore"):
            level = np.log(np.maximum(points, 0.0))
        return Evaluated(0 * points[0], np.zeros((0, points.shape[1])), level)

    wide = np.full(1, 10.0)
    problem = Problem(evaluate, np.zeros(0), -wide, wide, np.ones(1), np.zeros(0), np.zeros((0, 1)))
    found = minimise(problem, np.asarray([-2.0]))
    assert (found.at.point[0], found.at.missed, found.merit) == (-2.0, 1.0, 1.0)
    assert minimise(problem, np.asarray([0.5])).at.point[0] > 1 - 1e-9
