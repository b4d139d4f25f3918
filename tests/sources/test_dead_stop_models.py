"""A dead stop's heat and a soft motor mount, against heat conduction in steps and equations of motion.

Independent routes: belt and pulley cut around their arc and in depth, conduction by finite differences, one body
turning under the other; and scipy's solve_ivp on a motor that turns and moves on its mount between two spans that
cannot push.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from dead_belt import on_a_mount

from scaling.formulas import book
from scaling.formulas.transmission.soft_mount import toothed_stop
from scaling.formulas.transmission.stop_heat import slip_temperature_rise

CHECKS = ("belt_slip_contact_area", "belt_slip_heat_flow", "belt_slip_temperature_rise")

ALUMINIUM, TITANIUM, NYLON, RUBBER = (172.0, 2.4e6), (6.7, 2.35e6), (0.25, 1.8e6), (0.2, 2.0e6)


def conducted(
    flow: float, time: float, wrap: float, speed: float, pulley: tuple[float, float], belt: tuple[float, float],
    uneven: float = 0.0, slots: int = 40,
) -> float:
    """Greatest rise between belt and pulley; the pulley turns slot by slot, slowing down evenly to rest.

    In contact both surfaces have one temperature and share the heat; ``uneven`` is the exponent of the capstan's
    pressure over the arc as the pulley passes it, falling from the tight span on, its mean one. Explicit finite
    differences, each body with its own depth step.
    """
    arc = round(wrap / (2 * math.pi) * slots)
    depths = [math.sqrt(k / c * time) for k, c in (pulley, belt)]
    cells = 60
    steps = [5 * depth / cells for depth in depths]
    pace = min(step**2 * c / k for step, (k, c) in zip(steps, (pulley, belt), strict=True)) / 2.5
    count = math.ceil(time / pace)
    pace = time / count
    bodies = [np.zeros((slots, cells)), np.zeros((arc, cells))]
    places = (np.arange(arc) + 0.5) / arc
    share = np.exp(uneven * places)
    share /= share.mean()
    half = [c * step / 2 for step, (_, c) in zip(steps, (pulley, belt), strict=True)]
    hottest = 0.0
    for number in range(count):
        now = number * pace
        angle = speed * (now - now**2 / (2 * time))
        under = (np.arange(arc) - int(angle / (2 * math.pi) * slots)) % slots
        into = []
        for body, step, (k, c) in zip(bodies, steps, (pulley, belt), strict=True):
            inner = k * (body[:, 1] - body[:, 0]) / step
            body[:, 1:-1] += pace * k / c / step**2 * (body[:, 2:] - 2 * body[:, 1:-1] + body[:, :-2])
            into.append(inner)
        warm, rubbed = bodies[0][:, 0] + pace * into[0] / half[0], bodies[1][:, 0] + pace * into[1] / half[1]
        joined = (half[0] * warm[under] + half[1] * rubbed + pace * flow * (1 - now / time) * share) / sum(half)
        bodies[0][:, 0], bodies[1][:, 0] = warm, joined
        bodies[0][under, 0] = joined
        hottest = max(hottest, float(joined.max()))
    return hottest


REFERENCE = {"flow": 17.88385e6, "time": 0.01772818, "wrap": 2.966369, "speed": 2174.618}


def formula(flow: float, time: float, wrap: float, speed: float, pulley: tuple[float, float],
            belt: tuple[float, float]) -> float:
    return float(slip_temperature_rise(flow, time, wrap, speed, *pulley, *belt)["rise"])


def test_scheme_gives_the_half_space_of_carslaw_and_jaeger():
    """A pulley that is all wrapped, an even flow's start: T = 2 q sqrt(t / pi) / e, less what the fall takes off.

    With the flow falling to nothing the greatest rise is 2 sqrt(2) / 3 q sqrt(t / pi) / (e_p + e_b).
    """
    effusivity = math.sqrt(172 * 2.4e6) + math.sqrt(0.2 * 2e6)
    exact = 2 * math.sqrt(2) / 3 * 1e7 * math.sqrt(0.02 / math.pi) / effusivity
    assert conducted(1e7, 0.02, 2 * math.pi, 500.0, ALUMINIUM, RUBBER, slots=4) == pytest.approx(exact, rel=0.02)
    assert formula(1e7, 0.02, 2 * math.pi, 500.0, ALUMINIUM, RUBBER) == pytest.approx(exact, rel=1e-9)


def test_rise_of_a_round_belt_at_a_dead_stop():
    """The computed case: by the formula 42.6 K, numerically 41.4 with even rubbing and 46.8 with the capstan's."""
    found = formula(**REFERENCE, pulley=ALUMINIUM, belt=RUBBER)
    assert found == pytest.approx(42.6, rel=0.01)
    even = conducted(**REFERENCE, pulley=ALUMINIUM, belt=RUBBER)
    assert even == pytest.approx(41.4, rel=0.03)
    assert found == pytest.approx(even, rel=0.05)
    capstan = conducted(**REFERENCE, pulley=ALUMINIUM, belt=RUBBER, uneven=-math.log(35.15))
    assert capstan == pytest.approx(46.8, rel=0.03)
    assert capstan < 1.17 * found


@pytest.mark.parametrize("pulley", [ALUMINIUM, TITANIUM, NYLON])
@pytest.mark.parametrize(("wrap", "time"), [(2.1, 0.03), (2.97, 0.012), (3.9, 0.06)])
def test_rise_over_materials_wraps_and_times(pulley, wrap, time):
    even = conducted(1e6, time, wrap, 2000.0, pulley, RUBBER)
    assert formula(1e6, time, wrap, 2000.0, pulley, RUBBER) == pytest.approx(even, rel=0.12)


def test_a_short_slip_is_one_passage():
    """Under a third of a turn: the point that starts at the arc's entry is rubbed all the time."""
    found = formula(1e7, 0.001, 3.0, 1000.0, ALUMINIUM, RUBBER)
    assert found == pytest.approx(conducted(1e7, 0.001, 3.0, 1000.0, ALUMINIUM, RUBBER, slots=120), rel=0.05)


def test_wrap_beyond_a_turn_is_none():
    wraps = np.array([0.0, -1.0, 3.0, 7.0])
    assert np.isnan(slip_temperature_rise(1e6, 0.01, wraps, 2000.0, *ALUMINIUM, *RUBBER)["rise"]).tolist() == [
        True, True, False, True]


def test_rise_of_the_book_is_the_conducted_one():
    """The main case through the book: 50.56 N at the slip limit, 26 N at rest, 4 mm of round belt, half rubbing."""
    given = {
        "belt_slip_limit_tension": 50.561574, "rotor.belt.tension": 26.0, "belt_slip_time": REFERENCE["time"],
        "rotor.motor.inertia": 2.8224e-6, "rotor.belt.pulley_diameter": 0.014, "belt_wrap": REFERENCE["wrap"],
        "rotor.speed": REFERENCE["speed"] / 1.6, "rotor.ratio": 1.6, "rotor.belt.width": 0.004,
        "rotor.belt.contact_share": 0.5, "rotor.belt.pulley.conductivity": 172.0,
        "rotor.belt.pulley.heat_capacity": 2.4e6, "rotor.belt.conductivity": 0.2, "rotor.belt.heat_capacity": 2.0e6,
        "belt_slip_work": 6.583,
    }
    found = book.evaluate(given, frozenset(), only=list(CHECKS))
    # By hand: an arc of 7 mm times 2.966, 2 mm wide; F v / A with the pull of both spans at the motor's first speed.
    assert float(found["belt_slip_contact_area"]) == pytest.approx(0.007 * 2.966 * 0.002, rel=1e-3)
    first = 2 * (50.561574 - 26.0) * REFERENCE["speed"] * 0.007 / float(found["belt_slip_contact_area"])
    assert float(found["belt_slip_heat_flow"]) == pytest.approx(first, rel=0.02)  # the spans store 1.3 % of the energy
    even = conducted(**REFERENCE, pulley=ALUMINIUM, belt=RUBBER)
    assert float(found["belt_slip_temperature_rise"]) == pytest.approx(even, rel=0.05)


# ------------------------------------------------------------ a motor on its mount


MOTOR = {"inertia": 2.8224e-6, "speed": 2174.618, "radius": 0.007, "mass": 0.036, "rest": 26.0}
SPAN = 40e3 * 6692.335 / 320


def stop(span: float, mount: float, **changes: float) -> tuple[float, float]:
    motor = MOTOR | changes
    found = toothed_stop(motor["inertia"], motor["speed"], 2 * motor["radius"], span, mount, motor["mass"],
                         motor["rest"])
    return float(found["tension"]), float(found["mount_force"])


def test_soft_mount_under_a_stiff_belt():
    """The computed case, EA 40 kN: formula 2072 N; followed 2137 N; at 1.5 kN/mm 2220 N, and 3864 N on the mount."""
    assert stop(SPAN, 2e5)[0] == pytest.approx(2072, abs=1)
    assert on_a_mount(**MOTOR, span=SPAN, mount=5e5)[0] == pytest.approx(2137, rel=2e-3)
    assert on_a_mount(**MOTOR, span=SPAN, mount=2e5)[0] == pytest.approx(2137, rel=0.011)
    assert on_a_mount(**MOTOR, span=SPAN, mount=1.5e6) == pytest.approx((2220, 3864), rel=2e-3)
    assert stop(SPAN, 1.5e6)[1] == pytest.approx(3864, rel=0.02)


@pytest.mark.parametrize("stretching", [2e3, 10e3, 40e3])
@pytest.mark.parametrize("mount", [5e4, 2e5, 5e5, 1.5e6, 5e6, 2e7])
@pytest.mark.parametrize("rest", [10.0, 26.0, 100.0])
def test_followed_over_belts_mounts_and_tensions(stretching, mount, rest):
    span = stretching * SPAN / 40e3
    tension, force = on_a_mount(**MOTOR | {"rest": rest}, span=span, mount=mount)
    found = stop(span, mount, rest=rest)
    assert 0.89 < found[0] / tension < 1.27
    assert 0.86 < found[1] / force < 1.3


def test_stiff_mount_leaves_the_bare_span():
    """J. P. Den Hartog's mass on a spring, from memory: v sqrt(k M)."""
    assert stop(SPAN, math.inf, rest=0.0) == pytest.approx((2174.618 * math.sqrt(SPAN * 2.8224e-6),) * 2, rel=1e-9)


def test_a_heavy_motor_is_a_stiff_mount():
    assert stop(SPAN, 1e3, mass=1e6, rest=0.0)[0] == pytest.approx(
        2174.618 * math.sqrt(SPAN * 2.8224e-6), rel=1e-6)
