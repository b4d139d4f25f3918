"""The least of kinks within a box against SciPy's linear programs (HiGHS), a median and sums done by hand."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.optimize import linprog

from scaling.decide.kinks import APART, Corner, Kinked, least


def reference(kinked: Kinked) -> Any:
    """The same as a linear program, each row as the difference of two that are not negative."""
    one = np.eye(kinked.ends.size)
    return linprog(
        np.concatenate([kinked.cost, kinked.above, -kinked.below]),
        A_eq=np.hstack([kinked.rows, -one, one]),
        b_eq=-kinked.ends,
        bounds=[*zip(kinked.low, kinked.high, strict=True), *[(0, None)] * (2 * kinked.ends.size)],
        method="highs",
    )


def drawn(seed: int) -> Kinked:
    """A program of some variables and rows: of whole numbers, of equal rows or with all rows nought at once in turn."""
    rng = np.random.default_rng(seed)
    size, count = int(rng.integers(1, 12)), int(rng.integers(1, 70))
    rows, ends, cost = rng.normal(size=(count, size)), 0.3 * rng.normal(size=count), 0.1 * rng.normal(size=size)
    if seed % 3 == 0:
        rows, ends = np.round(rows), np.round(2 * ends)
    if seed % 5 == 0:
        ends = 0 * ends
    if seed % 7 == 0:
        rows[::2] = rows[0]
    if seed % 11 == 0:
        cost = 0 * cost
    weight = rng.uniform(size=count)
    low, high = -rng.choice([0.0, 0.3, 5.0], size), rng.choice([0.0, 0.3, 5.0], size)
    if seed % 13 == 0:
        low[0] = high[0] = 0.2  # held, away from nought
    return Kinked(cost, rows, ends, -weight, np.where(rng.random(count) < 0.5, weight, 0.0), low, high)


def at(kinked: Kinked, point: Any) -> float:
    level = kinked.rows @ point + kinked.ends
    slopes = zip(kinked.below, kinked.above, level, strict=True)
    return float(kinked.cost @ point + sum(max(below * each, above * each) for below, above, each in slopes))


@pytest.mark.parametrize("first", range(0, 300, 50))
def test_linear_programs(first: int) -> None:
    for seed in range(first, first + 50):
        kinked = drawn(seed)
        found, other = least(kinked), reference(kinked)
        assert found.value == pytest.approx(other.fun, abs=1e-9), seed
        assert at(kinked, found.point) == pytest.approx(found.value, abs=1e-12), seed
        assert np.all((found.point >= kinked.low) & (found.point <= kinked.high)), seed


@pytest.mark.parametrize("first", range(0, 300, 50))
def test_prices_prove_that_nothing_is_less(first: int) -> None:
    """By duality: prices within the slopes, and slopes that hold each variable where it is, bound the value below."""
    for seed in range(first, first + 50):
        kinked = drawn(seed)
        found = least(kinked)
        assert np.all(found.prices >= kinked.below - 1e-8), seed
        assert np.all(found.prices <= kinked.above + 1e-8), seed
        slopes = kinked.cost + found.prices @ kinked.rows
        assert found.slopes == pytest.approx(slopes, abs=1e-12)
        bound = found.prices @ kinked.ends + np.minimum(slopes * kinked.low, slopes * kinked.high).sum()
        assert bound == pytest.approx(found.value, abs=1e-7), seed


def test_a_price_is_what_one_more_is_worth() -> None:
    """Where SciPy's answer has no rows that are nought by chance, its marginals are the prices."""
    kinked = drawn(17)
    found, other = least(kinked), reference(kinked)
    assert np.abs(found.prices).max() > 0.1
    assert found.prices == pytest.approx(-other.eqlin.marginals, abs=1e-9)
    assert found.point == pytest.approx(other.x[: found.point.size], abs=1e-9)


def of_one(ends: Any, below: Any, above: Any, cost: float = 0.0, side: float = 10.0) -> Corner:
    ends = np.asarray(ends, dtype=float)
    box = np.full(1, side)
    rows = np.ones((ends.size, 1))
    return least(Kinked(np.full(1, cost), rows, ends, np.asarray(below, float), np.asarray(above, float), -box, box))


@pytest.mark.parametrize("values", [(1.0, 2.0, 7.0), (4.0, -3.0, 0.5, 2.0, 9.0)])
def test_the_median(values: tuple[float, ...]) -> None:
    """The sum of distances is least at the middle value."""
    one = np.ones(len(values))
    found = of_one(-np.asarray(values), -one, one)
    assert found.point[0] == np.median(values)
    assert found.value == pytest.approx(sum(abs(value - np.median(values)) for value in values))


def test_a_side_of_the_box_and_its_slope() -> None:
    """-0.5 x + |x - 20| within 10: the side is reached, and one more would bring one and a half."""
    found = of_one([-20.0], [-1.0], [1.0], cost=-0.5)
    assert (found.point[0], found.value, found.slopes[0]) == (10.0, 5.0, -1.5)


def test_what_nothing_hangs_on_stays() -> None:
    """|x + y - 1| of three variables: what is not asked for stays, and one of the others is enough."""
    box = np.full(3, 2.0)
    found = least(
        Kinked(np.zeros(3), np.asarray([[1.0, 1.0, 0.0]]), -np.ones(1), -np.ones(1), np.ones(1), -box, box)
    )  # fmt: skip
    assert found.point[2] == 0.0
    assert sorted(found.point[:2]) == pytest.approx([0.0, 1.0], abs=10 * APART)


def test_nothing_moves() -> None:
    """With every variable held there is nothing to look for."""
    held = np.asarray([0.3, -0.2])
    found = least(
        Kinked(np.ones(2), np.eye(2), np.asarray([0.0, 0.5]), -np.ones(2), np.asarray([2.0, 0.0]), held, held)
    )  # fmt: skip
    assert found.point == pytest.approx(held)
    assert found.value == pytest.approx(0.1 + 0.6)
    assert found.slopes == pytest.approx([3.0, 1.0])
