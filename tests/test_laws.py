"""Laws, speed rules and drive rules: the factor they fix, and the exact powers that follow from them.

The expected powers are worked out by hand in the comments from definitions: similar bodies of one density have
masses as the cube and moments of inertia as the fifth power of their lengths (L. D. Landau & E. M. Lifshitz,
Mechanics, sec. 10, from memory, for the method).
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from scaling.formulas import book
from scaling.port.brief import LawRequest, load_brief
from scaling.port.carried import OPPONENT
from scaling.port.inputs import inputs_at, port_parts
from scaling.port.laws import ASKED
from scaling.port.rules import DRIVE_RULES, NO_LOAD, SPEED_RULES
from scaling.robot.design import load_design
from scaling.show.study_json import as_json
from scaling.study.results import Study
from scaling.study.run import run_study

RULES = ("hold-tip-speed", "gravity-similar", "hold-rpm")

# With omega ~ lambda^w and I ~ lambda^5: E = I omega^2 / 2, H = I omega, lift rate m g t / (2 H),
# sigma = rho (omega r)^2, E / m. w is -1, -1/2 and 0.
POWERS = {
    "rotor_energy": ("3", "4", "5"),
    "angular_momentum": ("4", "9/2", "5"),
    "gyro_lift_yaw_rate": ("0", "-1/2", "-1"),
    "rotor_rim_stress": ("0", "1", "2"),
    "specific_energy": ("0", "1", "2"),
    "rotor_speed": ("-1", "-1/2", "0"),
    "tip_speed": ("0", "1/2", "1"),
    "rotor_inertia": ("5", "5", "5"),
    "total_mass": ("3", "3", "3"),
    "rotor_rim_stress_margin": ("0", "-1", "-2"),
    "rotor_reynolds": ("1", "3/2", "2"),
    "traction_acceleration": ("0", "0", "0"),
}

# Lift rate ~ lambda^(3+1-5-w) = lambda^(-1-w) and top turn rate v / track ~ lambda^(v-1): held where w = -v. A similar
# machine's motor turns as 1/lambda and its wheel grows as lambda, so as bought v = 0.
GYRO_SPEED = {"as-bought": "0", "hold-speed": "0", "gravity-similar": "-1/2"}


@pytest.fixture(scope="module")
def told(process: Callable[..., Any]) -> Callable[[str], Any]:
    """What ``scaling laws --json`` prints for a drive rule."""
    cache: dict[str, Any] = {}

    def of(drive_rule: str) -> Any:
        if drive_rule not in cache:
            done = process("laws", "--json", "--drive-rule", drive_rule)
            assert (done.status, done.err) == (0, "")
            cache[drive_rule] = json.loads(done.out)["speed_rules"]
        return cache[drive_rule]

    return of


@pytest.mark.parametrize("rule", RULES)
def test_pure_exponents_are_exact(told: Callable[[str], Any], rule: str) -> None:
    found = told("as-bought")[rule]
    assert {name: found[name] for name in POWERS} == {name: row[RULES.index(rule)] for name, row in POWERS.items()}


def test_every_exponent_is_a_fraction_in_text(told: Callable[[str], Any]) -> None:
    found = told("as-bought")
    assert list(found) == list(SPEED_RULES)
    for row in found.values():
        for text in row.values():
            assert re.fullmatch(r"-?\d+(/[2-9]\d*)?", text)
            assert str(Fraction(text)) == text


@pytest.mark.parametrize("drive_rule", DRIVE_RULES)
def test_hold_gyro_margin_under_each_drive_rule(told: Callable[[str], Any], drive_rule: str) -> None:
    found = told(drive_rule)["hold-gyro-margin"]
    speed = Fraction(GYRO_SPEED[drive_rule])
    assert Fraction(found["gyro_margin"]) == 0
    assert Fraction(found["rotor_speed"]) == speed
    assert Fraction(found["angular_momentum"]) == 5 + speed
    assert Fraction(found["rotor_energy"]) == 5 + 2 * speed
    assert Fraction(found["gyro_lift_yaw_rate"]) == -1 - speed
    assert Fraction(found["top_yaw_rate"]) == -1 - speed


def test_a_similar_motor_turns_as_one_over_the_factor(told: Callable[[str], Any]) -> None:
    # Speed constant as 1/lambda at the same voltage; without air drag the rotor's speed follows it.
    assert told("as-bought")["as-motored"]["rotor_speed"] == "-1"
    assert told("as-bought")["as-motored"]["tip_speed"] == "0"


def test_every_law_and_rule_is_explained(command: Callable[..., Any]) -> None:
    done = command("laws")
    assert done.status == 0
    for name in (*ASKED, *SPEED_RULES, *DRIVE_RULES):
        assert re.search(rf"^{name}: ", done.out, re.MULTILINE)


# A design that follows a pure law: every part solid and of one density, motors without a no-load current, nothing
# bought, everything scaled.

ONE_MATERIAL = '"steel-mild"'


@pytest.fixture
def all_solid(main_folder: Path, edit: Callable[..., Path]) -> Callable[[str, float], Study]:
    """The study of the main demo, made of one solid, under the length law at a factor."""
    text = (main_folder / "design.toml").read_text(encoding="utf-8")
    pieces = text.count("[[parts]]")
    changes: dict[str, str | None] = {
        "mass": None,
        "rotor.kind": '"solid"',
        "rotor.motor.kind": '"solid"',
        "drive.motor.kind": '"solid"',
        "battery.kind": '"solid"',
        "wheel.kind": '"solid"',
        "rotor.material": ONE_MATERIAL,
        # A similar motor's no-load current goes as the square and its other currents as the cube of the factor.
        **dict.fromkeys(NO_LOAD, '"0 A"'),
    }
    for place in range(1, pieces + 1):
        for key, value in (("kind", '"solid"'), ("material", ONE_MATERIAL), ("thickness_rule", None), ("snap", None)):
            changes[f"parts[{place}].{key}"] = value

    def at(rule: str, factor: float) -> Study:
        brief = edit(main_folder, changes)
        design = load_design(brief.with_name("design.toml"))
        assert {part.kind for part in design.parts} == {"solid"}
        brief.write_text(
            'reference = "design.toml"\nmass_limit = "9 kg"\nsnap = false\n'
            f'[[laws]]\nlaw = "length"\nspeed_rules = ["{rule}"]\n'
            f'target = "{design.variables["length"] * factor!r} m"\n',
            encoding="utf-8",
        )
        return run_study(design, load_brief(brief))

    return at


@pytest.mark.parametrize("rule", [*RULES, "hold-gyro-margin"])
def test_measured_slopes_are_the_exact_exponents(
    all_solid: Callable[[str, float], Study], told: Callable[[str], Any], rule: str
) -> None:
    lower, upper = (all_solid(rule, factor).ports[0] for factor in (0.8, 0.9))
    assert lower.factor == pytest.approx(0.8, rel=1e-12)
    exact = 0
    for name, entry in upper.quantities.items():
        if isinstance(entry.exponent, Fraction):
            if entry.value == 0:
                assert lower.quantities[name].value == 0, name
                continue
            slope = math.log(entry.value / lower.quantities[name].value) / math.log(0.9 / 0.8)
            assert slope == pytest.approx(float(entry.exponent), abs=1e-9), name
            exact += 1
    # The class's mass limit is given and not scaled, so what depends on it, and on the opponent whose size it sets, has
    # another power here than in the pure law; and where the book has formulas for different designs, the list of the
    # laws may be of another one.
    for name in set(told("as-bought")[rule]) & set(upper.quantities):
        given = any(uses(name, key) for key in ("mass_limit", *OPPONENT))
        if not given and has_one_formula(name):
            pure, found = Fraction(told("as-bought")[rule][name]), upper.quantities[name]
            if rule in RULES and not any(uses(name, key) for key in NO_LOAD):
                assert found.exponent == pure, name
            elif found.value != 0:  # measured, as what rests on a no-load current follows no single power
                assert found.exponent == pytest.approx(float(pure), abs=1e-9), name
    assert exact >= 25
    if rule in RULES:
        for name, row in POWERS.items():
            assert upper.quantities[name].exponent == Fraction(row[RULES.index(rule)]), name


def uses(name: str, key: str) -> bool:
    """Whether a quantity's formulas rest on a variable, directly or by way of other quantities."""
    return any(
        key == used or uses(used, key) for entry in book.entries if entry.name == name for used in entry.inputs
    )


def has_one_formula(name: str) -> bool:
    """Whether a quantity, and all that it rests on, is worked out in the same way for every design."""
    entries = [entry for entry in book.entries if entry.name == name]
    return len(entries) <= 1 and all(has_one_formula(used) for entry in entries for used in entry.inputs)


def test_exact_exponents_are_said_to_be_exact(all_solid: Callable[[str, float], Study]) -> None:
    found = as_json(all_solid("gravity-similar", 0.9))["ports"][0]["quantities"]
    for name, row in POWERS.items():
        assert (found[name]["exponent_kind"], found[name]["exponent"]) == ("exact", row[1])
    # Air drag goes from laminar to turbulent on the way up in speed, and no single power holds.
    local = {name for name, entry in found.items() if entry.get("exponent_kind") == "local"}
    assert {"spin_up_time", "spin_down_time"} <= local
    assert all(isinstance(found[name]["exponent"], float) for name in local)


def test_local_exponents_are_the_slope_at_the_factor(main_demo: Any) -> None:
    """A central difference over a wider step, by way of the length law at two factors beside the port's own.

    Without the shelf, whose steps have no slope, and without what would bring those neighbours to the mass limit.
    """
    smooth = replace(main_demo.brief, snap=False, closure=())
    port = run_study(main_demo.design, smooth).ports[0]
    local = {name: entry for name, entry in port.quantities.items() if isinstance(entry.exponent, float)}
    assert local
    length = main_demo.design.variables["length"]
    requests = tuple(
        LawRequest("length", port.request.speed_rule, port.request.drive_rule, None, length * port.factor * step)
        for step in (0.999, 1.001)
    )
    below, above = run_study(main_demo.design, replace(smooth, requests=requests)).ports
    kinks = []
    for name, entry in local.items():
        logs = [math.log(abs(each.quantities[name].value)) for each in (below, port, above)]
        left, right = (logs[1] - logs[0]) / math.log(1 / 0.999), (logs[2] - logs[1]) / math.log(1.001)
        if abs(left - right) > 0.05:
            kinks.append(name)  # the lesser of two changes within the step: there is no one slope
            continue
        slope = (logs[2] - logs[0]) / math.log(1.001 / 0.999)
        assert slope == pytest.approx(entry.exponent, abs=2e-3), name
    assert len(kinks) <= 3, kinks


# The factor of each law.


def test_naive_factor_is_the_cube_root_of_the_mass_ratio(demo: Any) -> None:
    for port in demo.study.ports:
        expected = (demo.brief.mass_limit / demo.design.variables["mass"]) ** (1 / 3)
        assert port.naive_factor == pytest.approx(expected, rel=1e-12)


def test_length_and_motor_laws_give_the_ratio_of_two_lengths(demo: Any) -> None:
    keys = {
        "length": "length",
        "motor-diameter": "rotor.motor.diameter" if demo.design.has_rotor else "drive.motor.diameter",
    }
    for port in demo.study.ports:
        key = port.request.key or keys.get(port.request.law)
        if key is not None:
            target = port.request.target if port.request.target is not None else demo.brief.numbers[key]
            assert port.factor == pytest.approx(target / demo.design.variables[key], rel=1e-12)
            assert port.variables[key] == pytest.approx(target, rel=1e-12)


def test_length_and_mass_laws_disagree_where_the_box_is_small(pusher_demo: Any) -> None:
    factors = {port.request.law: port.factor for port in pusher_demo.study.ports}
    assert abs(factors["mass"] / factors["length"] - 1) > 0.03


def test_a_named_key_may_be_the_given_length(edit: Callable[..., Path], main_folder: Path) -> None:
    path = edit(
        main_folder, brief={"laws[1].law": '"length"', "laws[1].key": '"rotor.diameter"', "laws[1].target": '"1 ft"'}
    )
    brief = load_brief(path)
    port = run_study(load_design(brief.design_file), brief).ports[0]
    # A foot is 0.3048 m exactly: NIST SP 811, appendix B.
    assert port.variables["rotor.diameter"] == pytest.approx(0.3048, rel=1e-12)


# What each rule holds, seen in the finished ports.


@pytest.fixture(scope="module")
def every_rule(main_demo: Any) -> Study:
    """The main demo under the mass law with each speed rule and each drive rule."""
    requests = tuple(LawRequest("mass", rule, drive) for rule in SPEED_RULES for drive in DRIVE_RULES)
    return run_study(main_demo.design, replace(main_demo.brief, requests=requests))


def ports_of(study: Study, **wanted: str) -> list[Any]:
    found = [port for port in study.ports if all(getattr(port.request, key) == value for key, value in wanted.items())]
    assert found
    return found


def test_speed_rules_hold_what_they_say(every_rule: Study) -> None:
    for port in ports_of(every_rule, speed_rule="hold-rpm"):
        assert port.quantities["rotor_speed"].ratio == pytest.approx(1, rel=1e-12)
    for port in ports_of(every_rule, speed_rule="hold-tip-speed"):
        assert port.quantities["tip_speed"].ratio == pytest.approx(1, rel=1e-12)
    for port in ports_of(every_rule, speed_rule="gravity-similar"):
        assert port.quantities["rotor_speed"].drift["gravity"] == pytest.approx(1, rel=1e-12)
    for port in ports_of(every_rule, speed_rule="hold-gyro-margin"):
        assert port.quantities["gyro_margin"].ratio == pytest.approx(1, rel=1e-12)
    for port in ports_of(every_rule, speed_rule="as-motored"):
        reached = port.quantities["rotor_speed_as_motored"].value
        assert port.quantities["rotor_speed"].value == pytest.approx(reached, rel=1e-12)


def test_drive_rules_hold_what_they_say(every_rule: Study) -> None:
    for port in ports_of(every_rule, drive_rule="hold-speed"):
        assert port.quantities["top_speed"].ratio == pytest.approx(1, rel=1e-9)
    for port in ports_of(every_rule, drive_rule="gravity-similar"):
        assert port.quantities["top_speed"].drift["gravity"] == pytest.approx(1, rel=1e-9)
        assert port.quantities["top_speed"].ratio == pytest.approx(math.sqrt(port.factor), rel=1e-9)
    for port in ports_of(every_rule, drive_rule="as-bought"):
        assert port.variables["drive.ratio"] == every_rule.design.variables["drive.ratio"]


def test_ports_at_many_factors_are_those_at_each(demo: Any) -> None:
    """Rules and shelves work on an array of factors as on one."""
    parts = port_parts(demo.design, demo.brief)
    factors = np.array([[0.8, 1.0, 1.3], [1.45, 1.7, 2.1]])
    for request in demo.study.ports:
        many = inputs_at(demo.design, demo.brief, request.request, parts, factors).variables
        for place in np.ndindex(factors.shape):
            one = inputs_at(demo.design, demo.brief, request.request, parts, factors[place]).variables
            assert set(one) == set(many)
            for key, value in many.items():
                assert value.shape == factors.shape, key
                assert value[place] == pytest.approx(float(one[key]), rel=1e-12), key


# One change in a demo's files, the code of the problem that must be said, and what must be absent.


def codes(port: Any) -> set[str]:
    return {problem.code for problem in port.problems}


def test_no_gyro_margin_to_hold_is_a_problem(demo: Any) -> None:
    across = "rotor.axis=across" in demo.design.traits
    found = run_study(demo.design, replace(demo.brief, requests=(LawRequest("mass", "hold-gyro-margin"),)))
    assert ("gyro_margin_undefined" in codes(found.ports[0])) != across
    assert ("rotor_energy" in found.ports[0].quantities) == across


def test_a_speed_that_the_motor_does_not_reach_is_a_problem(every_rule: Study) -> None:
    # At one density a similar motor turns as 1/factor, so a held rotor speed is out of its reach.
    for port in ports_of(every_rule, speed_rule="hold-rpm", drive_rule="as-bought"):
        assert "speed_unreachable" in codes(port)
        assert not {"spin_up_time", "rush_margin"} & set(port.quantities)
        assert "rotor_energy" in port.quantities


@pytest.mark.parametrize(
    ("design", "brief", "code"),
    [
        ({}, {"mass_limit": '"200 g"', "mass_margin": '"0 g"'}, "target_lighter"),
        ({}, {"size_limit.height": '"30 mm"'}, "size_over_limit"),
        ({}, {"laws[1].law": '"length"', "laws[1].target": '"900 mm"'}, "mass_over_limit"),
        (
            {"rotor.motor.no_load_current": '"27.9 A"', "rotor.speed": '"100 rpm"'},
            {"port.rotor.motor.current_limit": '"20 A"', "laws[1].speed_rules": '["hold-rpm"]'},
            "motor_over_current",
        ),
        ({"battery.resistance": '"900 mohm"', "rotor.speed": '"100 rpm"'}, {}, "pack_brown_out"),
        ({"battery.capacity": '"20 mAh"'}, {}, "pack_too_small"),
        ({"wall.thickness": '"0.5 mm"'}, {}, "strength_passed"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_each_limit_that_is_passed_is_a_problem(
    edit: Callable[..., Path],
    main_folder: Path,
    main_demo: Any,
    design: dict[str, str],
    brief: dict[str, str],
    code: str,
) -> None:
    path = edit(main_folder, design, brief)
    loaded = load_brief(path)
    found = run_study(load_design(loaded.design_file), loaded).ports[0]
    texts = [problem.text for problem in found.problems if problem.code == code]
    assert texts
    assert code == "strength_passed" or code not in codes(main_demo.study.ports[0])
    for text in texts:
        assert re.search(r"\d", text)
        assert text.endswith(".")
