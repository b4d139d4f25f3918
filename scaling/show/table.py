"""A table as data, and what renders one: aligned text, CSV, a pandas frame."""

from __future__ import annotations

import csv
import io
import re
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import isfinite
from typing import TYPE_CHECKING

from scaling.files.units import format_number
from scaling.study.marks import MEANINGS, Marked

if TYPE_CHECKING:
    import pandas

Cell = str | float | int | Fraction | None

NARROWEST = 24
"""Letters to which a column of text is made narrower at most, so that a table fits a terminal."""

GAP = "  "


@dataclass(frozen=True)
class Column:
    """A column: its key for programs, its header for people, and the unit of its numbers where all have the same.

    The header is the key in words unless it is given.

    >>> Column("mass_left", unit="g").heading
    'mass left, g'
    """

    key: str
    header: str | None = None
    unit: str = ""

    @property
    def heading(self) -> str:
        """The header with the unit."""
        header = self.key.replace("_", " ") if self.header is None else self.header
        return f"{header}, {self.unit}" if self.unit else header


@dataclass(frozen=True)
class Table:
    """A table: its columns, and rows of text, numbers or None for what is absent."""

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]

    @property
    def headings(self) -> tuple[str, ...]:
        """What stands over each column for people."""
        return tuple(column.heading for column in self.columns)

    @property
    def legend(self) -> tuple[str, ...]:
        """What the marks on its numbers say, a line a mark."""
        borne = {mark for row in self.rows for cell in row if isinstance(cell, Marked) for mark in cell.marks}
        return tuple(f"{mark} {meaning}" for mark, meaning in MEANINGS.items() if mark in borne)


def columns(*keys: str | Column) -> tuple[Column, ...]:
    """Columns from keys alone, and from whole columns where a key does not say all."""
    return tuple(Column(key) if isinstance(key, str) else key for key in keys)


def port_columns(letters: Iterable[str]) -> tuple[Column, ...]:
    """A column a port."""
    return tuple(Column(f"port_{letter.lower()}", letter) for letter in letters)


def as_csv(table: Table) -> str:
    """The table as CSV text at full precision; absent cells are empty.

    >>> print(as_csv(Table("t", "T", columns("name", "power"), (("=1+1", Fraction(1, 2)), ("-", -1.5)))), end="")
    name,power
    '=1+1,0.5
    ,-1.5
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([_csv_cell(heading) for heading in table.headings])
    writer.writerows([[_csv_cell(cell) for cell in row] for row in table.rows])
    return out.getvalue()


STEERING = re.compile(r"[=+\-@\t\r\n＝＋－＠]|\d{1,2}[/-]\d{1,2}\Z")
"""How text begins that a spreadsheet takes for a formula, and text that it takes for a day of the year."""


def _csv_cell(cell: Cell) -> str | float | int:
    """A cell as a spreadsheet reads it as what it is: a number as a number, a text as text and nothing else."""
    if cell is None or cell == "-" or (isinstance(cell, float) and not isfinite(cell)):
        return ""
    if isinstance(cell, Fraction):
        return int(cell) if cell.denominator == 1 else float(cell)
    return "'" + cell.replace("\r", " ") if isinstance(cell, str) and STEERING.match(cell) else cell


def as_frame(table: Table) -> pandas.DataFrame:
    """The table as a pandas frame: a column by its key, its unit in a column behind it where it has one."""
    import pandas

    frame = pandas.DataFrame(list(table.rows), columns=[column.key for column in table.columns])
    for column in table.columns:
        if column.unit:
            frame.insert(frame.columns.get_loc(column.key) + 1, f"{column.key}_unit", column.unit)
    return frame


def cell_text(cell: Cell, digits: int = 3) -> str:
    """A cell as people are shown it."""
    if cell is None:
        return "-"
    if isinstance(cell, float):
        text = format_number(cell, digits)
        return cell.of(text) if isinstance(cell, Marked) else text
    return str(cell)


def as_text(table: Table, digits: int = 3, width: int = 0) -> str:
    """The table as aligned plain text under its title; ``width`` wraps columns of text (0: no wrap)."""
    body = [[cell_text(cell, digits) for cell in row] for row in table.rows]
    numeric = [
        bool(table.rows) and all(isinstance(row[place], int | float | None) for row in table.rows)
        for place in range(len(table.columns))
    ]
    widths = [max(map(len, column)) for column in zip(table.headings, *body, strict=True)]
    if width:
        widths = _fitted(widths, numeric, width)
    head = _lines(table.headings, widths, numeric)
    lines = [line for row in body for line in _lines(row, widths, numeric)]
    legend = [line for each in table.legend for line in textwrap.wrap(each, width or len(each))]
    return "\n".join([table.title, "", *head, "-" * max(map(len, [*head, *lines])), *lines, *legend])


def _fitted(widths: list[int], numeric: Sequence[bool], width: int) -> list[int]:
    """Take from the widest columns of text what makes the table wider than ``width``."""
    fitted = list(widths)
    over = sum(widths) + len(GAP) * (len(widths) - 1) - width
    for _ in range(over):
        widest = max(range(len(fitted)), key=lambda place: 0 if numeric[place] else fitted[place])
        if numeric[widest] or fitted[widest] <= NARROWEST:
            break
        fitted[widest] -= 1
    return fitted


def _lines(row: Sequence[str], widths: Sequence[int], numeric: Sequence[bool]) -> list[str]:
    """One row of cells as the lines that the longest of them takes."""
    wrapped = [
        [cell] if len(cell) <= size and cell.isprintable() else textwrap.wrap(cell, size) or [""]
        for cell, size in zip(row, widths, strict=True)
    ]
    lines: list[str] = []
    for place in range(max(map(len, wrapped))):
        cells = [cell[place] if place < len(cell) else "" for cell in wrapped]
        placed = zip(cells, widths, numeric, strict=True)
        lines.append(GAP.join(cell.rjust(size) if right else cell.ljust(size) for cell, size, right in placed).rstrip())
    return lines
