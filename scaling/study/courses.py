"""What a robot does over time and over a rate of turn: the courses behind single numbers of its formulas.

Each is the model that the book's own number comes from, asked at more than one place.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from scaling.book.distinct import distinct
from scaling.book.entry import Array, Model
from scaling.book.told_apart import told_apart
from scaling.formulas import book
from scaling.formulas.drive.arena_run import distance_run
from scaling.formulas.gyro.rotor_up import side_loads
from scaling.formulas.rotor.spin_up import spin_up_course

Values = Mapping[str, float]
"""Variables and quantities of one robot by name, SI."""

SHARES = np.append(np.linspace(0, 0.9, 46), np.sqrt([0.83, 0.86, 0.89, 0.92, 0.94, 0.96, 0.97, 0.98, 0.985, 0.99]))
"""Shares of the speed at which a spin-up is asked, finer where the energy is nearly full."""

READY = 0.8
"""Share of its energy from which a rotor counts as ready, as in the rush margin."""


@dataclass(frozen=True)
class Rush:
    """A rotor that spins up while an opponent like the robot itself comes from half the arena away.

    ``share`` of the rotor's full ``energy`` (J) at each of ``spin_times`` (s); ``left`` is the opponent's distance (m)
    at each of ``run_times``; it is there at ``arrival``, where the rotor has ``share_met``, and has ``READY`` at
    ``ready``.
    """

    spin_times: Array
    share: Array
    energy: float
    run_times: Array
    left: Array
    arrival: float
    ready: float

    @property
    def share_met(self) -> float:
        """Share of its energy that the rotor has when the opponent is there."""
        return float(np.interp(self.arrival, self.spin_times, self.share))


def rush_of(values: Values, traits: frozenset[str]) -> Rush | None:
    """Return the race between a robot's rotor and its like; None where it has no such race."""
    spin, run = _model("spin_up_time", values, traits), _model("half_arena_crossing_time", values, traits)
    if spin is None or run is None or "rotor_energy" not in values:
        return None
    times = spin_up_course(SHARES, *(values[key] for key in spin.inputs))
    *forces, arena = (values[key] for key in run.inputs)
    arrival = values["half_arena_crossing_time"]
    run_times = np.linspace(0.0, arrival, 61)
    left = np.maximum(arena / 2 - distance_run(run_times, *map(np.asarray, forces)), 0.0)
    return Rush(times, SHARES**2, values["rotor_energy"], run_times, left, arrival, values["spin_up_time_80_energy"])


@dataclass(frozen=True)
class Spin:
    """A rotor from rest: ``speeds`` (rad/s) and ``energies`` (J) at each of ``times`` (s).

    It has 95 % of its ``full`` speed at ``goal``, and ``READY`` of its energy at ``ready``.
    """

    times: Array
    speeds: Array
    energies: Array
    full: float
    goal: float
    ready: float


def spin_of(values: Values, traits: frozenset[str]) -> Spin | None:
    """Return a robot's spin-up; None where it has none, or its motor does not reach the speed."""
    model = _model("spin_up_time", values, traits)
    if model is None or "rotor_energy" not in values:
        return None
    times = spin_up_course(SHARES, *(values[key] for key in model.inputs))
    speed = values["rotor_speed"]
    energies = SHARES**2 * values["rotor_energy"]
    return Spin(times, SHARES * speed, energies, speed, values["spin_up_time"], values["spin_up_time_80_energy"])


@dataclass(frozen=True)
class Turning:
    """What either side stands on the floor with (N) at each turn rate (rad/s), rotor up, in the turn that lifts sooner.

    ``lifts_at`` is the rate at which the ``lifting`` side is off the floor, ``fastest`` what the drive can turn at.
    """

    rates: Array
    lifting: Array
    other: Array
    lifts_at: float
    fastest: float
    way: str


def turning_of(values: Values, farthest: float) -> Turning | None:
    """Return a robot's ground loads up to the rate ``farthest`` (rad/s); None where turning lifts no side of it."""
    needed = ("wheels_down_rate_left_turn", "wheels_down_rate_right_turn", "top_yaw_rate", "holding_lever_left")
    if any(name not in values for name in needed):
        return None
    levers = {side: values[f"holding_lever_{side}"] for side in ("left", "right")}
    way = min(("left", "right"), key=lambda side: told_apart(values[f"wheels_down_rate_{side}_turn"]))
    lifts_at = values[f"wheels_down_rate_{way}_turn"]
    weight, momentum = values["mass"] * values["gravity"], values["angular_momentum"]
    side = min(levers, key=lambda name: told_apart(abs(weight * levers[name] / momentum - lifts_at), 6))
    other = "left" if side == "right" else "right"
    rates = distinct(np.append(np.linspace(0.0, farthest, 41), min(lifts_at, farthest)))
    given = (momentum, values["mass"], values["gravity"], levers[side], levers[other])
    loads = side_loads(rates, *map(np.asarray, given))
    return Turning(rates, loads["lifting"], loads["other"], lifts_at, values["top_yaw_rate"], way)


def _model(name: str, values: Values, traits: frozenset[str]) -> Model | None:
    """The model that a quantity comes from, None where the robot has not the quantity or not all that it takes."""
    if name not in values:
        return None
    entry = book.counted(traits, [key for key in values if key in book.variables]).get(name)
    if entry is None or not isinstance(entry.formula, Model):
        return None
    return entry.formula if all(key in values for key in entry.formula.inputs) else None
