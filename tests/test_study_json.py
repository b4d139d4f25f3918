"""What ``study --json`` prints: the keys it promises, and numbers that anyone can recompute.

The recomputation here is written from the definitions of the quantities, with the variables that the study itself
prints, and shares no code with the project.
"""

from __future__ import annotations

import json
import math
import re
import tomllib
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp


def strictly(text: str) -> Any:
    """Parsed JSON; NaN and Infinity, which JSON does not have, are refused."""

    def refuse(name: str) -> None:
        raise AssertionError(f"{name} is not JSON")

    return json.loads(text, parse_constant=refuse)


ALWAYS = {
    "mass",
    "length",
    "width",
    "height",
    "track",
    "wheelbase",
    "cg_height",
    "drive.ratio",
    "battery.voltage",
    "battery.resistance",
    "drive.motor.kv",
    "drive.motor.resistance",
    "drive.motor.no_load_current",
    "drive.motors",
    "wheel.diameter",
    "wheel.friction",
    "wheel.count",
    "wheel.load_share",
}
WITH_ROTOR = {
    "rotor.diameter",
    "rotor.mass",
    "rotor.teeth",
    "rotor.inertia",
    "rotor.motor.kv",
    "rotor.motor.resistance",
    "rotor.motor.no_load_current",
    "rotor.motor.current_limit",
    "rotor.motor.diameter",
    "rotor.motor.inertia",
    "rotor.ratio",
}
OF_EVERY_ROBOT = {
    "total_mass",
    "top_speed",
    "top_yaw_rate",
    "traction_acceleration",
    "arena_crossing_time",
    "pack_energy",
    "match_energy",
    "peak_current",
}
OF_A_ROTOR = {
    "rotor_inertia",
    "rotor_speed",
    "tip_speed",
    "rotor_energy",
    "angular_momentum",
    "specific_energy",
    "bite",
    "spin_up_time",
    "spin_down_time",
    "windage_power",
    "rotor_rim_stress",
    "rotor_peak_stress",
    "rush_margin",
    "hit_force",
    "recoil_speed",
    "shaft_stress",
    "bolt_shear_stress",
}
OF_AN_AXIS_ACROSS = {"gyro_lift_yaw_rate", "gyro_margin"}


PRINTED: dict[Path, Any] = {}


@pytest.fixture
def told(command: Callable[..., Any], demo: Any) -> Any:
    """What ``study --json`` prints for a demo; printed once for all the tests, which only read it."""
    if demo.folder not in PRINTED:
        result = command("study", demo.folder / "brief.toml", "--json")
        assert (result.status, result.err) == (0, "")
        PRINTED[demo.folder] = strictly(result.out)
    return PRINTED[demo.folder]


def numbers_of(node: Any) -> list[float]:
    if isinstance(node, dict):
        return [number for value in node.values() for number in numbers_of(value)]
    if isinstance(node, list):
        return [number for value in node for number in numbers_of(value)]
    return [node] if isinstance(node, float) else []


def test_study_json_has_every_key_of_the_contract(told: Any, demo: Any) -> None:
    assert told["schema"] == 2
    assert {"reference", "ports", "groups"} <= set(told)
    reference = told["reference"]
    assert {"name", "mass", "variables", "quantities"} <= set(reference)
    assert reference["name"] == tomllib.loads((demo.folder / "design.toml").read_text(encoding="utf-8"))["name"]
    for entry in reference["quantities"].values():
        assert {"value", "unit", "branch", "role", "clock"} <= set(entry)
    assert [port["letter"] for port in told["ports"]] == list("ABCDEFGH"[: len(told["ports"])])
    assert len(told["ports"]) >= 3
    for port in told["ports"]:
        assert {
            "law",
            "speed_rule",
            "drive_rule",
            "factor",
            "naive_factor",
            "mass",
            "mass_limit",
            "variables",
            "quantities",
            "problems",
        } <= set(port)
        for entry in port["quantities"].values():
            assert {"value", "unit", "role", "clock", "similarity_ratio", "drift"} <= set(entry)
            assert entry["role"] in ("handling", "survival", "budget", "yardstick", "detail")
            assert entry["clock"] in (None, "gravity", "driver", "match")
            if "exponent" in entry:
                assert entry["exponent_kind"] == ("exact" if isinstance(entry["exponent"], str) else "local")
                assert isinstance(entry["exponent"], float) or re.fullmatch(r"-?\d+(/\d+)?", entry["exponent"])
        for problem in port["problems"]:
            assert {"code", "text"} <= set(problem) <= {"code", "text", "quantity", "rests_on"}
            named = {problem.get("quantity", "total_mass"), *problem.get("rests_on", ())}
            assert named <= set(reference["quantities"]) | set(port["quantities"])
            assert re.fullmatch("[a-z_]+", problem["code"])
    for group in told["groups"]:
        assert {"name", "expression", "reference", "ports"} <= set(group)
        assert len(group["ports"]) == len(told["ports"])
        for power in group["expression"].values():
            assert str(Fraction(power)) == power
    assert all(math.isfinite(number) for number in numbers_of(told))


def test_variables_and_quantities_are_there_where_the_design_has_them(told: Any, demo: Any) -> None:
    variables, quantities = ALWAYS, OF_EVERY_ROBOT
    if demo.design.has_rotor:
        variables, quantities = variables | WITH_ROTOR, quantities | OF_A_ROTOR
    across = "rotor.axis=across" in demo.design.traits
    level = across or "rotor.axis=along" in demo.design.traits
    if across:
        quantities = quantities | OF_AN_AXIS_ACROSS
    if demo.design.has_rotor:  # it throws up, or sideways where its axis is upright
        quantities = quantities | {"throw_height" if level else "throw_slide"}
    assert "wall_stress" in told["reference"]["quantities"]  # each demo states a wall and meets a rotor
    reference = told["reference"]
    assert variables <= set(reference["variables"])
    assert quantities <= set(reference["quantities"])
    for port in told["ports"]:
        added = set(port["variables"]) - set(reference["variables"])
        assert set(reference["variables"]) <= set(port["variables"])
        assert all(key.startswith("reference.") for key in added)
        missing = set(reference["quantities"]) - set(port["quantities"])
        codes = {problem["code"] for problem in port["problems"]}
        assert not missing or {"not_computed", "speed_unreachable"} & codes
    # What the design does not have is absent, not zero.
    for holder in (reference, *told["ports"]):
        assert across or not OF_AN_AXIS_ACROSS & set(holder["quantities"])
        assert level or "rotor.lean" in holder["variables"] or "gyro_torque" not in holder["quantities"]
        if not demo.design.has_rotor:
            assert not OF_A_ROTOR & set(holder["quantities"])
            assert not [key for key in holder["variables"] if key.startswith("rotor")]
        if "rotor.transmission=belt" not in demo.design.traits:
            assert not [name for name in holder["quantities"] if name.startswith("belt_")]
    if "rotor.transmission=hub" in demo.design.traits:
        assert reference["variables"]["rotor.motor.inertia"] == 0


def test_the_three_masses_are_one(told: Any) -> None:
    for holder in (told["reference"], *told["ports"]):
        assert holder["mass"] == holder["variables"]["mass"] == holder["quantities"]["total_mass"]["value"]


def test_ratio_similarity_and_drift_follow_from_their_definitions(told: Any, demo: Any) -> None:
    from scaling.formulas import book

    reference = told["reference"]
    for port in told["ports"]:
        factor, mu = port["factor"], port["mass"] / reference["mass"]
        volts = port["variables"]["battery.voltage"] / reference["variables"]["battery.voltage"]
        for name, entry in port["quantities"].items():
            own = reference["quantities"][name]["value"] if name in reference["quantities"] else 0
            if own:
                assert entry["ratio"] == pytest.approx(entry["value"] / own, rel=1e-12)
            a, b, c, d, _ = map(float, book.quantities[name].dimension)
            for clock, tau in (("gravity", math.sqrt(factor)), ("driver", 1.0)):
                current = mu * factor**2 / tau**3 / volts
                alike = mu**a * factor**b * tau**c * current**d
                assert entry["similarity_ratio"][clock] == pytest.approx(alike, rel=1e-12)
                if own:
                    assert entry["drift"][clock] == pytest.approx(entry["ratio"] / alike, rel=1e-12)


def test_groups_of_the_trade_are_shown_with_their_values(told: Any, demo: Any) -> None:
    found = {group["name"]: group for group in told["groups"]}
    wanted = {"speed over sqrt(g L)"}
    if demo.design.has_rotor:
        wanted |= {"rush margin", "bite over tooth height", "specific energy over g L", "spinning stress over strength"}
    if "rotor.axis=across" in demo.design.traits:
        wanted |= {"gyro margin"}
    assert wanted <= set(found)
    for group in found.values():
        for place, holder in enumerate([told["reference"], *told["ports"]]):
            value = group["reference"] if place == 0 else group["ports"][place - 1]
            values = holder["variables"] | {name: entry["value"] for name, entry in holder["quantities"].items()}
            if value is not None:
                product = math.prod(
                    values[member] ** float(Fraction(power)) for member, power in group["expression"].items()
                )
                assert value == pytest.approx(product, rel=1e-12)
            else:
                assert not set(group["expression"]) <= set(values)


# Quantities from the variables, by the definitions that the study's users are given.


def recomputed(v: dict[str, float], speed: float | None) -> dict[str, float]:
    """A dozen quantities of a robot; ``speed`` is the rotor's, rad/s."""
    pack_sag = v["drive.motor.no_load_current"] * (
        v["drive.motor.resistance"] + v["drive.motors"] * v["battery.resistance"]
    )
    top_speed = v["drive.motor.kv"] * (v["battery.voltage"] - pack_sag) / v["drive.ratio"] * v["wheel.diameter"] / 2
    found = {
        "total_mass": v["mass"],
        "weight": v["mass"] * v["gravity"],
        "mass_use": v["mass"] / v["mass_limit"],
        "top_speed": top_speed,
        "body_lengths_per_second": top_speed / v["length"],
        "froude_speed": top_speed / math.sqrt(v["gravity"] * v["length"]),
        "reaction_distance": top_speed * v["driver.reaction_time"],
        "pack_energy": v["battery.voltage"] * v["battery.capacity"],
    }
    if speed is None:
        return found
    momentum = v["rotor.inertia"] * speed
    energy = v["rotor.inertia"] * speed**2 / 2
    return found | {
        "rotor_inertia": v["rotor.inertia"],
        "tip_speed": speed * v["rotor.diameter"] / 2,
        "rotor_energy": energy,
        "angular_momentum": momentum,
        "specific_energy": energy / v["mass"],
        "energy_lift_lengths": energy / (v["mass"] * v["gravity"] * v["length"]),
        "rotor_rim_stress": v["rotor.density"] * (speed * v["rotor.diameter"] / 2) ** 2,
        "rotor_reynolds": speed * v["rotor.diameter"] ** 2 / 4 / v["air.viscosity"],
        # The robot's advance while the next tooth comes round.
        "bite": top_speed * (2 * math.pi / speed) / v["rotor.teeth"],
    }


def speed_of(holder: Any) -> float | None:
    entry = holder["quantities"].get("rotor_speed")
    return None if entry is None else float(entry["value"])


def test_a_dozen_quantities_recomputed_from_the_variables(told: Any, demo: Any) -> None:
    for holder in (told["reference"], *told["ports"]):
        expected = recomputed(holder["variables"], speed_of(holder))
        assert len(expected) >= (16 if demo.design.has_rotor else 8)
        for name, value in expected.items():
            assert holder["quantities"][name]["value"] == pytest.approx(value, rel=1e-12), name


def test_gyro_quantities_recomputed_from_the_variables(told: Any, demo: Any) -> None:
    """Mean couple C = I omega omega_p (R. S. Khurmi & J. K. Gupta, Theory of Machines, ch. 14; secondary)."""
    for holder in (told["reference"], *told["ports"]):
        quantities, v = holder["quantities"], holder["variables"]
        yaw = quantities["top_yaw_rate"]["value"]
        if "gyro_torque" in quantities:
            momentum = v["rotor.inertia"] * (speed_of(holder) or 0)
            across_turn = math.sin(v["rotor.lean"]) if "rotor.axis=upright" in demo.design.traits else 1.0
            assert quantities["gyro_torque"]["value"] == pytest.approx(momentum * yaw * across_turn, rel=1e-12)
        if "rotor.axis=across" in demo.design.traits:
            lift = quantities["gyro_lift_yaw_rate"]["value"]
            # At that rate the couple equals the moment of the side's load about the middle.
            held = v["mass"] * v["gravity"] * v["wheel.load_share"] * v["track"] / 2
            assert v["rotor.inertia"] * (speed_of(holder) or 0) * lift == pytest.approx(held, rel=1e-12)
            assert quantities["gyro_margin"]["value"] == pytest.approx(lift / yaw, rel=1e-12)


def test_yaw_rate_is_that_of_opposed_sides_or_less(told: Any) -> None:
    """2 v / track without skid losses; with them less, never more."""
    for holder in (told["reference"], *told["ports"]):
        v = holder["variables"]
        bound = 2 * holder["quantities"]["top_speed"]["value"] / v["track"]
        found = holder["quantities"]["top_yaw_rate"]["value"]
        assert 0 < found <= bound * (1 + 1e-12)


def test_arena_crossing_is_the_integral_of_force_over_mass(told: Any) -> None:
    """By a general integrator of differential equations: grip, current limit and motor line, whichever is least."""
    for holder in (told["reference"], *told["ports"]):
        v, quantities = holder["variables"], {name: entry["value"] for name, entry in holder["quantities"].items()}
        speed = quantities["top_speed"]
        weight = v["mass"] * v["gravity"]
        grip = v["wheel.friction"] * weight * v["wheel.load_share"] * v["wheel.driven"] / v["wheel.count"]
        # Rolling resistance under the wheels and friction under the skid come off the force at every speed.
        drag = weight * (
            v["wheel.rolling_resistance"] * v["wheel.load_share"]
            + v["wheel.skid_friction"] * (1 - v["wheel.load_share"])
        )
        lever = v["drive.efficiency"] * v["drive.ratio"] / v["drive.motor.kv"] / (v["wheel.diameter"] / 2)
        limit = v["drive.motors"] * (v["drive.motor.current_limit"] - v["drive.motor.no_load_current"]) * lever
        stall = (
            v["drive.motors"]
            * lever
            * (
                v["battery.voltage"] / (v["drive.motor.resistance"] + v["drive.motors"] * v["battery.resistance"])
                - v["drive.motor.no_load_current"]
            )
        )

        def motion(
            _: float,
            state: np.ndarray,
            m: float = v["mass"],
            caps: tuple[float, float] = (grip, limit),
            line: tuple[float, float] = (stall, speed),
            drag: float = drag,
        ) -> list[float]:
            return [state[1], (min(*caps, line[0] * (1 - state[1] / line[1])) - drag) / m]

        def there(_: float, state: np.ndarray, length: float = v["arena.length"]) -> float:
            return float(state[0] - length)

        there.terminal = True  # type: ignore[attr-defined]
        run = solve_ivp(motion, (0, 100), [0, 0], events=there, rtol=1e-9, atol=1e-12, max_step=0.02)
        assert quantities["arena_crossing_time"] == pytest.approx(float(run.t_events[0][0]), rel=1e-4)


def test_rush_margin_is_the_race_of_two_times(told: Any, demo: Any) -> None:
    for holder in (told["reference"], *told["ports"]):
        quantities = holder["quantities"]
        if "rush_margin" in quantities:
            race = quantities["half_arena_crossing_time"]["value"] / quantities["spin_up_time_80_energy"]["value"]
            assert quantities["rush_margin"]["value"] == pytest.approx(race, rel=1e-12)
        assert demo.design.has_rotor or "rush_margin" not in quantities
