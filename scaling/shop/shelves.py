"""Sizes on a shop's shelves, and what becomes of a dimension there."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Literal

import numpy as np

from scaling.book.entry import Array
from scaling.shop import stock

How = Literal["nearest", "up", "down"]
HOWS = ("nearest", "up", "down")
SHELVES = ("sheet", "bolt", "bearing-bore", "bearing-outside", "round-belt", "toothed-belt-width")
FILES = ("bolts", "sheets", "bearings", "toothed_belts", "round_belts")
"""Shelves that a port's sizes are snapped to, and that a builder's own CSV file may extend or replace, by the key of
the brief's [stock] table; classes of bolts and cells are a design's own words (its [stock_files])."""

SHEET_FAMILIES = {
    "aluminium": "aluminium",
    "steel": "steel",
    "wear-steel": "steel",
    "tool-steel": "steel",
    "spring-steel": "steel",
    "titanium": "titanium",
    "polycarbonate": "polycarbonate",
    "hdpe": "polyethylene",
    "uhmwpe": "polyethylene",
    "carbon-fibre": "carbon fibre",
}
"""Family of sheets by the first words of a material's name."""


Files = dict[str, Path]
"""A builder's own shelf files, by the key of FILES."""


def family_of(material: str | None) -> str | None:
    """Return the family of sheets that a material is sold as, or None."""
    for start, family in SHEET_FAMILIES.items():
        if material is not None and (material == start or material.startswith(f"{start}-")):
            return family
    return None


def sizes(shelf: str, family: str | None, files: Files) -> tuple[float, ...]:
    """Return the rising sizes in m on a shelf; raises InputError for an unknown family or a bad own file."""
    if shelf == "sheet":
        return stock.thicknesses(family or "", stock.sheets(files.get("sheets")))
    if shelf == "bolt":
        return tuple(sorted({row.diameter for row in stock.bolts(files.get("bolts"))}))  # one pitch or several
    if shelf.startswith("bearing"):
        rows = stock.bearings(files.get("bearings"))
        return tuple(sorted({row.bore if shelf == "bearing-bore" else row.outside for row in rows}))
    if shelf == "round-belt":
        return tuple(row.diameter for row in stock.round_belts(files.get("round_belts")))
    return tuple(sorted({row.width for row in stock.toothed_belts(files.get("toothed_belts"))}))


def snapped(ideal: Any, on_shelf: tuple[float, ...], how: str) -> Array:
    """Return ``ideal`` (m, float or array) as the shelf has it; where the shelf ends it stays as it is."""
    found = stock.snap(ideal, on_shelf, how)  # type: ignore[arg-type]
    return np.where(_off(ideal, on_shelf, how, found), ideal, found)


def beyond(ideal: float, on_shelf: tuple[float, ...], how: str) -> bool:
    """Whether the shelf has no size for ``ideal`` in the direction asked for, or no near one."""
    return bool(_off(ideal, on_shelf, how, stock.snap(ideal, on_shelf, how)))  # type: ignore[arg-type]


def _off(ideal: Any, on_shelf: tuple[float, ...], how: str, found: Array) -> Any:
    """Where the shelf has nothing for ``ideal``: none up or down, or its end is farther off than half its last step.

    On the shelf the nearest size is never farther than half a step; past its end it could be any distance.
    """
    if how != "nearest":
        return np.isnan(found)
    steps = np.diff(on_shelf) if len(on_shelf) > 1 else np.asarray(on_shelf)
    wanted = np.asarray(ideal, dtype=float)
    return (wanted < on_shelf[0] - steps[0] / 2) | (wanted > on_shelf[-1] + steps[-1] / 2)
