"""Landings and hits on a wheel, its shaft and gearbox, against a fall followed in time, a rigid body, a section."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from scaling.formulas import book

CHECKS = (
    "wheel_fall_share", "wheel_fall_force", "wheel_fall_travel_share", "wheel_shaft_fall_stress",
    "wheel_shaft_fall_margin", "wheel_shaft_fall_margin_bound", "wheel_bearing_fall_force", "gearbox_fall_torque",
    "gearbox_fall_margin_bound", "wheel_taken_force", "wheel_shaft_taken_stress", "wheel_shaft_taken_margin",
    "wheel_shaft_taken_bend_bound", "gearbox_taken_torque", "gearbox_taken_margin",
    "gearbox_stall_margin",
)

WHEEL = {
    "wheel.diameter": 0.046, "wheel.friction": 0.8, "wheel.tyre_stiffness": 9000.0, "wheel.shaft.diameter": 0.003,
    "wheel.shaft.overhang": 0.008, "wheel.shaft.bearing_spacing": 0.009, "wheel.shaft.strength": 1050e6,
    "drive.gearbox_torque": 1.5, "gravity": 9.80665,
}


def read(given: dict[str, float], *names: str) -> Any:
    found = book.evaluate(given, frozenset(), only=list(names))
    values = [float(found[name]) for name in names]
    return values[0] if len(values) == 1 else values


def test_share_of_a_mass_by_a_blow_on_a_rigid_body() -> None:
    """A block free in the air gets a unit impulse upwards at the wheel: its speed there is one over the mass it stops.

    Velocity of the centre and angular velocity about both level axes from Newton and Euler, as matrices.
    """
    mass, size = 0.454, np.array([0.165, 0.15, 0.062])  # length, width, height
    inertia = mass / 12 * np.diag([(size**2).sum() - side**2 for side in size])
    arm, blow = np.array([-0.042, 0.063, -0.02]), np.array([0.0, 0.0, 1.0])
    turn = np.linalg.solve(inertia, np.cross(arm, blow))
    speed = (blow / mass + np.cross(turn, arm))[2]
    given = {"length": 0.165, "width": 0.15, "height": 0.062, "cg_ahead": 0.042, "track": 0.126}
    assert read(given, "wheel_fall_share") == pytest.approx(1 / speed / mass, rel=1e-9)


@pytest.mark.parametrize("drop", [0.01, 0.3, 1.138])
def test_fall_onto_a_wheel_followed_in_time(drop: float) -> None:
    """A mass falls onto a spring; the greatest force and travel of its motion."""
    mass, share, stiffness, gravity = 0.454, 0.3, 9000.0, 9.80665

    def motion(_: float, state: Any) -> list[float]:
        return [state[1], gravity - stiffness * state[0] / (mass * share)]

    found = solve_ivp(motion, (0, 0.1), [0, math.sqrt(2 * gravity * drop)], rtol=1e-9, atol=1e-12, max_step=1e-4)
    given = WHEEL | {"mass": mass, "wheel_fall_share": share, "fall_height": drop}
    force, travel = read(given, "wheel_fall_force", "wheel_fall_travel_share")
    assert force == pytest.approx(stiffness * float(found.y[0].max()), rel=1e-4)
    assert travel == pytest.approx(float(found.y[0].max()) / 0.023, rel=1e-4)


def of_the_section(force: float, torque: float) -> float:
    """Greatest von Mises stress on 720 points of the shaft's surface: bending y / I and twist r / J."""
    at, diameter = np.linspace(0, 2 * math.pi, 721), WHEEL["wheel.shaft.diameter"]
    inertia = math.pi * diameter**4 / 64
    bending = force * WHEEL["wheel.shaft.overhang"] * diameter / 2 * np.sin(at) / inertia
    twist = torque * diameter / 2 / (2 * inertia)
    return float(np.sqrt(bending**2 + 3 * twist**2).max())


@pytest.mark.parametrize("case", ["fall", "taken"])
def test_bent_shaft_by_its_section(case: str) -> None:
    force = 163.0
    given = WHEEL | {f"wheel_{case}_force": force}
    stress, margin = read(given, f"wheel_shaft_{case}_stress", f"wheel_shaft_{case}_margin")
    assert stress == pytest.approx(of_the_section(force, 0.0), rel=1e-9)
    assert margin == pytest.approx(1050e6 / of_the_section(force, 0.0), rel=1e-9)


def test_bounds_of_shaft_bearing_and_gears() -> None:
    """A tyre that slides gives mu F r; both on the section; reactions of the bearings from two equations of a beam."""
    force, torque = 163.0, 0.8 * 163.0 * 0.023
    given = WHEEL | {"wheel_fall_force": force}
    assert read(given, "gearbox_fall_torque", "gearbox_fall_margin_bound") == pytest.approx([torque, 1.5 / torque])
    assert read(given, "wheel_shaft_fall_margin_bound") == pytest.approx(1050e6 / of_the_section(force, torque))
    reactions = np.linalg.solve([[1, 1], [0, 0.009]], [force, -force * 0.008])
    assert read(given, "wheel_bearing_fall_force") == pytest.approx(float(reactions.max()))


def test_a_stalled_motor_on_its_gearbox() -> None:
    """Power through the gears: motor torque 0.0225 N m at rest, 22 to 1 and 0.81 of it left, against 1.5 N m."""
    given = WHEEL | {"drive.motors": 2.0, "drive.motor.kv": 256.56, "drive.motor.resistance": 1.9, "drive.ratio": 22.0,
                     "drive.motor.no_load_current": 0.11, "drive.efficiency": 0.81, "battery.voltage": 11.1,
                     "battery.resistance": 0.036, "drive.motor.current_limit": 50.0}
    stalled = (11.1 / (1.9 + 2 * 0.036) - 0.11) / 256.56 * 22 * 0.81
    assert read(given, "gearbox_stall_margin") == pytest.approx(1.5 / stalled)
    limited = (3.0 - 0.11) / 256.56 * 22 * 0.81
    assert read(given | {"drive.motor.current_limit": 3.0}, "gearbox_stall_margin") == pytest.approx(1.5 / limited)


def test_bend_of_a_shaft_as_a_hinge_by_its_section() -> None:
    """Full yield on both sides of the middle of a round section: moment by integration over its chords."""
    radius = WHEEL["wheel.shaft.diameter"] / 2
    moment, _ = quad(lambda y: 2 * math.sqrt(radius**2 - y**2) * abs(y) * 1050e6, -radius, radius, points=[0.0])
    given = WHEEL | {"taken_glancing_energy": 3.85}
    assert read(given, "wheel_shaft_taken_bend_bound") == pytest.approx(3.85 / moment, rel=1e-6)


def test_hit_on_a_tyre_is_the_lesser_of_a_blow_on_a_spring_and_of_what_the_tyre_bears() -> None:
    """Half a wave of a mass on a spring, followed in time; Hill's flat punch, 2.9685 of the strength, on the tooth."""
    energy, stiffness, mass = 3.85, 9000.0, 0.1
    found = solve_ivp(lambda _, state: [state[1], -stiffness * state[0] / mass], (0, 0.02),
                      [0.0, math.sqrt(2 * energy / mass)], rtol=1e-9, atol=1e-12, max_step=1e-4)
    blow = stiffness * float(found.y[0].max())
    given = WHEEL | {"taken_glancing_energy": energy, "taken_tooth_area": 13.5e-6}
    tough, soft = given | {"wheel.tyre.strength": 40e6}, given | {"wheel.tyre.strength": 1.2e6}
    assert blow < 2.9685 * 40e6 * 13.5e-6
    assert read(tough, "wheel_taken_force") == pytest.approx(blow, rel=1e-3)
    assert read(soft, "wheel_taken_force") == pytest.approx(2.9685 * 1.2e6 * 13.5e-6, rel=1e-4)
    torque, margin = read(tough, "gearbox_taken_torque", "gearbox_taken_margin")
    assert torque == pytest.approx(blow * 0.023, rel=1e-3)
    assert margin == pytest.approx(1.5 / (blow * 0.023), rel=1e-3)
