"""Reading the surface of an OBJ file: its vertices and faces, whatever else it says or refers to."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import numpy as np

from scaling.files.bounds import BOUNDS

if TYPE_CHECKING:
    from pathlib import Path

    from scaling.book.entry import Array
    from scaling.cad.corners import Whole

FACETS = BOUNDS["facets of a mesh"]
CORNERS = BOUNDS["corners of a face"]
LINE = re.compile(rb"^[ \t]*([vf])[ \t]+([^\r\n#]*)", re.MULTILINE)


def read_obj(data: bytes, path: Path) -> tuple[Array, Whole]:
    """Return the vertices, shape (n, 3), and the triangles, shape (m, 3), of an OBJ file's content.

    A face of more corners is a fan of triangles from its first. Raises InputError for more than there may be, and
    ValueError or IndexError for what is no such file. Source: OBJ, ``v`` and ``f`` statements, from memory.
    """
    places: list[list[bytes]] = []
    faces: list[tuple[int, ...]] = []
    count = 0
    for found in LINE.finditer(data.replace(b"\\\r\n", b" ").replace(b"\\\n", b" ")):
        words = found[2].split()
        if found[1] == b"v":
            places.append(words[:3])
            continue
        CORNERS.check(len(words), path)
        count += max(len(words) - 2, 0)
        FACETS.check(count, path)
        faces.append(tuple(_corner(word, len(places)) for word in words))
    vertices = np.array(places, dtype="S").astype(float).reshape(-1, 3) if places else np.empty((0, 3))
    triangles = np.array(
        [(face[0], face[place], face[place + 1]) for face in faces for place in range(1, len(face) - 1)], dtype=np.int64
    ).reshape(-1, 3)
    if len(triangles) and not (triangles.min() >= 0 and triangles.max() < len(vertices)):
        raise IndexError("a face has a corner that is not there")
    return vertices, triangles


def _corner(word: bytes, so_far: int) -> int:
    """The place of the vertex that a corner of a face names, counted from 1, or back from the last before it."""
    number = int(word.partition(b"/")[0])
    return number - 1 if number > 0 else so_far + number
