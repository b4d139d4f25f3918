"""Numeric model of a straight run from rest: grip or current limit first, then the motors' force line."""

from __future__ import annotations

import numpy as np

from scaling.formulas.book import Array


def crossing(
    stall_force: Array, limited_force: Array, grip_force: Array, top_speed: Array, mass: Array, distance: Array
) -> dict[str, Array]:
    """Times in s over ``distance`` and over half of it, from rest, in one batch shape.

    The motors' force falls in a straight line from ``stall_force`` at rest to nothing at ``top_speed``
    (a d.c. motor on a constant voltage); grip and current limit (N) cap it. The capped stretch has
    constant acceleration; after it speed nears the top speed exponentially, with distance
    x(t) = v_top t - (v_top - v_1) tau (1 - exp(-t / tau)), solved for t by bisection.
    """
    cap = np.minimum(np.minimum(limited_force, grip_force), stall_force)
    corner = top_speed * (1 - cap / stall_force)
    acceleration = cap / mass
    tau = mass * top_speed / stall_force
    capped_distance = corner**2 / (2 * acceleration)

    def time(length: Array) -> Array:
        left = np.maximum(length - capped_distance, 0.0)
        low = left / top_speed
        high = low + tau + left / np.maximum(corner, top_speed * 1e-3)
        for _ in range(60):
            middle = (low + high) / 2
            gone = top_speed * middle - (top_speed - corner) * tau * -np.expm1(-middle / tau)
            low, high = np.where(gone < left, middle, low), np.where(gone < left, high, middle)
        capped = np.sqrt(2 * np.minimum(length, capped_distance) / acceleration)
        return np.where(length > capped_distance, capped + (low + high) / 2, capped)

    return {"time": time(distance), "half_time": time(distance / 2)}
