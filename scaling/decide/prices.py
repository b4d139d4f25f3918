"""What each limit costs: how much a step more room in it would take off the score, and where that would go.

The price is the limit's multiplier at the optimum, which the last linear program gives; the same program solved again
with the room says which quantity the gain goes into.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from scaling.book.entry import Array
from scaling.book.told_apart import told_apart
from scaling.decide.freed_space import Space
from scaling.decide.slp import Linear, Minimum, Problem, step_of
from scaling.port.freed import FACTOR
from scaling.study.problem import in_sentence, label_of
from scaling.study.results import Price

GRAMS = 0.010
"""The step of the mass limit, kg; that of every other limit is a share."""

SHARE = 0.01

LEAST = 5e-6
"""A price below this is none: it is the pull towards the similar machine, or what the differences leave."""

PLACES = 9
"""Digits after the point of a drift by which two gains are told apart."""


def prices_of(space: Space, problem: Problem, minimum: Minimum) -> tuple[Price, ...]:
    """Return the price of every limit and bound that holds the port back, largest first."""
    found = [*_of_limits(space, problem, minimum), *_of_bounds(space, problem, minimum)]
    return tuple(sorted(found, key=lambda price: told_apart(price.price)))


def _of_limits(space: Space, problem: Problem, minimum: Minimum) -> list[Price]:
    prices: list[Price] = []
    for place, (limit, price) in enumerate(zip(space.names, minimum.last.level_prices, strict=True)):
        room = GRAMS / space.brief.allowed_mass if limit.name == "mass" else SHARE
        bought = float(price * room)
        if bought < -LEAST:
            step = "Ten grams more" if limit.name == "mass" else f"{limit.label}: {100 * SHARE:g} % more room"
            goes = _goes_to(space, problem, minimum.at, place, room)
            prices.append(Price(limit.name, bought, f"{step} would buy {-bought:.2g} less drift{goes}."))
    return prices


def _of_bounds(space: Space, problem: Problem, minimum: Minimum) -> list[Price]:
    """Prices of levers that stand at the end of their way, of those that are free there."""
    names = [FACTOR, *(lever.key for lever in space.levers)]
    prices: list[Price] = []
    free = problem.upper > problem.lower
    for name, moves, lower, upper in zip(
        names, free, minimum.last.lower_prices, minimum.last.upper_prices, strict=True
    ):
        bought = float(min(lower, upper) * SHARE)
        if bought < -LEAST and name != FACTOR and moves:
            side = "least" if lower < upper else "most"
            text = f"The {side} {label_of(name)}: {100 * SHARE:g} % more room would buy {-bought:.2g} less drift."
            prices.append(Price(name, bought, text))
    return prices


def _goes_to(space: Space, problem: Problem, at: Linear, place: int, room: float) -> str:
    """Which quantity's drift shrinks most by that much room in one limit, in a few words; empty where none does."""
    eased = at.levels.copy()
    eased[place] += room
    reach = 10 * room
    shares = [
        problem.weights * np.abs(near.along(step_of(problem, near, reach).step).residuals)
        for near in (at, replace(at, levels=eased))
    ]
    gain: Array = shares[0] - shares[1]
    best = int(np.argmax(told_apart(gain, PLACES)))
    return f", most of it in {in_sentence(list(space.objective.weights)[best])}" if gain[best] > 0 else ""
