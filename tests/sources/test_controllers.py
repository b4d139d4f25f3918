"""Heat of the speed controllers, against a lump followed in time and a brick measured side by side."""

from __future__ import annotations

import math
from typing import Any

import pytest
from scipy.integrate import quad, solve_ivp

from scaling.formulas import book

CHECKS = (
    "rotor_controller_heat", "rotor_controller_area", "rotor_controller_temperature_rise",
    "rotor_controller_temperature_margin", "rotor_controller_held_heat", "rotor_controller_held_time",
    "drive_controller_heat", "drive_controller_area", "drive_controller_temperature_rise",
    "drive_controller_temperature_margin", "drive_controller_held_heat", "drive_controller_held_time",
)

SIDES = ["rotor", "drive"]
OWN = {"resistance": 0.004, "mass": 0.011, "specific_heat": 700.0, "density": 2000.0, "convection": 15.0,
       "rise_limit": 70.0}
MATCH = {
    "match.time": 180.0, "match.rotor_duty": 0.9, "match.drive_duty": 0.3, "match.spin_up_rate": 10 / 180,
    "spin_up_heat": 30.0, "rotor.motor.resistance": 0.075, "rotor_steady_current": 3.0, "drive_traction_current": 2.5,
    "rotor.motor.current_limit": 28.0, "drive.motor.current_limit": 6.0, "drive.motor.resistance": 1.9,
    "drive.motors": 2.0, "battery.voltage": 11.1, "battery.resistance": 0.036,
}
MEAN_SQUARE = {"rotor": 10 * 30.0 / 0.075 / 180 + 0.9 * 3.0**2, "drive": 0.3 * 2.5**2}
"""Of the motor's current over the match: ten spin-ups with 30 J each in 75 mohm, the rest at the steady currents."""
HELD = {"rotor": 28.0, "drive": 11.1 / (1.9 + 2 * 0.036)}
"""Held motors: at the rotor's limit; the drive's by what the pack drives through it, under its limit."""


def read(side: str, *names: str, **changes: float) -> Any:
    given = MATCH | {f"{side}.controller.{key}": value for key, value in (OWN | changes).items()}
    wanted = [f"{side}_controller_{name}" for name in names]
    found = book.evaluate(given, frozenset(), only=wanted)
    values = [float(found[name]) for name in wanted]
    return values[0] if len(values) == 1 else values


def surface() -> float:
    """Six faces of a brick of 11 g at 2 g/cm3 whose sides are as 4 to 2 to 1."""
    side = (0.011 / 2000 / 8) ** (1 / 3)
    a, b, c = 4 * side, 2 * side, side
    return 2 * (a * b + b * c + c * a)


@pytest.mark.parametrize("side", SIDES)
def test_heat_and_surface(side: str) -> None:
    heat, area, held = read(side, "heat", "area", "held_heat")
    assert heat == pytest.approx(0.004 * MEAN_SQUARE[side])
    assert area == pytest.approx(surface())
    assert held == pytest.approx(0.004 * HELD[side] ** 2)


def warmed(heat: float, time: float) -> Any:
    """C dT/dt = P - h A T from cold."""
    capacity = 0.011 * 700.0
    return solve_ivp(lambda _, rise: (heat - 15.0 * surface() * rise) / capacity, (0, time), [0.0], rtol=1e-9,
                     atol=1e-12, dense_output=True)


@pytest.mark.parametrize("side", SIDES)
def test_rise_in_a_match_followed_in_time(side: str) -> None:
    rise, margin = read(side, "temperature_rise", "temperature_margin")
    expected = float(warmed(0.004 * MEAN_SQUARE[side], 180.0).y[0, -1])
    assert rise == pytest.approx(expected, rel=1e-6)
    assert margin == pytest.approx(70 / expected, rel=1e-6)


@pytest.mark.parametrize("side", SIDES)
def test_time_with_the_motor_held_followed_in_time(side: str) -> None:
    resistance = 0.02 if side == "drive" else 0.004
    heat = resistance * HELD[side] ** 2
    limit = 12.0
    time = read(side, "held_time", resistance=resistance, rise_limit=limit)
    assert math.isfinite(time)
    assert float(warmed(heat, time).y[0, -1]) == pytest.approx(limit, rel=1e-6)


@pytest.mark.parametrize("side", SIDES)
def test_a_limit_that_is_never_reached_has_no_time(side: str) -> None:
    end = 0.004 * HELD[side] ** 2 / (15 * surface())  # what the surface carries off for ever
    assert math.isnan(read(side, "held_time", rise_limit=1.01 * end))
    assert not math.isnan(read(side, "held_time", rise_limit=0.99 * end))


def test_loss_goes_with_the_motors_current_and_not_with_the_packs() -> None:
    """Over a spin-up the mean square of the motor's current is the winding's heat over R and time, by quadrature."""
    square, _ = quad(lambda at: (28.0 - 20.0 * at) ** 2, 0, 1)
    given = {"spin_up_heat": square * 0.075, "match.spin_up_rate": 1.0, "match.rotor_duty": 0.0}
    own = {f"rotor.controller.{key}": value for key, value in OWN.items()}
    found = book.evaluate(MATCH | given | own, frozenset(), only=["rotor_controller_heat"])
    assert float(found["rotor_controller_heat"]) == pytest.approx(0.004 * square)
