"""Closing the mass at a given factor: the levers that the brief allows, pulled in its order.

The mass law closes by its factor. Where a length or a motor fixes the factor, the sum of the parts is
brought to the limit less the margin by thickness, pocketing or another material instead.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from scaling import materials, tomlfile, units
from scaling.errors import InputError
from scaling.formulas.book import Choice
from scaling.parts import Part, on_the_shelf, with_material
from scaling.shelves import Files

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
        raise InputError("a lever needs the parts that it acts on", file, f"{where}.parts", names, "a list of part names")
    least, most = DEFAULTS[lever]
    least = units.parse(row.get("least", least), "1", file, f"{where}.least")
    most = units.parse(row.get("most", most), "1", file, f"{where}.most")
    highest = 3.0 if lever == "thickness" else 0.95
    if not 0 <= least <= most <= highest or (lever == "thickness" and least == 0):
        raise InputError("the lever cannot go this far", file, f"{where}.most", most, f"least to {highest:g}")
    material = None
    if lever == "material":
        material = tomlfile.choice(Choice(None, "name of a material"), row.get("material"), file, f"{where}.material")
        materials.material(material, file, f"{where}.material")
    return ClosureRow(lever, tuple(names), least, most, material)


def close_parts(
    parts: tuple[Part, ...], factor: float, target: float, rows: tuple[ClosureRow, ...], files: Files
) -> tuple[tuple[Part, ...], tuple[ClosureStep, ...]]:
    """Pull the levers in order until the parts' sum at ``factor`` is ``target`` (kg).

    Returns the changed parts and what each lever did. A sheet that comes from a shelf goes down to the
    next thickness that is sold, so that the sum stays within the target.
    """
    steps: list[ClosureStep] = []
    for row in rows:
        before = sum(float(part.at(factor)) for part in parts)
        if abs(before - target) <= NEAR * target:
            break
        share = _share(row, parts, factor, target - before)
        if share is None:
            continue
        parts = tuple(_pulled(part, row, share, files) if part.name in row.parts else part for part in parts)
        after = sum(float(part.at(factor)) for part in parts)
        steps.append(ClosureStep(row.lever, row.parts, _setting(row, share), before - after))
    return parts, tuple(steps)


def _share(row: ClosureRow, parts: tuple[Part, ...], factor: float, missing: float) -> float | None:
    """How far to pull a lever for ``missing`` kg more (or less): linear in the share, so solved at once."""
    touched = sum(float(part.at(factor)) for part in parts if part.name in row.parts)
    if touched <= 0:
        return None
    wanted = 1 + missing / touched
    if row.lever == "thickness":
        return min(max(wanted, row.least), row.most)
    if missing >= 0:
        return None  # nothing to take out
    return 1.0 if row.lever == "material" else min(max(1 - wanted, row.least), row.most)


def _pulled(part: Part, row: ClosureRow, share: float, files: Files) -> Part:
    if row.lever == "material":
        return on_the_shelf(with_material(part, row.material or "", None), files) if part.on_shelf else with_material(
            part, row.material or "", None)
    if row.lever == "pocketing":
        return replace(part, mass=part.mass * (1 - share))
    if part.thickness is None:
        return part
    return replace(part, mass=part.mass * share, thickness=part.thickness * share, snap="down" if part.snap else None)


def _setting(row: ClosureRow, share: float) -> str:
    if row.lever == "material":
        return f"made of {row.material}"
    if row.lever == "pocketing":
        return f"{100 * share:.1f} % of the mass pocketed"
    return f"thickness to {100 * share:.1f} %"


def check_closure(rows: tuple[ClosureRow, ...], parts: tuple[Part, ...], file: Path | None) -> None:
    """Raise InputError where a lever names a part that there is not, or a thickness that a part does not have."""
    by_name = {part.name: part for part in parts}
    for place, row in enumerate(rows, 1):
        for name in row.parts:
            if name not in by_name:
                raise InputError("the design has no such part", file, f"closure[{place}].parts", name, ", ".join(by_name))
            if row.lever == "thickness" and (by_name[name].kind != "sheet" or by_name[name].thickness is None):
                raise InputError("only a sheet part has a thickness to change", file, f"closure[{place}].parts", name)
