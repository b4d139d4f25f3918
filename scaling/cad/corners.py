"""The corners of triangles as they come from a file, joined where they meet, and whether the surface is then closed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from scaling.book.entry import Array

    Whole = np.ndarray[Any, np.dtype[np.int64]]
    Corners = np.ndarray[Any, np.dtype[np.floating[Any]]]

MEET = 1e-8
"""Corners that are alike to this, in the file's own unit, are one: far below what a file's digits tell apart."""

AT_ONCE = 100_000
"""Rows that are worked on at once, so that what is needed in between stays small."""

SPREADS = ((0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9),
           (0xD6E8FEB86659FD93, 0xA0761D6478BD642F, 0xE7037ED1A0B428DB),
           (0x8EBC6AF09C88C6E3, 0x589965CC75374CC3, 0x1D8E4E27C47D124F))  # fmt: skip
"""Odd multipliers by which a corner's three coordinates are spread over the whole numbers, and others if two meet."""


def joined(points: Corners) -> tuple[Array, Whole]:
    """Return the different ones of ``points``, shape (n, 3), and for each point its place among them."""
    for spread in SPREADS:
        keys = np.empty(len(points), dtype=np.uint64)
        for here in _runs(len(points)):
            keys[here] = (_on_grid(points[here]).view(np.uint64) * np.array(spread, dtype=np.uint64)).sum(axis=1)
        order = np.argsort(keys)
        keys = keys[order]
        begins = np.concatenate([[True], keys[1:] != keys[:-1]])
        places = np.empty(len(points), dtype=np.int64)
        places[order] = np.cumsum(begins) - 1
        found = np.asarray(points[order[begins]], dtype=float)
        if all((_on_grid(points[here]) == _on_grid(found[places[here]])).all() for here in _runs(len(points))):
            return found, places
    raise ArithmeticError("two different corners met under every spread")


def _on_grid(points: Corners) -> Whole:
    """Coordinates as whole numbers of the length within which two corners are one."""
    return np.rint(np.asarray(points, dtype=float) / MEET).astype(np.int64)


def _runs(rows: int) -> list[slice]:
    return [slice(start, start + AT_ONCE) for start in range(0, rows, AT_ONCE)]


def with_area(faces: Whole) -> Whole:
    """Return the faces that have three different corners."""
    first, second, third = faces.T
    whole: Whole = faces[(first != second) & (second != third) & (third != first)]
    return whole


def is_closed(faces: Whole) -> bool:
    """Say whether each edge is walked as often one way as the other, which is all that the integrals need.

    Two bodies that share an edge pass, unlike under the usual rule of two faces an edge.
    """
    if not len(faces):
        return True
    faces = np.asarray(faces, dtype=np.int64)
    most = int(faces.max()) + 1
    walks = np.empty(3 * len(faces), dtype=np.int64)  # of each edge its two corners, and which way it is walked
    for side in range(3):
        start, end = faces[:, side], faces[:, (side + 1) % 3]
        walks[side::3] = (np.minimum(start, end) * most + np.maximum(start, end)) * 2 + (start < end)
    walks.sort()
    balance = np.cumsum((walks & 1) * 2 - 1, dtype=np.int32)
    last = np.concatenate([walks[1:] >> 1 != walks[:-1] >> 1, [True]])
    return not balance[last].any()


def integrals(vertices: Array, faces: Whole) -> tuple[float, float, Array, Array]:
    """Return area, volume, first and second moments of the volume that faces enclose.

    Each face makes a tetrahedron with the origin, of volume V = a . (b x c) / 6; with s = a + b + c its first moment
    is V s / 4 and its second V (s s' + a a' + b b' + c c') / 20. Source: moments of a simplex, from memory.
    """
    area, volume, first, second = 0.0, 0.0, np.zeros(3), np.zeros((3, 3))
    for here in _runs(len(faces)):
        a, b, c = (vertices[faces[here, corner]] for corner in range(3))
        area += float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum()) / 2
        each = np.einsum("ij,ij->i", a, np.cross(b, c))[:, None] / 6
        volume += float(each.sum())
        whole = a + b + c
        first += (each * whole).sum(axis=0) / 4
        second += sum((each * side).T @ side for side in (a, b, c, whole)) / 20
    return area, volume, first, second
