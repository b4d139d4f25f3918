"""Righting against statics by hand, rotated geometry, and a swing over an edge solved by scipy.

Shortly cited: NHTSA, consumer information regulations, rollover resistance, 65 FR 34998 (2000), seen. The rest is
checked against independent computation: `solve_ivp` swings the chassis about its edge, and a rotation matrix carries
the centre of gravity over it. Agreement is stated at each check.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation
from small_pusher import PLAIN_BOX

from scaling.files.errors import InputErrors
from scaling.formulas import book
from scaling.robot.design import load_design

CHECKS = (
    "wheels_tip_energy", "back_stability_factor", "back_tip_energy_side", "back_tip_energy_front",
    "back_tip_energy_rear", "righting_energy", "side_tip_energy", "righting_torque", "rotor_stop_energy",
    "righting_ratio", "rotor_righting_torque_ratio", "arm_torque_margin", "arm_energy_margin", "tail_stand_demand",
    "inverted_wheel_ratio",
)

G = 9.80665
BODY = {
    "mass": 0.454, "gravity": G, "length": 0.165, "width": 0.15, "height": 0.062, "track": 0.126, "wheelbase": 0.092,
    "cg_height": 0.021, "cg_ahead": 0.028,
}
TO_REAR = (0.165 - 0.092) / 2 + 0.028
TO_FRONT = 0.165 - TO_REAR
BACK = 0.062 - 0.021


def design_with(folder: Path, text: str) -> Path:
    """A plain design file with ``text`` added after its other tables."""
    (folder / "design.toml").write_text(PLAIN_BOX + text, encoding="utf-8")
    return folder / "design.toml"


def value(name: str, given: dict[str, float], traits: tuple[str, ...] = ()) -> float:
    return float(book.evaluate(given, frozenset(traits), only=[name])[name])


def carried_over(away: float, above: float) -> float:
    """Most work against gravity while a point ``away`` from an edge and ``above`` the floor is turned over it."""
    point = np.array([-away, 0.0, above])
    turns = Rotation.from_rotvec(np.outer(np.linspace(0, np.pi / 2, 20001), [0.0, 1.0, 0.0]))
    return float(0.454 * G * (turns.apply(point)[:, 2].max() - above))


@pytest.mark.parametrize(
    ("name", "away", "above"),
    [
        ("wheels_tip_energy", 0.063, 0.021),
        ("back_tip_energy_side", 0.075, BACK),
        ("back_tip_energy_front", TO_FRONT, BACK),
        ("back_tip_energy_rear", TO_REAR, BACK),
        ("side_tip_energy", 0.021, 0.075),
    ],
)
def test_energy_over_an_edge_is_that_of_turning_the_body(name, away, above):
    """scipy's rotations carry the centre of gravity over the edge in 20 000 steps; agreement 1e-6."""
    assert value(name, BODY) == pytest.approx(carried_over(away, above), rel=1e-6)


def test_the_worst_edge_counts():
    energies = [carried_over(away, BACK) for away in (0.075, TO_FRONT, TO_REAR)]
    assert value("righting_energy", BODY) == pytest.approx(max(energies), rel=1e-6)
    # Statics by hand: the moment of the weight about the farthest edge.
    assert value("righting_torque", BODY) == pytest.approx(0.454 * G * TO_FRONT, rel=1e-12)


def test_stability_factor_on_the_back_is_nhtsas():
    """NHTSA: T / (2 H). A body 1.5 m wide whose centre of gravity lies 0.6 m high on its back: 1.25."""
    given = {"width": 1.5, "height": 1.0, "cg_height": 0.4}
    assert value("back_stability_factor", given) == pytest.approx(1.25, rel=1e-12)


def test_wheels_as_tall_as_the_body_reach_the_floor_either_way_up():
    """Geometry by hand: a wheel of the machine's own height touches the floor on both sides."""
    assert value("inverted_wheel_ratio", {"wheel.diameter": 0.062, "height": 0.062}) == 1.0
    assert value("inverted_wheel_ratio", {"wheel.diameter": 0.046, "height": 0.062}) < 1


def swings_over(momentum: float, away: float, own_inertia: float) -> bool:
    """Whether the chassis, given ``momentum`` about its edge at once, swings over the top: a pendulum, by scipy."""
    about_edge = own_inertia + 0.454 * (away**2 + BACK**2)
    reach, start = math.hypot(away, BACK), math.atan2(BACK, away)

    def rates(_, state):
        return [state[1], -0.454 * G * reach * math.cos(state[0]) / about_edge]

    top = lambda _, state: state[0] - math.pi / 2  # noqa: E731
    back = lambda _, state: state[1]  # noqa: E731
    top.terminal = back.terminal = True  # type: ignore[attr-defined]
    run = solve_ivp(rates, (0, 30), [start, momentum / about_edge], events=[top, back], rtol=1e-10, atol=1e-12)
    return bool(run.t_events[0].size)


@pytest.mark.parametrize(("axis", "away"), [("across", TO_FRONT), ("along", 0.075)])
def test_a_sudden_stop_rights_it_from_a_ratio_of_one(axis, away):
    """The least angular momentum that swings it over, by trial with scipy, against the energy to tip; agreement 1e-4.

    The chassis' own inertia is that of its box, m (a^2 + b^2) / 12 by hand; the ratio goes as momentum squared.
    """
    size = 0.165 if axis == "across" else 0.15
    own = 0.454 * (size**2 + 0.062**2) / 12
    least = brentq(lambda momentum: 1.0 if swings_over(momentum, away, own) else -1.0, 1e-3, 1.0, xtol=1e-7)
    given = BODY | {"angular_momentum": least}
    traits = ("rotor", f"rotor.axis={axis}")
    lifted = carried_over(away, BACK)
    assert value("rotor_stop_energy", given, traits) == pytest.approx(lifted, rel=1e-4)
    # The ratio is to the worst edge of all: over the farther end that is this one, over a side it is not.
    share = lifted / max(carried_over(edge, BACK) for edge in (TO_FRONT, 0.075))
    assert value("righting_ratio", given, traits) == pytest.approx(share, rel=1e-4)
    twice = given | {"angular_momentum": 2 * least}
    assert value("righting_ratio", twice, traits) == pytest.approx(4 * share, rel=1e-3)


def test_a_stated_inertia_counts():
    traits = ("rotor", "rotor.axis=across")
    given = BODY | {"angular_momentum": 0.08}
    heavy = given | {"rotor.hit_inertia": 0.01}
    about_edge = 0.01 + 0.454 * (TO_FRONT**2 + BACK**2)  # parallel axes, by hand
    assert value("rotor_stop_energy", heavy, traits) == pytest.approx(0.08**2 / (2 * about_edge), rel=1e-12)


def test_an_upright_rotor_cannot_tip_its_machine():
    found = book.evaluate(BODY | {"angular_momentum": 0.08}, frozenset({"rotor", "rotor.axis=upright"}))
    assert "righting_energy" in found
    assert not {"righting_ratio", "rotor_stop_energy", "rotor_righting_torque_ratio"} & set(found)


def test_spin_up_torque_against_the_weight():
    """AeroSandbox 4.2.10 motor at 10 A (see test_drive_motor): 0.091673 N m; geared 3 to 1, moments by hand."""
    motor = {
        "rotor.motor.kv": 1000 * math.pi / 30, "rotor.motor.resistance": 0.1, "rotor.motor.no_load_current": 0.4,
        "rotor.motor.current_limit": 10.0, "rotor.ratio": 3.0, "battery.voltage": 10.0, "battery.resistance": 0.0,
    }
    for axis, away in (("along", 0.075), ("across", TO_FRONT)):
        found = value("rotor_righting_torque_ratio", BODY | motor, ("rotor", f"rotor.axis={axis}"))
        assert found == pytest.approx(3 * 0.091673 / (0.454 * G * away), rel=1e-5)


@pytest.mark.parametrize(("edge", "away"), [("side", 0.075), ("front", TO_FRONT), ("rear", TO_REAR)])
def test_arm_lifts_when_its_moment_balances_the_weight(edge, away):
    """Statics by hand: tip force and edge force carry the weight; the far contact's load is gone at the margin 1."""
    reach, length = 0.13, 0.07
    push = 0.454 * G * away / reach  # moments about the edge
    arm = {"righting.arm.torque": push * length, "righting.arm.length": length, "righting.arm.reach": reach,
           "righting.arm.angle": 2.0}
    traits = (f"righting.arm.edge={edge}",)
    assert value("arm_torque_margin", BODY | arm, traits) == pytest.approx(1.0, rel=1e-12)
    assert value("arm_energy_margin", BODY | arm, traits) == pytest.approx(
        push * length * 2.0 / carried_over(away, BACK), rel=1e-6
    )


def test_arm_needs_its_keys(tmp_path):
    """A table that is there must be whole, and its edge is over a side unless it says otherwise."""
    whole = '[righting.arm]\ntorque = "0.5 N*m"\nlength = "70 mm"\nreach = "130 mm"\nangle = "120 deg"\n'
    design = load_design(design_with(tmp_path, whole))
    assert "righting.arm.edge=side" in design.traits
    assert design.variables["righting.arm.angle"] == pytest.approx(2 * math.pi / 3, rel=1e-12)
    with pytest.raises(InputErrors) as caught:
        load_design(design_with(tmp_path, '[righting.arm]\ntorque = "0.5 N*m"\n'))
    lacking = {f"righting.arm.{key}" for key in ("length", "reach", "angle")}
    assert {error.key for error in caught.value.errors} == lacking


def test_drive_brings_it_down_from_its_tail():
    """Statics in the moving frame by hand: with the demand at 1 the tail's load is just gone at the grip limit."""
    radius, ahead = 0.015, 0.04
    lift = G * 0.9  # grip's acceleration, all the weight on the wheels
    cg_height = radius + 0.9 * (ahead + radius)
    given = BODY | {
        "cg_height": cg_height, "cg_ahead": ahead, "wheel.diameter": 2 * radius, "wheel.friction": 0.9,
        "drive_stall_force": 100.0, "drive_current_limited_force": 100.0,
    }
    # Moments about the wheels' contact: weight at (h - r) sideways against inertia at (x + r) up.
    assert 0.454 * G * (cg_height - radius) == pytest.approx(0.454 * lift * (ahead + radius), rel=1e-12)
    assert value("tail_stand_demand", given) == pytest.approx(1.0, rel=1e-12)
    assert value("tail_stand_demand", given | {"cg_height": radius / 2}) == 0
