"""Which dimensions of the design come from which shelf."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from scaling.files import toml as tomlfile
from scaling.files.errors import InputError
from scaling.files.schema import Choice
from scaling.formulas import book
from scaling.shop.shelves import HOWS, SHEET_FAMILIES, SHELVES, How


@dataclass(frozen=True)
class StockRow:
    """A dimension of the design under ``key`` that is bought from ``shelf``, snapped to it ``how``."""

    key: str
    shelf: str
    how: How
    family: str | None = None


def read_rows(rows: object, numbers: dict[str, float], file: Path) -> tuple[StockRow, ...]:
    """Return the rows of a design's ``[[stock]]``; raises InputError for one that cannot be."""
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise InputError("the stock rows must be a list", file, "stock", allowed="tables headed [[stock]]")
    found = tuple(_read_row(row, f"stock[{place}]", numbers, file) for place, row in enumerate(rows, 1))
    keys = [row.key for row in found]
    for place, key in enumerate(keys, 1):
        if key in keys[: place - 1]:
            raise InputError("a dimension comes from one shelf only", file, f"stock[{place}].key", key)
    return found


def _read_row(row: dict[str, Any], where: str, numbers: dict[str, float], file: Path) -> StockRow:
    known = ("key", "shelf", "snap", "family")
    for key in row:
        if key not in known:
            raise tomlfile.unknown(f"{where}.{key}", [f"{where}.{name}" for name in known], file)
    for key in ("key", "shelf"):
        if key not in row:
            raise InputError("missing key", file, f"{where}.{key}")
    key = tomlfile.choice(Choice(None, "dotted key of a dimension"), row["key"], file, f"{where}.key")
    variable = book.variables.get(key)
    if variable is None or variable.unit != "m" or key not in numbers:
        raise InputError(
            "this is not a dimension of the design",
            file,
            f"{where}.key",
            key,
            "the dotted key of a length that the file states",
        )
    shelf = tomlfile.choice(Choice(SHELVES, "shelf"), row["shelf"], file, f"{where}.shelf")
    how = tomlfile.choice(Choice(HOWS, "how to snap"), row.get("snap", "nearest"), file, f"{where}.snap")
    family = row.get("family")
    if shelf != "sheet" and family is not None:
        raise InputError("only the shelf of sheets has families", file, f"{where}.family", family, "no family here")
    if shelf == "sheet":
        families = sorted(set(SHEET_FAMILIES.values()))
        family = tomlfile.choice(Choice(tuple(families), "family of sheets"), family, file, f"{where}.family")
    return StockRow(key, shelf, how, family)  # type: ignore[arg-type]
