"""Sizes as they come from a shop's shelf: bolts, sheets, bearings, cells and belts.

Each shelf is a CSV file in ``data/stock`` whose lines '# source:' cite where it comes from. A builder's own file
with the same columns adds to the shelf and replaces rows of the same key; with ``# replace`` as its first line it is
the whole shelf. Columns carry their units; the rows that come out hold SI numbers.
"""

from __future__ import annotations

import math
from dataclasses import MISSING, Field, dataclass, field, fields
from decimal import Decimal, InvalidOperation
from functools import cache, lru_cache
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any, Generic, Literal, TypeVar

from scaling.files.bounds import BOUNDS
from scaling.files.errors import InputError, nearest
from scaling.files.sentence import listed
from scaling.files.text import check_kind, read_text, split_row
from scaling.shop.bolt_names import bolt_meant

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from _typeshed import DataclassInstance

    from scaling.book.entry import Array

FOLDER = Path(__file__).parent / "data" / "stock"
LARGEST_FILE, MOST_ROWS = BOUNDS["shelf file"], BOUNDS["rows of a shelf"]
LONGEST_NAME = 60
RELATIVE_TOLERANCE = 1e-9
PADDING = ' \t,"'  # a spreadsheet pads comments and empty lines with commas and quotes

# Unit in a column's name -> power of ten to SI and plausible range: a trap for m, N or Pa, not a limit of nature.
UNITS = {
    "mm": (-3, 0.01, 1e4), "kN": (3, 0.01, 1e3), "MPa": (6, 1.0, 1e4), "V": (0, 0.1, 10.0), "": (0, 0.01, 1.0),
}
MM, KILONEWTON, MEGAPASCAL, VOLT, SHARE = ({"unit": unit} for unit in UNITS)


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


Row = TypeVar("Row", bound="DataclassInstance")
Found = TypeVar("Found")


@dataclass(frozen=True)
class _Shelf(Generic[Row]):
    """Where a shelf lies, what makes two rows the same article, how rows are sorted, which fields must rise."""

    file: str
    row: type[Row]
    key: tuple[str, ...]
    order: tuple[str, ...]
    rising: tuple[tuple[str, ...], ...] = ()

    def columns(self) -> dict[str, Field[Any]]:
        """Fields by the column name that they have in the file, which ends in the unit."""
        return {"_".join(filter(None, (entry.name, entry.metadata.get("unit")))): entry for entry in fields(self.row)}

    def key_of(self, row: Row) -> tuple[object, ...]:
        """Return what makes ``row`` the same article as another: names in any capitals, sizes as numbers."""
        values = (getattr(row, name) for name in self.key)
        return tuple(value.casefold() if isinstance(value, str) else value for value in values)


_BOLTS = _Shelf("bolts.csv", Bolt, ("size",), ("diameter", "pitch"), (
    ("pitch", "diameter", "clearance_fine", "clearance_medium", "clearance_coarse"),
    ("hex_key", "diameter", "head_diameter", "head_diameter_knurled"),
))
_STRENGTHS = ("proof", "yield_strength", "ultimate")
_BOLT_CLASSES = _Shelf("bolt_classes.csv", BoltClass, ("name",), ("ultimate",), (_STRENGTHS,))
_SHEETS = _Shelf("sheets.csv", Sheet, ("family", "thickness"), ("family", "thickness"))
_BEARINGS = _Shelf("bearings.csv", Bearing, ("designation",), ("bore", "outside", "width"), (("bore", "outside"),))
_CELLS = _Shelf("cells.csv", Cell, ("chemistry",), ("full", "nominal"), (("cut_off", "nominal", "full"),))
_TOOTHED_BELTS = _Shelf("toothed_belts.csv", ToothedBelt, ("profile", "width"), ("pitch", "profile", "width"))
_ROUND_BELTS = _Shelf("round_belts.csv", RoundBelt, ("diameter",), ("diameter",))


def bolts(extra: Path | None = None) -> tuple[Bolt, ...]:
    """Return the bolts by rising diameter; ``extra`` is the builder's own file, InputError when that is bad."""
    return _stocked(_BOLTS, extra)


def bolt_classes(extra: Path | None = None) -> tuple[BoltClass, ...]:
    """Return the property classes by rising strength; ``extra`` and errors as for ``bolts``."""
    return _stocked(_BOLT_CLASSES, extra)


def sheets(extra: Path | None = None) -> tuple[Sheet, ...]:
    """Return the sheets by family and rising thickness; ``extra`` and errors as for ``bolts``."""
    return _stocked(_SHEETS, extra)


def bearings(extra: Path | None = None) -> tuple[Bearing, ...]:
    """Return the bearings by rising bore and outside; ``extra`` and errors as for ``bolts``."""
    return _stocked(_BEARINGS, extra)


def cells(extra: Path | None = None) -> tuple[Cell, ...]:
    """Return the cells by rising full voltage; ``extra`` and errors as for ``bolts``."""
    return _stocked(_CELLS, extra)


def toothed_belts(extra: Path | None = None) -> tuple[ToothedBelt, ...]:
    """Return the toothed belts by rising pitch and width; ``extra`` and errors as for ``bolts``."""
    return _stocked(_TOOTHED_BELTS, extra)


def round_belts(extra: Path | None = None) -> tuple[RoundBelt, ...]:
    """Return the round belts by rising diameter; ``extra`` and errors as for ``bolts``."""
    return _stocked(_ROUND_BELTS, extra)


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


@cache
def _built_in(shelf: _Shelf[Row]) -> dict[tuple[object, ...], Row]:
    return _read(shelf, FOLDER / shelf.file)[1]


def _stocked(shelf: _Shelf[Row], extra: Path | None) -> tuple[Row, ...]:
    if extra is None:
        return _built_in_order(shelf)
    replace, own = _read(shelf, extra)
    return _in_order(shelf, own if replace else _built_in(shelf) | own)


@cache
def _built_in_order(shelf: _Shelf[Row]) -> tuple[Row, ...]:
    return _in_order(shelf, _built_in(shelf))


def _in_order(shelf: _Shelf[Row], rows: Mapping[tuple[object, ...], Row]) -> tuple[Row, ...]:
    return tuple(sorted(rows.values(), key=lambda row: [getattr(row, name) for name in shelf.order]))


@cache
def _built_in_text(file: str) -> str:
    return read_text(FOLDER / file, LARGEST_FILE, "a CSV file")


def text_of(path: Path) -> str:
    """Return the text of a shelf file, of one of the package's own as it was when first read.

    Raises InputError where a builder's own cannot be read.
    """
    return _built_in_text(path.name) if path.parent == FOLDER else read_text(path, LARGEST_FILE, "a CSV file")


def _read(shelf: _Shelf[Row], path: Path) -> tuple[bool, dict[tuple[object, ...], Row]]:
    """Return whether the file replaces the shelf, and its rows by key."""
    replace, header, rows = False, list[str](), dict[tuple[object, ...], Row]()
    for number, line in enumerate(text_of(path).split("\n"), 1):
        place = f"{path}, line {number}"
        text = line.strip(PADDING)
        if text.startswith("#"):
            if says_replace(line):
                if number > 1:
                    raise InputError("'# replace' counts on the first line only", place, hint="move it there")
                replace = True
        elif text and not header:
            header = split_row(line, place)
            _check_header(shelf, header, place)
        elif text:
            row = _row(shelf, header, split_row(line, place), place)
            key = shelf.key_of(row)
            if key in rows:
                raise InputError("the row is there twice", place, " and ".join(shelf.key), hint="leave one out")
            rows[key] = row
            MOST_ROWS.check(len(rows), place)
    if not rows:
        raise InputError("the file has no rows", path, allowed=f"a header and rows of {listed(shelf.columns())}")
    return replace, rows


def says_replace(line: str) -> bool:
    """Whether a line, the first of a builder's own file, makes that file the whole shelf."""
    text = line.strip(PADDING)
    return text.startswith("#") and text.lstrip("# ").casefold() == "replace"


def _check_header(shelf: _Shelf[Row], header: list[str], place: str) -> None:
    columns = shelf.columns()
    check_kind(header, columns, place)
    for name in header:
        if name not in columns:
            raise InputError("unknown column", place, name, allowed=listed(columns), hint=nearest(name, columns))
        if header.count(name) > 1:
            raise InputError("the column stands there twice", place, name, hint="leave one of the two out")
    for name, entry in columns.items():
        if name not in header and entry.default is MISSING:
            raise InputError("the column is missing", place, name, allowed=listed(columns), hint=nearest(name, header))


def _row(shelf: _Shelf[Row], header: list[str], cells: list[str], place: str) -> Row:
    if len(cells) != len(header):
        raise InputError(f"the row has {len(cells)} fields and the header {len(header)}", place,
                         hint="a decimal comma splits a number: write a point")
    columns, given = shelf.columns(), dict(zip(header, cells, strict=True))
    names = {entry.name: column for column, entry in columns.items()}
    values = {columns[name].name: _value(columns[name], name, text, place) for name, text in given.items()}
    for chain in shelf.rising:
        for lower, upper in pairwise(name for name in chain if values.get(name) is not None):
            if not values[lower] < values[upper]:
                allowed = f"more than {names[lower]}, {given[names[lower]]}"
                raise InputError("the number does not fit its row", place, names[upper], given[names[upper]], allowed)
    return shelf.row(**values)


def _value(entry: Field[Any], column: str, text: str, place: str) -> Any:
    if "unit" not in entry.metadata:
        if not (0 < len(text) <= LONGEST_NAME and text.isprintable()):
            raise InputError("not a name", place, column, text, f"1 to {LONGEST_NAME} printable characters")
        return text
    if not text and entry.default is None:
        return None
    power, low, high = UNITS[entry.metadata["unit"]]
    try:
        number = Decimal(text)
        plausible = low <= number <= high
    except InvalidOperation:  # not a number, or NaN, which does not compare
        plausible = False
    if not plausible:
        allowed = f"a number from {low:g} to {high:g}{', or blank' if entry.default is None else ''}"
        raise InputError("not a plausible number", place, column, text, allowed)
    return float(number.scaleb(power))  # in decimals, so that 4.5 mm is exactly the float 0.0045
