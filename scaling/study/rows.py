"""Many robots read from the book at once: each a row of one evaluation, or a few rows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from scaling.book.entry import Array
from scaling.formulas import book


def read_together(
    tables: Sequence[Mapping[str, Array]], traits: Sequence[frozenset[str]]
) -> list[dict[str, Array]]:
    """Return the quantities of each of the ``tables`` of variables, SI; NaN where one cannot be computed.

    The columns of a table are of one length, as many robots of the same ``traits``; quantities come in columns like
    them. Which formulas count goes by the traits and by which variables there are, so that tables alike in both are
    read as one.
    """
    alike: dict[tuple[frozenset[str], frozenset[str]], list[int]] = {}
    for place, (table, own) in enumerate(zip(tables, traits, strict=True)):
        alike.setdefault((own, frozenset(table)), []).append(place)
    found: list[dict[str, Array]] = [{} for _ in tables]
    for (own, keys), places in alike.items():
        some = [tables[place] for place in places]
        ends = np.cumsum([len(next(iter(table.values()))) for table in some]).tolist()
        given = {key: np.concatenate([table[key] for table in some]) for key in keys}
        for name, values in book.evaluate(given, own).items():
            column = values if values.shape == (ends[-1],) else np.broadcast_to(values, (ends[-1],))
            for place, start, end in zip(places, [0, *ends], ends, strict=False):
                found[place][name] = column[start:end]
    return found
