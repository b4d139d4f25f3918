"""Motor-side and pack-side current, against a switched controller followed in time and roots of the power balance."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from scaling.formulas import book
from scaling.formulas.rotor.converter import motor_current_at_pack_limit, pack_current

CHECKS = (
    "end_brown_out_margin", "spin_up_start_pack_current", "motor_current_at_pack_limit", "pack_limit_motor_share",
    "spin_up_mean_pack_current", "fuse_spin_up_ratio", "drive_push_pack_current", "spin_up_time_pack_limited",
)

KV, RESISTANCE, VOLTAGE, PACK = 198.97, 0.075, 11.1, 0.036


def switched(duty: float, speed: float) -> tuple[float, float]:
    """Mean motor and pack current of a switch at 20 kHz, a coil of 60 uH and a capacitor of 3 mF, settled.

    While the switch is open the coil's current goes on round the motor; small explicit steps, no averages put in.
    """
    coil, capacitor, period, steps = 60e-6, 3e-3, 5e-5, 200
    current, charged = 0.0, VOLTAGE
    step = period / steps
    means: list[tuple[float, float]] = []
    for cycle in range(400):
        motor, pack = 0.0, 0.0
        for number in range(steps):
            on = number < duty * steps
            given = (VOLTAGE - charged) / PACK
            motor, pack = motor + current / steps, pack + given / steps
            charged += step * (given - (current if on else 0.0)) / capacitor
            current += step * ((charged if on else 0.0) - speed / KV - RESISTANCE * current) / coil
        if cycle >= 360:
            means.append((motor, pack))
    return tuple(np.mean(means, axis=0))


@pytest.mark.parametrize(("duty", "speed"), [(0.2, 0.0), (0.5, 600.0), (0.85, 1500.0)])
def test_pack_current_of_a_switched_controller(duty, speed):
    """The coil's ripple adds a little to I^2 R, so within 2 %."""
    motor, pack = switched(duty, speed)
    found = pack_current(motor, speed, KV, RESISTANCE, VOLTAGE, PACK)
    assert float(found["current"]) == pytest.approx(pack, rel=0.02)
    assert float(found["duty"]) == pytest.approx(duty, rel=0.02)


@pytest.mark.parametrize("speed", [0.0, 500.0, 1500.0, 2100.0])
@pytest.mark.parametrize("limit", [5.0, 28.0, 200.0])
def test_balance_of_power_or_a_fully_open_controller(limit, speed):
    found = pack_current(limit, speed, KV, RESISTANCE, VOLTAGE, PACK)
    motor, pack, loaded = (float(found[name]) for name in ("motor_current", "current", "voltage"))
    assert motor * (speed / KV + motor * RESISTANCE) == pytest.approx(pack * loaded, rel=1e-9)
    assert loaded == pytest.approx(VOLTAGE - pack * PACK, rel=1e-9)
    if motor < limit:
        assert pack == pytest.approx(motor, rel=1e-9)
        assert float(found["duty"]) == pytest.approx(1, rel=1e-9)
    else:
        assert float(found["duty"]) <= 1 + 1e-9


@pytest.mark.parametrize("speed", [0.0, 300.0, 1200.0])
@pytest.mark.parametrize("limit", [5.0, 28.0])
def test_motor_current_at_the_packs_limit_is_the_root(limit, speed):
    most = (VOLTAGE - speed / KV) / (RESISTANCE + PACK)

    def spare(current: float) -> float:
        return float(pack_current(current, speed, KV, RESISTANCE, VOLTAGE, PACK)["current"]) - limit

    root = most if spare(most) < 0 else brentq(spare, 0, most)
    found = motor_current_at_pack_limit(limit, speed, KV, RESISTANCE, VOLTAGE, PACK)["current"]
    assert float(found) == pytest.approx(root, rel=1e-6)


def test_a_motor_that_drives_the_pack_has_no_such_current():
    assert math.isnan(pack_current(10.0, 3000.0, KV, RESISTANCE, VOLTAGE, PACK)["current"])


def read(given: dict[str, float], *names: str) -> dict[str, float]:
    return {name: float(value) for name, value in book.evaluate(given, frozenset(), only=list(names)).items()}


GIVEN = {
    "rotor.motor.kv": KV, "rotor.motor.resistance": RESISTANCE, "battery.voltage": VOLTAGE, "battery.resistance": PACK,
    "battery.cells": 3.0, "battery.end_cell_voltage": 3.5, "battery.resistance_growth": 1.3, "peak_current": 40.0,
    "battery.cell_cut_off": 3.0,
}


@pytest.mark.parametrize("key", ["battery.current_limit", "rotor.controller.pack_limit"])
def test_the_book_s_currents_and_margin(key: str) -> None:
    """The switched controller above at rest, from pack and motor side.

    Kirchhoff: three cells at 3.5 V behind 36 mohm that have grown by 1.3, 40 A: by hand 10.5 - 1.872 = 8.628 V over
    three times 3 V.
    """
    motor, pack = switched(0.2, 0.0)
    given = GIVEN | {"battery.current_limit": 99.0} | {key: pack}
    found = read(given | {"rotor.motor.current_limit": motor}, *CHECKS[:3])
    assert found["spin_up_start_pack_current"] == pytest.approx(pack, rel=0.02)
    assert found["motor_current_at_pack_limit"] == pytest.approx(motor, rel=0.02)
    assert found["end_brown_out_margin"] == pytest.approx(8.628 / 9, rel=1e-9)
    half = read(given | {"rotor.motor.current_limit": motor / 2}, "pack_limit_motor_share")
    assert half["pack_limit_motor_share"] == pytest.approx(2, rel=0.02)


def test_motors_that_push_at_rest_take_little_from_the_pack() -> None:
    """Three motors of 225 mohm side by side are the switched one of 75 mohm: same heat, same duty."""
    motor, pack = switched(0.2, 0.0)
    given = GIVEN | {"drive_traction_current": motor / 3, "drive.motors": 3.0, "drive.motor.resistance": 3 * RESISTANCE}
    assert read(given, "drive_push_pack_current")["drive_push_pack_current"] == pytest.approx(pack, rel=0.02)


SPIN = GIVEN | {
    "rotor.motor.no_load_current": 1.1, "rotor.motor.current_limit": 28.0, "rotor.ratio": 1.6, "rotor.inertia": 7e-5,
    "rotor.motor.inertia": 3e-6, "rotor.diameter": 0.084, "rotor.windage_factor": 2.5, "air.density": 1e-9,
    "rotor.width": 0.008, "rotor.strip_drag": 0.0,
    "air.viscosity": 1.5e-5, "rotor.speed": 1200.0, "battery.fuse": 5.0,
}


def followed(pack_limit: float) -> tuple[float, float]:
    """Time to 95 % of 1200 rad/s and charge from the pack, by solve_ivp; the pack's current by brentq at each speed.

    The controller lets the motor draw the least of its own limit, of what the pack's limit gives it in power, and of
    what it draws fully open.
    """

    def at(rotor_speed: float) -> tuple[float, float]:
        induced = rotor_speed * 1.6 / KV
        fully_open = (VOLTAGE - induced) / (RESISTANCE + PACK)
        most = pack_limit * (VOLTAGE - pack_limit * PACK)
        by_pack = brentq(lambda current: current * (induced + current * RESISTANCE) - most, 0, 1e3)
        motor = min(28.0, by_pack, fully_open)
        power = motor * (induced + motor * RESISTANCE)
        return motor, brentq(lambda pack: pack * (VOLTAGE - pack * PACK) - power, 0, VOLTAGE / PACK / 2)

    def motion(_: float, state: np.ndarray) -> list[float]:
        motor, pack = at(state[0])
        return [(motor - 1.1) * 1.6 / KV / (7e-5 + 3e-6 * 1.6**2), pack]

    def there(_: float, state: np.ndarray) -> float:
        return float(state[0] - 0.95 * 1200)

    there.terminal = True
    found = solve_ivp(motion, (0, 10), [0.0, 0.0], events=there, rtol=1e-9, atol=1e-9, max_step=5e-3)
    return float(found.t[-1]), float(found.y[1, -1])


@pytest.mark.parametrize("limit", [6.0, 12.0, 20.0])
def test_spin_up_under_both_limits_followed_in_time(limit: float) -> None:
    name, given = "spin_up_time_pack_limited", SPIN | {"rotor.controller.pack_limit": limit}
    assert read(given, name)[name] == pytest.approx(followed(limit)[0], rel=1e-4)


def test_what_pack_and_fuse_see_of_a_spin_up_followed_in_time() -> None:
    time, charge = followed(1e2)
    found = read(SPIN, "spin_up_mean_pack_current", "fuse_spin_up_ratio")
    assert found["spin_up_mean_pack_current"] == pytest.approx(charge / time, rel=1e-4)
    assert found["fuse_spin_up_ratio"] == pytest.approx(charge / time / 5, rel=1e-4)
