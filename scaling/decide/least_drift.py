"""The law that frees dimensions: the port that drifts least within every limit, and what each limit costs it.

What comes in steps (cells, materials, sheets from the shelf) is tried combination by combination, the most promising
first by the linear program, and what that program says cannot win is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from scaling.book.entry import Array
from scaling.book.told_apart import told_apart
from scaling.decide.freed_search import CLOSE, MISSED, Found, search
from scaling.decide.freed_space import SOFT, Pick, Space, margin_bounds
from scaling.decide.held_port import held_port
from scaling.decide.objective import objective_of
from scaling.decide.prices import prices_of
from scaling.decide.shelf_search import NEAR, STIFF, from_the_shelf
from scaling.decide.side_by_side import best_of, together
from scaling.decide.slp import linearised, minimising, step_of
from scaling.decide.solved_port import solved_port
from scaling.port.asked import Brief, LawRequest
from scaling.port.freed import Choices, levers_of
from scaling.port.inputs import port_parts
from scaling.port.laws import close_mass
from scaling.robot.design import Design
from scaling.robot.parts import mass_at, off_the_shelf
from scaling.study.results import Solved

ROUGH = 3e-3
"""A gain in the score that is worth looking for where only a start is looked for."""

LOOSE = 1e-2
"""The same, in ln, where only the limits are looked at."""

AWAY, FAR, FAR_FACTOR, STARTS = 512, 0.6, 0.25, 2
"""Points that are looked at for other starts, how far they lie from the plain scaling in ln (of the factor less), and
how many searches are started in all."""


def least_drift(design: Design, brief: Brief, request: LawRequest, reference: Mapping[str, float]) -> Solved | str:
    """Return the port that drifts least of those that a request frees, or the reason why there is none.

    Raises InputError where the brief frees what cannot be, or weighs nothing that the robot has.
    """
    if brief.held:
        return held_port(design, brief, request, reference)
    levers, choices = levers_of(design, brief, request)
    parts = tuple(map(off_the_shelf, port_parts(design, brief)))
    closed = close_mass(lambda factor: mass_at(parts, factor), brief.allowed_mass)
    if closed.factor is None:
        return f"No factor meets the mass limit: {closed.reason}."
    objective = objective_of(brief, reference)
    space = Space(design, brief, request, objective, reference, levers, margin_bounds(reference))
    plain = space.plain(closed.factor)
    rough, unheld = _best_start(space, plain)
    best: Found | None = None
    loose = rough
    for pick in _ranked(rough.space, choices, rough.point):
        if best is not None and pick.least >= best.merit:
            break
        free = rough if pick.space == rough.space else search(pick.space, loose.point, reach=CLOSE)
        whole = from_the_shelf(free)
        if best is None or whole.merit < best.merit:
            best, loose = whole, free
    assert best is not None  # noqa: S101 - there is one pick at least
    continuous = float(np.exp(loose.point[0]))
    prices = prices_of(best.space, best.problem, best.minimum)
    return solved_port(best.space, best.point, continuous, plain, prices, unheld)


def evenly_spread(size: int, count: int) -> Array:
    """Return ``count`` points that fill the unit cube of ``size`` dimensions evenly, a column each.

    Multiples of powers of the root of x^(size + 1) = x + 1, less their whole parts: M. Roberts, The unreasonable
    effectiveness of quasirandom sequences, 2018, from memory.
    """
    root = 1.5
    for _ in range(60):  # each round brings it nearer by a half at least
        root = (1 + root) ** (1 / (size + 1))
    return np.asarray((0.5 + np.outer(root ** -np.arange(1.0, size + 1), np.arange(1, count + 1))) % 1.0)


def _best_start(space: Space, plain: Array) -> tuple[Found, tuple[str, ...]]:
    """Where a rough search ends best, and the names of the margins that no setting holds: they are held for less there.

    Which those are is asked only where the search misses a limit.
    """
    rough = _roughly(space, plain)
    if rough.minimum.at.missed < MISSED:
        return rough, ()
    held, unheld = what_holds(space, plain, rough.point)
    if unheld:
        rough = _roughly(held, plain)
    return rough if rough.minimum.at.missed < MISSED else search(held, rough.point, reach=CLOSE), unheld


def _roughly(space: Space, plain: Array) -> Found:
    """Where rough searches from the plain scaling and from far away end best: there are several valleys."""
    problem = space.problem({})
    away = 2 * evenly_spread(plain.size, AWAY) - 1
    away[0] *= FAR_FACTOR / FAR
    points = plain[:, None] + FAR * away
    for place, lever in enumerate(space.levers, 1):
        points[place] += away[0] * FAR if lever.part is not None else 0.0
    points = np.clip(points, problem.lower[:, None], problem.upper[:, None])
    starts = [plain]
    for place in np.argsort(told_apart(problem.merits(points)), kind="stable"):
        if len(starts) < STARTS and all(np.abs(points[:, place] - other).max() > FAR / 2 for other in starts):
            starts.append(points[:, place])
    searches = [minimising(problem, each, worth=ROUGH, racing=True) for each in starts]
    return Found(space, best_of(together(space.evaluate, searches)))


@dataclass(frozen=True)
class _Ranked:
    """What comes in steps, as one of its combinations: the space of its ports, and the least that they may come to."""

    space: Space
    least: float


def _ranked(space: Space, choices: Choices, start: Array) -> list[_Ranked]:
    """Every combination of cells and materials, the most promising by the linear program first."""
    found: list[_Ranked] = []
    if not choices.cells and not choices.materials:
        return [_Ranked(space, -np.inf)]
    names = [dict(zip(choices.materials, each, strict=True)) for each in product(*choices.materials.values())]
    for cells, materials in product(choices.cells or (None,), names):
        one = replace(space, pick=Pick(cells, materials))
        problem = one.problem({}, harder=STIFF)
        step = step_of(problem, linearised(problem, np.clip(start, problem.lower, problem.upper)), NEAR)
        found.append(_Ranked(one, step.predicted))
    return sorted(found, key=lambda each: told_apart(each.least))


def what_holds(space: Space, plain: Array, *others: Array) -> tuple[Space, tuple[str, ...]]:
    """Return the space with the margins that no setting holds kept at the plain scaling's instead, and their names.

    Which those are shows where the limits alone are looked at, whatever drifts, from the plain scaling and from other
    points, until all are held.
    """
    problem = space.problem({})
    alone = replace(problem, weights=0 * problem.weights, penalty=problem.penalty / SOFT)
    searches = [minimising(alone, each, worth=LOOSE, enough=MISSED) for each in (plain, *others)]
    ended = together(
        space.evaluate, searches, wanted=lambda _, done: all(each.at.missed > MISSED for each in done.values())
    )
    found = best_of(ended).at
    levels = list(zip(space.names, found.levels, strict=True))[len(space.names) - space.margins :]
    missed = [limit.name for limit, level in levels if level < -MISSED]
    if not missed:
        return space, ()
    _, own = space.values(plain[:, None])
    lower = {name: min(space.bounds[name], float(own[name][0])) for name in missed}
    return replace(space, bounds={**space.bounds, **lower}), tuple(missed)
