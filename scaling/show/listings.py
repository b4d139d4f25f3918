"""Tables that are not of a study: a design's own numbers, exponents, groups, options, windows, CAD files."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from scaling.book.groups import SETS, expression_text, group_value, groups_of
from scaling.files.units import shown_unit, to_shown
from scaling.formulas import book
from scaling.port.explain import FULL_TRAITS
from scaling.port.rules import SPEED_RULES, pure_inputs
from scaling.robot.design import Design
from scaling.show.table import Cell, Table
from scaling.study.run import reference_values

if TYPE_CHECKING:
    from scaling.cad.mesh import MassProperties
    from scaling.cad.outline import Change, Outline
    from scaling.decide.options import Option
    from scaling.decide.window import Window
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
    return Table(
        "reference", f"{design.name}: the reference's own numbers", ("branch", "quantity", "value", "unit"), rows
    )


def body_table(body: WholeBody) -> Table:
    """What the parts' positions say of the whole robot."""
    x, y, z = (value * 1e3 for value in body.centre)
    rows = (
        ("share of the mass that is placed, %", 100 * body.share),
        ("centre of gravity ahead of the rear contact, mm", x),
        ("centre of gravity left of the middle, mm", round(y, 9)),
        ("centre of gravity above the floor, mm", z),
        ("inertia about the length, kg mm²", body.roll_inertia * 1e6),
        ("inertia about the width, kg mm²", body.pitch_inertia * 1e6),
        ("inertia about the upright axis, kg mm²", body.yaw_inertia * 1e6),
    )
    return Table("body", "The whole robot by its parts' positions", ("property", "value"), rows)


def pure_exponents(drive_rule: str) -> dict[str, dict[str, Fraction]]:
    """Exact powers of the factor by speed rule and quantity, for parts all solid, of one density, under a pure law.

    Taken for a belt-driven rotor across the machine, which has every quantity that a design can have.
    Quantities that follow no single power are left out.
    """
    found: dict[str, dict[str, Fraction]] = {}
    for rule in SPEED_RULES:
        powers = book.powers(pure_inputs(rule, drive_rule, FULL_TRAITS), FULL_TRAITS)
        found[rule] = {name: power for name, power in powers.items() if power is not None}
    return found


def exponents_table(found: dict[str, dict[str, Fraction]]) -> Table:
    """Exact exponents: a row a quantity, a column a speed rule."""
    names = [name for name in book.quantities if any(name in row for row in found.values())]
    rows = tuple(
        (book.quantities[name].branch, name, *(str(row[name]) if name in row else "-" for row in found.values()))
        for name in names
    )
    return Table(
        "exponents", "Powers of the factor, all parts solid and of one density", ("branch", "quantity", *found), rows
    )


def sets_table() -> Table:
    """The named groups of every stated set, without values."""
    rows: list[tuple[Cell, ...]] = []
    for group_set in SETS:
        for name, expression in group_set.named.items():
            text = expression_text({member: Fraction(power) for member, power in expression.items()})
            rows.append((group_set.name, name, text))
    return Table(
        "groups", "Dimensionless groups that the trade has names for", ("set", "group", "expression"), tuple(rows)
    )


def design_groups_table(design: Design) -> Table:
    """Every dimensionless group of one design, with its value."""
    values = {**design.variables, **reference_values(design)}
    rows = tuple(
        (group.set_name, group.name, expression_text(group.expression), float(group_value(group.expression, values)))
        for group in groups_of(values, book.dimensions)
    )
    return Table("groups", f"{design.name}: dimensionless groups", ("set", "group", "expression", "value"), rows)


def groups_json(table: Table) -> list[dict[str, Cell]]:
    """A table of groups as plain rows by column head."""
    return [dict(zip(table.headers, row, strict=True)) for row in table.rows]


def mesh_table(name: str, before: MassProperties, after: MassProperties) -> Table:
    """A part's mass properties before and after scaling."""
    rows: list[tuple[Cell, ...]] = [
        ("mass, g", before.mass * 1e3, after.mass * 1e3),
        ("volume, cm³", before.volume * 1e6, after.volume * 1e6),
        ("surface, cm²", before.area * 1e4, after.area * 1e4),
    ]
    for axis, letter in enumerate("xyz"):
        rows.append((f"extent along {letter}, mm", before.extents[axis] * 1e3, after.extents[axis] * 1e3))
        rows.append(
            (f"centre of gravity {letter}, mm", round(before.centre[axis] * 1e3, 9), round(after.centre[axis] * 1e3, 9))
        )
        rows.append(
            (f"inertia about {letter}, kg mm²", before.inertia[axis][axis] * 1e6, after.inertia[axis][axis] * 1e6)
        )
    return Table("mesh", f"{name}: mass properties", ("property", "reference", "scaled"), tuple(rows))


def outline_table(name: str, found: Outline, factor: float, holes: dict[float, float]) -> Table:
    """A drawing's full circles and what would become of them."""
    from scaling.cad.outline import HOLE_TOLERANCE

    rows: list[tuple[Cell, ...]] = []
    for circle in found.circles:
        new = next((size for old, size in holes.items() if abs(old - circle.diameter) <= HOLE_TOLERANCE), None)
        rows.append(
            (circle.layer, circle.diameter * 1e3, circle.diameter * factor * 1e3, None if new is None else new * 1e3)
        )
    return Table(
        "outline",
        f"{name}: holes at factor {factor:.4g} (nothing written: name a file with -o)",
        ("layer", "diameter, mm", "if scaled, mm", "re-cut to, mm"),
        tuple(rows),
    )


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
    return Table(
        "changes",
        "What was changed in the drawing",
        ("kind", "layer", "count", "old diameter, mm", "new diameter, mm", "why"),
        rows,
    )


def options_table(found: list[Option]) -> Table:
    """Ranked options: what was chosen, the fit, factor, mass and score; a star marks what nothing beats."""
    axes = tuple(found[0].chosen) if found else ()
    rows = tuple(
        (
            option.rank,
            "*" if option.unbeaten else "",
            *option.chosen.values(),
            option.fit,
            option.factor,
            round(option.mass * 1e3, 3),
            round(option.left * 1e3, 3),
            option.score,
            option.drift,
            option.shortfall,
        )
        for option in found
    )
    heads = tuple(axis.replace("_", " ") for axis in axes)
    return Table(
        "options",
        "Options, best first; * where nothing beats it in drift, margins and mass at once",
        ("rank", "", *heads, "fitted by", "factor", "mass, g", "left, g", "score", "drift part", "margin part"),
        rows,
    )


def window_table(window: Window) -> Table:
    """The bands of a feasible window."""
    rows = tuple(
        (band.label, ", ".join(f"{low:.4g} to {high:.4g}" for low, high in band.intervals) or "nowhere")
        for band in window.bands
    )
    title = (
        f"Feasible window, {window.speed_rule or 'no rotor'}, drive {window.drive_rule} "
        f"(factors from {window.axis[0]:.3g} to {window.axis[1]:.3g})"
    )
    return Table("window", title, ("limit", "holds at factors"), rows)
