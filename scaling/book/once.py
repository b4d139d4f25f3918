"""A numeric model called once for each distinct set of its inputs, however often that stands in an array.

Thousands of combinations of parts share a drive, or a rotor with its motor: what costs most is then worked out for a
few hundred.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import wraps
from typing import Any

import numpy as np

LEAST = 256
"""Rows below which looking for what is the same costs more than it saves."""

BLOCK = 512
"""Rows that a model gets at once: its quadratures hold a hundred times as many numbers, for the processor's cache."""

Found = dict[str, Any]


def each_once(model: Callable[..., Found]) -> Callable[..., Found]:
    """Let a ``model`` of floats or arrays that broadcast, each row by itself, work out rows of one kind once."""

    @wraps(model)
    def once(*inputs: Any) -> Found:
        shape = np.broadcast_shapes(*(np.shape(value) for value in inputs))
        if len(shape) != 1 or shape[0] < LEAST:
            return model(*inputs)
        columns = [np.broadcast_to(np.asarray(value, dtype=float), shape) for value in inputs]
        kinds = _kinds(columns)
        if kinds is None:
            return _in_blocks(model, columns)
        _, first, where = np.unique(kinds, return_index=True, return_inverse=True)
        found = _in_blocks(model, [column[first] for column in columns])
        return {name: np.broadcast_to(value, first.shape)[where] for name, value in found.items()}

    return once


def _in_blocks(model: Callable[..., Found], columns: Sequence[Any]) -> Found:
    rows: dict[str, list[Any]] = {}
    for start in range(0, len(columns[0]), BLOCK):
        block = [column[start : start + BLOCK] for column in columns]
        for name, value in model(*block).items():
            rows.setdefault(name, []).append(np.broadcast_to(value, block[0].shape))
    return {name: np.concatenate(parts) for name, parts in rows.items()}


def _kinds(columns: Sequence[Any]) -> Any:
    """A number each row, the same for rows that are the same; None where most rows are of their own kind."""
    kinds = np.zeros(columns[0].shape, dtype=int)
    for column in columns:
        if column.strides[0] == 0:
            continue
        _, place = np.unique(column, return_inverse=True)
        distinct, kinds = np.unique(kinds * (int(place.max()) + 1) + place, return_inverse=True)
        if 2 * len(distinct) > len(kinds):
            return None
    return kinds
