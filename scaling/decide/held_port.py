"""The port of the law that frees dimensions where a brief holds them: the same as was found, with what is mended.

A mend of such a port is promised with all that was freed kept, so its changes say so: searching again would move it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping

import numpy as np

from scaling.decide.freed_space import Pick, Space
from scaling.decide.objective import objective_of
from scaling.decide.solved_port import solved_port
from scaling.port.asked import Brief, LawRequest
from scaling.port.freed import CELLS, FACTOR, held_levers
from scaling.port.inputs import port_parts
from scaling.port.laws import law_factor
from scaling.robot.design import Design
from scaling.study.results import Port, Solved


def held_port(design: Design, brief: Brief, request: LawRequest, reference: Mapping[str, float]) -> Solved | str:
    """Return the port that a brief holds, smaller where the mass limit asks for it, or the reason why there is none.

    Raises InputError where the design has not what is held.
    """
    levers = held_levers(design, brief)
    cells = int(brief.held[CELLS]) if CELLS in brief.held else None
    objective = objective_of(brief, reference)
    space = Space(design, brief, request, objective, reference, levers, {}, Pick(cells), snapped=True)
    ratios = np.log([brief.held[lever.key] for lever in levers])
    parts = space.parts(space.variation(np.concatenate([[0.0], ratios])))
    closed, plain = (law_factor(design, brief, request, each) for each in (parts, port_parts(design, brief)))
    if closed.factor is None or plain.factor is None:
        return f"No factor meets the mass limit: {closed.reason or plain.reason}."
    factor = min(closed.factor, brief.held[FACTOR])
    point = space.plain(factor) + np.concatenate([[0.0], ratios])
    return solved_port(space, point, factor, space.plain(plain.factor))


def held_at(port: Port) -> dict[str, str]:
    """Return the brief's keys, with their text, that hold what was freed of a port; none for another law's."""
    if port.solved is None or port.factor is None:
        return {}
    variation = port.variation
    held = {FACTOR: port.factor, **variation.levers} | ({} if variation.cells is None else {CELLS: variation.cells[0]})
    materials = {
        f"parts.{json.dumps(part)}.material": names[int(which)] for part, (names, which) in variation.materials.items()
    }
    return materials | {f"held.{json.dumps(key)}": f"{float(value):.10g}" for key, value in held.items()}
