"""How soon a turn can tip the machine over its outer wheels: not before the yaw couple has paid for it.

A rotor that is rolled with its machine by phi' pushes back in yaw with H phi' cos phi. So a turn rate cannot be held
while the machine goes over: the wheels' couple tau has to bring up the angular momentum H sin phi, and its work tau psi
the lifted weight. Both give bounds that need neither the roll's own motion nor its inertia.
Source: angular momentum about an axis and work and energy of a rigid body: J. L. Meriam & L. G. Kraige, Engineering
Mechanics: Dynamics, sec. 7/9-7/11, from memory.
"""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array

MOST_YAW_SHARE = 0.03
"""Yaw energy over the weight's, up to which the bounds are close: simulations then reach them within 5 %."""


def yaw_couple(grip_force: Array, motor_force: Array, track: Array) -> dict[str, Array]:
    """Return the couple that opposed wheels can put on the machine: tau = min(grip, motors) t / 2.

    Inputs, floats or arrays that broadcast: grip of all driven wheels (N), the motors' push on all of them (N), track
    (m). Returns ``couple`` (N m). Valid with both sides on the floor; with one side up the grip is at most one side's
    and pushes the machine away as well.

    >>> round(float(yaw_couple(1.959, 41.15, 0.126)["couple"]), 4)
    0.1234

    Source: moments about the middle; Coulomb friction.
    """
    return {"couple": np.asarray(np.minimum(grip_force, motor_force) * np.asarray(track) / 2)}


def tip_over(
    angular_momentum: Array, mass: Array, gravity: Array, lever: Array, cg_height: Array, couple: Array,
    yaw_inertia: Array, top_yaw_rate: Array,
) -> dict[str, Array]:
    """Return the time and the turn before which a turn on the spot cannot tip the machine over.

    With phi_b = atan(a / h) the tilt at which the weight stands over the wheels that stay down: t = H sin phi_b / tau,
    psi = m g (sqrt(a^2 + h^2) - h) / tau.

    Inputs, floats or arrays that broadcast: angular momentum H of a rotor across the machine (kg m^2/s), mass (kg),
    gravity (m/s^2), lever a of the weight about the contacts that stay down (m), height h of the centre of gravity (m),
    yaw couple tau of the wheels (N m), inertia in yaw (kg m^2), top turn rate without the rotor (rad/s).

    Returns ``time`` (s), ``turn`` (rad) and ``yaw_share``, I_z (m g a / H)^2 / 2 over m g (sqrt(a^2 + h^2) - h): the
    turn's own energy at the rate that lifts, over the weight's. NaN for time and turn where no turn lifts a side (top
    rate times H below m g a), and where the share is over 0.03, since the turn then stores what the bounds leave out.

    Bounds ('not before'), not forecasts: the couple is taken as held to the end, while with one side up it falls and
    the machine runs off sideways, so that most turns never tip it. Level floor, no slip, pitch left out, mean moment.

    >>> found = tip_over(0.082687, 0.454, 9.80665, 0.03465, 0.023, 0.12342, 8.915e-4, 46.3)
    >>> round(float(found["time"]), 2), round(float(found["turn"]), 2)
    (0.56, 0.67)

    Source: this module's.
    """
    weight, lever = np.asarray(mass) * np.asarray(gravity), np.asarray(lever, dtype=float)
    slant = np.hypot(lever, cg_height)
    with np.errstate(all="ignore"):
        lifting_rate = weight * lever / angular_momentum
        barrier = weight * (slant - cg_height)
        share = yaw_inertia * lifting_rate**2 / 2 / barrier
        tips = (lifting_rate < top_yaw_rate) & (share < MOST_YAW_SHARE) & (np.asarray(couple) > 0)
        time = angular_momentum * lever / slant / couple
        turn = barrier / couple
    return {
        "time": np.asarray(np.where(tips, time, np.nan)),
        "turn": np.asarray(np.where(tips, turn, np.nan)),
        "yaw_share": np.asarray(share),
    }


def fall_back_tilt(
    moment: Array, mass: Array, gravity: Array, load_share: Array, track: Array, cg_height: Array
) -> dict[str, Array]:
    """Return the tilt from which a machine that keeps turning just falls back: tan phi = (a - C / (m g)) / h.

    Inputs, floats or arrays that broadcast: gyroscopic moment C while level (N m), mass (kg), gravity (m/s^2), share of
    the weight on the wheels, track (m), height h of the centre of gravity (m); a is share times track / 2. Returns
    ``tilt`` (rad), NaN where the moment lifts a side by itself. Valid for a held turn rate on a level floor.

    >>> round(float(fall_back_tilt(0.1, 0.454, 9.80665, 0.55, 0.126, 0.023)["tilt"]), 3)
    0.487

    Source: moments about the wheels that stay down.
    """
    with np.errstate(all="ignore"):
        spare = np.asarray(load_share) * np.asarray(track) / 2 - moment / (np.asarray(mass) * np.asarray(gravity))
        return {"tilt": np.asarray(np.where(spare > 0, np.arctan2(spare, cg_height), np.nan))}
