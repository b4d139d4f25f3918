"""Ports that agree share one mark with their letters, and every letter finds a place of its own."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.book.told_apart import told_apart
from scaling.show.figures.frame import text_width
from scaling.show.figures.look import SMALL, Look, Sign

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from scaling.book.entry import Array

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
    panel: Axes, spots: Sequence[Spot], size: tuple[float, float], look: Look, lines: Sequence[Box] = (),
    words: Sequence[Box] = (),
) -> None:
    """Write the letters of each spot beside it on a panel of so many inches, clear of marks.

    They keep off what ``lines`` cover where they can, and off ``words``. What stands farther off than beside its mark
    gets a thin line to it.
    """
    marks = [*words, *(spot.box for spot in spots)]
    boxes = np.array([*lines, *marks], dtype=float).reshape(-1, 4)
    weights = np.concatenate([np.ones(len(lines)), np.full(len(marks), WEIGHT_OF_WORDS)])
    for spot in spots:
        wide = text_width([spot.letters]) + 0.02
        x, y, box = _free_place(spot, wide, size, boxes, weights, [other for other in spots if other is not spot])
        boxes, weights = np.concatenate([boxes, [box]]), np.append(weights, WEIGHT_OF_WORDS)
        panel.text(
            x / size[0], y / size[1], spot.letters, transform=panel.transAxes, ha="center", va="center_baseline",
            fontsize=SMALL, zorder=5, color=look.ink,
            bbox={"facecolor": look.page, "edgecolor": "none", "alpha": 0.75, "pad": 0.3},
        )
        if _gap(spot, x, y, wide) > FAR:
            panel.plot([x / size[0], spot.x / size[0]], [y / size[1], spot.y / size[1]], transform=panel.transAxes,
                       color=look.rule, linewidth=0.5, clip_on=False, zorder=2)


def in_a_corner(panel: Axes, words: str, size: tuple[float, float], look: Look, taken: Sequence[Box]) -> Box:
    """Write words in the corner of a panel of so many inches where they meet least; returns what they cover."""
    wide = text_width([words]) + 0.04
    corners = [(x, y, x + wide, y + HIGH) for x in (size[0] - wide, 0.03) for y in (0.03, size[1] - HIGH)]
    boxes = np.array([*taken], dtype=float).reshape(-1, 4)
    found = min(corners, key=lambda box: told_apart(float(_met(np.array([box[:2]]), np.array([box[2:]]), boxes).sum())))
    panel.annotate(words, (found[0] / size[0], (found[1] + found[3]) / 2 / size[1]), xycoords="axes fraction",
                   va="center_baseline", fontsize=SMALL, color=look.soft, zorder=5,
                   bbox={"facecolor": look.page, "edgecolor": "none", "alpha": 0.75, "pad": 0.3})
    return found


def _met(low: Array, high: Array, boxes: Array) -> Array:
    """Square inches that each place, from its lower left to its upper right, has in common with each of the boxes."""
    across = np.minimum(high[:, :1], boxes[:, 2]) - np.maximum(low[:, :1], boxes[:, 0])
    up = np.minimum(high[:, 1:], boxes[:, 3]) - np.maximum(low[:, 1:], boxes[:, 1])
    return np.asarray(np.maximum(across, 0.0) * np.maximum(up, 0.0))


WEIGHT_OF_WORDS = 100
"""How much more it counts to meet other letters or marks than to meet a line."""

WEIGHT_OF_AIR = 0.03
"""How many square inches of line an inch farther off is worth."""

TURN = 0.0002
"""How many square inches of line the next best side of a mark is worth."""

MISTAKEN = 0.004
"""How many square inches of line it is worth not to stand as near to another mark as to one's own."""

FAR = 0.07
"""Inches between mark and letters from which a line leads to the mark."""


def along(x: Array, y: Array, size: tuple[float, float]) -> list[Box]:
    """Return boxes along a line of points in inches, for letters to keep off."""
    inside = np.isfinite(x) & np.isfinite(y)
    x, y = x[inside], y[inside]
    if x.size < 2:
        return []
    way = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
    at = np.arange(0.0, way[-1], 0.05)
    found = zip(np.interp(at, way, x), np.interp(at, way, y), strict=True)
    return [(across - 0.015, up - 0.015, across + 0.015, up + 0.015) for across, up in found
            if 0 <= across <= size[0] and 0 <= up <= size[1]]


def _free_place(
    spot: Spot, wide: float, size: tuple[float, float], boxes: Array, weights: Array, others: Sequence[Spot]
) -> tuple[float, float, Box]:
    """The middle for letters of a width beside a spot where they are near and meet least."""
    found = list(_places(spot, wide))
    places, effort = np.array([place[:2] for place in found]), np.array([place[2] for place in found])
    half = np.array([wide / 2, HIGH / 2])
    low, high = places - half, places + half
    out = np.maximum(0.0, np.concatenate([-low, high - np.array(size)], axis=1)).sum(axis=1)
    met = _met(low, high, boxes) @ weights + WEIGHT_OF_WORDS * out
    air = np.array([_gap(spot, x, y, wide) for x, y in places])
    strange = np.array([min((_gap(other, x, y, wide) for other in others), default=math.inf) for x, y in places])
    mistaken = np.where(strange < air + FAR / 2, MISTAKEN, 0.0)
    best = int(np.argmin(told_apart(met + mistaken + effort)))
    x, y = places[best].tolist()
    return x, y, (x - wide / 2, y - HIGH / 2, x + wide / 2, y + HIGH / 2)


def _gap(spot: Spot, x: float, y: float, wide: float) -> float:
    """Inches of air between a spot's mark and letters round a middle."""
    across = max(0.0, abs(x - spot.x) - (wide + MARK) / 2)
    up = max(0.0, abs(y - spot.y) - (HIGH + MARK) / 2)
    return math.hypot(across, up)


def _places(spot: Spot, wide: float) -> Iterator[tuple[float, float, float]]:
    """Middles of letters round a spot, each with what it costs to stand there: far off, or not at the right."""
    for ring in (0.02, 0.08, 0.14, 0.2, 0.27, 0.36, 0.48, 0.65):
        for rank, turn in enumerate((0, 8, 4, 12, 2, 6, 10, 14, 1, 3, 5, 7, 9, 11, 13, 15)):
            angle = turn * math.pi / 8
            yield (spot.x + math.cos(angle) * (wide / 2 + MARK / 2 + ring),
                   spot.y + math.sin(angle) * (HIGH / 2 + MARK / 2 + ring), WEIGHT_OF_AIR * ring + TURN * rank)


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
    for spot in sorted(spots, key=lambda each: told_apart(each.x)):
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
