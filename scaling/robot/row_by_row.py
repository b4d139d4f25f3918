"""A derivation that is written for one design, for many of them at once.

Most of a derivation takes arrays as it takes numbers. Where a choice or check differs between the designs (``alike``),
those on either side go on by themselves. What takes single numbers alone raises, and the designs are halved, down
to one: the same code, with plain numbers.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

import numpy as np

from scaling.book.alike import DiffersError
from scaling.book.entry import Array
from scaling.files.errors import InputError

Work = Callable[[dict[str, Any]], Mapping[str, Any]]


def row_by_row(work: Work, given: Mapping[str, Any], wanted: Iterable[str], passing: bool = False) -> dict[str, Any]:
    """Return the ``wanted`` keys of what ``work`` makes of the ``given`` numbers, floats or arrays that broadcast.

    A key that is the same for all designs is one number. Raises the InputError of a design that cannot be; where that
    is ``passing``, such a design has NaN instead.
    """
    many = {key: np.asarray(value, dtype=float) for key, value in given.items() if not isinstance(value, float)}
    shape = np.broadcast_shapes(*{value.shape for value in many.values()})
    rows = {key: _in_a_row(value, shape) for key, value in many.items() if not _is_one(value)}
    same = {
        key: float(many[key].flat[0]) if key in many else value for key, value in given.items() if key not in rows
    }
    names = tuple(wanted)
    if not rows:
        return _of_some(work, same, {}, names, 1, passing)
    found = _of_some(work, same, rows, names, int(np.prod(shape)), passing)
    return {key: value.reshape(shape) if np.ndim(value) else value for key, value in found.items()}


def _is_one(value: Array) -> bool:
    """Whether it is one number for all designs: an array of one, or one that was not copied."""
    return value.size == 1 or not any(value.strides)


def _in_a_row(value: Array, shape: tuple[int, ...]) -> Array:
    """The numbers of an array that broadcasts to ``shape``, one a design."""
    return (value if value.shape == shape else np.broadcast_to(value, shape)).reshape(-1)


def _of_some(
    work: Work, same: dict[str, float], rows: dict[str, Array], names: tuple[str, ...], count: int, passing: bool
) -> dict[str, Any]:
    """The wanted numbers of ``count`` designs, at once where they can be, else of both parts of them."""
    if count == 1:
        one = {key: float(value[0]) for key, value in rows.items()}
        try:
            found = work(same | one)
        except InputError:
            if not passing:
                raise
            return dict.fromkeys(names, np.nan)
        return {key: float(found[key]) for key in names}
    try:
        found = work(same | rows)
        return {key: found[key] for key in names}
    except InputError:  # a check that only some fail says so: all of these do
        if not passing:
            raise
        return {key: np.full(count, np.nan) for key in names}
    except DiffersError as differs:
        first = np.broadcast_to(differs.holds, (count,))
    except (TypeError, ValueError):  # what takes single numbers alone
        first = np.arange(count) < count // 2
    whole = {key: np.empty(count) for key in names}
    for some in (first, ~first):
        part = {key: value[some] for key, value in rows.items()}
        for key, value in _of_some(work, same, part, names, int(some.sum()), passing).items():
            whole[key][some] = value
    return whole
