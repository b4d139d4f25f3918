"""A port along the factor or its rotor's speed: only the quantities asked for, over as many of these as one likes."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from scaling.book.at_once import Parts, places
from scaling.book.entry import Array, Values
from scaling.formulas import book
from scaling.port.inputs import inputs_at
from scaling.study.results import Port, Study

NOTHING = np.asarray(np.nan)


def swept(study: Study, port: Port, factors: Array, only: Sequence[str]) -> Parts:
    """Give the quantities ``only`` of a port at each of the ``factors``, by the port's law, rules and parts.

    At the port's own factor they are the port's. What cannot be computed at a factor is NaN there.
    """

    def carried(some: Array) -> Values:
        return inputs_at(study.design, study.brief, port.request, port.carried, some, port.variation).variables

    return _read(carried, factors, study.design.traits, only)


def swept_speeds(study: Study, port: Port, speeds: Array, only: Sequence[str]) -> Parts:
    """Give the quantities ``only`` of a port at each of its rotor's ``speeds`` (rad/s), all else as it is.

    What cannot be computed at a speed, since the motor does not reach it, say, is NaN there.
    """

    def turning(some: Array) -> Values:
        return {**port.variables, "rotor.speed": some}

    return _read(turning, speeds, (port.machine or study.design).traits, only)


def _read(given: Callable[[Array], Values], row: Array, traits: frozenset[str], only: Sequence[str]) -> Parts:
    for place in places(row.size):
        values = book.evaluate(given(row[place]), traits, only)
        yield place, {name: values.get(name, NOTHING) for name in only}
