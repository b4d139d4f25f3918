"""The factors at which a size that comes from a shelf changes to the next one, found through the snapping itself."""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array
from scaling.port.asked import AS_BRIEFED, Brief, LawRequest, Variation
from scaling.port.carried import similar_machine, sizes_from_the_shelf, stated_in_the_brief
from scaling.port.freed import levers_pulled
from scaling.port.scaled import Inputs
from scaling.port.terms import Terms
from scaling.robot.design import Design
from scaling.robot.parts import Part

SPACING = 1e-3
"""Distance of the factors that are tried first, in ln."""

LEAST = 5e-3
"""Least jump of a size, in ln, that is a step of a shelf: none has sizes that lie so close. A size that is kept since
the shelf ended goes with the factor instead, and changes far less from one factor to the next."""

CUTS = 33
"""Factors that are tried at once between two on either side of a step."""

BESIDE = 1e-9
"""How near to each other the two factors on either side of a step are found, in ln."""


def shelf_steps(
    design: Design,
    brief: Brief,
    request: LawRequest,
    parts: tuple[Part, ...],
    low: float,
    high: float,
    variation: Variation = AS_BRIEFED,
) -> tuple[tuple[float, float], ...]:
    """Return each step of a shelf from the factor ``low`` to ``high``: the factors hard before and behind it."""

    def sizes(logs: Array) -> Array:
        return _sizes(Terms(design, brief, request, parts, np.exp(logs), variation))

    logs = np.linspace(np.log(low), np.log(high), max(2, int(np.log(high / low) / SPACING)))
    jumps = np.any(np.abs(np.diff(sizes(logs))) > LEAST, axis=0)
    before, behind = logs[:-1][jumps], logs[1:][jumps]
    while before.size and np.max(behind - before) > BESIDE:
        cut = np.linspace(before, behind, CUTS)
        jumped = np.any(np.abs(np.diff(sizes(cut.ravel()).reshape(-1, *cut.shape), axis=1)) > LEAST, axis=0)
        place, each = np.nonzero(jumped)
        before, behind = cut[place, each], cut[place + 1, each]
    before, behind = np.sort(before), np.sort(behind)
    return tuple(zip(np.exp(before).tolist(), np.exp(behind).tolist(), strict=True))


def _sizes(terms: Terms) -> Array:
    """The logarithm of every size that may come from a shelf, a row each, at every factor of ``terms``."""
    inputs = Inputs()
    for step in (similar_machine, stated_in_the_brief, levers_pulled, sizes_from_the_shelf):
        inputs = step(inputs, terms)
    rows = [inputs[row.key].value for row in terms.design.stock]
    rows += [part.thickness_at(terms.factor) for part in terms.parts if part.sold]
    shape = terms.factor.shape
    return np.log([np.broadcast_to(np.asarray(row, dtype=float), shape) for row in rows]).reshape(-1, *shape)
