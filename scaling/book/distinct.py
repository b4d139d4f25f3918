"""The distinct numbers of an array, which NumPy's own way looks at only after loading its masked arrays."""

from __future__ import annotations

from typing import Any

import numpy as np


def distinct(values: Any) -> np.ndarray[Any, np.dtype[Any]]:
    """Return the distinct ones of some numbers, none of them NaN, rising.

    >>> distinct([2.0, 1.0, 2.0])
    array([1., 2.])
    """
    found: np.ndarray[Any, np.dtype[Any]] = np.sort(np.asarray(values), axis=None)
    return np.asarray(found[np.append(True, found[1:] != found[:-1])[: found.size]])
