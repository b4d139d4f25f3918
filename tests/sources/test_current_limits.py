"""Motor-side and pack-side current, against a switched controller followed in time and roots of the power balance."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from scaling.formulas import book
from scaling.formulas.electrical.limits import brown_out, motor_current_at_pack_limit, pack_current

CHECKS = ("end_brown_out_margin", "spin_up_start_pack_current", "motor_current_at_pack_limit")

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


def test_brown_out_by_kirchhoff():
    """Three cells at 3.5 V behind 36 mohm that have grown by 1.3, 40 A: by hand 10.5 - 1.872 = 8.628 V."""
    found = brown_out(3, 3.5, 0.036, 1.3, 40.0, 9.0)
    assert float(found["voltage"]) == pytest.approx(8.628)
    assert float(found["margin"]) == pytest.approx(8.628 / 9)


def test_the_book_s_currents_and_margin():
    """The switched controller above at rest, from pack and motor side; Kirchhoff's 8.628 V over three times 3 V."""
    motor, pack = switched(0.2, 0.0)
    given = {
        "rotor.motor.current_limit": motor, "rotor.motor.kv": KV, "rotor.motor.resistance": RESISTANCE,
        "battery.voltage": VOLTAGE, "battery.resistance": PACK, "battery.current_limit": pack, "battery.cells": 3.0,
        "battery.end_cell_voltage": 3.5, "battery.resistance_growth": 1.3, "peak_current": 40.0,
        "battery.cell_cut_off": 3.0,
    }
    found = {name: float(value) for name, value in book.evaluate(given, frozenset(), only=list(CHECKS)).items()}
    assert found["spin_up_start_pack_current"] == pytest.approx(pack, rel=0.02)
    assert found["motor_current_at_pack_limit"] == pytest.approx(motor, rel=0.02)
    assert found["end_brown_out_margin"] == pytest.approx(8.628 / 9, rel=1e-9)
