"""What a search over free dimensions found, as the port's record: levers, prices, what it restores, what to change."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from scaling.book.entry import Array
from scaling.decide.freed_space import Space
from scaling.port.freed import CELLS, FACTOR, TIES, material_key
from scaling.port.inputs import inputs_at, port_parts
from scaling.port.scaled import first
from scaling.study.results import FreedLever, Price, Solved


def solved_port(
    space: Space,
    point: Array,
    continuous_factor: float,
    plain: Array,
    prices: tuple[Price, ...] = (),
    unheld: tuple[str, ...] = (),
) -> Solved:
    """Return the record of a point of a space; ``plain`` is the point of the similar machine that is least."""
    factor = float(np.exp(point[0]))
    made = space.variation(point)
    variation = replace(made, levers={key: float(ratio) for key, ratio in made.levers.items()})
    variables, drifts = space.drifts(np.stack([point, plain], axis=1))
    after, before = (
        {name: float(np.broadcast_to(value, 2)[place]) for name, value in drifts.items()} for place in (0, 1)
    )
    freed, along = _levers(space, point, variables, factor, float(np.exp(plain[0])))
    return Solved(
        factor,
        continuous_factor,
        variation,
        space.parts(variation),
        freed,
        prices,
        float(np.exp(plain[0])),
        before,
        after,
        unheld,
        along,
    )


def _levers(
    space: Space, point: Array, now: Mapping[str, Any], factor: float, plain_factor: float
) -> tuple[tuple[FreedLever, ...], tuple[FreedLever, ...]]:
    """Every lever, and every other variable that moves along with one, at the reference, a similar machine, the port.

    ``now`` are the port's variables. The similar machine is the brief's plain scaling to the same factor.
    """
    design, brief, own = space.design, space.brief, space.design.variables
    parts = port_parts(design, brief)
    old, new = ({part.name: part for part in each} for each in (design.parts, parts))
    similar = inputs_at(design, brief, space.request, parts, np.asarray([factor])).variables
    freed = [FreedLever(FACTOR, 1.0, plain_factor, factor)]
    for place, lever in enumerate(space.levers, 1):
        if lever.part is None:
            freed.append(FreedLever(lever.key, own[lever.key], first(similar[lever.key]), first(now[lever.key])))
        else:
            reference = space.thickness[lever.part]
            wanted = first(new[lever.part].thickness_at(factor))
            freed.append(FreedLever(lever.key, reference, wanted, reference * float(np.exp(point[place]))))
    if space.pick.cells is not None:
        freed.append(FreedLever(CELLS, own[CELLS], first(similar[CELLS]), float(space.pick.cells)))
    for name, material in space.pick.materials.items():
        freed.append(FreedLever(material_key(name), old[name].material or "", new[name].material or "", material))
    pulled = {lever.key for lever in space.levers}
    along = [
        FreedLever(tie.key, own[tie.key], first(similar[tie.key]), first(now[tie.key]))
        for tie in TIES
        if tie.lever in pulled and tie.key in now
    ]
    return tuple(freed), tuple(along)
