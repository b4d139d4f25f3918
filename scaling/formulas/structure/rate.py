"""Metals and plastics yield at more when they are hit than when they are pulled slowly."""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array

MILD_STEEL = (40.4, 5.0)
ALUMINIUM = (6500.0, 4.0)
"""Rate in 1/s at which the yield stress doubles, and the law's power: N. Jones, Structural Impact, table 8.1, from
memory. Hardened steels are near 3200 and 5, from memory."""


def rate_factor(strain_rate: Array, doubling_rate: Array, power: Array) -> dict[str, Array]:
    """Return the yield stress at a rate of strain over the slow one: 1 + (rate / C)^(1/q), Cowper and Symonds.

    Inputs, floats or arrays that broadcast: rate of strain (1/s), the rate C at which it doubles (1/s; infinite for
    none), power q. Returns ``factor``; NaN for a negative rate. Valid for metals; for a polymer state a factor instead.

    >>> float(rate_factor(40.4, *MILD_STEEL)["factor"])
    2.0

    Source: G. R. Cowper & P. S. Symonds, Brown University report 28 (1957); N. Jones, Structural Impact, ch. 8; both
    from memory.
    """
    rate = np.asarray(strain_rate, dtype=float) / np.asarray(doubling_rate)
    with np.errstate(all="ignore"):
        factor = 1 + np.where(rate >= 0, rate, np.nan) ** (1 / np.asarray(power))
    return {"factor": np.asarray(factor)}


def bending_rate(speed: Array, thickness: Array, span: Array) -> dict[str, Array]:
    """Return the rate of strain in the surface of a beam that is hit in its middle: of the order 6 v h / L^2.

    The strain of the surface at a deflection w is 6 h w / L^2 for a force on the middle, elastic, hinged.

    Inputs, floats or arrays that broadcast: speed of the struck place (m/s), thickness h (m), span L (m). Returns
    ``rate`` (1/s). Valid as an order: in a plastic hinge the strain gathers and its rate is several times that.

    >>> round(float(bending_rate(10.0, 0.01, 0.1)["rate"]), 6)
    60.0

    Source: beam bending, y = F L^3 / (48 E I), sigma = F L h / (8 I).
    """
    return {"rate": np.asarray(6 * np.asarray(speed) * thickness / np.asarray(span) ** 2)}
