"""Entries of the book on two rotors that meet at their tips: the own one and that of the class's opponent.

The opponent is that of the hits taken, ``[attacker]``. Which way its tip runs beside the own one is stated as an angle;
head on stands beside it as the bound. Teeth that catch stop both tips: nothing digs, so the force is what frames and
shafts store the energy at, no more than the teeth's own faces bear.
"""

from __future__ import annotations

import numpy as np

from scaling.book.algebra import Expression, least, sqrt, symbols
from scaling.book.entry import Array, Model, Quantity, Variable
from scaling.formulas.impact.force import CRUSH, PUNCH
from scaling.formulas.impact.rotor_on_rotor import rotor_on_rotor

mass, own_width, other_width, own_depth, other_depth = symbols(
    "mass rotor.tooth_width attacker.tooth_width hit_bite_depth attacker.bite"
)
shaft_stiffness, mount_stiffness, tooth_strength = symbols("shaft_stiffness rotor.mount.stiffness tooth_strength")
energy, bound_energy, impulse, stiffness, face_force = symbols(
    "clash_energy clash_energy_bound clash_impulse clash_stiffness clash_face_force"
)

ACROSS = np.pi / 2

VARIABLES = (
    Variable("attacker.tip_angle", "theta_t", "rad", "angle between its tip's motion and the own one's where both "
             "rotors meet: 0 alike, 90 degrees an upright rotor against one across, 180 head on",
             allowed="not negative", default=ACROSS),
    Variable("rotor.mount.stiffness", "k_r", "N/m", "stiffness of the rotor's mount and of the frame under it against "
             "a force at the rotor", 1, optional=True),
)

_OWN = ("rotor.diameter", "rotor_inertia", "rotor_speed", "mass")
_OTHER = ("attacker.specific_energy", "attacker.tip_speed", "mass_limit", "opponent.restitution")


def clash(
    diameter: Array, inertia: Array, speed: Array, mass: Array,
    specific_energy: Array, tip_speed: Array, other_mass: Array, restitution: Array, angle: Array,
) -> dict[str, Array]:
    """Let the own tip meet the opponent's at an angle: 1 / m_e = sum(r^2 / I + 1 / m) in line, else by matrices.

    Of the other rotor only r^2 / I = v^2 / (2 E) counts, so that its radius may be taken as the own one.
    """
    radius = np.asarray(diameter) / 2
    other_speed = tip_speed / radius
    other_inertia = 2 * specific_energy * other_mass / other_speed**2
    found = rotor_on_rotor(radius, inertia, speed, mass, radius, other_inertia, other_speed, other_mass, angle,
                           restitution)
    return {**found, "share": np.asarray(found["own_speed_drop"] / speed)}


def clash_head_on(
    diameter: Array, inertia: Array, speed: Array, mass: Array,
    specific_energy: Array, tip_speed: Array, other_mass: Array, restitution: Array,
) -> dict[str, Array]:
    """``clash`` of tips that run against each other: 1 / m_e = sum(r^2 / I + 1 / m), E = m_e (v_1 + v_2)^2 / 2."""
    return clash(diameter, inertia, speed, mass, specific_energy, tip_speed, other_mass, restitution,
                 np.asarray(np.pi))


def _clash(output: str) -> Model:
    return Model(clash, (*_OWN, *_OTHER, "attacker.tip_angle"), output)


_LINKED = (
    "own-derivation: mobilities of both tips, a chassis' 1 / m in every direction and a rotor's r^2 / I along its own "
    "tip, the speeds as vectors; meriam sec. 6/8; goldsmith ch. 2"
)
_CATCH = (
    "teeth that catch, so that neither tip slides along the other; free machines, hits in line with their centres of "
    "gravity; the opponent of the class's mass limit as [attacker] says, else with the reference's own rotor"
)
_AT_ANGLE = f"at attacker.tip_angle; {_CATCH}"
_HEAD_ON = f"head on, a bound; {_CATCH}"
_SPRINGS = "goldsmith ch. 4: mass on a spring, F = sqrt(2 E k); as clash_face_force"


def _force(name: str, label: str, symbol: str, stored: Expression, assumes: str) -> Quantity:
    return Quantity(
        name, label, symbol, "N", "impact", "same",
        least(sqrt(2 * stored * stiffness), face_force),
        source=_SPRINGS,
        assumes=f"{assumes}; no gear or belt between; the frame springs and does not break",
    )


QUANTITIES = (
    Quantity(
        "clash_closing_speed", "Tip speed of rotor on rotor", "v_c", "m/s", "impact", "same", _clash("closing"),
        source="own-derivation: difference of both tips' speeds as vectors",
        assumes=_AT_ANGLE,
    ),
    Quantity(
        "clash_energy", "Energy of rotor on rotor", "E_c", "J", "impact", "same", _clash("energy"),
        role="yardstick",
        source=_LINKED, assumes=_AT_ANGLE,
    ),
    Quantity(
        "clash_energy_bound", "Energy of rotors head on", "E_cb", "J", "impact", "same",
        Model(clash_head_on, (*_OWN, *_OTHER), "energy"),
        source="as clash_energy: in line, 1/m_e = sum(r^2/I + 1/m)", assumes=_HEAD_ON,
    ),
    Quantity(
        "clash_impulse", "Impulse of rotor on rotor", "J_c", "kg m/s", "impact", "same", _clash("impulse"),
        clock="gravity",
        source=_LINKED, assumes=_AT_ANGLE,
    ),
    Quantity(
        "clash_recoil_speed", "Recoil speed of rotor on rotor", "v_cr", "m/s", "impact", "lower", impulse / mass,
        clock="gravity",
        source="goldsmith ch. 2: impulse and momentum",
        assumes=_AT_ANGLE,
    ),
    Quantity(
        "clash_speed_drop_share", "Rotor speed lost in a clash", "Domega_c/omega", "1", "impact", "lower",
        _clash("share"),
        source=_LINKED, assumes=f"{_AT_ANGLE}; above 1 the rotor bounces back and turns the other way",
    ),
    Quantity(
        "clash_stiffness", "Stiffness of rotor on rotor", "k_c", "N/m", "impact", "same",
        1 / (2 / shaft_stiffness + 2 / mount_stiffness),
        source="own-derivation: springs in series, shaft and mount of either machine",
        assumes="the opponent gives as much as the own machine; teeth, rotors and bearings stiff beside both",
    ),
    Quantity(
        "clash_face_force", "Capacity of tooth on tooth", "F_cf", "N", "impact", "higher",
        CRUSH * tooth_strength * least(own_width, other_width) * least(own_depth, other_depth),
        source=f"{PUNCH}, on the lesser width and depth of both teeth",
        assumes="the own tooth's material; both at their full bite; ductile",
    ),
    _force("clash_force", "Peak force of rotor on rotor", "F_c", energy, _AT_ANGLE),
    _force("clash_force_bound", "Peak force of rotors head on", "F_cb", bound_energy, _HEAD_ON),
)
