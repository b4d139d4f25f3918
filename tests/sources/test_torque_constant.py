"""A motor's torque constant, against a published motor and a motor whose equations are solved here.

Published: kv 1000 rpm/V, 0.1 ohm, no-load current 0.4 A after M. Drela's first-order model, as computed by AeroSandbox
4.2.10: 0.091673 N m at 10 A.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from scaling.formulas import book
from scaling.formulas.rotor.torque_constant import PRODUCT_BAND
from scaling.port.inputs import inputs_at, port_parts

CHECKS = ("rotor_torque_constant", "drive_torque_constant", "rotor_constant_product", "drive_constant_product")

KV = 1000 * math.pi / 30
MOTOR = {
    "rotor.motor.kv": KV, "rotor.motor.resistance": 0.1, "rotor.motor.no_load_current": 0.4,
    "rotor.motor.current_limit": 10.0, "rotor.ratio": 1.0, "battery.voltage": 10.0, "battery.resistance": 0.02,
    "rotor.inertia": 1e-4, "rotor.motor.inertia": 0.0, "rotor.diameter": 0.1, "rotor.windage_factor": 1.0,
    "rotor.width": 0.01, "rotor.strip_drag": 0.0,
    "air.density": 1e-9, "air.viscosity": 1.5e-5, "rotor.axis": 0.0, "rotor.belt.pulley_diameter": 0.014,
}
DRIVE = {
    "drive.motor.kv": KV, "drive.motor.resistance": 0.1, "drive.motor.no_load_current": 0.4,
    "drive.motor.current_limit": 10.0, "drive.motors": 1.0, "drive.ratio": 1.0, "drive.efficiency": 1.0,
    "wheel.diameter": 0.1, "wheel.friction": 0.8, "wheel.load_share": 1.0, "wheel.driven": 2.0, "wheel.count": 2.0,
    "mass": 0.2, "gravity": 9.80665, "battery.voltage": 10.0, "battery.resistance": 0.02,
}


def read(given: dict[str, float], name: str) -> float:
    return float(book.evaluate(given, frozenset({"rotor"}), only=[name])[name])


@pytest.mark.parametrize("name", CHECKS[:2])
def test_not_stated_it_is_the_published_motors(name: str) -> None:
    given = MOTOR | DRIVE
    assert read(given, name) * (10.0 - 0.4) == pytest.approx(0.091673, rel=1e-5)


def test_push_and_start_are_the_published_torque() -> None:
    assert read(MOTOR, "spin_up_start_torque") == pytest.approx(0.091673, rel=1e-5)
    assert read(DRIVE, "drive_current_limited_force") == pytest.approx(0.091673 / 0.05, rel=1e-5)


STATED = 0.0083  # N m/A, as from a torque of 79.68 mN m measured at 10 A with 0.4 A taken off


def test_stated_it_is_what_the_brake_measures() -> None:
    rotor, drive = MOTOR | {"rotor.motor.torque_constant": STATED}, DRIVE | {"drive.motor.torque_constant": STATED}
    measured = 0.07968
    assert read(rotor, "rotor_torque_constant") == pytest.approx(measured / 9.6, rel=1e-9)
    assert read(drive, "drive_torque_constant") == pytest.approx(measured / 9.6, rel=1e-9)
    assert read(rotor, "spin_up_start_torque") == pytest.approx(measured, rel=1e-9)
    assert read(rotor, "belt_working_pull") == pytest.approx(measured / 0.007, rel=1e-9)
    assert read(drive, "drive_current_limited_force") == pytest.approx(measured / 0.05, rel=1e-9)
    stalled = (10 / 0.12 - 0.4) * measured / 9.6
    assert read(drive, "drive_stall_force") == pytest.approx(stalled / 0.05, rel=1e-9)
    for given, name in ((rotor, "rotor_constant_product"), (drive, "drive_constant_product")):
        assert read(given, name) == pytest.approx(measured / 9.6 * 104.71976, rel=1e-6)


def test_current_at_the_grip_limit_is_where_the_brake_holds_it() -> None:
    """Root of K_t (I - I_0) = mu m g r."""
    given = DRIVE | {"drive.motor.torque_constant": STATED}
    pull = 0.8 * 0.2 * 9.80665 * 0.05
    root = brentq(lambda current: STATED * (current - 0.4) - pull, 0.4, 100)
    assert read(given | {"drive.motor.current_limit": 80.0}, "drive_traction_current") == pytest.approx(root, rel=1e-9)


def test_current_that_holds_a_speed_in_air_is_where_the_brake_holds_the_drag() -> None:
    given = MOTOR | {"rotor.motor.torque_constant": STATED, "air.density": 1.2, "rotor.speed": 600.0}
    drag = read(given, "windage_torque")
    root = brentq(lambda current: STATED * (current - 0.4) - drag, 0.4, 100)
    assert read(given, "rotor_steady_current") == pytest.approx(root, rel=1e-9)


def test_spin_up_with_a_weaker_motor_followed_in_time() -> None:
    """J domega/dt = K_t (I - I_0), I the least of the limit and (V - omega / K_v) / (R + R_p): solve_ivp to 95 %."""
    given = MOTOR | {"rotor.motor.torque_constant": STATED, "rotor.motor.current_limit": 40.0}
    top = read(given, "rotor_speed_as_motored")

    def motion(_: float, state: Any) -> list[float]:
        current = min(40.0, (10 - state[0] / KV) / 0.12)
        return [STATED * (current - 0.4) / 1e-4]

    def there(_: float, state: Any) -> float:
        return float(state[0] - 0.95 * top)

    there.terminal = True  # type: ignore[attr-defined]
    found = solve_ivp(motion, (0, 10), [0.0], events=there, rtol=1e-10, atol=1e-10, max_step=1e-3)
    assert read(given | {"rotor.speed": top}, "spin_up_time") == pytest.approx(found.t[-1], rel=1e-4)
    assert top == pytest.approx(KV * (10 - 0.4 * 0.12), rel=1e-6)  # the speed's constant, whatever the torque's


def test_a_similar_motor_keeps_the_product_and_a_bought_one_has_its_own(main_demo: Any) -> None:
    from dataclasses import replace

    design, brief = main_demo.design, main_demo.brief
    own = design.variables | {"rotor.motor.torque_constant": 0.8 / design.variables["rotor.motor.kv"]}
    stated = replace(design, variables=own)
    request = brief.requests[0]

    def product(numbers: dict[str, float]) -> float:
        other = replace(brief, numbers={**brief.numbers, **numbers})
        found = inputs_at(stated, other, request, port_parts(stated, other), 1.3).variables
        return float(found["rotor.motor.torque_constant"] * found["rotor.motor.kv"])

    assert product({}) == pytest.approx(0.8, rel=1e-9)
    assert product({"rotor.motor.kv": 120.0}) == pytest.approx(1.0, rel=1e-9)
    assert product({"rotor.motor.kv": 120.0, "rotor.motor.torque_constant": 0.007}) == pytest.approx(0.84, rel=1e-9)


@pytest.mark.parametrize("name", CHECKS[2:])
def test_the_range_is_that_of_published_tables(name: str) -> None:
    """Common practice, no source: 0.67 to 1.25, the median 0.87."""
    (valid,) = book.quantities[name].valid
    assert (valid.low, valid.high) == (0.67, 1.25)
    assert PRODUCT_BAND == (0.67, 0.87, 1.25)
