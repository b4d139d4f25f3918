"""The joints of a design whose bolts and holes do not scale."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from scaling.files.errors import Mistakes
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
    found = [mistakes.attempt(_mount, words, numbers)]
    found += [mistakes.attempt(_joint, row, shelves, file) for row in rows]
    return tuple(joint for joint in found if joint is not None)


def _mount(words: Mapping[str, str], numbers: Mapping[str, float]) -> Fastener | None:
    """The rotor's mount, where the design has one."""
    if "rotor.mount.bolt" not in words:
        return None
    bolt, bolt_class = (words[f"rotor.mount.{key}"] for key in ("bolt", "bolt_class"))
    return Fastener("rotor mount", bolt, bolt_class, int(numbers["rotor.mount.bolts"]), "hit_force")


def _joint(row: Row, shelves: Shelves, file: Path) -> Fastener:
    values, mistakes = row.values, Mistakes(file)
    for key in ("bolt", "bolt_class"):
        mistakes.attempt(shelves.checked, key, values[key], f"{row.where}.{key}")
    mistakes.settle()
    return Fastener(
        values["name"],
        values["bolt"],
        values["bolt_class"],
        values["count"],
        values["carries"],
        values.get("edge_distance"),
    )
