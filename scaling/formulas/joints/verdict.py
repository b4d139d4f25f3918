"""Which part of a bolted joint gives way first.

A joint may or may not have a plate, a thread and a pull along its bolts, so that the least of its margins is
written for each set of them; the fullest that a design has is the one that counts. Each margin enters as its
reciprocal, load over strength, which is a plain zero where a load is.
"""

from __future__ import annotations

from itertools import product

from scaling.book.algebra import Expression, largest
from scaling.book.entry import Quantity
from scaling.formulas.joints.inputs import BoltedJoint


def verdicts(joint: BoltedJoint) -> tuple[Quantity, ...]:
    """Return the least margin of the joint, and how much more the bolt's shank bears than what is round it."""
    use = _uses(joint)
    weakest: list[tuple[str, ...]] = []
    reserves: list[tuple[str, tuple[str, ...]]] = []
    for pulled, plate, thread in product((True, False), repeat=3):
        shank = "combined" if pulled else "shear"
        torn: tuple[str, ...] = ("tear_out",) if plate else ()
        torn += ("pull_through",) if plate and pulled else ()
        torn += ("strip",) if thread else ()
        oval = ("bearing",) if plate else ()
        bolt_thread = ("external_strip",) if thread else ()
        weakest.append((shank, *torn, *oval, *bolt_thread))
        if torn:
            reserves.append((shank, torn))
    weakest.sort(key=len, reverse=True)
    reserves.sort(key=lambda pair: (len(pair[1]), pair[0] == "combined"), reverse=True)
    return (
        *(_weakest(joint, largest(*(use[name] for name in names))) for names in weakest),
        *(_reserve(joint, largest(*(use[name] for name in torn)) / use[shank]) for shank, torn in reserves),
    )


def _uses(joint: BoltedJoint) -> dict[str, Expression]:
    """Load over strength of each part: the reciprocal of the margin of the same name."""
    quantity, variable = joint.quantity, joint.variable
    plate_shear = variable("shear_strength_ratio") * variable("strength")
    bolt_shear = variable("bolt_shear_share") * variable("bolt_strength")
    thread_shear = variable("thread.shear_strength_ratio") * variable("thread.strength")
    return {
        "shear": quantity("shear_stress") * quantity("shear_factor") / bolt_shear,
        "combined": 1 / quantity("combined_margin"),
        "bearing": quantity("bearing_pressure") / variable("strength"),
        "tear_out": quantity("tear_out_stress") * quantity("shear_factor") / plate_shear,
        "pull_through": quantity("pull_through_stress") / plate_shear,
        "strip": quantity("strip_stress") / thread_shear,
        "external_strip": quantity("total_tension") / (bolt_shear * quantity("external_strip_area")),
    }


def _weakest(joint: BoltedJoint, use: Expression) -> Quantity:
    return Quantity(
        f"{joint.prefix}_weakest_margin", f"{joint.title}: least margin", "n_min", "1", joint.branch, "higher",
        1 / use,
        source="definition: least of the margins of bolts, holes, edge, head and threads, as far as they are known",
        assumes="an oval hole counts as given way; pressure under the head does not",
    )


def _reserve(joint: BoltedJoint, reserve: Expression) -> Quantity:
    return Quantity(
        f"{joint.prefix}_shank_reserve", f"{joint.title}: bolt-over-plate reserve", "n_s", "1", joint.branch, "same",
        reserve,
        source="definition: above 1 the material tears out, pulls through or strips before the bolt breaks",
    )
