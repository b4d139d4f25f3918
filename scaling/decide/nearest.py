"""Where an empty window comes nearest to holding every limit at once, and the two limits that keep it from there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from scaling.book.entry import Array
from scaling.book.told_apart import told_apart
from scaling.decide.limits import Limit

LEAST_SHARE = 1e-12
"""Below this a limit cannot be computed, so that it tells no factor from another."""


@dataclass(frozen=True)
class Nearest:
    """The factor at which the worst held of all limits is held best, and how well each of the two worst is, 1 at it.

    ``limits`` are their names and labels with the share, the worst first.
    """

    factor: float
    limits: tuple[tuple[str, str, float], ...]

    @property
    def sentence(self) -> str:
        """The two limits and the factor, as people read them."""
        told = " and ".join(f'"{label}" ({100 * min(share, 1):.0f} % of it)' for _, label, share in self.limits)
        return f"Nearest to all of them comes factor {self.factor:.4g}, between {told}."


def nearest(limits: Sequence[Limit], factors: Array) -> Nearest | None:
    """Return where all ``limits`` over the ``factors`` come nearest to being held; None where there are not two.

    Between a limit that a larger machine holds better and one that a smaller one does, that is where both are held
    alike. What can be computed nowhere says nothing of where, and is left out.
    """
    levels = [np.nan_to_num(np.broadcast_to(limit.level, factors.shape), nan=0.0) for limit in limits]
    told = [place for place, level in enumerate(levels) if level.max() > LEAST_SHARE]
    if len(told) < 2:
        return None
    table = np.asarray([levels[place] for place in told])
    at = int(np.argmax(told_apart(table.min(axis=0))))
    if table[:, at].min() <= LEAST_SHARE:
        return None
    worst = np.argsort(told_apart(table[:, at]), kind="stable")[:2]
    named = tuple((limits[told[row]].name, limits[told[row]].label, float(table[row, at])) for row in worst)
    return Nearest(float(factors[at]), named)
