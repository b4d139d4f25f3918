"""Air drag of what spins: discs by Reynolds regime, the side of a drum, and a bar as strips of a bluff rod.

A disc's drag is skin friction and jumps where the flow turns turbulent; a bar's is pressure on its edges, whose
coefficient does not change with the speed. Reynolds number omega R^2 / nu throughout. Numbers are pure, so the
functions take any consistent units.
"""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array

LAMINAR = 3.87
TURBULENT = 0.146
TRANSITION = 3e5
"""Free disc, moment coefficient of both faces: H. Schlichting, Boundary-Layer Theory, 7th ed., ch. V, XXI.

The two curves cross far below the transition, at 5.6e4, so the switch is at the transition itself.
"""

BLUFF_ROD = 1.2
"""Drag coefficient of a rod of rectangular section, two to four times as long along the stream as it is
high: S. F. Hoerner, Fluid-Dynamic Drag, 1965, ch. 3, from memory."""


def disc_coefficient(reynolds: Array) -> Array:
    """Moment coefficient of both faces of a free disc, M / (rho omega^2 R^5 / 2)."""
    at = np.maximum(reynolds, 1e-300)
    return np.where(at < TRANSITION, LAMINAR / np.sqrt(at), TURBULENT * at**-0.2)


def cylinder_coefficient(reynolds: Array) -> Array:
    """Skin friction on the side of a free spinning cylinder over rho v^2 / 2, turbulent.

    1 / sqrt(C) = -0.6 + 4.07 log10(Re sqrt(C)): T. Theodorsen & A. Regier, NACA Report 793 (1944), the
    formula from memory. Newton's method in 1 / sqrt(C), which rises smoothly.
    """
    at = np.maximum(np.asarray(reynolds, dtype=float), 10.0)  # below, the turbulent law has lost its meaning
    root = np.full_like(at, 15.0)
    slope = 4.07 / np.log(10.0)
    for _ in range(8):
        root = root - (root + 0.6 - slope * np.log(at / root)) / (1 + slope / root)
        root = np.maximum(root, 0.5)
    return np.asarray(root**-2)


def drum_factor(speed: Array, diameter: Array, width: Array, viscosity: Array) -> dict[str, Array]:
    """Air drag of a drum, faces and side, over that of the faces alone.

    Inputs in rad/s, m, m, m^2/s, broadcast together. The side's torque is C rho v^2 / 2 times 2 pi R w times R.
    """
    reynolds = speed * (diameter / 2) ** 2 / viscosity
    side = 2 * np.pi * cylinder_coefficient(reynolds) * width / (diameter / 2)
    return {"factor": 1 + side / disc_coefficient(reynolds)}


def strips_torque(drag: Array, density: Array, speed: Array, width: Array, diameter: Array) -> Array:
    """Air drag torque (N m) of a bar in still air: strips at radius r, C_d rho (omega r)^2 w / 2 dr times r.

    From both halves C_d rho omega^2 w R^4 / 4. Inputs: drag coefficient, kg/m^3, rad/s, width along the axis in m,
    diameter in m.
    """
    return np.asarray(drag * density * width * (diameter / 2) ** 4 / 4 * speed**2)


def strip_drag_of_disc(speed: Array, diameter: Array, width: Array, viscosity: Array) -> Array:
    """Drag coefficient of a bar's strips at which it drags as a smooth disc does at that speed; as ``drum_factor``."""
    radius = diameter / 2
    return np.asarray(2 * disc_coefficient(np.asarray(speed * radius**2 / viscosity)) * radius / width)


def bar_factor(speed: Array, diameter: Array, width: Array, viscosity: Array) -> dict[str, Array]:
    """Air drag of a bluff bar in still air over that of a smooth disc; inputs as ``drum_factor``."""
    return {"factor": BLUFF_ROD / strip_drag_of_disc(speed, diameter, width, viscosity)}
