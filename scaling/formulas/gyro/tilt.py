"""How far and how fast the machine tilts when the gyroscopic moment lifts a side: a rigid body about its wheels.

While it turns at a steady rate, I phi'' = H Omega cos phi - m g (a cos phi - h sin phi) about the wheels that stay
down, a the weight's lever and h the centre of gravity's height; phi' follows from the work done, and time from
a quadrature over phi. Let go, the moment is gone and the machine climbs on its momentum, falls back or goes over.
Source: J. L. Meriam & L. G. Kraige, Engineering Mechanics: Dynamics, sec. 6/6 (work and energy), from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scaling.book.entry import Array

NODES, WEIGHTS = np.polynomial.legendre.leggauss(16)
PLACES, SHARES = (NODES + 1) / 2, WEIGHTS / 2
"""Gauss-Legendre on 0 to 1."""


@dataclass(frozen=True)
class Tilt:
    """A machine that turns; every field is a float or array of one batch shape, SI units.

    ``moment`` is the gyroscopic one while level, ``weight`` m g, ``lever`` its arm about the wheels that stay
    down, ``height`` the centre of gravity's, ``inertia`` that about those wheels.
    """

    moment: Array
    weight: Array
    lever: Array
    height: Array
    inertia: Array

    @property
    def balance(self) -> Array:
        """Tilt at which the weight stands over the wheels that stay down."""
        return np.arctan2(self.lever, self.height)

    @property
    def barrier(self) -> Array:
        """Work that lifts the centre of gravity from level to over the wheels."""
        return self.weight * (np.hypot(self.lever, self.height) - self.height)

    def time(self, tilt: Array) -> Array:
        """Time to reach ``tilt`` from level, the turn held; with tilt = end u^2 the integrand is smooth at 0."""
        places = PLACES.reshape(-1, *[1] * np.ndim(tilt))
        at = tilt * places**2
        work = (self.moment - self.weight * self.lever) * np.sin(at) + self.weight * self.height * (1 - np.cos(at))
        slowness = 2 * tilt * places * np.sqrt(self.inertia / (2 * work))
        return np.asarray(np.sum(SHARES.reshape(places.shape) * slowness, axis=0))

    def tilt_at(self, time: Array, steps: int = 12) -> Array:
        """Tilt after ``time``, no further than the balance.

        Time goes nearly as the tilt's square root, so its square is followed by the secant through 0.
        """
        spare = self.moment - self.weight * self.lever
        tilt = np.minimum(spare * time**2 / (2 * self.inertia), self.balance)
        for _ in range(steps):
            tilt = np.minimum(tilt * (time / self.time(tilt)) ** 2, self.balance)
        return tilt


def turn_tilt(*inputs: Array) -> dict[str, Array]:
    """Follow a turn at top rate: tilts in rad, times in s, turn angle in rad; NaN where there is no such thing.

    Inputs, floats or arrays that broadcast, SI: gyroscopic torque at the top turn rate, that rate, mass, gravity,
    load share, track, height of the centre of gravity, roll inertia about it, angle of the turn asked for.
    ``fall_back``: tilt from which the machine just falls back while it turns. ``tip_time``: time in which a held
    turn tips it to its balance. ``tip_turn``: turn after which letting go no longer saves it. ``peak``: largest
    tilt of the turn asked for, let go at its end.
    """
    shape = np.broadcast(*inputs).shape
    moment, rate, mass, gravity, share, track, height, inertia, angle = (
        np.broadcast_to(np.asarray(value, dtype=float), shape) for value in inputs
    )
    lever = share * track / 2
    tilt = Tilt(moment, mass * gravity, lever, height, inertia + mass * (lever**2 + height**2))
    lifts = moment > tilt.weight * lever
    spare = lever - moment / tilt.weight
    saved = np.minimum(tilt.barrier / moment, np.sin(tilt.balance))
    with np.errstate(all="ignore"):
        reached = tilt.tilt_at(angle / rate)
        climbed = height + moment * np.sin(reached) / tilt.weight
        peak = tilt.balance - np.arccos(climbed / np.hypot(lever, height))
        return {
            "fall_back": np.where(lifts, np.nan, np.arctan2(spare, height)),
            "tip_time": np.where(lifts, tilt.time(tilt.balance), np.nan),
            "tip_turn": np.where(lifts, rate * tilt.time(np.arcsin(saved)), np.nan),
            "peak": np.where(lifts & (reached < tilt.balance), peak, np.nan),
        }
