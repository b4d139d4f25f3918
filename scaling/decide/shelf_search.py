"""What is least with sizes from the shelf: every combination of the next ones, the most promising first.

The linear program says what each would come to, and what it says cannot win is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import product

import numpy as np

from scaling.book.entry import Array
from scaling.book.told_apart import told_apart
from scaling.decide.freed_search import CLOSE, Found, searching
from scaling.decide.freed_space import Space
from scaling.decide.limits import Interval
from scaling.decide.side_by_side import best_of, together
from scaling.decide.slp import linearised, step_of
from scaling.formulas import book
from scaling.port.asked import AS_BRIEFED
from scaling.robot.parts import Part
from scaling.shop.shelves import jumps

NEAR = 0.3
"""How far, in ln, the linear program looks when it ranks combinations."""

STIFF = 20.0
"""How much more what is missed costs where combinations are compared, so that it does not look cheap."""

MOST_STEPS = 3
"""Stretches of the factor between two steps of the shelf that are searched at most."""

AT_ONCE = 2
"""Combinations that are searched side by side: the second is seldom left out for what the first came to."""

APART = 1e-6
"""How far, in ln, the factor stays from a step of the shelf."""


def from_the_shelf(found: Found) -> Found:
    """Return what is least with sizes from the shelf: the sheets' next ones, and what follows the factor in steps.

    Between two steps nothing jumps, so each stretch of the factor is a search of its own, from that of the optimum
    without a shelf on towards the side on which it ends.
    """
    space, point = replace(found.space, snapped=True, like=found.space), found.point
    shelves = AS_BRIEFED.shelves_of(space.design, space.brief)
    if shelves is None:
        return found
    ends = [-np.inf, *_steps(space), np.inf]
    place = int(np.searchsorted(ends, point[0]))
    best: Found | None = None
    for _ in range(MOST_STEPS):
        span = ends[place - 1] + APART, ends[place] - APART
        if span[0] >= span[1]:
            break
        whole = _with_sheets(space, point, span)
        if best is not None and whole.merit >= best.merit:
            break
        best, point = whole, whole.point
        aside = int(point[0] >= span[1]) - int(point[0] <= span[0])
        if not aside:
            break
        place += aside
    return best or found


def _steps(space: Space) -> list[float]:
    """Ln of the factors at which a size from the shelf jumps, of what follows the factor."""
    shelves = AS_BRIEFED.shelves_of(space.design, space.brief)
    rows: list[tuple[float, float, str, tuple[float, ...]]] = [] if shelves is None else [
        (space.design.variables[row.key], float(book.variables[row.key].length_power), row.how,
         shelves.sizes(row.shelf, row.family))
        for row in space.design.stock
        if row.key not in space.brief.numbers
    ]  # fmt: skip
    free = {lever.part for lever in space.levers}
    for part in _bought_sheets(space).values():
        if part.name not in free and not part.held:
            rows.append((float(part.thickness), 1.0, str(part.snap), sizes_of(part)))
    return sorted(
        float(np.log(step / size) / power) for size, power, how, on_shelf in rows for step in jumps(on_shelf, how)
    )


def _bought_sheets(space: Space) -> dict[str, Part]:
    """The sheets that come from a shelf by name, in the materials that are picked, at the reference's size."""
    parts = space.parts(space.variation(np.zeros(1 + len(space.levers))))
    return {part.name: part for part in parts if part.is_sheet and sizes_of(part)}


def sizes_of(part: Part) -> tuple[float, ...]:
    """Return the thicknesses in m that a part's material is sold in, none where it comes from no shelf."""
    return part.sold.get(part.materials[int(part.which)], ()) if part.materials else ()


def _with_sheets(space: Space, start: Array, span: Interval) -> Found:
    """What is least in a stretch of the factor over the next sizes of every free sheet, down and up.

    The linear program at the start says what each combination would come to, and they are searched in that order until
    even the most that it has erred by would not let another win.
    """
    bought = _bought_sheets(space)
    places = {place: bought[lever.part] for place, lever in enumerate(space.levers, 1) if lever.part in bought}
    start = np.concatenate([[np.clip(start[0], *span)], start[1:]])
    problem = replace(space, loose=True, like=space).problem({}, span, STIFF)
    at = linearised(problem, start)
    ranked: list[tuple[float, Array, dict[int, float]]] = []
    for sizes in product(*(_next_sizes(part, start[place]) for place, part in places.items())):
        fixed = dict(zip(places, sizes, strict=True))
        goal = np.full(start.size, np.nan)
        goal[list(fixed)] = list(fixed.values())
        step = step_of(problem, at, NEAR, goal)
        ranked.append((step.predicted, start + step.step, fixed))
    ranked.sort(key=lambda row: told_apart(row[0]))

    def could_win(place: int, done: Mapping[int, Found]) -> bool:
        erred = max((ranked[other][0] - found.merit for other, found in done.items()), default=0.0)
        least = min((found.merit for found in done.values()), default=np.inf)
        return bool(ranked[place][0] - max(erred, 0.0) < least)

    searches = [searching(space, point, fixed, span, CLOSE) for _, point, fixed in ranked]
    return best_of(together(space.evaluate, searches, AT_ONCE, could_win))


def _next_sizes(part: Part, wanted: float) -> list[float]:
    """Ln of the sizes next to a wanted one, down and up, each over the reference's thickness, as ``wanted`` is."""
    sizes = np.log(np.asarray(sizes_of(part)) / part.thickness)
    up = int(np.searchsorted(sizes, wanted))
    return [float(size) for size in sizes[max(up - 1, 0) : up + 1]]
