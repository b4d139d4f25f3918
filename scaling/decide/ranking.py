"""Which port comes first: what misses nothing, then what is likelier to survive, then what is more alike."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from scaling.book.told_apart import told_apart
from scaling.port.presets import PRESETS


@dataclass(frozen=True)
class Standing:
    """What a port's rank is made of.

    ``misses`` counts what it must not pass and does; ``rise`` is the sum of its risks' rises in the chance of failing,
    and ``score`` how far it drifts, None where there is nothing to score.
    """

    letter: str
    misses: int
    rise: float
    score: float | None


def ranked(standings: Iterable[Standing], preset: str) -> tuple[Standing, ...]:
    """Return the ports, the best first; those that are alike in all stay in their order.

    Rises count in the preset's steps: chances are not known finer, and what is likely to break as often is chosen by
    how it drives and hits.
    """
    step = PRESETS[preset].rise_step

    def rank(each: Standing) -> tuple[int, int, float]:
        return each.misses, round(each.rise / step), math.inf if each.score is None else told_apart(each.score)

    return tuple(sorted(standings, key=rank))
