"""A search among the ports of one space: what misses a limit costs more and more, until nothing is that can be held."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from scaling.book.entry import Array
from scaling.decide.freed_space import TIGHT, Space
from scaling.decide.limits import Interval
from scaling.decide.side_by_side import Search, together
from scaling.decide.slp import FIRST_REACH, Minimum, Problem, minimising

WORTH = 1e-4
"""A gain in the score that is worth looking for: a hundredth of a per cent of drift."""

CLOSE = 0.05
"""How far, in ln, a search that starts near its end may go in its first step."""

MISSED = 10 * TIGHT
"""By how much, in ln, a limit may be missed before a search goes on."""

HARDER, HARDEST = 6.0, 200.0
"""By how much a missed limit costs more in the next search, and from where on it counts as one that nothing holds."""


@dataclass(frozen=True)
class Found:
    """Where a search ended in one space."""

    space: Space
    minimum: Minimum

    @property
    def problem(self) -> Problem:
        """The problem that it solved."""
        return self.minimum.problem

    @property
    def merit(self) -> float:
        """What was made least."""
        return self.minimum.merit

    @property
    def point(self) -> Array:
        """Ln of the factor and of the levers."""
        return self.minimum.at.point


def search(space: Space, start: Array, reach: float = FIRST_REACH) -> Found:
    """Return what ``searching`` finds by itself."""
    return together(space.evaluate, [searching(space, start, reach=reach)])[0]


def searching(
    space: Space,
    start: Array,
    fixed: Mapping[int, float] = MappingProxyType({}),
    span: Interval | None = None,
    reach: float = FIRST_REACH,
) -> Search[Found]:
    """Search for what is least from a ``start``, some places of the point ``fixed`` and ln(factor) within ``span``.

    What is missed at the end costs more in the next search from there, until nothing is that can be held.
    """
    harder = np.ones(len(space.names))
    while True:
        problem = space.problem(fixed, span, harder)
        found = yield from minimising(problem, start, reach, worth=WORTH)
        missed = found.at.levels < -MISSED
        if not missed.any() or harder[missed].min() >= HARDEST:
            return Found(space, found)
        start, reach = found.at.point, CLOSE
        harder = np.where(missed, HARDER * harder, harder)
