"""Sizes from the shelf in a port: the mass law over its steps, which way a size snaps, and what follows from it.

The shelves are read again here with the csv module, and sizes are looked up with bisect and min: code that knows
nothing of the project. The machine and its numbers are invented for these tests.
"""

from __future__ import annotations

import bisect
import csv
import json
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from small_pusher import TABLES

from scaling.files.errors import InputError
from scaling.port.brief import LawRequest, load_brief
from scaling.port.inputs import inputs_at, port_parts
from scaling.robot.design import load_design
from scaling.shop import shelf_file, shelves
from scaling.show.study_json import as_json
from scaling.study.results import Port
from scaling.study.run import run_study

DESIGN = (
    """
name = "Shelf piece"
length = "100 mm"
width = "90 mm"
height = "50 mm"
track = "70 mm"
wheelbase = "50 mm"
cg_height = "20 mm"
"""
    + TABLES
)
OWN = 70.0
"""Grams of pack, motors and wheels of the design above, all solid."""

PARTS = (
    ("lid", "aluminium-6082-t6", "aluminium", 2.0, 60.0, "nearest", "scale"),
    ("walls", "uhmwpe", "polyethylene", 5.0, 80.0, "up", "scale"),
    ("floor", "carbon-fibre-plate", "carbon fibre", 1.5, 40.0, "down", "scale"),
    ("scoop", "wear-steel-450", "steel", 1.4, 30.0, "nearest", "hold"),
)
"""Name, material, its family of sheets, thickness in mm, mass in g, way of the snap, thickness rule."""


@cache
def own_shelf(family: str) -> list[float]:
    """Thicknesses in mm that the built-in file lists for a family, read without the project's reader."""
    lines = (shelf_file.FOLDER / "sheets.csv").read_text(encoding="utf-8").splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    return sorted(float(row["thickness_mm"]) for row in rows if row["family"] == family)


def own_snap(ideal: float, sizes: list[float], how: str) -> float:
    """The size in mm that ``ideal`` becomes, by the words of the README: where the shelf ends it stays as it is."""
    if how == "up":
        place = bisect.bisect_left(sizes, ideal * (1 - 1e-9))
        return sizes[place] if place < len(sizes) else ideal
    if how == "down":
        place = bisect.bisect_right(sizes, ideal * (1 + 1e-9))
        return sizes[place - 1] if place else ideal
    low, high = sizes[0] - (sizes[1] - sizes[0]) / 2, sizes[-1] + (sizes[-1] - sizes[-2]) / 2
    return min(sizes, key=lambda size: (abs(size - ideal), -size)) if low <= ideal <= high else ideal


def own_mass(factor: float) -> float:
    """Grams of the test piece at ``factor``."""
    total = (OWN + 100.0) * factor**3
    for _, _, family, thickness, mass, how, rule in PARTS:
        ideal = thickness * (factor if rule == "scale" else 1.0)
        total += mass * factor**2 * own_snap(ideal, own_shelf(family), how) / thickness
    return total


def study_of(folder: Path, limit: float, brief: str = "", design: str = "", law: str = 'law = "mass"') -> Port:
    text = DESIGN + design + '[[parts]]\nname = "body"\nkind = "solid"\nmass = "100 g"\n'
    for name, material, _, thickness, mass, how, rule in PARTS:
        text += (
            f'[[parts]]\nname = "{name}"\nkind = "sheet"\nmaterial = "{material}"\nthickness = "{thickness} mm"\n'
            f'mass = "{mass} g"\nsnap = "{how}"\nthickness_rule = "{rule}"\n'
        )
    (folder / "design.toml").write_text(text, encoding="utf-8")
    (folder / "brief.toml").write_text(
        f'reference = "design.toml"\nmass_limit = "{limit!r} g"\n[[laws]]\n{law}\n{brief}', encoding="utf-8"
    )
    loaded = load_brief(folder / "brief.toml")
    return run_study(load_design(loaded.design_file), loaded).ports[0]


many = settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])


@many
@given(limit=st.floats(400, 20_000))
def test_the_mass_law_takes_the_largest_factor_over_the_steps(tmp_path: Path, limit: float) -> None:
    """A dense grid of factors, weighed by own code, has none above the law's that is within the limit."""
    factor = study_of(tmp_path, limit).factor
    assert factor is not None
    assert own_mass(factor * (1 - 3e-9)) <= limit  # a size within 1e-9 counts as that size
    above = np.concatenate([factor * (1 + np.geomspace(2e-9, 1e-3, 40)), np.linspace(factor * 1.001, factor * 2, 400)])
    assert min(map(own_mass, above)) > limit


@pytest.mark.parametrize("limit", [500.0, 1360.0, 3000.0])
def test_the_continuous_root_stands_beside_it(tmp_path: Path, limit: float) -> None:
    """Without shelves the sum is a cubic, whose root numpy finds: the held scoop is its square term."""
    port = study_of(tmp_path, limit)
    cubic, square = OWN + 100 + sum(row[4] for row in PARTS if row[6] == "scale"), 30.0
    (root,) = (root.real for root in np.roots([cubic, square, 0, -limit]) if abs(root.imag) < 1e-9 and root.real > 0)
    assert port.continuous_factor == pytest.approx(root, rel=1e-10)
    assert port.factor != pytest.approx(root, rel=1e-6)


@many
@given(limit=st.floats(400, 20_000))
def test_up_is_never_thinner_and_down_never_thicker(tmp_path: Path, limit: float) -> None:
    snaps = {snap.name: snap for snap in study_of(tmp_path, limit).snaps}
    assert set(snaps) == {row[0] for row in PARTS}
    for name, _, family, _, _, how, _ in PARTS:
        snap = snaps[name]
        assert snap.how == how
        # The mass law often stands on a step itself, where a hair decides between two sizes.
        near = [own_snap(snap.ideal * 1e3 * (1 + hair), own_shelf(family), how) for hair in (-5e-9, 0.0, 5e-9)]
        assert any(snap.snapped * 1e3 == pytest.approx(size, rel=1e-8) for size in near)
        if how == "up":
            assert snap.snapped >= snap.ideal * (1 - 5e-9)
        if how == "down":
            assert snap.snapped <= snap.ideal * (1 + 5e-9)


def test_what_a_snap_did_stands_in_the_study(tmp_path: Path) -> None:
    port = study_of(tmp_path, 1360.0)
    lines = {line.name: line for line in port.parts}
    for name, _, family, thickness, mass, how, rule in PARTS:
        ideal = thickness * (port.factor if rule == "scale" else 1.0)
        outline = mass * port.factor**2 / thickness / 1e3
        assert lines[name].ideal == pytest.approx(outline * ideal, rel=1e-9)
        assert lines[name].port == pytest.approx(outline * own_snap(ideal, own_shelf(family), how), rel=1e-9)
    assert sum(line.port for line in port.parts) == pytest.approx(port.variables["mass"], rel=1e-12)
    assert port.ideal["total_mass"] == pytest.approx(sum(line.ideal for line in port.parts), rel=1e-9)


# The builder's own shelf.

SHEET_HEADER = "family,thickness_mm"


def test_own_rows_extend_the_shelf(tmp_path: Path) -> None:
    law = 'law = "length"\ntarget = "110 mm"'  # a lid of 2.2 mm; the built-in shelf has 2 and 2.5
    (tmp_path / "shop.csv").write_text(f"{SHEET_HEADER}\naluminium,2.2\n", encoding="utf-8")
    own = {snap.name: snap for snap in study_of(tmp_path, 2000.0, '[stock]\nsheets = "shop.csv"\n', law=law).snaps}
    plain = {snap.name: snap for snap in study_of(tmp_path, 2000.0, law=law).snaps}
    assert own["lid"].snapped == pytest.approx(2.2e-3, rel=1e-12)
    assert plain["lid"].snapped == pytest.approx(2.0e-3, rel=1e-12)
    assert own["walls"].snapped == plain["walls"].snapped


def test_own_rows_may_be_the_whole_shelf(tmp_path: Path) -> None:
    rows = [
        "# replace",
        SHEET_HEADER,
        "aluminium,3.1",
        "aluminium,7",
        "polyethylene,9",
        "carbon fibre,1.1",
        "steel,1.4",
    ]
    (tmp_path / "shop.csv").write_text("\n".join(rows), encoding="utf-8")
    law = 'law = "length"\ntarget = "140 mm"'
    found = study_of(tmp_path, 2000.0, '[stock]\nsheets = "shop.csv"\n', law=law)
    sizes = {snap.name: snap.snapped * 1e3 for snap in found.snaps}
    assert sizes == pytest.approx({"lid": 3.1, "walls": 9.0, "floor": 1.1, "scoop": 1.4}, rel=1e-12)


def test_a_mistyped_own_row_is_named_by_file_and_line(tmp_path: Path) -> None:
    (tmp_path / "shop.csv").write_text(f"# mine\n{SHEET_HEADER}\naluminium,2.2\naluminium,2.x\n", encoding="utf-8")
    with pytest.raises(InputError) as refused:
        study_of(tmp_path, 2000.0, '[stock]\nsheets = "shop.csv"\n')
    assert str(refused.value.file).endswith("shop.csv, line 4")


@pytest.mark.parametrize(
    ("target", "name"),
    [
        ("800 mm", "lid"),  # 16 mm and on the shelf; the walls of 40 mm are beyond its 30 mm, 'up'
        ("20 mm", "floor"),  # 0.3 mm, under the 0.5 mm that is the thinnest, 'down'
        ("15 mm", "lid"),  # 0.3 mm: the nearest is 0.5 mm, which is more than half a step away
    ],
)
def test_beyond_the_shelf_the_size_is_kept_and_said(tmp_path: Path, target: str, name: str) -> None:
    port = study_of(tmp_path, 2000.0, law=f'law = "length"\ntarget = "{target}"')
    told = [problem.text for problem in port.problems if problem.code == "off_the_shelf"]
    for snap in port.snaps:
        family = next(row[2] for row in PARTS if row[0] == snap.name)
        expected = own_snap(snap.ideal * 1e3, own_shelf(family), snap.how)
        assert snap.snapped * 1e3 == pytest.approx(expected, rel=1e-9)
        kept = expected == pytest.approx(snap.ideal * 1e3, rel=1e-12) and not any(
            abs(expected - size) < 1e-9 for size in own_shelf(family)
        )
        assert any(snap.name in text for text in told) == kept
    assert told or name == "lid"
    json.dumps(as_json_of(port), allow_nan=False)


def as_json_of(port: Port) -> Any:
    return [vars(snap) for snap in port.snaps]


def test_a_nearest_size_past_the_end_is_taken_only_within_half_a_step() -> None:
    """On the shelf nothing is farther than half a step from its nearest size; nor is what is taken past its end."""
    sizes = (0.001, 0.002, 0.004)
    for ideal, snapped, off in (
        (0.0049, 0.004, False),
        (0.0051, 0.0051, True),
        (0.0006, 0.001, False),
        (0.0004, 0.0004, True),
    ):
        assert float(shelves.snapped(ideal, sizes, "nearest")) == pytest.approx(snapped, rel=1e-12)
        assert shelves.beyond(ideal, sizes, "nearest") is off
    assert float(shelves.snapped(0.0014, (0.001,), "nearest")) == 0.001
    assert float(shelves.snapped(0.0016, (0.001,), "nearest")) == 0.0016


@given(st.floats(1e-4, 0.2), st.sets(st.integers(1, 400), min_size=1, max_size=12), st.sampled_from(shelves.HOWS))
def test_snapping_never_falls_as_the_ideal_grows(ideal: float, tenths: set[int], how: str) -> None:
    sizes = tuple(sorted(size / 1e4 for size in tenths))
    grown = ideal * np.linspace(1, 1.3, 50)
    assert (np.diff(shelves.snapped(grown, sizes, how)) >= -1e-15).all()


# Bolts: As in mm^2, ISO 898-1 (pi/4 (d - 0.938194 P)^2), M2 to M10 as quoted by secondary pages, M12 the formula's;
# heads ISO 4762 and medium holes ISO 273, as quoted by secondary pages.
BOLTS = {
    3: (5.031, 5.5, 3.4),
    4: (8.779, 7.0, 4.5),
    5: (14.183, 8.5, 5.5),
    6: (20.123, 10.0, 6.6),
    8: (36.609, 13.0, 9.0),
    10: (57.990, 16.0, 11.0),
    12: (84.267, 18.0, 13.5),
}


def test_what_follows_from_a_bolt_follows_its_snapped_size(main_demo: Any) -> None:
    factors = np.linspace(0.9, 3.99, 60)
    request = LawRequest("length", "hold-tip-speed")
    parts = port_parts(main_demo.design, main_demo.brief)
    values = inputs_at(main_demo.design, main_demo.brief, request, parts, factors).variables
    own = main_demo.design.variables
    assert own["rotor.mount.bolt_diameter"] == pytest.approx(3e-3)
    for place, factor in enumerate(factors):
        size = min(d for d in BOLTS if d >= 3 * factor * (1 - 1e-9))
        area, head, hole = BOLTS[size]
        assert values["rotor.mount.bolt_diameter"][place] == pytest.approx(size * 1e-3, rel=1e-9)
        assert values["rotor.mount.bolt_stress_area"][place] == pytest.approx(area * 1e-6, rel=1e-3)
        for key, expected in (("head_diameter", head), ("hole_diameter", hole)):
            assert values[f"rotor.mount.{key}"][place] == pytest.approx(expected * 1e-3, rel=1e-9)
        assert values["rotor.mount.bolt_strength"][place] == own["rotor.mount.bolt_strength"]
        # One stress, T = K F d: the torque of the bolt that is bought, 1.8 N m on an M3.
        assert values["rotor.mount.torque"][place] == pytest.approx(1.8 * (size / 3) ** 3, rel=1e-9)
    assert len(set(values["rotor.mount.bolt_stress_area"])) >= 6


def test_torque_of_a_bolt_that_the_brief_names(main_demo: Any) -> None:
    """1.8 N m on an M3 are 1.8 (6 / 3)^3 = 14.4 N m on an M6, whatever the factor, unless the brief says another."""
    from dataclasses import replace

    bolt = replace(main_demo.brief, words={"rotor.mount.bolt": "M6"}, numbers={"rotor.mount.bolt_diameter": 6e-3})
    stated = replace(bolt, numbers={**bolt.numbers, "rotor.mount.torque": 11.0})
    for brief, expected in ((bolt, 14.4), (stated, 11.0)):
        parts = port_parts(main_demo.design, brief)
        found = inputs_at(main_demo.design, brief, LawRequest("length", "hold-tip-speed"), parts, np.asarray([1.5]))
        assert found.variables["rotor.mount.torque"][0] == pytest.approx(expected)


def test_a_class_that_the_brief_names_stays_when_the_size_snaps(main_demo: Any) -> None:
    """Least tensile strength of class 8.8 up to M16: 800 MPa, ISO 898-1, as quoted by secondary pages."""
    from dataclasses import replace

    brief = replace(main_demo.brief, words={"rotor.mount.bolt_class": "8.8"})
    parts = port_parts(main_demo.design, brief)
    found = inputs_at(
        main_demo.design, brief, LawRequest("length", "hold-tip-speed"), parts, np.asarray([1.5])
    ).variables
    assert found["rotor.mount.bolt_strength"][0] == pytest.approx(800e6)


BOLT_HEADER = (
    "size,diameter_mm,pitch_mm,head_diameter_mm,head_height_mm,hex_key_mm,clearance_fine_mm,"
    "clearance_medium_mm,clearance_coarse_mm"
)


def test_own_bolts_of_a_second_pitch_do_not_break_the_shelf(tmp_path: Path, main_demo: Any) -> None:
    """M10 fine beside M10: one diameter, and the coarse thread, which bears less, is what counts (57.990 mm^2)."""
    from dataclasses import replace

    own = tmp_path / "bolts.csv"
    own.write_text(f"{BOLT_HEADER}\nM10x1.25,10,1.25,16,10,8,10.5,11,12\n", encoding="utf-8")
    brief = replace(main_demo.brief, shelves=shelves.Shelves.read({"bolts": own}))
    assert brief.shelves.sizes("bolt") == shelves.Shelves().sizes("bolt")
    parts = port_parts(main_demo.design, brief)
    found = inputs_at(
        main_demo.design, brief, LawRequest("length", "hold-tip-speed"), parts, np.asarray([3.1])
    ).variables
    assert found["rotor.mount.bolt_diameter"][0] == pytest.approx(10e-3)
    assert found["rotor.mount.bolt_stress_area"][0] == pytest.approx(57.990e-6, rel=1e-3)


def test_an_own_size_and_an_own_pitch_count(tmp_path: Path, main_demo: Any) -> None:
    """M7 x 1: 28.9 mm^2 (ISO 898-1, from memory), as pi/4 (7 - 0.9382)^2 gives; M4 with a pitch of 0.5: 9.79 mm^2."""
    from dataclasses import replace

    own = tmp_path / "bolts.csv"
    own.write_text(f"{BOLT_HEADER}\nM7,7,1,11,7,6,7.4,7.6,8\nM4,4,0.5,7,4,3,4.3,4.5,4.8\n", encoding="utf-8")
    brief = replace(main_demo.brief, shelves=shelves.Shelves.read({"bolts": own}))
    parts = port_parts(main_demo.design, brief)
    request = LawRequest("length", "hold-tip-speed")
    found = inputs_at(main_demo.design, brief, request, parts, np.asarray([1.2, 2.2])).variables
    assert found["rotor.mount.bolt_diameter"] == pytest.approx([4e-3, 7e-3])
    assert found["rotor.mount.bolt_stress_area"] == pytest.approx([9.79e-6, 28.9e-6], rel=2e-3)


def test_off_the_shelf_a_bolt_keeps_the_scaled_area(main_demo: Any) -> None:
    """Above M12 the shelf ends: diameter and area are those of the scaled bolt, not those of some other size."""
    parts = port_parts(main_demo.design, main_demo.brief)
    request = LawRequest("length", "hold-tip-speed")
    found = inputs_at(main_demo.design, main_demo.brief, request, parts, np.asarray([5.0]))
    assert found.variables["rotor.mount.bolt_diameter"][0] == pytest.approx(15e-3)
    assert found.variables["rotor.mount.bolt_stress_area"][0] == pytest.approx(5.031e-6 * 25, rel=1e-3)
    assert any(code == "off_the_shelf" and "bolt" in text for code, text in found.problems)


# Rows that cannot be.


@pytest.mark.parametrize(
    ("row", "key"),
    [
        ('key = "track"\nshelf = "bolt"\nfamily = "steel"', "stock.track.family"),
        ('key = "track"\nshelf = "sheet"', "stock.track.family"),
        ('key = "track"\nshelf = "sheet"\nfamily = "cheese"', "stock.track.family"),
        ('key = "track"\nshelf = "screws"', "stock.track.shelf"),
        ('key = "track"\nshelf = "bolt"\nsnap = "sideways"', "stock.track.snap"),
        ('key = "wheel.friction"\nshelf = "bolt"', 'stock."wheel.friction".key'),
        ('key = "rotor.diameter"\nshelf = "bolt"', 'stock."rotor.diameter".key'),
        ('shelf = "bolt"', "stock[1].key"),
        ('key = "track"', "stock.track.shelf"),
        ('key = "track"\nshelf = "bolt"\nsanp = "up"', "stock.track.sanp"),
        ('key = "track"\nshelf = "bolt"\n[[stock]]\nkey = "track"\nshelf = "round-belt"', "stock[2].key"),
    ],
)
def test_a_row_that_cannot_be_is_refused_by_key(tmp_path: Path, row: str, key: str) -> None:
    with pytest.raises(InputError) as refused:
        study_of(tmp_path, 2000.0, design=f"[[stock]]\n{row}\n")
    assert refused.value.key == key


def test_the_command_prints_what_the_shelves_did(tmp_path: Path, command: Callable[..., Any]) -> None:
    study_of(tmp_path, 1360.0)
    shown = command("study", tmp_path / "brief.toml", "--json")
    stock_rows = json.loads(shown.out)["ports"][0]["stock"]
    assert {row["name"] for row in stock_rows} == {row[0] for row in PARTS}
    assert all(row["ideal"] > 0 and row["snapped"] > 0 for row in stock_rows)


def test_without_snapping_nothing_is_snapped(tmp_path: Path) -> None:
    study_of(tmp_path, 1360.0)
    text = (tmp_path / "brief.toml").read_text(encoding="utf-8")
    (tmp_path / "brief.toml").write_text("snap = false\n" + text, encoding="utf-8")
    loaded = load_brief(tmp_path / "brief.toml")
    found = run_study(load_design(loaded.design_file), loaded)
    assert found.ports[0].snaps == ()
    assert found.ports[0].factor == pytest.approx(found.ports[0].continuous_factor, rel=1e-12)
    assert as_json(found)["ports"][0]["stock"] == []
