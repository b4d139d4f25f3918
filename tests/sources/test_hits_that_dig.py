"""Hits through the book: what the bite lets the teeth give, against the rule followed in plain code and worked cases.

The worked cases are those of test_engagement.py, where a machine followed in small steps of time also tells how good
the rule is; here the book's quantities are held against a loop that knows nothing of arrays. R. Hill, The Mathematical
Theory of Plasticity, 1950, for the pressure, from memory; scipy for what slides, falls or is stopped by a spring.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from scaling.formulas import book

CHECKS = (
    "dig_pressure", "hit_impulse_first_tooth", "throw_height_first_tooth", "throw_height_bound", "throw_slide",
    "throw_slide_first_tooth", "throw_slide_bound", "hit_energy_given_first_tooth", "hit_energy_given_bound",
    "hit_energy_first_tooth", "hit_stopping_depth", "hit_energy_dug", "hit_teeth", "hit_stop_share",
    "hit_groove_depth", "hard_face_energy", "hard_face_energy_share", "hard_face_impulse", "hit_impulse_bound",
    "recoil_rise", "recoil_floor_force", "hit_energy_on_floor",
)

GRAVITY = 9.80665
PRESSURE = 74.2125e6
STRENGTH = 25e6  # 2.97 times it is the pressure
CLOSING = 2.91912

SMALL = {
    "mass": 0.454, "mass_limit": 0.454, "gravity": GRAVITY, "rotor.diameter": 0.084, "rotor.inertia": 6.08373e-5,
    "rotor.speed": 1359.14, "rotor.teeth": 2.0, "rotor.tooth_width": 0.008, "rotor.tooth_height": 0.009,
    "rotor.radial_share": 0.7, "opponent.armour_strength": STRENGTH, "opponent.restitution": 0.2,
    "opponent.friction": 0.6, "top_speed": CLOSING,
}
LARGE = SMALL | {"mass": 1.335, "mass_limit": 1.36, "rotor.diameter": 2 * 0.060514, "rotor.tooth_width": 0.011526,
                 "rotor.inertia": 3.7774e-4, "rotor.tooth_height": 0.012967}
LEVEL, UPRIGHT = ("rotor", "rotor.axis=across", "rotor.axis=level"), ("rotor", "rotor.axis=upright")


def read(names: tuple[str, ...], machine: dict[str, float], traits: tuple[str, ...] = LEVEL) -> dict[str, float]:
    found = book.evaluate(machine, frozenset(traits), only=names)
    return {name: float(found[name]) for name in names}


def plainly(machine: dict[str, float], most: float = math.inf, phases: int = 1000) -> dict[str, float]:
    """Means over the first depth of a hit followed tooth by tooth."""
    radius, width = machine["rotor.diameter"] / 2, machine["rotor.tooth_width"]
    inertia, own, other = machine["rotor.inertia"], machine["mass"], machine["mass_limit"]
    effective = 1 / (radius**2 / inertia + 1 / own + 1 / other)
    apart = 2 * math.pi / machine["rotor.teeth"]
    sums = dict.fromkeys(("impulse", "throw", "given", "dug", "teeth", "stopped", "groove"), 0.0)

    def area(depth: float) -> float:
        return radius**2 * math.acos(1 - depth / radius) - (radius - depth) * math.sqrt(2 * radius * depth - depth**2)

    for phase in range(phases):
        speed, closing = machine["rotor.speed"], CLOSING
        tip = first_tip = speed * radius
        depth = (phase + 0.5) / phases * apart * closing / speed
        groove, impulse, dug, teeth, stopped = 0.0, 0.0, 0.0, 0, 0
        while True:
            depth = min(depth, machine["rotor.tooth_height"])
            asked, has = PRESSURE * width * (area(depth) - area(groove)), effective * tip**2 / 2
            groove, teeth = depth, teeth + 1
            if asked >= has:
                impulse, dug, stopped = impulse + effective * (tip + 0.2 * first_tip), dug + has, 1
                break
            push = effective * (tip - math.sqrt(tip**2 - 2 * asked / effective))
            impulse, dug, tip = impulse + push, dug + asked, tip - push / effective
            speed -= push * radius / inertia
            closing -= machine["rotor.radial_share"] * push * (1 / own + 1 / other)
            if closing <= 0 or depth >= machine["rotor.tooth_height"] or teeth >= most:
                break
            depth += apart * closing / speed
        for name, value in (("impulse", impulse), ("throw", (impulse / other) ** 2 / (2 * GRAVITY)), ("dug", dug),
                            ("given", impulse**2 / (2 * other)), ("teeth", teeth), ("stopped", stopped),
                            ("groove", groove)):
            sums[name] += value / phases
    return sums


NAMES = {"impulse": "hit_impulse", "throw": "throw_height", "given": "hit_energy_given", "dug": "hit_energy_dug",
         "teeth": "hit_teeth", "stopped": "hit_stop_share", "groove": "hit_groove_depth"}


SPEEDS = [(SMALL, 1359.14), (LARGE, 943.319), (LARGE, 1132.298), (LARGE, 1359.14)]


@pytest.mark.parametrize(("machine", "speed"), SPEEDS)
def test_the_rule_in_plain_code(machine, speed):
    """A thousand places of the first tooth instead of 64: means within 1.5 %."""
    machine = machine | {"rotor.speed": speed}
    found, plain = read(tuple(NAMES.values()), machine), plainly(machine)
    for name, wanted in NAMES.items():
        assert found[wanted] == pytest.approx(plain[name], rel=1.5e-2, abs=1e-9), wanted
    single = plainly(machine, most=1)
    names = {"impulse": "hit_impulse_first_tooth", "throw": "throw_height_first_tooth",
             "given": "hit_energy_given_first_tooth", "dug": "hit_energy_first_tooth"}
    found = read(tuple(names.values()), machine)
    for name, wanted in names.items():
        assert found[wanted] == pytest.approx(single[name], rel=1e-2), wanted


@pytest.mark.parametrize(("share", "throw"), [(0.3, 1.04), (0.7, 0.98), (1.0, 0.91)])
def test_worked_throws(share, throw):
    """Worked out by a separate script, to two digits."""
    names = ("throw_height", "throw_height_first_tooth", "throw_height_bound")
    found = read(names, SMALL | {"rotor.radial_share": share})
    assert found["throw_height"] == pytest.approx(throw, abs=0.011)
    assert found["throw_height_first_tooth"] == pytest.approx(0.53, abs=0.006)
    assert found["throw_height_bound"] == pytest.approx(1.040, abs=1e-3)


def test_the_bound_stops_the_tip_at_once():
    """Worked by hand: 2.051 N s of 0.454 kg; J^2 / (2 M) is what that has."""
    found = read(("hit_impulse_bound", "hit_energy_given_bound"), SMALL)
    assert found["hit_impulse_bound"] == pytest.approx(2.051, abs=5e-4)
    assert found["hit_energy_given_bound"] == pytest.approx(2.051**2 / (2 * 0.454), rel=1e-3)


def test_digging_by_quadrature():
    """Hill's 2.97 S; the depth that takes all of 48.78 J and the mean over the first depth, by scipy."""
    names = ("dig_pressure", "hit_stopping_depth", "hit_energy_first_tooth", "hit_energy", "bite")
    found = read(names, SMALL)
    assert found["dig_pressure"] == pytest.approx(2.97 * STRENGTH, rel=1e-3)

    def work(depth: float) -> float:
        area, _ = quad(lambda x: 2 * math.sqrt(max(0.042**2 - x**2, 0.0)), 0.042 - depth, 0.042)
        return PRESSURE * 0.008 * area

    stop = brentq(lambda depth: work(depth) - found["hit_energy"], 1e-6, 0.02)
    assert found["hit_stopping_depth"] == pytest.approx(stop, rel=1e-4)
    mean, _ = quad(lambda u: min(work(u), found["hit_energy"]), 0, found["bite"], points=[stop])
    assert found["hit_energy_first_tooth"] == pytest.approx(mean / found["bite"], rel=1e-4)


def test_no_bite_gives_less_than_the_first_tooth_nor_more_than_the_bound():
    for strength in np.geomspace(1e6, 1e10, 9):
        names = ("throw_height_first_tooth", "throw_height", "throw_height_bound")
        found = read(names, LARGE | {"opponent.armour_strength": float(strength)})
        assert found["throw_height_first_tooth"] <= found["throw_height"] * (1 + 1e-9)
        assert found["throw_height"] <= found["throw_height_bound"] * (1 + 1e-9)


# ------------------------------------------------------------ sideways, down, and on the floor


def until_rest(start: float, slowing: Callable[[float, float], float]) -> float:
    """Way of a body that starts with a speed, until it stops."""
    stop: Callable[..., float] = lambda _, y: y[1]  # noqa: E731 - scipy asks for an attribute
    stop.terminal = True  # type: ignore[attr-defined]
    run = solve_ivp(lambda _, y: [y[1], -slowing(*y)], (0, 100), [0.0, start], events=stop, rtol=1e-10, atol=1e-12)
    return float(run.y[0][-1])


def test_an_upright_rotor_shoves_its_opponent_over_the_floor():
    """Followed in time with friction 0.6; on armour that does not give way every tooth gives the whole impulse."""
    names = ("throw_slide", "throw_slide_first_tooth", "throw_slide_bound", "throw_speed")
    found = read(names, SMALL | {"opponent.armour_strength": 1e20}, UPRIGHT)
    way = until_rest(found["throw_speed"], lambda _x, _v: 0.6 * GRAVITY)
    for name in names[:3]:
        assert found[name] == pytest.approx(way, rel=1e-6), name
    assert "throw_height" not in book.evaluate(SMALL, frozenset(UPRIGHT))
    assert "throw_slide" not in book.evaluate(SMALL, frozenset(LEVEL))


def test_teeth_that_go_down_lift_the_own_machine_and_teeth_that_rise_press_it_on_the_floor():
    """Free flight, and a mass that runs on a spring of 60 N/mm, followed in time."""
    machine = SMALL | {"landing.stiffness": 60e3}
    found = read(("recoil_rise", "recoil_speed"), machine, (*LEVEL, "rotor.spin=down"))
    assert found["recoil_rise"] == pytest.approx(until_rest(found["recoil_speed"], lambda _x, _v: GRAVITY), rel=1e-6)
    found = read(("recoil_floor_force", "recoil_speed"), machine, (*LEVEL, "rotor.spin=up"))
    press = until_rest(found["recoil_speed"], lambda x, _v: 60e3 * x / 0.454)
    assert found["recoil_floor_force"] == pytest.approx(60e3 * press, rel=1e-6)
    assert "recoil_rise" not in book.evaluate(machine, frozenset((*LEVEL, "rotor.spin=up")))
    assert "recoil_floor_force" not in book.evaluate(machine, frozenset((*LEVEL, "rotor.spin=down")))


def test_a_stiff_floor_behind_is_a_chassis_of_any_mass():
    """The eccentric impact with a chassis too heavy to move: Goldsmith, Impact, ch. 2, from memory."""
    heavy = read(("hit_energy",), SMALL | {"mass": 1e12})
    found = read(("hit_energy_on_floor",), SMALL, (*LEVEL, "rotor.spin=up"))
    assert found["hit_energy_on_floor"] == pytest.approx(heavy["hit_energy"], rel=1e-9)


# ------------------------------------------------------------ a face too hard to dig


def test_a_hard_face_turns_the_tooth_aside():
    """Worked by hand at a depth of 3.374 mm: 28.3 J, 0.580 of the whole hit; its impulse by the normal's mass.

    The depth of cut is twice that; a face of 2 kN/mm that gives way by it stores k u^2 / 2 = 11.4 J.
    """
    names = ("hard_face_energy", "hard_face_energy_share", "hard_face_impulse")
    hard = SMALL | {"contact_stiffness": 1e12}
    found = read(names, hard)
    assert found["hard_face_energy"] == pytest.approx(28.3, abs=0.05)
    assert found["hard_face_energy_share"] == pytest.approx(0.580, abs=1e-3)
    lever = math.sqrt(0.003374 * (0.084 - 0.003374))
    closing = 1359.14 * lever
    mass = 2 * 28.3 / closing**2
    assert found["hard_face_impulse"] == pytest.approx(1.2 * mass * closing, rel=2e-3)
    soft = read(names, hard | {"contact_stiffness": 2e6})
    assert soft["hard_face_energy"] == pytest.approx(2e6 * 0.003374**2 / 2, rel=1e-3)
