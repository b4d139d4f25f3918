"""Points along the lines and curves of a drawing, close enough to measure it, and what lies inside which of them.

A point of the drawing is a complex number, in the drawing's own unit.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.files.bounds import BOUNDS

if TYPE_CHECKING:
    from pathlib import Path

    from scaling.book.entry import Array

    Plane = np.ndarray[Any, np.dtype[np.complex128]]

FINE, FINEST = 1e-6, 1e-9
"""How far a chord may be from its curve: a share of the curve's size, and of its distance from the origin at least."""

FARTHEST = 1e9
"""Drawing units: what is farther off is damaged, and what is not finite would be subdivided for ever."""

PAIRS = 1 << 20
"""Pairs of an edge and a point that are compared at once."""

POINTS, VERTICES = BOUNDS["points of an outline"], BOUNDS["vertices of an outline"]
UPWARD = (0.0, 0.0, 1.0)


class Sampler:
    """Samples the entities of one drawing, as many vertices and points of them as there may be."""

    def __init__(self, source: Path) -> None:
        self.source = source
        self.vertices = self.points = 0

    def sampled(self, entity: Any) -> Plane | None:
        """Return points along an entity, or None when it is not flat or damaged; InputError for too much in all."""
        from ezdxf.lldxf.const import DXFError

        try:
            self.vertices += _vertices_of(entity)
            VERTICES.check(self.vertices, self.source)
            if entity.dxftype() == "CIRCLE" and tuple(entity.dxf.extrusion) == UPWARD:
                found = self._circle(complex(entity.dxf.center.x, entity.dxf.center.y), float(entity.dxf.radius))
            elif (corners := _corners_of(entity)) is not None:
                found = self._polyline(*corners)
            else:
                found = _along_path(entity)
        except (ValueError, TypeError, ArithmeticError, DXFError) as error:
            if hasattr(error, "allowed"):  # an InputError is a ValueError
                raise
            return None
        if found is not None:
            self._take(len(found) - 1)
        return found

    def _take(self, some: int) -> None:
        self.points += some
        POINTS.check(self.points, self.source)

    def _circle(self, centre: complex, radius: float) -> Plane | None:
        if not (0 < radius < FARTHEST and abs(centre) < FARTHEST):
            return None
        fine = max(FINE * 2 * radius, FINEST * (abs(centre) + radius))
        turn = np.linspace(0.0, 2 * np.pi, 1 + int(_chords(np.asarray(2 * np.pi), np.asarray(radius), fine)))
        found = np.asarray(centre + radius * np.exp(1j * turn))
        found[-1] = found[0]
        return found

    def _polyline(self, corners: Plane, bulges: Array) -> Plane | None:
        """Points along straight lines and arcs, ``bulges`` the tangents of a quarter of each arc's angle."""
        if not len(corners) or not (np.abs(corners).max() < FARTHEST and (np.abs(bulges) < FARTHEST).all()):
            return None
        here, chord = corners[:-1], np.diff(corners)
        bent = (bulges != 0) & (chord != 0)
        if not bent.any():
            return corners
        size = max(float(np.ptp(corners.real)), float(np.ptp(corners.imag)))
        angle = np.where(bent, 4 * np.arctan(bulges), 0.0)
        safe = np.where(bent, bulges, 1.0)
        radius = _radius(chord, safe)
        fine = max(FINE * size, FINEST * float(np.abs(corners).max()))
        counts = np.where(bent, _chords(np.abs(angle), np.where(bent, radius, 1.0), fine), 1).astype(np.int64)
        POINTS.check(self.points + int(counts.sum()), self.source)
        edge = np.repeat(np.arange(len(counts)), counts)
        share = (np.arange(len(edge)) - np.repeat(np.cumsum(counts) - counts, counts)) / counts[edge]
        centre = here + chord / 2 + 1j * chord * (1 - safe**2) / (4 * safe)
        arcs = centre[edge] + (here - centre)[edge] * np.exp(1j * angle[edge] * share)
        return np.append(np.where(bent[edge], arcs, here[edge]), corners[-1])


def radii(entity: Any) -> Array:
    """Return the radii of an entity's arcs."""
    if entity.dxftype() == "ARC":
        return np.asarray([entity.dxf.radius])
    found = _corners_of(entity)
    if found is None:
        return np.empty(0)
    bent = found[1] != 0
    return _radius(np.diff(found[0])[bent], found[1][bent])


def _radius(chord: Plane, bulge: Array) -> Array:
    return np.asarray(np.abs(chord) * (1 + bulge**2) / (4 * np.abs(bulge)))


def _chords(angle: Array, radius: Array, fine: float) -> Array:
    """How many chords an arc needs to be nowhere farther than ``fine`` from them."""
    return np.asarray(np.ceil(angle / (2 * np.arccos(1 - np.minimum(fine / radius, 1.0)))))


def _vertices_of(entity: Any) -> int:
    kind = entity.dxftype()
    if kind in {"LWPOLYLINE", "POLYLINE"}:
        return len(entity)
    if kind == "SPLINE":
        return max(int(entity.control_point_count()), int(entity.fit_point_count()), 2)
    return 2


def _corners_of(entity: Any) -> tuple[Plane, Array] | None:
    """The corners of a flat polyline and the bulge behind each but the last; None for what is none."""
    kind = entity.dxftype()
    if kind not in {"LWPOLYLINE", "POLYLINE"} or tuple(entity.dxf.extrusion) != UPWARD:
        return None
    if kind == "LWPOLYLINE":
        rows = entity.get_points("xyb")
    elif entity.is_2d_polyline and not entity.dxf.flags & 6:  # neither fitted by arcs nor by a spline
        if not all(each.dxf.hasattr("location") for each in entity.vertices):
            return None
        rows = [(*each.dxf.location.vec2, each.dxf.get("bulge", 0.0)) for each in entity.vertices]
    else:
        return None
    table = np.array(rows, dtype=float).reshape(-1, 3)
    corners, bulges = table[:, :2].copy().view(np.complex128)[:, 0], table[:, 2]
    if (entity.closed if kind == "LWPOLYLINE" else entity.is_closed) and len(corners):
        return np.append(corners, corners[0]), bulges
    return corners, bulges[:-1]


def _along_path(entity: Any) -> Plane | None:
    from ezdxf.path import make_path

    # 64 Bezier pieces are exact to 1e-11; chords within a millionth of the size give a circle's area to 3e-6.
    curve = make_path(entity, segments=64, level=6)
    frame = np.array([tuple(vertex) for vertex in curve.control_vertices()])
    size = np.ptp(frame, axis=0).max()
    if not np.abs(frame).max() < FARTHEST:
        return None
    fine = max(FINE * size, FINEST * np.abs(frame).max())
    x, y, z = np.array([tuple(vertex) for vertex in curve.flattening(fine)]).T
    return np.asarray(x + 1j * y) if np.ptp(z) <= 1e-6 * size else None


def transform(entity: Any, growth: float, shift: complex = 0j) -> None:
    """Scale an entity about the origin, then shift it; a polyline of many vertices all at once."""
    from ezdxf.math import Matrix44

    if entity.dxftype() != "LWPOLYLINE" or tuple(entity.dxf.extrusion) != UPWARD:
        entity.transform(Matrix44.chain(Matrix44.scale(growth), Matrix44.translate(shift.real, shift.imag, 0.0)))
        return
    rows = np.array(entity.get_points(), dtype=float).reshape(-1, 5)  # x, y, width at start and end, bulge
    rows[:, :4] *= growth
    rows[:, :2] += (shift.real, shift.imag)
    entity.lwpoints.set(rows)
    for name in ("elevation", "thickness", "const_width"):
        if entity.dxf.hasattr(name):
            entity.dxf.set(name, entity.dxf.get(name) * growth)


def inside(polygon: Plane, points: Plane) -> np.ndarray[Any, np.dtype[np.bool_]]:
    """Say of each point whether it is inside: a ray to the right then crosses the polygon an odd number of times.

    Each edge is compared with the points between its ends' heights only, so that what is finely drawn costs little.
    """
    order = np.argsort(points.imag)
    heights, start, run = points.imag[order], polygon, np.roll(polygon, -1) - polygon
    low, high = np.minimum(start.imag, (start + run).imag), np.maximum(start.imag, (start + run).imag)
    first, last = np.searchsorted(heights, low, "left"), np.searchsorted(heights, high, "left")
    ends = np.cumsum(last - first)
    crossings = np.zeros(len(points), dtype=np.int64)
    at = 0
    while at < len(polygon):
        done = ends[at - 1] if at else 0
        stop = max(at + 1, int(np.searchsorted(ends, done + PAIRS, "right")))
        counts = (last - first)[at:stop]
        edge = np.repeat(np.arange(at, stop), counts)
        point = order[first[edge] + np.arange(len(edge)) - np.repeat(np.cumsum(counts) - counts, counts)]
        away = start[edge] - points[point]
        crosses = away.real > away.imag * run[edge].real / run[edge].imag
        crossings += np.bincount(point[crosses], minlength=len(points))
        at = stop
    return np.asarray(crossings % 2 == 1)
