"""What ends a plate under a tooth's force: a mechanism of plastic hinges, or the tooth that punches through.

First yield marks a plate; it carries on until hinges run through it so that it can move. Source of the mechanisms:
K. W. Johansen, Yield-line Theory, 1962, from memory, rederived; of shear yield at S / sqrt(3): R. von Mises, from
memory. The material is tough: one that cracks before it yields through (a laminate, see perforation.py) has no hinge.
"""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array
from scaling.formulas.impact.force import CRUSH_NUMBER

HINGED_FAN = 4 + 2 * np.pi
"""Least work over M_p of a mechanism that reaches only the two long edges of a hinged plate: a flat piece under a right
angle on each of them, a fan to each end. The 4 pi of a fan all round is not the least."""


def plastic_moment(thickness: Array, strength: Array) -> Array:
    """Return the moment per width at which a plate yields through its whole thickness: M_p = S t^2 / 4.

    Inputs, floats or arrays that broadcast: thickness (m), yield strength (Pa). Returns N m/m. Valid for a material
    that yields alike in tension and compression.

    >>> float(plastic_moment(0.01, 22e6))
    550.0

    Source: rectangular section, fully plastic; J. Baker & J. Heyman, Plastic Design of Frames, ch. 1, from memory.
    """
    return np.asarray(np.asarray(strength) * np.asarray(thickness) ** 2 / 4)


def hinged_collapse(length: Array, width: Array, thickness: Array, strength: Array) -> dict[str, Array]:
    """Return the force on the middle of a rectangular plate that makes it collapse, edges held but free to turn.

    P_c = min[4 M_p (a / b + b / a), (4 + 2 pi) M_p]: hinges along both diagonals, or in a plate longer than 2.1 widths
    a fan to either end and flat pieces that turn about the long edges.

    Inputs, floats or arrays that broadcast: both sides a and b (m), thickness (m), strength (Pa). Returns ``force``
    (N), NaN for sides that are not positive. Valid for four held edges with the corners held down, and a force on a
    small area; a wide one takes more. Mechanisms between both are 1 % cheaper at most. An edge that is free, as a
    wall's upper one, is not covered.

    >>> round(float(hinged_collapse(0.1, 0.1, 0.01, 22e6)["force"]))
    4400

    Source: this module's.
    """
    length, width = _positive(length), _positive(width)
    moment = plastic_moment(thickness, strength)
    return {"force": np.asarray(moment * np.minimum(4 * (length / width + width / length), HINGED_FAN))}


def clamped_collapse(length: Array, width: Array, thickness: Array, strength: Array) -> dict[str, Array]:
    """Return the force on the middle of a rectangular plate that makes it collapse, edges held against turning.

    P_c = 4 pi M_p, a fan around the force whose rim yields too; it fits within any edges.

    Inputs and results as ``hinged_collapse``.

    >>> round(float(clamped_collapse(0.1, 0.1, 0.01, 22e6)["force"]))
    6912

    Source: this module's.
    """
    moment = plastic_moment(thickness, strength)
    return {"force": np.asarray(4 * np.pi * moment + 0 * _positive(length) * _positive(width))}


def round_collapse(thickness: Array, strength: Array, clamped: Array | bool) -> dict[str, Array]:
    """Return the force on the middle of a round plate that makes it collapse: 2 pi M_p hinged, 4 pi M_p clamped.

    Inputs, floats or arrays that broadcast: thickness (m), strength (Pa), whether the edge is held against turning.
    Returns ``force`` (N); the diameter is not in it. Valid as ``hinged_collapse``.

    >>> [round(float(round_collapse(0.01, 22e6, held)["force"])) for held in (False, True)]
    [3456, 6912]

    Source: this module's.
    """
    fan = np.where(clamped, 4 * np.pi, 2 * np.pi)
    return {"force": np.asarray(fan * plastic_moment(thickness, strength))}


def punching(tooth_width: Array, depth: Array, thickness: Array, strength: Array) -> dict[str, Array]:
    """Return the force at which a tooth punches a piece out of a plate: its outline times t at S / sqrt(3).

    Inputs, floats or arrays that broadcast: tooth's width (m) and the depth that it takes (m), the sides of the area on
    which it bears; thickness (m) and yield strength (Pa) of the plate. Returns ``force`` (N), NaN for a tooth without
    an area. Valid for a flat tooth square to a ductile plate.

    >>> round(float(punching(0.008, 0.003374, 0.01, 22e6)["force"]))
    2889

    Source: this module's; shear over the cut's whole area, as in blanking: common practice.
    """
    outline = 2 * (_positive(tooth_width) + _positive(depth))
    return {"force": np.asarray(outline * thickness * np.asarray(strength) / np.sqrt(3))}


def _tough(force: Array, fibre_share: Array) -> dict[str, Array]:
    """Return the force where the material yields, NaN for a laminate, which breaks or is perforated instead."""
    return {"force": np.asarray(np.where(np.asarray(fibre_share) > 0, np.nan, force))}


def hinged_panel(
    length: Array, width: Array, thickness: Array, strength: Array, fibre_share: Array
) -> dict[str, Array]:
    """Force on the middle of a rectangular plate, edges held but free to turn, that makes it collapse.

    min[4 M_p (a / b + b / a), (4 + 2 pi) M_p], M_p = S t^2 / 4.
    """
    return _tough(hinged_collapse(length, width, thickness, strength)["force"], fibre_share)


def clamped_panel(
    length: Array, width: Array, thickness: Array, strength: Array, fibre_share: Array
) -> dict[str, Array]:
    """Force on the middle of a rectangular plate with clamped edges that makes it collapse: 4 pi M_p."""
    return _tough(clamped_collapse(length, width, thickness, strength)["force"], fibre_share)


def round_hinged_panel(diameter: Array, thickness: Array, strength: Array, fibre_share: Array) -> dict[str, Array]:
    """Force on the middle of a round plate, its edge held but free to turn, that makes it collapse: 2 pi M_p."""
    return _tough(round_collapse(thickness, strength, False)["force"] + 0 * diameter, fibre_share)


def round_clamped_panel(diameter: Array, thickness: Array, strength: Array, fibre_share: Array) -> dict[str, Array]:
    """Force on the middle of a round plate with a clamped edge that makes it collapse: 4 pi M_p."""
    return _tough(round_collapse(thickness, strength, True)["force"] + 0 * diameter, fibre_share)


def punched_panel(
    tooth_width: Array, pressed: Array, thickness: Array, strength: Array, fibre_share: Array
) -> dict[str, Array]:
    """Force at which a tooth punches a piece out of a plate: its outline times t at S / sqrt(3).

    It bears as deep as the force F that presses it makes it dig, F / (p w); p = 2.97 S. A plate that gives way before
    the tooth has its whole bite in has the shorter outline.
    """
    depth = np.asarray(pressed) / (CRUSH_NUMBER * _positive(strength) * _positive(tooth_width))
    return _tough(punching(tooth_width, depth, thickness, strength)["force"], fibre_share)


def hinge_angle(energy: Array, width: Array, thickness: Array, strength: Array) -> dict[str, Array]:
    """Return the angle by which an energy bends a plate or wedge at one line across it: theta = E / (M_p b).

    Inputs, floats or arrays that broadcast: energy (J), width across the bend (m), thickness (m), yield strength (Pa).
    Returns ``angle`` (rad). Valid for one hinge at the root of a cantilever, up to a right angle; without hardening.

    >>> round(float(np.degrees(hinge_angle(6.0, 0.022, 0.002, 1.2e9)["angle"])), 1)
    13.0

    Source: work of a fully plastic moment: W. Johnson, Impact Strength of Materials, ch. 3, from memory.
    """
    return {"angle": np.asarray(np.asarray(energy) / (plastic_moment(thickness, strength) * width))}


def _positive(value: Array) -> Array:
    """Return the value, NaN where it is not positive."""
    value = np.asarray(value, dtype=float)
    return np.asarray(np.where(value > 0, value, np.nan))
