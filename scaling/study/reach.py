"""Whether the rotor's motor reaches the speed that is asked of it, and what follows from one that it does not reach.

What needs the motor to hold such a speed cannot be computed, so that it is absent. What follows from the speed alone is
there, as what would be so if the speed were reached.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

import numpy as np

from scaling.formulas import book
from scaling.formulas.rotor.spin_up import REACHED


def reach_of(as_motored: Any, reference: Mapping[str, float]) -> Any:
    """Return the rotor speed within reach, by what the motor's data give: a number, or an array.

    A reference that was measured above what its own motor's data give shows by how much they fall short, and the
    port's are taken to fall short by as much.
    """
    return as_motored * max(1.0, reference.get("rotor_speed_reach_share", 1.0))


def is_reached(speed: Any, as_motored: Any, reference: Mapping[str, float]) -> Any:
    """Whether ``speed`` is within reach, with room for rounding: a truth, or an array of them."""
    return np.asarray(speed) <= reach_of(as_motored, reference) * REACHED


def beyond_reach(values: Mapping[str, float], reference: Mapping[str, float]) -> float | None:
    """Return the speed that the motor reaches where a port's quantities ask for more, else None."""
    speed, as_motored = values.get("rotor_speed"), values.get("rotor_speed_as_motored")
    if speed is None or as_motored is None or is_reached(speed, as_motored, reference):
        return None
    return float(reach_of(as_motored, reference))


def only_if_reached(
    values: Mapping[str, float], reference: Mapping[str, float], traits: frozenset[str], known: Collection[str]
) -> frozenset[str]:
    """Return the names of a port's quantities that are so only if its speed were reached; none where it is.

    ``known`` are its variables.
    """
    if beyond_reach(values, reference) is None:
        return frozenset()
    return book.resting_on("rotor.speed", traits, known)
