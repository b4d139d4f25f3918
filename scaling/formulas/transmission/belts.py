"""The transmission branch: the belt between motor and rotor at work; a dead stop of the rotor, with a hub motor too."""

from __future__ import annotations

import math
from collections.abc import Mapping

from scaling.book.alike import alike
from scaling.book.entry import Variable
from scaling.files.errors import InputError
from scaling.files.schema import Choice
from scaling.formulas.joints import bolted, inputs, verdict
from scaling.formulas.joints.inputs import BoltedJoint
from scaling.formulas.transmission import belt_drive, dead_stop, hub_stop
from scaling.formulas.transmission.dead_stop import LINKS
from scaling.shop.shelves import Shelves

MOTOR_MOUNT = BoltedJoint(
    "rotor.motor_mount", "motor_mount", "Motor mount", "belt_stall_mount_load", "transmission", beside=True
)

# Conductivity in W/m/K of a material that has none in its table, heat capacity in J/m^3/K and rise in K above room
# temperature at which the surface softens; a low side of each kind, from memory: most plastics soften from 100 C.
THERMAL = {"metal": (45.0, 2.4e6, 400.0), "other": (0.25, 1.8e6, 80.0)}

ROUND_CONTACT = 0.5
"""Width on which a round belt rubs over its diameter, both flanks together: common practice, no source."""

_B = "rotor.belt"
_P = "rotor.belt.pulley"

_WITH_TEETH = ("kind=toothed",)
_WITHOUT_TEETH = ("kind=flat", "kind=round")

VARIABLES = (
    Variable(f"{_B}.pulley_diameter", "d_p", "m", "pitch diameter of the motor's pulley", 1, derived=True,
             when=_WITHOUT_TEETH),
    Variable(f"{_B}.pulley_teeth", "z_p", "1", "teeth of the motor's pulley", allowed="count", optional=True,
             when=_WITH_TEETH),
    Variable(f"{_B}.pitch", "p_b", "m", "pitch of a toothed belt", 1, optional=True, when=_WITH_TEETH),
    Variable(f"{_B}.centre_distance", "C", "m", "distance between the middles of the pulleys", 1),
    Variable(f"{_B}.width", "w_b", "m", "width of the belt, a round belt's diameter", 1),
    Variable(f"{_B}.friction", "mu_b", "1", "friction between a flat or round belt and its pulleys", optional=True,
             when=_WITHOUT_TEETH),
    Variable(f"{_B}.groove_angle", "beta", "rad", "whole angle of the pulleys' groove, 180 degrees for a flat rim",
             default=math.pi),
    Variable(f"{_B}.stiffness", "EA", "N", "force that would double the belt's length: its modulus times its section",
             2),
    Variable(f"{_B}.mass_per_length", "m_b", "kg/m", "mass of the belt over its length", 2),
    Variable(f"{_B}.tension", "T_0", "N", "tension of each span at rest", 2),
    Variable(f"{_B}.breaking_tension", "F_b", "N", "tension that breaks the belt", 2, optional=True),
    Variable(f"{_B}.tooth_strength", "f_z", "N/m", "force that shears one tooth of the belt, over its width", 1,
             optional=True),
    Variable(f"{_B}.contact_share", "c_b", "1", "width on which the belt rubs over its width", derived=True),
    Variable(f"{_B}.conductivity", "k_b", "W/m/K", "heat conductivity of the belt", default=0.2),
    Variable(f"{_B}.heat_capacity", "c_vb", "J/m^3/K", "heat capacity of the belt over its volume", default=2.0e6),
    Variable(f"{_B}.softening_rise", "DeltaT_b", "K", "rise above room temperature at which the belt's surface melts",
             default=100.0),
    Variable(f"{_P}.fixing_torque", "T_f", "N m", "torque that turns the pulley on its shaft", 3),
    Variable(f"{_P}.strength", "S_p", "Pa", "strength of the pulley's material", derived=True),
    Variable(f"{_P}.shear_strength_ratio", "k_tp", "1", "shear strength of the pulley's material over its strength",
             derived=True),
    Variable(f"{_P}.conductivity", "k_p", "W/m/K", "heat conductivity of the pulley", derived=True),
    Variable(f"{_P}.heat_capacity", "c_vp", "J/m^3/K", "heat capacity of the pulley over its volume", derived=True),
    Variable(f"{_P}.softening_rise", "DeltaT_p", "K",
             "rise above room temperature at which the pulley's surface softens", derived=True),
    Variable("rotor.motor.shaft.diameter", "d_ms", "m", "diameter of the motor's shaft", 1),
    Variable("rotor.motor.shaft.overhang", "x_ms", "m", "from the motor's bearing to the middle of the belt", 1),
    Variable("rotor.motor.shaft.strength", "S_ms", "Pa", "strength of the material of the motor's shaft", derived=True),
    *inputs.variables(MOTOR_MOUNT),
    Variable("rotor.motor_mount.stiffness", "k_m", "N/m", "stiffness of the motor's mount against the belt's pull", 1,
             optional=True),
)

CHOICES = {
    f"{_B}.kind": Choice(("toothed", "flat", "round"), "what the belt is"),
    f"{_B}.fuse": Choice(tuple(LINKS), "what is meant to give way first", default="belt"),
    f"{_P}.material": Choice(None, "material of the pulleys"),
    "rotor.motor.shaft.material": Choice(None, "material of the motor's shaft"),
} | inputs.choices(MOTOR_MOUNT)

QUANTITIES = (
    *belt_drive.QUANTITIES,
    *dead_stop.QUANTITIES,
    *bolted.quantities(MOTOR_MOUNT),
    *verdict.verdicts(MOTOR_MOUNT),
    *hub_stop.QUANTITIES,
)


def give_way_order(margins: Mapping[str, float]) -> tuple[tuple[str, float], ...]:
    """Return what gives way when the rotor stops dead, first to last, each with its margin.

    ``margins`` holds quantities by name, of a belt drive or of a hub motor; links without one are left out.
    """
    links = (*LINKS.items(), *hub_stop.LINKS.items())
    known = [(link, float(margins[name])) for link, name in links if name in margins]
    return tuple(sorted(known, key=lambda pair: pair[1]))


def derive(numbers: dict[str, float], words: Mapping[str, str], shelves: Shelves) -> None:
    """Fill in what follows from the belt's kind and pitch and from materials; raises InputError for a bad belt."""
    if f"{_B}.kind" in words:
        _derive_belt(numbers, words)
    if f"{_P}.material" in words:
        _derive_pulley(numbers, words[f"{_P}.material"])
    if f"{_B}.pulley_diameter" in numbers and "rotor.motor_mount.bolts" in numbers:
        # The tight span pulls at the pulley's radius beside the middle of the mount's bolts.
        own, radius = numbers.get("rotor.motor_mount.overhang", 0.0), numbers[f"{_B}.pulley_diameter"] / 2
        numbers["rotor.motor_mount.overhang"] = own + radius * (own == 0)
    inputs.derive(MOTOR_MOUNT, numbers, words, shelves)


def _derive_belt(numbers: dict[str, float], words: Mapping[str, str]) -> None:
    kind = words[f"{_B}.kind"]
    if words.get("rotor.transmission") != "belt":
        raise InputError("a rotor without a belt has no belt's table", key=_B, given=words.get("rotor.transmission"),
                         hint='say rotor.transmission = "belt", or leave the table out')
    if kind == "toothed":
        if f"{_B}.friction" in numbers:
            raise InputError("a toothed belt does not hold by friction", key=f"{_B}.friction", hint="leave it out")
        numbers.setdefault(f"{_B}.pulley_diameter",
                           numbers[f"{_B}.pitch"] * numbers[f"{_B}.pulley_teeth"] / math.pi)
    numbers.setdefault(f"{_B}.contact_share", ROUND_CONTACT if kind == "round" else 1.0)
    touching = numbers[f"{_B}.pulley_diameter"] * (1 + numbers["rotor.ratio"]) / 2
    if alike(numbers[f"{_B}.centre_distance"] <= touching):
        raise InputError("the two pulleys overlap", key=f"{_B}.centre_distance",
                         given=f"{numbers[f'{_B}.centre_distance'] * 1e3:g} mm", allowed=f"over {touching * 1e3:g} mm")


def _derive_pulley(numbers: dict[str, float], name: str) -> None:
    from scaling.shop.materials import material

    found = material(name, key=f"{_P}.material")
    numbers.setdefault(f"{_P}.shear_strength_ratio", found.shear_strength_ratio)
    if found.conductivity is not None:
        numbers.setdefault(f"{_P}.conductivity", found.conductivity)
    thermal = THERMAL["metal" if found.kind == "metal" else "other"]
    for key, value in zip(("conductivity", "heat_capacity", "softening_rise"), thermal, strict=True):
        numbers.setdefault(f"{_P}.{key}", value)
