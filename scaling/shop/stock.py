"""Sizes as they come from a shop's shelf: bolts, sheets, bearings, cells and belts.

Each shelf is a CSV file in ``data/stock`` whose lines '# source:' cite where it comes from. A builder's own file
with the same columns adds to the shelf and replaces rows of the same key; with ``# replace`` as its first line it is
the whole shelf. Columns carry their units; the rows that come out hold SI numbers.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, Literal, TypeVar

from scaling.files.errors import InputError, nearest
from scaling.files.sentence import listed
from scaling.shop.bolt_names import bolt_meant
from scaling.shop.shelf_file import KILONEWTON, MEGAPASCAL, MM, SHARE, VOLT, Shelf, stocked

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from scaling.book.entry import Array

RELATIVE_TOLERANCE = 1e-9


@dataclass(frozen=True)
class Bolt:
    """A metric bolt of the coarse series with the head of a hexagon socket cap screw. Lengths in m.

    Source: ISO 262 (pitch), ISO 273 (clearance holes), ISO 4762 (head), as the data file says.
    """

    size: str
    diameter: float = field(metadata=MM)
    pitch: float = field(metadata=MM)
    head_diameter: float = field(metadata=MM)
    head_height: float = field(metadata=MM)
    hex_key: float = field(metadata=MM)
    clearance_fine: float = field(metadata=MM)
    clearance_medium: float = field(metadata=MM)
    clearance_coarse: float = field(metadata=MM)
    head_diameter_knurled: float | None = field(default=None, metadata=MM)

    @property
    def stress_area(self) -> float:
        """Nominal stress area of the thread in m^2, pi/4 (d - 0.938194 P)^2. Source: ISO 898-1 (second-hand)."""
        return math.pi / 4 * (self.diameter - 0.938194 * self.pitch) ** 2

    @property
    def pitch_diameter(self) -> float:
        """Basic pitch diameter d2 = D2 = d - 0.649519 P in m. Source: ISO 724 (second-hand)."""
        return self.diameter - 0.649519 * self.pitch

    @property
    def minor_diameter(self) -> float:
        """Minor diameter d3 of the bolt's thread, d - 1.226869 P in m. Source: ISO 724 (second-hand)."""
        return self.diameter - 1.226869 * self.pitch

    @property
    def minor_diameter_internal(self) -> float:
        """Basic minor diameter D1 of the nut's thread, d - 1.082532 P in m. Source: ISO 724 (second-hand)."""
        return self.diameter - 1.082532 * self.pitch


@dataclass(frozen=True)
class BoltClass:
    """A property class of bolts: least strengths in Pa (proof None where the standard has none), shear over tension.

    Source: ISO 898-1, ISO 3506-1, EN 1993-1-8 Table 3.4, as the data file says.
    """

    name: str
    ultimate: float = field(metadata=MEGAPASCAL)
    yield_strength: float = field(metadata=MEGAPASCAL)
    shear_share: float = field(metadata=SHARE)
    proof: float | None = field(default=None, metadata=MEGAPASCAL)


@dataclass(frozen=True)
class Sheet:
    """A thickness, in m, in which a family of materials is sold. Source: common practice, as the data file says."""

    family: str
    thickness: float = field(metadata=MM)


@dataclass(frozen=True)
class Bearing:
    """A deep groove ball bearing: boundary dimensions in m, static rating C_0 in N where it is known.

    Source: ISO 15 (dimensions), ISO 76 (static rating), as the data file says.
    """

    designation: str
    bore: float = field(metadata=MM)
    outside: float = field(metadata=MM)
    width: float = field(metadata=MM)
    static_rating: float | None = field(default=None, metadata=KILONEWTON)


@dataclass(frozen=True)
class Cell:
    """A lithium cell's voltages in V: nominal, fully charged, end of discharge. Source: as the data file says."""

    chemistry: str
    nominal: float = field(metadata=VOLT)
    full: float = field(metadata=VOLT)
    cut_off: float = field(metadata=VOLT)


@dataclass(frozen=True)
class ToothedBelt:
    """A toothed belt's profile with its pitch and width in m. Source: common practice, as the data file says."""

    profile: str
    pitch: float = field(metadata=MM)
    width: float = field(metadata=MM)


@dataclass(frozen=True)
class RoundBelt:
    """A polyurethane round belt's diameter in m. Source: common practice, as the data file says."""

    diameter: float = field(metadata=MM)


Found = TypeVar("Found")


_BOLTS = Shelf("bolts.csv", Bolt, ("size",), ("diameter", "pitch"), (
    ("pitch", "diameter", "clearance_fine", "clearance_medium", "clearance_coarse"),
    ("hex_key", "diameter", "head_diameter", "head_diameter_knurled"),
))
_STRENGTHS = ("proof", "yield_strength", "ultimate")
_BOLT_CLASSES = Shelf("bolt_classes.csv", BoltClass, ("name",), ("ultimate",), (_STRENGTHS,))
_SHEETS = Shelf("sheets.csv", Sheet, ("family", "thickness"), ("family", "thickness"))
_BEARINGS = Shelf("bearings.csv", Bearing, ("designation",), ("bore", "outside", "width"), (("bore", "outside"),))
_CELLS = Shelf("cells.csv", Cell, ("chemistry",), ("full", "nominal"), (("cut_off", "nominal", "full"),))
_TOOTHED_BELTS = Shelf("toothed_belts.csv", ToothedBelt, ("profile", "width"), ("pitch", "profile", "width"))
_ROUND_BELTS = Shelf("round_belts.csv", RoundBelt, ("diameter",), ("diameter",))


def bolts(extra: Path | None = None) -> tuple[Bolt, ...]:
    """Return the bolts by rising diameter; ``extra`` is the builder's own file, InputError when that is bad."""
    return stocked(_BOLTS, extra)


def bolt_classes(extra: Path | None = None) -> tuple[BoltClass, ...]:
    """Return the property classes by rising strength; ``extra`` and errors as for ``bolts``."""
    return stocked(_BOLT_CLASSES, extra)


def sheets(extra: Path | None = None) -> tuple[Sheet, ...]:
    """Return the sheets by family and rising thickness; ``extra`` and errors as for ``bolts``."""
    return stocked(_SHEETS, extra)


def bearings(extra: Path | None = None) -> tuple[Bearing, ...]:
    """Return the bearings by rising bore and outside; ``extra`` and errors as for ``bolts``."""
    return stocked(_BEARINGS, extra)


def cells(extra: Path | None = None) -> tuple[Cell, ...]:
    """Return the cells by rising full voltage; ``extra`` and errors as for ``bolts``."""
    return stocked(_CELLS, extra)


def toothed_belts(extra: Path | None = None) -> tuple[ToothedBelt, ...]:
    """Return the toothed belts by rising pitch and width; ``extra`` and errors as for ``bolts``."""
    return stocked(_TOOTHED_BELTS, extra)


def round_belts(extra: Path | None = None) -> tuple[RoundBelt, ...]:
    """Return the round belts by rising diameter; ``extra`` and errors as for ``bolts``."""
    return stocked(_ROUND_BELTS, extra)


def bolt(size: str, shelf: Sequence[Bolt] | None = None) -> Bolt:
    """Return the bolt ``size`` from ``shelf``, else the built-in one; InputError if none. Source: the data file.

    >>> bolt("M3").pitch
    0.0005
    """
    known = {entry.size: entry for entry in (bolts() if shelf is None else shelf)}
    return _named(size, known, "bolt size", bolt_meant(size, known))


def bearing(designation: str, shelf: Sequence[Bearing] | None = None) -> Bearing:
    """Return the bearing of this ``designation``, such as '608', as for ``bolt``. Source: the data file."""
    return _named(designation, {each.designation: each for each in (bearings() if shelf is None else shelf)}, "bearing")


def bolt_class(name: str, shelf: Sequence[BoltClass] | None = None) -> BoltClass:
    """Return the property class ``name``, such as '8.8', as for ``bolt``. Source: the data file."""
    return _named(name, {entry.name: entry for entry in (bolt_classes() if shelf is None else shelf)}, "bolt class")


def cell(chemistry: str, shelf: Sequence[Cell] | None = None) -> Cell:
    """Return the cell of this ``chemistry``, such as 'lithium ion', as for ``bolt``. Source: the data file."""
    return _named(chemistry, {entry.chemistry: entry for entry in (cells() if shelf is None else shelf)}, "cell")


def thicknesses(family: str, shelf: Sequence[Sheet] | None = None) -> tuple[float, ...]:
    """Return the thicknesses in m, rising, of a family of sheets, as for ``bolt``. Source: the data file."""
    stocked = sheets() if shelf is None else shelf
    plain = _named(family, {entry.family: entry.family.casefold() for entry in stocked}, "family of sheets")
    return tuple(sorted(entry.thickness for entry in stocked if entry.family.casefold() == plain))


def snap(value: float | Array, sizes: Sequence[float], how: Literal["nearest", "up", "down"]) -> Array:
    """Return for each ``value`` the size on the shelf that it becomes, in an array of the same shape.

    ``sizes`` rise and share the unit of ``value``. 'up' gives the smallest size that is not below, 'down' the
    largest that is not above, NaN where the shelf ends before; 'nearest' gives the end there, and the upper of
    two at the same distance. A value within 1e-9 of a size, relatively, counts as that size. NaN stays NaN.
    Raises ValueError for sizes that do not rise from above zero, and for another ``how``. Source: definition.
    """
    import numpy as np

    shelf, wanted = np.asarray(sizes, dtype=float), np.asarray(value, dtype=float)
    if shelf.ndim != 1 or not _rise(tuple(shelf.tolist())):
        raise ValueError("sizes must be positive and rise")
    last = shelf.size - 1
    slack = RELATIVE_TOLERANCE * np.sign(wanted)
    above = np.searchsorted(shelf, wanted * (1 - slack), side="left")
    below = np.searchsorted(shelf, wanted * (1 + slack), side="right") - 1
    if how == "up":
        place, missing = above, above > last
    elif how == "down":
        place, missing = below, below < 0
    elif how == "nearest":
        low, high = shelf[below.clip(0)], shelf[above.clip(max=last)]
        upper = high - wanted <= wanted - low + RELATIVE_TOLERANCE * high
        place, missing = np.where(upper, above, below), np.False_
    else:
        raise ValueError(f"how must be 'nearest', 'up' or 'down', not {how!r}")
    return np.asarray(np.where(missing | np.isnan(wanted), np.nan, shelf[place.clip(0, last)]))


@lru_cache(maxsize=256)
def _rise(sizes: tuple[float, ...]) -> bool:
    """Whether sizes rise from above zero; port after port asks it of the same shelves."""
    return bool(sizes) and sizes[0] > 0 and all(low < high for low, high in pairwise(sizes))


def _named(name: str, known: Mapping[str, Found], what: str, hint: str | None = None) -> Found:
    for own, entry in known.items():
        if own.casefold() == name.strip().casefold():
            return entry
    raise InputError(f"unknown {what}", given=name, allowed=listed(known), hint=hint or nearest(name, known))
