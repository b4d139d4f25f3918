"""The joints branch: the rotor's mount, and one more bolted joint, under a hit."""

from __future__ import annotations

from collections.abc import Mapping

from scaling.book.algebra import symbols
from scaling.book.entry import Quantity, Variable
from scaling.formulas.joints import bolted, inputs, verdict
from scaling.formulas.joints.inputs import BoltedJoint
from scaling.shop.shelves import Shelves

hit_force, taken_hit_force, stated_force, force_share = symbols(
    "hit_force taken_hit_force joint.force joint.force_share"
)

MOUNT = BoltedJoint("rotor.mount", "bolt", "Rotor mount", "hit_force", "joints")
PLATE = BoltedJoint("joint", "joint", "Joint", "joint_force", "joints")

VARIABLES = (
    *inputs.variables(MOUNT),
    Variable("joint.force", "F_j", "N", "force on the joint, where it is known", 2, optional=True),
    Variable("joint.force_share", "s_F", "1", "share of a hit's force that the joint carries", 0, allowed="fraction",
             default=1.0),
    *inputs.variables(PLATE),
)

CHOICES = inputs.choices(MOUNT) | inputs.choices(PLATE)

QUANTITIES = (
    *bolted.quantities(MOUNT),
    *verdict.verdicts(MOUNT),
    Quantity(
        "joint_force", "Joint: force on it", "F_j", "N", "joints", "same", stated_force,
        source="definition: the design's stated force",
        assumes="at a port it follows the factor squared, as the force of a like opponent at the same tip speed does",
    ),
    Quantity(
        "joint_force", "Joint: force on it", "F_j", "N", "joints", "same", force_share * taken_hit_force,
        source="definition: share of the peak force of a hit taken",
        assumes="as taken_hit_force",
    ),
    Quantity(
        "joint_force", "Joint: force on it", "F_j", "N", "joints", "same", force_share * hit_force,
        source="definition: share of the peak force of a hit",
        assumes="an opponent hits as hard as the robot itself",
    ),
    *bolted.quantities(PLATE),
    *verdict.verdicts(PLATE),
)


def derive(numbers: dict[str, float], words: Mapping[str, str], shelves: Shelves) -> None:
    """Fill in the bolts' sizes and strengths and the materials' shear strengths of both joints."""
    for joint in (MOUNT, PLATE):
        inputs.derive(joint, numbers, words, shelves)
