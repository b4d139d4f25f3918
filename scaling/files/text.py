"""Reading a text file of a stranger's: whole, small enough, UTF-8, or one sentence on why not."""

from __future__ import annotations

import csv
from typing import TYPE_CHECKING

from scaling.files.errors import InputError
from scaling.files.opener import read_bytes
from scaling.files.sentence import listed

if TYPE_CHECKING:
    from collections.abc import Collection
    from pathlib import Path

    from scaling.files.bounds import Bound


def read_text(path: Path, bound: Bound, kind: str) -> str:
    """Return the text of the file at ``path``, of at most the ``bound``'s bytes; ``kind`` says what it should be.

    Raises InputError for what is no file, too large or not UTF-8, and for what cannot be read.
    """
    try:
        return read_bytes(path, bound, kind).decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        raise InputError(
            f"the file is not UTF-8 text (byte {error.start})", path, allowed=kind, hint="save it as UTF-8"
        ) from None


def split_row(line: str, place: str) -> list[str]:
    """Return the fields of one line of a CSV file; raises InputError, naming ``place``, where it is none."""
    try:
        return [cell.strip() for cell in next(csv.reader([line.strip("\r")], strict=True, skipinitialspace=True))]
    except (csv.Error, StopIteration):
        raise InputError(
            "not a row of comma-separated values", place, hint="close each quotation mark before the next comma"
        ) from None


def check_kind(header: Collection[str], known: Collection[str], place: str) -> None:
    """Raise InputError where a header names no ``known`` column: that is another file, and nothing is quoted."""
    if not set(header) & set(known):
        hint = "separate the columns by commas" if any(mark in cell for cell in header for mark in ";\t") else None
        raise InputError("this is no such file: its first row names no column", place, allowed=listed(known), hint=hint)
