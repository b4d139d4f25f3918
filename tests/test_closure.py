"""Closing the mass at a given factor, against the linear algebra of one part at a time.

Each lever takes away in proportion to its share, so share and grams follow from one division. The machine and its
numbers are invented for these tests; shelves are read again here with the csv module.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from small_pusher import TABLES

from scaling.files.errors import InputError
from scaling.port.brief import load_brief
from scaling.port.levers import ClosureRow, close_parts, steps_of
from scaling.robot.design import load_design
from scaling.robot.parts import Part
from scaling.shop import shelf_file
from scaling.shop.shelves import Shelves
from scaling.show.tables.mass import closure_table, mass_table
from scaling.study.results import Study
from scaling.study.run import run_study

DESIGN = (
    """
name = "Closure piece"
length = "100 mm"
width = "90 mm"
height = "50 mm"
track = "70 mm"
wheelbase = "50 mm"
cg_height = "20 mm"
"""
    + TABLES
    + """[[parts]]
name = "body"
kind = "solid"
material = "titanium-6al-4v"
mass = "60 g"
[[parts]]
name = "lid"
kind = "sheet"
material = "aluminium-6082-t6"
thickness = "2 mm"
mass = "50 g"
{snap}
[[parts]]
name = "floor"
kind = "sheet"
material = "aluminium-6082-t6"
thickness = "3 mm"
mass = "75 g"
{snap}
"""
)
WHOLE = 255.0
"""Grams of the piece; everything scales, so at twice the length it is 2040 g."""


def study_of(folder: Path, limit: float, closure: str, snap: str = "", target: str = "200 mm", **own: str) -> Study:
    (folder / "design.toml").write_text(DESIGN.format(snap=snap and f'snap = "{snap}"'), encoding="utf-8")
    (folder / "brief.toml").write_text(
        f'reference = "design.toml"\nmass_limit = "{limit!r} g"\n{own.get("root", "")}\n[[laws]]\nlaw = "length"\n'
        f'target = "{target}"\n{closure}\n{own.get("brief", "")}',
        encoding="utf-8",
    )
    loaded = load_brief(folder / "brief.toml")
    return run_study(load_design(loaded.design_file), loaded)


def lever(kind: str, *parts: str, **more: Any) -> str:
    rows = [f'lever = "{kind}"', f"parts = {json.dumps(list(parts))}"]
    rows += [f"{key} = {json.dumps(value)}" for key, value in more.items()]
    return "[[closure]]\n" + "\n".join(rows) + "\n"


def grams(study: Study) -> float:
    return float(study.ports[0].variables["mass"] * 1e3)


# One lever, without shelves.


@pytest.mark.parametrize("limit", [1900.0, 1700.0, 2039.0])
def test_thickness_closes_exactly(tmp_path: Path, limit: float) -> None:
    """The lid is 400 g at twice the length, so it is left 1 - (2040 - limit) / 400 of its thickness."""
    found = study_of(tmp_path, limit, lever("thickness", "lid", least=0.1))
    (step,) = found.ports[0].closure
    assert grams(found) == pytest.approx(limit, rel=1e-12)
    assert step.removed * 1e3 == pytest.approx(2040 - limit, rel=1e-9)
    line = next(line for line in found.ports[0].parts if line.name == "lid")
    assert line.port * 1e3 == pytest.approx(400 - (2040 - limit), rel=1e-9)
    assert f"{100 * (1 - (2040 - limit) / 400):.1f} %" in step.setting


def test_several_parts_share_a_lever_alike(tmp_path: Path) -> None:
    """Lid and floor are 400 g and 600 g: taking 250 g leaves three quarters of each."""
    lines = {
        line.name: line.port * 1e3
        for line in study_of(tmp_path, 1790.0, lever("thickness", "lid", "floor")).ports[0].parts
    }
    assert (lines["lid"], lines["floor"]) == pytest.approx((300.0, 450.0), rel=1e-9)


def test_pocketing_closes_exactly(tmp_path: Path) -> None:
    """The body is 480 g at twice the length: 120 g too much are a quarter of it."""
    found = study_of(tmp_path, 1920.0, lever("pocketing", "body"))
    assert grams(found) == pytest.approx(1920.0, rel=1e-12)
    assert "25.0 %" in found.ports[0].closure[0].setting


def test_another_material_takes_the_difference_of_densities(tmp_path: Path) -> None:
    """Ti-6Al-4V 4420 to 4430, 6082 aluminium 2700 kg/m3 (data sheets, secondary pages): 480 g become 292 to 294 g."""
    found = study_of(tmp_path, 1800.0, lever("material", "body", material="aluminium-6082-t6"))
    line = next(line for line in found.ports[0].parts if line.name == "body")
    assert 480 * 2700 / 4430 * 0.99 < line.port * 1e3 < 480 * 2700 / 4420 * 1.01
    assert found.ports[0].closure[0].removed * 1e3 == pytest.approx(480 - line.port * 1e3, rel=1e-9)


def test_a_heavier_material_is_left_alone(tmp_path: Path) -> None:
    found = study_of(tmp_path, 1800.0, lever("material", "lid", material="wear-steel-450"))
    assert found.ports[0].closure == ()
    assert grams(found) == pytest.approx(2040.0, rel=1e-12)
    assert any(problem.code == "mass_over_limit" for problem in found.ports[0].problems)


# Bounds and order.


def test_order_is_the_brief_s(tmp_path: Path) -> None:
    """300 g too much. Lid first: down to 0.6 it gives 160 g, then 140 of the body's 480 g are pocketed."""
    first = study_of(tmp_path, 1740.0, lever("thickness", "lid", least=0.6) + lever("pocketing", "body", most=0.5))
    steps = first.ports[0].closure
    assert [step.lever for step in steps] == ["thickness", "pocketing"]
    assert [step.removed * 1e3 for step in steps] == pytest.approx([160.0, 140.0], rel=1e-9)
    assert f"{100 * 140 / 480:.1f} %" in steps[1].setting
    # Body first: half of it is 240 g, and the lid gives the other 60 g.
    second = study_of(tmp_path, 1740.0, lever("pocketing", "body", most=0.5) + lever("thickness", "lid", least=0.6))
    assert [step.removed * 1e3 for step in second.ports[0].closure] == pytest.approx([240.0, 60.0], rel=1e-9)
    assert grams(first) == pytest.approx(grams(second), rel=1e-12)


def test_a_closed_mass_needs_no_further_lever(tmp_path: Path) -> None:
    found = study_of(tmp_path, 1900.0, lever("thickness", "lid") + lever("pocketing", "body"))
    assert [step.lever for step in found.ports[0].closure] == ["thickness"]


def test_what_is_missing_is_told_in_grams_and_per_cent(tmp_path: Path, command: Callable[..., Any]) -> None:
    """1000 g allowed: lid at half gives 200 g, the body's 30 % 144 g; 696 g, or 69.6 % of the limit, are too much."""
    found = study_of(tmp_path, 1000.0, lever("thickness", "lid", least=0.5) + lever("pocketing", "body"))
    rows = closure_table(found).rows
    assert [row[4] for row in rows] == pytest.approx([200.0, 144.0, 696.0], rel=1e-9)
    assert rows[-1][3] == "too heavy"
    assert rows[-1][5] == pytest.approx(69.6, rel=1e-9)
    text = next(problem.text for problem in found.ports[0].problems if problem.code == "mass_over_limit")
    assert "696" in text
    assert command("study", tmp_path / "brief.toml").status == 0


def test_what_is_left_is_told_too(tmp_path: Path) -> None:
    """Pocketing takes at least a tenth where the brief says so: 48 g where 40 g were needed leave 8 g."""
    rows = closure_table(study_of(tmp_path, 2000.0, lever("pocketing", "body", least=0.1))).rows
    assert rows[-1][3] == "left"
    assert (rows[-1][4], rows[-1][5]) == pytest.approx((8.0, 0.4), rel=1e-9)


def test_thickness_may_use_up_what_is_left(tmp_path: Path) -> None:
    """2140 g allowed and 100 g left: a lid of 400 g may grow by a quarter, if the lever may go that far."""
    more = study_of(tmp_path, 2140.0, lever("thickness", "lid", most=1.5))
    assert grams(more) == pytest.approx(2140.0, rel=1e-12)
    assert more.ports[0].closure[0].removed * 1e3 == pytest.approx(-100.0, rel=1e-9)
    some = study_of(tmp_path, 2140.0, lever("thickness", "lid", most=1.1))
    assert grams(some) == pytest.approx(2080.0, rel=1e-12)
    none = study_of(tmp_path, 2140.0, lever("thickness", "lid") + lever("pocketing", "body"))
    assert none.ports[0].closure == ()
    assert grams(none) == pytest.approx(2040.0, rel=1e-12)


def test_the_mass_law_pulls_no_lever(tmp_path: Path) -> None:
    found = study_of(tmp_path, 2040.0, lever("thickness", "lid") + '[[laws]]\nlaw = "mass"\n')
    assert found.ports[1].closure == ()
    assert found.ports[1].factor == pytest.approx(2.0, rel=1e-12)


# With shelves.


@cache
def own_shelf(family: str) -> tuple[float, ...]:
    """Thicknesses in mm that the built-in file lists for a family, read without the project's reader."""
    lines = (shelf_file.FOLDER / "sheets.csv").read_text(encoding="utf-8").splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    return tuple(sorted(float(row["thickness_mm"]) for row in rows if row["family"] == family))


@pytest.mark.parametrize("limit", np.linspace(2150, 2650, 29))
@pytest.mark.parametrize("least", [0.3, 0.7, 0.95])
def test_a_sheet_goes_down_to_a_thickness_that_is_sold(tmp_path: Path, limit: float, least: float) -> None:
    """The lid of 4.4 mm is bought as 4 mm; by own search the thickest sheet that is sold and light enough takes over.

    Not below the share that must be left; where nothing lighter is sold above it the lid is the thinnest that may be.
    """
    found = study_of(tmp_path, float(limit), lever("thickness", "lid", least=least), "nearest", "220 mm")
    outline = 50 * 2.2**2 / 2  # grams per mm of thickness
    rest = grams(study_of(tmp_path, 2.5e4, "", "nearest", "220 mm")) - 4 * outline
    sizes = own_shelf("aluminium")
    allowed = [size for size in sizes if least * 4 <= size <= 4]
    light = [size for size in allowed if rest + size * outline <= limit * (1 + 1e-9)]
    expected = max(light) if light else min(allowed)
    line = next(line for line in found.ports[0].parts if line.name == "lid")
    assert line.port * 1e3 == pytest.approx(expected * outline, rel=1e-9)
    if light:
        assert grams(found) <= limit * (1 + 1e-9)
        assert not any(problem.code == "mass_over_limit" for problem in found.ports[0].problems)


def test_a_lever_with_nothing_to_do_does_not_snap_down(tmp_path: Path) -> None:
    """A floor of 6.6 mm is bought as 6 mm, and a lid of 4.4 mm as 4 mm; both weigh within the limit and stay."""
    plain = study_of(tmp_path, 3000.0, "", "nearest", "220 mm")
    found = study_of(tmp_path, 3000.0, lever("thickness", "lid", "floor"), "nearest", "220 mm")
    assert found.ports[0].closure == ()
    assert [line.port for line in found.ports[0].parts] == [line.port for line in plain.ports[0].parts]


def test_another_material_comes_from_its_own_shelf(tmp_path: Path) -> None:
    """A 6 mm lid of aluminium in polycarbonate: 6 mm is sold in both; 14 mm only in aluminium, 12 mm is the other's."""
    swap = lever("material", "lid", material="polycarbonate")
    six = study_of(tmp_path, 3000.0, swap, "nearest", "300 mm").ports[0]
    assert {snap.name: snap.snapped for snap in six.snaps}["lid"] == pytest.approx(6e-3)
    (snap,) = (
        snap for snap in study_of(tmp_path, 25_000.0, swap, "nearest", "640 mm").ports[0].snaps if snap.name == "lid"
    )
    assert snap.ideal == pytest.approx(12.8e-3)
    assert snap.snapped == pytest.approx(12e-3)
    assert snap.shelf == "sheet polycarbonate"


def test_a_material_without_a_shelf_is_not_snapped(tmp_path: Path) -> None:
    """PLA is not sold as sheet here: a lid of 4.4 mm is printed at 4.4 mm, whatever aluminium is sold in."""
    found = study_of(tmp_path, 2300.0, lever("material", "lid", material="pla"), "nearest", "220 mm").ports[0]
    assert "lid" not in {snap.name for snap in found.snaps}
    line = next(line for line in found.parts if line.name == "lid")
    assert line.closed == pytest.approx(line.port, rel=1e-12)


def test_the_mass_table_has_reference_ideal_closed_and_snapped(tmp_path: Path) -> None:
    """Lid at 2.2 times the length: ideal 4.4 mm, closed by the lever to a thickness between, snapped to 3 mm."""
    found = study_of(tmp_path, 2400.0, lever("thickness", "lid", least=0.3), "nearest", "220 mm")
    table = mass_table(found)
    assert [head.removeprefix("A ") for head in table.headings[3:]] == [
        "reference, g",
        "ideal, g",
        "closed, g",
        "snapped, g",
    ]
    rows = {str(row[0]): [float(str(cell)) for cell in row[3:]] for row in table.rows}
    outline = 50 * 2.2**2 / 2
    others = grams(study_of(tmp_path, 2.5e4, "", "nearest", "220 mm")) - 4 * outline
    reference, ideal, closed, snapped = rows["lid"]
    assert (reference, ideal) == pytest.approx((50.0, 4.4 * outline), rel=1e-9)
    assert closed == pytest.approx(2400 - others, rel=1e-9)  # what the lever asks for: the sum is the limit then
    assert snapped == pytest.approx(max(size for size in own_shelf("aluminium") if size * outline <= closed) * outline)
    assert rows["floor"] == pytest.approx(
        [75, 75 * 2.2**3, 75 * 2.2**3, 75 * 2.2**2 * 2], rel=1e-9
    )  # 6.6 mm, sold as 6
    for column in range(4):
        assert rows["sum"][column] == pytest.approx(sum(row[column] for name, row in rows.items() if name != "sum"))
    assert rows["sum"][3] == pytest.approx(grams(found), rel=1e-9)


# Many combinations at once.

rows_of_levers = st.lists(
    st.one_of(
        st.builds(
            lambda least, most, names: ClosureRow("thickness", tuple(names), least, most),
            st.floats(0.2, 1),
            st.floats(1, 1.5),
            st.sets(st.sampled_from(["lid", "floor"]), min_size=1),
        ),
        st.builds(
            lambda most, names: ClosureRow("pocketing", tuple(names), 0.0, most),
            st.floats(0, 0.9),
            st.sets(st.sampled_from(["lid", "body"]), min_size=1),
        ),
        st.sampled_from(["polycarbonate", "uhmwpe", "wear-steel-450", "pla"]).map(
            lambda name: ClosureRow("material", ("lid",), 0, 0, name)
        ),
    ),
    max_size=4,
)


@example(
    [ClosureRow("material", ("lid",), 0, 0, "pla"), ClosureRow("material", ("lid",), 0, 0, "polycarbonate")],
    0.5, [1.75], True,
)
@given(rows_of_levers, st.floats(0.5, 6), st.lists(st.floats(0.8, 3), min_size=1, max_size=6), st.booleans())
def test_many_at_once_are_as_each_alone(
    rows: list[ClosureRow], target: float, factors: list[float], shelf: bool
) -> None:
    """The same machine at several factors: in one pass, and one at a time."""
    sold = {"aluminium-6082-t6": tuple(size / 1e3 for size in own_shelf("aluminium"))} if shelf else {}
    snap = "nearest" if shelf else None
    parts = (
        Part("body", "solid", 0.1, material="titanium-6al-4v"),
        Part("lid", "sheet", 0.05, 2, material="aluminium-6082-t6", thickness=0.002, snap=snap, sold=sold),
        Part(
            "floor",
            "sheet",
            0.07,
            material="aluminium-6082-t6",
            thickness=0.003,
            thickness_rule="hold",
            snap=snap,
            sold=sold,
        ),
    )
    together, pulls = close_parts(parts, np.asarray(factors), target, tuple(rows), Shelves())
    for place, factor in enumerate(factors):
        alone, own_pulls = close_parts(parts, factor, target, tuple(rows), Shelves())
        removed = [float(np.broadcast_to(pull.removed, (len(factors),))[place]) for pull in pulls]
        assert removed == pytest.approx([float(pull.removed) for pull in own_pulls], rel=1e-9, abs=1e-15)
        assert sum(step.removed for step in steps_of(own_pulls)) == pytest.approx(sum(removed), rel=1e-9, abs=1e-15)
        masses = [float(np.broadcast_to(part.at(np.asarray(factors)), (len(factors),))[place]) for part in together]
        assert masses == pytest.approx([float(part.at(factor)) for part in alone], rel=1e-9)
        thickness = np.broadcast_to(together[1].thickness_at(np.asarray(factors)), (len(factors),))[place]
        assert thickness == pytest.approx(float(alone[1].thickness_at(factor)), rel=1e-9)


# Rows that cannot be.


@pytest.mark.parametrize(
    ("row", "key"),
    [
        (lever("thinness", "lid"), "closure[1].lever"),
        (lever("thickness"), "closure[1].parts"),
        (lever("thickness", "lit"), "closure[1].parts"),
        (lever("thickness", "body"), "closure[1].parts"),
        (lever("pocketing", "lid", most=1.2), "closure[1].most"),
        (lever("thickness", "lid", least=0.0), "closure[1].least"),
        (lever("thickness", "lid", most=0.9), "closure[1].least"),
        (lever("thickness", "lid", least="thin"), "closure[1].least"),
        (lever("material", "lid"), "closure[1].material"),
        (lever("material", "lid", material="cheese"), "closure[1].material"),
        (lever("material", "pack", material="uhmwpe"), "closure[1].parts"),
        (lever("thickness", "lid", leats=0.5), "closure[1].leats"),
        (lever("pocketing", "lid") + lever("pocketing", "lid", least=0.5, most=0.2), "closure[2].most"),
    ],
)
def test_a_lever_that_cannot_be_is_refused_by_key(tmp_path: Path, row: str, key: str) -> None:
    with pytest.raises(InputError) as refused:
        study_of(tmp_path, 1900.0, row)
    assert refused.value.key == key
    assert str(refused.value.file).endswith("brief.toml")
