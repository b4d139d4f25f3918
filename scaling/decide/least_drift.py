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
from scaling.decide.freed_space import SOFT, TIGHT, Pick, Space, margin_bounds
from scaling.decide.objective import objective_of
from scaling.decide.solved_port import solved_port
from scaling.decide.slp import FIRST_REACH, Minimum, Problem, linearised, minimise, step_of
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

ROUGH = 1e-3
"""The same of the rough searches that only say where to start."""

AWAY, FAR, FAR_FACTOR, STARTS = 512, 0.6, 0.25, 3
"""Points that are looked at for other starts, how far they lie from the plain scaling in ln (of the factor less), and
how many searches are started in all."""

MISSED = 1e-5
"""By how much, in ln, a limit may be missed before a search goes on."""

HARDER, HARDEST = 6.0, 200.0
"""By how much a missed limit costs more in the next search, and from where on it counts as one that nothing holds."""

STIFF = 20.0
"""How much more what is missed costs where combinations are compared, so that it does not look cheap."""

NEAR = 0.3
"""How far, in ln, the linear program looks when it ranks the sheets' sizes."""

CLOSE = 0.05
"""How far, in ln, a search that starts from such a program may go in its first step."""

MOST_STEPS = 3
"""Stretches of the factor between two steps of the shelf that are searched at most."""

APART = 1e-6
"""How far, in ln, the factor stays from a step of the shelf."""


@dataclass(frozen=True)
class Found:
    """Where a search ended in one space, with the problem that it solved."""

    space: Space
    problem: Problem
    minimum: Minimum

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
    space, unheld = what_holds(space, plain)
    best: Found | None = None
    loose = 1.0
    start = _best_start(space, plain)
    for pick in _ranked(space, choices, start):
        if best is not None and pick.least >= best.merit:
            break
        free = search(pick.space, start, reach=FIRST_REACH if best is None else CLOSE)
        whole = from_the_shelf(free)
        if best is None or whole.merit < best.merit:
            best, loose, start = whole, float(np.exp(free.point[0])), free.point
    assert best is not None  # noqa: S101 - there is one pick at least
    return solved_port(best.space, best.problem, best.minimum, loose, plain, unheld)


def _best_start(space: Space, plain: Array) -> Array:
    """Where a rough search from the plain scaling and from far away ends best: there are several valleys."""
    from scipy.stats import qmc

    problem = space.problem({})
    away = 2 * qmc.Sobol(plain.size, seed=0).random(AWAY).T - 1
    away[0] *= FAR_FACTOR / FAR
    points = plain[:, None] + FAR * away
    for place, lever in enumerate(space.levers, 1):
        points[place] += away[0] * FAR if lever.part is not None else 0.0
    points = np.clip(points, problem.lower[:, None], problem.upper[:, None])
    starts = [plain]
    for place in np.argsort(problem.merits(points), kind="stable"):
        if len(starts) < STARTS and all(np.abs(points[:, place] - other).max() > FAR / 2 for other in starts):
            starts.append(points[:, place])
    ends = [minimise(problem, each, worth=ROUGH).at for each in starts]
    return min(ends, key=lambda end: end.merit(problem)).point


@dataclass(frozen=True)
class _Ranked:
    """What comes in steps, as one of its combinations: the space of its ports, and the least that they may come to."""

    space: Space
    least: float


def _ranked(space: Space, choices: Choices, start: Array) -> list[_Ranked]:
    """Every combination of cells and materials, the most promising by the linear program first."""
    found: list[_Ranked] = []
    for cells, *names in product(choices.cells or (None,), *choices.materials.values()):
        one = replace(space, pick=Pick(cells, dict(zip(choices.materials, names, strict=True))))
        problem = one.problem({}, harder=STIFF)
        step = step_of(problem, linearised(problem, np.clip(start, problem.lower, problem.upper)), NEAR)
        found.append(_Ranked(one, step.predicted))
    return sorted(found, key=lambda each: each.least)


def what_holds(space: Space, plain: Array) -> tuple[Space, tuple[str, ...]]:
    """Return the space with the margins that no setting holds kept at the plain scaling's instead, and their names.

    Which those are shows where the limits alone are looked at, whatever drifts.
    """
    problem = space.problem({})
    alone = replace(problem, weights=0 * problem.weights, penalty=problem.penalty / SOFT)
    found = minimise(alone, plain, worth=ROUGH).at
    levels = list(zip(space.names, found.levels, strict=True))[len(space.names) - space.margins :]
    missed = [limit.name for limit, level in levels if level < -MISSED]
    if not missed:
        return space, ()
    _, own = space.values(plain[:, None])
    return replace(space, bounds=space.bounds | {name: min(space.bounds[name], float(own[name][0])) for name in missed}), tuple(missed)


def search(
    space: Space,
    start: Array,
    fixed: Mapping[int, float] = MappingProxyType({}),
    span: Interval | None = None,
    reach: float = FIRST_REACH,
) -> Found:
    """Return what is least from a ``start``, some places of the point ``fixed`` and ln(factor) within ``span``.

    What is missed at the end costs more in the next search from there, until nothing is that can be held.
    """
    harder = np.ones(len(space.names))
    while True:
        problem = space.problem(fixed, span, harder)
        found = minimise(problem, start, reach, worth=WORTH)
        missed = found.at.levels < -MISSED
        if not missed.any() or harder[missed].min() >= HARDEST:
            return Found(space, problem, found)
        start, reach = found.at.point, CLOSE
        harder = np.where(missed, HARDER * harder, harder)


def from_the_shelf(found: Found) -> Found:
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


def _with_sheets(space: Space, start: Array, span: Interval) -> Found:
    """What is least in a stretch of the factor over the next sizes of every free sheet, down and up.

    The linear program at the start says what each combination would come to, and they are searched in that order until
    even the most that it has erred by would not let another win.
    """
    bought = _bought_sheets(space)
    places = {place: bought[lever.part] for place, lever in enumerate(space.levers, 1) if lever.part in bought}
    start = np.concatenate([[np.clip(start[0], *span)], start[1:]])
    problem = replace(space, loose=True).problem({}, span, STIFF)
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
        found = search(space, point, fixed, span, CLOSE)
        erred = max(erred, predicted - found.merit)
        best = found if best is None or found.merit < best.merit else best
    assert best is not None  # noqa: S101 - product() of nothing is one empty combination
    return best


def _next_sizes(part: Part, wanted: float) -> list[float]:
    """ln of the sizes next to a wanted one, down and up, each over the reference's thickness, as ``wanted`` is."""
    sizes = np.log(np.asarray(sizes_of(part)) / part.thickness)
    up = int(np.searchsorted(sizes, wanted))
    return [float(size) for size in sizes[max(up - 1, 0) : up + 1]]
