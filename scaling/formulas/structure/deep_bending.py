"""A beam bent far past its collapse load: with its ends held from sliding it turns into a rope and carries more.

Rigid, perfectly plastic, a rectangular section whose moment and pull share it as M / M_p = 1 - (N / N_p)^2. The pull
grows with the deflection W until the section is all pull, or until what holds the ends gives: the cap. Source:
R. M. Haythornthwaite, Beams with full end fixity, Engineering 183 (1957), and N. Jones, Structural Impact, ch. 1 and 7;
both from memory, rederived.
"""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array

CLAMPED = (8.0, 1.0)
PINNED = (4.0, 2.0)
"""Collapse load over M_p / L of a force on the middle, and pull over N_p at a deflection of one depth."""


def beam_at_deflection(
    deflection: Array, span: Array, width: Array, depth: Array, strength: Array, end_hold: Array, clamped: Array
) -> dict[str, Array]:
    """Return force and energy of a beam pushed in the middle by ``deflection``.

    With x = W / H and n = N / N_p: clamped P / P_c = 1 - n^2 + 2 n x, P_c = 8 M_p / L, n = x up to 1; pinned P / P_c =
    1 - n^2 + 4 n x, P_c = 4 M_p / L, n = 2 x up to 1; M_p = S b H^2 / 4, N_p = S b H. So 1 + x^2 and then 2 x, and 1 +
    4 x^2 and then 4 x. Where the ends hold no more than the cap N_0, n stops at N_0 / N_p and the ends slide.

    Inputs, floats or arrays that broadcast: deflection W (m), span L, width b and depth H of the section along the
    force (m), yield strength S (Pa), pull that the ends hold (N; 0 for ends free to slide), whether the ends are held
    against turning.

    Returns ``force`` (N), ``energy`` (J) to get there, ``pull`` (N) on the ends and ``strain``, 2 (W / L)^2, of the
    middle line where they do not slide. NaN for a negative deflection. Valid for W well below L / 4, no hardening.

    >>> found = beam_at_deflection(0.005, 0.2, 0.02, 0.005, 250e6, np.inf, True)
    >>> round(float(found["force"])), round(float(found["energy"]), 2), round(float(found["pull"]))
    (2500, 8.33, 25000)

    Source: this module's.
    """
    collapse, rise, most, full = _beam(span, width, depth, strength, end_hold, clamped)
    x = np.asarray(deflection, dtype=float) / depth
    x = np.where(x >= 0, x, np.nan)
    pull = np.minimum(rise * x, most)
    knee = most / rise
    before = np.minimum(x, knee)
    beyond = x - before
    energy = before + rise**2 * before**3 / 3 + (1 - most**2) * beyond + most * rise * (x**2 - before**2)
    return {
        "force": np.asarray(collapse * (1 - pull**2 + 2 * rise * pull * x)),
        "energy": np.asarray(collapse * depth * energy),
        "pull": np.asarray(full * pull),
        "strain": np.asarray(2 * (x * depth / np.asarray(span)) ** 2),
    }


def beam_for_energy(
    energy: Array, span: Array, width: Array, depth: Array, strength: Array, end_hold: Array, clamped: Array
) -> dict[str, Array]:
    """Return how far an energy on the middle of a beam bends it: the inverse of ``beam_at_deflection``.

    Up to the knee x + r^2 x^3 / 3 = E / (P_c H), solved as 2 sinh(arsinh(3 r e / 2) / 3) / r, r = 1 clamped and 2
    pinned; beyond it a quadratic.

    Inputs, floats or arrays that broadcast: energy (J), the rest as there. Returns ``deflection`` (m), ``force`` (N),
    ``pull`` (N) and ``strain`` there. NaN for a negative energy.

    >>> found = beam_for_energy(8.3333, 0.2, 0.02, 0.005, 250e6, np.inf, True)
    >>> round(float(found["deflection"]) * 1e3, 3)
    5.0

    Source: this module's.
    """
    collapse, rise, most, _ = _beam(span, width, depth, strength, end_hold, clamped)
    given = np.asarray(energy, dtype=float) / (collapse * depth)
    given = np.where(given >= 0, given, np.nan)
    knee = most / rise
    first = 2 * np.sinh(np.arcsinh(1.5 * rise * given) / 3) / rise
    # most rise (x^2 - knee^2) + (1 - most^2) (x - knee) = what is left of the energy
    left = given - knee - rise**2 * knee**3 / 3
    slope, bend = 1 - most**2, most * rise
    with np.errstate(all="ignore"):
        total = left + slope * knee + bend * knee**2
        root = 2 * total / (slope + np.sqrt(slope**2 + 4 * bend * total))
    deflection = np.where(left <= 0, first, root) * depth
    found = beam_at_deflection(deflection, span, width, depth, strength, end_hold, clamped)
    return {"deflection": np.asarray(deflection), **{name: found[name] for name in ("force", "pull", "strain")}}


def beam_for_force(
    force: Array, span: Array, width: Array, depth: Array, strength: Array, end_hold: Array, clamped: Array
) -> dict[str, Array]:
    """Return how far a force on the middle of a beam bends it: the inverse of ``beam_at_deflection`` in its force.

    x = sqrt(P / P_c - 1) / r up to the knee, beyond it a straight line, r = 1 clamped and 2 pinned; none below P_c.

    Inputs, floats or arrays that broadcast: force (N), the rest as there. Returns ``deflection`` (m), infinite where
    the force stays beyond what ends free to slide let the beam carry.

    >>> round(float(beam_for_force(2500.0, 0.2, 0.02, 0.005, 250e6, np.inf, True)["deflection"]) * 1e3, 3)
    5.0

    Source: this module's.
    """
    collapse, rise, most, _ = _beam(span, width, depth, strength, end_hold, clamped)
    over = np.maximum(np.asarray(force, dtype=float) / collapse - 1, 0.0)
    with np.errstate(all="ignore"):
        beyond = np.where(over > 0, (over + most**2) / (2 * most * rise), 0.0)
    deflection = np.where(over <= most**2, np.sqrt(over) / rise, beyond) * depth
    return {"deflection": np.asarray(deflection)}


def _beam(
    span: Array, width: Array, depth: Array, strength: Array, end_hold: Array, clamped: Array
) -> tuple[Array, Array, Array, Array]:
    """Collapse load, growth of the pull with x, greatest pull over N_p, and N_p."""
    held = np.asarray(clamped, dtype=bool)
    full = np.asarray(strength * np.asarray(width) * depth)
    load, rise = (np.where(held, one, other) for one, other in zip(CLAMPED, PINNED, strict=True))
    collapse = load * full * depth / 4 / np.asarray(span)
    return collapse, rise, np.minimum(np.asarray(end_hold) / full, 1.0), full
