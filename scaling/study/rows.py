"""Many robots read from the book at once: each a row of one evaluation, or a few rows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from scaling.book.entry import Array
from scaling.formulas import book


@dataclass(frozen=True)
class Found:
    """Quantities by ``names``, the first axis of ``values``, of some robots; NaN where one cannot be computed."""

    names: tuple[str, ...]
    values: Array

    @property
    def first(self) -> dict[str, float]:
        """The quantities of the first robot that can be computed."""
        own = self.values[:, 0]
        there = np.isfinite(own).tolist()
        return {name: value for name, value, is_there in zip(self.names, own.tolist(), there, strict=True) if is_there}

    @property
    def by_name(self) -> dict[str, Array]:
        """The quantities of all the robots."""
        return dict(zip(self.names, self.values, strict=True))


def read_together(
    tables: Sequence[Mapping[str, Array]], traits: Sequence[frozenset[str]], only: Sequence[str] | None = None
) -> list[Found]:
    """Return the quantities of each of the ``tables`` of variables, SI; those ``only``, and what they use.

    The columns of a table are of one length, as many robots of the same ``traits``. Which formulas count goes by the
    traits and by which variables there are: tables that are alike in both are read as one.
    """
    alike: dict[tuple[frozenset[str], frozenset[str]], list[int]] = {}
    for place, (table, own) in enumerate(zip(tables, traits, strict=True)):
        alike.setdefault((own, frozenset(table)), []).append(place)
    found: dict[int, Found] = {}
    for (own, keys), places in alike.items():
        some = [tables[place] for place in places]
        ends = np.cumsum([len(next(iter(table.values()))) for table in some]).tolist()
        given = {key: np.concatenate([table[key] for table in some]) for key in keys}
        read = book.evaluate(given, own, only=only)
        values = np.empty((len(read), ends[-1]))
        for line, value in enumerate(read.values()):
            values[line] = value
        for place, start, end in zip(places, [0, *ends[:-1]], ends, strict=True):
            found[place] = Found(tuple(read), values[:, start:end])
    return [found[place] for place in range(len(tables))]
