"""Ports that contradict themselves: told with the number, or tied so that it cannot happen."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from scaling.port.brief import load_brief
from scaling.robot.design import load_design
from scaling.study.results import Study
from scaling.study.run import run_study

DEMOS = Path(__file__).parent.parent / "demo_designs"
T, H = DEMOS / "tarvindle", DEMOS / "harrowmoth"
WEDGE = {"wedge.part": None, "parts[4].name": '"wedge"', 'positions."front wedgelets"': None}
"""The main demo's wedgelets as a part that goes by the table's own word."""


@pytest.fixture
def study(edit: Callable[..., Path]) -> Callable[..., Study]:
    """The study of an edited demo."""

    def run(folder: Path, design: dict[str, str | None], brief: dict[str, str | None]) -> Study:
        found = load_brief(edit(folder, design, brief))
        return run_study(load_design(found.design_file), found)

    return run


def told(found: Study, code: str) -> list[str]:
    """The problems of a code of the first port."""
    return [problem.text for problem in found.ports[0].problems if problem.code == code]


RING = {"rotor.shape": '"disc"', "rotor.chord": None, "rotor.bore": '"44 mm"', "rotor.hub_mounting": '"ring"'}


def test_a_ring_that_no_longer_goes_over_its_motor_does_not_fit(study: Callable[..., Study]) -> None:
    found = study(H, RING, {"port.rotor.motor.diameter": '"90 mm"'})
    port = found.ports[0]
    assert port.factor is not None
    assert 0.044 * port.factor < 0.090
    (problem,) = [each for each in port.problems if each.code == "does_not_fit"]
    assert (problem.about, problem.limit) == ("rotor.bore", pytest.approx(0.090))
    assert problem.value == pytest.approx(0.044 * port.factor)
    assert problem.reference == pytest.approx(0.044)
    assert "rotor.motor.diameter" in problem.text
    assert "90 mm" in problem.text


@pytest.mark.parametrize(("mounting", "motor"), [('"face"', '"90 mm"'), ('"ring"', '"60 mm"')])
def test_a_bolted_face_asks_nothing_of_the_bore_and_a_smaller_motor_fits(
    mounting: str, motor: str, study: Callable[..., Study]
) -> None:
    found = study(H, RING | {"rotor.hub_mounting": mounting}, {"port.rotor.motor.diameter": motor})
    assert told(found, "does_not_fit") == []


@pytest.mark.parametrize(
    ("design", "brief"),
    [
        ({}, {"port.battery.cells": "4", "port.battery.mass": '"60 g"'}),
        ({}, {"port.battery.cells": "4", 'parts."pack".mass': '"60 g"'}),
        ({}, {"port.battery.mass": '"43 g"'}),
        ({"battery.kind": '"fixed"'}, {}),
    ],
)
def test_a_pack_s_capacity_follows_its_stated_mass(
    design: dict[str, str | None], brief: dict[str, str | None], study: Callable[..., Study]
) -> None:
    """11.1 V and 450 mAh in 43 g are 116.2 Wh/kg, 12 mOhm a cell of 0.45 Ah, 40 A of 0.45 Ah: those stay."""
    found = study(T, design, brief)
    for port in found.ports:
        pack = {key: value for key, value in port.variables.items() if key.startswith("battery.")}
        hours = pack["battery.capacity"] / 3600
        assert pack["battery.voltage"] * hours / pack["battery.mass"] == pytest.approx(11.1 * 0.45 / 0.043, rel=1e-9)
        cell = pack["battery.resistance"] / pack["battery.cells"]
        assert cell * hours == pytest.approx(0.012 * 0.45, rel=1e-9)
        assert pack["battery.current_limit"] / hours == pytest.approx(40 / 0.45, rel=1e-9)
    assert told(found, "doubtful_input") == []


def test_a_pack_that_is_too_good_is_a_problem(study: Callable[..., Study]) -> None:
    """14.8 V times 4.5 Ah in 60 g are 1110 Wh/kg."""
    pack = {"port.battery.cells": "4", "port.battery.mass": '"60 g"', "port.battery.capacity": '"4500 mAh"'}
    texts = told(study(T, {}, pack), "doubtful_input")
    assert any("1110 Wh/kg" in text and "220" in text for text in texts)


def test_what_the_reference_is_doubted_for_is_not_told_again(study: Callable[..., Study]) -> None:
    found = study(T, {"battery.capacity": '"4500 mAh"'}, {"port.battery.capacity": '"13500 mAh"'})
    assert any("Wh/kg" in doubt.text for doubt in found.design.doubts)
    assert not any("Wh/kg" in text for text in told(found, "doubtful_input"))


def test_a_part_that_plainly_is_a_table_takes_it_along(study: Callable[..., Study]) -> None:
    found = study(T, WEDGE, {'parts."wedge".thickness': '"4 mm"', 'parts."wedge".material': '"titanium-6al-4v"'})
    assert found.design.ties["wedge"] == "wedge"
    assert found.design.doubts == ()
    titanium = study(T, WEDGE | {"wedge.material": '"titanium-6al-4v"'}, {}).design.variables
    for port in found.ports:
        assert port.variables["wedge.thickness"] == pytest.approx(0.004)
        for key in ("wedge.strength", "wedge.modulus"):
            assert port.variables[key] == titanium[key] != found.design.variables[key]
    assert told(found, "doubtful_input") == []


@pytest.mark.parametrize(
    ("wedge", "key"),
    [({"wedge.thickness": '"3 mm"'}, "wedge.thickness"), ({"wedge.material": '"titanium-6al-4v"'}, "wedge.material")],
)
def test_a_part_of_the_word_that_differs_is_doubted_and_not_tied(
    wedge: dict[str, str | None], key: str, study: Callable[..., Study]
) -> None:
    found = study(T, WEDGE | wedge, {'parts."wedge".thickness': '"4 mm"'})
    assert "wedge" not in found.design.ties
    (doubt,) = found.design.doubts
    assert doubt.keys == (key, "parts.wedge")
    assert found.ports[0].variables["wedge.thickness"] != pytest.approx(0.004)


@pytest.mark.parametrize(
    "change",
    [{"port.wedge.thickness": '"5 mm"'}, {"port.wedge.material": '"titanium-6al-4v"'}],
)
def test_a_brief_that_parts_them_is_doubted_and_never_refused(
    change: dict[str, str | None], study: Callable[..., Study]
) -> None:
    found = study(T, WEDGE, change)
    (text,) = told(found, "doubtful_input")
    assert "[wedge]" in text
    assert "parts.wedge" in text
    assert "wedge.part" in text


def test_the_screws_of_a_wedge_are_no_wedge(study: Callable[..., Study]) -> None:
    found = study(T, WEDGE | {"parts[4].name": '"wedge screws"'}, {})
    assert "wedge" not in found.design.ties
    assert found.design.doubts == ()


@pytest.mark.parametrize(("bolt", "fits"), [("M5", True), ("M8", True), ("M10", False), ("M12", False)])
def test_a_bolt_larger_than_its_edge_allows(bolt: str, fits: bool, study: Callable[..., Study]) -> None:
    """Edge 8 mm times the factor; clearance holes after ISO 273, medium: 5.5 to 13.5 mm, times 1.2 (EN 1993-1-8)."""
    found = study(T, {}, {"port.rotor.mount.bolt": f'"{bolt}"'})
    port = found.ports[0]
    assert port.factor is not None
    hole = {"M5": 0.0055, "M8": 0.009, "M10": 0.011, "M12": 0.0135}[bolt]
    assert (1.2 * hole <= 0.008 * port.factor) is fits
    problems = [problem for problem in port.problems if problem.code == "does_not_fit"]
    assert [problem.about for problem in problems] == ([] if fits else ["rotor.mount.hole_diameter"])
    for problem in problems:
        assert problem.value == pytest.approx(hole)
        assert "rotor.mount.edge_distance" in problem.text


def test_a_reference_with_bolts_near_the_edge_keeps_them(study: Callable[..., Study]) -> None:
    near = {"rotor.mount.edge_distance": '"3.6 mm"'}  # 1.06 of the hole of 3.4 mm
    assert told(study(T, near, {"snap": "false"}), "does_not_fit") == []
    assert told(study(T, near, {"port.rotor.mount.bolt": '"M6"'}), "does_not_fit") != []


def test_a_bore_that_its_shaft_fills_is_cut_to_the_shaft_that_is_bought(study: Callable[..., Study]) -> None:
    """Peak stress over rho v^2 of a bored bar: W. C. Young & R. G. Budynas, Roark's Formulas, 7th ed., table 17.1."""
    found = study(T, {}, {})
    for port in found.ports:
        shaft, bore = port.variables["rotor.shaft.diameter"], port.variables["rotor.bore"]
        assert bore == pytest.approx(shaft, rel=1e-12)
        chord, length = port.variables["rotor.chord"], port.variables["rotor.diameter"]
        share = bore / chord
        beside = 3 - 3.13 * share + 3.66 * share**2 - 1.53 * share**3
        mean = (0.5 - bore**3 / (3 * chord * length**2)) / (1 - share)
        assert port.variables["rotor.stress_factor"] == pytest.approx(beside * mean, rel=1e-9)
    first = found.ports[0]
    assert first.variables["rotor.shaft.diameter"] != pytest.approx(0.010 * (first.factor or 0.0), rel=1e-3)
    smooth = study(T, {}, {"snap": "false"}).ports[0]
    assert smooth.variables["rotor.bore"] == pytest.approx(0.010 * (smooth.factor or 0.0), rel=1e-12)
    thin = study(T, {"rotor.shaft.diameter": '"6 mm"'}, {}).ports[0]  # turns in a hub: the bore is its own size
    assert thin.variables["rotor.bore"] == pytest.approx(0.010 * (thin.factor or 0.0), rel=1e-12)


def test_what_the_brief_states_must_fit(study: Callable[..., Study], command: Any, edit: Callable[..., Path]) -> None:
    found = study(T, {}, {"port.rotor.axle_height": '"30 mm"'})
    assert "rotor.axle_height" in told(found, "does_not_fit")[0]
    shown = json.loads(command("study", edit(T, None, {"port.rotor.axle_height": '"30 mm"'}), "--json").out)
    assert "does_not_fit" in [problem["code"] for problem in shown["ports"][0]["problems"]]


@pytest.mark.parametrize(
    ("key", "value"), [("rotor.motor.kv", '"190000 rpm/V"'), ("wheel.friction", "12"), ("drive.ratio", "0.2")]
)
def test_an_unlikely_number_of_the_brief_is_told(key: str, value: str, study: Callable[..., Study]) -> None:
    motor = {"port.rotor.motor.resistance": '"40 mohm"', "port.rotor.motor.no_load_current": '"1.8 A"',
             "port.rotor.motor.current_limit": '"65 A"', "port.rotor.motor.mass": '"131 g"',
             "port.rotor.motor.diameter": '"41 mm"', "port.rotor.motor.kv": '"1200 rpm/V"'}
    assert told(study(T, {}, motor), "doubtful_input") == []
    assert told(study(T, {}, motor | {f"port.{key}": value}), "doubtful_input") != []
