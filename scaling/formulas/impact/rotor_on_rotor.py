"""Two rotors that meet at their tips: the energy and the impulse of the clash, the speeds taken as vectors.

Each tip gives way with its chassis in every direction, 1 / m, and with its rotor along its own motion, r^2 / I. In
line, head on or overtaking, that is 1 / m_e = sum(r^2 / I + 1 / m); at an angle the sum is one of matrices.
Source: impact of linked rigid bodies by their mobility at the point of contact: J. L. Meriam & L. G. Kraige,
Engineering Mechanics: Dynamics, sec. 6/8, and W. Goldsmith, Impact, ch. 2; both from memory.
"""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array


def rotor_on_rotor(
    radius: Array, inertia: Array, speed: Array, mass: Array,
    other_radius: Array, other_inertia: Array, other_speed: Array, other_mass: Array,
    angle: Array, restitution: Array,
) -> dict[str, Array]:
    """Return what a clash of two rotors' tips gives.

    In the plane of both tips' motions, t_1 and t_2 unit vectors along them: W = sum[(1 / m) 1 + (r^2 / I) t t^T], u =
    omega_1 r_1 t_1 - omega_2 r_2 t_2, energy u^T W^-1 u / 2, impulse J = (1 + e) W^-1 u.

    Inputs, floats or arrays that broadcast: radius (m), inertia (kg m^2) and speed (rad/s) of the own rotor and mass of
    its machine (kg); the same of the other; angle between both tips' motions (rad: 0 one overtakes the other, pi head
    on, pi / 2 an upright rotor against one across); restitution.

    Returns ``energy`` (J) of the relative motion, ``impulse`` (N s), ``own_speed_drop`` and ``other_speed_drop``
    (rad/s), and ``closing`` (m/s), the speed of one tip seen from the other. Valid for tips that catch, so that neither
    slides along the other, free machines, hits in line with their centres of gravity.

    >>> found = rotor_on_rotor(0.042, 6.08e-5, 1359.0, 0.454, 0.042, 6.08e-5, 1359.0, 0.454, np.pi, 0.2)
    >>> round(float(found["closing"]), 1), round(float(found["energy"]), 1)
    (114.2, 104.4)

    Source: this module's.
    """
    angle = np.asarray(angle, dtype=float)
    across, along = np.sin(angle), np.cos(angle)
    own_turn, other_turn = np.asarray(radius) ** 2 / inertia, np.asarray(other_radius) ** 2 / other_inertia
    chassis = 1 / np.asarray(mass) + 1 / np.asarray(other_mass)
    # W = [[p, q], [q, s]] in axes along and across the own tip's motion.
    p, q, s = chassis + own_turn + other_turn * along**2, other_turn * along * across, chassis + other_turn * across**2
    tip, other_tip = np.asarray(speed) * radius, np.asarray(other_speed) * other_radius
    forward, sideways = tip - other_tip * along, -other_tip * across
    size = p * s - q**2
    pushed, shoved = (s * forward - q * sideways) / size, (p * sideways - q * forward) / size
    rebound = 1 + np.asarray(restitution)
    return {
        "energy": np.asarray((pushed * forward + shoved * sideways) / 2),
        "impulse": np.asarray(rebound * np.hypot(pushed, shoved)),
        "own_speed_drop": np.asarray(rebound * pushed * radius / inertia),
        "other_speed_drop": np.asarray(-rebound * (pushed * along + shoved * across) * other_radius / other_inertia),
        "closing": np.asarray(np.hypot(forward, sideways)),
    }
