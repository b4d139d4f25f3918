"""What the shelf does to a dimension of the port, and to what follows from a bolt's size."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.formulas.joints.inputs import bolt_values
from scaling.formulas.joints.threads import limits
from scaling.robot.derived import table_of
from scaling.shop import stock
from scaling.shop.shelves import Shelves

SAME = 1e-9
"""Share within which a diameter is that of a bolt."""


@dataclass(frozen=True)
class Snap:
    """What the shelf did to one dimension of the port, m."""

    name: str
    shelf: str
    how: str
    ideal: float
    snapped: float
    on_shelf: tuple[float, ...] = ()


def sizes_of_bolts(values: Mapping[str, Any], key: str, shelves: Shelves) -> dict[str, Any]:
    """Return what follows from the bolt diameter under ``key``, of what ``values`` has: areas, head, hole, thread.

    Of several pitches of one diameter the coarsest counts, which bears the least. Where the shelf ended, and the
    diameter is that of no bolt, the rest stays as it is.
    """
    table = table_of(key)
    found: dict[str, Any] = {}
    for row in shelves.bolts:
        here = np.abs(values[key] - row.diameter) <= SAME * row.diameter
        if not np.any(here):
            continue
        for name, value in _bolt_values(table, row).items():
            if name in values:
                found[name] = np.where(here, value, found.get(name, values[name]))
    return found


def _bolt_values(table: str, row: stock.Bolt) -> dict[str, float]:
    """What follows from a bolt's size, whichever class it is of."""
    found = {
        f"{table}.bolt_diameter": row.diameter,
        f"{table}.bolt_stress_area": row.stress_area,
        f"{table}.head_diameter": row.head_diameter,
        f"{table}.hole_diameter": row.clearance_medium,
        f"{table}.thread.pitch": row.pitch,
    }
    thread = limits(row.diameter, row.pitch)
    return found if thread is None else found | {f"{table}.thread.{name}": size for name, size in vars(thread).items()}


def bolt_keys(table: str) -> frozenset[str]:
    """Return the keys of every variable of ``table`` that follows from its bolts' size."""
    return frozenset(bolt_values(table, {f"{table}.bolt": "M6", f"{table}.bolt_class": "8.8"}, Shelves()))
