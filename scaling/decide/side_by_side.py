"""Searches that go on side by side: what they ask for is evaluated in one, which costs little more than that of one.

A search is a generator: it gives the points that it wants to know of, and is sent what there is.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol, TypeVar

import numpy as np

from scaling.book.entry import Array


@dataclass(frozen=True)
class Evaluated:
    """What a problem has at a row of points, each an array whose last axis are the points.

    ``cost`` is smooth, of each of the ``residuals`` the absolute value counts, and each of the ``levels`` is to be at
    least 0. A residual that is NaN is absent, a level that is no number, or ln of nought, is missed.
    """

    cost: Array
    residuals: Array
    levels: Array

    def of(self, columns: slice) -> Evaluated:
        """Return what the problem has at some of the points."""
        return Evaluated(self.cost[columns], self.residuals[:, columns], self.levels[:, columns])


class Ended(Protocol):
    """What a search finds."""

    @property
    def merit(self) -> float:
        """What was made least."""
        ...


T = TypeVar("T", bound=Ended)

Search = Generator[Array, tuple[Evaluated, float], T]
"""A search gives points as columns, is sent what a problem has there, and a merit that is had already."""


def together(
    evaluate: Callable[[Array], Evaluated],
    searches: Sequence[Search[T]],
    at_once: int | None = None,
    wanted: Callable[[int, Mapping[int, T]], bool] = lambda _place, _done: True,
) -> dict[int, T]:
    """Return what each of the searches among the points of one ``evaluate`` found, by its place.

    So many as ``at_once`` go on side by side, and what they ask for is evaluated in one. ``wanted`` says of the search
    at a place whether it is still worth it, by what others found; one that is not is left out.
    """
    waiting, running, done = list(enumerate(searches)), dict[int, tuple[Search[T], Array]](), dict[int, T]()
    while True:
        running = {place: each for place, each in running.items() if wanted(place, done)}
        while waiting and len(running) < (at_once or len(searches)):
            place, search = waiting.pop(0)
            if wanted(place, done):
                running[place] = search, next(search)
        if not running:
            return done
        found = evaluate(np.concatenate([points for _, points in running.values()], axis=1))
        had, first = min((each.merit for each in done.values()), default=np.inf), 0
        asking = dict[int, tuple[Search[T], Array]]()
        for place, (search, points) in running.items():
            columns = slice(first, first + points.shape[1])
            first = columns.stop
            try:
                asking[place] = search, search.send((found.of(columns), had))
            except StopIteration as ended:
                done[place] = ended.value
        running = asking


def best_of(done: Mapping[int, T]) -> T:
    """Return the least of what searches found, the first of those that are alike."""
    return min((done[place] for place in sorted(done)), key=lambda each: each.merit)
