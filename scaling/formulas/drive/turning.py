"""Turning on the spot with the sides' wheels opposed: what the tyres' sideways slip costs.

Opposed wheels push a free body with a couple, so it turns about its centre of gravity, and every wheel ahead of or
behind that point slips sideways. What a sliding tyre gives is one force against its slip, as large as its grip,
however it points: pull and sideways resistance share the grip.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.book.algebra import Expression, cases, floor, largest, least, pi, symbols
from scaling.book.entry import Array, Model, Quantity, Validity, Variable
from scaling.book.once import each_once
from scaling.book.quadrature import gauss_legendre
from scaling.book.root import ValueAndSlope, rising_root

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
NODES, WEIGHTS = gauss_legendre(6)


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

    @property
    def driven(self) -> tuple[Array, ...]:
        """Lever and driven grip of each axle, one after the other."""
        return tuple(value for axle in self.axles for value in (axle.lever, axle.driven_grip))

    @property
    def dragged(self) -> Array:
        """The moment of free wheels and of the skid."""
        return np.asarray(self.skid_moment + sum(axle.free_grip * axle.lever for axle in self.axles))

    def motor_pull(self, wheel_speed: Array) -> Array:
        """Return what the motors give the tyres at ``wheel_speed`` (m/s)."""
        return np.minimum(self.limited_force, self.stall_force * (1 - wheel_speed / self.top_speed))

    def _length(self, function: ValueAndSlope, there: Any, *given: Array) -> Array:
        """Return the slip over the turn rate at which a function of it rises through zero, where that is ``there``."""
        scale = self.half_track + sum(axle.lever for axle in self.axles)

        def by_share(share: Array, scale: Array, *rows: Array) -> tuple[Array, Array]:
            value, slope = function(scale * share / (1 - share), *rows)
            return value, slope * scale / (1 - share) ** 2

        ends = np.zeros_like(scale), np.where(there, 1 - 1e-12, 0.0)
        share = rising_root(by_share, *ends, scale, *given, *self.driven)
        return np.asarray(scale * share / (1 - share))

    def steady(self) -> tuple[Array, Array, Array]:
        """Return pull, turn rate and slip over that rate at which the pull's moment is just the resistance.

        The motors' line gives the rate: zero where the motors cannot give the pull, NaN where the grip cannot.
        """
        def spare(slip: Array, half_track: Array, dragged: Array, *axles: Array) -> tuple[Array, Array]:
            tyres = Tyres(slip, np.ones_like(slip), *axles)
            return tyres.pull * half_track - tyres.moment - dragged, tyres.pull_slope * half_track - tyres.moment_slope

        grips = self.half_track * sum(axle.driven_grip for axle in self.axles) > self.dragged
        slip = self._length(spare, grips, self.half_track, self.dragged)
        moment = Tyres(slip, np.ones_like(slip), *self.driven).moment + self.dragged
        pull = np.where(grips, moment / self.half_track, np.nan)
        rate = self.top_speed * (1 - pull / self.stall_force) / (self.half_track + slip)
        turns = pull < np.minimum(self.stall_force, self.limited_force)
        return pull, np.where(turns | np.isnan(pull), rate, 0.0), slip

    def moment(self, rate: Array, least_slip: Array) -> Array:
        """Return the net moment at turn rate ``rate``: the motors' force meets the tyres' at a slip.

        ``least_slip`` is that of the steady turn over its rate. A slower one slips more, and also by so much that the
        motors would give the tyres' whole grip; and it slips less than where the tyres take the limited force.
        """
        def over(slip: Array, limited: Array, *axles: Array) -> tuple[Array, Array]:
            tyres = Tyres(slip, np.ones_like(slip), *axles)
            return tyres.pull - limited, tyres.pull_slope

        def beyond(
            slip: Array, rate: Array, rolling: Array, stall: Array, limited: Array, top: Array, *axles: Array
        ) -> tuple[Array, Array]:
            tyres, line = Tyres(slip, rate, *axles), stall * (1 - (rolling + slip) / top)
            return tyres.pull - np.minimum(line, limited), tyres.pull_slope + np.where(line < limited, stall / top, 0.0)

        grip = np.asarray(sum(axle.driven_grip for axle in self.axles))
        most = self._length(over, grip > self.limited_force, self.limited_force)
        most = np.where(grip > self.limited_force, most, np.inf)
        rolling = rate * self.half_track
        start = np.maximum(self.top_speed * (1 - grip / self.stall_force) - rolling, rate * least_slip)
        slip = rising_root(
            beyond, np.zeros_like(rolling), np.maximum(self.top_speed - rolling, 0.0), rate, rolling, self.stall_force,
            self.limited_force, self.top_speed, *self.driven, start=np.minimum(start, rate * most),
        )
        tyres = Tyres(slip, rate, *self.driven)
        pull = np.minimum(self.motor_pull(rolling + slip), tyres.pull)
        return np.asarray(pull * self.half_track - tyres.moment - self.dragged)


class Tyres:
    """What the driven tyres give that slip by ``slip`` (m/s) along and ``rate`` (rad/s) times their lever across.

    ``pull`` along (N) and ``moment`` of the sideways slip (N m), and the slopes of both over the slip. ``axles`` are
    lever and grip of each, one after the other.
    """

    def __init__(self, slip: Array, rate: Array, *axles: Array) -> None:
        self.pull, self.pull_slope, self.moment, self.moment_slope = (np.zeros(np.shape(slip)) for _ in range(4))
        for lever, grip in zip(axles[::2], axles[1::2], strict=True):
            across = rate * lever
            slide = np.maximum(np.sqrt(slip * slip + across * across), TINY)
            along, aside = slip / slide, across / slide
            self.pull += grip * along
            self.pull_slope += grip * aside * aside / slide
            self.moment += grip * aside * lever
            self.moment_slope -= grip * aside * lever * along / slide


TINY = 1e-150
"""Keeps a wheel without any slip from dividing nothing by nothing."""


def _response(turn: Turn, rate: Array, slip: Array) -> tuple[Array, Array]:
    """Return the times from rest to nine tenths of the steady ``rate`` and to half a turn, by Gauss-Legendre.

    ``slip`` is the steady turn's over its rate. NaN where there is no steady rate.
    """
    rate = np.where(rate > 0, rate, np.nan)
    edges = SHARES.reshape(-1, *[1] * rate.ndim) * rate
    half, middle = np.diff(edges, axis=0) / 2, (edges[1:] + edges[:-1]) / 2
    at = middle + half * NODES.reshape(-1, *[1] * edges.ndim)
    moment = turn.moment(at, slip)
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
    pull, rate, slip = turn.steady()
    response, half_turn = _response(turn, rate, slip)
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
_MEAN_LEVER = 2 * _NEARER * floor(_PAIRS**2 / 4) / (_PAIRS * (_PAIRS - 1))


def _inertia(formula: Expression, source: str, assumes: str = "", when: tuple[str, ...] = ()) -> Quantity:
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
            load_share * friction * cases((0, count < 4), (_MEAN_LEVER, True))
            + (1 - load_share) * skid_friction * cases((wheelbase, count < 4), (length / 2, True))
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
        *_HALF_TURN, "s", "drive", "lower", largest(stopped_half_turn, pi / lift_yaw_rate),
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
