"""Options by the thousand: columns of numbers, the order of rank, and which options no other beats."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.book.distinct import distinct
from scaling.book.entry import Array
from scaling.book.told_apart import told_apart
from scaling.decide.aims import STEPS

NEVER = 10_000
"""The standing of a combination for which there is no factor."""


@dataclass(frozen=True)
class Batch:
    """Columns of a run of combinations, each an array of one length.

    ``number`` is that of a combination in its space, ``fit`` a place in the space's fits, ``redrawn`` whether the rotor
    was redrawn. ``misses`` has a bit each code that is missed, and ``standing`` is what the rank goes by before the
    ``score``: 0 is without fault. ``values`` are quantities and variables by name, ``aims`` what is compared.
    """

    number: Any
    fit: Any
    redrawn: Any
    factor: Array
    mass: Array
    misses: Any
    standing: Any
    score: Array
    aims: Mapping[str, Array]
    values: Mapping[str, Array]

    def picked(self, rows: Any) -> Batch:
        """The batch of some of the rows."""
        return Batch(**{name: _each(column, lambda array: array[rows]) for name, column in vars(self).items()})

    def and_then(self, other: Batch) -> Batch:
        """Both batches, the other behind."""
        more = vars(other)
        return Batch(**{name: _joined(column, more[name]) for name, column in vars(self).items()})


def _each(column: Any, change: Any) -> Any:
    return {name: change(array) for name, array in column.items()} if isinstance(column, Mapping) else change(column)


def _joined(column: Any, other: Any) -> Any:
    if isinstance(column, Mapping):
        return {name: np.concatenate([array, other[name]]) for name, array in column.items()}
    return np.concatenate([column, other])


def order(batch: Batch) -> Any:
    """Return the rows of a batch by standing, then score; what is alike in both in the order of the brief's lists."""
    return np.lexsort((batch.number, batch.redrawn, batch.fit, told_apart(batch.score), batch.standing))


def best(batch: Batch, most: int) -> Batch:
    """Return the rows of a batch that may end up in the answer: its first by rank and those that nothing beats."""
    rows = distinct([*order(batch)[:most], *np.flatnonzero(unbeaten(batch))])
    return batch.picked(rows[batch.standing[rows] < NEVER])


def unbeaten(batch: Batch) -> Any:
    """Return which options without fault no other such beats in all aims at once, as finely as these are told apart.

    Of options that are alike in all of them the first by rank stands for the others.
    """
    steps = [np.round(column / STEPS[name]) for name, column in batch.aims.items()]
    costs = -np.stack(steps, axis=1)
    found = pareto(costs, batch.standing == 0)
    seen: set[tuple[float, ...]] = set()
    for row in order(batch):
        alike = tuple(costs[row])
        if found[row] and alike in seen:
            found[row] = False
        elif found[row]:
            seen.add(alike)
    return found


def pareto(costs: Array, usable: Any) -> Any:
    """Return which rows of ``costs`` (n by k, less is better) no other usable row beats in every column.

    A row beats another when it is nowhere worse and somewhere better.
    """
    left = np.asarray(usable, dtype=bool).copy()
    for row in np.argsort(costs.sum(axis=1), kind="stable"):
        if not left[row]:
            continue
        worse = (costs >= costs[row]).all(axis=1) & (costs > costs[row]).any(axis=1)
        left &= ~worse
    return left


def needed(standing: Any, kept: Any, most: int) -> Any:
    """Return which rows of a ``standing`` may be among the ``most`` first or unbeaten, beside those that are ``kept``.

    What more than ``most`` others precede by their standing alone needs no score.
    """
    whole = np.sort(np.concatenate([standing, kept]))
    bound = whole[most - 1] if len(whole) >= most else NEVER - 1
    return (standing == 0) | (standing <= min(bound, NEVER - 1))
