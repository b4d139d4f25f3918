"""A hit on a face too hard to dig: the tooth is turned aside along the face's normal, and what that can give."""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array


def hard_face(
    radius: Array, inertia: Array, speed: Array, mass: Array, opponent_mass: Array, depth: Array, stiffness: Array,
    restitution: Array,
) -> dict[str, Array]:
    """Return what a tooth gives to a flat face that it cannot dig, when it would reach ``depth`` past that face.

    The tooth meets the face at the angle phi before its deepest, cos phi = 1 - u / r. Along the face's normal it comes
    with omega s, s = r sin phi its lever about the axle, and against it stands m_n = 1 / (s^2 / I + 1 / m + 1 / M): E_n
    = m_n (omega s)^2 / 2. A face of stiffness k that gives way by u lets the tooth pass, so no more than k u^2 / 2.

    Inputs, floats or arrays that broadcast: radius of the cutting circle (m), inertia (kg m^2) and speed (rad/s) of the
    rotor, mass of the own machine and of the opponent (kg), depth u (m; the mean over its chances is half the bite),
    stiffness of the face (N/m; infinite for a stiff one), restitution.

    Returns ``energy`` (J), ``impulse`` (N s) along the normal, ``share`` of the whole hit's energy m_e (omega r)^2 / 2
    and ``effective_mass`` m_n (kg). The impulse is level, so it shoves and does not throw. NaN for a depth that is not
    within the radius. Valid without friction, for free machines and a normal through both centres of gravity.

    >>> found = hard_face(0.042, 6.08373e-5, 1359.14, 0.454, 0.454, 0.003374, np.inf, 0.2)
    >>> round(float(found["energy"]), 1), round(float(found["share"]), 3)
    (28.3, 0.58)

    Source: impact of two bodies along one line: W. Goldsmith, Impact: The Theory and Physical Behaviour of Colliding
    Solids, ch. 2, from memory.
    """
    radius, depth = np.asarray(radius, dtype=float), np.asarray(depth, dtype=float)
    bodies = 1 / np.asarray(mass) + 1 / np.asarray(opponent_mass)
    with np.errstate(all="ignore"):
        lever = np.where((depth > 0) & (depth <= radius), np.sqrt(depth * (2 * radius - depth)), np.nan)
        normal = 1 / (lever**2 / inertia + bodies)
        stiff = normal * (speed * lever) ** 2 / 2
        energy = np.minimum(stiff, np.asarray(stiffness) * depth**2 / 2)
        whole = (np.asarray(speed) * radius) ** 2 / (radius**2 / inertia + bodies) / 2
    return {
        "energy": np.asarray(energy),
        "impulse": np.asarray((1 + np.asarray(restitution)) * np.sqrt(2 * normal * energy)),
        "share": np.asarray(energy / whole),
        "effective_mass": np.asarray(normal),
    }
