"""Groups held where powers do not tell: the least moves of the free keys that hold them, sought by running the models.

A spin-up time follows no single power of the rotor's speed, so whether a rush margin can be held at a size depends on
the port's own motors and pack. What is found is checked by its own evaluation; what is not found was sought within a
tenth and ten times of what the port has.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np

from scaling.book.groups import Exponents, group_value
from scaling.book.told_apart import told_apart
from scaling.formulas import book

REACH = math.log(10.0)
"""How far a free key may move from what the port has, in ln."""

STEPS = 7
"""Values of each key that are looked at before the search."""

MOST_POINTS = 7**3
"""Points that are looked at before the search, whatever is free."""

MOST_RUNS = 40
"""Runs of a search from one point; those that meet take a dozen."""

STARTS = 2
"""Points from which each search starts."""

MET = 1e-6
"""A group within this of its ratio, in ln, is held."""

HEAVY = 1e4
"""Weight of what is held against what is then brought as near as it can be."""

OUT_OF_REACH = 50.0
"""Ln of a ratio that has no number there: worse than any that has."""


@dataclass(frozen=True)
class Bench:
    """A port's numbers, the robot's choices, the groups and their values on the reference, and the keys that move."""

    variables: Mapping[str, float]
    traits: frozenset[str]
    groups: Mapping[str, Exponents]
    reference: Mapping[str, float]
    free: Sequence[str]

    def logs(self, names: Sequence[str], keys: Sequence[str], moves: Any) -> Any:
        """Ln of each group over the reference's, a row each, where the keys move by ``moves`` (a row each, in ln)."""
        given: dict[str, Any] = dict(self.variables)
        for key, move in zip(keys, np.atleast_2d(moves), strict=True):
            given[key] = self.variables[key] * np.exp(move)
        members = {member for name in names for member in self.groups[name]}
        found = given | book.evaluate(given, self.traits, only=sorted(members & book.quantities.keys()))
        shape = np.broadcast_shapes(*(np.shape(found[member]) for member in members if member in found), (1,))
        lines = []
        for name in names:
            if any(member not in found for member in self.groups[name]):
                lines.append(np.full(shape, np.nan))
                continue
            with np.errstate(all="ignore"):
                line = np.log(group_value(self.groups[name], found) / self.reference[name])
            lines.append(np.broadcast_to(line, shape))
        return np.nan_to_num(np.stack(lines), nan=OUT_OF_REACH, posinf=OUT_OF_REACH, neginf=-OUT_OF_REACH)


def held_moves(bench: Bench, names: Sequence[str]) -> dict[str, float] | None:
    """Return the ln by which free keys move so that the groups ``names`` are held, the fewest; None where none do."""
    at_rest = bench.logs(names, (), np.empty((0, 1)))
    if float(np.abs(at_rest).max()) < MET:
        return {}
    every, left = _nearest(bench, names, bench.free, np.ones(len(names)))
    if float(np.abs(left).max()) >= MET:
        return None
    for count in range(1, len(bench.free)):
        for keys in combinations(bench.free, count):
            moves, left = _nearest(bench, names, keys, np.ones(len(names)))
            if float(np.abs(left).max()) < MET:
                return dict(zip(keys, map(float, moves), strict=True))
    return dict(zip(bench.free, map(float, every), strict=True))


def colliding(bench: Bench) -> tuple[str, ...]:
    """Return the smallest set of groups for which no moves were found, in their order; all where none is smaller."""
    names = tuple(bench.groups)
    for count in range(1, len(names)):
        for some in combinations(names, count):
            if held_moves(bench, some) is None:
                return some
    return names


def nearest_ratio(bench: Bench, held: Sequence[str], name: str) -> float | None:
    """Return how near to the reference's a group comes where those ``held`` are; None where it has no number there."""
    names = (*held, name)
    weights = np.array([*([HEAVY] * len(held)), 1.0])
    _, left = _nearest(bench, names, tuple(bench.free), weights)
    return None if abs(left[-1]) >= OUT_OF_REACH else math.exp(float(left[-1]))


def _nearest(bench: Bench, names: Sequence[str], keys: Sequence[str], weights: Any) -> tuple[Any, Any]:
    """The moves of the keys that bring the groups nearest to the reference's, and the ln that is left of each."""
    from scipy.optimize import least_squares

    count = max(2, min(STEPS, int(MOST_POINTS ** (1 / len(keys)))))
    line = np.linspace(-0.99 * REACH, 0.99 * REACH, count)
    points = np.stack([axis.ravel() for axis in np.meshgrid(*([line] * len(keys)))])
    points = np.concatenate([np.zeros((len(keys), 1)), points], axis=1)
    seen = bench.logs(names, keys, points)
    order = np.argsort(told_apart(np.square(weights[:, None] * seen).sum(axis=0)), kind="stable")[:STARTS]
    best, left = points[:, order[0]], seen[:, order[0]]
    if float(np.abs(left).max()) >= OUT_OF_REACH:
        return best, left
    residual: Callable[[Any], Any] = lambda moves: weights * bench.logs(names, keys, moves[:, None])[:, 0]  # noqa: E731
    for place in order:
        found = least_squares(
            residual, points[:, place], bounds=(-REACH, REACH), xtol=1e-11, ftol=1e-13, gtol=1e-13, max_nfev=MOST_RUNS
        )
        if np.square(found.fun).sum() < np.square(weights * left).sum():
            best, left = found.x, found.fun / weights
        if float(np.abs(left).max()) < MET:
            break
    return best, left
