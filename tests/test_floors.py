"""What a builder who has a short file alone is told: a 150 g robot with a hub motor, brought to 1.5 kg."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from conftest import Demo
from scaling.command.study_text import asked_next
from scaling.decide.mends import with_mends
from scaling.decide.verdict import decided
from scaling.port.brief import load_both
from scaling.robot.starters import starter_files
from scaling.show.first_screen import LINES, first_screen, spanned
from scaling.study.run import run_study

SMALL = {
    "mass": '"148 g"', "length": '"112 mm"', "width": '"106 mm"', "height": '"52 mm"', "track": '"84 mm"',
    "wheelbase": '"62 mm"', "shape": '"disc"', "transmission": '"hub"', "rotor.diameter": '"56 mm"',
    "rotor.width": '"2 mm"', "rotor.mass": '"36 g"', "tooth_height": '"4 mm"', "rotor.ratio": "1",
    "rotor.motor.kv": '"2300 rpm/V"', "current_limit": '"12 A"', "rotor.motor.diameter": '"27 mm"',
    "rotor.motor.mass": '"14 g"', "cells": "2", "capacity": '"300 mAh"', "battery.mass": '"19 g"',
    "drive.ratio": "20", "drive.motor.mass": '"9.5 g"', "wheel.diameter": '"32 mm"', "wheel.mass": '"3 g"',
    "arena.length": '"1.2 m"',
}  # fmt: skip
"""The short starter's numbers, changed to those of a robot of 150 g."""

LAWS = """
[[laws]]
law = "mass"
speed_rules = ["hold-tip-speed", "gravity-similar"]

[[laws]]
law = "length"
target = "240 mm"
speed_rules = ["hold-tip-speed"]

[[laws]]
law = "motor-diameter"
target = "49 mm"
speed_rules = ["as-motored"]
"""

EIGHT = """
[[laws]]
law = "length"
target = "235 mm"
speed_rules = ["hold-tip-speed", "hold-rpm", "as-motored", "gravity-similar"]
"""

AGREE = """
[[laws]]
law = "mass"
speed_rules = ["hold-tip-speed"]

[[laws]]
law = "length"
target = "242 mm"
speed_rules = ["hold-tip-speed"]
"""

BOUGHT = """
[port.rotor.motor]
kv = "{kv} rpm/V"
resistance = "38 mohm"
no_load_current = "1.9 A"
current_limit = "60 A"
diameter = "49 mm"
mass = "145 g"

[port.battery]
cells = 4
mass = "135 g"

[options]
rotor_motors = "rotor_motors.csv"
cells = [3, 4, 6]
"""

MOTORS = """name,kv_rpm_per_V,resistance_mohm,no_load_current_A,current_limit_A,diameter_mm,mass_g
A49-760,760,38,1.9,60,49,145
A49-60,60,2800,0.2,10,49,140
A46-900,900,35,2.1,60,46,130
"""


def changed(text: str, values: dict[str, str]) -> str:
    """The file with other values of the keys that stand in it, in tables or before the first."""
    table, rows, left = "", [], dict(values)
    for row in text.splitlines():
        if head := re.match(r"\[([\w.]+)\]", row):
            table = f"{head[1]}."
        key = row.partition(" = ")[0]
        said = next((name for name in (f"{table}{key}", key) if name in left and not row.startswith("#")), None)
        rows.append(row if said is None else f"{key} = {left.pop(said)}")
    assert not left, left
    return "\n".join(rows) + "\n"


def written(folder: Path, laws: str = LAWS, kv: int = 760, design: str | None = None, box: str = "") -> Path:
    text = changed(starter_files("spinner", short=True)["design.toml"], SMALL) if design is None else design
    (folder / "design.toml").write_text(text, encoding="utf-8")
    (folder / "rotor_motors.csv").write_text(MOTORS, encoding="utf-8")
    head = 'name = "To 1.5 kg"\nreference = "design.toml"\nmass_limit = "1.5 kg"\nmass_margin = "25 g"\n'
    brief = folder / "brief.toml"
    brief.write_text(head + box + laws + BOUGHT.format(kv=kv), encoding="utf-8")
    return brief


def screen(brief: Path, width: int = 80) -> list[str]:
    study = run_study(*load_both(brief))
    decision = decided(study)
    assert decision.told is not None
    mended = with_mends(study, decision.told.port, decision.told.risks)
    return first_screen(study, decision, mended, asked_next(study), width)


def test_the_first_screen_answers_what_a_builder_asks(tmp_path: Path) -> None:
    brief = written(tmp_path)
    lines = screen(brief, 120)
    text = " ".join(" ".join(lines).split())
    best = decided(run_study(*load_both(brief))).best
    assert best is not None and best.port.factor is not None and not best.port.misses
    assert f"{best.letter}, factor {best.port.factor:.3f}" in text  # which factor
    assert re.search(r"half turn, rotor up: [\d.]+.* s; a side lifts at", text)  # whether it handles the same
    margin = best.port.quantities["rush_margin"].value
    assert f"a rush is {'won' if margin >= 1 else 'lost'}" in text  # whether the rush is lost
    assert re.search(r"\d+ g left", text)  # whether the mass closes
    assert "rotor motor 49.0 mm, 760 rpm/V" in text and "pack of 4 cells" in text  # what to buy


def upright() -> str:
    small = changed(starter_files("spinner", short=True)["design.toml"], SMALL)
    return changed(small, {"axis": '"upright"', "spin": '"clockwise"'})


SCREENS: dict[str, dict[str, Any]] = {
    "nothing fits": {"kv": 300, "box": '[size_limit]\nlength = "200 mm"\n'},
    "all fit and agree": {"laws": AGREE},
    "an upright rotor": {"design": upright()},
    "eight ports": {"laws": LAWS + EIGHT},
}


@pytest.mark.parametrize("given", SCREENS.values(), ids=SCREENS)
def test_every_screen_ends_in_something_to_do(tmp_path: Path, given: dict[str, Any]) -> None:
    lines = screen(written(tmp_path, **given))
    assert len(lines) <= LINES
    assert lines[1].startswith("build")
    assert any(line.startswith("ask ") for line in lines)
    assert re.match(r"\s*(ask)?\s+scaling \w+", lines[-1])
    if given.get("kv"):
        assert "it fits" in " ".join(" ".join(lines).split())


def test_a_motor_that_hardly_turns_never_leads(tmp_path: Path, command: Callable[..., Any]) -> None:
    brief = written(tmp_path)
    told = json.loads(command("options", brief, "--top", "100", "--json").out)
    own = run_study(*load_both(brief)).reference["specific_energy"]
    by_motor = [(row["chosen"]["rotor_motors"], row["values"].get("specific_energy", 0.0)) for row in told["options"]]
    slow = [place for place, (name, _) in enumerate(by_motor) if name == "A49-60"]
    enough = [place for place, (name, energy) in enumerate(by_motor) if name != "A49-60" and energy >= own]
    assert slow and enough and max(enough) < min(slow)


def test_what_misses_is_said_before_what_is_only_less_good(main_demo: Demo) -> None:
    decision = decided(main_demo.study)
    text = " ".join(" ".join(first_screen(main_demo.study, decision, (), (), 80)).split())
    said = text.partition(" not ")[2].partition(" port ")[0]
    missing = [letter for letter, each in decision.ports.items() if each.port.misses]
    assert missing and all(re.search(rf"\b{letter}\b", said.partition("less like")[0]) for letter in missing)


def test_numbers_of_clauses_that_read_alike_are_spanned() -> None:
    assert spanned(["77 g over"]) == "77 g over"
    assert spanned(["motor 30 % short", "motor 9 % short"]) == "motor 9 to 30 % short"
    assert spanned(["riskier (+0.94, A +0.09)", "riskier (+0.48, A +0.09)"]) == "riskier (+0.48 to 0.94, A +0.09)"
