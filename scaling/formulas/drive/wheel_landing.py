"""A landing or a hit on one wheel: the force, the shaft that it bends and twists, and the gearbox behind it."""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array


def landing_on_a_wheel(
    mass: Array, gravity: Array, drop: Array, stiffness: Array, share: Array
) -> dict[str, Array]:
    """Return the peak force of a fall onto one wheel: F = m' g [1 + sqrt(1 + 2 h k / (m' g))], m' = share times m.

    Inputs, floats or arrays that broadcast: mass (kg), gravity (m/s^2), height of the fall (m), stiffness of that wheel
    on its shaft (N/m), share of the mass that it stops (1 for a machine that falls flat on one, about a third for a
    corner of one that then rolls onto the rest: common practice, no source). Returns ``force`` (N). Valid for an
    elastic tyre that does not bottom out.

    >>> round(float(landing_on_a_wheel(0.454, 9.80665, 1.138, 9000.0, 1.0)["force"]))
    306

    Source: falling weight on a spring: S. Timoshenko & J. M. Gere, Mechanics of Materials, ch. 2; from memory.
    """
    weight = np.asarray(mass) * share * np.asarray(gravity)
    return {"force": np.asarray(weight * (1 + np.sqrt(1 + 2 * np.asarray(drop) * stiffness / weight)))}


def wheel_shaft(
    force: Array, overhang: Array, shaft_diameter: Array, friction: Array, wheel_diameter: Array, bearing_spacing: Array
) -> dict[str, Array]:
    """Return what a force on a wheel does to the gearbox's output shaft that carries it.

    Bending F x and the twist of a tyre that grips, mu F r, by distortion energy: 16 / (pi d^3) sqrt(4 (F x)^2 + 3 (mu F
    r)^2); the near bearing takes F (1 + x / L), the shaft's end F x / L the other way.

    Inputs, floats or arrays that broadcast: force (N), overhang x of the wheel's middle from the near bearing (m),
    diameter of the shaft (m), friction of the tyre, diameter of the wheel (m), distance L between the shaft's bearings
    (m). Returns ``stress`` (Pa), ``torque`` (N m) that the gears see from the floor, ``bearing`` (N). Valid for a round
    shaft; a bound, reached when the tyre slides along the floor, the motor's inertia holding the gears.

    >>> found = wheel_shaft(307.0, 0.008, 0.003, 0.8, 0.046, 0.009)
    >>> round(float(found["stress"]) / 1e6), round(float(found["torque"]), 2), round(float(found["bearing"]))
    (2065, 5.65, 580)

    Source: R. G. Budynas & J. K. Nisbett, Shigley's Mechanical Engineering Design, 9th ed., sec. 5-5 and 7-4, from
    memory; moments about a bearing.
    """
    bending = np.asarray(force) * overhang
    torque = np.asarray(friction) * force * np.asarray(wheel_diameter) / 2
    section = 16 / (np.pi * np.asarray(shaft_diameter, dtype=float) ** 3)
    return {
        "stress": np.asarray(section * np.sqrt(4 * bending**2 + 3 * torque**2)),
        "torque": np.asarray(torque),
        "bearing": np.asarray(force * (1 + np.asarray(overhang) / bearing_spacing)),
    }
