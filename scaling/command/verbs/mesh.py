"""The verb ``mesh``: scale a part's mesh."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scaling.command.console import ForceFlag, JsonFlag, print_json, print_table, say, wrapped
from scaling.command.flags import check_writing, scale_factors
from scaling.files.errors import InputError

ORDER = 90
EXAMPLE = "mesh scoop.stl --factor 1.45 --material hdpe"


def mesh(
    path: Annotated[Path, typer.Argument(metavar="MESH", help="An STL, OFF, PLY or OBJ file of one part.")],
    factor: Annotated[
        str, typer.Option(metavar="FACTOR", help='Scale factor, or three along x, y and z: "1.45" or "1.45,1.45,1.5".')
    ],
    material: Annotated[str, typer.Option(metavar="MATERIAL", help="Material of the part.")],
    unit: Annotated[str, typer.Option(metavar="UNIT", help="Unit of length of the file: mm, cm, m or in.")] = "mm",
    expected_mass: Annotated[
        str | None, typer.Option(metavar="MASS", help='Mass that the part should have, such as "34 g".')
    ] = None,
    out: Annotated[
        Path | None, typer.Option("-o", "--out", metavar="MESH", help="File to write the scaled mesh to.")
    ] = None,
    force: ForceFlag = False,
    as_json: JsonFlag = False,
) -> None:
    """Scale a part's mesh and print its mass, centre of gravity and inertia before and after."""
    from scaling.cad import mesh as meshes
    from scaling.cad.mesh_file import read_mesh
    from scaling.robot.parts import positive
    from scaling.shop.materials import material as look_up
    from scaling.show.tables.cad import mesh_table

    check_writing(out, force, as_json)
    if out is not None:
        meshes.check_target(out, force, "--out")
    factors = scale_factors(factor)
    density = look_up(material, None, "--material").density.typical
    expected = positive(expected_mass, "kg", path, "--expected-mass") if expected_mass is not None else None
    own = read_mesh(path, unit)
    if not meshes.mass_properties(own, density).watertight:
        raise InputError(meshes.mesh_warnings(own)[0], path)
    scaled = meshes.scale_mesh(own, factors)
    before, after = (meshes.mass_properties(each, density) for each in (own, scaled))
    warnings = meshes.mesh_warnings(own, expected_mass=expected, density=density if expected else None)
    if as_json:
        print_json({"reference": vars(before), "scaled": vars(after), "warnings": warnings})
        return
    if out is not None:  # before the printing, which a closed pipe may end early
        meshes.write_mesh(scaled, out, unit, force)
    print_table(mesh_table(path.name, before, after), 4)
    for warning in warnings:
        wrapped(f"Doubtful: {warning}.", "  ")
    if out is not None:
        say(f"\nWritten to {out}, in {unit}")
