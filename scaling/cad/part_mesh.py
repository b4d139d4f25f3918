"""What a mesh says of one part: its mass properties by its material, and what is doubtful about it."""

from __future__ import annotations

from pathlib import Path

from scaling.cad.mesh import MassProperties, mass_properties, mesh_warnings
from scaling.cad.mesh_file import read_mesh
from scaling.files.errors import InputError
from scaling.shop.materials import material


def mesh_properties(
    path: Path, unit: str, material_name: str, stated_mass: float | None, file: Path, where: str
) -> tuple[MassProperties, list[str]]:
    """Return a part's mass properties by its mesh and material, and what is doubtful about the mesh.

    Raises InputError, naming the design file and the part, where the mesh cannot be read or is not closed
    and no mass is stated.
    """
    density = material(material_name, file, f"{where}.material").density.typical
    try:
        mesh = read_mesh(path, unit)
        found = mass_properties(mesh, density)
        warnings = mesh_warnings(mesh, expected_mass=stated_mass, density=density if stated_mass else None)
    except InputError as error:
        error.file, error.key = f"{file}: {error.file or path}", f"{where}.mesh"
        raise
    if not found.watertight and stated_mass is None:
        raise InputError(warnings[0], f"{file}: {path}", f"{where}.mesh", hint="or state the part's mass beside it")
    return found, [f"{path.name}: {text}" for text in warnings]


def too_large(body: MassProperties | None, name: str, length: float) -> str | None:
    """Return a sentence where a part's mesh is longer than twice the robot: its unit is likely another."""
    if body is None or max(body.extents) <= 2 * length:
        return None
    return (
        f"the mesh of {name} is {max(body.extents) * 1e3:.4g} mm long, the robot {length * 1e3:.4g} mm: state another "
        "mesh_unit, mm where it says in, cm or m"
    )
