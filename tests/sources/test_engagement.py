"""A hit that digs, against a machine that is followed in time, hand computations, quadrature and conservation laws.

The computed checks were worked out by hand and by a separate script from the rule in the module's docstring. The
time-stepped machine knows none of it: two bodies and a turning rotor, and at each instant the chip between the tooth
and the groove that the teeth before it left.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from scaling.formulas.impact.dig import dig_area, dig_work, first_tooth_energy, stopping_depth
from scaling.formulas.impact.engagement import engagement, first_tooth, one_hit
from scaling.formulas.impact.hard_face import hard_face

GRAVITY = 9.80665
PRESSURE = 74.2125e6

SMALL = {"radius": 0.042, "tooth_width": 0.008, "inertia": 6.08373e-5, "mass": 0.454, "opponent_mass": 0.454}
LARGE = {"radius": 0.060514, "tooth_width": 0.011526, "inertia": 3.7774e-4, "mass": 1.335, "opponent_mass": 1.36}
COMMON = {"teeth": 2.0, "speed": 1359.14, "closing_speed": 2.91912, "pressure": PRESSURE, "restitution": 0.2,
          "gravity": GRAVITY}


def case(machine: dict[str, float], **changes: float) -> dict[str, float]:
    """Inputs of a central hit."""
    made = machine | COMMON | {"tooth_height": 1.0} | changes
    made["effective_mass"] = 1 / (made["radius"] ** 2 / made["inertia"] + 1 / made["mass"] + 1 / made["opponent_mass"])
    made["struck_mass"] = made["opponent_mass"]
    return made


# ------------------------------------------------------------ digging


@pytest.mark.parametrize("depth", [0.0, 1e-4, 0.004, 0.042, 0.06, 0.084])
def test_area_is_the_circle_past_the_face(depth):
    """Area of the circle beyond a straight line, by quadrature."""
    area, _ = quad(lambda x: 2 * math.sqrt(max(0.042**2 - x**2, 0)), 0.042 - depth, 0.042,
                   epsabs=0, epsrel=1e-10)
    assert float(dig_area(0.042, depth)) == pytest.approx(area, rel=1e-7, abs=1e-15)


def test_area_beyond_the_circle_and_before_the_face():
    assert float(dig_area(0.042, 0.2)) == pytest.approx(math.pi * 0.042**2)
    assert math.isnan(dig_area(0.042, -1e-6))


@pytest.mark.parametrize("energy", [1e-6, 0.1, 44.42, 500.0, 3000.0])
def test_stopping_depth_is_the_root(energy):
    root = brentq(lambda depth: float(dig_work(PRESSURE, 0.008, 0.042, depth)) - energy, 0, 0.084, xtol=1e-16)
    assert float(stopping_depth(energy, PRESSURE, 0.008, 0.042)) == pytest.approx(root, rel=1e-7)


def test_no_depth_takes_more_than_the_whole_circle():
    assert float(stopping_depth(3300.0, PRESSURE, 0.008, 0.042)) == math.inf


@pytest.mark.parametrize(("bite", "height"), [(0.002, 1.0), (0.0067, 1.0), (0.02, 1.0), (0.02, 0.009), (0.02, 0.002)])
def test_mean_of_the_first_tooth(bite, height):
    """Quadrature over its phase; and the shallow closed form E (1 - 0.6 b*/b), 0.4 W(b), within 2 % of it."""
    energy = 48.78
    stop = float(stopping_depth(energy, PRESSURE, 0.008, 0.042))
    mean, _ = quad(lambda u: min(float(dig_work(PRESSURE, 0.008, 0.042, min(u, height))), energy), 0, bite,
                   points=[value for value in (stop, height) if value < bite], limit=200)
    found = float(first_tooth_energy(energy, PRESSURE, 0.008, 0.042, height, bite)["energy"])
    assert found == pytest.approx(mean / bite, rel=1e-6)
    if height > bite:
        shallow = energy * (1 - 0.6 * stop / bite) if bite > stop else 0.4 * dig_work(PRESSURE, 0.008, 0.042, bite)
        assert found == pytest.approx(shallow, rel=0.02)


# ------------------------------------------------------------ computed hits


def test_second_tooth_stops_the_small_rotor():
    """Worked by hand: W_1 44.42 J, J_1 1.198 N s, sum 2.051 N s, throw 1.040 m."""
    given_ = case(SMALL, thrust=0.3)
    assert float(dig_work(PRESSURE, 0.008, 0.042, 0.003374)) == pytest.approx(44.42, abs=0.005)
    one = one_hit(0.003374, **case(SMALL, thrust=0.3, tooth_height=0.003374))
    assert float(one["impulse"]) == pytest.approx(1.198, abs=5e-4)
    found = one_hit(0.003374, **given_)
    assert float(found["impulse"]) == pytest.approx(2.051, abs=5e-4)
    assert float(found["throw"]) == pytest.approx(1.040, abs=1e-3)
    assert float(found["teeth"]) == 2.0
    assert float(found["stopped"]) == 1.0


def test_two_teeth_use_up_the_closing_of_the_large_machine():
    """Worked by hand: 77.11 + 216.0 J, J 1.006 + 5.051 N s, throw 1.011 m."""
    found = one_hit(0.003374, **case(LARGE, thrust=0.7))
    assert float(found["work"]) == pytest.approx(77.11 + 216.0, abs=0.02)
    assert float(found["impulse"]) == pytest.approx(1.006 + 5.051, abs=1e-3)
    assert float(found["throw"]) == pytest.approx(1.011, abs=1e-3)
    assert float(found["teeth"]) == 2.0
    assert float(found["stopped"]) == 0.0


def test_less_thrust_lets_the_large_rotor_give_all():
    """Worked by hand: 302.6 J, 2.149 m; as the tip stopped at once, (1 + e) m_e v (Goldsmith, ch. 2, from memory)."""
    found = one_hit(0.003374, **case(LARGE, thrust=0.3))
    assert float(found["work"]) == pytest.approx(302.6, abs=0.05)
    assert float(found["throw"]) == pytest.approx(2.149, abs=1e-3)
    whole = 1.2 * case(LARGE)["effective_mass"] * LARGE["radius"] * COMMON["speed"]
    assert float(found["impulse"]) == pytest.approx(whole, rel=1e-9)


PORTS = {"reference": (SMALL, 0.009, 1359.136), "tip speed held": (LARGE, 0.012967, 943.319),
         "gravity-similar": (LARGE, 0.012967, 1132.298), "same rpm": (LARGE, 0.012967, 1359.136)}


@pytest.mark.parametrize(
    ("name", "first", "weak", "middle", "strong"),
    [("reference", 0.53, 1.04, 0.98, 0.91), ("tip speed held", 0.53, 1.04, 0.98, 0.90),
     ("gravity-similar", 0.38, 1.49, 1.26, 1.05), ("same rpm", 0.07, 2.14, 0.64, 0.35)],
)
def test_mean_throws_of_one_machine_at_four_speeds(name, first, weak, middle, strong):
    """Worked out by a separate script, to two digits; thrust 0.3, 0.7 and 1."""
    machine, height, speed = PORTS[name]
    given_ = case(machine, tooth_height=height, speed=speed)
    found = engagement(**given_, thrust=np.array([0.3, 0.7, 1.0]))["throw"]
    assert found == pytest.approx([weak, middle, strong], abs=0.011)
    single = first_tooth(**{key: value for key, value in given_.items() if key not in ("inertia", "mass")})
    assert float(single["throw"]) == pytest.approx(first, abs=0.006)


# ------------------------------------------------------------ followed in time


class Followed:
    """A machine that drives a toothed rotor into an armour plate, in small steps of time; x along, y up.

    The plate remembers its groove on a grid of heights. Force on a tooth: pressure times width times the chip's
    radial thickness against its motion, ``thrust`` times that inwards.
    """

    def __init__(self, machine: dict[str, float], thrust: float, first: float, teeth: int = 2) -> None:
        self.given, self.thrust, self.teeth = machine, thrust, teeth
        speed, closing = machine["speed"], machine["closing_speed"]
        self.angle = -math.pi / 2
        self.own = np.array([first - closing * math.pi / 2 / speed, 0.0])
        self.other = np.array([machine["radius"], 0.0])  # the face's x, and the plate's y
        self.own_speed, self.other_speed, self.turning = np.array([closing, 0.0]), np.zeros(2), speed
        self.heights = np.linspace(-machine["radius"], machine["radius"], 4001)
        self.groove = np.zeros_like(self.heights)

    def run(self, step: float = 1e-6) -> float:
        """Upward impulse on the plate when the rotor is stopped in it or nothing is dug in a whole turn."""
        idle, apart = 0.0, 2 * math.pi / self.teeth
        while idle < 4 * math.pi:
            turned = (self.angle + math.pi) % apart
            place = -math.pi + turned + apart * np.arange(self.teeth)
            force = max((self.cut(float(at), step) for at in place if abs(at) < math.pi / 2), default=0.0)
            if force < 0:
                break
            self.own, self.other = self.own + step * self.own_speed, self.other + step * self.other_speed
            self.angle += step * self.turning
            idle = 0.0 if force > 0 else idle + step * self.turning
        return float(self.other_speed[1] * self.given["opponent_mass"])

    def cut(self, at: float, step: float) -> float:
        """Let the tooth at that angle cut for one step; returns its force, negative where it is stuck."""
        radius = self.given["radius"]
        tip = self.own + radius * np.array([math.cos(at), math.sin(at)])
        height = tip[1] - self.other[1]
        chip = (tip[0] - self.other[0] - np.interp(height, self.heights, self.groove)) * math.cos(at)
        if chip <= 0:
            return 0.0
        along = np.array([-math.sin(at), math.cos(at)])
        if self.turning * radius + (self.own_speed - self.other_speed) @ along <= 0:
            return -1.0
        force = self.given["pressure"] * self.given["tooth_width"] * chip
        push = force * (along + self.thrust * np.array([math.cos(at), math.sin(at)]))
        self.other_speed = self.other_speed + step * push / self.given["opponent_mass"]
        self.own_speed = self.own_speed - step * push / self.given["mass"]
        self.turning -= step * force * radius / self.given["inertia"]
        near = np.abs(self.heights - height) < self.turning * radius * step
        self.groove[near] = np.maximum(self.groove[near], tip[0] - self.other[0])
        return force


@pytest.mark.parametrize(
    ("name", "thrust", "within"),
    [("reference", 0.5, 0.05), ("tip speed held", 0.7, 0.1), ("gravity-similar", 0.5, 0.15), ("same rpm", 0.3, 0.2),
     ("same rpm", 0.7, 0.2)],
)
def test_followed_in_time(name, thrust, within):
    """Mean impulse over the phase; the rule's first tooth is nearly exact, later ones find the groove displaced."""
    machine, _, speed = PORTS[name]
    given_ = case(machine, speed=speed, thrust=thrust, restitution=0.0)
    firsts = (np.arange(8) + 0.5) / 8 * math.pi * given_["closing_speed"] / speed
    model = one_hit(firsts, **given_)["impulse"]
    followed = [Followed(given_, thrust, float(first)).run(4e-6) for first in firsts]
    assert np.mean(model) == pytest.approx(np.mean(followed), rel=within)


def test_with_much_thrust_the_rule_is_an_upper_estimate():
    """As said in ``engagement``: where thrust as large as the cut ends the closing, up to 1.7 times too much."""
    machine, _, speed = PORTS["gravity-similar"]
    given_ = case(machine, speed=speed, thrust=1.0, restitution=0.0)
    firsts = (np.arange(8) + 0.5) / 8 * math.pi * given_["closing_speed"] / speed
    model = np.mean(one_hit(firsts, **given_)["impulse"])
    followed = np.mean([Followed(given_, 1.0, float(first)).run(4e-6) for first in firsts])
    assert followed < model < 1.8 * followed


# ------------------------------------------------------------ laws that any hit obeys

SIZES = st.floats(-1.0, 1.0)


@given(SIZES, SIZES, SIZES, SIZES, st.floats(0.0, 1.5), st.floats(0.0, 1.0))
def test_energy_and_momentum(heavy, fast, closing, wide, thrust, restitution):
    """What is dug is no more than the hit's energy; no hit gives more than stopping the tip at once would.

    Energy of the relative motion before = dug + left; where the rotor is not stopped, J follows from what was dug.
    """
    given_ = case(SMALL, mass=0.454 * math.exp(heavy), speed=1359.14 * math.exp(fast), thrust=thrust,
                  closing_speed=2.9 * math.exp(2 * closing), tooth_width=0.008 * math.exp(wide), tooth_height=0.009,
                  restitution=restitution)
    tip = given_["speed"] * 0.042
    whole = given_["effective_mass"] * tip**2 / 2
    found = one_hit(0.5 * math.pi * given_["closing_speed"] / given_["speed"], **given_)
    most = (1 + restitution) * given_["effective_mass"] * tip
    assert float(found["work"]) <= whole * (1 + 1e-12)
    assert float(found["impulse"]) <= most * (1 + 1e-12)
    if found["stopped"]:
        assert float(found["impulse"]) == pytest.approx(most, rel=1e-9)
        assert float(found["work"]) == pytest.approx(whole, rel=1e-9)
    else:
        left = tip - float(found["impulse"]) / given_["effective_mass"]
        assert whole - given_["effective_mass"] * left**2 / 2 == pytest.approx(float(found["work"]), rel=1e-7)
        assert float(found["work"]) == pytest.approx(
            float(dig_work(PRESSURE, given_["tooth_width"], 0.042, found["depth"])), rel=1e-9)
    assert float(found["depth"]) <= 0.009 * (1 + 1e-12)
    assert float(found["energy_given"]) == pytest.approx(float(found["impulse"]) ** 2 / (2 * 0.454), rel=1e-12)


def test_first_tooth_takes_its_closed_mean():
    given_ = case(SMALL, tooth_height=0.009)
    single = first_tooth(**{key: value for key, value in given_.items() if key not in ("inertia", "mass")})
    closed = first_tooth_energy(given_["effective_mass"] * (1359.14 * 0.042) ** 2 / 2, PRESSURE, 0.008, 0.042, 0.009,
                                math.pi * 2.91912 / 1359.14)
    assert float(single["work"]) == pytest.approx(float(closed["energy"]), rel=1e-3)


def test_a_batch_is_its_designs_one_by_one():
    speeds = np.geomspace(300, 4000, 7)[:, None]
    thrusts = np.array([0.2, 0.6, 1.0])
    rest = {key: value for key, value in case(LARGE, tooth_height=0.013).items() if key != "speed"}
    batch = engagement(**rest, speed=speeds, thrust=thrusts)
    assert batch["throw"].shape == (7, 3)
    for row, speed in enumerate(speeds[:, 0]):
        for column, thrust in enumerate(thrusts):
            alone = engagement(**rest, speed=speed, thrust=thrust)
            for name, values in batch.items():
                assert float(alone[name]) == pytest.approx(float(values[row, column]), rel=1e-12), name


def test_many_shallow_teeth_are_followed_to_their_end():
    """Many teeth are one slow cut: dv and dc both follow the dug area, so D ends where c = k_t (1/m + 1/M) J."""
    given_ = case(LARGE, tooth_height=0.013, speed=9000.0, thrust=1.0, closing_speed=0.2)
    braking = 1 / given_["mass"] + 1 / given_["opponent_mass"]
    found = one_hit(1e-6, **given_)
    assert float(found["impulse"]) == pytest.approx(0.2 / braking, rel=0.01)
    assert float(found["teeth"]) > 20


@pytest.mark.parametrize("key", ["radius", "teeth", "closing_speed", "pressure", "gravity"])
def test_undefined_inputs_give_no_number(key):
    found = engagement(**(case(SMALL, tooth_height=0.009) | {key: np.array([0.0, -1.0, case(SMALL)[key]])}), thrust=0.5)
    assert np.isnan(found["throw"]).tolist() == [True, True, False]


def test_greatest_force_is_that_of_the_full_bite():
    """p w b of the first tooth, or more where a slowed rotor lets the next come deeper."""
    found = engagement(**case(SMALL, tooth_height=0.009), thrust=0.7)
    assert float(found["force"]) == pytest.approx(PRESSURE * 0.008 * math.pi * 2.91912 / 1359.14, rel=1e-3)


# ------------------------------------------------------------ a hard face


def test_hard_face_turns_the_tooth_aside():
    """Worked by hand: 28.3 J, 0.580 of the whole hit's."""
    found = hard_face(0.042, 6.08373e-5, 1359.14, 0.454, 0.454, 0.003374, np.inf, 0.2)
    assert float(found["energy"]) == pytest.approx(28.3, abs=0.05)
    assert float(found["share"]) == pytest.approx(0.580, abs=5e-4)


@pytest.mark.parametrize("stiffness", [3e6, 3e7])
def test_hard_face_in_time(stiffness):
    """Own machine, its rotor and an opponent with a spring on its face, as equations of motion along the normal."""
    from scipy.integrate import solve_ivp

    radius, inertia, speed, mass, depth = 0.042, 6.08373e-5, 1359.14, 0.454, 0.003374

    def motion(_, state):
        angle, turning, own, own_speed, other, other_speed = state
        into = own + radius * math.cos(angle) - other - (radius - depth)
        force = stiffness * max(into, 0.0)
        return [turning, force * radius * math.sin(angle) / inertia, own_speed, -force / mass, other_speed,
                force / mass]

    start = -math.acos(1 - depth / radius)
    found = solve_ivp(motion, (0, 2 * -start / speed), [start, speed, 0, 0, 0, 0], rtol=1e-9, atol=1e-12, max_step=1e-6)
    into = found.y[2] + radius * np.cos(found.y[0]) - found.y[4] - (radius - depth)
    stored = stiffness * max(into.max(), 0.0) ** 2 / 2
    model = float(hard_face(radius, inertia, speed, mass, mass, depth, stiffness, 0.0)["energy"])
    # Stiff: nearly at the angle of first touch; soft: the tooth passes, and no more than k u^2 / 2 was stored.
    assert stored <= model * 1.001
    assert stored > (0.7 if stiffness > 1e7 else 0.5) * model


def test_hard_face_outside_its_range():
    depths = np.array([0.0, -1e-3, 0.042, 0.05])
    found = hard_face(0.042, 6.08373e-5, 1359.14, 0.454, 0.454, depths, np.inf, 0.2)["share"]
    assert np.isnan(found).tolist() == [True, True, False, True]
    assert found[2] == pytest.approx(1.0)  # to the axle: square on the tooth, the whole hit
