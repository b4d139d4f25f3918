"""A table ready to show in a report: cells as text, with what is against the builder marked."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from scaling.show.table import Cell, Table, cell_text

FEWEST = 3
"""Rows from which a table is worth sorting."""


@dataclass(frozen=True)
class Shown:
    """A cell as text; ``number`` says that it lines up to the right, ``worse`` that it is against the builder.

    ``faint`` marks what counts in no judgement.
    """

    text: str
    number: bool = False
    worse: bool = False
    faint: bool = False


@dataclass(frozen=True)
class Sheet:
    """A table ready to show: ``spans`` are headings over so many of the last columns, or none.

    ``foot`` are rows that stay below the others, such as a sum, and ``mixed`` the columns whose numbers have not one
    unit, so that no order is in them. ``picked`` is the first cell of the row that stands out.
    """

    title: str
    headers: tuple[str, ...]
    rows: tuple[tuple[Shown, ...], ...]
    spans: tuple[tuple[str, int], ...] = ()
    foot: tuple[tuple[Shown, ...], ...] = ()
    mixed: tuple[int, ...] = ()
    picked: str = ""

    @property
    def before_spans(self) -> int:
        """Number of columns that stand before those under ``spans``."""
        return len(self.headers) - sum(width for _, width in self.spans)

    @cached_property
    def numeric(self) -> tuple[bool, ...]:
        """Whether each column holds numbers alone."""
        return tuple(all(row[place].number for row in self.rows) for place in range(len(self.headers)))

    @cached_property
    def sorts(self) -> tuple[bool, ...]:
        """Whether each column can be sorted by."""
        many = len(self.rows) >= FEWEST
        return tuple(many and place not in self.mixed for place in range(len(self.headers)))


def shown(cell: Cell, digits: int = 3) -> Shown:
    """Return a cell as people are shown it."""
    return Shown(cell_text(cell, digits), number=isinstance(cell, int | float) or cell is None)


def sheet_of(table: Table, digits: int = 3) -> Sheet:
    """Return a table ready to show."""
    return Sheet(table.title, table.headings, tuple(tuple(shown(cell, digits) for cell in row) for row in table.rows))


def joined(table: Sheet) -> Sheet:
    """Join the rows that say the same of several ports, which stand in the first column."""
    found: dict[tuple[Shown, ...], list[str]] = {}
    for port, *rest in table.rows:
        found.setdefault(tuple(rest), []).append(port.text)
    rows = tuple((Shown(", ".join(letters)), *rest) for rest, letters in found.items())
    return Sheet(table.title, ("ports", *table.headers[1:]), rows)


def of_port(table: Sheet, letter: str) -> Sheet:
    """Return the rows of one port, without its letter."""
    rows = tuple(row[1:] for row in table.rows if row[0].text == letter)
    return Sheet(table.title, table.headers[1:], rows)
