"""Reading an STL file, binary or text, without ever holding more than its corners."""

from __future__ import annotations

import os
import re
import warnings
from typing import IO, TYPE_CHECKING

import numpy as np

from scaling.files.bounds import BOUNDS
from scaling.files.errors import InputError
from scaling.files.opener import opened

if TYPE_CHECKING:
    from pathlib import Path

    from scaling.book.entry import Array
    from scaling.cad.corners import Corners

FACETS = BOUNDS["facets of a mesh"]
HEAD = 84
FACET = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
"""The head of a binary file, 80 bytes and the count of facets, and each facet behind it."""

AT_ONCE = 20_000
"""Facets that are read at once."""

BLOCK, LONGEST_LINE = 1 << 20, 1 << 16
"""Bytes of a text file that are read at once, and of its longest line."""

VERTEX = re.compile(rb"^[ \t]*vertex[ \t]+([^\r\n]*)", re.IGNORECASE | re.MULTILINE)


def read_stl(path: Path) -> Corners:
    """Return the corners of an STL file's facets, shape (n, 3, 3), in the file's unit.

    Raises InputError for more facets than there may be and ValueError for what is no STL file.
    """
    with opened(path, BOUNDS["mesh file"], "an STL file") as stream:
        size, head = os.fstat(stream.fileno()).st_size, stream.read(HEAD)
        if not head:
            raise InputError("is empty", path, hint="export it again")
        count = int.from_bytes(head[HEAD - 4 :], "little")
        if len(head) == HEAD and size == HEAD + count * FACET.itemsize:
            return _binary(stream, count, path)
        stream.seek(0)
        return _text(stream, path)


def _binary(stream: IO[bytes], count: int, path: Path) -> Corners:
    """The corners as the file has them, in single precision, which takes half the memory."""
    FACETS.check(count, path)
    corners = np.empty((count, 3, 3), dtype=np.float32)
    for start in range(0, count, AT_ONCE):
        some = min(AT_ONCE, count - start)
        corners[start : start + some] = np.frombuffer(stream.read(some * FACET.itemsize), FACET)["corners"]
    return np.asarray(corners)


def _text(stream: IO[bytes], path: Path) -> Corners:
    found: list[Array] = []
    read, rest = 0, b""
    while block := stream.read(BLOCK):
        lines, newline, rest = (rest + block).rpartition(b"\n")
        if len(rest) > LONGEST_LINE and len(block) == BLOCK:
            raise ValueError("a line without end")
        found.append(_numbers(lines + newline))
        read += found[-1].size
        FACETS.check(read // 9, path)
    found.append(_numbers(rest))
    numbers = np.concatenate(found)
    if numbers.size % 9:
        raise ValueError("facets have three corners of three numbers")
    FACETS.check(numbers.size // 9, path)
    return numbers.reshape(-1, 3, 3)


def _numbers(text: bytes) -> Array:
    """Every number behind 'vertex' in some lines."""
    written = b" ".join(VERTEX.findall(text)).decode("ascii")
    with warnings.catch_warnings():  # older numpy only warns where the text stops being numbers
        warnings.simplefilter("error", DeprecationWarning)
        try:
            return np.fromstring(written, sep=" ") if written else np.empty(0)
        except DeprecationWarning as error:
            raise ValueError(str(error)) from None


