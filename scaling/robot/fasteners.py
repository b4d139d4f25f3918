"""The joints of a design whose bolts and holes do not scale."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from scaling.files import toml as tomlfile
from scaling.files.errors import InputError
from scaling.files.schema import Choice
from scaling.formulas import book
from scaling.robot.parts import count, positive
from scaling.shop.shelves import Shelves

KEYS = ("name", "bolt", "bolt_class", "count", "carries", "edge_distance")


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


def read_fasteners(
    rows: object, words: Mapping[str, str], numbers: Mapping[str, float], shelves: Shelves, file: Path
) -> tuple[Fastener, ...]:
    """Return the fasteners of a design's ``[[fasteners]]``, the rotor's mount before them; raises InputError."""
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise InputError("the fasteners must be a list", file, "fasteners", allowed="tables headed [[fasteners]]")
    found = [_read_row(row, f"fasteners[{place}]", shelves, file) for place, row in enumerate(rows, 1)]
    if "rotor.mount.bolt" in words:
        mount = Fastener(
            "rotor mount",
            words["rotor.mount.bolt"],
            words["rotor.mount.bolt_class"],
            int(numbers["rotor.mount.bolts"]),
            "hit_force",
        )
        found.insert(0, mount)
    return tuple(found)


def _read_row(row: dict[str, Any], where: str, shelves: Shelves, file: Path) -> Fastener:
    for key in row:
        if key not in KEYS:
            raise tomlfile.unknown(f"{where}.{key}", [f"{where}.{known}" for known in KEYS], file)
    for key in KEYS[:-1]:
        if key not in row:
            raise InputError("missing key", file, f"{where}.{key}")
    loads = tuple(name for name, entry in book.quantities.items() if entry.unit == "N")
    text = Choice(None, "text")
    size = tomlfile.choice(text, row["bolt"], file, f"{where}.bolt")
    bolt_class = tomlfile.choice(text, row["bolt_class"], file, f"{where}.bolt_class")
    try:
        shelves.bolt(size)
        shelves.bolt_class(bolt_class)
    except InputError as error:
        error.file, error.key = file, f"{where}.bolt{'' if 'size' in error.problem else '_class'}"
        raise
    edge = positive(row["edge_distance"], "m", file, f"{where}.edge_distance") if "edge_distance" in row else None
    return Fastener(
        tomlfile.choice(text, row["name"], file, f"{where}.name"),
        size,
        bolt_class,
        count(row["count"], file, where),
        tomlfile.choice(Choice(loads, "quantity that the fastener carries"), row["carries"], file, f"{where}.carries"),
        edge,
    )
