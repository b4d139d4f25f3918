"""Seams of the floor, which do not scale with the machine: what a wheel climbs, how it hops, and what catches."""

from __future__ import annotations

import numpy as np

from scaling.book.algebra import largest, least, symbols, where
from scaling.book.entry import Array, Model, Quantity, Variable

seam, clearance, wedge_clearance = symbols("arena.seam ground_clearance wedge.clearance")
mass, gravity, load_share = symbols("mass gravity wheel.load_share")
wheel_diameter, count, tyre_stiffness = symbols("wheel.diameter wheel.count wheel.tyre_stiffness")
top_speed, climbed, level = symbols("top_speed seam_climb_height seam_speed_kept")

VARIABLES = (
    Variable("arena.seam", "s_f", "m", "height of a seam of the arena's floor: 1 mm is common practice, no source",
             default=0.001),
    Variable("ground_clearance", "c_g", "m", "height of the lowest edge between the wheels above the floor", 1),
    Variable("wedge.clearance", "c_v", "m", "height of the wedge's tip above the floor", 1, optional=True),
)


def climbed_step(wheel_diameter: Array, friction: Array, wheels: Array, driven: Array) -> dict[str, Array]:
    """Return the highest step that a machine's wheels climb from standing against it: h = r (1 - cos alpha).

    At the edge alpha is at most atan(mu) + atan(P / W): the edge's grip on the driven axle, and the level push P of the
    other axles over the load W on this one. A lone driven axle climbs by its own grip; where every axle is driven the
    others push with mu W each; where some are not, an undriven one is what meets the step, and the driven ones push it.

    Inputs, floats or arrays that broadcast: diameter of the wheels (m), friction of their tyres, number of wheels and
    of driven ones, two an axle. Returns ``height`` (m), at most the radius. Valid for a hard tyre on a sharp edge, at a
    crawl, the load even on the axles, torque enough: a soft tyre climbs more.

    >>> found = climbed_step(0.046, 0.8, np.array([2, 4]), np.array([2, 4]))["height"]
    >>> [round(float(height) * 1e3, 2) for height in found]
    [5.04, 17.95]

    Source: statics of a wheel at an edge, derived.
    """
    axles, pushing = np.maximum(np.asarray(wheels) / 2, 1), np.asarray(driven) / 2
    all_driven = np.asarray(driven) >= wheels
    own = np.where(all_driven, np.arctan(friction), 0.0)
    push = np.arctan(np.asarray(friction) * np.where(all_driven, axles - 1, pushing))
    angle = np.minimum(own + push, np.pi / 2)
    return {"height": np.asarray(np.asarray(wheel_diameter) / 2 * (1 - np.cos(angle)))}


_LEVEL = 1 - 2 * seam / wheel_diameter
_HARD = (top_speed * level) ** 2 * (1 - level**2) / (2 * gravity)
_ON_A_WHEEL = mass * load_share / count
_GIVES = _ON_A_WHEEL * gravity / tyre_stiffness
_SOFT = largest(0, (seam**2 / _GIVES - _GIVES) / 2)
_EDGE = "meriam sec. 3/10: angular momentum about the edge of a mass on a light hard wheel, v' = v cos alpha"
_HOP = ("seam_hop", "Hop over a floor seam at top speed", "h_s", "m", "drive")
_STILL = "a seam of the arena, which does not grow with the machine"

QUANTITIES = (
    Quantity(
        "seam_climb_height", "Step that the wheels climb", "h_c", "m", "drive", "higher",
        Model(climbed_step, ("wheel.diameter", "wheel.friction", "wheel.count", "wheel.driven"), "height"),
        clock="driver",
        source="own-derivation: statics of a wheel at an edge, r (1 - cos alpha), alpha the angles of friction and of "
        "the push",
        assumes="from standing against it, hard tyre, sharp edge, even load, torque enough; a soft tyre climbs more; "
        "skids and wedges not counted",
    ),
    Quantity(
        "seam_climb_margin", "Climbed step over a floor seam", "h_c/s_f", "1", "drive", "higher", climbed / seam,
        clock="driver",
        source="definition",
        assumes=f"{_STILL}; below 1 it stands before it",
    ),
    Quantity(
        "seam_clearance_margin", "Ground clearance over a floor seam", "c_g/s_f", "1", "drive", "higher",
        clearance / seam,
        clock="driver",
        source="definition",
        assumes=f"{_STILL}; below 1 the lowest edge between the wheels catches on one that stands up",
    ),
    Quantity(
        "wedge_seam_margin", "Wedge tip clearance over a floor seam", "c_v/s_f", "1", "drive", "higher",
        wedge_clearance / seam,
        clock="driver",
        source="definition",
        assumes=f"{_STILL}; below 1 the tip runs into it before any wheel is there to lift it",
    ),
    Quantity(
        "seam_speed_kept", "Speed kept over a floor seam", "v'/v", "1", "drive", "higher",
        where(seam < wheel_diameter / 2, _LEVEL),
        clock="driver",
        source=f"{_EDGE}, cos alpha = 1 - s / r",
        assumes="hard wheel that carries its load alone; a tyre that gives by more than the seam loses less",
    ),
    Quantity(
        *_HOP, "lower", least(_HARD, _SOFT),
        clock="gravity",
        source=f"{_EDGE}, up with v cos alpha sin alpha; own-derivation: mass on a spring whose foot is lifted at "
        "once, v^2 = k / m (s^2 - (m g / k)^2) as it leaves the floor",
        assumes="the lesser of a hard wheel and of the tyre's spring without damping: a bound",
    ),
    Quantity(
        *_HOP, "lower", _HARD,
        clock="gravity",
        source=f"{_EDGE}, up with v cos alpha sin alpha",
        assumes="hard wheel that carries its load alone: a bound; state wheel.tyre_stiffness for less",
    ),
)
