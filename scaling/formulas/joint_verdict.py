"""Which part of a bolted joint gives way first.

A joint may or may not have a plate, a thread and a pull along its bolts, so that the least of its margins is
written for each set of them; the fullest that a design has is the one that counts.
"""

from __future__ import annotations

from itertools import product

import sympy

from scaling.formulas.book import Quantity
from scaling.formulas.joint_inputs import BoltedJoint


def verdicts(joint: BoltedJoint) -> tuple[Quantity, ...]:
    """Return the least margin of the joint, and how much more the bolt's shank bears than what is round it."""
    weakest: list[tuple[str, ...]] = []
    reserves: list[tuple[str, tuple[str, ...]]] = []
    for pulled, plate, thread in product((True, False), repeat=3):
        shank = "combined_margin" if pulled else "shear_margin"
        torn: tuple[str, ...] = ("tear_out_margin",) if plate else ()
        torn += ("pull_through_margin",) if plate and pulled else ()
        torn += ("strip_margin",) if thread else ()
        oval = ("bearing_margin",) if plate else ()
        bolt_thread = ("external_strip_margin",) if thread else ()
        weakest.append((shank, *torn, *oval, *bolt_thread))
        if torn:
            reserves.append((shank, torn))
    weakest.sort(key=len, reverse=True)
    reserves.sort(key=lambda pair: (len(pair[1]), pair[0] == "combined_margin"), reverse=True)
    return (
        *(_weakest(joint, names) for names in weakest),
        *(_reserve(joint, shank, torn) for shank, torn in reserves),
    )


def _least(joint: BoltedJoint, names: tuple[str, ...]) -> sympy.Expr:
    return sympy.Min(*(joint.quantity(name) for name in names))


def _weakest(joint: BoltedJoint, names: tuple[str, ...]) -> Quantity:
    return Quantity(
        f"{joint.prefix}_weakest_margin", f"{joint.title}: least of its margins", "n_min", "1", joint.branch, "higher",
        _least(joint, names),
        source="definition: least of the margins of bolts, holes, edge, head and threads, as far as they are known",
        assumes="an oval hole counts as given way; pressure under the head does not",
    )


def _reserve(joint: BoltedJoint, shank: str, torn: tuple[str, ...]) -> Quantity:
    return Quantity(
        f"{joint.prefix}_shank_reserve", f"{joint.title}: margin of the bolt's shank over that of the material round "
        "it", "n_s", "1", joint.branch, "same", joint.quantity(shank) / _least(joint, torn),
        source="definition: above 1 the material tears out, pulls through or strips before the bolt breaks",
    )
