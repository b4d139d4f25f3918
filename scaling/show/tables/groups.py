"""Dimensionless groups: of each stated set, of a design, and of a study's ports."""

from __future__ import annotations

from fractions import Fraction

from scaling.book.groups import SETS, expression_text, group_value, groups_of
from scaling.formulas import book
from scaling.robot.design import Design
from scaling.show.table import Cell, Table, columns, port_columns
from scaling.study.beside import reference_values
from scaling.study.results import Study
from scaling.study.run import group_values


def groups_table(study: Study) -> Table:
    """Every dimensionless group: its set, reference value and each port's."""
    rows: list[tuple[Cell, ...]] = []
    for group in study.groups:
        own, ports = group_values(study, group)
        rows.append((group.set_name, group.name, expression_text(group.expression), own, *ports))
    heads = columns("set", "group", "expression", "reference", *port_columns(study.letters))
    return Table("groups", "Dimensionless groups", heads, tuple(rows))


def sets_table() -> Table:
    """The named groups of every stated set, without values."""
    rows: list[tuple[Cell, ...]] = []
    for group_set in SETS:
        for name, expression in group_set.named.items():
            text = expression_text({member: Fraction(power) for member, power in expression.items()})
            rows.append((group_set.name, name, text))
    title = "Dimensionless groups that the trade has names for"
    return Table("groups", title, columns("set", "group", "expression"), tuple(rows))


def design_groups_table(design: Design) -> Table:
    """Every dimensionless group of one design, with its value."""
    values = {**design.variables, **reference_values(design)}
    rows = tuple(
        (group.set_name, group.name, expression_text(group.expression), float(group_value(group.expression, values)))
        for group in groups_of(values, book.dimensions)
    )
    heads = columns("set", "group", "expression", "value")
    return Table("groups", f"{design.name}: dimensionless groups", heads, rows)


def groups_json(table: Table) -> list[dict[str, Cell]]:
    """A table of groups as plain rows by column head."""
    return [dict(zip(table.headings, row, strict=True)) for row in table.rows]
