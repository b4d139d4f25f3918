"""Many designs at once for ``import scaling as sc``: one robot with rows of other numbers in its file, and tables."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pandas

from scaling.book.at_once import Parts
from scaling.book.entry import Array
from scaling.command.streams import steerable
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
    size, asked = next(iter(rows.values())).size, _asked(design, only)
    return frame(rows, _units(rows), in_one(evaluated(design._inner, rows, asked), asked, size, "designs"))


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
    for place, found in told(evaluated(design._inner, rows, _asked(design, only)), size, "designs"):
        some = {key: row[place] for key, row in rows.items()}
        count = place.stop - place.start
        yield frame(some, _units(rows), {name: np.broadcast_to(value, (count,)) for name, value in found.items()})


def _loaded(robot: Design | str | Path) -> Design:
    return robot if isinstance(robot, Design) else Design.load(robot)


def _asked(design: Design, only: str | Sequence[str] | None) -> list[str]:
    """The names of the quantities asked for, all that the robot has without any."""
    had = book.counted(design._inner.traits, design._inner.variables)
    asked = list(had) if only is None else [only] if isinstance(only, str) else only
    return [found_name(each, had, design.name) for each in asked]


def _units(rows: Iterable[str]) -> dict[str, str]:
    """The SI unit of each key of the file that is varied: of the parts' rows only masses are."""
    return {key: book.variables[key].unit if key in book.variables else "kg" for key in rows}


def in_one(parts: Parts, names: Sequence[str], size: int, what: str) -> dict[str, Array]:
    """Return quantities of so many designs, or ``what`` they are of, a column each, from what comes part by part."""
    values: dict[str, list[tuple[slice, Array]]] = {name: [] for name in names}
    for place, found in told(parts, size, what):
        for name, some in found.items():
            values[name].append((place, some))
    return {name: _column(values.pop(name), size) for name in list(values)}


def _column(parts: Sequence[tuple[slice, Array]], size: int) -> Array:
    """One column from its parts; what is the same for all designs is one number, however many there are."""
    numbers = np.asarray([some if np.ndim(some) == 0 else np.nan for _, some in parts])
    same = len(parts) > 0 and np.array_equal(numbers, numbers[:1].repeat(len(parts)), equal_nan=True)
    if same and all(np.ndim(some) == 0 for _, some in parts):
        return np.broadcast_to(numbers[0], (size,))
    column = np.empty(size)
    for place, some in parts:
        column[place] = some
    return column


def frame(given: Mapping[str, Array], units: Mapping[str, str], values: Mapping[str, Array]) -> pandas.DataFrame:
    """Return a table with its units: what was given, then quantities."""
    made = pandas.DataFrame({**given, **values}, copy=False)
    made.attrs["units"] = {**units, **{name: book.quantities[name].unit for name in values}}
    return made


def told(parts: Parts, size: int, what: str) -> Parts:
    """Give the parts as they come; a terminal is told how far it is where that takes its time."""
    start, said = time.monotonic(), False
    try:
        for place, found in parts:
            yield place, found
            if time.monotonic() - start > PATIENCE and steerable(sys.stderr):
                share, said = place.stop / size, True
                sys.stderr.write(f"\r\033[K{'=' * round(40 * share):<40} {share:4.0%} of {size:,} {what}")
                sys.stderr.flush()
    finally:
        if said:
            sys.stderr.write("\r\033[K")
            sys.stderr.flush()
