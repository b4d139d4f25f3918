"""The finder of roots on functions that are hard for such finders, against scipy's own roots.

Functions: G. E. Alefeld, F. A. Potra & Y. Shi, Algorithm 748: Enclosing zeros of continuous functions, ACM Transactions
on Mathematical Software 21 (1995), table I, from memory; turned so that each rises. Roots: scipy.optimize.brentq.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from scaling.book.root import rising_root

Pair = Callable[[Any], tuple[Any, Any]]


def poles(x: Any) -> tuple[Any, Any]:
    """-2 sum (2 i - 5)^2 / (x - i^2)^3, between two of its poles."""
    rows = [((2 * i - 5) ** 2, x - i**2) for i in range(1, 21)]
    return -2 * sum(a / b**3 for a, b in rows), 6 * sum(a / b**4 for a, b in rows)


def power(n: int, a: float) -> Pair:
    return lambda x: (x**n - a, n * x ** (n - 1))


def flat(n: int) -> Pair:
    """A sigmoid that is nearly level but for its middle: n x - 1 over (n - 1) x, steep at its root."""
    return lambda x: ((n * x - 1) / ((n - 1) * x), 1 / ((n - 1) * x**2))


def late(n: int) -> Pair:
    return lambda x: (2 * x * np.exp(-n) - 2 * np.exp(-n * x) + 1, 2 * np.exp(-n) + 2 * n * np.exp(-n * x))


def kink(x: Any) -> tuple[Any, Any]:
    """Level on either side of a narrow rise, with corners: n = 20 of a family of the paper."""
    n = 20
    inside = (x > 0) & (x < 2e-3 / (1 + n))
    value = np.where(x <= 0, -0.859, np.where(inside, np.exp((n + 1) * x / 2 * 1e3) - 1.859, np.e - 1.859))
    return value, np.where(inside, (n + 1) / 2 * 1e3 * np.exp((n + 1) * x / 2 * 1e3), 0.0)


CASES: dict[str, tuple[Pair, float, float]] = {
    "sin x - x/2": (lambda x: (x / 2 - np.sin(x), 0.5 - np.cos(x)), np.pi / 2, np.pi),
    "between poles": (poles, 1 + 1e-9, 4 - 1e-9),
    "x exp": (lambda x: (40 * x * np.exp(-x), 40 * (1 - x) * np.exp(-x)), -9.0, 0.9),
    "x exp, steep": (lambda x: (200 * x * np.exp(-3 * x), 200 * (1 - 3 * x) * np.exp(-3 * x)), -9.0, 0.3),
    **{f"x^{n} - {a}": (power(n, a), 0.0, 5.0) for n, a in ((4, 0.2), (6, 1.0), (8, 0.2), (12, 1.0))},
    **{f"exp {n}": (late(n), 0.0, 1.0) for n in (1, 5, 20, 100)},
    **{f"flat {n}": (flat(n), 0.01, 1.0) for n in (2, 5, 15, 20)},
    **{f"x^{n}, of many roots at one place": (power(n, 0.0), -1.0, 10.0) for n in (3, 5, 9, 19)},
    "kink": (kink, -1e4, 1e-4),
}


@pytest.mark.parametrize("name", CASES)
def test_a_root_is_scipy_s(name: str) -> None:
    function, low, high = CASES[name]
    with np.errstate(all="ignore"):
        expected = brentq(lambda x: float(function(np.float64(x))[0]), low, high, xtol=1e-300, rtol=1e-15, maxiter=1000)
    found = float(rising_root(function, np.asarray([low]), np.asarray([high]))[0])
    assert found == pytest.approx(expected, rel=1e-9, abs=1e-12 * (high - low))


def test_few_steps_are_enough() -> None:
    """Halving takes some 50; a Newton step with a bracket should be there in far fewer for smooth functions."""
    steps: list[int] = []

    def counted(x: Any, a: Any) -> tuple[Any, Any]:
        steps.append(x.size)
        return x**3 - a, 3 * x**2

    goals = np.linspace(0.01, 900.0, 5000)
    found = rising_root(counted, np.zeros(5000), np.full(5000, 10.0), goals)
    np.testing.assert_allclose(found, np.cbrt(goals), rtol=1e-14)
    assert sum(steps) < 12 * 5000
    assert len(steps) < 25


def test_what_has_no_root_is_told_by_its_end_and_does_not_hold_up_the_others() -> None:
    steps: list[int] = []

    def line(x: Any, at: Any) -> tuple[Any, Any]:
        steps.append(x.size)
        return x - at, np.ones_like(x)

    found = rising_root(line, np.zeros(4), np.ones(4), np.array([-3.0, 0.25, 7.0, np.nan]))
    np.testing.assert_array_equal(found, [0.0, 0.25, 1.0, np.nan])
    assert len(steps) < 12


def test_closed_ends_are_not_searched() -> None:
    found = rising_root(lambda x: (x - 5.0, np.ones_like(x)), np.array([2.0, 0.0]), np.array([2.0, 9.0]))
    np.testing.assert_array_equal(found, [2.0, 5.0])


def test_rows_are_found_each_by_itself() -> None:
    """A whole batch gives what each row alone gives, also where rows are left out on the way."""
    random = np.random.default_rng(5)
    goals, powers = random.uniform(0.01, 50.0, (30, 7)), random.integers(1, 9, 7).astype(float)

    def function(x: Any, goal: Any, power: Any) -> tuple[Any, Any]:
        return x**power - goal, power * x ** (power - 1)

    ends = np.zeros(()), np.asarray(60.0)
    whole = rising_root(function, *ends, goals, powers)
    np.testing.assert_allclose(whole, goals ** (1 / powers), rtol=1e-13)
    alone = [rising_root(function, *ends, goals[row], powers) for row in range(30)]
    np.testing.assert_allclose(whole, alone, rtol=1e-13)
