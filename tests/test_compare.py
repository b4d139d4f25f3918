"""Machines as drawn beside a reference: judged like any port, by their own numbers."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import scaling as sc
from scaling.study.beside import values_of


def compared(command: Callable[..., Any], *arguments: object) -> dict[str, Any]:
    result = command("compare", *map(str, arguments), "--json")
    assert (result.status, result.err) == (0, "")
    found: dict[str, Any] = json.loads(result.out)
    return found


def test_a_robot_beside_itself_is_just_like_it(command: Callable[..., Any], main_folder: Path) -> None:
    design = main_folder / "design.toml"
    port = compared(command, design, design)["ports"][0]
    assert (port["law"], port["factor"], port["mass"]) == ("as-drawn", 1, port["mass_limit"])
    for name, row in port["quantities"].items():
        if "ratio" in row:
            assert row["ratio"] == pytest.approx(1, rel=1e-12), name
            assert list(row["drift"].values()) == pytest.approx([1, 1], rel=1e-12), name
    codes = {problem["code"] for problem in port["problems"]}
    assert not codes - {"strength_passed_alike", "outside_valid_range_alike"}


def test_a_machine_s_numbers_are_its_own(command: Callable[..., Any], demos: tuple[Any, ...]) -> None:
    """Factor and drift worked out here from the files' numbers: energy goes as mass, length² and time⁻²."""
    first, *others = sorted(demos, key=lambda demo: not demo.design.has_rotor)
    files = [demo.folder / "design.toml" for demo in (first, *others)]
    found = compared(command, *files)
    assert found["schema"] == 2
    assert [port["letter"] for port in found["ports"]] == ["A", "B"]
    own = first.design.variables
    for port, demo in zip(found["ports"], others, strict=True):
        theirs = demo.design.variables
        assert port["machine"] == demo.design.name
        met = {key: value for key, value in theirs.items() if key.startswith("attacker.")}
        if demo.design.has_rotor:  # the opponent of its class: the reference's, carried with gravity's similarity
            size = (theirs["mass"] / own["mass"]) ** (1 / 3)
            powers = {"specific_energy": 1, "tip_speed": 0.5, "tooth_width": 1, "bite": 1, "diameter": 1}
            met = {f"attacker.{key}": own[f"attacker.{key}"] * size**power for key, power in powers.items()}
        assert port["variables"] == pytest.approx(dict(theirs) | met, rel=1e-12)
        told = {name: row["value"] for name, row in port["quantities"].items()}
        assert told == pytest.approx(values_of(dict(theirs) | met, demo.design.traits), rel=1e-9)
        length, mass = theirs["length"] / own["length"], theirs["mass"] / own["mass"]
        assert port["factor"] == pytest.approx(length, rel=1e-12)
        assert port["naive_factor"] == pytest.approx(mass ** (1 / 3), rel=1e-12)
        assert sum(part["port"] for part in port["parts"]) == pytest.approx(theirs["mass"])
        assert sum(part["reference"] for part in port["parts"]) == pytest.approx(own["mass"])
        if demo.design.has_rotor:
            row = port["quantities"]["rotor_energy"]
            ratio = row["value"] / found["reference"]["quantities"]["rotor_energy"]["value"]
            assert row["drift"]["driver"] == pytest.approx(ratio / (mass * length**2), rel=1e-9)
            assert row["drift"]["gravity"] == pytest.approx(ratio / (mass * length), rel=1e-9)


def test_another_length_and_a_mass_limit(
    command: Callable[..., Any], main_demo: Any, main_folder: Path, demos: tuple[Any, ...]
) -> None:
    other = next(demo for demo in demos if demo.folder != main_folder and demo.design.has_rotor)
    files = main_folder / "design.toml", other.folder / "design.toml"
    port = compared(command, *files, "--by", "rotor.diameter", "--mass", "1 kg")["ports"][0]
    sizes = [demo.design.variables["rotor.diameter"] for demo in (other, main_demo)]
    assert port["factor"] == pytest.approx(sizes[0] / sizes[1])
    assert port["mass_limit"] == 1
    assert ("mass_over_limit" in [problem["code"] for problem in port["problems"]]) == (port["mass"] > 1)
    assert port["mass"] > 1


def test_a_port_drawn_as_the_study_said_has_the_study_s_numbers(
    command: Callable[..., Any], edit: Callable[..., Path], main_folder: Path
) -> None:
    """A reference that only turns slower has the drift of its speed alone: energy as its square."""
    slow = edit(main_folder, design={"rotor.speed": '"200 rad/s"'}).with_name("design.toml")
    fast = main_folder / "design.toml"
    frame = sc.compare(fast, slow, clock="driver").set_index("quantity")
    before, after = frame.loc["rotor_speed", ["reference", "value"]]
    assert after == 200
    assert frame.loc["rotor_energy", "drift"] == pytest.approx((after / before) ** 2, rel=1e-9)
    assert frame.loc["total_mass", "drift"] == 1


def test_what_is_printed(command: Callable[..., Any], main_folder: Path, pusher_demo: Any) -> None:
    shown = command("compare", main_folder / "design.toml", pusher_demo.folder / "design.toml", "--all")
    assert (shown.status, shown.err) == (0, "")
    for words in (pusher_demo.design.name, "as-drawn", "length as drawn", "Cautions"):
        assert words in shown.out
    few = command("compare", main_folder / "design.toml", main_folder / "design.toml", "--only", "Gyro margin").out
    assert "Gyro margin" in few
    assert "Cautions" not in few


def test_what_is_refused(command: Callable[..., Any], refused: Callable[..., str], main_folder: Path) -> None:
    design = main_folder / "design.toml"
    refused(command("compare", design, design, "--by", "rotor.diametr"), "--by", "rotor.diameter")
    refused(command("compare", design, design, "--by", "mass"), "--by")
    refused(command("compare", design, design, "--mass", "heavy"), "--mass")
    refused(command("compare", design, design, "--clock", "lunch"), "--clock", "gravity or driver")
    refused(command("compare", design, main_folder / "brief.toml"), "brief")
    assert command("compare", design).status == 2


# --only, wherever it stands


def test_only_takes_names_and_labels(command: Callable[..., Any], main_folder: Path) -> None:
    brief, design = main_folder / "brief.toml", main_folder / "design.toml"
    names = ["--only", "Gyro margin", "--only", "rotor_energy"]
    study = json.loads(command("study", brief, *names, "--json").out)
    whole = json.loads(command("study", brief, "--json").out)
    for place in ("reference", *range(len(study["ports"]))):
        few, all_ = (data["reference"] if place == "reference" else data["ports"][place] for data in (study, whole))
        assert few["quantities"] == {name: all_["quantities"][name] for name in ("gyro_margin", "rotor_energy")}
    checked = json.loads(command("check", design, *names, "--json").out)
    assert set(checked[0]["quantities"]) == {"gyro_margin", "rotor_energy"}
    for verb, file in (("study", brief), ("check", design)):
        shown = command(verb, file, *names).out
        assert "Gyro margin" in shown
        assert "Tip speed" not in shown


@pytest.mark.parametrize("verb", ["study", "check"])
def test_only_refuses_what_is_not_there(
    command: Callable[..., Any], refused: Callable[..., str], pusher_demo: Any, verb: str
) -> None:
    brief = pusher_demo.folder / "brief.toml"
    refused(command(verb, brief, "--only", "top sped"), "--only", "did you mean", "top speed")
    refused(command(verb, brief, "--only", "gyro_margin"), "--only", "gyro_margin")
