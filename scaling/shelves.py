"""Which shelf a dimension of the design comes from, and what the port's dimension becomes there."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import numpy as np

from scaling import stock, tomlfile
from scaling.errors import InputError
from scaling.formulas import book
from scaling.formulas.book import Array, Choice
from scaling.formulas.joint_inputs import bolt_values
from scaling.formulas.threads import limits

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


@dataclass(frozen=True)
class StockRow:
    """A dimension of the design under ``key`` that is bought from ``shelf``, snapped to it ``how``."""

    key: str
    shelf: str
    how: How
    family: str | None = None


@dataclass(frozen=True)
class Snap:
    """What the shelf did to one dimension of the port, m."""

    name: str
    shelf: str
    how: str
    ideal: float
    snapped: float
    on_shelf: tuple[float, ...] = ()


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


def read_rows(rows: object, numbers: dict[str, float], file: Path) -> tuple[StockRow, ...]:
    """Return the rows of a design's ``[[stock]]``; raises InputError for one that cannot be."""
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise InputError("the stock rows must be a list", file, "stock", allowed="tables headed [[stock]]")
    found = tuple(_read_row(row, f"stock[{place}]", numbers, file) for place, row in enumerate(rows, 1))
    keys = [row.key for row in found]
    for place, key in enumerate(keys, 1):
        if key in keys[: place - 1]:
            raise InputError("a dimension comes from one shelf only", file, f"stock[{place}].key", key)
    return found


def _read_row(row: dict[str, Any], where: str, numbers: dict[str, float], file: Path) -> StockRow:
    known = ("key", "shelf", "snap", "family")
    for key in row:
        if key not in known:
            raise tomlfile.unknown(f"{where}.{key}", [f"{where}.{name}" for name in known], file)
    for key in ("key", "shelf"):
        if key not in row:
            raise InputError("missing key", file, f"{where}.{key}")
    key = tomlfile.choice(Choice(None, "dotted key of a dimension"), row["key"], file, f"{where}.key")
    variable = book.variables().get(key)
    if variable is None or variable.unit != "m" or key not in numbers:
        raise InputError(
            "this is not a dimension of the design",
            file,
            f"{where}.key",
            key,
            "the dotted key of a length that the file states",
        )
    shelf = tomlfile.choice(Choice(SHELVES, "shelf"), row["shelf"], file, f"{where}.shelf")
    how = tomlfile.choice(Choice(HOWS, "how to snap"), row.get("snap", "nearest"), file, f"{where}.snap")
    family = row.get("family")
    if shelf != "sheet" and family is not None:
        raise InputError("only the shelf of sheets has families", file, f"{where}.family", family, "no family here")
    if shelf == "sheet":
        families = sorted(set(SHEET_FAMILIES.values()))
        family = tomlfile.choice(Choice(tuple(families), "family of sheets"), family, file, f"{where}.family")
    return StockRow(key, shelf, how, family)  # type: ignore[arg-type]


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


def set_bolt_sizes(values: dict[str, Any], key: str, files: Files) -> list[str]:
    """Set what follows from the snapped bolt diameter under ``key``: areas, head, hole, thread; returns the keys.

    Of several pitches of one diameter the coarsest counts, which bears the least. Where the shelf ended, and the
    diameter is that of no bolt, the rest stays as it is.
    """
    table = key.rpartition(".")[0]
    found: dict[str, Any] = {}
    for row in stock.bolts(files.get("bolts")):
        here = np.isclose(values[key], row.diameter, rtol=1e-9, atol=0.0)
        if not np.any(here):
            continue
        for name, value in _bolt_values(table, row).items():
            if name in values:
                found[name] = np.where(here, value, found.get(name, values[name]))
    values.update(found)
    return list(found)


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
    return frozenset(bolt_values(table, {f"{table}.bolt": "M6", f"{table}.bolt_class": "8.8"}))
