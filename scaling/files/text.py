"""Reading a text file of a stranger's: whole, small enough, UTF-8, or one sentence on why not."""

from __future__ import annotations

import csv
from typing import TYPE_CHECKING

from scaling.files.errors import InputError
from scaling.files.opener import read_bytes

if TYPE_CHECKING:
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
    except (csv.Error, StopIteration) as error:
        raise InputError(f"not a row of comma-separated values: {error}", place, given=line.strip()) from None
