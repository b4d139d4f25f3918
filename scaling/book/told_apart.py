"""What results are ordered by: numbers as far as they mean something.

The last digits of a computed number hang on the processor and on the order of its sums. Two that differ in nothing else
are alike, and stay in the order of the book, of the brief or of the parts' list.
"""

from __future__ import annotations

from math import isfinite
from typing import Any, overload

import numpy as np

from scaling.book.entry import Array

DIGITS = 9
"""Significant digits in which two numbers must differ for one to come first."""


@overload
def told_apart(value: float, decimals: int | None = None) -> float: ...
@overload
def told_apart(value: Array, decimals: int | None = None) -> Array: ...


def told_apart(value: Any, decimals: int | None = None) -> Any:
    """Return a number, or an array of them, as an order goes by it: to ``DIGITS`` digits.

    With ``decimals``, to so many after the point: for a difference, whose digits are lost where its terms cancel, and
    for what is not known finer.

    >>> told_apart(0.1 + 0.2) == told_apart(0.3), told_apart(0.3 - 0.1 - 0.2, 9)
    (True, -0.0)
    """
    if decimals is not None:
        return np.round(value, decimals) if isinstance(value, np.ndarray) else round(float(value), decimals)
    if not isinstance(value, np.ndarray):
        return float(f"{value:.{DIGITS}g}") if isfinite(value) else float(value)
    there = np.isfinite(value) & (value != 0)
    unit = 10.0 ** (np.floor(np.log10(np.abs(np.where(there, value, 1.0)))) - DIGITS + 1)
    return np.where(there, np.round(value / unit) * unit, value)
