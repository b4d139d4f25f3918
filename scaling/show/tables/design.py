"""A design's own numbers, and what its parts' positions say of the whole."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scaling.files.units import shown_unit, to_shown
from scaling.formulas import book
from scaling.robot.design import Design
from scaling.show.table import Table, columns

if TYPE_CHECKING:
    from scaling.robot.positions import WholeBody


def reference_table(design: Design, values: dict[str, float]) -> Table:
    """The reference's own numbers, by branch."""
    rows = tuple(
        (
            book.quantities[name].branch,
            book.quantities[name].label,
            to_shown(value, book.quantities[name].unit),
            shown_unit(book.quantities[name].unit),
        )
        for name, value in values.items()
    )
    heads = columns("branch", "quantity", "value", "unit")
    return Table("reference", f"{design.name}: the reference's own numbers", heads, rows)


def body_table(body: WholeBody) -> Table:
    """What the parts' positions say of the whole robot."""
    x, y, z = (value * 1e3 for value in body.centre)
    rows = (
        ("share of the mass that is placed", 100 * body.share, "%"),
        ("centre of gravity ahead of the rear contact", x, "mm"),
        ("centre of gravity left of the middle", round(y, 9), "mm"),
        ("centre of gravity above the floor", z, "mm"),
        ("inertia about the length", body.roll_inertia * 1e6, "kg mm²"),
        ("inertia about the width", body.pitch_inertia * 1e6, "kg mm²"),
        ("inertia about the upright axis", body.yaw_inertia * 1e6, "kg mm²"),
    )
    return Table("body", "The whole robot by its parts' positions", columns("property", "value", "unit"), rows)
