"""What a design file says of a bolted joint: its bolts, their pattern, the plate and the thread.

The same keys stand in the table of every joint, so that each joint has the same formulas.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from scaling.book.algebra import Expression, symbol
from scaling.book.alike import alike
from scaling.book.entry import Variable
from scaling.files.errors import InputError
from scaling.files.schema import Choice
from scaling.files.sentence import listed
from scaling.formulas.joints.threads import limits
from scaling.shop.shelves import Shelves

Row = TypeVar("Row")

PATTERNS = ("circle", "two-lines")


@dataclass(frozen=True)
class BoltedJoint:
    """A joint of the robot: its table, how its quantities' names and labels begin, and the force on it.

    Where the force always passes ``beside`` the bolts, how they stand must be known.
    """

    table: str
    prefix: str
    title: str
    force: str
    branch: str
    beside: bool = False

    def variable(self, key: str) -> Expression:
        """Symbol of a variable of the joint's table."""
        return symbol(f"{self.table}.{key}")

    def quantity(self, name: str) -> Expression:
        """Symbol of a quantity of this joint."""
        return symbol(f"{self.prefix}_{name}")


def variables(joint: BoltedJoint) -> tuple[Variable, ...]:
    """Return the variables of the joint's table and of the table of its thread."""
    table = joint.table
    return (
        Variable(f"{table}.bolts", "n_b", "1", "bolts that carry the force", allowed="count"),
        Variable(f"{table}.bolt_diameter", "d_b", "m", "nominal diameter of a bolt", 1, derived=True),
        Variable(f"{table}.bolt_stress_area", "A_s", "m^2", "stress area of a bolt", 2, derived=True),
        Variable(f"{table}.bolt_strength", "R_m", "Pa", "tensile strength of a bolt", derived=True),
        Variable(f"{table}.bolt_proof", "S_p", "Pa", "proof load stress of a bolt", derived=True),
        Variable(f"{table}.bolt_shear_share", "k_v", "1", "shear strength of a bolt over its tensile strength",
                 derived=True),
        Variable(f"{table}.bolt_modulus", "E_b", "Pa", "modulus of elasticity of a bolt", default=205e9),
        Variable(f"{table}.head_diameter", "d_h", "m", "diameter of the bolt's head, or of the washer under it", 1,
                 derived=True),
        Variable(f"{table}.hole_diameter", "d_0", "m", "diameter of the clearance hole", 1, derived=True),
        Variable(f"{table}.unevenness", "u", "1",
                 "load of the worst bolt over an even share, for holes that do not fit alike", default=1.0),
        Variable(f"{table}.pattern_diameter", "D_p", "m", "diameter of the circle that the bolts stand on", 1,
                 optional=True, when=("pattern=circle",)),
        Variable(f"{table}.line_spacing", "s_p", "m",
                 "distance between the two lines of bolts, each of which runs along the force", 1, optional=True,
                 when=("pattern=two-lines",)),
        Variable(f"{table}.line_length", "l_p", "m", "distance between the first and the last bolt of a line", 1,
                 optional=True, when=("pattern=two-lines",)),
        Variable(f"{table}.overhang", "e", "m",
                 "distance in the joint's plane from the middle of the bolts to the line of the force", 1,
                 allowed="not negative", default=0.0),
        Variable(f"{table}.lever", "h_F", "m", "height of the force above the joint's plane", 1, optional=True),
        Variable(f"{table}.pull_share", "p", "1",
                 "share of the force that pulls along the bolts: cosine of the angle between the two",
                 allowed="fraction", optional=True),
        Variable(f"{table}.torque", "T_b", "N m", "tightening torque of a bolt", 3, optional=True),
        Variable(f"{table}.nut_factor", "K", "1",
                 "tightening torque over preload times diameter: 0.2 as bought, 0.12 to 0.18 greased", default=0.2),
        Variable(f"{table}.thickness", "t", "m", "thickness of the plate under the bolts' heads", 1, optional=True),
        Variable(f"{table}.edge_distance", "a", "m", "from the middle of a hole to the plate's edge along the force",
                 1, optional=True),
        Variable(f"{table}.grip", "l_g", "m", "clamped length of a bolt", 1, derived=True,
                 follows=(f"{table}.thickness",)),
        Variable(f"{table}.strength", "S", "Pa", "strength of the plate's material", derived=True),
        Variable(f"{table}.modulus", "E", "Pa", "modulus of elasticity of the plate's material", derived=True),
        Variable(f"{table}.shear_strength_ratio", "k_tau", "1", "shear strength of the plate's material over its "
                 "strength", derived=True),
        Variable(f"{table}.thread.engagement", "L_e", "m", "engaged length of the thread that a bolt goes into", 1),
        Variable(f"{table}.thread.strength", "S_t", "Pa", "strength of the material that the thread is cut in",
                 derived=True),
        Variable(f"{table}.thread.shear_strength_ratio", "k_t", "1",
                 "shear strength of that material over its strength", derived=True),
        Variable(f"{table}.thread.pitch", "P", "m", "pitch of the thread", 1, derived=True),
        Variable(f"{table}.thread.external_major", "d_min", "m", "least major diameter of the bolt's thread", 1,
                 derived=True),
        Variable(f"{table}.thread.external_pitch", "d_2min", "m", "least pitch diameter of the bolt's thread", 1,
                 derived=True),
        Variable(f"{table}.thread.internal_pitch", "D_2max", "m", "largest pitch diameter of the hole's thread", 1,
                 derived=True),
        Variable(f"{table}.thread.internal_minor", "D_1max", "m", "largest minor diameter of the hole's thread", 1,
                 derived=True),
    )


def choices(joint: BoltedJoint) -> dict[str, Choice]:
    """Return the words of the joint's table and of the table of its thread."""
    table = joint.table
    return {
        f"{table}.bolt": Choice(None, "size of the bolts, such as M3"),
        f"{table}.bolt_class": Choice(None, "strength class of the bolts, such as 8.8"),
        f"{table}.pattern": Choice(PATTERNS, "how the bolts stand", optional=not joint.beside, when=("lever",)),
        f"{table}.material": Choice(None, "material of the plate under the bolts' heads", optional=True),
        f"{table}.thread.material": Choice(None, "material that the thread is cut in, an insert's or a nut's"),
    }


def bolt_values(table: str, words: Mapping[str, str], shelves: Shelves) -> dict[str, float]:
    """Return every variable of a joint that follows from the size and class of its bolts, by dotted key.

    Raises InputError, with the key, for a size or a class that is not on the shelf. Where a class has no proof
    load stress its 0.2 % proof stress stands in.
    """
    size = _look_up(shelves.bolt, words, f"{table}.bolt")
    strength = _look_up(shelves.bolt_class, words, f"{table}.bolt_class")
    found = {
        f"{table}.bolt_diameter": size.diameter,
        f"{table}.bolt_stress_area": size.stress_area,
        f"{table}.bolt_strength": strength.ultimate,
        f"{table}.bolt_proof": strength.proof or strength.yield_strength,
        f"{table}.bolt_shear_share": strength.shear_share,
        f"{table}.head_diameter": size.head_diameter,
        f"{table}.hole_diameter": size.clearance_medium,
        f"{table}.thread.pitch": size.pitch,
    }
    sizes = limits(size.diameter, size.pitch)
    if sizes is not None:
        found |= {f"{table}.thread.{name}": value for name, value in vars(sizes).items()}
    return found


def derive(joint: BoltedJoint, numbers: dict[str, float], words: Mapping[str, str], shelves: Shelves) -> None:
    """Fill in what follows from bolt size, class and materials; raises InputError for a pattern that cannot be."""
    from scaling.shop.materials import material

    table = joint.table
    if f"{table}.bolts" not in numbers:
        return
    threaded = f"{table}.thread.engagement" in numbers
    for key, value in bolt_values(table, words, shelves).items():
        if threaded or not key.startswith(f"{table}.thread."):
            numbers.setdefault(key, value)
    for place in (table, f"{table}.thread"):
        if f"{place}.material" in words:
            ratio = material(words[f"{place}.material"], key=f"{place}.material").shear_strength_ratio
            numbers.setdefault(f"{place}.shear_strength_ratio", ratio)
    if f"{table}.thickness" in numbers:
        # A cap screw stretches over the plate and about half a diameter of the thread below it: R. G. Budynas &
        # J. K. Nisbett, Shigley's Mechanical Engineering Design, 9th ed., table 8-7, from memory.
        held = np.minimum(numbers[f"{table}.thread.engagement"], numbers[f"{table}.bolt_diameter"]) if threaded else 0.0
        numbers.setdefault(f"{table}.grip", numbers[f"{table}.thickness"] + held / 2)
    _check_pattern(table, numbers, words.get(f"{table}.pattern"))


def _look_up(shelf: Callable[[str], Row], words: Mapping[str, str], key: str) -> Row:
    try:
        return shelf(words[key])
    except InputError as error:
        error.key = key
        raise


def _check_pattern(table: str, numbers: Mapping[str, float], pattern: str | None) -> None:
    eccentric = [f"{table}.{name}" for name in ("overhang", "lever") if alike(numbers.get(f"{table}.{name}", 0.0) > 0)]
    if pattern is None:
        if eccentric:
            raise InputError("missing key: how a force beside the bolts loads them follows from their pattern",
                             key=f"{table}.pattern", allowed=f"one of {listed(PATTERNS)}",
                             hint=f"or leave out {' and '.join(eccentric)}")
        return
    bolts = np.asarray(numbers[f"{table}.bolts"])
    if pattern == "two-lines" and alike((bolts % 2 != 0) | (bolts < 4)):
        raise InputError("two lines of bolts have an even number of them", key=f"{table}.bolts",
                         given=int(bolts.flat[0]), allowed="4, 6, 8 ...")
    if f"{table}.lever" in numbers and alike(bolts < 3):
        raise InputError("too few bolts for a force above their plane", key=f"{table}.bolts", given=int(bolts.flat[0]),
                         allowed="3 or more")
