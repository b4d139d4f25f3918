"""Which bolt carries a port's load, its hole and its distance from the edge, against standards' figures.

The standards were not opened: ISO 898-1 stress areas, ISO 273 clearance holes and EN 1993-1-8:2005, tables 3.3 and
3.4, as quoted by secondary pages.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from scaling.robot.fasteners import Fastener
from scaling.shop.shelves import Shelves
from scaling.study.fasteners import FastenerLine, fastener_lines
from scaling.study.results import PortQuantity

# ISO 898-1, As = pi/4 (d - 0.938194 P)^2, mm^2.
STRESS_AREA = {
    "M2": 2.073,
    "M2.5": 3.391,
    "M3": 5.031,
    "M4": 8.779,
    "M5": 14.183,
    "M6": 20.123,
    "M8": 36.609,
    "M10": 57.990,
    "M12": 84.267,
}
# ISO 273:1979, medium series H13, mm.
MEDIUM_HOLE = {
    "M2": 2.4,
    "M2.5": 2.9,
    "M3": 3.4,
    "M4": 4.5,
    "M5": 5.5,
    "M6": 6.6,
    "M8": 9.0,
    "M10": 11.0,
    "M12": 13.5,
}
# EN 1993-1-8:2005, table 3.3: end distance e1 and edge distance e2 at least 1.2 d0; mm for the medium hole.
LEAST_EDGE = {"M3": 4.08, "M4": 5.40, "M5": 6.60, "M6": 7.92, "M8": 10.80, "M10": 13.20, "M12": 16.20}
# EN 1993-1-8:2005, table 3.4: 0.6 f_ub A_s / 1.25 of one M6 of class 8.8 in single shear, kN.
M6_SHEAR = 7.72
# The same of larger bolts of class 8.8, kN, as tabulated by a secondary page; pitches ISO 262.
LARGE = {"M16": (16, 2.0, 60.3), "M20": (20, 2.5, 94.1), "M24": (24, 3.0, 136.0), "M30": (30, 3.5, 215.0)}


@pytest.fixture
def carried(main_demo: Any) -> Callable[..., FastenerLine]:
    """The line of one joint at a port whose load is so many newtons, against the reference's."""

    def line(
        size: str, own: float, load: float, *, count: int = 1, factor: float = 1.5, **changes: Any
    ) -> FastenerLine:
        joint = Fastener("joint", size, "8.8", count, "hit_force", changes.get("edge_distance"))
        shelves = Shelves.read(changes.get("stock", {}))
        study = replace(
            main_demo.study,
            design=replace(main_demo.design, fasteners=(joint,), shelves=shelves),
            reference={"hit_force": own},
        )
        port = replace(
            study.ports[0], factor=factor, quantities={"hit_force": PortQuantity(load, "N", load / own, None, {}, {})}
        )
        (found,) = fastener_lines(study, port)
        return found

    return line


@pytest.mark.parametrize("size", STRESS_AREA)
@pytest.mark.parametrize("other", STRESS_AREA)
def test_loads_as_stress_areas_choose_the_size(carried: Callable[..., FastenerLine], size: str, other: str) -> None:
    """A load that grows as the stress area of another size needs that size; a thousandth more needs the next."""
    ratio = STRESS_AREA[other] / STRESS_AREA[size]
    sizes = ["M1.6", *STRESS_AREA]
    exact = carried(size, 100.0, 100.0 * ratio * 0.998)  # areas are rounded to a thousandth
    more = carried(size, 100.0, 100.0 * ratio * 1.002)
    assert exact.size == other
    following = sizes[sizes.index(other) + 1 :]
    assert more.size == (following[0] if following else None)


@pytest.mark.parametrize("size", LEAST_EDGE)
def test_hole_and_edge(carried: Callable[..., FastenerLine], size: str) -> None:
    line = carried(size, 100.0, 100.0)
    assert line.hole == pytest.approx(MEDIUM_HOLE[size] / 1e3, rel=1e-12)
    assert line.edge == pytest.approx(LEAST_EDGE[size] / 1e3, rel=1e-9)


def test_a_bolt_at_its_published_resistance(carried: Callable[..., FastenerLine]) -> None:
    """M3 of class 8.8 in shear carries 0.6 x 800 x 5.031 / 1.25 = 1932 N, and M6 7.72 kN: four times as much."""
    three = 0.6 * 800 * 5.031 / 1.25
    assert carried("M3", three, 0.998 * M6_SHEAR * 1e3).size == "M6"
    assert carried("M3", three, 1.004 * M6_SHEAR * 1e3).size == "M8"
    assert carried("M3", three, 0.998 * M6_SHEAR * 1e3).kept_count == 4


def test_published_resistances_of_large_bolts(carried: Callable[..., FastenerLine], tmp_path: Path) -> None:
    """From the builder's own shelf; heads and holes are made up and play no part."""
    header = (
        "size,diameter_mm,pitch_mm,head_diameter_mm,head_height_mm,hex_key_mm,clearance_fine_mm,"
        "clearance_medium_mm,clearance_coarse_mm"
    )
    rows = [
        f"{size},{d},{pitch},{1.5 * d},{d},{0.8 * d},{d + 1},{d + 2},{d + 3}" for size, (d, pitch, _) in LARGE.items()
    ]
    shelf = tmp_path / "large.csv"
    shelf.write_text("\n".join(["# replace", header, *rows]), encoding="utf-8")
    for size, (_, _, load) in LARGE.items():
        for other, (_, _, wanted) in LARGE.items():
            line = carried(size, load, 0.99 * wanted, stock={"bolts": shelf})  # resistances to three figures
            assert line.size == other
            assert line.scaled_diameter == pytest.approx(1.5 * LARGE[size][0] / 1e3)


@pytest.mark.parametrize(
    ("ratio", "count", "kept"), [(1.0, 6, 6), (1.01, 6, 7), (2.5, 4, 10), (0.3, 6, 2), (0.01, 3, 1)]
)
def test_count_if_the_size_is_kept(carried: Callable[..., FastenerLine], ratio: float, count: int, kept: int) -> None:
    """Bolts that share a load evenly: the load per bolt stays when their number grows with it, rounded up."""
    assert carried("M3", 100.0, 100.0 * ratio, count=count).kept_count == kept


def test_edge_keeps_the_tear_out_stress(carried: Callable[..., FastenerLine]) -> None:
    """Tear-out tau = F / (2 a t), J. E. Shigley, Mechanical Engineering Design, sec. 8-12, from memory.

    With a sheet that is thicker by the factor and the reference's edge distance of 20 mm, far above 1.2 d0.
    """
    load, ratio, factor, sheet, edge = 400.0, 3.2, 1.45, 0.004, 0.020
    line = carried("M3", load, load * ratio, factor=factor, edge_distance=edge)
    assert line.edge is not None
    before = load / (2 * edge * sheet)
    after = load * ratio / (2 * line.edge * sheet * factor)
    assert after == pytest.approx(before, rel=1e-12)
    near = carried("M3", load, load * ratio, factor=factor, edge_distance=0.001)
    assert near.edge == pytest.approx(1.2 * MEDIUM_HOLE["M6"] / 1e3, rel=1e-9)  # 3.2 x 5.031 = 16.1 mm^2: M6
