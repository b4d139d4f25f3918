"""Doubts about the rows of a design file: sheets that no machine of that size is cut from, bolts beyond their edge."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from scaling.files.toml import quoted
from scaling.files.units import format_value
from scaling.robot.fasteners import Fastener
from scaling.robot.likely import Doubt
from scaling.robot.parts import Part
from scaling.shop import materials
from scaling.shop.shelves import Shelves

THICK = 0.3
"""A sheet's thickness over the least side of the machine's box."""

CURLED = 2.0
"""Area of one piece of sheet over the surface of that box: more cannot be folded into the machine."""


def part_doubts(numbers: Mapping[str, float], parts: Sequence[Part]) -> list[Doubt]:
    """Return the sheets whose thickness, or the area that their mass then gives, is not of this machine."""
    sides = [numbers[key] for key in ("length", "width", "height")]
    surface = 2 * (sides[0] * sides[1] + sides[1] * sides[2] + sides[2] * sides[0])
    found: list[Doubt] = []
    for part in parts:
        if not part.is_sheet or part.material is None:
            continue
        key, thick = f"parts.{quoted(part.name)}", format_value(part.thickness, "m")
        area = part.mass / (materials.material(part.material).density.typical * part.thickness)
        if part.thickness > THICK * min(sides):
            found.append(Doubt((key, "height"), f"the sheet is {thick} thick, more than {THICK:g} times the machine's "
                               "least side"))
        elif area > CURLED * surface:
            found.append(Doubt((key, "length"), f"at {thick} its mass is a sheet of {area:.3g} m², more than "
                               f"{CURLED:g} times the machine's surface"))
    return found


def fastener_doubts(fasteners: Sequence[Fastener], shelves: Shelves) -> list[Doubt]:
    """Return the bolts whose holes' middles are less than a bolt's diameter from the edge."""
    return [
        Doubt((f"fasteners.{quoted(row.name)}",), f"the edge distance is {format_value(row.edge_distance, 'm')}, less "
              f"than the diameter of a {row.size}")
        for row in fasteners
        if row.edge_distance is not None and row.edge_distance < shelves.bolt(row.size).diameter
    ]  # fmt: skip
