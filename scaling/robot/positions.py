"""The whole robot's centre of gravity and inertia from the places of its parts.

Positions are in the robot's frame: x ahead of the rear contact, y to the left of the middle, z above the floor.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from scaling.files.bounds import BOUNDS
from scaling.files.errors import InputError, Mistakes, nearest
from scaling.files.reading import read_value, table_at
from scaling.files.sentence import listed
from scaling.files.toml import quoted
from scaling.robot.schema import POSITIONS

if TYPE_CHECKING:
    from scaling.cad.mesh import MassProperties
    from scaling.robot.parts import Part

Vector = tuple[float, float, float]
COVERED = 0.95
"""Share of the mass whose positions must be known before the sum stands for the whole robot."""

FROM_PLACES = ("cg_height", "cg_ahead", "roll_inertia", "yaw_inertia", "rotor.hit_inertia", "rotor.axle_lever")
"""Keys that follow from the parts' places where they cover enough of the mass and the file does not state them."""


@dataclass(frozen=True)
class WholeBody:
    """What the positions say of the whole robot: mass covered (kg), centre (m), inertia about it (kg m^2)."""

    mass: float
    share: float
    centre: Vector
    roll_inertia: float
    pitch_inertia: float
    yaw_inertia: float


def read_positions(tables: dict[str, Any], file: Path, mistakes: Mistakes) -> dict[str, tuple[Vector, ...]]:
    """Return the places of each part's pieces from ``[positions]``: three lengths, or three a piece."""
    (key,) = POSITIONS.keys
    found: dict[str, tuple[Vector, ...]] = {}
    with mistakes.kept():
        for name, value in table_at(tables, POSITIONS.name, file).items():
            is_one = not (isinstance(value, list) and value and isinstance(value[0], list))
            with mistakes.kept():
                found[name] = read_value(key, [value] if is_one else value, file, _where(name))
        BOUNDS["places"].check(sum(map(len, found.values())), file, POSITIONS.name)
    return found


def check_positions(
    places: Mapping[str, Any], counts: Mapping[str, int | None], file: Path, mistakes: Mistakes
) -> None:
    """Keep the mistakes of places that are of no part, or that do not fit the count of its pieces.

    ``counts`` are those of the parts by name, None where a part's is not known.
    """
    for name, rows in places.items():
        if name not in counts:
            mistakes.add(InputError("the design has no such part", file, _where(name), allowed=listed(counts),
                                    hint=nearest(name, counts)))
        elif len(rows) not in (1, counts[name] or len(rows)):
            allowed = f"one place for all, or {counts[name]}"
            mistakes.add(
                InputError("the places do not fit the part's count", file, _where(name), len(rows), allowed)
            )


def _where(name: str) -> str:
    return f"{POSITIONS.name}.{quoted(name)}"


def whole_body(parts: tuple[Part, ...], positions: Mapping[str, Sequence[Vector]], total: Any) -> WholeBody | None:
    """Return the whole robot's centre of gravity and inertia from its parts' places, None without positions.

    A part with a mesh stands with its file's origin at its place and has its own inertia, in proportion where the
    file states another mass than the mesh's; another counts as a point.
    """
    import numpy as np

    from scaling.cad.mesh import combine, in_rows

    bodies: list[MassProperties] = []
    places: list[Vector] = []
    counts: list[float] = []
    for part in parts:
        rows = positions.get(part.name, ())
        for row in rows:
            bodies.append(_one_piece(part))
            places.append(row)
            counts.append(part.count / len(rows))
    if not bodies:
        return None
    found = combine(bodies, np.asarray(places), in_rows(counts))
    inertia = [found.inertia[axis][axis] for axis in range(3)]
    return WholeBody(found.mass, found.mass / total, found.centre, *inertia)


def _one_piece(part: Part) -> MassProperties:
    """One piece of ``part`` with the mass that counts: its mesh, or a point."""
    from scaling.cad.mesh import MassProperties

    if part.body is None or not part.body.watertight:
        nowhere = (0.0, 0.0, 0.0)
        return MassProperties(0.0, 0.0, part.mass, nowhere, (nowhere,) * 3, nowhere, True, 0)
    share = part.mass / part.body.mass
    first, second, third = ((x * share, y * share, z * share) for x, y, z in part.body.inertia)
    return replace(part.body, mass=part.mass, inertia=(first, second, third))
