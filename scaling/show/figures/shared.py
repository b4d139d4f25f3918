"""Ports that agree share one mark with their letters, and every letter finds a place of its own."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from scaling.show.figures.frame import text_width
from scaling.show.figures.look import SMALL, Look, Sign

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MARK = 0.065
"""Inches across a port's mark: what lies closer than this looks like one."""

HIGH = SMALL * 1.15 / 72
"""Inches of height that a line of letters takes."""

Box = tuple[float, float, float, float]
"""Left, bottom, right and top, in inches."""


@dataclass(frozen=True)
class Spot:
    """Where one port or several that agree are drawn, in inches of a panel; ``hollow`` for what no motor reaches."""

    x: float
    y: float
    signs: tuple[Sign, ...]
    hollow: bool = False

    @property
    def letters(self) -> str:
        """The letters of its ports."""
        return joined([sign.letter for sign in self.signs])

    @property
    def gid(self) -> str:
        """What its mark is called."""
        return f"{self.letters.replace(' ', '')}{'-hollow' if self.hollow else ''}"

    @property
    def box(self) -> Box:
        """What its mark covers."""
        half = MARK / 2
        return (self.x - half, self.y - half, self.x + half, self.y + half)

    def mark(self, size: float = 4.6) -> dict[str, Any]:
        """Options of a line that shows its mark: that of the first of its ports."""
        return self.signs[0].mark(size, self.hollow)


def joined(letters: Sequence[str]) -> str:
    """Write letters of ports one behind the other, apart where one has more than one sign."""
    return ("" if all(len(letter) == 1 for letter in letters) else " ").join(letters)


def gathered(spots: Iterable[Spot], near: float = 0.5 * MARK) -> list[Spot]:
    """Return the ``spots`` with those that lie within ``near`` inches of one another as one, filled or hollow alike."""
    found: list[Spot] = []
    for spot in spots:
        place = next((at for at, other in enumerate(found) if other.hollow == spot.hollow
                      and math.hypot(other.x - spot.x, other.y - spot.y) <= near), None)
        if place is None:
            found.append(spot)
        else:
            found[place] = replace(found[place], signs=(*found[place].signs, *spot.signs))
    return found


def lettered(
    panel: Axes, spots: Sequence[Spot], size: tuple[float, float], look: Look, taken: Iterable[Box] = ()
) -> None:
    """Write the letters of each spot beside it on a panel of so many inches, clear of marks and of what is ``taken``.

    What stands farther off than beside its mark gets a thin line to it.
    """
    boxes = [*taken, *(spot.box for spot in spots)]
    for spot in spots:
        wide = text_width([spot.letters]) + 0.02
        x, y, box = _free_place(spot, wide, size, boxes)
        boxes.append(box)
        far = math.hypot(x - spot.x, y - spot.y) > wide / 2 + 0.16
        panel.annotate(
            spot.letters, (spot.x / size[0], spot.y / size[1]), xytext=(x / size[0], y / size[1]),
            xycoords="axes fraction", textcoords="axes fraction", ha="center", va="center_baseline", fontsize=SMALL,
            annotation_clip=False, zorder=5, color=look.ink,
            arrowprops={"arrowstyle": "-", "color": look.rule, "linewidth": 0.5, "shrinkA": 0, "shrinkB": 3}
            if far else None,
        )


def _free_place(spot: Spot, wide: float, size: tuple[float, float], boxes: Sequence[Box]) -> tuple[float, float, Box]:
    """The nearest middle for letters of a width beside a spot where they meet nothing; the least met if there is none."""
    best: tuple[float, float, float, Box] | None = None
    for x, y in _places(spot, wide):
        box = (x - wide / 2, y - HIGH / 2, x + wide / 2, y + HIGH / 2)
        out = max(0.0, -box[0], -box[1], box[2] - size[0], box[3] - size[1])
        met = sum(_overlap(box, other) for other in boxes) + out
        if best is None or met < best[0]:
            best = (met, x, y, box)
        if met == 0:
            break
    assert best is not None  # noqa: S101 - there is always a first place
    return best[1], best[2], best[3]


def _places(spot: Spot, wide: float) -> Iterator[tuple[float, float]]:
    for ring in (0.03, 0.1, 0.18, 0.27, 0.37, 0.5):
        for turn in (0, 4, 2, 6, 1, 3, 5, 7):
            angle = turn * math.pi / 4
            yield (spot.x + math.cos(angle) * (wide / 2 + MARK / 2 + ring),
                   spot.y + math.sin(angle) * (HIGH / 2 + MARK / 2 + ring))


def _overlap(one: Box, other: Box) -> float:
    across = min(one[2], other[2]) - max(one[0], other[0])
    along = min(one[3], other[3]) - max(one[1], other[1])
    return across * along if across > 0 and along > 0 else 0.0


@dataclass(frozen=True)
class Laned:
    """A spot of a row with the lane that it and its letters lie in, 0 the uppermost."""

    spot: Spot
    lane: int


def in_lanes(spots: Sequence[Spot], width: float) -> list[Laned]:
    """Return the spots of one row, each in the first lane where mark and letters meet nothing.

    The letters of what several ports share stand at the right of the mark, at its left where the row of ``width``
    inches ends; a port alone has no letters.
    """
    ends: list[list[tuple[float, float]]] = []
    found = []
    for spot in sorted(spots, key=lambda each: each.x):
        left, right = extent(spot, width)
        lane = next((at for at, taken in enumerate(ends)
                     if all(right < start or left > end for start, end in taken)), len(ends))
        if lane == len(ends):
            ends.append([])
        ends[lane].append((left, right))
        found.append(Laned(spot, lane))
    return found


def on_the_left(spot: Spot, width: float) -> bool:
    """Whether the letters of a spot stand at the left of its mark, since the row ends at its right."""
    return spot.x + MARK / 2 + 0.03 + text_width([spot.letters]) > width


def extent(spot: Spot, width: float) -> tuple[float, float]:
    """Return from where to where a spot's mark and letters reach in a row of ``width`` inches."""
    half = MARK / 2 + 0.012
    wide = text_width([spot.letters]) + 0.04 if len(spot.signs) > 1 else 0.0
    if on_the_left(spot, width):
        return spot.x - half - wide, spot.x + half
    return spot.x - half, spot.x + half + wide
