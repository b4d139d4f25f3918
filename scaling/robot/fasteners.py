"""The joints of a design whose bolts and holes do not scale."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from scaling.files.errors import InputError, Mistakes
from scaling.files.reading import Row, rows_of
from scaling.robot.schema import FASTENERS
from scaling.shop.shelves import Shelves


@dataclass(frozen=True)
class Fastener:
    """One joint of the design: ``count`` bolts of ``size`` that carry the load of the quantity ``carries`` (N).

    ``edge_distance`` (m) from the holes' middle to the edge, None where the file does not say.
    """

    name: str
    size: str
    bolt_class: str
    count: int
    carries: str
    edge_distance: float | None = None


def read_fasteners(tables: dict[str, Any], file: Path, mistakes: Mistakes) -> tuple[Row, ...]:
    """Return the rows of a design's ``[[fasteners]]`` that are well formed; the mistakes of the others are kept."""
    return rows_of(FASTENERS, tables, file, mistakes, lambda row: row)


def joints_of(
    rows: tuple[Row, ...],
    words: Mapping[str, str],
    numbers: Mapping[str, float],
    shelves: Shelves,
    file: Path,
    mistakes: Mistakes,
) -> tuple[Fastener, ...]:
    """Return the joints of the table of holes, the rotor's mount before those of the file; keeps what no shelf has."""
    found: list[Fastener] = []
    if "rotor.mount.bolt" in words:
        bolt, bolt_class = (words[f"rotor.mount.{key}"] for key in ("bolt", "bolt_class"))
        found.append(Fastener("rotor mount", bolt, bolt_class, int(numbers["rotor.mount.bolts"]), "hit_force"))
    for row in rows:
        with mistakes.kept():
            found.append(_joint(row, shelves, file))
    return tuple(found)


def _joint(row: Row, shelves: Shelves, file: Path) -> Fastener:
    values = row.values
    try:
        shelves.bolt(values["bolt"])
        shelves.bolt_class(values["bolt_class"])
    except InputError as error:
        error.file, error.key = file, f"{row.where}.bolt{'' if 'size' in error.problem else '_class'}"
        raise
    return Fastener(
        values["name"],
        values["bolt"],
        values["bolt_class"],
        values["count"],
        values["carries"],
        values.get("edge_distance"),
    )
