"""Holes do not scale: for each fastener of the design, what carries the port's load, and the hole that it needs."""

from __future__ import annotations

import math
from dataclasses import dataclass

from scaling.robot.fasteners import Fastener
from scaling.shop import stock
from scaling.study.fit import LEAST_EDGE
from scaling.study.results import Port, Study


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


def fastener_lines(study: Study, port: Port) -> list[FastenerLine]:
    """Return every fastener of the design at ``port``; none for a port without a factor."""
    if port.factor is None:
        return []
    shelf = (study.design.shelves | study.brief.shelves).bolts
    return [_line(fastener, study, port, port.factor, shelf) for fastener in study.design.fasteners]


def _line(fastener: Fastener, study: Study, port: Port, factor: float, shelf: tuple[stock.Bolt, ...]) -> FastenerLine:
    own = study.design.shelves.bolt(fastener.size)
    load, reference = port.quantities.get(fastener.carries), study.reference.get(fastener.carries)
    ratio = port.marked(fastener.carries, load.value / reference) if load is not None and reference else None
    fits = None
    if ratio is not None:
        strong = [row for row in shelf if row.stress_area >= own.stress_area * ratio * (1 - 1e-9)]
        fits = min(strong, key=lambda row: row.stress_area, default=None)
    edge = None
    if fits is not None and ratio is not None:
        # Plastics want more than the standard: the row's own edge, grown with the load less what the sheet thickens.
        grown = (fastener.edge_distance or 0.0) * ratio / factor
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
