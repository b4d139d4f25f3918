"""Holes do not scale: for each fastener of the design, what carries the port's load, and the hole that it needs."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from scaling import stock, tomlfile
from scaling.errors import InputError
from scaling.formulas import book
from scaling.formulas.book import Choice
from scaling.parts import count, positive

if TYPE_CHECKING:
    from scaling.study import Port, Study

KEYS = ("name", "bolt", "bolt_class", "count", "carries", "edge_distance")
LEAST_EDGE = 1.2
"""Least distance from a hole's middle to the edge over the hole's diameter: EN 1993-1-8:2005, table 3.3, as quoted
by a secondary page. Plastics want more: the row's own edge distance, grown with the load, counts as well."""


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


@dataclass(frozen=True)
class FastenerLine:
    """A fastener at the port, lengths in m.

    ``scaled_diameter`` and ``scaled_hole`` are what a scaled drawing shows; ``load_ratio`` the port's load
    over the reference's; ``size`` the smallest bolt that carries it at the same count and the same share of
    its strength, with its ``hole`` (medium clearance) and ``edge``; ``kept_count`` how many it takes if the size is
    kept. None where the load is not computed or no bolt on the shelf is strong enough.
    """

    name: str
    reference: str
    scaled_diameter: float
    scaled_hole: float
    load_ratio: float | None
    size: str | None
    hole: float | None
    edge: float | None
    kept_count: int | None


def read_fasteners(
    rows: object, words: Mapping[str, str], numbers: Mapping[str, float], file: Path
) -> tuple[Fastener, ...]:
    """Return the fasteners of a design's ``[[fasteners]]``, the rotor's mount before them; raises InputError."""
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise InputError("the fasteners must be a list", file, "fasteners", allowed="tables headed [[fasteners]]")
    found = [_read_row(row, f"fasteners[{place}]", words, file) for place, row in enumerate(rows, 1)]
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


def _read_row(row: dict[str, Any], where: str, words: Mapping[str, str], file: Path) -> Fastener:
    for key in row:
        if key not in KEYS:
            raise tomlfile.unknown(f"{where}.{key}", [f"{where}.{known}" for known in KEYS], file)
    for key in KEYS[:-1]:
        if key not in row:
            raise InputError("missing key", file, f"{where}.{key}")
    loads = tuple(name for name, entry in book.quantities().items() if entry.unit == "N")
    text = Choice(None, "text")
    size = tomlfile.choice(text, row["bolt"], file, f"{where}.bolt")
    bolt_class = tomlfile.choice(text, row["bolt_class"], file, f"{where}.bolt_class")
    own = {key: Path(value) for key in ("bolts", "bolt_classes") if (value := words.get(f"stock_files.{key}"))}
    try:
        stock.bolt(size, stock.bolts(own.get("bolts")))
        stock.bolt_class(bolt_class, stock.bolt_classes(own.get("bolt_classes")))
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


def fastener_lines(study: Study, port: Port) -> list[FastenerLine]:
    """Return every fastener of the design at ``port``; none for a port without a factor."""
    if port.factor is None:
        return []
    own = study.design.choices.get("stock_files.bolts")
    shelf = stock.bolts(study.brief.stock.get("bolts", Path(own) if own else None))
    return [_line(fastener, study, port, port.factor, shelf) for fastener in study.design.fasteners]


def _line(fastener: Fastener, study: Study, port: Port, factor: float, shelf: tuple[stock.Bolt, ...]) -> FastenerLine:
    own = next((row for row in shelf if row.size == fastener.size), None) or stock.bolt(fastener.size)
    load, reference = port.quantities.get(fastener.carries), study.reference.get(fastener.carries)
    ratio = load.value / reference if load is not None and reference else None
    fits = None
    if ratio is not None:
        strong = [row for row in shelf if row.stress_area >= own.stress_area * ratio * (1 - 1e-9)]
        fits = min(strong, key=lambda row: row.stress_area, default=None)
    edge = None
    if fits is not None and ratio is not None:
        grown = (fastener.edge_distance or 0.0) * ratio / factor  # the sheet is thicker by the factor
        edge = max(LEAST_EDGE * fits.clearance_medium, grown)
    return FastenerLine(
        fastener.name,
        f"{fastener.count} x {fastener.size}",
        own.diameter * factor,
        own.clearance_medium * factor,
        ratio,
        fits.size if fits else None,
        fits.clearance_medium if fits else None,
        edge,
        None if ratio is None else math.ceil(fastener.count * ratio * (1 - 1e-9)),
    )
