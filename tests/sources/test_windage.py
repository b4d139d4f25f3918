"""Air drag of discs by Reynolds regime, of drums and bars, and the spin-down that it causes.

H. Schlichting, Boundary-Layer Theory, 7th ed., ch. V and XXI, from memory; the laminar and the turbulent law as in a
problem of R. B. Bird, W. E. Stewart & E. N. Lightfoot, Transport Phenomena, seen in a copied solution.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from scaling.formulas import book
from scaling.formulas.rotor.windage import (
    LAMINAR,
    TRANSITION,
    TURBULENT,
    bar_factor,
    cylinder_coefficient,
    disc_coefficient,
    drum_factor,
)

CHECKS = (
    "rotor_reynolds", "disc_moment_coefficient", "windage_torque", "windage_power", "windage_factor_estimate",
    "bar_drag_coefficient", "spin_down_time",
)

AIR = {"air.density": 1.2, "air.viscosity": 1.5e-5}
ROTOR = frozenset({"rotor"})


def drag(speed, radius=0.1, factor=1.0):
    given = AIR | {"rotor.diameter": 2 * radius, "rotor.speed": speed, "rotor.windage_factor": factor}
    return {name: float(value) for name, value in book.evaluate(given, ROTOR, only=["windage_power"]).items()}


@pytest.mark.parametrize(("speed", "reynolds", "coefficient", "torque", "power"), [
    (1000.0, 6.6667e5, 0.0099901, 0.059941, 59.94),  # turbulent
    (100.0, 6.6667e4, 0.014988, 8.993e-4, 0.0899),  # laminar, where the turbulent law would give more
])
def test_worked_examples(speed, reynolds, coefficient, torque, power):
    """Radius 0.1 m in air of 1.2 kg/m^3 and 1.5e-5 m^2/s: the handbook's laws worked out."""
    found = drag(speed)
    assert found["rotor_reynolds"] == pytest.approx(reynolds, rel=1e-3)
    assert found["disc_moment_coefficient"] == pytest.approx(coefficient, rel=1e-3)
    assert found["windage_torque"] == pytest.approx(torque, rel=1e-3)
    assert found["windage_power"] == pytest.approx(power, rel=1e-3)
    assert drag(speed, factor=3.0)["windage_torque"] == pytest.approx(3 * torque, rel=1e-3)


@pytest.mark.parametrize(("reynolds", "coefficient"), [(1e5, 0.012238), (1e6, 0.0092120), (1e7, 0.0058124)])
def test_coefficient_table(reynolds, coefficient):
    assert float(disc_coefficient(np.array(reynolds))) == pytest.approx(coefficient, rel=1e-3)


@pytest.mark.parametrize(("speed", "law"), [
    (100.0, lambda w: 0.616 * math.pi * 1.2 * 0.1**4 * math.sqrt(1.5e-5 * w**3)),
    (1000.0, lambda w: 0.073 * 1.2 * w**2 * 0.1**5 * (w * 0.1**2 / 1.5e-5) ** -0.2),
])
def test_laws_as_bird_stewart_and_lightfoot_write_them(speed, law):
    assert drag(speed)["windage_torque"] == pytest.approx(law(speed), rel=1e-3)


def test_laminar_constant_is_cochrans():
    """The flow of a disc in air at rest solved anew: F, G, H of von Karman, with 2 pi G'(0) = -3.87."""
    from scipy.integrate import solve_bvp

    def slopes(_, y):  # F, F', G, G', H
        f, df, g, dg, h = y
        return np.vstack([df, f**2 - g**2 + h * df, dg, 2 * f * g + h * dg, -2 * f])

    def ends(a, b):
        return np.array([a[0], a[2] - 1, a[4], b[0], b[2]])

    height = np.linspace(0, 15, 400)
    start = np.zeros((5, height.size))
    start[2], start[3], start[4] = np.exp(-height), -np.exp(-height), -0.9 * (1 - np.exp(-height))
    solved = solve_bvp(slopes, ends, height, start, tol=1e-6, max_nodes=20000)
    assert solved.success
    assert solved.y[4, -1] == pytest.approx(-0.8844, rel=2e-3)
    assert -2 * math.pi * solved.y[3, 0] == pytest.approx(LAMINAR, rel=1e-3)


def test_regimes_switch_at_the_transition_and_not_at_the_crossing():
    """The laws cross at Re 5.55e4; a larger-of-both would be turbulent from there on."""
    crossing = (LAMINAR / TURBULENT) ** (1 / 0.3)
    assert crossing == pytest.approx(5.55e4, rel=0.01)
    assert 2.8e5 <= TRANSITION <= 3.0e5  # Schlichting, from memory
    assert float(disc_coefficient(np.array(2 * crossing))) == pytest.approx(LAMINAR * (2 * crossing) ** -0.5)
    below, above = disc_coefficient(TRANSITION * np.array([1 - 1e-9, 1 + 1e-9]))
    assert below == pytest.approx(LAMINAR * TRANSITION**-0.5)
    assert above == pytest.approx(TURBULENT * TRANSITION**-0.2)
    for reynolds in np.geomspace(1e3, 7e6, 60):  # the entry of the book is the same function
        given = {"rotor.diameter": 2.0, "rotor.speed": reynolds, "air.viscosity": 1.0}
        entry = book.evaluate(given, ROTOR, only=["disc_moment_coefficient"])["disc_moment_coefficient"]
        assert entry == pytest.approx(float(disc_coefficient(np.array(reynolds))), rel=1e-12)


def test_range_of_the_measurements():
    """Discs were measured to Re 7e6: T. Theodorsen & A. Regier, NACA Report 793, abstract seen."""
    assert book.quantities["windage_power"].valid[0].high == 7e6


@pytest.mark.parametrize("reynolds", [1e4, 1e5, 1e6, 1e7])
def test_side_of_a_cylinder(reynolds):
    """1 / sqrt(C) = -0.6 + 4.07 log10(Re sqrt(C)): NACA Report 793, formula from memory, solved by bracketing."""
    from scipy.optimize import brentq

    root = brentq(lambda c: 1 / math.sqrt(c) + 0.6 - 4.07 * math.log10(reynolds * math.sqrt(c)), 1e-5, 1.0, xtol=1e-14)
    assert float(cylinder_coefficient(np.array(reynolds))) == pytest.approx(root, rel=1e-9)


def test_side_of_a_cylinder_drags_like_a_flat_plate():
    """Turbulent skin friction of a plate as long as the circumference, 0.455 / log10(Re)^2.58 (Prandtl and Schlichting,
    Boundary-Layer Theory, 7th ed., ch. XXI, from memory): within a third, since both are walls of the same kind."""
    for reynolds in (1e5, 1e6):
        plate = 0.455 / math.log10(2 * math.pi * reynolds) ** 2.58
        assert float(cylinder_coefficient(np.array(reynolds))) == pytest.approx(plate, rel=0.34)


def test_drum_adds_its_side():
    """Faces as a disc, side as 2 pi R w at R, C from the formula above at Re 6.67e5."""
    speed, radius, width = 1000.0, 0.1, 0.2
    friction = float(cylinder_coefficient(np.array(speed * radius**2 / 1.5e-5)))
    side = friction * 1.2 / 2 * (speed * radius) ** 2 * 2 * math.pi * radius * width * radius
    factor = drum_factor(np.array(speed), np.array(2 * radius), np.array(width), np.array(1.5e-5))["factor"]
    assert factor * 0.059941 == pytest.approx(0.059941 + side, rel=1e-3)
    given = AIR | {"rotor.diameter": 2 * radius, "rotor.speed": speed, "rotor.width": width}
    named = book.evaluate(given, frozenset({"rotor", "rotor.shape=drum"}), only=["windage_factor_estimate"])
    assert named["windage_factor_estimate"] == pytest.approx(float(factor))


BAR = frozenset({"rotor", "rotor.shape=bar"})


def of_a_bar(name, speed, radius, width, strip_drag, factor=1.0):
    given = AIR | {"rotor.diameter": 2 * radius, "rotor.speed": speed, "rotor.width": width,
                   "rotor.strip_drag": strip_drag, "rotor.windage_factor": factor}
    return float(book.evaluate(given, BAR, only=[name])[name])


def test_bar_is_a_sum_of_bluff_strips():
    """C_d = 1.2 (S. F. Hoerner, Fluid-Dynamic Drag, 1965, ch. 3, from memory) on strips of both halves."""
    from scipy.integrate import quad

    speed, radius, width = 1300.0, 0.042, 0.008
    torque = 2 * quad(lambda r: 1.2 * 1.2 / 2 * (speed * r) ** 2 * width * r, 0, radius)[0]
    assert of_a_bar("windage_torque", speed, radius, width, 1.2) == pytest.approx(torque, rel=1e-9)
    assert of_a_bar("windage_torque", speed, radius, width, 0.4, 2.0) == pytest.approx(torque * 0.8 / 1.2, rel=1e-9)
    assert of_a_bar("windage_power", speed, radius, width, 1.2) == pytest.approx(torque * speed, rel=1e-9)
    assert of_a_bar("bar_drag_coefficient", speed, radius, width, 0.4, 2.5) == pytest.approx(1.0)
    factor = float(bar_factor(np.array(speed), np.array(2 * radius), np.array(width), np.array(1.5e-5))["factor"])
    assert factor * drag(speed, radius)["windage_torque"] == pytest.approx(torque, rel=1e-9)
    named = of_a_bar("windage_factor_estimate", speed, radius, width, 1.2)
    assert named * drag(speed, radius)["windage_torque"] == pytest.approx(torque, rel=1e-9)


def test_bar_against_a_stirrer_in_a_vessel_with_baffles():
    """P = N_p rho n^3 D^5, N_p = 10 (z^0.7 b / D)^1.3 of z paddles of height b (M. Kamei and others, Kagaku Kogaku
    Ronbunshu, 1995, from memory): baffles hold the fluid at rest, and the paddles are flat plates, C_d near 2."""
    speed, radius, width = 100.0, 0.1, 0.02
    stirrer = 10 * (2**0.7 * width / (2 * radius)) ** 1.3 * 1.2 * (speed / (2 * math.pi)) ** 3 * (2 * radius) ** 5
    assert of_a_bar("windage_power", speed, radius, width, 1.98) == pytest.approx(stirrer, rel=0.25)


def test_no_bar_jumps_where_a_disc_turns_turbulent():
    """Pressure drag goes as the square of the speed; a disc's law leaps by two thirds."""
    radius, width = 0.042, 0.008
    turns = TRANSITION * 1.5e-5 / radius**2
    slow, fast = (of_a_bar("windage_torque", turns * share, radius, width, 0.3) for share in (0.98, 1.02))
    assert fast / slow == pytest.approx((1.02 / 0.98) ** 2, rel=1e-9)
    assert drag(1.02 * turns, radius)["windage_torque"] > 1.6 * drag(0.98 * turns, radius)["windage_torque"]


def test_stated_factor_of_a_bar_is_met_at_the_references_speed(main_demo):
    """2.5 times a smooth disc's drag, by Bird, Stewart and Lightfoot's laminar law, where its motor takes it."""
    own = main_demo.design.variables
    speed, radius = own["rotor.speed"], own["rotor.diameter"] / 2
    torque = 2.5 * 0.616 * math.pi * own["air.density"] * radius**4 * math.sqrt(own["air.viscosity"] * speed**3)
    assert main_demo.study.reference["windage_torque"] == pytest.approx(torque, rel=1e-3)


SPINNING = AIR | {
    "rotor.inertia": 2e-4, "rotor.motor.inertia": 4e-6, "rotor.ratio": 1.5, "rotor.motor.kv": 120.0,
    "rotor.motor.resistance": 0.05, "rotor.motor.no_load_current": 1.2, "rotor.motor.current_limit": 40.0,
    "battery.voltage": 14.8, "battery.resistance": 0.02, "rotor.diameter": 0.14, "rotor.windage_factor": 4.0,
    "rotor.width": 0.01, "rotor.strip_drag": 0.0,
    "rotor.speed": 900.0,
}


def spin_down(**changes):
    given = SPINNING | {key.replace("__", "."): value for key, value in changes.items()}
    return float(book.evaluate(given, ROTOR, only=["spin_down_time"])["spin_down_time"])


def test_spin_down_by_dry_friction_alone():
    """Constant torque: J (1 - 0.05) omega / T, J with the motor's through the ratio squared, T = I_0 i / K_v."""
    expected = (2e-4 + 4e-6 * 1.5**2) * 0.95 * 900.0 / (1.2 * 1.5 / 120.0)
    assert spin_down(air__density=1e-12) == pytest.approx(expected, rel=1e-9)


def test_spin_down_by_laminar_drag_alone():
    """domega/dt = -k omega^1.5 gives 2 / k (omega_end^-1/2 - omega^-1/2)."""
    speed, radius = 200.0, 0.07
    assert speed * radius**2 / 1.5e-5 < TRANSITION
    k = 4.0 * 3.87 * math.sqrt(1.5e-5) * 1.2 * radius**4 / 2 / (2e-4 + 4e-6 * 1.5**2)
    expected = 2 / k * ((0.05 * speed) ** -0.5 - speed**-0.5)
    assert spin_down(rotor__speed=speed, rotor__motor__no_load_current=0.0) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("speed", [300.0, 900.0, 2500.0])
def test_spin_down_against_an_equation_solver(speed):
    """J domega/dt = -drag through both regimes by scipy's solve_ivp: within 0.1 %."""
    from scipy.integrate import solve_ivp

    radius, inertia = 0.07, 2e-4 + 4e-6 * 1.5**2

    def slope(_, y):
        reynolds = y[0] * radius**2 / 1.5e-5
        coefficient = 3.87 * reynolds**-0.5 if reynolds < 3e5 else 0.146 * reynolds**-0.2
        return [-(1.2 * 1.5 / 120.0 + 4.0 * coefficient * 1.2 * y[0] ** 2 * radius**5 / 2) / inertia]

    def slow(_, y):
        return y[0] - 0.05 * speed

    slow.terminal = True
    solved = solve_ivp(slope, (0, 200), [speed], events=slow, rtol=1e-9, max_step=0.02)
    assert spin_down(rotor__speed=speed) == pytest.approx(solved.t_events[0][0], rel=1e-3)


def test_a_hobby_rotor_spins_down_in_seconds_to_a_minute():
    """Common practice, no source: a coasting rotor is not stopped at once, nor does it run for minutes."""
    assert 2 < spin_down() < 60
