"""A rotor redrawn round a hub motor that its ring does not go over: the bore cut to the motor, at the same outside."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from scaling.robot.design import Design

STEP_OF_SIZE, STEP_OF_MASS = 1e-4, 1e-4
"""Metres and kilograms to which such a rotor is drawn: a tenth of a millimetre, a tenth of a gram."""

LOOSE = 1.05
"""What the clearance is drawn with, so that it is still there when the factor grows by what the bore saves."""


def redrawn_rotor(design: Design, variables: Mapping[str, Any]) -> tuple[Any, dict[str, Any]]:
    """Return where a rotor can be cut out to go over its motor, and what ``[port.rotor]`` says of it then.

    ``variables`` are those of ports with the rotor as it scales, as arrays. The cut must leave a wall as high as a
    tooth inside the cutting circle, stay within a bar's chord or a ring's wall, and there must be no separate hub. The
    mass goes with the face that is left; inertias follow from the shape as in a design file.
    """
    outside, old = variables["rotor.diameter"], variables["rotor.bore"]
    diameter = np.round(outside / STEP_OF_SIZE) * STEP_OF_SIZE
    wanted = variables["rotor.motor.diameter"] + LOOSE * np.maximum(variables["rotor.hub_clearance"], 0.0)
    bore = np.ceil(wanted / STEP_OF_SIZE - 1e-6) * STEP_OF_SIZE
    shape, chord = design.choices.get("rotor.shape"), variables.get("rotor.chord")
    most = diameter - 2 * variables.get("rotor.tooth_height", 0.0)
    if shape == "bar" or chord is None:
        face = np.pi / 4 * outside**2 if chord is None else outside * chord
        left = (face - np.pi / 4 * bore**2) / (face - np.pi / 4 * old**2)
        most = most if chord is None else np.minimum(most, chord)
    else:
        left = np.ones_like(bore)
        most = np.minimum(most, diameter - 2 * chord)
    mass = np.round(variables["rotor.mass"] * left / STEP_OF_MASS) * STEP_OF_MASS
    numbers = {"rotor.diameter": diameter, "rotor.bore": bore, "rotor.mass": mass}
    if "rotor.inertia" in design.stated:
        lost = variables["rotor.mass"] * (1 - left)
        numbers["rotor.inertia"] = variables["rotor.inertia"] - _cut_out(lost, bore, old)
    possible = (bore < most) & (left > 0) & ("rotor.hub.mass" not in design.variables)
    return possible, numbers


def _cut_out(mass: Any, outer: Any, inner: Any) -> Any:
    """Inertia of the ring that is cut out of the middle: m (r_o^2 + r_i^2) / 2."""
    return mass * ((outer / 2) ** 2 + (inner / 2) ** 2) / 2
