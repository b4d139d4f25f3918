"""A bolted joint as the tests ask for it: every value for all three joints of the book, which must agree."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from scaling.formulas import book
from scaling.formulas.joints.inputs import BoltedJoint
from scaling.formulas.joints.places import MOUNT, PLATE
from scaling.formulas.transmission.belts import MOTOR_MOUNT

JOINTS = (MOUNT, PLATE, MOTOR_MOUNT)


def mount(*names: str, pattern: str | None = None, hit_force: float = 1.0, **values: Any) -> list[float]:
    """Quantities of the rotor's mount, the same for the other joints; ``values`` are keys, or quantities as bolt_..."""
    found = [_of(joint, names, pattern, hit_force, values) for joint in JOINTS]
    for other in found[1:]:  # the order of a product's factors, and so the last digit, goes by their names
        assert np.allclose(found[0], other, rtol=1e-12, atol=0, equal_nan=True)
    return found[0]


def _of(
    joint: BoltedJoint, names: Sequence[str], pattern: str | None, force: float, values: dict[str, Any]
) -> list[float]:
    given = {joint.force: force, f"{joint.table}.overhang": 0.0}
    if "bolt_shear_factor" not in values:  # the book works it out wherever it can
        given[f"{joint.table}.unevenness"] = 1.0
    for name, value in values.items():
        key = f"{joint.table}.{name.replace('thread_', 'thread.')}"
        given[name.replace("bolt_", f"{joint.prefix}_", 1) if name in book.quantities else key] = value
    wanted = [name.replace("bolt_", f"{joint.prefix}_", 1) for name in names]
    traits = frozenset({f"{joint.table}.pattern={pattern}"} if pattern else ())
    found = book.evaluate(given, traits, only=wanted)
    return [float(found[name]) for name in wanted]


def stocked(size: str, strength: str, **words: str) -> tuple[dict[str, float], dict[str, str]]:
    """Numbers and words of [joint] for a bolt off the shelf."""
    numbers = {"joint.bolts": 1.0, "joint.unevenness": 1.0, "joint.overhang": 0.0, "joint.bolt_modulus": 205e9}
    return numbers, {"joint.bolt": size, "joint.bolt_class": strength} | {
        f"joint.{key.replace('thread_', 'thread.')}": word for key, word in words.items()
    }
