"""Which dimensions of the design come from which shelf."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from scaling.files.errors import InputError, Mistakes, nearest
from scaling.files.reading import Row, rows_of
from scaling.formulas import book
from scaling.robot.schema import STOCK
from scaling.shop.shelves import How


@dataclass(frozen=True)
class StockRow:
    """A dimension of the design under ``key`` that is bought from ``shelf``, snapped to it ``how``."""

    key: str
    shelf: str
    how: How
    family: str | None = None


def read_rows(tables: dict[str, Any], file: Path, mistakes: Mistakes) -> tuple[Row, ...]:
    """Return the rows of a design's ``[[stock]]`` that are well formed; the mistakes of the others are kept."""
    return rows_of(STOCK, tables, file, mistakes, lambda row: row)


def stock_rows_of(
    rows: tuple[Row, ...], numbers: Mapping[str, float], file: Path, mistakes: Mistakes
) -> tuple[StockRow, ...]:
    """Return which dimensions come from which shelf; keeps rows of what is no dimension of the design."""
    found: dict[str, StockRow] = {}
    for row in rows:
        with mistakes.kept():
            made = _stock_row(row, numbers, file, mistakes)
            if made.key in found:
                raise InputError("a dimension comes from one shelf only", file, f"{row.where}.key", made.key,
                                 hint="keep one of the two rows")
            found[made.key] = made
    return tuple(found.values())


def _stock_row(row: Row, numbers: Mapping[str, float], file: Path, mistakes: Mistakes) -> StockRow:
    key, shelf, family = row.values["key"], row.values["shelf"], row.values.get("family")
    variable = book.variables.get(key)
    is_length = variable is not None and variable.unit == "m"
    if not is_length or (key not in numbers and not mistakes):  # a mistake may have left it out
        raise InputError(
            "this is not a dimension of the design",
            file,
            f"{row.where}.key",
            key,
            "the dotted key of a length that the file states",
            nearest(key, [known for known in numbers if book.variables[known].unit == "m"]),
        )
    if shelf != "sheet" and family is not None:
        raise InputError(
            "only the shelf of sheets has families", file, f"{row.where}.family", family, "no family here"
        )
    return StockRow(key, shelf, row.values["snap"], family)
