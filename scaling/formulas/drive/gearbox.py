"""What a gearbox leaves of the motor's torque, by the number of its stages."""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array

STAGE_EFFICIENCY = 0.9
"""Of one planetary or spur stage of a small geared motor: common practice, no source; 0.8 when worn or dry."""

STAGE_RATIO = 4.5
"""Ratio of one such stage: common practice, no source; 3.5 to 6."""


def efficiency_estimate(ratio: Array) -> dict[str, Array]:
    """Return the efficiency of a gearbox of which only its ratio is known: 0.9 for each stage of about 4.5.

    Inputs, floats or arrays: ratio. Returns ``stages``, a whole number, and ``efficiency``. NaN for a ratio under 1.

    >>> found = efficiency_estimate(22.0)
    >>> float(found["stages"]), round(float(found["efficiency"]), 2)
    (2.0, 0.81)

    Source: common practice, no source.
    """
    ratio = np.asarray(ratio, dtype=float)
    with np.errstate(all="ignore"):
        stages = np.round(np.log(np.where(ratio >= 1, ratio, np.nan)) / np.log(STAGE_RATIO))
    return {"stages": np.asarray(stages), "efficiency": np.asarray(STAGE_EFFICIENCY**stages)}
