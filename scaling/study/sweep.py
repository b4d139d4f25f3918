"""A port along the factor or its rotor's speed: only the quantities asked for, over as many of these as one likes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from scaling.book.entry import Array
from scaling.formulas import book
from scaling.port.inputs import inputs_at
from scaling.study.results import Port, Study

AT_ONCE = 10_000
"""Factors in one pass: few enough that a pass stays in the processor's cache, whatever the number asked for."""


def swept(study: Study, port: Port, factors: Array, only: Sequence[str]) -> dict[str, Array]:
    """Return the quantities ``only`` of a port at each of the ``factors``, by the port's law, rules and parts.

    At the port's own factor they are the port's. What cannot be computed at a factor is NaN there.
    """
    traits = study.design.traits
    found: dict[str, list[Array]] = {name: [] for name in only}
    for start in range(0, factors.size, AT_ONCE):
        some = factors[start : start + AT_ONCE]
        inputs = inputs_at(study.design, study.brief, port.request, port.carried, some, port.variation)
        values = book.evaluate(inputs.variables, traits, only=only)
        for name, passes in found.items():
            passes.append(np.broadcast_to(values.get(name, np.nan), some.shape))
    return {name: np.concatenate(passes) if passes else np.empty(0) for name, passes in found.items()}


def swept_speeds(study: Study, port: Port, speeds: Array, only: Sequence[str]) -> dict[str, Array]:
    """Return the quantities ``only`` of a port at each of its rotor's ``speeds`` (rad/s), all else as it is.

    What cannot be computed at a speed, since the motor does not reach it, say, is NaN there.
    """
    variables = {**port.variables, "rotor.speed": speeds}
    values = book.evaluate(variables, (port.machine or study.design).traits, only=only)
    return {name: np.array(np.broadcast_to(values.get(name, np.nan), speeds.shape)) for name in only}
