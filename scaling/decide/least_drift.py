"""The law that frees dimensions: the port that drifts least within every limit, and what each limit costs it.

What comes in steps (cells, materials, sheets from the shelf) is tried combination by combination, the most promising
first by the linear program, and what that program says cannot win is left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import product
from types import MappingProxyType

import numpy as np

from scaling.book.entry import Array
from scaling.decide.freed_space import TIGHT, Pick, Space, margin_bounds
from scaling.decide.objective import objective_of
from scaling.decide.solved_port import solved_port
from scaling.decide.slp import FIRST_REACH, STEP, Minimum, Problem, linearised, minimise, step_of
from scaling.formulas import book
from scaling.port.asked import AS_BRIEFED, Brief, LawRequest
from scaling.port.freed import Choices, levers_of
from scaling.port.inputs import port_parts
from scaling.port.laws import close_mass
from scaling.robot.design import Design
from scaling.robot.parts import Part, mass_at, off_the_shelf
from scaling.shop.shelves import jumps
from scaling.study.results import Solved

Interval = tuple[float, float]

WORTH = 1e-4
"""A gain in the score that is worth looking for: a hundredth of a per cent of drift."""

NEAR = 0.3
"""How far, in ln, the linear program looks when it ranks the sheets' sizes."""

CLOSE = 0.05
"""How far, in ln, a search that starts from such a program may go in its first step."""

MOST_STEPS = 3
"""Stretches of the factor between two steps of the shelf that are searched at most."""

APART = 3 * STEP
"""How far, in ln, the factor stays from a step, so that no difference reaches across it."""


@dataclass(frozen=True)
class Found:
    """Where a search ended in one space, with the problem that it solved; ``unheld`` are margins that nothing holds."""

    space: Space
    problem: Problem
    minimum: Minimum
    unheld: tuple[str, ...] = ()

    @property
    def merit(self) -> float:
        """What was made least."""
        return self.minimum.at.merit(self.problem)

    @property
    def point(self) -> Array:
        """ln of the factor and of the levers."""
        return self.minimum.at.point


def least_drift(design: Design, brief: Brief, request: LawRequest, reference: Mapping[str, float]) -> Solved | str:
    """Return the port that drifts least of those that a request frees, or the reason why there is none.

    Raises InputError where the brief frees what cannot be, or weighs nothing that the robot has.
    """
    levers, choices = levers_of(design, brief, request)
    parts = tuple(map(off_the_shelf, port_parts(design, brief)))
    closed = close_mass(lambda factor: mass_at(parts, factor), brief.allowed_mass)
    if closed.factor is None:
        return f"No factor meets the mass limit: {closed.reason}."
    objective = objective_of(brief, reference)
    space = Space(design, brief, request, objective, reference, levers, margin_bounds(reference))
    plain = space.plain(closed.factor)
    relaxed = sorted(_each_pick(space, choices, plain), key=lambda found: found.merit)
    best: Found | None = None
    for found in relaxed:
        if best is not None and found.merit >= best.merit:  # sizes from a shelf can only add to the score
            break
        whole = from_the_shelf(found, plain)
        best = whole if best is None or whole.merit < best.merit else best
    assert best is not None  # noqa: S101 - there is one pick at least
    loose = next(found for found in relaxed if found.space.pick == best.space.pick)
    return solved_port(best.space, best.problem, best.minimum, float(np.exp(loose.point[0])), plain, best.unheld)


def _each_pick(space: Space, choices: Choices, plain: Array) -> Iterator[Found]:
    """What is least without a shelf for each combination of cells and materials, from the one before on."""
    start = plain
    for cells, *names in product(choices.cells or (None,), *choices.materials.values()):
        pick = Pick(cells, dict(zip(choices.materials, names, strict=True)))
        found = search(replace(space, pick=pick), plain, start)
        start = found.point
        yield found


def search(
    space: Space,
    plain: Array,
    start: Array,
    fixed: Mapping[int, float] = MappingProxyType({}),
    span: Interval | None = None,
    reach: float = FIRST_REACH,
) -> Found:
    """Return what is least from a ``start``, some places of the point ``fixed`` and ln(factor) within ``span``.

    Margins that no setting holds are kept at those of the ``plain`` scaling instead.
    """
    problem = space.problem(fixed, span)
    found = minimise(problem, start, reach, worth=WORTH)
    levels = list(zip(space.names, found.at.levels, strict=True))
    missed = [limit.name for limit, level in levels[len(levels) - space.margins :] if level < -10 * TIGHT]
    if not missed:
        return Found(space, problem, found)
    _, own = space.values(plain[:, None])
    least = {name: min(space.bounds[name], float(own[name][0])) for name in missed}
    relaxed = replace(space, bounds={**space.bounds, **least})
    problem = relaxed.problem(fixed, span)
    return Found(relaxed, problem, minimise(problem, found.at.point, reach, worth=WORTH), tuple(missed))


def from_the_shelf(found: Found, plain: Array) -> Found:
    """Return what is least with sizes from the shelf: the sheets' next ones, and what follows the factor in steps.

    Between two steps nothing jumps, so each stretch of the factor is a search of its own, from that of the optimum
    without a shelf on towards the side on which it ends.
    """
    space, point = replace(found.space, snapped=True), found.point
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
        whole = _with_sheets(space, plain, point, span, found.unheld)
        if best is not None and whole.merit >= best.merit:
            break
        best, point = whole, whole.point
        aside = int(point[0] >= span[1]) - int(point[0] <= span[0])
        if not aside:
            break
        place += aside
    return best or found


def _steps(space: Space) -> list[float]:
    """ln of the factors at which a size from the shelf jumps, of what follows the factor."""
    shelves = AS_BRIEFED.shelves_of(space.design, space.brief)
    rows = [] if shelves is None else [
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


def _with_sheets(space: Space, plain: Array, start: Array, span: Interval, unheld: tuple[str, ...]) -> Found:
    """What is least in a stretch of the factor over the next sizes of every free sheet, down and up.

    The linear program at the start says what each combination would come to, and they are searched in that order until
    even the most that it has erred by would not let another win.
    """
    bought = _bought_sheets(space)
    places = {place: bought[lever.part] for place, lever in enumerate(space.levers, 1) if lever.part in bought}
    start = np.concatenate([[np.clip(start[0], *span)], start[1:]])
    problem = space.problem({}, span)
    at = linearised(problem, start)
    ranked: list[tuple[float, Array, dict[int, float]]] = []
    for sizes in product(*(_next_sizes(part, start[place]) for place, part in places.items())):
        fixed = dict(zip(places, sizes, strict=True))
        goal = np.full(start.size, np.nan)
        goal[list(fixed)] = list(fixed.values())
        step = step_of(problem, at, NEAR, goal)
        ranked.append((step.predicted, start + step.step, fixed))
    best: Found | None = None
    erred = 0.0
    for predicted, point, fixed in sorted(ranked, key=lambda row: row[0]):
        if best is not None and predicted - erred >= best.merit:
            break
        found = search(space, plain, point, fixed, span, CLOSE)
        erred = max(erred, predicted - found.merit)
        best = found if best is None or found.merit < best.merit else best
    assert best is not None  # noqa: S101 - product() of nothing is one empty combination
    return replace(best, unheld=tuple(dict.fromkeys([*unheld, *best.unheld])))


def _next_sizes(part: Part, wanted: float) -> list[float]:
    """ln of the sizes next to a wanted one, down and up, each over the reference's thickness, as ``wanted`` is."""
    sizes = np.log(np.asarray(sizes_of(part)) / part.thickness)
    up = int(np.searchsorted(sizes, wanted))
    return [float(size) for size in sizes[max(up - 1, 0) : up + 1]]
