"""Turning on the spot with the rotor up: the rate that keeps every wheel down, and what a half turn at it takes.

Signs: x forward, y to the left, z up. Teeth that rise at the front lift the right side in a left turn and the left side
in a right turn; teeth that go down there the other way round.
Source of the moment: R. S. Khurmi & J. K. Gupta, Theory of Machines, ch. 14: C = I omega omega_p; of the loads, moments
of a rigid body on its contacts.
"""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array


def holding_levers(
    track: Array, load_share: Array, skid_left: Array, skid_right: Array, cg_left: Array
) -> dict[str, Array]:
    """Return the weight's lever about the contacts that stay down when a side lifts, for either side.

    A machine tips about the line from one side's wheel to the skid contact that lies farthest out on that side. At the
    centre of gravity, which divides the wheelbase as the loads do, that line is s t / 2 plus (1 - s) times the skid's
    distance off the middle. One skid on the middle line leaves s t / 2; a pair of wedgelets helps both ways; one skid
    off the middle helps one way and hurts the other.

    Inputs, floats or arrays that broadcast: track t (m), share s of the weight on the wheels, places of the leftmost
    and of the rightmost contact of skid or wedgelets (m, left of the middle positive; the same for a single one; any
    number where s is 1), place of the centre of gravity (m, left positive).

    Returns ``lifts_left`` (m), the lever to overcome before the left side lifts, and ``lifts_right``. NaN where the
    centre of gravity lies outside, so that it does not stand at all. Valid for a level floor and rigid contacts.

    >>> found = holding_levers(0.126, 0.55, 0.04, -0.04, 0.0)
    >>> round(float(found["lifts_left"]), 5), round(float(found["lifts_right"] / 0.03465), 2)
    (0.05265, 1.52)

    Source: this module's.
    """
    wheels = np.asarray(load_share) * np.asarray(track) / 2
    left = wheels - (1 - np.asarray(load_share)) * skid_right + cg_left
    right = wheels + (1 - np.asarray(load_share)) * skid_left - cg_left
    stands = (left > 0) & (right > 0)
    return {
        "lifts_left": np.asarray(np.where(stands, left, np.nan)),
        "lifts_right": np.asarray(np.where(stands, right, np.nan)),
    }


def wheels_down_rates(
    angular_momentum: Array, mass: Array, gravity: Array, lifts_left: Array, lifts_right: Array, rising: Array
) -> dict[str, Array]:
    """Return the turn rates below which every wheel stays down: Omega = m g a / H.

    Inputs, floats or arrays that broadcast: angular momentum of a rotor across the machine (kg m^2/s), mass (kg),
    gravity (m/s^2), both levers of ``holding_levers`` (m), rising: 1 for teeth that rise at the front, -1 for teeth
    that go down there. Returns ``left_turn`` and ``right_turn`` (rad/s), and ``slower``, the lesser of both. Valid for
    a turn on the spot and the mean moment of a turn of the rotor; a bar on stiff wheels skips at a lower rate.

    >>> found = wheels_down_rates(0.082687, 0.454, 9.80665, 0.03465, 0.03465, 1)
    >>> round(float(found["left_turn"]), 2)
    1.87

    Source: this module's.
    """
    scale = np.asarray(mass) * np.asarray(gravity) / np.asarray(angular_momentum)
    up = np.asarray(rising) > 0
    left = scale * np.where(up, lifts_right, lifts_left)
    right = scale * np.where(up, lifts_left, lifts_right)
    return {"left_turn": np.asarray(left), "right_turn": np.asarray(right), "slower": np.minimum(left, right)}


def side_loads(
    rate: Array, angular_momentum: Array, mass: Array, gravity: Array, lifts: Array, stays: Array
) -> dict[str, Array]:
    """Return either side's load on the floor at a turn rate; the side that lifts has (m g a_l - H Omega) / (a_l + a_s).

    Each side's wheels and skid count as one support on the line about which the machine tips to that side. When the
    side that the rotor lifts has no load left the other bears the whole weight.

    Inputs, floats or arrays that broadcast: turn rate (rad/s), angular momentum of a rotor across the machine (kg
    m^2/s), mass (kg), gravity (m/s^2), the lever of ``holding_levers`` of the side that lifts and of the other (m).
    Returns ``lifting`` and ``other`` (N), whose sum is the weight. Valid as ``wheels_down_rates``, up to lift-off.

    >>> loads = side_loads(1.87 / 2, 0.082687, 0.454, 9.80665, 0.03465, 0.03465)
    >>> round(float(loads["lifting"]), 2), round(float(loads["lifting"] + loads["other"]), 3)
    (1.11, 4.452)

    Source: this module's.
    """
    weight, apart = np.asarray(mass) * gravity, np.asarray(lifts) + stays
    lifting = np.maximum((weight * lifts - np.asarray(angular_momentum) * rate) / apart, 0.0)
    return {"lifting": np.asarray(lifting), "other": np.asarray(weight - lifting)}


def turn_at_limited_rate(angle: Array, couple: Array, yaw_inertia: Array, rate_limit: Array) -> dict[str, Array]:
    """Return how long a turn takes from rest to rest when its rate may not pass a limit.

    It speeds up at tau / I_z to the limit Omega, keeps it, and slows down alike: t = psi / Omega + Omega I_z / tau; a
    turn too short for that takes 2 sqrt(psi I_z / tau).

    Inputs, floats or arrays that broadcast: angle of the turn (rad), couple of the drive (N m), inertia in yaw (kg
    m^2), limit of the rate (rad/s; infinite for none). Returns ``time`` (s), ``peak_rate`` (rad/s) and ``lead`` (rad),
    the angle before its end at which the driver has to stop it. NaN where couple or limit are not positive. Valid for
    a couple that does not fall with the rate, net of what the tyres' sideways slip takes.

    >>> found = turn_at_limited_rate(3.14159265, 0.1234, 8.915e-4, 1.866)
    >>> round(float(found["time"]), 2), round(float(found["lead"]), 3)
    (1.7, 0.013)

    Source: uniformly accelerated rotation: J. L. Meriam & L. G. Kraige, Engineering Mechanics: Dynamics, sec. 5/2, from
    memory.
    """
    angle = np.asarray(angle, dtype=float)
    with np.errstate(all="ignore"):
        quickening = np.where(np.asarray(couple) > 0, couple, np.nan) / np.asarray(yaw_inertia)
        peak = np.minimum(np.sqrt(angle * quickening), np.where(np.asarray(rate_limit) > 0, rate_limit, np.nan))
        time = angle / peak + peak / quickening
        lead = peak**2 / (2 * quickening)
    return {"time": np.asarray(time), "peak_rate": np.asarray(peak), "lead": np.asarray(lead)}


def facing_about(
    couple: Array, yaw_inertia: Array, top_yaw_rate: Array, left_turn: Array, right_turn: Array
) -> dict[str, Array]:
    """Return what half a turn takes with the rotor up, either way, and what that costs against the rotor stopped.

    Inputs, floats or arrays that broadcast: couple (N m), inertia in yaw (kg m^2), top turn rate of the drive (rad/s),
    the rates that keep the wheels down (rad/s). Returns ``rotor_stopped``, ``left`` and ``right`` (s), and ``wait``
    (s), how much longer the quicker way takes with the rotor up: what the driver has to allow before facing about.
    Valid as ``turn_at_limited_rate``, for a driver who knows the limit and keeps to it.

    >>> found = facing_about(0.1234, 8.915e-4, 31.5, 1.866, 1.866)
    >>> round(float(found["rotor_stopped"]), 2), round(float(found["wait"]), 2)
    (0.3, 1.4)

    Source: ``turn_at_limited_rate``.
    """
    half = np.asarray(np.pi)
    stopped, left, right = (
        turn_at_limited_rate(half, couple, yaw_inertia, np.minimum(top_yaw_rate, limit))["time"]
        for limit in (np.inf * half, left_turn, right_turn)
    )
    return {"rotor_stopped": stopped, "left": left, "right": right, "wait": np.minimum(left, right) - stopped}
