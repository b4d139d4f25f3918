"""Flat parts as drawn for cutting: read a DXF outline, scale it, and re-cut its holes to other diameters.

A hole rarely follows the scale: its bolt comes in steps. So each full circle of a stated diameter gets the one
stated for it, at its scaled place, and everything that was done is returned as rows. Inside this module a point
of the drawing is a complex number, in the drawing's own unit.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from io import StringIO
from math import pi
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from scaling.cad.damaged import damage_told, damaged
from scaling.cad.mesh import check_positive
from scaling.cad.mesh_file import check_kind
from scaling.cad.sampled import Sampler, inside, radii, transform
from scaling.files.bounds import BOUNDS
from scaling.files.errors import InputError
from scaling.files.opener import opened
from scaling.files.plausible import sizes
from scaling.files.sentence import calm, listed
from scaling.files.write import check_file, write_bytes

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    Plane = np.ndarray[Any, np.dtype[np.complex128]]
    Point = tuple[float, float]
    Holes = Mapping[float, float]
    End = tuple[int, int]  # an edge's number, and 0 for its start or 1 for its end

ENTITIES, DEEPEST = BOUNDS["entities of an outline"], BOUNDS["blocks within blocks"]
HOLE_TOLERANCE = 0.05e-3  # m on the diameter: within this a circle counts as a hole of the stated diameter
GAP = 0.01e-3  # m: ends nearer than this meet; far below a cutter's kerf
# $INSUNITS, after the DXF Reference (from memory): code, name, metres.
DRAWING_UNITS = {0: ("unitless", 1e-3), 1: ("in", 0.0254), 4: ("mm", 1e-3), 5: ("cm", 1e-2), 6: ("m", 1.0)}
OUTLINE_KINDS = ("LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "SPLINE", "ELLIPSE")
MARKS = ("POINT", "TEXT", "MTEXT")
DXF = ("DXF", "save it again as DXF 2010")


@dataclass(frozen=True)
class Change:
    """One row of what was done to a drawing; lengths in m, None where the row has no centre or diameter."""

    kind: str
    layer: str
    reason: str
    count: int = 1
    old_centre: Point | None = None
    new_centre: Point | None = None
    old_diameter: float | None = None
    new_diameter: float | None = None


@dataclass(frozen=True)
class Circle:
    """A full circle of the drawing: centre and diameter in m, however it was drawn."""

    layer: str
    centre: Point
    diameter: float


@dataclass(frozen=True)
class Outline:
    """A flat part as drawn.

    ``unit`` is the drawing's own. ``extents`` m, ``length`` m of all curves together, ``area`` m^2 inside
    the outer loops less the loops in them (None where a curve does not close), ``circles`` every full
    circle, ``notes`` what a reader must know: an assumed unit, blocks broken up, what does not count, open ends.
    """

    unit: str
    extents: Point
    length: float
    area: float | None
    circles: tuple[Circle, ...]
    notes: tuple[str, ...]


class _Edge(NamedTuple):
    entity: Any
    points: Plane


class _Loop(NamedTuple):
    layer: str
    entities: tuple[Any, ...]
    points: Plane

    @property
    def area(self) -> float:
        return abs(float((self.points.conj() * np.roll(self.points, -1)).imag.sum())) / 2


@damage_told("ezdxf", *DXF)
def read_outline(path: Path | str) -> Outline:
    """Read a DXF drawing and measure what would be cut. A frame or title block would count, so leave it out.

    Raises InputError for a file that is missing, empty, beyond a bound, not DXF, in an unknown unit, or
    without any line or curve.
    """
    document, unit, metres, changes = _open(Path(path))
    edges = _edges(document.modelspace(), changes, Path(path))
    drawn, open_ends = _loops(edges, GAP / metres)
    BOUNDS["loops of an outline"].check(len(drawn), Path(path))
    loops = list({(complex(loop.points.sum()), loop.area): loop for loop in drawn}.values())
    everything = np.concatenate([edge.points for edge in edges])
    _check_size(max(np.ptp(everything.real), np.ptp(everything.imag)) * metres, Path(path))
    notes = [f"{c.count} {c.kind} on layer {c.layer}: {c.reason}" if c.layer else c.reason for c in changes]
    if len(loops) < len(drawn):
        notes.append(f"drawn twice, would be cut twice, and count once here: {len(drawn) - len(loops)} of the loops")
    area = None if open_ends else _enclosed(loops)
    if open_ends:
        places = ", ".join(f"({end.real:g}, {end.imag:g})" for end in open_ends[:3])
        notes.append(f"ends that meet none or several others, so no area: {len(open_ends)}, first at {places}")
    elif area is None:
        notes.append("loops touch or cross, so no area")
    return Outline(
        unit=unit,
        extents=(float(np.ptp(everything.real)) * metres, float(np.ptp(everything.imag)) * metres),
        length=sum(float(np.abs(np.diff(edge.points)).sum()) for edge in edges) * metres,
        area=None if area is None else area * metres**2,
        circles=tuple(circle for loop in loops if (circle := _round(loop, metres)) is not None),
        notes=tuple(notes),
    )


@damage_told("ezdxf", *DXF)
def rescale_outline(
    path_in: Path | str, path_out: Path | str, factor: float, holes: Mapping[float, float], force: bool = False
) -> list[Change]:
    """Write the drawing ``path_in``, scaled by ``factor`` about its origin and with its holes re-cut, to ``path_out``.

    ``holes`` maps an old diameter to the new one, both in m: each full circle within 0.05 mm of the old
    one (drawn as circle, arcs, polyline, ellipse or spline) gets the new diameter at its scaled centre.
    Other circles scale like the outline. Points and texts go along; anything else is left out. Returns a row
    for each circle, for each kind and layer of the rest, for each entity left out, and for each hole that was
    asked for and not found. Whether the new holes leave enough edge distance is not judged here.

    Raises InputError as ``read_outline`` does, and for a factor or diameter not positive, an extension other
    than .dxf and a ``path_out`` that exists (unless ``force``).
    """
    target = Path(path_out)
    if target.suffix.lower() != ".dxf":
        raise InputError("is of an unknown kind", target, None, target.suffix or target.name, ".dxf")
    check_file(target, force)
    check_positive("factor", [factor], 1)
    check_positive("holes", [*holes, *holes.values()], 2 * len(holes))
    document, _, metres, changes = _open(Path(path_in))
    space = document.modelspace()
    edges = _edges(space, changes, Path(path_in))
    drawn, _ = _loops(edges, GAP / metres)
    BOUNDS["loops of an outline"].check(len(drawn), Path(path_in))
    done = _recut(drawn, factor, holes, metres, changes)
    tally: Counter[tuple[str, str, str]] = Counter()
    for entity in space:
        if entity not in done:
            transform(entity, factor)
            tally[entity.dxftype(), calm(entity.dxf.layer), _fate(entity, holes, metres / factor)] += 1
    changes += [Change(*key, count=count) for key, count in tally.items()]
    x, y = (np.concatenate([part(edge.points) for edge in edges]) * factor for part in (np.real, np.imag))
    _check_size(max(np.ptp(x), np.ptp(y)) * metres, Path(path_in))
    low, high = (x.min(), y.min(), 0.0), (x.max(), y.max(), 0.0)
    space.reset_extents(low, high)
    document.header["$EXTMIN"], document.header["$EXTMAX"] = low, high  # which ezdxf leaves for a corner at 0, 0
    text = StringIO()
    document.write(text)
    write_bytes(target, document.encode(text.getvalue()), force)
    return changes


def _check_size(span: float, source: Path) -> None:
    """Raise InputError for an outline of no plausible size."""
    least, most = sizes("m")
    if not least <= span <= most:
        raise InputError(f"holds an outline {span:g} m across", source, allowed=f"{least:g} to {most:g} m",
                         hint="mend the drawing's unit, or the factor")  # fmt: skip


def _recut(loops: Sequence[_Loop], factor: float, holes: Holes, metres: float, changes: list[Change]) -> set[Any]:
    """Transform every full circle, add its row, and return the entities dealt with."""
    done: set[Any] = set()
    missing, seen = set(holes), set()
    for loop in loops:
        circle = _round(loop, metres)
        if circle is None:
            continue
        old = _nearest_hole(circle.diameter, holes)
        new = circle.diameter * factor if old is None else holes[old]
        reason = "scaled with the outline" if old is None else f"hole of {old * 1e3:g} mm re-cut to {new * 1e3:g} mm"
        growth = new / circle.diameter
        shift = (factor - growth) * complex(*circle.centre) / metres
        for entity in loop.entities:
            transform(entity, growth, shift)
            done.add(entity)
        kinds = " and ".join(dict.fromkeys(entity.dxftype() for entity in loop.entities))
        moved = (circle.centre[0] * factor, circle.centre[1] * factor)
        where = (circle.centre, moved, circle.diameter, new)
        changes.append(Change(kinds, loop.layer, reason, len(loop.entities), *where))
        missing.discard(old)
        seen.add(f"{circle.diameter * 1e3:.4g}")
    there = ", ".join(sorted(seen, key=float)) or "none"
    for old in sorted(missing):
        reason = f"no full circle of {old * 1e3:g} mm in the drawing, so none was re-cut; there are, in mm: {there}"
        changes.append(Change("CIRCLE", "", reason, 0, old_diameter=old, new_diameter=holes[old]))
    return done


def _nearest_hole(diameter: float, holes: Holes) -> float | None:
    near = min(holes, key=lambda hole: abs(hole - diameter), default=None)
    return near if near is not None and round(abs(near - diameter), 9) <= HOLE_TOLERANCE else None


def _fate(entity: Any, holes: Holes, metres: float) -> str:
    """Say what became of a scaled entity; ``metres`` takes its scaled numbers back to the old lengths."""
    if entity.dxftype() in MARKS:
        return "scaled with the outline, but nothing to cut: check it"
    if any(_nearest_hole(2 * radius * metres, holes) is not None for radius in set(radii(entity).tolist())):
        return "scaled with the outline; it has an arc of a hole's diameter (a slot, a rounded corner): check it"
    return "scaled with the outline"


def _open(source: Path) -> tuple[Any, str, float, list[Change]]:
    """Read a drawing and break up its blocks; return document, unit, metres a unit, and what to report."""
    from ezdxf.filemanagement import readfile

    check_kind(source, (".dxf",), "save the drawing as DXF")
    with opened(source, BOUNDS["outline file"], "a DXF drawing") as stream:
        if not stream.read(1):
            raise InputError("is empty", source, hint="save it again")
    try:
        document = readfile(source)
        code = int(document.header.get("$INSUNITS", 0))
    except Exception as error:  # the parser raises whatever a damaged file leads it into
        raise damaged(source, *DXF) from error
    if code not in DRAWING_UNITS:
        allowed = listed(f"{number} ({name})" for number, (name, _) in DRAWING_UNITS.items())
        raise InputError("is in a unit unknown here", source, "$INSUNITS", code, allowed)
    BOUNDS["layers of an outline"].check(len(document.layers), source)
    changes = [] if code else [Change("DRAWING", "", "it states no unit: its numbers were taken as millimetres", 0)]
    for name in document.layout_names():
        if name != "Model" and (count := sum(entity.dxftype() != "VIEWPORT" for entity in document.layout(name))):
            changes.append(Change("LAYOUT", "", f'the sheet "{calm(name)}" does not count and stays as it was', count))
    _break_up_blocks(document.modelspace(), changes, source)
    return document, *DRAWING_UNITS[code], changes


def _break_up_blocks(space: Any, changes: list[Change], source: Path) -> None:
    """Replace each block reference by what it shows, level by level; a hostile file nests or repeats without end."""
    total = len(space)
    for _ in range(DEEPEST.most + 1):
        references = list(space.query("INSERT"))
        for reference in references:
            block, grid = reference.block(), (reference.dxf.row_count, reference.dxf.column_count)
            total += max(len(block or ()), 1) * max(grid[0], 1) * max(grid[1], 1)
        ENTITIES.check(total, source)
        if not references:
            return
        for reference in references:
            lost = dict.fromkeys(reference.attribs, "attribute")
            parts = _shown(reference, lost, source)
            for part in parts:
                if part.dxf.layer == "0":
                    part.dxf.layer = reference.dxf.layer  # what a block draws on layer 0 shows on the reference's
                space.add_entity(part)
            reason = f'block "{calm(reference.dxf.name)}" broken up, entities: {len(parts)}'
            reason += f"; left out of it: {listed(entity.dxftype() for entity in lost)}" if lost else ""
            changes.append(Change("INSERT", calm(reference.dxf.layer), reason))
            space.delete_entity(reference)
    raise DEEPEST.refused(DEEPEST.most + 1, source)


def _shown(reference: Any, lost: dict[Any, str], source: Path) -> list[Any]:
    """Return what a block reference shows, and put what it cannot show in ``lost``, with ezdxf's reason."""
    copies = reference.multi_insert() if reference.mcount > 1 else (reference,)
    try:
        return [part for copy in copies for part in copy.virtual_entities(skipped_entity_callback=lost.setdefault)]
    except Exception as error:  # as in reading: the block may be missing, damaged, or hold itself
        problem = f'its block "{calm(reference.dxf.name)}" cannot be broken up: it is damaged or missing'
        raise InputError(problem, source, hint="explode it in the CAD program") from error


def _edges(space: Any, changes: list[Change], source: Path) -> list[_Edge]:
    """Sample what would be cut; take everything else but marks out of ``space`` and report it."""
    edges: list[_Edge] = []
    left: Counter[tuple[str, str, str]] = Counter()
    sampler = Sampler(source)
    for entity in list(space):
        kind = entity.dxftype()
        points = sampler.sampled(entity) if kind in OUTLINE_KINDS else None
        if points is not None:
            edges.append(_Edge(entity, points))
        elif kind not in MARKS:
            why = "not flat, or damaged" if kind in OUTLINE_KINDS else "not a kind of line that is cut"
            left[kind, calm(entity.dxf.layer), f"left out: {why}; draw it again where it is needed"] += 1
            space.delete_entity(entity)
    changes += [Change(*key, count=count) for key, count in left.items()]
    if not edges:
        raise InputError("holds no outline", source, None, None, listed(OUTLINE_KINDS))
    return edges


def _loops(edges: Sequence[_Edge], gap: float) -> tuple[list[_Loop], list[complex]]:
    """Join edges of one layer end to end; return the closed loops, and the ends that do not meet just one other."""
    loops: list[_Loop] = []
    loose: list[_Edge] = []
    for edge in edges:
        if abs(edge.points[0] - edge.points[-1]) > gap:
            loose.append(edge)
        elif np.abs(edge.points - edge.points[0]).max() > gap:
            loops.append(_Loop(calm(edge.entity.dxf.layer), (edge.entity,), edge.points[:-1]))
    nodes = _nodes(loose, gap)
    meeting: dict[int, list[End]] = {}
    for place, node in enumerate(nodes):
        meeting.setdefault(node, []).append((place // 2, place % 2))
    used: set[int] = set()
    for first in range(len(loose)):
        chain = [] if first in used else _walk(first, nodes, meeting, used)
        if chain:
            runs = [loose[number].points[:: 1 if end else -1][:-1] for number, end in chain]
            parts = tuple(loose[number].entity for number, _ in chain)
            loops.append(_Loop(calm(parts[0].dxf.layer), parts, np.concatenate(runs)))
    lone = [ends[0] for ends in meeting.values() if len(ends) != 2]
    return loops, [complex(loose[number].points[-end]) for number, end in lone]


def _walk(first: int, nodes: Sequence[int], meeting: Mapping[int, list[End]], used: set[int]) -> list[End]:
    """Follow edges from ``first``; return each with the end it is left by, or nothing when they do not close."""
    edge, end, chain = first, 1, []
    while edge not in used:
        used.add(edge)
        chain.append((edge, end))
        ends = meeting[nodes[2 * edge + end]]
        if len(ends) != 2:
            return []
        edge, near = ends[1] if ends[0] == (edge, end) else ends[0]
        end = 1 - near
    return chain if (edge, end) == (first, 1) else []


def _nodes(edges: Sequence[_Edge], gap: float) -> list[int]:
    """Give a number to each place where ends of one layer meet: two numbers an edge, its start's and its end's."""
    cells: dict[tuple[str, int, int], int] = {}
    numbers = []
    for edge in edges:
        for point in (edge.points[0], edge.points[-1]):
            layer, column, row = edge.entity.dxf.layer, round(point.real / gap), round(point.imag / gap)
            around = ((layer, column + right, row + up) for right in (0, -1, 1) for up in (0, -1, 1))
            number = next((cells[cell] for cell in around if cell in cells), len(cells))
            cells.setdefault((layer, column, row), number)
            numbers.append(number)
    return numbers


def _round(loop: _Loop, metres: float) -> Circle | None:
    """Return a loop as a circle, if it is one to one per cent: least squares on x^2 + y^2 = 2 a x + 2 b y + c."""
    middle = loop.points.mean()
    away = loop.points - middle
    rows = np.column_stack([2 * away.real, 2 * away.imag, np.ones(len(away))])
    a, b, c = np.linalg.lstsq(rows, np.abs(away) ** 2, rcond=None)[0]
    radius = float(np.sqrt(max(c + a * a + b * b, 0.0)))
    both = np.concatenate([away, (away + np.roll(away, -1)) / 2])
    off = np.abs(np.abs(both - complex(a, b)) - radius).max()
    if off > 0.01 * radius or abs(loop.area - pi * radius**2) > 0.05 * pi * radius**2:
        return None
    x, y, diameter = (round(float(d) * metres, 12) + 0.0 for d in (middle.real + a, middle.imag + b, 2 * radius))
    return Circle(loop.layer, (x, y), diameter)


def _enclosed(loops: Sequence[_Loop]) -> float | None:
    """Return the area inside an odd number of loops, or None when some touch or cross."""
    boxes = np.array([[p.real.min(), p.imag.min(), -p.real.max(), -p.imag.max()] for p in (n.points for n in loops)])
    # where corners meet, either answer would do
    middles = [((loop.points + np.roll(loop.points, -1)) / 2)[:: max(len(loop.points) // 3, 1)] for loop in loops]
    probes, owner = np.concatenate(middles), np.repeat(np.arange(len(loops)), [len(each) for each in middles])
    depths = np.zeros(len(probes), dtype=np.int64)
    for number, (left, low, right, high) in enumerate(boxes):
        near = (probes.real >= left) & (probes.imag >= low) & (-probes.real >= right) & (-probes.imag >= high)
        near &= owner != number
        if near.any():
            depths[near] += inside(loops[number].points, probes[near])
    total = 0.0
    for number, loop in enumerate(loops):
        found = depths[owner == number]
        if found.min() != found.max():
            return None
        total += -loop.area if found[0] % 2 else loop.area
    return total
