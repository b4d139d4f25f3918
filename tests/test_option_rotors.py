"""Options of a hub motor that the rotor goes round, and of rotors that hit for nothing.

A 150 g machine with its motor in its disc is brought to 1.5 kg by motors of an invented catalogue.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from scaling.decide.objective import objective_of, port_score
from scaling.decide.options import Option, rank_options, space_of
from scaling.port.asked import Brief, LawRequest
from scaling.port.brief import load_brief
from scaling.port.changes import changed
from scaling.robot.design import Design, load_design
from scaling.study.results import Study
from scaling.study.run import run_study

SMALL = Path(__file__).parent / "data" / "rebuilds" / "small.toml"

CATALOGUE = """name,kv_rpm_per_V,resistance_mohm,no_load_current_A,current_limit_A,diameter_mm,mass_g
slow,60,900,0.3,40,49,170
brisk,720,42,1.6,70,49,172
quick,900,34,2.0,80,49,176
small,1050,48,1.5,55,38,104
"""

BRIEF = """reference = "design.toml"
mass_limit = "1.5 kg"
mass_margin = "20 g"
[[laws]]
law = "mass"
speed_rules = ["as-motored"]
[options]
rotor_motors = "motors.csv"
cells = [4, 6]
"""

RING = {'bore = "5 mm"': 'bore = "18.5 mm"\nhub_mounting = "ring"\nhub_clearance = "0.2 mm"'}


@pytest.fixture
def machine(tmp_path: Path) -> Callable[..., Path]:
    """The small machine's design, with some of its text replaced, and the brief; returns the brief's path."""

    def write(design: dict[str, str] | None = None, brief: str = "") -> Path:
        text = SMALL.read_text(encoding="utf-8")
        for old, new in (design or {}).items():
            assert old in text
            text = text.replace(old, new)
        (tmp_path / "design.toml").write_text(text, encoding="utf-8")
        (tmp_path / "motors.csv").write_text(CATALOGUE, encoding="utf-8")
        (tmp_path / "brief.toml").write_text(brief + BRIEF, encoding="utf-8")
        return tmp_path / "brief.toml"

    return write


def ranked(path: Path, most: int = 50) -> tuple[Design, Brief, list[Option]]:
    brief = load_brief(path)
    design = load_design(brief.design_file)
    return design, brief, rank_options(design, brief, space_of(brief, design), most)[0]


def study_of(design: Design, brief: Brief, option: Option) -> Study:
    """The study of an option's brief."""
    request = LawRequest(option.fit, "as-motored", "as-bought")
    return run_study(design, replace(changed(brief, option.changes), requests=(request,)))


def test_a_motor_of_sixty_rpm_per_volt_stands_behind_what_hits(machine: Callable[..., Path]) -> None:
    """Whatever else is missed: a tip speed limit that quick motors pass and the slow one does not."""
    for limit in ("", '[limits.at_most]\ntip_speed = "40 m/s"\n'):
        path = machine()
        path.write_text(BRIEF + limit, encoding="utf-8")
        design, brief, found = ranked(path)
        own = study_of(design, brief, found[0]).reference["specific_energy"]
        slow = [option.rank for option in found if option.chosen["rotor_motors"] == "slow"]
        hard = [option.rank for option in found if option.values["specific_energy"] >= own]
        assert len(slow) == 4
        assert hard
        assert min(slow) > max(hard)
        assert not any(option.unbeaten for option in found if option.rank in slow)
        assert all("hits for nothing" in option.text for option in found if option.rank in slow)
        assert bool(limit) == any("limit_passed" in option.misses for option in found if option.rank in hard)


def test_the_json_of_options_that_miss(machine: Callable[..., Path], command: Callable[..., Any]) -> None:
    path = machine(RING)
    data = json.loads(command("options", path, "--json", "--top", "50").out)
    kinds = {option["status"]: option["misses"] for option in data["options"]}
    assert set(kinds) == {"fits", "misses"}
    assert "does_not_fit" in kinds["misses"]
    assert command("options", path).status == 0


def test_a_ring_that_does_not_go_over_its_motor_misses(machine: Callable[..., Path]) -> None:
    """The bore grows with the factor, 18.5 mm at the reference; a motor and a clearance of 0.2 mm must pass it."""
    found = ranked(machine(RING))[2]
    assert len(found) > 16
    for option in found:
        bore = option.values["rotor.bore"]
        if not option.redrawn:
            assert bore == pytest.approx(18.5e-3 * option.factor, rel=1e-9)
        needed = option.values["rotor.motor.diameter"] + 0.2e-3 * option.factor
        assert ("does_not_fit" in option.misses) == (bore < needed * (1 - 1e-9))
        assert ("does not go over its" in option.text) == ("does_not_fit" in option.misses)
    assert any("does_not_fit" in option.misses for option in found)
    assert not any("does_not_fit" in option.misses for option in ranked(machine())[2])


def test_a_redrawn_rotor_is_offered_and_is_what_its_brief_gives(machine: Callable[..., Path]) -> None:
    """The bore is cut to the motor: mass by a ring's face, inertia m (r_o^2 + r_i^2) / 2, energy I omega^2 / 2."""
    design, brief, found = ranked(machine(RING))
    redrawn = [option for option in found if option.redrawn]
    assert redrawn
    assert "does_not_fit" not in {code for option in redrawn for code in option.misses}
    objective = objective_of(brief, study_of(design, brief, found[0]).reference)
    for option in redrawn:
        values = option.values
        outside, bore, mass = (values[f"rotor.{key}"] for key in ("diameter", "bore", "mass"))
        plain = next(other for other in found if not other.redrawn and (other.chosen, other.fit)
                     == (option.chosen, option.fit))  # fmt: skip
        share = (outside**2 - bore**2) / (outside**2 - plain.values["rotor.bore"] ** 2)
        assert mass == pytest.approx(plain.values["rotor.mass"] * share, abs=3e-4)
        (port,) = study_of(design, brief, option).ports
        can = port.variables["rotor.inertia"] - mass * (outside**2 + bore**2) / 8
        assert can == pytest.approx(0.1 * port.variables["rotor.motor.mass"]
                                    * port.variables["rotor.motor.diameter"] ** 2, rel=1e-6)  # fmt: skip
        assert port.quantities["hub_bore_ratio"].value >= 1
        assert port.factor == pytest.approx(option.factor, rel=1e-9)
        for name in ("rotor_energy", "rotor_inertia", "gyro_margin", "rotor_peak_stress_margin", "total_mass"):
            if name in values:
                assert values[name] == pytest.approx(port.quantities[name].value, rel=1e-6), name
        assert values["rotor_energy"] == pytest.approx(
            port.variables["rotor.inertia"] * values["rotor_speed"] ** 2 / 2, rel=1e-6
        )
        assert option.score == pytest.approx(port_score(objective, port), rel=1e-6)
        for words in ("redrawn round its motor", f"{1e3 * bore:.1f} mm", f"{1e3 * mass:.0f} g", " J"):
            assert words in option.text


def test_a_stated_inertia_loses_what_is_cut_out(machine: Callable[..., Path]) -> None:
    """By m (r_o^2 + r_i^2) / 2 of the ring that the wider bore takes out: less than the share of the mass."""
    stated = {'teeth = 2': 'teeth = 2\ninertia = "0.11 kg cm^2"'}
    design, brief, found = ranked(machine(RING | stated))
    redrawn = [option for option in found if option.redrawn]
    assert redrawn
    for option in redrawn:
        (port,) = study_of(design, brief, option).ports
        values, inertia = option.values, port.variables["rotor.inertia"]
        assert inertia == pytest.approx(values["rotor.inertia"], rel=1e-9)
        plain = next(other for other in found if not other.redrawn and (other.chosen, other.fit)
                     == (option.chosen, option.fit)).values  # fmt: skip
        lost = plain["rotor.mass"] - values["rotor.mass"]
        ring = lost * (values["rotor.bore"] ** 2 + plain["rotor.bore"] ** 2) / 8
        assert plain["rotor.inertia"] - inertia == pytest.approx(ring, rel=5e-3)  # mass to 0.1 g
        assert ring > 1e-6
        assert option.values["rotor_energy"] == pytest.approx(port.quantities["rotor_energy"].value, rel=1e-6)


def test_a_rotor_without_a_wall_left_is_not_redrawn(machine: Callable[..., Path]) -> None:
    """Teeth of 4 mm on a disc of 54 mm leave 46 mm; with teeth of 20 mm no motor passes."""
    high = {'tooth_height = "4 mm"': 'tooth_height = "20 mm"'}
    assert not any(option.redrawn for option in ranked(machine(RING | high))[2])


def test_nothing_is_redrawn_on_the_face_of_a_motor(machine: Callable[..., Path]) -> None:
    assert not any(option.redrawn for option in ranked(machine())[2])
    assert math.isfinite(sum(option.score for option in ranked(machine())[2]))
