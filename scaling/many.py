"""Many designs at once for ``import scaling as sc``: one robot with rows of other numbers in its file."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pandas

from scaling.book.entry import Array
from scaling.formulas import book
from scaling.loaded import Design, found_name
from scaling.robot.many import checked, evaluated

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

PATIENCE = 1.0
"""Seconds after which a terminal is told how far it is."""


def evaluate_many(
    robot: Design | str | Path, given: Mapping[str, ArrayLike], only: str | Sequence[str] | None = None
) -> pandas.DataFrame:
    """Return quantities of a robot with rows of numbers in the place of its file's: a row a design.

    ``given`` has rows of SI numbers by dotted key of the file, all of one length, or one number for all; the mass of a
    row of parts goes by the part's name, ``parts."side walls".mass``. Everything
    that follows is worked out anew, as if each design had a file of its own; one that its file would be refused for has
    NaN. ``only`` names the quantity or quantities; without it all, which for a million designs is gigabytes:
    ``evaluate_chunks`` hands them on a few thousand at a time. Units are in ``attrs["units"]``.

    >>> import scaling as sc
    >>> rows = {"rotor.width": [0.008, 0.009], "battery.cells": 3}
    >>> found = sc.evaluate_many("design.toml", rows, only="rotor_energy")
    >>> list(found.columns), found.attrs["units"]["rotor_energy"], len(found)
    (['rotor.width', 'battery.cells', 'rotor_energy'], 'J', 2)
    """
    design = _loaded(robot)
    rows = checked(design._inner, given)
    size = next(iter(rows.values())).size
    values: dict[str, list[tuple[slice, Array]]] = {}
    for place, found in _told(evaluated(design._inner, rows, _asked(design, only)), size):
        for name, some in found.items():
            values.setdefault(name, []).append((place, some))
    columns = dict(rows)
    for name in list(values):
        columns[name] = _whole(values.pop(name), size)
    return _frame(columns, len(rows))


def evaluate_chunks(
    robot: Design | str | Path, given: Mapping[str, ArrayLike], only: str | Sequence[str] | None = None
) -> Iterator[pandas.DataFrame]:
    """Give what ``evaluate_many`` returns a few thousand designs at a time, in order: memory stays flat.

    >>> import scaling as sc
    >>> widths = {"rotor.width": [0.008 + 1e-7 * place for place in range(9000)]}
    >>> best = max(part["rotor_energy"].max() for part in sc.evaluate_chunks("design.toml", widths, "rotor_energy"))
    >>> bool(best > 0)
    True
    """
    design = _loaded(robot)
    rows = checked(design._inner, given)
    size = next(iter(rows.values())).size
    for place, found in _told(evaluated(design._inner, rows, _asked(design, only)), size):
        some = {key: row[place] for key, row in rows.items()}
        count = next(iter(some.values())).size
        yield _frame(some | {name: np.broadcast_to(value, (count,)) for name, value in found.items()}, len(rows))


def _loaded(robot: Design | str | Path) -> Design:
    return robot if isinstance(robot, Design) else Design.load(robot)


def _asked(design: Design, only: str | Sequence[str] | None) -> list[str]:
    """The names of the quantities asked for, all that the robot has without any."""
    had = book.counted(design._inner.traits, design._inner.variables)
    asked = list(had) if only is None else [only] if isinstance(only, str) else only
    return [found_name(each, had, design.name) for each in asked]


def _whole(parts: Sequence[tuple[slice, Array]], size: int) -> Array:
    """One column from its parts; what is the same for all designs is one number, however many there are."""
    numbers = np.asarray([some if np.ndim(some) == 0 else np.nan for _, some in parts])
    if all(np.ndim(some) == 0 for _, some in parts) and np.array_equal(numbers, numbers[:1].repeat(len(parts)), True):
        return np.broadcast_to(numbers[0], (size,))
    column = np.empty(size)
    for place, some in parts:
        column[place] = some
    return column


def _frame(columns: Mapping[str, Array], given: int) -> pandas.DataFrame:
    """A table with its units: so many ``given`` keys of the file, then quantities."""
    frame = pandas.DataFrame(columns, copy=False)
    frame.attrs["units"] = {
        key: _unit(key) if place < given else book.quantities[key].unit for place, key in enumerate(columns)
    }
    return frame


def _unit(key: str) -> str:
    """The SI unit of a key of the file: of the parts' rows the masses can vary."""
    return book.variables[key].unit if key in book.variables else "kg"


def _told(
    parts: Iterator[tuple[slice, dict[str, Array]]], size: int
) -> Iterator[tuple[slice, dict[str, Array]]]:
    """The parts as they come; a terminal is told how far it is where that takes its time."""
    start, told = time.monotonic(), False
    try:
        for place, found in parts:
            yield place, found
            if sys.stderr.isatty() and time.monotonic() - start > PATIENCE:
                share, told = min(place.stop, size) / size, True
                sys.stderr.write(f"\r\033[K{'=' * round(40 * share):<40} {share:4.0%} of {size:,} designs")
                sys.stderr.flush()
    finally:
        if told:
            sys.stderr.write("\r\033[K")
            sys.stderr.flush()
