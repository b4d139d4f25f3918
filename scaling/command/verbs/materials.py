"""The verb ``materials``: what each known material is, and what a gram of it takes."""

from __future__ import annotations

from scaling.command.console import JsonFlag, print_json, print_table, wrapped

ORDER = 68
EXAMPLE = "materials"


def materials(as_json: JsonFlag = False) -> None:
    """List the materials: density, strength, stiffness, elongation, and the energy that a gram takes as armour."""
    from scaling.show.tables.materials import NOTE, material_rows, materials_table

    if as_json:
        print_json(material_rows())
        return
    print_table(materials_table())
    wrapped(NOTE, "")
