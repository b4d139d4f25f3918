"""Mass, centre and inertia of the builder's own CAD bodies, read from mesh files, scaled and written.

A mesh is a ``trimesh.Trimesh`` in metres. Its file states no unit, and ``mesh_warnings`` looks for the wrong one.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, log
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.cad.corners import integrals, is_closed
from scaling.cad.mesh_file import MESH_KINDS, UNITS, check_size, unit_length
from scaling.files.errors import InputError
from scaling.files.sentence import listed
from scaling.files.write import check_file, write_bytes
from scaling.formulas.rotor.shapes import single

if TYPE_CHECKING:
    from collections.abc import Sequence

    import trimesh

    from scaling.book.entry import Array

Vector = tuple[float, float, float]
Tensor = tuple[Vector, Vector, Vector]

NEAR = 1.25
"""Two sizes within this ratio count as the same: far more than a drawing's slack, far less than cm for inch."""


@dataclass(frozen=True)
class MassProperties:
    """What a body of one density weighs and how it resists turning.

    ``volume`` m^3, ``area`` m^2 of the surface, ``mass`` kg, ``centre`` of mass in m, ``inertia`` in
    kg m^2 about that centre along the file's own axes (moments on the diagonal, minus the products of
    inertia off it), ``extents`` m along those axes. Where ``watertight`` is false the surface has gaps or
    faces that point opposite ways, and volume, mass, centre and inertia must not be used: only area and
    extents hold.
    """

    volume: float
    area: float
    mass: float
    centre: Vector
    inertia: Tensor
    extents: Vector
    watertight: bool
    faces: int


@dataclass(frozen=True)
class Assembly:
    """Mass in kg, centre of gravity in m and inertia in kg m^2 about that centre, of bodies together."""

    mass: float
    centre: Vector
    inertia: Tensor


def mass_properties(mesh: trimesh.Trimesh, density: float) -> MassProperties:
    """Return what ``mesh``, in metres, is as a solid of ``density`` in kg/m^3.

    The volume integrals of a polyhedron, exact for its flat faces; a body whose faces all point inwards
    is taken as if they pointed out. A round body's facets lie inside it: with n facets about the axis
    the mass is short by (2/3) (pi/n)^2 and the inertia about the axis by twice that.

    Raises InputError for a density that is not positive.

    Source: the volume as tetrahedra, ``corners.integrals``; moments of a simplex, from memory.
    """
    if not (isfinite(density) and density > 0):
        raise InputError("must be positive", None, "density", density, "kg/m^3 above zero")
    middle, span = mesh.bounds.mean(axis=0), float(mesh.extents.max())
    area, volume, first, second = enclosed(mesh)
    sign = float(np.sign(volume)) if encloses(volume) else 0.0
    away = first / volume if encloses(volume) else np.zeros(3)
    spread = second - volume * np.outer(away, away)
    inertia = sign * density * span**5 * (np.trace(spread) * np.eye(3) - spread)
    return MassProperties(
        volume=sign * volume * span**3,
        area=area * span**2,
        mass=density * sign * volume * span**3,
        centre=_vector(middle + span * away),
        inertia=_tensor(inertia),
        extents=_vector(mesh.extents),
        watertight=encloses(volume) and is_closed(mesh.faces),
        faces=len(mesh.faces),
    )


def enclosed(mesh: trimesh.Trimesh) -> tuple[float, float, Array, Array]:
    """Return area, volume and moments of a mesh about the middle of its box, in units of its width.

    So neither a small body nor one far from the origin loses digits, and an open mesh gives the same wherever it is.
    """
    middle, span = mesh.bounds.mean(axis=0), float(mesh.extents.max())
    return integrals((np.asarray(mesh.vertices) - middle) / span, np.asarray(mesh.faces))


def encloses(volume: float) -> bool:
    """Say whether there is anything within a mesh of this volume, in units of its width."""
    return abs(volume) > 1e-12


def _vector(values: Array) -> Vector:
    x, y, z = (single(value) + 0.0 for value in values)  # no minus zero in a table
    return x, y, z


def _tensor(rows: Array) -> Tensor:
    first, second, third = (_vector(row) for row in rows)
    return first, second, third


def mesh_warnings(
    mesh: trimesh.Trimesh,
    expected_extents: Sequence[float] | None = None,
    expected_mass: float | None = None,
    density: float | None = None,
) -> list[str]:
    """Return sentences on what is doubtful about ``mesh``, each with what to do; none when all is well.

    ``expected_extents`` (three lengths in m, in any order) and ``expected_mass`` (kg, at ``density`` in
    kg/m^3) are what the builder knows of the part. A size wrong by the ratio of two units names the unit
    to state.

    Raises InputError for an expected mass without a density and for expected values not positive.
    """
    found = []
    closed = is_closed(mesh.faces)
    if not closed and not mesh.is_watertight:
        found.append(
            "the mesh is not watertight, so its mass and inertia mean nothing: close the gaps with the CAD program's "
            "mesh repair, or export the body again as one solid"
        )
    elif not closed:
        found.append(
            "neighbouring faces of the mesh point opposite ways, so its mass and inertia mean nothing: unify the "
            "normals with the CAD program's mesh repair, or export the body again"
        )
    elif not encloses(volume := enclosed(mesh)[1]):
        found.append(
            "the mesh encloses nothing, so its mass and inertia mean nothing: export a solid body, not a flat sheet"
        )
    elif volume < 0:
        found.append(
            "the mesh is inside out (its faces point inwards): it was taken as if they pointed out; flip the normals "
            "and export the body again"
        )
    unit = str(mesh.metadata.get("unit", "mm"))
    if expected_extents is not None:
        check_positive("expected_extents", expected_extents, 3)
        ratios = np.sort(np.asarray(expected_extents, dtype=float)) / np.maximum(np.sort(mesh.extents), 1e-12)
        found += _size_warning(ratios, "its box", unit)
    if expected_mass is not None:
        if density is None:
            raise InputError("is needed with an expected mass", None, "density", allowed="kg/m^3 above zero")
        check_positive("expected_mass", [expected_mass], 1)
        body = mass_properties(mesh, density)
        if body.watertight:
            ratio = np.array([(expected_mass / body.mass) ** (1 / 3)])
            found += _size_warning(ratio, "the cube root of its mass", unit)
    return found


def check_positive(key: str, values: Sequence[float], count: int) -> None:
    """Raise InputError, naming ``key``, unless ``values`` are ``count`` finite numbers above zero."""
    if len(values) != count or not all(isfinite(value) and value > 0 for value in values):
        allowed = "a number above zero" if count == 1 else f"{count} numbers above zero"
        raise InputError("must be positive", None, key, values[0] if len(values) == 1 else list(values), allowed)


def _size_warning(ratios: Array, judged_by: str, unit: str) -> list[str]:
    """Judge expected over found sizes: silent when near 1, a unit when one explains them all."""
    low, high = float(ratios.min()), float(ratios.max())
    middle = float(np.exp(np.log(ratios).mean()))
    if low > 1 / NEAR and high < NEAR:
        return []
    size = f"{1 / middle:.4g} times larger" if middle < 1 else f"{middle:.4g} times smaller"
    said = f"judged by {judged_by} the mesh is {size} than expected"
    here = UNITS.get(unit, UNITS["mm"])
    if high / low < NEAR:
        for other, metres in UNITS.items():
            if other != unit and _alike(middle, metres / here):
                return [f'{said}, as a file in "{other}" read as "{unit}" would be: state the unit "{other}"']
        for factor in (10.0, 25.4, 1000.0):
            if _alike(middle, factor) or _alike(middle, 1 / factor):
                mend = 'export the body again in millimetres and state the unit "mm"'
                return [f"{said}, about a unit's factor of {factor:g} that stating another unit does not mend: {mend}"]
    return [f"{said} and no unit explains it: check that this file is the part that the design states"]


def _alike(one: float, other: float) -> bool:
    return abs(log(one / other)) < log(NEAR)


def scale_mesh(mesh: trimesh.Trimesh, factors: float | Sequence[float]) -> trimesh.Trimesh:
    """Return a copy of ``mesh`` scaled about the origin by one factor, or by one each along x, y and z.

    Three factors are for sheet parts, whose outline and thickness follow different rules. With one factor
    n the mass scales as n^3 and the inertia as n^5.

    Raises InputError for anything but one or three positive numbers.
    """
    along = np.asarray(factors, dtype=float)
    if along.shape not in {(), (3,)} or not (np.isfinite(along).all() and (along > 0).all()):
        raise InputError("is not a scale", None, "factors", factors, "one positive number, or three (x, y, z)")
    scaled = mesh.copy()
    scaled.vertices = mesh.vertices * along
    check_size(scaled, None)
    return scaled


def write_mesh(mesh: trimesh.Trimesh, path: Path | str, unit: str = "mm", force: bool = False) -> None:
    """Write ``mesh`` as STL, OFF, PLY or OBJ, by the extension, in numbers of ``unit``.

    STL and PLY hold single precision, about 6e-8 of each coordinate. The file appears whole or not at all.

    Raises InputError for an unknown unit or extension, a file that exists (unless ``force``) and a place
    that cannot be written.
    """
    import trimesh

    target = check_target(path, force)
    metres = unit_length(unit)
    plain = trimesh.Trimesh(mesh.vertices / metres, mesh.faces, process=False)  # no textures, no stranger's metadata
    data = plain.export(file_type=target.suffix[1:].lower())
    write_bytes(target, data if isinstance(data, bytes) else str(data).encode("ascii"), force)


def check_target(path: str | Path, force: bool, key: str | None = None) -> Path:
    """Return ``path`` if ``write_mesh`` can write to it; raises InputError as that does, naming the flag ``key``."""
    target = Path(path)
    if target.suffix.lower() not in MESH_KINDS:
        raise InputError("is of an unknown kind", target, key, target.suffix or target.name, listed(MESH_KINDS))
    check_file(target, force, key)
    return target


def combine(properties: Sequence[MassProperties], positions: Array, counts: Sequence[int] | Array) -> Assembly:
    """Return the mass, centre of gravity and inertia of parts standing together.

    ``positions``, shape (parts, 3) in m, is where the origin of each part's own file stands in the robot's
    frame; the parts are not turned. ``counts``, shape (parts,), is how many stand at that one place; of many robots
    at once counts have a row each, and masses and inertias may be arrays. Parts
    that stand apart need a row each, or the inertia comes out too small.

    Parallel axes: I = sum of n (I_c + m (d.d E - d d)), with d from the common centre to the part's.

    Raises InputError for shapes that do not fit, for counts below zero, for a total mass of zero and for a
    part whose mesh is not watertight.

    Source: J. L. Meriam & L. G. Kraige, Engineering Mechanics: Dynamics, appendix B (from memory).
    """
    places, numbers = np.asarray(positions, dtype=float), np.asarray(counts, dtype=float)
    parts = len(properties)
    if places.shape != (parts, 3) or numbers.shape[-1:] != (parts,):
        given = (places.shape, numbers.shape)
        raise InputError("does not fit the parts", None, "positions, counts", given, f"({parts}, 3), ({parts},)")
    if not (np.isfinite(places).all() and np.isfinite(numbers).all() and (numbers >= 0).all()):
        problem = "must be finite, and counts not below zero"
        raise InputError(problem, None, "positions, counts", allowed="finite numbers")
    leaking = [place for place, part in enumerate(properties) if not part.watertight]
    if leaking:
        problem = "has no mass, its mesh is not watertight"
        raise InputError(problem, None, f"properties[{leaking[0]}]", hint="close the mesh")
    masses = numbers * in_rows([part.mass for part in properties])
    total = masses.sum(axis=-1)
    if np.any(total <= 0):
        raise InputError("weigh nothing together", None, "counts", list(numbers), "one above zero")
    centres = places + np.array([part.centre for part in properties])
    middle = masses @ centres / total[..., None]
    away = centres - middle[..., None, :]
    inertias = in_rows([value for part in properties for row in part.inertia for value in row])
    own = np.einsum("...p,...pij->...ij", numbers, inertias.reshape((*inertias.shape[:-1], parts, 3, 3)))
    squares = np.einsum("...p,...pi,...pj->...ij", masses, away, away)
    squared = np.trace(squares, axis1=-2, axis2=-1)[..., None, None]
    inertia = np.moveaxis(own + squared * np.eye(3) - squares, (-2, -1), (0, 1))
    return Assembly(single(total), _vector(np.moveaxis(middle, -1, 0)), _tensor(inertia))


def in_rows(values: Sequence[Any]) -> Array:
    """Return numbers as a row, arrays among them as one row for each of their places."""
    return np.stack(np.broadcast_arrays(*values), axis=-1)
