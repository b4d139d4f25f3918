"""Closing the mass at a given factor: the levers that the brief allows, pulled in its order.

The mass law closes by its factor. Where a length or a motor fixes the factor, the sum of the parts is
brought to the limit less the margin by thickness, pocketing or another material instead.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from scaling.files.errors import InputError, Mistakes, nearest
from scaling.files.reading import Row
from scaling.files.sentence import listed
from scaling.robot.parts import Part, cut_from, mass_at, on_the_shelf
from scaling.shop import materials, stock
from scaling.shop.shelves import Shelves

KINDS = ("thickness", "pocketing", "material")
DEFAULTS = {"thickness": (0.5, 1.0), "pocketing": (0.0, 0.3), "material": (0.0, 0.0)}
"""Least and most of each lever where the row is silent: share of the thickness kept, share of the mass taken out."""

NEAR = 1e-9
"""A mass within this share of the target counts as closed."""


@dataclass(frozen=True)
class ClosureRow:
    """One lever that the brief allows: on which parts, and how far it may go."""

    lever: str
    parts: tuple[str, ...]
    least: float
    most: float
    material: str | None = None


@dataclass(frozen=True)
class ClosureStep:
    """What one lever did: its share or the new material, and the mass that it took away, kg (negative: added)."""

    lever: str
    parts: tuple[str, ...]
    setting: str
    removed: float


@dataclass(frozen=True)
class Pull:
    """How far a lever was pulled, and the mass that it took away, kg: numbers, or arrays over combinations."""

    row: ClosureRow
    share: Any
    removed: Any


def closure_row(file: Path, row: Row) -> ClosureRow:
    """Return the lever of one row of a brief's ``[[closure]]``; raises InputError for one that cannot be."""
    lever, where = row.values["lever"], row.where
    usual_least, usual_most = DEFAULTS[lever]
    least, most = row.values.get("least", usual_least), row.values.get("most", usual_most)
    highest = 3.0 if lever == "thickness" else 0.95
    if not 0 <= least <= most <= highest:
        raise InputError("the lever cannot go this far", file, f"{where}.most", most, f"least to {highest:g}")
    if lever == "thickness" and not 0 < least <= 1 <= most:
        raise InputError(
            "a thickness must be free to stay as it is",
            file,
            f"{where}.least",
            least,
            f"least above 0 to 1, and most from 1 to {highest:g}",
        )
    material = row.values.get("material") if lever == "material" else None
    return ClosureRow(lever, row.values["parts"], least, most, material)


def close_parts(
    parts: tuple[Part, ...], factor: Any, target: float, rows: tuple[ClosureRow, ...], shelves: Shelves | None
) -> tuple[tuple[Part, ...], tuple[Pull, ...]]:
    """Pull the levers in order until the parts' sum at ``factor`` is ``target`` (kg).

    ``factor`` is a number, or an array over combinations that are each closed at their own. Returns the changed parts
    and how far each lever was pulled; one that can do nothing is left alone. A sheet that comes from a shelf goes
    down to the next thickness that is sold, so that the sum stays within the target, but not below the least that its
    lever must leave. ``shelves`` are what sheets come from, None where nothing is snapped.
    """
    pulls: list[Pull] = []
    for row in rows:
        before = mass_at(parts, factor)
        missing = target - before
        share = np.where(np.abs(missing) > NEAR * target, _share(row, parts, factor, missing), _untouched(row))
        removed = before - mass_at(_after(parts, row, share, factor, shelves), factor)
        moved = np.abs(removed) > NEAR * target
        share = np.where(moved, share, _untouched(row))
        if moved.any():
            parts = _after(parts, row, share, factor, shelves)
        pulls.append(Pull(row, share, np.where(moved, removed, 0.0)))
    return parts, tuple(pulls)


def steps_of(pulls: tuple[Pull, ...]) -> tuple[ClosureStep, ...]:
    """Return what the levers of a single port did, in words, of those that did something."""
    return tuple(
        ClosureStep(pull.row.lever, pull.row.parts, _setting(pull.row, float(pull.share)), float(pull.removed))
        for pull in pulls
        if pull.removed != 0
    )


def _after(
    parts: tuple[Part, ...], row: ClosureRow, share: Any, factor: Any, shelves: Shelves | None
) -> tuple[Part, ...]:
    """The parts after one lever that is pulled so far."""
    own = frozenset(row.parts)
    return tuple(_pulled(part, row, share, factor, shelves) if part.name in own else part for part in parts)


def _untouched(row: ClosureRow) -> float:
    """The share of a lever that is left alone: all of the thickness, none of the pockets, no swap."""
    return 1.0 if row.lever == "thickness" else 0.0


def _share(row: ClosureRow, parts: tuple[Part, ...], factor: Any, missing: Any) -> Any:
    """How far to pull a lever for ``missing`` kg more (or less): linear in the share, so solved at once."""
    named = frozenset(row.parts)
    own = tuple(part for part in parts if part.name in named)
    wanted = 1 + missing / mass_at(own, factor)
    if row.lever == "thickness":
        return np.clip(wanted, row.least, row.most)
    if row.lever == "pocketing":
        return np.where(missing < 0, np.clip(1 - wanted, row.least, row.most), 0.0)
    new = materials.material(row.material or "").density.typical
    saved = sum(part.at(factor) * (1 - new / part.densities) for part in own if part.material)
    return np.where((missing < 0) & (saved > 0), 1.0, 0.0)  # a heavier material closes nothing


def _pulled(part: Part, row: ClosureRow, share: Any, factor: Any, shelves: Shelves | None) -> Part:
    """What a lever makes of one part; where the share is that of a lever left alone, nothing changes."""
    if row.lever == "material":
        new = cut_from(part, row.material or "", share > 0)
        return new if shelves is None else on_the_shelf(new, shelves)
    if row.lever == "pocketing":
        return replace(part, mass=part.mass * (1 - share))
    if part.thickness is None:
        return part
    now = part.thickness_at(factor)
    grown = np.where(share == 1, 1.0, now * share / part.ideal_thickness(factor))
    how = _how(part, now, share, row.least)
    return replace(part, mass=part.mass * grown, thickness=part.thickness * grown, snap=how)


def _how(part: Part, now: Any, share: Any, least: float) -> Any:
    """Which way a changed thickness goes to the shelf: down, save where less than ``least`` would be left of it."""
    how = part.snap
    for place, name in enumerate(part.materials):
        if part.sold.get(name):
            lower = stock.snap(now * share, part.sold[name], "down")
            fits = lower >= now * least * (1 - NEAR)  # NaN, off the shelf, does not
            how = np.where((part.which == place) & (share != 1), np.where(fits, "down", "up"), how)
    return how


def _setting(row: ClosureRow, share: float) -> str:
    if row.lever == "material":
        return f"made of {row.material}"
    if row.lever == "pocketing":
        return f"{100 * share:.1f} % of the mass pocketed"
    return f"thickness to {100 * share:.1f} %"


def check_closure(rows: tuple[ClosureRow, ...], parts: tuple[Part, ...], file: Path | None) -> None:
    """Raise InputError where a lever names a part that there is not, or one that it cannot act on."""
    by_name = {part.name: part for part in parts}
    mistakes = Mistakes(file)
    for place, row in enumerate(rows, 1):
        for name in row.parts:
            mistakes.attempt(_check_lever, row, name, by_name, f"closure[{place}].parts")
    mistakes.settle()


def _check_lever(row: ClosureRow, name: str, by_name: Mapping[str, Part], key: str) -> None:
    if name not in by_name:
        raise InputError("the design has no such part", None, key, name, listed(by_name), nearest(name, by_name))
    if row.lever == "thickness" and not by_name[name].is_sheet:
        raise InputError("only a sheet part has a thickness to change", None, key, name, hint="take it off the list")
    if row.lever == "material" and by_name[name].material is None:
        raise InputError(
            "the part does not say of which material it is, so no other can be weighed",
            None,
            key,
            name,
            hint="state its material in the design file",
        )
