"""A part's mesh before and after scaling, and what became of a drawing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scaling.show.table import Cell, Column, Table, columns

if TYPE_CHECKING:
    from scaling.cad.mesh import MassProperties
    from scaling.cad.outline import Change, Outline


def mesh_table(name: str, before: MassProperties, after: MassProperties) -> Table:
    """A part's mass properties before and after scaling."""
    rows: list[tuple[Cell, ...]] = [
        ("mass", before.mass * 1e3, after.mass * 1e3, "g"),
        ("volume", before.volume * 1e6, after.volume * 1e6, "cm³"),
        ("surface", before.area * 1e4, after.area * 1e4, "cm²"),
    ]
    for axis, letter in enumerate("xyz"):
        inertia = before.inertia[axis][axis] * 1e6, after.inertia[axis][axis] * 1e6
        centre = round(before.centre[axis] * 1e3, 9), round(after.centre[axis] * 1e3, 9)
        rows.append((f"extent along {letter}", before.extents[axis] * 1e3, after.extents[axis] * 1e3, "mm"))
        rows.append((f"centre of gravity {letter}", *centre, "mm"))
        rows.append((f"inertia about {letter}", *inertia, "kg mm²"))
    heads = columns("property", "reference", "scaled", "unit")
    return Table("mesh", f"{name}: mass properties", heads, tuple(rows))


def outline_table(name: str, found: Outline, factor: float, holes: dict[float, float]) -> Table:
    """A drawing's full circles and what would become of them."""
    from scaling.cad.outline import HOLE_TOLERANCE

    rows: list[tuple[Cell, ...]] = []
    for circle in found.circles:
        new = next((size for old, size in holes.items() if abs(old - circle.diameter) <= HOLE_TOLERANCE), None)
        rows.append(
            (circle.layer, circle.diameter * 1e3, circle.diameter * factor * 1e3, None if new is None else new * 1e3)
        )
    heads = columns(
        "layer", Column("diameter", unit="mm"), Column("scaled", "if scaled", "mm"), Column("cut", "re-cut to", "mm")
    )
    title = f"{name}: holes at factor {factor:.4g} (nothing written: name a file with -o)"
    return Table("outline", title, heads, tuple(rows))


def changes_table(changes: list[Change]) -> Table:
    """What was changed in a drawing."""
    rows = tuple(
        (
            change.kind,
            change.layer,
            change.count,
            None if change.old_diameter is None else change.old_diameter * 1e3,
            None if change.new_diameter is None else change.new_diameter * 1e3,
            change.reason,
        )
        for change in changes
    )
    heads = columns(
        "kind", "layer", "count", Column("old_diameter", unit="mm"), Column("new_diameter", unit="mm"), "why"
    )
    return Table("changes", "What was changed in the drawing", heads, rows)
