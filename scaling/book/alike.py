"""A choice or a check of one design, for many at once."""

from __future__ import annotations

from typing import Any

import numpy as np


class DiffersError(ValueError):
    """Raised where what ``holds`` for some of many designs does not for others: each of both must be done by itself."""

    def __init__(self, holds: Any) -> None:
        super().__init__("what holds for some designs does not hold for others")
        self.holds = holds


def alike(condition: Any) -> bool:
    """Whether a condition holds, for all designs or for none; raises DiffersError where that differs."""
    if np.ndim(condition) == 0:
        return bool(condition)
    if (holds := bool(np.all(condition))) != bool(np.any(condition)):
        raise DiffersError(condition)
    return holds


def one_of(value: Any) -> float:
    """Return a number, the first of many, to say in a message."""
    return float(np.asarray(value).flat[0])
