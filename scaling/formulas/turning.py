"""Turning on the spot with the sides' wheels opposed: what the tyres' sideways slip costs.

Wheels that stand ahead of or behind the middle of the turn slip sideways, and what a sliding tyre gives is one force
against its slip, as large as its grip, however it points. So pull and sideways resistance share the grip: a tyre that
pulls with F resists sideways with sqrt(G^2 - F^2).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import sympy

from scaling.formulas.book import Array, Model, Quantity, Validity, Variable, symbols

mass, gravity, length, width = symbols("mass gravity length width")
track, wheelbase, cg_ahead, stated_inertia = symbols("track wheelbase cg_ahead yaw_inertia")
friction, skid_friction, load_share = symbols("wheel.friction wheel.skid_friction wheel.load_share")
count, top_speed = symbols("wheel.count top_speed")
hit_inertia, skid_pull = symbols("own_hit_inertia skid_pull")
stall_force, limited_force = symbols("drive_stall_force drive_current_limited_force")

VARIABLES = (
    Variable("yaw_inertia", "I_z", "kg m^2", "inertia of the whole robot about its upright axis", 5, optional=True),
)

SHARES = np.array([0.0, 0.15, 0.3, 0.45, 0.6, 0.75, 0.9, 0.96, 0.99, 0.999])
"""Ends of the integration panels, as shares of the steady turn rate: the sixth step ends at nine tenths."""
NODES, WEIGHTS = np.polynomial.legendre.leggauss(6)


@dataclass(frozen=True)
class Turn:
    """A turn on the spot; every field is a float or array of one batch shape, SI units.

    ``grip`` is that of the driven wheels, ``lever`` the mean distance ahead of or behind the middle of the turn
    at which they slip sideways, ``drag_moment`` what a skid takes, ``half_track`` the pull's lever.
    """

    stall_force: Array
    limited_force: Array
    top_speed: Array
    grip: Array
    half_track: Array
    lever: Array
    drag_moment: Array
    inertia: Array

    def steady_pull(self) -> Array:
        """Pull at which F t/2 = e sqrt(G^2 - F^2) + drag: the turn neither quickens nor slows."""
        square = self.lever**2 + self.half_track**2
        sideways = self.lever * np.sqrt(self.grip**2 * square - self.drag_moment**2)
        return np.asarray((self.drag_moment * self.half_track + sideways) / square)

    def steady_rate(self) -> Array:
        """Turn rate at the steady pull: the wheels' speed there over t/2 + e F / sqrt(G^2 - F^2).

        The second term is the slip in the rolling direction that lets a tyre pull with F while it slides
        sideways at rate times lever. Zero where the motors cannot give the pull, NaN where the grip cannot.
        """
        pull = self.steady_pull()
        wheel_speed = self.top_speed * (1 - pull / self.stall_force)
        rate = wheel_speed / (self.half_track + self.lever * pull / np.sqrt(self.grip**2 - pull**2))
        turns = pull < np.minimum(self.stall_force, self.limited_force)
        return np.where(turns | np.isnan(pull), rate, 0.0)

    def moment(self, rate: Array) -> Array:
        """Net moment at turn rate ``rate``.

        The pull is where the motors' force line meets what the tyres give at the slip that it leaves
        them, found by bisection on the pull.
        """
        most = np.minimum(np.minimum(self.stall_force, self.limited_force), self.grip)
        low, high = np.zeros(np.broadcast(rate, most).shape), most
        for _ in range(40):
            pull = (low + high) / 2
            slip = self.lever * pull / np.sqrt(np.maximum(self.grip**2 - pull**2, 1e-30 * self.grip**2))
            spare = self.top_speed * (1 - pull / self.stall_force) > rate * (self.half_track + slip)
            low, high = np.where(spare, pull, low), np.where(spare, high, pull)
        sideways = np.sqrt(np.maximum(self.grip**2 - pull**2, 0.0))
        return np.asarray(pull * self.half_track - self.lever * sideways - self.drag_moment)


def _response(turn: Turn) -> tuple[Array, Array]:
    """Time from rest to nine tenths of the steady rate, and to half a turn, by Gauss-Legendre panels."""
    rate = turn.steady_rate()
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
    """Time at which ``angle`` is reached, turning evenly faster within a panel and steadily after the last."""
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


def turn_on_the_spot(*inputs: Array) -> dict[str, Array]:
    """Pull (N) and rate (rad/s) of a steady turn on the spot, and times (s) to 90 % of it and to half a turn.

    Inputs, floats or arrays that broadcast, SI: stall and current-limited force of the drive, its top speed, the
    driven wheels' grip, mass, gravity, inertia in yaw, length, track, wheelbase, centre of gravity ahead of the
    rear contact, load share, skid friction, wheels, driven wheels. Fewer than four wheels turn about their own
    axle and drag the skid at the wheelbase; free wheels hold the middle of the turn and the driven ones slip about
    them; with all wheels driven the middle lies where the sideways forces balance.
    """
    shape = np.broadcast(*inputs).shape
    (stall, limited, top, grip, mass, gravity, inertia, length, track, wheelbase, ahead, share, skid, wheels,
     driven) = (np.broadcast_to(np.asarray(value, dtype=float), shape) for value in inputs)
    axles = np.maximum(wheels / 2, 2.0)
    near = np.maximum(np.minimum(ahead, wheelbase - ahead), 0.0)
    spread = 2 * near * np.floor(axles**2 / 4) / (axles * (axles - 1))
    turn = Turn(
        stall, limited, top, grip, track / 2,
        lever=np.where(wheels < 4, 0.0, np.where(driven < wheels, wheelbase, spread)),
        drag_moment=skid * (1 - share) * mass * gravity * np.where(wheels < 4, wheelbase, length / 2),
        inertia=inertia,
    )
    response, half_turn = _response(turn)
    return {"pull": turn.steady_pull(), "rate": turn.steady_rate(), "response": response, "half_turn": half_turn}


_INPUTS = (
    "drive_stall_force", "drive_current_limited_force", "top_speed", "grip_force", "mass", "gravity",
    "turning_inertia", "length", "track", "wheelbase", "cg_ahead", "wheel.load_share", "wheel.skid_friction",
    "wheel.count", "wheel.driven",
)
_WONG = "J. Y. Wong, Theory of Ground Vehicles, ch. 6; from memory"
_COULOMB = (
    "plane motion of a body on sliding tyres, one Coulomb force against each one's slip: K. L. Johnson, Contact "
    "Mechanics, ch. 8; from memory"
)
_BREAKS_LOOSE = Validity(
    "turn_pull_margin",
    "the motors cannot drag the tyres sideways, so the machine hardly turns on the spot",
    low=1.0,
)
_TURNS = "sides opposed, flat out, level floor; grip the same in all directions; no torque from a rotor"

_axles = count / 2
_near = sympy.Min(cg_ahead, wheelbase - cg_ahead)
_spread = 2 * _near * sympy.floor(_axles**2 / 4) / (_axles * (_axles - 1))


def _inertia(formula: sympy.Expr, source: str, assumes: str = "", when: tuple[str, ...] = ()) -> Quantity:
    return Quantity(
        "turning_inertia", "Inertia about the upright axis", "I_z", "kg m^2", "drive", "same", formula,
        source=source, assumes=assumes, when=when,
    )


QUANTITIES = (
    Quantity(
        "top_yaw_rate", "Top turn rate", "Omega", "rad/s", "drive", "higher", 2 * top_speed / track,
        source="plane kinematics, sides opposed at top speed: J. L. Meriam & L. G. Kraige, Engineering Mechanics: "
        "Dynamics, ch. 5",
        assumes="about the robot's own centre, no skid losses: skid_yaw_rate has them",
    ),
    _inertia(stated_inertia, "the design's stated inertia"),
    _inertia(hit_inertia, "the inertia that a hit in the plane of an upright rotor meets: own_hit_inertia",
             when=("rotor.axis=upright",)),
    _inertia(
        mass * (length**2 + width**2) / 12,
        "uniform box, m (a^2 + b^2) / 12: J. L. Meriam & L. G. Kraige, Engineering Mechanics: Dynamics, appendix D; "
        "from memory",
        "mass spread evenly over the robot's length and width; state yaw_inertia for better",
    ),
    Quantity(
        "skid_moment", "Moment to slew the machine sideways", "M_s", "N m", "drive", "lower",
        mass * gravity * (
            load_share * friction * sympy.Piecewise((0, count < 4), (_spread, True))
            + (1 - load_share) * skid_friction * sympy.Piecewise((wheelbase, count < 4), (length / 2, True))
        ),
        source="sideways friction times its mean lever, mu W l / 2 for two axles, mu W l / 4 for a track of even "
        f"pressure: {_WONG}",
        assumes="tyres that pull nothing; with fewer than four wheels only the skid is dragged, at the wheelbase; "
        "axles evenly spaced and loaded; the turn's middle where the sideways forces balance",
    ),
    Quantity(
        "skid_pull", "Drive's pull to turn on the spot", "F_k", "N", "drive", "lower",
        Model(turn_on_the_spot, _INPUTS, "pull"),
        source=_COULOMB,
        assumes=f"both sides together; {_TURNS}",
    ),
    Quantity(
        "turn_pull_margin", "Motors' push over the pull to turn", "F_s/F_k", "1", "drive", "higher",
        sympy.Min(stall_force, limited_force) / skid_pull,
        source="definition",
        assumes="below 1 the motors stall against the tyres' sideways grip",
    ),
    Quantity(
        "skid_yaw_rate", "Turn rate with skid losses", "Omega_k", "rad/s", "drive", "higher",
        Model(turn_on_the_spot, _INPUTS, "rate"),
        source=f"{_COULOMB}; motor force line as drive_stall_force",
        assumes=f"steady; {_TURNS}",
        valid=(_BREAKS_LOOSE,),
    ),
    Quantity(
        "yaw_response_time", "Time to nine tenths of the turn rate", "t_90", "s", "drive", "lower",
        Model(turn_on_the_spot, _INPUTS, "response"),
        source="quadrature of I_z dOmega/dt = M from rest, forces as skid_yaw_rate",
        assumes=f"wheels' own inertia small; {_TURNS}",
        valid=(_BREAKS_LOOSE,),
    ),
    Quantity(
        "half_turn_time", "Time to face about", "t_180", "s", "drive", "lower",
        Model(turn_on_the_spot, _INPUTS, "half_turn"),
        source="as yaw_response_time, to half a turn",
        assumes=f"without stopping there; {_TURNS}",
        valid=(_BREAKS_LOOSE,),
    ),
)
