"""Righting by repeated spin-up: each push of the rotor rocks the machine further, each fall back takes some off.

A machine on its back that one stop or spin-up does not turn over falls back and rolls on; timed right, the next push
adds to what is left. The bound is in the root of the energy, sqrt(E): a push adds at most j = H / sqrt(2 I_e), a fall
back leaves sqrt(kept) of it. Source: angular impulse and momentum: J. L. Meriam & L. G. Kraige, Engineering Mechanics:
Dynamics, sec. 6/8; loss of a rocking block: G. W. Housner, The behavior of inverted pendulum structures during
earthquakes, Bull. Seismological Society of America 53 (1963); both from memory.
"""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array


def pushes_to_right(angular_impulse: Array, edge_inertia: Array, barrier: Array, kept: Array) -> dict[str, Array]:
    """Return the least number of pushes that turn the machine over, and the most energy that any number gives.

    After n pushes sqrt(E) <= j (1 - q^n) / (1 - q), j = H / sqrt(2 I_e), q = sqrt(kept); so E <= j^2 / (1 - q)^2
    however often, and n >= ln(1 - sqrt(E_t) (1 - q) / j) / ln q.

    Inputs, floats or arrays that broadcast: angular impulse H of one push (N m s; of a spin-up the rotor's angular
    momentum, of a stop the same), inertia about the edge (kg m^2), energy E_t to tip over it (J), share of the energy
    that a fall back leaves. Returns ``limit`` (J), ``limit_ratio`` over E_t, and ``pushes``, a whole number, NaN where
    no number is enough. A bound: a push that lasts longer than the machine's swing adds less, and so does one out of
    time. NaN for a kept share that is not within 0 to 1.

    >>> found = pushes_to_right(0.083, 0.0025, 2.2, 0.5)
    >>> float(found["pushes"]), round(float(found["limit_ratio"]), 1)
    (2.0, 7.3)

    Source: this module's.
    """
    kept = np.asarray(kept, dtype=float)
    left = np.sqrt(np.where((kept >= 0) & (kept < 1), kept, np.nan))
    push = np.asarray(angular_impulse) / np.sqrt(2 * np.asarray(edge_inertia))
    needed = np.sqrt(np.asarray(barrier, dtype=float))
    with np.errstate(all="ignore"):
        limit = (push / (1 - left)) ** 2
        short = 1 - needed * (1 - left) / push
        number = np.ceil(np.log(np.where(short > 0, short, np.nan)) / np.log(left) - 1e-9)
        number = np.where(needed <= push, np.where(np.isnan(left), np.nan, 1.0), number)
        number = np.where((left == 0) & (needed > push), np.nan, number)
    return {
        "limit": np.asarray(limit),
        "limit_ratio": np.asarray(limit / np.asarray(barrier)),
        "pushes": np.asarray(number),
    }
