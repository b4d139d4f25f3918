"""Courses over time and turn rate against independent integration and the equilibrium of forces."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from scaling.formulas.drive.arena_run import crossing, distance_run
from scaling.formulas.gyro.rotor_up import side_loads
from scaling.formulas.rotor.spin_up import RotorDrive, spin_up, spin_up_course
from scaling.robot.design import load_design
from scaling.study.courses import READY, rush_of, turning_of
from scaling.study.run import reference_values

DEMOS = Path(__file__).parents[2] / "demo_designs"
DRIVE = (6e-5, 4e-6, 1.6, 199.0, 5.0e-3, 0.075, 1.1, 28.0, 11.1, 0.036, 0.084, 0.008, 2.5, 0.0, 1.2, 1.5e-5)
SET_SPEED = 1200.0


def test_a_spin_up_is_the_integral_of_torque_over_inertia():
    drive = RotorDrive(*map(np.asarray, DRIVE))
    shares = np.array([0.0, 0.2, 0.5, 0.8, 0.95, 0.99])
    times = spin_up_course(shares, SET_SPEED, *DRIVE)
    # An ordinary differential equation solved by scipy, of the same torque: what is tried here is the quadrature.
    found = solve_ivp(lambda _, w: drive.net_torque(w) / drive.total_inertia, (0, 1.2 * times[-1]), [0.0],
                      dense_output=True, rtol=1e-10, atol=1e-9)
    assert found.sol(times)[0] == pytest.approx(shares * SET_SPEED, rel=2e-5, abs=1e-6)
    assert times[4] == pytest.approx(spin_up(np.asarray(SET_SPEED), *map(np.asarray, DRIVE))["time_95"], rel=1e-7)


def test_a_speed_that_the_motor_does_not_reach_has_no_course():
    assert np.isnan(spin_up_course(np.array([0.5]), 3 * SET_SPEED, *DRIVE)).all()


@pytest.mark.parametrize("grip", [1.9, 400.0], ids=["grip binds", "never capped"])
def test_a_run_is_the_integral_of_force_over_mass(grip):
    stall, limited, drag, top, mass = 12.0, 30.0, 0.1, 2.9, 0.454
    times = np.linspace(0.01, 1.5, 9)

    def motion(_, state):
        return [state[1], (min(limited, grip, stall * (1 - state[1] / top)) - drag) / mass]

    found = solve_ivp(motion, (0, 1.6), [0.0, 0.0], dense_output=True, rtol=1e-10, atol=1e-12, max_step=0.01)
    gone = distance_run(times, *map(np.asarray, (stall, limited, grip, drag, top, mass)))
    assert gone == pytest.approx(found.sol(times)[0], rel=1e-6)
    whole = crossing(*map(np.asarray, (stall, limited, grip, drag, top, mass, 2.4)))
    assert distance_run(whole["time"], *map(np.asarray, (stall, limited, grip, drag, top, mass))) == pytest.approx(2.4)


def test_ground_loads_balance_weight_and_couple():
    momentum, mass, gravity, lifts, stays, rate = 0.0827, 0.454, 9.80665, 0.030, 0.045, 0.9
    loads = side_loads(*map(np.asarray, (rate, momentum, mass, gravity, lifts, stays)))
    # Statics: forces upright and moments about the middle of a body on two supports under a couple H Omega.
    both = np.linalg.solve([[1.0, 1.0], [stays, -lifts]], [mass * gravity, -momentum * rate])
    assert [loads["lifting"], loads["other"]] == pytest.approx(both)
    gone = side_loads(*map(np.asarray, (2 * mass * gravity * lifts / momentum, momentum, mass, gravity, lifts, stays)))
    assert gone["lifting"] == 0
    assert gone["other"] == pytest.approx(mass * gravity)


def test_the_demo_s_courses_end_where_the_book_s_numbers_do():
    design = load_design(DEMOS / "tarvindle" / "design.toml")
    values = {**design.variables, **reference_values(design)}
    rush = rush_of(values, design.traits)
    assert rush is not None
    assert rush.left[0] == pytest.approx(1.2, rel=1e-9), "half of the arena's 2.4 m"
    assert rush.left[-1] == pytest.approx(0, abs=1e-9)
    assert np.interp(READY, rush.share, rush.spin_times) == pytest.approx(values["spin_up_time_80_energy"], rel=1e-3)
    turning = turning_of(values, 4.0)
    assert turning is not None
    assert turning.lifting[turning.rates == turning.lifts_at] == pytest.approx([0.0], abs=1e-9)
    assert turning.lifting[0] == pytest.approx(values["mass"] * 9.80665 / 2), "skid on the middle line"


def test_what_has_no_rotor_has_no_race_and_lifts_no_side():
    design = load_design(DEMOS / "plinthling" / "design.toml")
    values = {**design.variables, **reference_values(design)}
    assert rush_of(values, design.traits) is None
    assert turning_of(values, 4.0) is None
