"""Motor formulas against an independent motor library, and a motor's losses against its efficiency.

Expected numbers: `motor_electric_performance(kv=1000 rpm/V, resistance=0.1 ohm, no_load_current=0.4 A)` of AeroSandbox
4.2.10 (P. Sharpe, MIT licence) at 10 V, read from that library; it implements M. Drela, First-Order DC Electric Motor
Model, MIT, 2007. Agreement: 1e-6 of the value.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from scaling.formulas import book

CHECKS = (
    "top_speed", "drive_stall_force", "drive_current_limited_force", "held_back_speed_share", "push_force",
    "motor_limited_acceleration", "launch_acceleration", "drive_traction_current", "rotor_steady_current",
    "rotor_drag_current",
    "drive_motor_winding_heat", "drive_motor_case_heat", "motor_winding_heat", "motor_case_heat",
    "drive_motor_jam_heat", "motor_jam_heat", "pushing_rotor_speed_share",
    "rotor_speed_reach_share",
)

RPM = math.pi / 30
WHEEL = 0.05
STALL_TORQUE, NO_LOAD_RPM = 0.951110, 9960.0  # current at rest 100 A; at zero torque 0.4 A
HALF_RPM, HALF_TORQUE = 5000.0, 0.473645  # current 50 A
TEN_AMP_RPM, TEN_AMP_TORQUE, TEN_AMP_SHAFT, TEN_AMP_EFFICIENCY = 9000.0, 0.091673, 86.4, 0.864

MOTOR = {
    "kv": 1000 * RPM, "resistance": 0.1, "no_load_current": 0.4,
}
DRIVE = {f"drive.motor.{key}": value for key, value in MOTOR.items()} | {
    "drive.motors": 1.0, "drive.ratio": 1.0, "drive.efficiency": 1.0,
    "drive.motor.current_limit": 1000.0, "wheel.diameter": WHEEL,
    "battery.voltage": 10.0, "battery.resistance": 0.0, "mass": 2.0, "gravity": 9.80665, "wheel.load_share": 1.0,
    "wheel.driven": 2.0, "wheel.count": 2.0, "wheel.friction": 0.5, "wheel.rolling_resistance": 0.0,
    "wheel.skid_friction": 0.0,
}
ROTOR = {f"rotor.motor.{key}": value for key, value in MOTOR.items()} | {
    "rotor.ratio": 1.0, "battery.voltage": 10.0, "battery.resistance": 0.0, "rotor.motor.current_limit": 1000.0,
    "rotor_speed_reach_share": 1.0,
}


def value(name: str, given: dict[str, float], **more: float) -> float:
    keyed = {key.replace("__", "."): number for key, number in more.items()}
    return float(book.evaluate({**given, **keyed}, frozenset(), only=[name])[name])


def friction_for(torque: float) -> float:
    """Friction at which the wheels' grip asks for ``torque`` of the motor."""
    return torque / (WHEEL / 2) / (DRIVE["mass"] * DRIVE["gravity"])


def test_stall_torque_has_the_no_load_current_taken_off():
    assert value("drive_stall_force", DRIVE) * WHEEL / 2 == pytest.approx(STALL_TORQUE, rel=1e-6)
    # With stall current times torque constant and nothing taken off it would be 0.95493 N m.
    assert value("drive_stall_force", DRIVE) * WHEEL / 2 != pytest.approx(0.95493, rel=1e-3)


def test_unloaded_speed_is_that_at_the_no_load_current():
    assert value("top_speed", DRIVE) / (WHEEL / 2) == pytest.approx(NO_LOAD_RPM * RPM, rel=1e-6)


def test_torque_at_ten_amps():
    force = value("drive_current_limited_force", DRIVE, drive__motor__current_limit=10.0)
    assert force * WHEEL / 2 == pytest.approx(TEN_AMP_TORQUE, rel=1e-5)


def test_the_speed_where_grip_stops_holding_back_lies_on_the_motors_line():
    share = value("held_back_speed_share", DRIVE, wheel__friction=friction_for(HALF_TORQUE))
    assert share * NO_LOAD_RPM == pytest.approx(HALF_RPM, rel=1e-5)
    share = value("held_back_speed_share", DRIVE, wheel__friction=friction_for(TEN_AMP_TORQUE))
    assert share * NO_LOAD_RPM == pytest.approx(TEN_AMP_RPM, rel=1e-5)


def test_gearing_trades_speed_for_force():
    """Two motors behind 20 to 1: twice the force of one, times the ratio; the speed over the ratio."""
    geared = {"drive__motors": 2.0, "drive__ratio": 20.0}
    assert value("drive_stall_force", DRIVE, **geared) * WHEEL / 2 == pytest.approx(2 * 20 * STALL_TORQUE, rel=1e-6)
    assert value("top_speed", DRIVE, **geared) / (WHEEL / 2) == pytest.approx(NO_LOAD_RPM * RPM / 20, rel=1e-6)


def test_the_least_of_stall_limit_and_grip_pushes():
    strong = {"wheel__friction": 100.0}
    stall = STALL_TORQUE / (WHEEL / 2)
    ten_amps = TEN_AMP_TORQUE / (WHEEL / 2)
    assert value("push_force", DRIVE, **strong) == pytest.approx(stall, rel=1e-6)
    assert value("push_force", DRIVE, **strong, drive__motor__current_limit=10.0) == pytest.approx(ten_amps, rel=1e-5)
    assert value("push_force", DRIVE, wheel__friction=0.1) == pytest.approx(0.1 * 2.0 * 9.80665, rel=1e-9)
    assert value("motor_limited_acceleration", DRIVE, **strong) == pytest.approx(stall / 2.0, rel=1e-6)
    assert value("launch_acceleration", DRIVE, wheel__friction=0.1) == pytest.approx(0.980665, rel=1e-9)


def test_a_gearbox_takes_of_the_push_and_asks_for_more_current():
    """Power balance by hand: at 0.8 a push is 0.8 of the lossless one, and one of as much takes the 10 A of 1 / 0.8."""
    for name in ("drive_stall_force", "drive_current_limited_force"):
        assert value(name, DRIVE, drive__efficiency=0.8) == pytest.approx(0.8 * value(name, DRIVE), rel=1e-12)
    assert value("top_speed", DRIVE, drive__efficiency=0.8) == value("top_speed", DRIVE)
    friction = friction_for(0.8 * TEN_AMP_TORQUE)
    found = value("drive_traction_current", DRIVE, drive__efficiency=0.8, wheel__friction=friction)
    assert found == pytest.approx(10.0, rel=1e-5)


def test_current_at_a_torque():
    assert value("drive_traction_current", DRIVE, wheel__friction=friction_for(TEN_AMP_TORQUE)) == pytest.approx(
        10.0, rel=1e-5
    )
    for name in ("rotor_drag_current", "rotor_steady_current"):
        assert value(name, ROTOR, windage_torque=TEN_AMP_TORQUE) == pytest.approx(10.0, rel=1e-5)


def test_a_speed_out_of_reach_has_no_current():
    """By definition 1.1 times the unloaded speed: what would hold it is absent, not a number."""
    asked = {"rotor.speed": 1.1 * NO_LOAD_RPM * RPM, "rotor_speed_as_motored": NO_LOAD_RPM * RPM}
    assert value("rotor_speed_reach_share", asked) == pytest.approx(1.1, rel=1e-12)
    beyond = ROTOR | {"rotor_speed_reach_share": 1.1, "rotor.speed": 1.1 * NO_LOAD_RPM * RPM, "windage_torque": 0.01}
    for name in ("rotor_steady_current", "motor_case_heat", "motor_full_speed_heat"):
        assert np.isnan(value(name, beyond | {"match.rotor_duty": 1.0}))


def test_speed_that_a_loaded_rotor_keeps():
    """At 10 A the motor turns at 9000 rpm: that share of its unloaded speed."""
    share = value(
        "pushing_rotor_speed_share", ROTOR, windage_torque=TEN_AMP_TORQUE, rotor__speed=NO_LOAD_RPM * RPM,
        drive__motors=0.0, drive_traction_current=0.0,
    )
    assert share == pytest.approx(TEN_AMP_RPM / NO_LOAD_RPM, rel=1e-5)


@pytest.mark.parametrize("side", ["drive", "rotor"])
def test_losses_are_what_efficiency_leaves(side):
    """10 V times 10 A in, 86.4 W out at 86.4 %: the winding's and the iron's heat are the other 13.6 W."""
    if side == "drive":
        given = DRIVE | {"wheel.friction": friction_for(TEN_AMP_TORQUE), "match.drive_duty": 1.0}
        winding, case = value("drive_motor_winding_heat", given), value("drive_motor_case_heat", given)
    else:
        given = ROTOR | {
            "windage_torque": TEN_AMP_TORQUE, "match.rotor_duty": 1.0, "match.time": 60.0, "match.spin_up_rate": 0.0,
            "spin_up_heat": 0.0, "rotor.speed": TEN_AMP_RPM * RPM,
        }
        winding, case = value("motor_winding_heat", given), value("motor_case_heat", given)
    assert winding == pytest.approx(10.0**2 * 0.1, rel=1e-5)
    assert winding + case == pytest.approx(10.0 * 10.0 * (1 - TEN_AMP_EFFICIENCY), rel=1e-5)
    assert winding + case + TEN_AMP_SHAFT == pytest.approx(100.0, rel=1e-5)


def test_a_jammed_motor_turns_the_whole_input_into_heat():
    """At rest the library gives 100 A and no shaft power: 10 V times 100 A heat the winding."""
    assert value("drive_motor_jam_heat", DRIVE) == pytest.approx(1000.0, rel=1e-6)
    assert value("motor_jam_heat", ROTOR) == pytest.approx(1000.0, rel=1e-6)
    assert value("motor_jam_heat", ROTOR, rotor__motor__current_limit=10.0) == pytest.approx(10.0, rel=1e-9)


def test_what_the_winding_dissipates_at_rest_is_more_than_at_any_other_speed():
    """Sweep of the whole range of grip: current never passes the stall current nor falls below the no-load one."""
    currents = [value("drive_traction_current", DRIVE, wheel__friction=friction_for(torque))
                for torque in (1e-6, 0.01, 0.1, 0.5, 0.9, STALL_TORQUE, 2.0, 50.0)]
    assert currents == sorted(currents)
    assert currents[0] == pytest.approx(0.4, abs=1e-3)
    assert currents[-1] == pytest.approx(100.0, rel=1e-9)
