"""Seams, gearboxes and landings, against statics as a linear programme, a run over an edge, a fall, a known motor.

Published motor: kv 1000 rpm/V, 0.1 ohm, no-load current 0.4 A after M. Drela's first-order model, as computed by
AeroSandbox 4.2.10: 0.091673 N m at 10 A.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, linprog

from scaling.formulas.drive.gearbox import efficiency_estimate, push_current, wheel_push
from scaling.formulas.drive.seams import clearance_left, climbed_step, seam_jolt
from scaling.formulas.drive.wheel_landing import landing_on_a_wheel, wheel_shaft

# ------------------------------------------------------------ seams


def lifts(height: float, radius: float, load: float, friction: float, push: float) -> float:
    """Spare grip of a wheel that just stands on a step's edge; the least friction that balances it, by linprog."""
    alpha = math.acos(1 - height / radius)
    normal, along = np.array([-math.sin(alpha), math.cos(alpha)]), np.array([math.cos(alpha), math.sin(alpha)])
    # N n + T t + (P, -W) = 0 with T at most mu N plus what is short
    found = linprog([0, 0, 1], A_ub=[[-friction, 1, -1]], b_ub=[0],
                    A_eq=np.column_stack([normal, along, [0, 0]]), b_eq=[-push, load],
                    bounds=[(0, None), (None, None), (None, None)])
    assert found.status == 0
    return float(-found.fun)


@pytest.mark.parametrize(("friction", "push"), [(0.8, 0.0), (0.0, 0.5), (0.8, 0.7), (0.3, 1.5)])
def test_climbed_step_by_statics(friction, push):
    radius, load = 0.023, 1.2
    limit = brentq(lambda height: lifts(height, radius, load, friction, push), 1e-7, radius * 0.9999)
    assert float(climbed_step(2 * radius, load, friction, push)["height"]) == pytest.approx(limit, rel=1e-5)


def test_climbed_step_at_its_boundaries():
    found = climbed_step(0.046, 1.2, np.array([0.0, 50.0, -0.1]), np.array([0.0, 50.0, 0.0]))["height"]
    assert found[:2] == pytest.approx([0, 0.023], abs=1e-12)  # no grip, no push: nothing; ample: the axle's height
    assert np.isnan(found[2])


@pytest.mark.parametrize("height", [0.0005, 0.002, 0.006])
def test_jolt_by_a_run_over_the_edge(height):
    """A mass on a light wheel: the edge pushes along the spoke, stiff and without bounce; no gravity in the blow."""
    radius, speed, mass, stiffness = 0.023, 2.9, 0.2, 1e7
    damping = 10 * math.sqrt(stiffness * mass)

    def motion(_, state):
        x, y, forward, up = state
        gap = math.hypot(x, y - height)
        nx, ny = x / gap, (y - height) / gap
        into = radius - gap
        force = max(stiffness * into - damping * (forward * nx + up * ny), 0) if into > 0 else 0.0
        return [forward, up, force * nx / mass, force * ny / mass]

    start = -math.sqrt(radius**2 - (radius - height) ** 2)
    found = solve_ivp(motion, (0, 3e-3), [start - 1e-5, radius, speed, 0], rtol=1e-9, atol=1e-12, max_step=2e-6)
    forward, up = found.y[2:]
    soon = int(np.searchsorted(found.t, 1e-5 / speed + math.sqrt(mass / stiffness)))
    jolt = seam_jolt(2 * radius, height, speed, 9.80665)
    assert float(np.hypot(forward[soon], up[soon])) == pytest.approx(speed * float(jolt["speed_kept"]), rel=0.02)
    assert float(up[soon]) == pytest.approx(float(jolt["rise_speed"]), rel=0.05)
    assert float(jolt["hop"]) == pytest.approx(float(jolt["rise_speed"]) ** 2 / (2 * 9.80665))


def test_jolt_beyond_the_axle_is_none():
    assert np.isnan(seam_jolt(0.046, np.array([0.024, -0.001]), 2.9, 9.8)["hop"]).all()


@pytest.mark.parametrize("lifted", [0, 1, 2])
@pytest.mark.parametrize("place", [-0.02, 0.03, 0.1])
def test_clearance_over_a_seam_by_the_line_through_both_contacts(lifted, place):
    """Height of the machine's floor line at the edge, from its two contacts, less the seam under it."""
    base, seam = 0.092, 0.002
    heights = {0: (0, 0), 1: (0, seam), 2: (seam, 0)}[lifted]
    line = np.polyfit([0, base], heights, 1)
    expected = 0.003 + np.polyval(line, place) - seam
    assert float(clearance_left(0.003, seam, base, place, lifted)["left"]) == pytest.approx(float(expected), abs=1e-12)


# ------------------------------------------------------------ gearboxes


def test_push_of_a_published_motor():
    push = wheel_push(1, 10.0, 0.4, 1000 * math.pi / 30, 1.0, 1.0, 1.0, 0.1)["force"]
    assert float(push) == pytest.approx(0.091673 / 0.05, rel=1e-4)


@pytest.mark.parametrize("efficiency", [0.5, 0.81, 1.0])
@pytest.mark.parametrize("motor_speed", [10.0, 900.0])
def test_gearbox_loses_its_share_of_the_power(efficiency, motor_speed):
    """Power out over power in, at any speed."""
    push = float(wheel_push(2, 6.0, 0.11, 256.56, 1.0, 22.0, efficiency, 0.046)["force"])
    out = push * motor_speed / 22 * 0.023
    assert out / (2 * (6.0 - 0.11) / 256.56 * motor_speed) == pytest.approx(efficiency)
    back = push_current(push, 2, 0.11, 256.56, 1.0, 22.0, efficiency, 0.046)["current"]
    assert float(back) == pytest.approx(6.0)


def test_gearboxes_outside_their_range():
    assert np.isnan(wheel_push(2, 6.0, 0.11, 256.56, 1.0, 22.0, np.array([0.0, 1.1]), 0.046)["force"]).all()
    assert float(wheel_push(2, 0.05, 0.11, 256.56, 1.0, 22.0, 0.8, 0.046)["force"]) == 0.0
    found = efficiency_estimate(np.array([0.5, 1.0, 4.0, 22.0, 100.0]))["stages"]
    assert np.isnan(found[0])
    assert found[1:].tolist() == [0, 1, 2, 3]  # one, two and three stages are what is sold at 4, 22 and 100: practice


# ------------------------------------------------------------ landings


@pytest.mark.parametrize("drop", [0.0, 0.01, 1.138])
def test_landing_followed_in_time(drop):
    """A mass falls onto a spring; greatest force of its motion."""
    mass, stiffness, gravity = 0.454, 9000.0, 9.80665

    def motion(_, state):
        return [state[1], gravity - stiffness * state[0] / mass]

    found = solve_ivp(motion, (0, 0.1), [0, math.sqrt(2 * gravity * drop)], rtol=1e-9, atol=1e-12, max_step=1e-4)
    force = float(landing_on_a_wheel(mass, gravity, drop, stiffness, 1.0)["force"])
    assert force == pytest.approx(stiffness * float(found.y[0].max()), rel=1e-4)


def test_shaft_by_its_greatest_stress_round_the_section():
    """Bending y / I and twist r / J on 720 points of the surface, von Mises; and moments about the near bearing."""
    force, overhang, diameter, friction, wheel, spacing = 300.0, 0.008, 0.003, 0.8, 0.046, 0.009
    at = np.linspace(0, 2 * math.pi, 721)
    inertia = math.pi * diameter**4 / 64
    bending = force * overhang * diameter / 2 * np.sin(at) / inertia
    twist = friction * force * wheel / 2 * diameter / 2 / (2 * inertia)
    found = wheel_shaft(force, overhang, diameter, friction, wheel, spacing)
    assert float(found["stress"]) == pytest.approx(float(np.sqrt(bending**2 + 3 * twist**2).max()), rel=1e-9)
    reactions = np.linalg.solve([[1, 1], [0, spacing]], [force, -force * overhang])
    assert float(found["bearing"]) == pytest.approx(float(reactions.max()))
    assert float(found["torque"]) == pytest.approx(friction * force * wheel / 2)
