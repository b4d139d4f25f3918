"""Seams of the floor, which do not scale with the machine: what a wheel climbs, what it costs, and what catches."""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array


def climbed_step(wheel_diameter: Array, load: Array, friction: Array, push: Array) -> dict[str, Array]:
    """Return the highest step that a wheel climbs from standing against it: h = r (1 - cos alpha).

    At the edge alpha is at most atan(mu) + atan(P / W): the edge's grip on the driven wheel, and the level push of the
    other wheels over the load on this one. Without a push a driven wheel climbs by its own grip; an undriven one (mu =
    0) only by being pushed.

    Inputs, floats or arrays that broadcast: diameter of the wheel (m), load W on it (N), friction of its driven tyre
    on the edge, level push P of the rest of the machine on its axle (N). Returns ``height`` (m), at most the radius,
    and ``angle`` (rad). NaN for a negative friction or push. Valid for a hard tyre on a sharp edge, at a crawl, torque
    enough: a soft tyre climbs more.

    >>> round(float(climbed_step(0.046, 1.2, 0.8, 0.0)["height"]) * 1e3, 2)
    5.04

    Source: statics of a wheel at an edge: J. L. Meriam & L. G. Kraige, Engineering Mechanics: Statics, sec. 6/3, from
    memory; rederived with the driven wheel's grip.
    """
    friction, push = np.asarray(friction, dtype=float), np.asarray(push, dtype=float)
    angle = np.arctan(friction) + np.arctan2(push, load)
    angle = np.where((friction >= 0) & (push >= 0), np.minimum(angle, np.pi / 2), np.nan)
    return {"height": np.asarray(np.asarray(wheel_diameter) / 2 * (1 - np.cos(angle))), "angle": np.asarray(angle)}


def seam_jolt(wheel_diameter: Array, height: Array, speed: Array, gravity: Array) -> dict[str, Array]:
    """Return what running over a step does at speed: a hard wheel turns about its edge at once.

    With cos alpha = 1 - h / r it keeps v cos alpha; of that v cos alpha sin alpha is upwards, so the axle hops by its
    square over 2 g.

    Inputs, floats or arrays that broadcast: diameter of the wheel (m), height of the step (m), speed (m/s), gravity
    (m/s^2). Returns ``speed_kept``, the share v' / v, ``rise_speed`` (m/s) of the axle and ``hop`` (m). NaN for a step
    above the axle. Valid for a hard wheel that carries its load alone; a tyre that gives by more than the step rolls
    over it.

    >>> found = seam_jolt(0.046, 0.002, 2.9, 9.80665)
    >>> round(float(found["speed_kept"]), 3), round(float(found["hop"]) * 1e3)
    (0.913, 59)

    Source: angular momentum about the edge of a mass on a light wheel: J. L. Meriam & L. G. Kraige, Engineering
    Mechanics: Dynamics, sec. 3/10, from memory.
    """
    level = 1 - np.asarray(height, dtype=float) / (np.asarray(wheel_diameter) / 2)
    level = np.where((level >= 0) & (level <= 1), level, np.nan)
    rise = np.asarray(speed) * level * np.sqrt(1 - level**2)
    return {"speed_kept": np.asarray(level), "rise_speed": np.asarray(rise),
            "hop": np.asarray(rise**2 / (2 * np.asarray(gravity)))}


def clearance_left(clearance: Array, seam: Array, wheelbase: Array, place: Array, lifted: Array) -> dict[str, Array]:
    """Return the clearance that a low edge has left over a seam when one axle stands on it.

    An edge at x ahead of the rear contact rises by s x / b with the front axle on the seam, and by s (1 - x / b) with
    the rear one; an edge ahead of the front contact meets the seam first, with nothing lifted.

    Inputs, floats or arrays that broadcast: clearance of the edge on a level floor (m), height s of the seam (m),
    wheelbase b (m), place x of the edge (m ahead of the rear contact), which axle stands on the seam: 0 none, 1 front,
    2 rear. Returns ``left`` (m), negative where the edge catches. Valid for a stiff machine and a small tilt.

    >>> round(float(clearance_left(0.001, 0.002, 0.092, 0.1, 0)["left"]) * 1e3, 1)
    -1.0

    Source: similar triangles.
    """
    along = np.asarray(place, dtype=float) / wheelbase
    raised = np.select([np.asarray(lifted) == 1, np.asarray(lifted) == 2], [along, 1 - along], 0 * along)
    return {"left": np.asarray(np.asarray(clearance) + np.asarray(seam) * (raised - 1))}
