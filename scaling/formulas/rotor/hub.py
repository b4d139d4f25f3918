"""Entries of the book on a motor whose can turns with the rotor: the can, its magnets, the rotor on it.

How one gives way when the rotor stops dead is in transmission/hub_stop.py, its bearings are in retention.py.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from scaling.book.algebra import Expression, symbols
from scaling.book.entry import Array, Model, Quantity, Variable
from scaling.files.schema import Choice
from scaling.formulas.joints.inputs import bolt_values
from scaling.formulas.rotor.hub_motor import bore_fit, bore_growth, can_stress, magnet_bond
from scaling.shop.shelves import Shelves

can_mass, can_radius, magnet_mass, magnet_radius, can_strength, bond_strength = symbols(
    "rotor.can.mass rotor.can.radius rotor.can.magnet_mass rotor.can.magnet_radius rotor.can.strength "
    "rotor.can.bond_strength"
)
bolts, circle, bolt_area, bolt_strength, shear_share = symbols(
    "rotor.hub_bolts.bolts rotor.hub_bolts.pattern_diameter rotor.hub_bolts.bolt_stress_area "
    "rotor.hub_bolts.bolt_strength rotor.hub_bolts.bolt_shear_share"
)
hoop, bond_stress, can_inertia, rotor_inertia, hit_force, diameter, bolt_stress = symbols(
    "hub_can_stress hub_magnet_stress hub_can_inertia rotor_inertia hit_force rotor.diameter hub_bolt_stress"
)

_C, _B = "rotor.can", "rotor.hub_bolts"
HUB = ("rotor.transmission=hub",)
ON_ITS_FACE = (*HUB, "rotor.hub_mounting=face")
_RING = (*HUB, "rotor.hub_mounting=ring")

VARIABLES = (
    Variable("rotor.hub_clearance", "c_h", "m", "clearance of a ring on its hub motor's can, on the diameter", 1,
             allowed="any", default=0.0),
    Variable(f"{_C}.mass", "m_c", "kg", "mass of a hub motor's can, its ring alone", 3),
    Variable(f"{_C}.radius", "r_c", "m", "middle radius of the can's ring", 1),
    Variable(f"{_C}.thickness", "t_c", "m", "thickness of the can's ring", 1),
    Variable(f"{_C}.length", "l_c", "m", "length of the can's ring along the axle, windows taken off", 1),
    Variable(f"{_C}.magnet_mass", "m_m", "kg", "mass of all the magnets in the can", 3),
    Variable(f"{_C}.magnet_radius", "r_m", "m", "radius of the magnets' middle", 1),
    Variable(f"{_C}.strength", "S_c", "Pa", "strength of the can's material", derived=True),
    Variable(f"{_C}.bond_area", "A_m", "m^2", "area on which all the magnets together are glued to the can", 2,
             optional=True),
    Variable(f"{_C}.bond_strength", "S_m", "Pa", "strength of that glue",
             default=10e6),  # a low side of epoxies on steel, common practice, no source
    Variable(f"{_B}.bolts", "n_h", "1", "bolts that hold the rotor on the can's face", allowed="count"),
    Variable(f"{_B}.pattern_diameter", "D_h", "m", "diameter of the circle that they stand on", 1),
    Variable(f"{_B}.bolt_stress_area", "A_h", "m^2", "stress area of one of them", 2, derived=True),
    Variable(f"{_B}.bolt_strength", "R_h", "Pa", "tensile strength of one of them", derived=True),
    Variable(f"{_B}.bolt_shear_share", "k_h", "1", "shear strength of one of them over its tensile strength",
             derived=True),
)

CHOICES = {
    "rotor.hub_mounting": Choice(
        ("face", "ring"), "face: bolted to the can's face; ring: the rotor goes round the can of its hub motor",
        default="face",
    ),
    f"{_C}.material": Choice(None, "material of a hub motor's can"),
    f"{_B}.bolt": Choice(None, "size of the bolts that hold the rotor on the can's face, such as M3"),
    f"{_B}.bolt_class": Choice(None, "strength class of those bolts, such as 12.9"),
}

SHOCK_INPUTS = (
    f"{_C}.magnet_mass", f"{_C}.bond_area", f"{_C}.magnet_radius", "rotor_speed", "rotor.mass", f"{_C}.mass",
    "rotor.diameter", "rotor_inertia",
)
_GROWTH_INPUTS = ("rotor.bore", "rotor.diameter", "rotor_speed", "rotor.density", "rotor.modulus", "rotor.poisson")


def bond_under_force(
    magnets: Array, area: Array, radius: Array, speed: Array, rotor_mass: Array, can_mass: Array, diameter: Array,
    inertia: Array, force: Array,
) -> dict[str, Array]:
    """Return ``magnet_bond`` of all magnets alike under a force (N) at the tip that rotor and can take alone.

    a = F / (m_r + m_c + m_m), alpha = F r / I.
    """
    shock = np.asarray(force) / (rotor_mass + can_mass + magnets)
    return magnet_bond(magnets, area, radius, speed, shock, np.asarray(force) * diameter / 2 / inertia)


def bolt_shear(force: Expression, torque: Expression) -> Expression:
    """Shear stress (Pa) of the worst bolt on the can's face: its share of the force and of the can's torque, added."""
    return (force + 2 * torque / circle) / (bolts * bolt_area)


BOND_ASSUMES = (
    "rotor and can take the force by themselves, without the chassis: the most that the axle can be shaken; magnets "
    "alike and stiff beside their glue, none of them loose; magnetic pull not counted"
)
BOLTS_ASSUME = (
    "bolts alike and evenly loaded, one plane, threads in the plane; friction of the face not counted; the can turns "
    "on by itself"
)


def _growth(shape: str) -> Quantity:
    return Quantity(
        "hub_bore_growth", "Ring bore growth in spin", "u_b", "m", "rotor", "lower",
        Model(bore_growth, _GROWTH_INPUTS, "growth"),
        source="hearn2 sec. 4.2-4.3: hoop stress at the bore over the modulus, times the bore",
        assumes="a flat ring; a ring that is pressed on by less comes loose at speed, since the can grows less",
        when=(*_RING, f"rotor.shape={shape}"),
    )


QUANTITIES = (
    Quantity(
        "hub_bore_ratio", "Bore over what the hub motor needs", "d_b/d_m", "1", "rotor", "same",
        Model(bore_fit, ("rotor.bore", "rotor.motor.diameter", "rotor.hub_clearance"), "ratio"),
        source="definition",
        assumes="below 1 the ring does not go over its motor",
        when=_RING,
    ),
    _growth("disc"),
    _growth("ring"),
    Quantity(
        "hub_can_stress", "Hub motor can hoop stress", "sigma_c", "Pa", "rotor", "lower",
        Model(can_stress, (f"{_C}.mass", f"{_C}.radius", f"{_C}.magnet_mass", f"{_C}.magnet_radius", "rotor_speed",
                           f"{_C}.thickness", f"{_C}.length"), "stress"),
        source="timoshenko-goodier: thin spinning ring; own-derivation: magnets in pieces carry nothing round the ring",
        assumes="thin ring; no rotor pressed round it that helps or pulls",
        when=HUB,
    ),
    Quantity(
        "hub_can_margin", "Hub motor can margin", "S_c/sigma_c", "1", "rotor", "higher",
        can_strength / hoop,
        role="survival",
        source="definition",
        when=HUB,
    ),
    Quantity(
        "hub_can_inertia", "Hub motor can inertia", "I_c", "kg m^2", "rotor", "same",
        can_mass * can_radius**2 + magnet_mass * magnet_radius**2,
        source="meriam appendix D: thin rings, m r^2",
        assumes="the can's face not counted",
        when=HUB,
    ),
    Quantity(
        "hub_magnet_stress", "Magnet bond stress in a hit", "sigma_m", "Pa", "rotor", "lower",
        Model(bond_under_force, (*SHOCK_INPUTS, "hit_force"), "stress"),
        source="meriam sec. 3/3: Newton's law in the can's frame; shigley9 sec. 3-6, from memory: greatest principal "
        "stress of tension and shear",
        assumes=BOND_ASSUMES,
        when=HUB,
    ),
    Quantity(
        "hub_magnet_margin", "Magnet bond margin in a hit", "S_m/sigma_m", "1", "rotor", "higher",
        bond_strength / bond_stress,
        role="survival",
        source="definition; common-practice: the default of rotor.can.bond_strength",
        assumes="below 1 a magnet comes off and jams the motor",
        when=HUB,
    ),
    Quantity(
        "hub_bolt_stress", "Rotor-to-can bolt shear in a hit", "tau_h", "Pa", "rotor", "lower",
        bolt_shear(hit_force, hit_force * diameter / 2 * can_inertia / rotor_inertia),
        source="shigley9 sec. 8-12, as seen on a copied page: direct shear F/n and M r/sum(r^2); meriam sec. 6/4: the "
        "can's share of the angular momentum, T = F r I_c / I",
        assumes=BOLTS_ASSUME,
        when=ON_ITS_FACE,
    ),
    Quantity(
        "hub_bolt_margin", "Rotor-to-can bolt margin in a hit", "n_h", "1", "rotor", "higher",
        shear_share * bolt_strength / bolt_stress,
        role="survival",
        source="en1993-1-8 table 3.4: 0.6 f_ub for class 8.8, 0.5 f_ub from 10.9 up, without the partial factor",
        when=ON_ITS_FACE,
    ),
)


def derive(numbers: dict[str, float], words: Mapping[str, str], shelves: Shelves) -> None:
    """Set area and strengths of the bolts on the can's face; raises InputError for what no shelf has."""
    if f"{_B}.bolt" not in words:
        return
    keys = {variable.key for variable in VARIABLES}
    for key, value in bolt_values(_B, words, shelves).items():
        if key in keys:
            numbers.setdefault(key, value)
