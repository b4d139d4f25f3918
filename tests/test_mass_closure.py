"""The mass law: the factor at which the parts' sum meets the limit less the margin, against closed forms.

A sum of parts is a polynomial in the factor: constants for what stays, squares for sheets of held thickness, cubes
for solids. Its root is taken from the cube root, or from numpy.roots, which knows nothing of this project. The machine
is invented for these tests.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from conftest import Demo
from scaling.files.errors import InputError
from scaling.port.brief import load_brief
from scaling.robot.design import load_design
from scaling.robot.parts import Part
from scaling.show.study_json import as_json
from scaling.study.results import Study
from scaling.study.run import run_study

DESIGN = """
name = "Test piece"
{total}
length = "100 mm"
width = "90 mm"
height = "50 mm"
track = "70 mm"
wheelbase = "50 mm"
cg_height = "20 mm"

[battery]
cells = 2
capacity = "300 mAh"
resistance = "60 mohm"
mass = "{pack} g"
kind = "{pack_kind}"

[drive]
motors = 2
ratio = 20

[drive.motor]
kv = "2500 rpm/V"
resistance = "2 ohm"
no_load_current = "0.1 A"
mass = "{motor} g"
kind = "{motor_kind}"

[wheel]
diameter = "30 mm"
mass = "{wheel} g"
friction = 0.8
count = 2

[arena]
length = "2 m"

[match]
time = "2 min"
"""
OWN = {"pack": 20, "motor": 15, "wheel": 10, "pack_kind": "solid", "motor_kind": "solid", "total": ""}
OWN_MASS = 0.070
"""kg: one pack, two motors and two wheels of the sizes above, all solid."""

grams = st.floats(1, 500)


def part(name: str, kind: str, mass: float, extra: str = "") -> str:
    """A part of ``mass`` grams."""
    return f'\n[[parts]]\nname = "{name}"\nkind = "{kind}"\nmass = "{mass!r} g"\n{extra}\n'


SHEET = 'thickness = "2 mm"\nthickness_rule = "hold"'


def study_of(
    folder: Path, parts: str, limit: float, margin: float = 0.0, brief: str = "", law: str = 'law = "mass"', **own: Any
) -> Study:
    """The study of the machine with ``parts`` to ``limit`` grams less ``margin`` grams under one law."""
    (folder / "design.toml").write_text(DESIGN.format(**OWN | own) + parts, encoding="utf-8")
    (folder / "brief.toml").write_text(
        f'reference = "design.toml"\nmass_limit = "{limit!r} g"\nmass_margin = "{margin!r} g"\n'
        f"[[laws]]\n{law}\n{brief}",
        encoding="utf-8",
    )
    loaded = load_brief(folder / "brief.toml")
    return run_study(load_design(loaded.design_file), loaded)


def codes(study: Study) -> set[str]:
    return {problem.code for problem in study.ports[0].problems}


many = settings(max_examples=10, suppress_health_check=[HealthCheck.function_scoped_fixture])


@many
@given(body=grams, limit=st.floats(200, 5000))
def test_all_solid_closes_at_the_cube_root(tmp_path: Path, body: float, limit: float) -> None:
    port = study_of(tmp_path, part("body", "solid", body), limit).ports[0]
    expected = (limit / (body + OWN_MASS * 1e3)) ** (1 / 3)
    assert port.factor == pytest.approx(expected, rel=1e-12)
    assert port.naive_factor == pytest.approx(expected, rel=1e-12)


@many
@given(body=grams, fixed=grams, limit=st.floats(600, 5000), margin=st.just(0.0) | st.floats(1e-9, 50))
def test_solid_and_fixed_close_at_a_cube_root_of_the_rest(
    tmp_path: Path, body: float, fixed: float, limit: float, margin: float
) -> None:
    found = study_of(tmp_path, part("body", "solid", body) + part("link", "fixed", fixed), limit, margin)
    expected = ((limit - margin - fixed) / (body + OWN_MASS * 1e3)) ** (1 / 3)
    assert found.ports[0].factor == pytest.approx(expected, rel=1e-12)
    assert found.ports[0].naive_factor == pytest.approx((limit / (body + fixed + OWN_MASS * 1e3)) ** (1 / 3), rel=1e-12)


@many
@given(body=grams, sheet=grams, fixed=grams, limit=st.floats(600, 5000))
def test_a_held_sheet_closes_at_a_root_of_the_cubic(
    tmp_path: Path, body: float, sheet: float, fixed: float, limit: float
) -> None:
    parts = part("body", "solid", body) + part("lid", "sheet", sheet, SHEET) + part("link", "fixed", fixed)
    port = study_of(tmp_path, parts, limit).ports[0]
    roots = np.roots([body + OWN_MASS * 1e3, sheet, 0.0, fixed - limit])
    (expected,) = (root.real for root in roots if abs(root.imag) < 1e-9 and root.real > 0)
    assert port.factor == pytest.approx(expected, rel=1e-10)
    assert port.variables["mass"] == pytest.approx(limit / 1e3, rel=1e-12)


def test_a_sheet_that_scales_is_like_a_solid(tmp_path: Path) -> None:
    lid = part("lid", "sheet", 130.0, 'thickness = "2 mm"')
    assert study_of(tmp_path, lid, 1600.0).ports[0].factor == pytest.approx(2, rel=1e-12)


def test_the_margin_comes_off_the_limit(tmp_path: Path) -> None:
    port = study_of(tmp_path, part("body", "solid", 55.0), 1030.0, 30.0).ports[0]
    assert port.factor == pytest.approx(2, rel=1e-12)  # 125 g times eight is 1 kg
    assert port.naive_factor == pytest.approx((1030 / 125) ** (1 / 3), rel=1e-12)
    assert "mass_over_limit" not in codes(study_of(tmp_path, part("body", "solid", 55.0), 1030.0, 30.0))


def test_a_bought_part_comes_at_the_mass_that_the_brief_gives(tmp_path: Path) -> None:
    parts = part("body", "solid", 55.0) + part("controller", "bought", 40.0)
    brief = '[parts.controller]\nmass = "100 g"\n'
    found = study_of(tmp_path, parts, 1100.0, brief=brief)
    assert found.ports[0].factor == pytest.approx(2, rel=1e-12)
    assert "bought_part_assumed" not in codes(found)
    line = next(line for line in found.ports[0].parts if line.name == "controller")
    assert (line.reference, line.port) == pytest.approx((0.040, 0.100))


def test_a_bought_part_of_unknown_mass_is_taken_as_similar_and_said(tmp_path: Path) -> None:
    parts = part("body", "solid", 15.0) + part("controller", "bought", 40.0)
    found = study_of(tmp_path, parts, 1000.0)
    assert found.ports[0].factor == pytest.approx(2, rel=1e-12)
    assert "bought_part_assumed" in codes(found)
    assert any("controller" in problem.text for problem in found.ports[0].problems)


def test_parts_with_tables_of_their_own_take_the_brief_s_mass(tmp_path: Path) -> None:
    brief = '[port.battery]\nmass = "90 g"\n[port.drive.motor]\nmass = "70 g"\n'
    found = study_of(
        tmp_path, part("body", "solid", 105.0), 1230.0, brief=brief, pack_kind="bought", motor_kind="bought"
    )
    # What scales is the body and two wheels, 125 g; one pack and two motors come at 90 g and 70 g each.
    assert found.ports[0].factor == pytest.approx(2, rel=1e-12)
    assert found.ports[0].variables["battery.mass"] == pytest.approx(0.090)
    assert found.ports[0].variables["drive.motor.mass"] == pytest.approx(0.070)
    assert found.ports[0].variables["wheel.mass"] == pytest.approx(0.080)


def test_more_motors_at_the_port_weigh_more(tmp_path: Path) -> None:
    brief = "[port.drive]\nmotors = 4\n"
    found = study_of(tmp_path, part("body", "solid", 25.0), 1000.0, brief=brief)
    assert found.ports[0].factor == pytest.approx(2, rel=1e-12)  # 25 + 20 + 4 * 15 + 2 * 10 = 125 g
    assert found.ports[0].variables["drive.motors"] == 4


def test_a_held_thickness_may_come_from_the_brief(tmp_path: Path) -> None:
    lid = part("lid", "sheet", 55.0, SHEET)
    brief = '[parts.lid]\nthickness = "3 mm"\n'
    port = study_of(tmp_path, lid, 890.0, brief=brief).ports[0]
    assert port.factor == pytest.approx(2, rel=1e-12)  # 70 g times eight, and 55 g times four times 3/2


def test_another_material_weighs_by_its_density(tmp_path: Path) -> None:
    from scaling.shop.materials import material

    body = part("body", "solid", 100.0, 'material = "titanium-6al-4v"')
    brief = '[swaps]\ntitanium-6al-4v = "uhmwpe"\n'
    port = study_of(tmp_path, body, 1000.0, brief=brief).ports[0]
    # Ti-6Al-4V 4420 to 4430 kg/m3 (data sheets, secondary); UHMWPE 930 to 945 kg/m3 (table of plastics, secondary).
    ratio = material("uhmwpe").density.typical / material("titanium-6al-4v").density.typical
    assert 930 / 4430 * 0.99 < ratio < 945 / 4420 * 1.01
    assert port.factor == pytest.approx((1000 / (100 * ratio + 70)) ** (1 / 3), rel=1e-12)


@many
@given(first=grams, second=grams, sheet=grams, limit=st.floats(300, 5000), small=st.floats(1e-9, 1e-3))
def test_the_factor_is_the_largest_within_the_limit(
    tmp_path: Path, first: float, second: float, sheet: float, limit: float, small: float
) -> None:
    parts = part("a", "solid", first) + part("b", "bought", second) + part("c", "sheet", sheet, SHEET)
    found = study_of(tmp_path, parts, limit)
    lines = [
        Part("a", "solid", first),
        Part("b", "bought", second),
        Part("own", "solid", OWN_MASS * 1e3),
        Part("c", "sheet", sheet, thickness=0.002, thickness_rule="hold"),
    ]
    factor = found.ports[0].factor
    assert factor is not None
    assert sum(line.at(factor) for line in lines) <= limit * (1 + 1e-12)
    assert sum(line.at(factor * (1 + small)) for line in lines) > limit


@pytest.mark.parametrize(
    ("parts", "limit", "margin"),
    [
        (part("link", "fixed", 500.0), 400.0, 0.0),  # what stays is too heavy
        (part("link", "fixed", 500.0), 520.0, 20.0),  # what stays takes up all
    ],
)
def test_without_a_factor_the_port_says_so_and_has_no_numbers(
    tmp_path: Path, command: Callable[..., Any], parts: str, limit: float, margin: float
) -> None:
    found = study_of(tmp_path, parts, limit, margin)
    port = as_json(found)["ports"][0]
    assert [problem["code"] for problem in port["problems"]] == ["no_factor"]
    assert "factor" not in port
    assert "mass" not in port
    assert port["variables"] == {}
    assert port["quantities"] == {}
    assert port["naive_factor"] == pytest.approx((limit / 570) ** (1 / 3), rel=1e-12)
    assert found.groups
    assert all(value is None for group in as_json(found)["groups"] for value in group["ports"])
    shown = command("study", tmp_path / "brief.toml")
    assert shown.status == 0
    assert "no factor" in shown.out


def test_a_limit_that_is_never_reached_is_no_factor(tmp_path: Path) -> None:
    found = study_of(
        tmp_path,
        part("link", "fixed", 500.0),
        900.0,
        brief='[port.battery]\nmass = "20 g"\n[port.drive.motor]\nmass = "15 g"\n[port.wheel]\nmass = "10 g"\n',
    )
    assert codes(found) == {"no_factor"}


def test_a_length_law_over_the_limit_is_told_with_the_excess(tmp_path: Path) -> None:
    found = study_of(tmp_path, part("body", "solid", 55.0), 900.0, 20.0, law='law = "length"\ntarget = "200 mm"')
    assert found.ports[0].variables["mass"] == pytest.approx(1.0, rel=1e-12)
    text = next(problem.text for problem in found.ports[0].problems if problem.code == "mass_over_limit")
    numbers = {float(number) for number in re.findall(r"\d+(?:\.\d+)?", text)}
    assert {1000.0, 120.0, 880.0} <= numbers


def test_a_lighter_target_is_allowed_and_said(tmp_path: Path) -> None:
    found = study_of(tmp_path, part("body", "solid", 55.0), 64.0)
    assert found.ports[0].factor == pytest.approx(0.8, rel=1e-12)
    assert "target_lighter" in codes(found)


# A stated total beside the parts' sum: 125 g of parts.


@pytest.mark.parametrize("total", [125.0, 126.0, 127.5, 124.0, 122.6])
def test_a_near_total_counts_and_the_difference_is_unlisted(tmp_path: Path, total: float) -> None:
    found = study_of(tmp_path, part("body", "solid", 55.0), 1000.0, total=f'mass = "{total} g"')
    design = found.design
    assert design.variables["mass"] == pytest.approx(total / 1e3, rel=1e-12)
    assert sum(line.total for line in design.parts) == pytest.approx(total / 1e3, rel=1e-12)
    unlisted = [line.total for line in design.parts if line.name == "unlisted"]
    assert unlisted == ([] if total == 125 else [pytest.approx(total / 1e3 - 0.125, rel=1e-6)])
    assert found.ports[0].variables["mass"] == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize("total", [128.0, 122.0, 12.5, 1250.0])
def test_a_far_total_is_refused_with_both_numbers(tmp_path: Path, total: float) -> None:
    with pytest.raises(InputError) as refused:
        study_of(tmp_path, part("body", "solid", 55.0), 1000.0, total=f'mass = "{total} g"')
    assert refused.value.key == "mass"
    assert "125" in str(refused.value)
    assert f"{total:g}" in str(refused.value)


# The demo designs.


def test_masses_of_the_demos_add_up(demo: Demo) -> None:
    assert sum(line.total for line in demo.design.parts) == pytest.approx(demo.design.variables["mass"], rel=1e-12)
    for port in demo.study.ports:
        assert sum(line.port for line in port.parts) == pytest.approx(port.variables["mass"], rel=1e-12)
        if port.request.law == "mass":
            allowed = demo.brief.mass_limit - demo.brief.mass_margin
            assert port.variables["mass"] <= allowed * (1 + 1e-12)


def test_without_a_shelf_the_demos_meet_the_limit(demo: Demo, edit: Callable[..., Path]) -> None:
    brief = load_brief(edit(demo.folder, brief={"snap": "false"}))
    ports = run_study(load_design(brief.design_file), brief).ports
    masses = [port.variables["mass"] for port in ports if port.request.law == "mass"]
    assert masses
    assert masses == pytest.approx([brief.mass_limit - brief.mass_margin] * len(masses), rel=1e-12)


def test_a_snapped_mass_is_the_largest_within_the_limit(main_demo: Any) -> None:
    """A hair above the factor the sum is over the allowance: by the same parts, at the factor's neighbours."""
    from scaling.port.inputs import port_parts
    from scaling.robot.parts import mass_at

    parts = port_parts(main_demo.design, main_demo.brief)
    allowed = main_demo.brief.mass_limit - main_demo.brief.mass_margin
    factor = next(port.factor for port in main_demo.study.ports if port.request.law == "mass")
    above = factor * (1 + np.geomspace(1e-9, 0.5, 200))
    assert mass_at(parts, factor) <= allowed * (1 + 1e-12)
    assert (mass_at(parts, above) > allowed).all()


@pytest.mark.parametrize("limit", np.linspace(0.7, 2.5, 10))
def test_mass_grows_by_a_power_from_nought_to_three(main_demo: Any, limit: float) -> None:
    """No part grows faster than the cube of the factor, so no sum does, also where a shelf's step limits the factor."""
    from dataclasses import replace

    brief = replace(main_demo.brief, mass_limit=float(limit), requests=main_demo.brief.requests[:1])
    port = run_study(main_demo.design, brief).ports[0]
    assert 0 <= float(port.quantities["total_mass"].exponent) <= 3


def test_json_of_a_port_without_a_factor_is_plain_data(tmp_path: Path) -> None:
    found = study_of(tmp_path, part("link", "fixed", 500.0), 400.0)
    assert json.loads(json.dumps(as_json(found), allow_nan=False))["ports"][0]["law"] == "mass"
