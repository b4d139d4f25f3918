"""Reading a design file's own parts, and making their sum meet the stated total."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from scaling.book.alike import alike, one_of
from scaling.cad.part_mesh import mesh_properties
from scaling.files import units
from scaling.files.errors import InputError, Mistakes
from scaling.files.reading import Row, rows_of
from scaling.files.sentence import listed
from scaling.robot.kinds import KINDS
from scaling.robot.parts import Part
from scaling.robot.schema import PARTS
from scaling.shop import shelves


def read_parts(tables: dict[str, Any], file: Path, mistakes: Mistakes) -> tuple[Part, ...]:
    """Return the parts of a design file's ``[[parts]]`` that are well formed; the mistakes of the others are kept."""
    seen: set[str] = set()

    def make(row: Row) -> Part:
        name = row.values["name"]
        if name in seen:
            hint = "name each part once and state a count"
            raise InputError("two parts have the same name", file, f"{row.where}.name", name, hint=hint)
        seen.add(name)
        return _part(row, file)

    return rows_of(PARTS, tables, file, mistakes, make)


def _part(row: Row, file: Path) -> Part:
    values = dict(row.values)
    mesh, unit, mass = values.pop("mesh", None), values.pop("mesh_unit"), values.pop("mass", None)
    is_sheet = KINDS[values["kind"]].sheet
    if "snap" in values and (not is_sheet or shelves.family_of(values.get("material")) is None):
        raise InputError(
            "only a sheet of a material that is sold as sheet can be snapped",
            file,
            f"{row.where}.snap",
            allowed=f"kind sheet and a material of {listed(sorted(set(shelves.SHEET_FAMILIES.values())))}",
        )
    body, doubts = None, list[str]()
    if mesh is not None:
        body, doubts = mesh_properties(file.parent / mesh, unit, values["material"], mass, file, row.where)
    return Part(mass=mass or (body.mass if body else 0.0), body=body, doubts=tuple(doubts), **values)


def _shown(mass: Any) -> str:
    """A mass for a message, the first of many."""
    return units.format_value(one_of(mass), "kg", 4)


def reconcile(parts: tuple[Part, ...], stated: Any, file: Path) -> tuple[Part, ...]:
    """Make the parts' sum equal a stated total: a small difference becomes a part called unlisted.

    Raises InputError where the sum and the stated total differ by 2 % or more.
    """
    summed = sum(part.total for part in parts)
    if stated is None:
        return parts
    if alike(abs(summed - stated) > 0.02 * stated):
        raise InputError(
            f"the parts' masses add up to {_shown(summed)}",
            file,
            "mass",
            _shown(stated),
            "a total within 2 % of the sum",
            "mend the total, or list what is missing or doubled (rotor, motors, wheels and pack count from their "
            "own tables)",
        )
    if alike(abs(summed - stated) < 1e-9 * stated):
        return parts
    return (*parts, Part("unlisted", "solid", stated - summed))


REST = "everything else"
"""Name of the part that stands for all that a design without listed parts holds beside its own tables."""


def with_the_rest(parts: tuple[Part, ...], weighed: Any, file: Path) -> tuple[Part, ...]:
    """Return the parts with their own tables and one more that makes up the weighed mass of a design that lists none.

    Raises InputError where they outweigh it.
    """
    summed = sum(part.total for part in parts)
    if alike(summed >= weighed):
        raise InputError(
            f"motors, wheels, pack and rotor alone weigh {_shown(summed)}", file, "mass",
            _shown(weighed), "the whole robot's mass, which is more", "mend it, or one of those",
        )  # fmt: skip
    return (*parts, Part(REST, "solid", weighed - summed))
