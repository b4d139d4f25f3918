"""Closing the mass at a given factor: the levers that the brief allows, pulled in its order.

The mass law closes by its factor. Where a length or a motor fixes the factor, the sum of the parts is
brought to the limit less the margin by thickness, pocketing or another material instead.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from scaling.book.entry import Array
from scaling.files import toml as tomlfile
from scaling.files import units
from scaling.files.errors import InputError
from scaling.files.schema import Choice
from scaling.robot.parts import Part, on_the_shelf, with_material
from scaling.robot.varied import VariedPart, swapped, varied
from scaling.shop import materials, stock
from scaling.shop.shelves import Files

KINDS = ("thickness", "pocketing", "material")
KEYS = ("lever", "parts", "least", "most", "material")
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


def read_closure(rows: object, file: Path) -> tuple[ClosureRow, ...]:
    """Return the levers of a brief's ``[[closure]]``; raises InputError for one that cannot be."""
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise InputError("the levers must be a list", file, "closure", allowed="tables headed [[closure]]")
    return tuple(_read_row(row, f"closure[{place}]", file) for place, row in enumerate(rows, 1))


def _read_row(row: dict[str, Any], where: str, file: Path) -> ClosureRow:
    for key in row:
        if key not in KEYS:
            raise tomlfile.unknown(f"{where}.{key}", [f"{where}.{known}" for known in KEYS], file)
    lever = tomlfile.choice(Choice(KINDS, "lever"), row.get("lever"), file, f"{where}.lever")
    names = row.get("parts")
    if not isinstance(names, list) or not names or not all(isinstance(name, str) for name in names):
        raise InputError(
            "a lever needs the parts that it acts on", file, f"{where}.parts", names, "a list of part names"
        )
    least, most = DEFAULTS[lever]
    least = units.parse(row.get("least", least), "1", file, f"{where}.least")
    most = units.parse(row.get("most", most), "1", file, f"{where}.most")
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
    material = None
    if lever == "material":
        material = tomlfile.choice(Choice(None, "name of a material"), row.get("material"), file, f"{where}.material")
        materials.material(material, file, f"{where}.material")
    return ClosureRow(lever, tuple(names), least, most, material)


def close_parts(
    parts: tuple[Part, ...], factor: float, target: float, rows: tuple[ClosureRow, ...], files: Files | None
) -> tuple[tuple[Part, ...], tuple[ClosureStep, ...]]:
    """Pull the levers in order until the parts' sum at ``factor`` is ``target`` (kg).

    Returns the changed parts and what each lever did; one that can do nothing is left out. A sheet that comes from a
    shelf goes down to the next thickness that is sold, so that the sum stays within the target, but not below the
    least that its lever must leave. ``files`` are the builder's own shelves, None where nothing is snapped.
    """
    steps: list[ClosureStep] = []
    for row in rows:
        before = float(mass_of(parts, factor))
        changed, share = _after(parts, row, factor, target - before, files)
        removed = before - float(mass_of(changed, factor))
        if abs(target - before) <= NEAR * target or abs(removed) <= NEAR * target:
            continue
        parts = changed
        steps.append(ClosureStep(row.lever, row.parts, _setting(row, share), removed))
    return parts, tuple(steps)


def close_each(
    parts: tuple[Part, ...], factor: Array, target: float, rows: tuple[ClosureRow, ...], files: Files | None
) -> tuple[Part, ...]:
    """Return the parts of many combinations, each closed at its own ``factor`` as ``close_parts`` closes one."""
    for row in rows:
        before = mass_of(parts, factor)
        pulled = np.abs(target - before) > NEAR * target
        share = np.where(pulled, _share(row, parts, factor, target - before), _untouched(row))
        parts = tuple(
            _varied_after(part, row, share, factor, files) if part.name in row.parts else part for part in parts
        )
    return parts


def mass_of(parts: tuple[Part, ...], factor: Any) -> Any:
    """Sum of the parts' masses in kg at ``factor``."""
    return sum(part.at(factor) for part in parts)


def _after(
    parts: tuple[Part, ...], row: ClosureRow, factor: float, missing: float, files: Files | None
) -> tuple[tuple[Part, ...], float]:
    """The parts after one lever that is pulled for ``missing`` kg more (or less), and how far it was pulled."""
    share = float(_share(row, parts, factor, missing))
    if share == _untouched(row):
        return parts, share
    return tuple(_pulled(part, row, share, factor, files) if part.name in row.parts else part for part in parts), share


def _untouched(row: ClosureRow) -> float:
    """The share of a lever that is left alone: all of the thickness, none of the pockets, no swap."""
    return 1.0 if row.lever == "thickness" else 0.0


def _share(row: ClosureRow, parts: tuple[Part, ...], factor: Any, missing: Any) -> Any:
    """How far to pull a lever for ``missing`` kg more (or less): linear in the share, so solved at once."""
    touched = mass_of(tuple(part for part in parts if part.name in row.parts), factor)
    wanted = 1 + missing / touched
    if row.lever == "thickness":
        return np.clip(wanted, row.least, row.most)
    if row.lever == "pocketing":
        return np.where(missing < 0, np.clip(1 - wanted, row.least, row.most), 0.0)
    new = materials.material(row.material or "").density.typical
    saved = sum(
        part.at(factor) * (1 - new / _density(part)) for part in parts if part.name in row.parts and part.material
    )
    return np.where((missing < 0) & (saved > 0), 1.0, 0.0)  # a heavier material closes nothing


def _density(part: Part) -> Any:
    return part.densities() if isinstance(part, VariedPart) else materials.material(part.material or "").density.typical


def _pulled(part: Part, row: ClosureRow, share: float, factor: float, files: Files | None) -> Part:
    if row.lever == "material":
        new = replace(with_material(part, row.material or "", None), on_shelf=())
        return new if files is None else on_the_shelf(new, files)
    if row.lever == "pocketing":
        return replace(part, mass=part.mass * (1 - share))
    if part.thickness is None:
        return part
    now = float(part.thickness_at(factor))
    grown = now * share / float(part.ideal_thickness(factor))
    how = str(_how(now, share, part.on_shelf, row.least)) if part.on_shelf else part.snap
    return replace(part, mass=part.mass * grown, thickness=part.thickness * grown, snap=how)


def _how(now: Any, share: Any, on_shelf: tuple[float, ...], least: float) -> Any:
    """Which way a thickness goes to the shelf: down, save where that is less than must be left or off the shelf."""
    lower = stock.snap(now * share, on_shelf, "down")
    return np.where(lower >= now * least * (1 - NEAR), "down", "up")  # NaN, off the shelf, is not


def _varied_after(part: Part, row: ClosureRow, share: Array, factor: Array, files: Files | None) -> Part:
    """What ``_pulled`` does, for many combinations; where the share is that of a lever left alone, nothing changes."""
    own = varied(part)
    if row.lever == "material":
        return swapped(own, row.material or "", share > 0, files)
    if row.lever == "pocketing":
        left: Any = 1 - share
        return replace(own, mass=own.mass * left)
    if own.thickness is None:
        return part
    now = own.thickness_at(factor)
    grown: Any = np.where(share == 1, 1.0, now * share / own.ideal_thickness(factor))
    how = np.broadcast_to(own.how, share.shape)
    for place, shelf in enumerate(own.sold):
        if shelf:
            here = (own.which == place) & (share != 1)
            how = np.where(here, _how(now, share, shelf, row.least), how)
    return replace(own, mass=own.mass * grown, thickness=own.thickness * grown, how=how)


def _setting(row: ClosureRow, share: float) -> str:
    if row.lever == "material":
        return f"made of {row.material}"
    if row.lever == "pocketing":
        return f"{100 * share:.1f} % of the mass pocketed"
    return f"thickness to {100 * share:.1f} %"


def check_closure(rows: tuple[ClosureRow, ...], parts: tuple[Part, ...], file: Path | None) -> None:
    """Raise InputError where a lever names a part that there is not, or one that it cannot act on."""
    by_name = {part.name: part for part in parts}
    for place, row in enumerate(rows, 1):
        where = f"closure[{place}].parts"
        for name in row.parts:
            if name not in by_name:
                raise InputError("the design has no such part", file, where, name, ", ".join(by_name))
            if row.lever == "thickness" and (by_name[name].kind != "sheet" or by_name[name].thickness is None):
                raise InputError("only a sheet part has a thickness to change", file, where, name)
            if row.lever == "material" and by_name[name].material is None:
                raise InputError(
                    "the part does not say of which material it is, so no other can be weighed",
                    file,
                    where,
                    name,
                    hint="state its material in the design file",
                )
