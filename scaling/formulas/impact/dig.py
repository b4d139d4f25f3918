"""What a tooth takes out of ductile armour: the area of its groove, the work of digging it, the first tooth's share.

A tooth on a circle of radius r that reaches a depth D past a flat face sweeps a segment of that circle. The
armour resists with a pressure p on the tooth's front, so the work is p times the tooth's width times the area.
Source of the pressure: R. Hill, The Mathematical Theory of Plasticity, 1950, ch. IX (flat punch), from memory.
"""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array

CONFINED = (2 + np.pi) / np.sqrt(3)
"""Pressure over the armour's yield stress where the material cannot flow away: a flat punch, the upper end."""

PLANE_CUTTING = 1.5
"""The same where a chip leaves freely, plain orthogonal cutting: the lower end; common practice, no source."""

STEPS = 12
"""Newton steps to the depth that takes a given work; from the shallow form four are enough."""


def dig_area(radius: Array, depth: Array) -> Array:
    """Return the area that a tooth has dug at its deepest.

    A = r^2 (phi - sin phi cos phi) with cos phi = 1 - D / r, a segment of the cutting circle.

    Inputs, floats or arrays that broadcast: radius of the cutting circle (m), depth of the groove (m).
    Returns the area in m^2; beyond the whole circle it stays the circle's, NaN for a negative depth.
    Valid for a flat face, square to the line through the axle.

    >>> float(dig_area(1.0, 1.0) / np.pi)
    0.5

    Source: plane geometry.
    """
    radius, depth = np.asarray(radius, dtype=float), np.asarray(depth, dtype=float)
    cosine = np.clip(1 - depth / radius, -1.0, 1.0)
    area = radius * radius * (np.arccos(cosine) - np.sqrt((1 - cosine) * (1 + cosine)) * cosine)
    return np.asarray(np.where(depth >= 0, area, np.nan))


def dig_work(pressure: Array, width: Array, radius: Array, depth: Array) -> Array:
    """Return the work of digging a groove: W = p w A(D).

    Inputs, floats or arrays that broadcast: pressure on the tooth's front (Pa), its width along the axle (m), radius
    of the cutting circle (m), depth (m). Returns J. Valid for ductile armour thicker than the groove is deep, with no
    rise of strength with speed.

    >>> round(float(dig_work(74.2125e6, 0.008, 0.042, 0.003374)), 2)
    44.42

    Source: this module's.
    """
    return np.asarray(pressure * np.asarray(width) * dig_area(radius, depth))


def stopping_depth(energy: Array, pressure: Array, width: Array, radius: Array) -> Array:
    """Return the depth whose digging takes all of ``energy``: W(b*) = E.

    Inputs, floats or arrays that broadcast: energy (J), pressure (Pa), width (m), radius (m). Returns m, infinite
    where digging the whole circle does not take the energy.

    >>> round(float(stopping_depth(44.418, 74.2125e6, 0.008, 0.042) * 1e3), 3)
    3.374

    Source: this module's, inverted by Newton's method.
    """
    radius = np.asarray(radius, dtype=float)
    asked = np.asarray(energy / (pressure * width * radius**2))
    angle = np.minimum((1.5 * asked) ** (1 / 3), np.pi / 2 + 0 * asked)
    with np.errstate(all="ignore"):
        for _ in range(STEPS):
            step = (angle - np.sin(angle) * np.cos(angle) - asked) / (2 * np.sin(angle) ** 2)
            angle = np.clip(angle - step, 0.0, np.pi)
    angle = np.where(asked > 0, angle, 0.0)
    return np.asarray(np.where(asked < np.pi, radius * (1 - np.cos(angle)), np.inf))


def first_tooth_energy(
    energy: Array, pressure: Array, width: Array, radius: Array, tooth_height: Array, bite: Array
) -> dict[str, Array]:
    """Return what the first tooth of a hit takes out of the rotor, the mean over its chances.

    The tooth comes at any moment of the advance b, so it digs to u, anything from nothing to b alike, at most its own
    height; it takes W(u), at most E. The mean is in closed form, the integral of A being r^3 (sin phi - phi cos phi -
    sin^3 phi / 3). With the shallow form of A it is E (1 - 0.6 b*/b) for b > b* and 0.4 W(b) below, b* the depth
    that takes all of E.

    Inputs, floats or arrays that broadcast: energy of the hit (J), pressure (Pa), tooth's width (m), radius of the
    cutting circle (m), tooth's height (m), advance per tooth (m). Returns ``energy`` (J) and ``stopping_depth`` (m),
    NaN for a bite that is not positive. Valid as ``dig_work``.

    >>> found = first_tooth_energy(48.7798, 74.2125e6, 0.008, 0.042, 0.009, 0.0067474)
    >>> round(float(found["energy"]), 1)
    33.2

    Source: this module's; the mean over the phase is by definition.
    """
    bite, tooth_height = np.asarray(bite, dtype=float), np.asarray(tooth_height, dtype=float)
    stop = stopping_depth(energy, pressure, width, radius)
    deepest = np.minimum(np.minimum(bite, tooth_height), stop)
    angle = _angle(radius, deepest)
    dug = pressure * width * np.asarray(radius) ** 3 * (
        np.sin(angle) - angle * np.cos(angle) - np.sin(angle) ** 3 / 3
    )
    rest = np.minimum(dig_work(pressure, width, radius, np.minimum(tooth_height, bite)), energy)
    with np.errstate(all="ignore"):
        mean = (dug + (bite - deepest) * rest) / bite
    return {"energy": np.asarray(np.where(bite > 0, mean, np.nan)), "stopping_depth": stop}


def _angle(radius: Array, depth: Array) -> Array:
    """Half the angle of the cutting circle that lies past the face."""
    return np.asarray(np.arccos(np.clip(1 - depth / np.asarray(radius), -1.0, 1.0)))
