"""A shelf's CSV file as rows of dataclasses: its columns, and reading one, the package's own or a builder's."""

from __future__ import annotations

from dataclasses import MISSING, Field, dataclass, fields
from decimal import Decimal, InvalidOperation
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from scaling.files.bounds import BOUNDS
from scaling.files.errors import InputError, nearest
from scaling.files.sentence import listed
from scaling.files.text import check_fields, check_kind, read_text, split_row

if TYPE_CHECKING:
    from collections.abc import Mapping

    from _typeshed import DataclassInstance

FOLDER = Path(__file__).parent / "data" / "stock"
LARGEST_FILE, MOST_ROWS = BOUNDS["shelf file"], BOUNDS["rows of a shelf"]
LONGEST_NAME = 60
PADDING = ' \t,"'  # a spreadsheet pads comments and empty lines with commas and quotes

# Unit in a column's name -> power of ten to SI and plausible range: a trap for m, N or Pa, not a limit of nature.
UNITS = {
    "mm": (-3, 0.01, 1e4), "kN": (3, 0.01, 1e3), "MPa": (6, 1.0, 1e4), "V": (0, 0.1, 10.0), "": (0, 0.01, 1.0),
}
MM, KILONEWTON, MEGAPASCAL, VOLT, SHARE = ({"unit": unit} for unit in UNITS)

Row = TypeVar("Row", bound="DataclassInstance")


@dataclass(frozen=True)
class Shelf(Generic[Row]):
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


def stocked(shelf: Shelf[Row], extra: Path | None) -> tuple[Row, ...]:
    """Return the rows of a shelf in its order; ``extra`` is the builder's own file, InputError when that is bad."""
    if extra is None:
        return _built_in_order(shelf)
    replace, own = _read(shelf, extra)
    return _in_order(shelf, own if replace else _built_in(shelf) | own)


@cache
def _built_in(shelf: Shelf[Row]) -> dict[tuple[object, ...], Row]:
    return _read(shelf, FOLDER / shelf.file)[1]


@cache
def _built_in_order(shelf: Shelf[Row]) -> tuple[Row, ...]:
    return _in_order(shelf, _built_in(shelf))


def _in_order(shelf: Shelf[Row], rows: Mapping[tuple[object, ...], Row]) -> tuple[Row, ...]:
    return tuple(sorted(rows.values(), key=lambda row: [getattr(row, name) for name in shelf.order]))


@cache
def _built_in_text(file: str) -> str:
    return read_text(FOLDER / file, LARGEST_FILE, "a CSV file")


def text_of(path: Path) -> str:
    """Return the text of a shelf file, of one of the package's own as it was when first read.

    Raises InputError where a builder's own cannot be read.
    """
    return _built_in_text(path.name) if path.parent == FOLDER else read_text(path, LARGEST_FILE, "a CSV file")


def _read(shelf: Shelf[Row], path: Path) -> tuple[bool, dict[tuple[object, ...], Row]]:
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


def _check_header(shelf: Shelf[Row], header: list[str], place: str) -> None:
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


def _row(shelf: Shelf[Row], header: list[str], cells: list[str], place: str) -> Row:
    check_fields(cells, header, place)
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
