"""Turning on the spot with the sides' wheels opposed: what the tyres' sideways slip costs.

Opposed wheels push a free body with a couple, so it turns about its centre of gravity, and every wheel ahead of or
behind that point slips sideways. What a sliding tyre gives is one force against its slip, as large as its grip,
however it points: pull and sideways resistance share the grip.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import sympy

from scaling.book.entry import Array, Model, Quantity, Validity, Variable, largest, least, symbols
from scaling.book.once import each_once

mass, gravity, length, width = symbols("mass gravity length width")
track, wheelbase, cg_ahead, stated_inertia = symbols("track wheelbase cg_ahead yaw_inertia")
friction, skid_friction, load_share = symbols("wheel.friction wheel.skid_friction wheel.load_share")
count, top_speed = symbols("wheel.count top_speed")
hit_inertia, skid_pull = symbols("own_hit_inertia skid_pull")
stall_force, limited_force = symbols("drive_stall_force drive_current_limited_force")
stopped_half_turn, lift_yaw_rate = symbols("half_turn_time_rotor_stopped gyro_lift_yaw_rate")

VARIABLES = (
    Variable("yaw_inertia", "I_z", "kg m^2", "inertia of the whole robot about its upright axis", 5, optional=True),
)

SHARES = np.array([0.0, 0.15, 0.3, 0.45, 0.6, 0.75, 0.9, 0.96, 0.99, 0.999])
"""Ends of the integration panels, as shares of the steady turn rate: the sixth step ends at nine tenths."""
NODES, WEIGHTS = np.polynomial.legendre.leggauss(6)


@dataclass(frozen=True)
class Axle:
    """Both wheels that stand at one distance ahead of or behind the centre of gravity; arrays of one batch shape."""

    lever: Array
    driven_grip: Array
    free_grip: Array


@dataclass(frozen=True)
class Turn:
    """A turn on the spot; every field is a float or array of one batch shape, SI units.

    ``skid_moment`` is what a dragged skid takes, ``half_track`` the pull's lever. The slip of a driven tyre in its
    rolling direction is called ``slip``; sideways it is the turn rate times the axle's lever.
    """

    stall_force: Array
    limited_force: Array
    top_speed: Array
    half_track: Array
    inertia: Array
    skid_moment: Array
    axles: tuple[Axle, ...]

    def pull(self, slip: Array, rate: Array) -> Array:
        """Return the tyres' pull when they slip by ``slip`` (m/s) along and ``rate`` (rad/s) times lever across."""
        return np.asarray(sum(
            axle.driven_grip * slip / np.maximum(np.hypot(slip, rate * axle.lever), TINY) for axle in self.axles
        ))

    def resistance(self, slip: Array, rate: Array) -> Array:
        """Return the moment of the sideways slip, of free wheels and of the skid."""
        return np.asarray(self.skid_moment + sum(
            axle.driven_grip * rate * axle.lever**2 / np.maximum(np.hypot(slip, rate * axle.lever), TINY)
            + axle.free_grip * axle.lever
            for axle in self.axles
        ))

    def motor_pull(self, wheel_speed: Array) -> Array:
        """Return what the motors give the tyres at ``wheel_speed`` (m/s)."""
        return np.minimum(self.limited_force, self.stall_force * (1 - wheel_speed / self.top_speed))

    def steady(self) -> tuple[Array, Array]:
        """Return pull and turn rate at which the pull's moment is just the resistance.

        The slip that this takes is a fixed length times the turn rate, found by bisection; the motors'
        line then gives the rate. Zero where the motors cannot give the pull, NaN where the grip cannot.
        """
        one = np.ones_like(self.half_track)
        scale = self.half_track + sum(axle.lever for axle in self.axles)
        low, high = np.zeros_like(one), one

        def spare(share: Array) -> Array:
            slip = scale * share / (1 - share)
            return np.asarray(self.pull(slip, one) * self.half_track - self.resistance(slip, one))

        for _ in range(60):
            middle = (low + high) / 2
            short = spare(middle) < 0
            low, high = np.where(short, middle, low), np.where(short, high, middle)
        grips = self.half_track * sum(axle.driven_grip for axle in self.axles) > self.skid_moment + sum(
            axle.free_grip * axle.lever for axle in self.axles
        )
        slip = scale * high / (1 - np.minimum(high, 1 - 1e-12))
        pull = np.where(grips, self.resistance(slip, one) / self.half_track, np.nan)
        rate = self.top_speed * (1 - pull / self.stall_force) / (self.half_track + slip)
        turns = pull < np.minimum(self.stall_force, self.limited_force)
        return pull, np.where(turns | np.isnan(pull), rate, 0.0)

    def moment(self, rate: Array) -> Array:
        """Return the net moment at turn rate ``rate``: the motors' force meets the tyres' at a slip, by bisection."""
        rolling = rate * self.half_track
        low, high = np.zeros_like(rolling), np.maximum(self.top_speed - rolling, 0.0)
        for _ in range(45):
            slip = (low + high) / 2
            spins = self.motor_pull(rolling + slip) > self.pull(slip, rate)
            low, high = np.where(spins, slip, low), np.where(spins, high, slip)
        pull = np.minimum(self.motor_pull(rolling + slip), self.pull(slip, rate))
        return np.asarray(pull * self.half_track - self.resistance(slip, rate))


TINY = 1e-300
"""Keeps a wheel without any slip from dividing nothing by nothing."""


def _response(turn: Turn, rate: Array) -> tuple[Array, Array]:
    """Return the times from rest to nine tenths of the steady ``rate`` and to half a turn, by Gauss-Legendre.

    NaN where there is no steady rate.
    """
    rate = np.where(rate > 0, rate, np.nan)
    edges = SHARES.reshape(-1, *[1] * rate.ndim) * rate
    half, middle = np.diff(edges, axis=0) / 2, (edges[1:] + edges[:-1]) / 2
    at = middle + half * NODES.reshape(-1, *[1] * edges.ndim)
    moment = turn.moment(at)
    step = WEIGHTS.reshape(-1, *[1] * edges.ndim) * half * np.where(moment > 0, turn.inertia / moment, np.nan)
    spans, arcs = np.sum(step, axis=0), np.sum(step * at, axis=0)
    zero = np.zeros_like(rate)[None]
    times = np.concatenate([zero, np.cumsum(spans, axis=0)])
    angles = np.concatenate([zero, np.cumsum(arcs, axis=0)])
    return times[6], _time_of_angle(np.pi, edges, times, angles)


def _time_of_angle(angle: float, rates: Array, times: Array, angles: Array) -> Array:
    """Return the time at which ``angle`` is reached: evenly faster within a panel, steadily after the last."""
    place = np.sum(angles[1:] < angle, axis=0)[None]
    within = np.minimum(place, len(angles) - 2)

    def pick(table: Array, index: np.ndarray[Any, np.dtype[np.intp]]) -> Array:
        return np.asarray(np.take_along_axis(table, index, axis=0)[0])

    start, end = pick(rates, within), pick(rates, within + 1)
    left = angle - pick(angles, within)
    quickening = (end - start) / (pick(times, within + 1) - pick(times, within))
    inside = pick(times, within) + 2 * left / (start + np.sqrt(start**2 + 2 * quickening * left))
    beyond = times[-1] + (angle - angles[-1]) / rates[-1]
    return np.where(place[0] > within[0], beyond, inside)


def _axles(
    grip: Array, wheels: Array, driven: Array, ahead: Array, wheelbase: Array, share: Array
) -> tuple[Axle, ...]:
    """Return the axles with their parts of ``grip``, that of the whole weight; one pair where wheels are under four.

    Axles are evenly spaced over the wheelbase on equal springs, so that loads vary evenly along it; the driven
    share of the wheels is taken as that of each axle. A single axle's distance follows from its load share.
    """
    number = np.where(wheels < 4, 1.0, np.floor(wheels / 2))
    turned = driven / wheels
    spread = wheelbase**2 * (number + 1) / (12 * np.maximum(number - 1, 1.0))  # mean square distance from the middle
    rows = []
    for place in range(int(np.max(number))):
        from_middle = wheelbase * (place / np.maximum(number - 1, 1.0) - 0.5)
        load = (1 + (ahead - wheelbase / 2) * from_middle / spread) / number
        single = number == 1
        lever = np.where(single, (1 - share) * wheelbase, np.abs(from_middle + wheelbase / 2 - ahead))
        carried = share * np.where(place < number, np.where(single, 1.0, np.maximum(load, 0.0)), 0.0)
        rows.append(Axle(lever, grip * carried * turned, grip * carried * (1 - turned)))
    return tuple(rows)


@each_once
def turn_on_the_spot(*inputs: Array) -> dict[str, Array]:
    """Return pull (N) and rate (rad/s) of a steady turn on the spot, and times (s) to 90 % of it and to half a turn.

    Inputs, floats or arrays that broadcast, SI: stall and current-limited force of the drive, its top speed,
    friction, mass, gravity, inertia in yaw, length, track, wheelbase, centre of gravity ahead of the rear contact,
    load share, skid friction, wheels, driven wheels. With fewer than four wheels a skid is dragged at its distance from
    the centre of gravity; with four or more what else rests on the floor is dragged at half the length.
    """
    shape = np.broadcast(*inputs).shape
    (stall, limited, top, friction, mass, gravity, inertia, length, track, wheelbase, ahead, share, skid, wheels,
     driven) = (np.broadcast_to(np.asarray(value, dtype=float), shape) for value in inputs)
    weight = mass * gravity
    turn = Turn(
        stall, limited, top, track / 2, inertia,
        skid_moment=skid * (1 - share) * weight * np.where(wheels < 4, share * wheelbase, length / 2),
        axles=_axles(friction * weight, wheels, driven, ahead, wheelbase, share),
    )
    pull, rate = turn.steady()
    response, half_turn = _response(turn, rate)
    return {"pull": pull, "rate": rate, "response": response, "half_turn": half_turn}


_INPUTS = (
    "drive_stall_force", "drive_current_limited_force", "top_speed", "wheel.friction", "mass", "gravity",
    "turning_inertia", "length", "track", "wheelbase", "cg_ahead", "wheel.load_share", "wheel.skid_friction",
    "wheel.count", "wheel.driven",
)
_COULOMB = "own-derivation: plane motion of a body on sliding tyres, one Coulomb force against each one's slip"
_BREAKS_LOOSE = Validity(
    "turn_pull_margin",
    "the motors cannot drag the tyres sideways, so the machine hardly turns on the spot",
    low=1.0,
)
_TURNS = (
    "sides opposed, flat out, level floor; grip the same in all directions; no torque from a rotor; turning about the "
    "centre of gravity, as it does when faster than sqrt(mu g / d) with d from there to a lone axle"
)

_PAIRS = count / 2
_NEARER = least(cg_ahead, wheelbase - cg_ahead)
_MEAN_LEVER = 2 * _NEARER * sympy.floor(_PAIRS**2 / 4) / (_PAIRS * (_PAIRS - 1))


def _inertia(formula: sympy.Expr, source: str, assumes: str = "", when: tuple[str, ...] = ()) -> Quantity:
    return Quantity(
        "turning_inertia", "Yaw inertia", "I_z", "kg m^2", "drive", "same", formula,
        source=source, assumes=assumes, when=when,
    )


_HALF_TURN = ("half_turn_time", "Half-turn time", "t_180")

QUANTITIES = (
    Quantity(
        "top_yaw_rate", "Top turn rate", "Omega", "rad/s", "drive", "higher", 2 * top_speed / track,
        role="handling", clock="driver",
        source="own-derivation: plane kinematics, sides opposed at top speed",
        assumes="about the robot's own centre, no skid losses: skid_yaw_rate has them",
    ),
    _inertia(stated_inertia, "definition: the design's stated inertia"),
    _inertia(hit_inertia, "as own_hit_inertia: the inertia that a hit in the plane of an upright rotor meets",
             when=("rotor.axis=upright",)),
    _inertia(
        mass * (length**2 + width**2) / 12,
        "meriam appendix D: uniform box, m (a^2 + b^2) / 12",
        "mass spread evenly over the robot's length and width; state yaw_inertia for better",
    ),
    Quantity(
        "skid_moment", "Scrub moment", "M_s", "N m", "drive", "lower",
        mass * gravity * (
            load_share * friction * sympy.Piecewise((0, count < 4), (_MEAN_LEVER, True))
            + (1 - load_share) * skid_friction * sympy.Piecewise((wheelbase, count < 4), (length / 2, True))
        ),
        source="wong ch. 6: sideways friction times its mean lever, mu W l / 2 for two axles, mu W l / 4 for a track "
        "of even pressure",
        assumes="tyres that pull nothing; with fewer than four wheels only the skid is dragged, at the wheelbase; "
        "axles evenly spaced and loaded; the turn's middle where the sideways forces balance",
    ),
    Quantity(
        "skid_pull", "Pull to turn on the spot", "F_k", "N", "drive", "lower",
        Model(turn_on_the_spot, _INPUTS, "pull"),
        source=_COULOMB,
        assumes=f"both sides together; {_TURNS}",
    ),
    Quantity(
        "turn_pull_margin", "Turn-in-place margin", "F_s/F_k", "1", "drive", "higher",
        least(stall_force, limited_force) / skid_pull,
        clock="driver",
        source="definition",
        assumes="below 1 the motors stall against the tyres' sideways grip",
    ),
    Quantity(
        "skid_yaw_rate", "Top turn rate with skid losses", "Omega_k", "rad/s", "drive", "higher",
        Model(turn_on_the_spot, _INPUTS, "rate"),
        clock="driver",
        source=f"{_COULOMB}; as drive_stall_force: motor force line",
        assumes=f"steady; {_TURNS}",
        valid=(_BREAKS_LOOSE,),
    ),
    Quantity(
        "yaw_response_time", "Time to 90 % turn rate", "t_90", "s", "drive", "lower",
        Model(turn_on_the_spot, _INPUTS, "response"),
        clock="driver",
        source="own-derivation: quadrature of I_z dOmega/dt = M from rest; as skid_yaw_rate: forces",
        assumes=f"wheels' own inertia small; {_TURNS}",
        valid=(_BREAKS_LOOSE,),
    ),
    Quantity(
        "half_turn_time_rotor_stopped", "Half-turn time with rotor stopped", "t_180s", "s", "drive", "lower",
        Model(turn_on_the_spot, _INPUTS, "half_turn"),
        clock="driver",
        source="as yaw_response_time: to half a turn",
        assumes=f"without stopping there; {_TURNS}",
        valid=(_BREAKS_LOOSE,),
        when=("rotor.axis=across",),
    ),
    Quantity(
        *_HALF_TURN, "s", "drive", "lower", largest(stopped_half_turn, sympy.pi / lift_yaw_rate),
        role="handling", clock="driver",
        source="as half_turn_time_rotor_stopped; as gyro_lift_yaw_rate: pi over the rate at which a side lifts",
        assumes="every wheel kept down with the rotor up, by a driver who turns no faster than that; without stopping "
        f"there; skid on the middle line; {_TURNS}",
        valid=(_BREAKS_LOOSE,),
        when=("rotor.axis=across",),
    ),
    Quantity(
        *_HALF_TURN, "s", "drive", "lower", Model(turn_on_the_spot, _INPUTS, "half_turn"),
        role="handling", clock="driver",
        source="as yaw_response_time: to half a turn",
        assumes=f"without stopping there; {_TURNS}",
        valid=(_BREAKS_LOOSE,),
    ),
)
