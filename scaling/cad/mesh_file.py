"""Reading mesh files. A mesh is a ``trimesh.Trimesh`` in metres from when it is read until it is written.

Mesh files state no unit, so the reader must be told one.
"""

from __future__ import annotations

import warnings
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.cad.corners import is_closed, joined, with_area
from scaling.cad.obj import read_obj
from scaling.cad.stl import FACETS, read_stl
from scaling.files.bounds import BOUNDS
from scaling.files.errors import InputError, nearest
from scaling.files.opener import fault, read_bytes
from scaling.files.plausible import sizes
from scaling.files.sentence import listed

if TYPE_CHECKING:
    from collections.abc import Sequence

    import trimesh

    from scaling.book.entry import Array
    from scaling.cad.corners import Whole

MESH_KINDS = (".stl", ".off", ".ply", ".obj")

# The inch is 25.4 mm exactly: NIST Special Publication 811 (2008), appendix B.
UNITS = {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "in": 0.0254}


def read_mesh(path: Path | str, unit: str = "mm") -> trimesh.Trimesh:
    """Read an STL, OFF, PLY or OBJ file as one mesh in metres.

    ``unit`` is the length of the file's numbers: mm, cm, m or in. Several bodies in one file become one
    mesh. Nothing that the file refers to (materials, textures, addresses) is opened. Bodies that overlap
    count twice where they do.

    Raises InputError for an unknown unit or extension and for a file that is missing, empty, unreadable, without
    faces or beyond a bound.
    """
    metres = unit_length(unit)
    source = Path(path)
    check_kind(source, MESH_KINDS, "export the body from the CAD program as STL")
    try:
        bodies = _of_stl(source) if source.suffix.lower() == ".stl" else _of_others(source)
    except InputError:
        raise
    except Exception as error:  # the parsers raise whatever a damaged file leads them into
        raise InputError(
            "cannot be read as a mesh: it is damaged, or of another kind than its name says", source,
            hint="export it again, as binary STL",
        ) from error  # fmt: skip
    if len(bodies.faces) == 0:
        raise InputError("holds no faces", source, hint="export a solid body, not points or lines")
    FACETS.check(len(bodies.faces), source)
    bodies.vertices *= metres
    check_size(bodies, source)
    bodies.metadata["unit"] = unit
    return bodies


def check_kind(source: Path, kinds: Sequence[str], mend: str) -> None:
    """Raise InputError unless ``source`` is a file of one of ``kinds``, with ``mend`` as the hint for another kind."""
    problem = fault(source)
    if problem is not None:
        raise InputError(problem, source, hint="look at its path and name")
    if source.suffix.lower() not in kinds:
        raise InputError("is of an unknown kind", source, None, source.suffix or source.name, listed(kinds), mend)


def check_size(mesh: trimesh.Trimesh, source: Path | str | None) -> None:
    """Raise InputError for a body of no plausible size: damaged, or in another unit."""
    least, most = sizes("m")
    span = float(mesh.extents.max())
    if not least <= span <= most or not np.abs(mesh.bounds).max() <= most:
        far = max(span, float(np.abs(mesh.bounds).max())) if span >= least else span
        raise InputError(f"holds a body {far:g} m across or away", source, allowed=f"{least:g} to {most:g} m",
                         hint="state its unit, or repair it")  # fmt: skip


def unit_length(unit: str) -> float:
    """Return the metres of a unit that a mesh file may be in; raises InputError for another."""
    if unit not in UNITS:
        raise InputError("unknown unit of length", None, "unit", unit, listed(UNITS), nearest(unit, UNITS))
    return UNITS[unit]


def _of_stl(source: Path) -> trimesh.Trimesh:
    """The mesh of an STL file: facets without order, joined where their corners meet."""
    import trimesh

    corners = read_stl(source)
    if not np.isfinite(corners).all():
        raise InputError("holds numbers that are not finite", source, hint="export it again")
    if not len(corners):
        return trimesh.Trimesh()
    with np.errstate(over="ignore", invalid="ignore"):  # what is farther off than a whole number says is refused later
        vertices, places = joined(corners.reshape(-1, 3))
    del corners
    return trimesh.Trimesh(vertices, with_area(places.reshape(-1, 3)), process=False)


def _of_others(source: Path) -> trimesh.Trimesh:
    """The mesh of a file whose faces name their corners."""
    import trimesh

    kind = source.suffix[1:].lower()
    data = read_bytes(source, BOUNDS["OBJ, PLY or OFF file"], "a mesh file")
    if not data:
        raise InputError("is empty", source, hint="export it again")
    if kind == "obj":
        return _closed_up(*read_obj(data, source))
    options: dict[str, Any] = {"skip_materials": True} if kind == "ply" else {}
    with warnings.catch_warnings(), np.errstate(all="ignore"):
        # older numpy only warns where the text stops being numbers, and goes on with half a body
        warnings.filterwarnings("error", message="string or file could not be read")
        mesh = trimesh.load_mesh(BytesIO(data), file_type=kind, process=False, **options)
    return _closed_up(np.asarray(mesh.vertices), np.asarray(mesh.faces))


def _closed_up(vertices: Array, faces: Whole) -> trimesh.Trimesh:
    """The mesh of faces, those that have no area left out; parts of a surface that the file kept apart are joined."""
    import trimesh

    faces = with_area(faces) if len(faces) else np.empty((0, 3), dtype=np.int64)
    used, places = np.unique(faces, return_inverse=True)
    vertices, faces = vertices[used], places.reshape(-1, 3)
    if not np.isfinite(vertices).all():
        raise ValueError("a corner is nowhere")
    if not is_closed(faces):
        # Only when needed: joining bodies that merely touch would give an edge four faces.
        vertices, places = joined(vertices)
        faces = with_area(places[faces])
    return trimesh.Trimesh(vertices, faces, process=False)
