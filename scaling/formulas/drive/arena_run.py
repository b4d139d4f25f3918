"""Numeric model of a straight run from rest: grip or current limit first, then the motors' force line."""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array


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
    x(t) = v_e t - (v_e - v_1) tau (1 - exp(-t / tau)), solved for t by bisection. NaN where the drag is more
    than the force, so that nothing moves.
    """
    cap = np.minimum(np.minimum(limited_force, grip_force), stall_force)
    end_speed = top_speed * (1 - drag / stall_force)
    corner = top_speed * (1 - cap / stall_force)
    acceleration = np.where(cap > drag, (cap - drag) / mass, np.nan)
    tau = mass * top_speed / stall_force
    capped_distance = corner**2 / (2 * acceleration)

    def free_time(left: Array) -> Array:
        low = left / end_speed
        high = low + tau
        for _ in range(60):
            middle = (low + high) / 2
            gone = end_speed * middle - (end_speed - corner) * tau * -np.expm1(-middle / tau)
            low, high = np.where(gone < left, middle, low), np.where(gone < left, high, middle)
        return np.asarray((low + high) / 2)

    def time(length: Array) -> tuple[Array, Array]:
        free = free_time(np.maximum(length - capped_distance, 0.0))
        capped = np.sqrt(2 * np.minimum(length, capped_distance) / acceleration)
        beyond = length > capped_distance
        speed = np.where(beyond, end_speed - (end_speed - corner) * np.exp(-free / tau), acceleration * capped)
        return np.where(beyond, capped + free, capped), speed

    whole, speed = time(distance)
    return {"time": whole, "half_time": time(distance / 2)[0], "end_speed": speed}
