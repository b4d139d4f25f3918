"""A table as data, and what renders one: aligned text, CSV, a pandas frame."""

from __future__ import annotations

import csv
import io
import textwrap
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scaling.files.units import format_number

if TYPE_CHECKING:
    import pandas

Cell = str | float | int | None


@dataclass(frozen=True)
class Table:
    """A table: ``headers`` with units in them, and rows of text, numbers or None for what is absent."""

    name: str
    title: str
    headers: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def as_csv(table: Table) -> str:
    """The table as CSV text at full precision; absent cells are empty."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(table.headers)
    writer.writerows([["" if cell is None else cell for cell in row] for row in table.rows])
    return out.getvalue()


def as_frame(table: Table) -> pandas.DataFrame:
    """The table as a pandas frame, for notebooks."""
    import pandas

    return pandas.DataFrame(list(table.rows), columns=list(table.headers))


def cell_text(cell: Cell, digits: int = 3) -> str:
    """A cell as people are shown it."""
    if cell is None:
        return "-"
    if isinstance(cell, float):
        return format_number(cell, digits)
    return str(cell)


def as_text(table: Table, digits: int = 3, width: int = 0) -> str:
    """The table as aligned plain text under its title; ``width`` wraps the last column (0: no wrap)."""
    body = [[cell_text(cell, digits) for cell in row] for row in table.rows]
    columns = list(zip(table.headers, *body, strict=True)) if body else [(header,) for header in table.headers]
    widths = [max(map(len, column)) for column in columns]
    numeric = [
        bool(table.rows) and all(isinstance(row[place], int | float | None) for row in table.rows)
        for place in range(len(table.headers))
    ]
    if width and not numeric[-1] and sum(widths) + 2 * (len(widths) - 1) > width:
        widths[-1] = max(24, width - sum(widths[:-1]) - 2 * (len(widths) - 1))
    lines: list[str] = []
    for row in [list(table.headers), *body]:
        wrapped = textwrap.wrap(row[-1], widths[-1]) or [""]
        for place, last in enumerate(wrapped):
            cells = [*(row[:-1] if place == 0 else [""] * (len(row) - 1)), last]
            lines.append(
                "  ".join(
                    cell.rjust(size) if right else cell.ljust(size)
                    for cell, size, right in zip(cells, widths, numeric, strict=True)
                ).rstrip()
            )
    rule = "-" * max(map(len, lines))
    head = next(
        place for place in range(1, len(lines) + 1) if place >= len(textwrap.wrap(table.headers[-1], widths[-1]))
    )
    return "\n".join([table.title, "", *lines[:head], rule, *lines[head:]])
