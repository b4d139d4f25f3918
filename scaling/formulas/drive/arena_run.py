"""Numeric model of a straight run from rest: grip or current limit first, then the motors' force line."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scaling.book.entry import Array
from scaling.book.root import rising_root


@dataclass(frozen=True)
class Run:
    """A run from rest: one acceleration up to ``corner`` (m/s), then nearing ``end_speed`` within some ``tau`` (s)."""

    corner: Array
    acceleration: Array
    end_speed: Array
    tau: Array

    @property
    def capped_time(self) -> Array:
        """Time (s) with constant acceleration."""
        return self.corner / self.acceleration

    @property
    def capped_distance(self) -> Array:
        """Distance (m) with constant acceleration."""
        return self.corner**2 / (2 * self.acceleration)

    def free_distance(self, time: Array) -> Array:
        """Distance (m) gone in a ``time`` (s) after the capped stretch."""
        lag = (self.end_speed - self.corner) * self.tau
        return np.asarray(self.end_speed * time + lag * np.expm1(-time / self.tau))


def _run(
    stall_force: Array, limited_force: Array, grip_force: Array, drag: Array, top_speed: Array, mass: Array
) -> Run:
    """The run of ``crossing``, whose inputs these are."""
    cap = np.minimum(np.minimum(limited_force, grip_force), stall_force)
    return Run(
        corner=np.asarray(top_speed * (1 - cap / stall_force)),
        acceleration=np.where(cap > drag, (cap - drag) / mass, np.nan),
        end_speed=np.asarray(top_speed * (1 - drag / stall_force)),
        tau=np.asarray(mass * top_speed / stall_force),
    )


def distance_run(
    time: Array,
    stall_force: Array,
    limited_force: Array,
    grip_force: Array,
    drag: Array,
    top_speed: Array,
    mass: Array,
) -> Array:
    """Return the distance (m) gone at each ``time`` (s) of a run from rest; the other inputs as ``crossing``.

    >>> forces = (41.15, 30.0, 1.959, 0.0)
    >>> half = crossing(*forces, 2.919, 0.454, 2.4)["half_time"]
    >>> round(float(distance_run(half, *forces, 2.919, 0.454)), 9)
    1.2

    Source: that model.
    """
    run = _run(stall_force, limited_force, grip_force, drag, top_speed, mass)
    free = np.maximum(time - run.capped_time, 0.0)
    capped = run.acceleration * np.minimum(time, run.capped_time) ** 2 / 2
    return np.asarray(capped + run.free_distance(free))


def crossing(
    stall_force: Array,
    limited_force: Array,
    grip_force: Array,
    drag: Array,
    top_speed: Array,
    mass: Array,
    distance: Array,
) -> dict[str, Array]:
    """Return times in s over ``distance`` and over half of it, from rest, and the speed at its end, in one batch shape.

    The motors' force falls in a straight line from ``stall_force`` at rest to nothing at ``top_speed``
    (a d.c. motor on a constant voltage); grip and current limit (N) cap it, and ``drag`` (N, rolling and a
    skid's) comes off it at every speed. The capped stretch has constant acceleration; after it speed nears
    its end value v_e = v_top (1 - drag / stall_force) exponentially, with distance
    x(t) = v_e t - (v_e - v_1) tau (1 - exp(-t / tau)), solved for t. NaN where the drag is more
    than the force, so that nothing moves.
    """
    run = _run(stall_force, limited_force, grip_force, drag, top_speed, mass)
    lag = run.end_speed - run.corner

    def free_time(left: Array) -> Array:
        least = left / run.end_speed
        return rising_root(_beyond, least, least + run.tau, left, *vars(run).values())

    def time(length: Array) -> tuple[Array, Array]:
        free = free_time(np.maximum(length - run.capped_distance, 0.0))
        capped = np.sqrt(2 * np.minimum(length, run.capped_distance) / run.acceleration)
        beyond = length > run.capped_distance
        speed = np.where(beyond, run.end_speed - lag * np.exp(-free / run.tau), run.acceleration * capped)
        return np.where(beyond, capped + free, capped), speed

    whole, speed = time(distance)
    return {"time": whole, "half_time": time(distance / 2)[0], "end_speed": speed}


def _beyond(time: Array, left: Array, *run: Array) -> tuple[Array, Array]:
    """How far the free stretch of a run has gone past what is ``left`` after ``time``, and the speed then."""
    own = Run(*run)
    return own.free_distance(time) - left, own.end_speed - (own.end_speed - own.corner) * np.exp(-time / own.tau)
