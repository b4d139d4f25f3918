"""Inertia and spinning stress of the plain rotor shapes, from size and mass.

Source of the inertias: J. L. Meriam & L. G. Kraige, Engineering Mechanics: Dynamics, appendix D, from
memory. Source of the stresses: E. J. Hearn, Mechanics of Materials 2, sec. 4.2-4.3, as quoted by a
secondary page; the bar's by integrating rho omega^2 r from the tip.
"""

from __future__ import annotations

from dataclasses import dataclass

SHAPES = ("disc", "ring", "bar", "drum")


@dataclass(frozen=True)
class Inertias:
    """Inertias in kg m^2: about the spin axis, and the larger and smaller one across it."""

    spin: float
    transverse: float
    transverse_small: float


def inner_radius(shape: str, diameter: float, bore: float, chord: float | None) -> float:
    """Radius in m inside which the body has no material: the bore, or what a ring's wall leaves."""
    if shape in ("ring", "drum") and chord is not None:
        return max(diameter / 2 - chord, 0.0)
    return bore / 2


def inertias(shape: str, mass: float, diameter: float, width: float, bore: float, chord: float | None) -> Inertias:
    """Inertias of a rotor of ``shape``; lengths in m, mass in kg, ``chord`` a bar's or wall's width.

    Disc, ring, drum: m (r_o^2 + r_i^2) / 2 and m [3 (r_o^2 + r_i^2) + w^2] / 12.
    Bar of length D, chord c, width w along the axis: m (D^2 + c^2) / 12, m (D^2 + w^2) / 12,
    m (c^2 + w^2) / 12.
    """
    if shape == "bar":
        across = chord if chord is not None else 0.0
        return Inertias(
            mass * (diameter**2 + across**2) / 12,
            mass * (diameter**2 + width**2) / 12,
            mass * (across**2 + width**2) / 12,
        )
    squares = (diameter / 2) ** 2 + inner_radius(shape, diameter, bore, chord) ** 2
    transverse = mass * (3 * squares + width**2) / 12
    return Inertias(mass * squares / 2, transverse, transverse)


def stress_factor(shape: str, diameter: float, bore: float, chord: float | None, poisson: float) -> float:
    """Peak stress of the spinning body over rho v^2, with v the tip speed.

    Solid disc (3 + nu) / 8 at the centre; with a hole [(3 + nu) + (1 - nu) (r_i / r_o)^2] / 4 at its
    edge; bar 1/2 at the middle.
    """
    if shape == "bar":
        return 0.5
    hole = inner_radius(shape, diameter, bore, chord)
    if hole == 0:
        return (3 + poisson) / 8
    return ((3 + poisson) + (1 - poisson) * (2 * hole / diameter) ** 2) / 4
