"""Reading a text file of a stranger's: whole, small enough, UTF-8, or one sentence on why not."""

from __future__ import annotations

import csv
from typing import TYPE_CHECKING

from scaling.files.errors import InputError
from scaling.files.sentence import listed

if TYPE_CHECKING:
    from collections.abc import Collection
    from pathlib import Path


def read_text(path: Path, largest: int, kind: str) -> str:
    """Return the text of the file at ``path``, of at most ``largest`` bytes; ``kind`` says what it should be.

    Raises InputError for a directory, a file that is missing, too large or not UTF-8, and one that cannot be read.
    """
    try:
        if path.is_dir():
            raise InputError("this is a directory", path, allowed=kind)
        with path.open("rb") as stream:  # read no more than that: a device has no end
            content = stream.read(largest + 1)
        if len(content) > largest:
            raise InputError("the file is too large", path, allowed=f"at most {largest} bytes")
        return content.decode("utf-8-sig").replace("\r\n", "\n")
    except InputError:
        raise
    except FileNotFoundError:
        raise InputError("there is no such file", path, allowed=kind) from None
    except UnicodeDecodeError as error:
        raise InputError(
            f"the file is not UTF-8 text (byte {error.start})", path, allowed=kind, hint="save it as UTF-8"
        ) from None
    except OSError as error:
        raise InputError(f"the file cannot be read ({error.strerror})", path, allowed=kind) from None
    except ValueError:  # a path that no system takes
        raise InputError("the file cannot be read: its path is not one", path, allowed=kind) from None


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
