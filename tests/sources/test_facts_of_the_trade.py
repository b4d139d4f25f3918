"""What people who build and fight such machines know, each fact fed to the model: common practice, no source.

Every one can fail; beside each stands a case where the fact does not hold and the model says so. Wedges and rails
are in test_beams, plastic before the bolt in test_bolted_joints, belts in test_give_way_order.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from scaling.formulas import book
from scaling.robot.design import Design, load_design

DEMOS = Path(__file__).parent.parent.parent / "demo_designs"
RPM = np.pi / 30

# A rotor of the 1.5 kg class on four cells, as commonly built: numbers made up within what is usual.
CLASS_ROTOR = {
    "rotor.inertia": 5.5e-4,
    "rotor.motor.inertia": 1.2e-5,
    "rotor.ratio": 1.3,
    "rotor.motor.kv": 1000 * RPM,
    "rotor.motor.resistance": 0.030,
    "rotor.motor.no_load_current": 2.0,
    "rotor.motor.current_limit": 70.0,
    "battery.voltage": 14.8,
    "battery.resistance": 0.025,
    "rotor.diameter": 0.16,
    "rotor.windage_factor": 3.0, "rotor.width": 0.01, "rotor.strip_drag": 0.0,
    "air.density": 1.2,
    "air.viscosity": 1.5e-5,
}


@pytest.fixture(scope="module")
def main_demo() -> Design:
    return load_design(DEMOS / "tarvindle" / "design.toml")


def spun(**changes: float) -> dict[str, float]:
    given = CLASS_ROTOR | {key.replace("__", "."): value for key, value in changes.items()}
    traits = frozenset({"rotor"})
    reached = book.evaluate(given, traits, only=["rotor_speed_as_motored"])["rotor_speed_as_motored"]
    given["rotor.speed"] = float(reached)
    names = ["spin_up_time", "spin_up_time_over_limit", "rotor_unlimited_current"]
    return {name: float(value) for name, value in book.evaluate(given, traits, only=names).items()}


def test_a_controller_of_seventy_amps_does_for_a_class_rotor() -> None:
    """A 1.5 kg machine on four cells is commonly given about 70 A.

    Without a limit the motor would ask for more, for a fraction of a second; with it the spin-up takes some seconds
    at most.
    """
    found = spun()
    assert found["rotor_unlimited_current"] > 70
    assert 0 < found["spin_up_time_over_limit"] < 1.0
    assert 0.2 < found["spin_up_time"] < 4.0


def test_a_controller_of_seven_amps_does_not() -> None:
    found = spun(rotor__motor__current_limit=7.0)
    assert found["spin_up_time"] > 4.0


def test_scaled_at_the_same_speed_it_lifts_sooner_and_wants_to_be_wider(main_demo: Design) -> None:
    """At the same rotor speed and the same turn rate the larger machine lifts clearly sooner; wider is the usual mend.

    Every part solid, factor 1.44, wheels quicker by the factor so that it turns as quickly as before: the mend has
    the right sign and a size that can be built.
    """
    factor = 1.44
    scaled = {
        key: value * factor ** float(book.variables[key].length_power) for key, value in main_demo.variables.items()
    }
    scaled["rotor.speed"] = main_demo.variables["rotor.speed"]
    scaled["drive.ratio"] = main_demo.variables["drive.ratio"] / factor
    own = book.evaluate(main_demo.variables, main_demo.traits, only=["gyro_margin", "top_yaw_rate"])
    scaled["reference.gyro_margin"] = float(own["gyro_margin"])
    found = book.evaluate(scaled, main_demo.traits, only=["gyro_margin", "top_yaw_rate", "gyro_widening_ratio"])
    # As quickly but for the no-load loss, which weighs less in a larger motor.
    assert found["top_yaw_rate"] == pytest.approx(own["top_yaw_rate"], rel=0.01)
    assert found["gyro_margin"] < 0.8 * own["gyro_margin"]
    assert 1.05 < found["gyro_widening_ratio"] < 1.5


def test_slowed_to_the_same_tip_speed_it_does_not(main_demo: Design) -> None:
    factor = 1.44
    scaled = {
        key: value * factor ** float(book.variables[key].length_power) for key, value in main_demo.variables.items()
    }
    scaled["rotor.speed"] = main_demo.variables["rotor.speed"] / factor
    own = book.evaluate(main_demo.variables, main_demo.traits, only=["gyro_margin"])["gyro_margin"]
    scaled["reference.gyro_margin"] = float(own)
    assert book.evaluate(scaled, main_demo.traits, only=["gyro_widening_ratio"])["gyro_widening_ratio"] < 1


@pytest.mark.parametrize(("limit", "ready"), [(28.0, True), (4.0, False)])
def test_a_rotor_slower_than_a_rush_loses_by_it(main_demo: Design, limit: float, ready: bool) -> None:
    """A machine whose rotor needs longer than an opponent's rush has a rush margin below 1."""
    given = main_demo.variables | {"rotor.motor.current_limit": limit}
    reached = book.evaluate(given, main_demo.traits, only=["rotor_speed_as_motored"])["rotor_speed_as_motored"]
    given["rotor.speed"] = float(reached)
    found = book.evaluate(
        given, main_demo.traits, only=["rush_margin", "half_arena_crossing_time", "spin_up_time_80_energy"]
    )
    assert (found["half_arena_crossing_time"] > found["spin_up_time_80_energy"]) == ready
    assert (found["rush_margin"] > 1) == ready
