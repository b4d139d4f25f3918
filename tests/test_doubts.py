"""What cannot be is refused, what is unlikely is doubted, and what is sane is left in peace.

Which changes are absurd and which machines are sane is common practice, no source: each is a slip of a unit, a digit
or a key, or a machine of a class that is fought.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from make_spans import text as spans_text

from scaling.files.errors import InputError, InputErrors
from scaling.port.brief import load_brief
from scaling.port.inputs import inputs_at
from scaling.robot.design import Design, load_design
from scaling.robot.doubts import doubts
from scaling.robot.likely import RULES
from scaling.robot.possible import BOUNDS
from scaling.robot.spans import TABLE
from scaling.robot.starters import starter_files
from scaling.study.run import run_study

DEMOS = Path(__file__).parent.parent / "demo_designs"
SANE = sorted((Path(__file__).parent / "sane").glob("*.toml"))
T, H, P = "tarvindle", "harrowmoth", "plinthling"

IMPOSSIBLE = [
    (T, "rotor.axle_height", '"20 mm"', "rotor.diameter"), (T, "rotor.tooth_height", '"60 mm"', "rotor.diameter"),
    (T, "rotor.shaft.diameter", '"14 mm"', "rotor.bore"), (T, "track", '"200 mm"', "width"),
    (T, "wheelbase", '"300 mm"', "length"), (T, "rotor.width", '"180 mm"', "width"),
    (T, "cg_height", '"80 mm"', "height"), (T, "cg_ahead", '"150 mm"', "contact"),
    (H, "rotor.hub_mounting", '"ring"', "rotor.motor.diameter"),
    (H, "rotor.mount.pattern_diameter", '"5.2 mm"', "head"),
    (T, "rotor.inertia", '"600 kg cm^2"', "rotor.mass"), (T, "mass_limit", '"40 g"', "mass"),
    (T, "mass_limit", '"60 kg"', "mass"), (T, "joint.edge_distance", '"1 mm"', "joint.hole_diameter"),
    (H, "rotor.axle_height", '"2 mm"', "rotor.width"), (H, "rotor.chord", '"300 mm"', "rotor.diameter"),
    (T, "arena.length", '"20 mm"', "length"), (T, "wheel.diameter", '"460 mm"', "length"),
    (T, "mass", '"2 kg"', "sum"), (T, "rotor.mass", '"9 g"', "mass"),
    (T, "rotor.belt.groove_angle", '"700 deg"', "360"), (H, "righting.arm.angle", '"900 deg"', "360"),
    (T, "rotor.teeth", "400", "100"), (T, "battery.cells", "300", "100"), (T, "wheel.count", "1000", "100"),
    (T, "rotor.mount.bolts", "500", "100"), (T, "fasteners[1].count", "800", "100"),
]  # fmt: skip
"""Demo, key and its text: refused, with what the sentence must name beside the key."""

ABSURD = [
    (T, "rotor.mass", '"920 g"'), (T, "rotor.motor.kv", '"190000 rpm/V"'), (T, "rotor.motor.kv", '"19 rpm/V"'),
    (T, "rotor.motor.resistance", '"75 ohm"'), (T, "rotor.motor.resistance", '"0.075 mohm"'),
    (T, "rotor.motor.no_load_current", '"25 A"'), (T, "battery.capacity", '"4500 mAh"'),
    (T, "battery.capacity", '"45 mAh"'), (T, "battery.current_limit", '"400 A"'), (T, "drive.ratio", "0.22"),
    (T, "wheel.friction", "8"), (T, "rotor.speed", '"40000 rpm"'), (T, "rotor.material", '"foam-eva"'),
    (T, "rotor.material", '"rubber-chloroprene"'), (T, "rotor.material", '"pla"'), (T, "arena.length", '"240 m"'),
    (T, "match.time", '"3 s"'), (T, "match.time", '"3 h"'), (T, "wall.thickness", '"40 mm"'),
    (T, "lid.thickness", '"80 mm"'), (T, "wedge.thickness", '"30 mm"'), (T, "rotor.mount.edge_distance", '"2 mm"'),
    (T, "height", '"6 m"'), (T, "length", '"1.65 m"'), (T, "width", '"15 mm"'), (T, "rotor.diameter", '"8.4 mm"'),
    (T, "rotor.diameter", '"840 mm"'), (T, "wheel.diameter", '"4.6 mm"'), (T, "gravity", '"98 m/s^2"'),
    (T, "air.density", '"12 kg/m^3"'), (T, "rotor.motor.current_limit", '"2800 A"'),
    (T, "rotor.motor.diameter", '"280 mm"'), (T, "rotor.motor.mass", '"3.6 kg"'), (T, "battery.resistance", '"36 ohm"'),
    (T, "battery.resistance", '"0.036 mohm"'), (T, "rotor.belt.stiffness", '"320 kN"'),
    (T, "rotor.belt.tension", '"26 kN"'), (T, "landing.stiffness", '"60 N/m"'), (T, "wire.length", '"18 m"'),
    (T, "opponent.armour_thickness", '"100 mm"'), (T, "opponent.armour_span", '"8 m"'),
    (T, "drive.motor.kv", '"245000 rpm/V"'), (T, "drive.motor.resistance", '"1.9 mohm"'), (T, "drive.ratio", "2200"),
    (T, "wheel.load_share", "0.01"), (T, "driver.reaction_time", '"10 s"'), (T, "rotor.ratio", "160"),
    (T, "rotor.tooth_width", '"80 mm"'), (H, "rotor.mass", '"26 g"'), (H, "rotor.motor.kv", '"56000 rpm/V"'),
    (H, "battery.fuse", '"4000 A"'), (H, "righting.arm.torque", '"2400 N m"'), (H, "rotor.mount.torque", '"400 N m"'),
    (H, "rotor.windage_factor", "250"), (P, "drive.motors", "40"), (P, "wheel.friction", "12"),
    (P, "attacker.specific_energy", '"120 kJ/kg"'), (P, "attacker.tip_speed", '"5500 m/s"'),
    (P, "battery.mass", '"1.9 g"'), (P, "wheel.mass", '"180 g"'), (P, "drive.motor.mass", '"170 g"'),
    (P, "joint.force", '"1.2 MN"'),
    # Written after the rules, without looking at them.
    (T, "rotor.motor.shaft.diameter", '"20 mm"'), (T, "rotor.shaft.span", '"3.4 mm"'),
    (T, "rotor.shaft.material", '"pla"'),
    (T, "wall.material", '"foam-eva"'), (H, "rail.material", '"rubber-chloroprene"'), (P, "wedge.material", '"hdpe"'),
    (T, "rotor.mount.material", '"foam-eva"'), (T, "mass_limit", '"2 kg"'), (P, "battery.cells", "60"),
    (T, "wire.gauge", '"AWG 40"'), (T, "rotor.balance_grade", '"6.3 m/s"'), (T, "opponent.restitution", "0.99"),
    (T, "yaw_inertia", '"9 kg m^2"'), (T, "roll_inertia", '"0.003 kg cm^2"'), (T, "rotor.motor.inertia", '"3 kg cm^2"'),
    (T, "rotor.density", '"780 g/cm^3"'), (T, "wall.strength", '"2200 MPa"'), (T, "parts[1].thickness", '"100 mm"'),
    (H, "parts[2].thickness", '"0.002 mm"'), (H, "parts[2].thickness", '"200 mm"'),
    (T, "fasteners[1].edge_distance", '"0.6 mm"'),
    (T, "positions.\"pack\"", '["10 mm", "0 mm", "120 cm"]'),
    (T, "positions.\"rotor motor\"", '["-56 mm", "20 mm", "18 mm"]'),
    (T, "cg_height", '"12 mm"'), (T, "wheel.load_share", "0.95"), (T, "match.rotor_duty", "0.001"),
    (H, "rotor.speed", '"100 rpm"'), (H, "rotor.motor.length", '"300 mm"'), (T, "joint.thickness", '"100 mm"'),
    (T, "rotor.axle_height", '"450 mm"'), (T, "rotor.axle_lever", '"540 mm"'), (T, "wedge.length", '"32 cm"'),
    (H, "opponent.hit_offset", '"4 m"'), (P, "attacker.bite", '"40 mm"'), (P, "wheel.diameter", '"32 cm"'),
    (T, "air.viscosity", '"1.5 m^2/s"'), (T, "wheel.skid_friction", "5"), (T, "wheel.rolling_resistance", "2"),
    (T, "drive.motor.diameter", '"160 mm"'), (H, "arena.width", '"24 cm"'), (H, "arena.ceiling", '"120 m"'),
    (T, "rotor.belt.width", '"4 cm"'), (T, "rotor.belt.mass_per_length", '"15 kg/m"'), (P, "match.drive_duty", "0.004"),
    (H, "rotor.shaft.diameter", '"1.2 mm"'), (H, "wire.length", '"2.4 mm"'),
    (T, "rotor.motor_mount.pattern_diameter", '"160 mm"'),
    (T, "rotor.least_bite", '"1 m"'), (T, "driver.reaction_time", '"1 ms"'),
    (H, "opponent.armour_strength", '"25 GPa"'),
]  # fmt: skip
"""Demo, key and its text: refused or doubted."""

SANE_CHANGES = [
    (T, "rotor.teeth", "1"), (T, "rotor.speed", '"11000 rpm"'), (T, "battery.cells", "4"), (T, "battery.cells", "2"),
    (T, "battery.capacity", '"550 mAh"'), (T, "drive.ratio", "30"), (T, "wheel.friction", "1.1"),
    (T, "rotor.ratio", "1.3"),
    (T, "rotor.tooth_height", '"6 mm"'), (T, "match.time", '"2 min"'), (T, "arena.length", '"3.6 m"'),
    (T, "lid.material", '"aluminium-7075-t6"'), (T, "rotor.material", '"wear-steel-450"'),
    (T, "rotor.motor.kv", '"1500 rpm/V"'), (T, "rotor.mount.bolt", '"M4"'), (T, "height", '"88 mm"'),
    (T, "wheel.tyre_stiffness", '"4 N/mm"'), (T, "mass_limit", '"454 g"'), (T, "rotor.belt.groove_angle", '"40 deg"'),
    (H, "rotor.windage_factor", "4"), (H, "rotor.spin", '"anticlockwise"'), (H, "battery.cells", "6"),
    (H, "drive.ratio", "20"), (H, "wall.thickness", '"10 mm"'), (H, "righting.arm.angle", '"110 deg"'),
    (H, "opponent.armour_modulus", '"70 GPa"'), (H, "opponent.armour_strength", '"275 MPa"'),
    (H, "rotor.speed", '"7500 rpm"'),
    (H, "arena.length", '"4 m"'), (P, "wheel.friction", "1.8"), (P, "drive.ratio", "30"), (P, "cg_height", '"12 mm"'),
    (P, "attacker.specific_energy", '"60 J/kg"'), (P, "attacker.diameter", '"140 mm"'), (P, "arena.length", '"1.2 m"'),
    (P, "wall.thickness", '"3 mm"'), (P, "match.drive_duty", "0.7"),
]  # fmt: skip
"""Demo, key and its text: neither refused nor doubted more than twice."""

MOST = 2
"""Doubts about a sane machine."""


@pytest.fixture
def changed(edit: Callable[..., Path]) -> Callable[..., Path]:
    """The design file of a demo with one key at another value."""
    return lambda folder, key, value: edit(DEMOS / folder, {key: value}).parent / "design.toml"


def _told(path: Path) -> str:
    """What is said of a design file: 'refused', 'doubted' or 'accepted'."""
    try:
        return "doubted" if load_design(path).doubts else "accepted"
    except InputError:
        return "refused"


@pytest.mark.parametrize(("folder", "key", "value", "other"), IMPOSSIBLE)
def test_what_cannot_be_is_refused_by_both_keys(
    folder: str, key: str, value: str, other: str, changed: Callable[..., Path], command: Any, refused: Any
) -> None:
    shown = command("check", changed(folder, key, value))
    said = refused(shown, "design.toml", other, lines=None)
    if key not in ("rotor.mass", "rotor.hub_mounting"):  # told under the total, and under the bore
        assert key.rpartition(".")[2] in said


@pytest.mark.parametrize(("folder", "key", "value"), ABSURD)
def test_an_absurd_number_is_refused_or_doubted(
    folder: str, key: str, value: str, changed: Callable[..., Path]
) -> None:
    assert _told(changed(folder, key, value)) != "accepted"


def test_there_are_enough_absurd_changes() -> None:
    """Each stands for itself, so none may be there twice."""
    rows = [row[:3] for row in (*IMPOSSIBLE, *ABSURD)]
    assert len(set(rows)) == len(rows) >= 80


@pytest.mark.parametrize(("folder", "key", "value"), SANE_CHANGES)
def test_a_sane_change_is_hardly_doubted(folder: str, key: str, value: str, changed: Callable[..., Path]) -> None:
    assert len(load_design(changed(folder, key, value)).doubts) <= MOST


@pytest.mark.parametrize("path", SANE, ids=lambda path: path.stem)
def test_a_machine_of_another_kind_and_class_is_hardly_doubted(path: Path) -> None:
    assert len(load_design(path).doubts) <= MOST


@pytest.mark.parametrize("factor", [0.6, 0.8, 1.5, 2.0, 2.5])
@pytest.mark.parametrize("folder", [T, H, P])
def test_a_similar_machine_of_another_size_is_hardly_doubted(folder: str, factor: float) -> None:
    """From 110 g to 20 kg; beyond that the arena of the small machine is what is doubted, and rightly."""
    brief = load_brief(DEMOS / folder / "brief.toml")
    design = load_design(brief.design_file)
    plain = type(brief)(brief.name, brief.design_file, None, design.variables["mass"] * factor**3)
    found = inputs_at(design, plain, brief.requests[0], design.parts, np.asarray([factor])).variables
    numbers = {key: float(value[0]) for key, value in found.items()}
    assert len(doubts(numbers, design.choices, design.stated, None)) <= MOST


def _demo_or_starter(name: str, folder: Path) -> Design:
    if name in ("spinner", "pusher"):
        (folder / "design.toml").write_text(starter_files(name)["design.toml"], encoding="utf-8")
        return load_design(folder / "design.toml")
    return load_design(DEMOS / name / "design.toml")


@pytest.mark.parametrize("name", [T, H, P, "spinner", "pusher"])
def test_demos_and_starters_are_possible_machines(name: str, tmp_path: Path) -> None:
    assert _demo_or_starter(name, tmp_path).doubts == ()


@pytest.mark.parametrize("folder", [T, H, P])
def test_no_port_of_a_demo_contradicts_itself(folder: str) -> None:
    brief = load_brief(DEMOS / folder / "brief.toml")
    for port in run_study(load_design(brief.design_file), brief).ports:
        assert not {"does_not_fit", "doubtful_input"} & {problem.code for problem in port.problems}


def test_all_contradictions_of_a_file_are_told_in_one_run(edit: Callable[..., Path]) -> None:
    design = {"rotor.axle_height": '"20 mm"', "wheelbase": '"300 mm"', "rotor.teeth": "400",
              "rotor.shaft.diameter": '"14 mm"'}
    path = edit(DEMOS / T, design).parent / "design.toml"
    with pytest.raises(InputErrors) as refused:
        load_design(path)
    assert {error.key for error in refused.value.errors} == set(design)
    assert all(error.file == path for error in refused.value.errors)


def test_a_contradiction_is_one_sentence_with_the_mend(changed: Callable[..., Path], command: Any) -> None:
    path = changed(T, "rotor.axle_height", '"33 mm"')
    assert command("check", path).err == (
        f'scaling: {path}: rotor.axle_height: the rotor cuts the floor, given "33.00 mm", allowed: at least 42.00 mm '
        "(0.5 times rotor.diameter); mend rotor.axle_height or rotor.diameter.\n"
    )


@pytest.mark.parametrize("limit", ['"80 g"', '"50 kg"'])
def test_a_mass_limit_out_of_all_proportion_is_refused(
    limit: str, edit: Callable[..., Path], study_refused: Any
) -> None:
    brief = edit(DEMOS / T, None, {"mass_limit": limit, "mass_margin": '"0 g"'})
    study_refused(brief, "brief.toml", "mass_limit", "mass")


def test_the_flag_for_the_limit_is_held_to_the_same(command: Any, refused: Any) -> None:
    refused(command("study", DEMOS / T / "design.toml", "--mass", "50 kg"), "--mass", "at most 45400 g")


def test_doubts_are_told_by_check_study_and_files(changed: Callable[..., Path], command: Any, tmp_path: Path) -> None:
    path = changed(T, "battery.capacity", '"4500 mAh"')
    (row,) = json.loads(command("check", path, "--json").out)
    assert any({"battery.capacity", "battery.mass"} <= set(doubt["keys"]) and "Wh/kg" in doubt["text"]
               for doubt in row["doubts"])
    assert all(set(doubt) == {"keys", "text"} for doubt in row["doubts"])
    assert "Doubted: battery.capacity" in " ".join(command("check", path).out.split())
    out = tmp_path / "OUT"
    shown = " ".join(command("study", path.parent / "brief.toml", "-o", out).out.split())
    assert shown.count("doubt battery.capacity, battery.voltage, battery.mass") == 1
    told = json.loads((out / "study.json").read_text(encoding="utf-8"))
    assert told["reference"]["doubts"] == row["doubts"]
    for name in ("report.html", "build_log.md"):
        assert "energy over its mass is 1160" in (out / name).read_text(encoding="utf-8")


def test_without_doubts_nothing_is_said_of_them(command: Any) -> None:
    shown = command("check", DEMOS / T / "design.toml")
    assert "Doubted" not in shown.out
    assert "doubtful" not in shown.out
    assert json.loads(command("check", DEMOS / T / "design.toml", "--json").out)[0]["doubts"] == []


def test_the_spans_of_known_machines_are_those_of_the_demos() -> None:
    assert TABLE.read_text(encoding="utf-8") == spans_text(), "run tests/make_spans.py"


def test_every_rule_asks_for_keys_that_a_design_may_have() -> None:
    from scaling.formulas import book

    asked = {key for rule in RULES for key in rule.keys} | {key for rule in BOUNDS for key in (rule.key, rule.other)}
    assert asked <= set(book.variables)
