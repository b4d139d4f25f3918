"""Tipping and turning with the rotor up, against a rigid-body simulator, statics as a linear programme, and controls.

Independent routes: mujoco follows a machine with a spinning rotor about its outer wheels; scipy's linprog finds the
greatest moment that non-negative loads can balance, and the farthest turn that bounded couples and rates allow.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import linprog

from scaling.formulas import book
from scaling.formulas.gyro.rotor_up import facing_about, holding_levers, turn_at_limited_rate, wheels_down_rates
from scaling.formulas.gyro.tip import tip_over, yaw_couple

CHECKS = (
    "yaw_couple", "tip_over_time", "tip_over_turn", "holding_lever_left", "holding_lever_right",
    "wheels_down_rate_left_turn", "wheels_down_rate_right_turn", "half_turn_time_left", "half_turn_time_right",
    "half_turn_wait", "half_turn_stop_lead",
)

MASS, GRAVITY, HEIGHT, TRACK, SHARE = 0.454, 9.80665, 0.023, 0.126, 0.55
LEVER = SHARE * TRACK / 2
MOMENTUM, YAW, ROLL = 6.08373e-5 * 1359.136, 8.915e-4, 3.2946e-4
COUPLE = 0.8 * MASS * GRAVITY * SHARE * TRACK / 2

MODEL = """
<mujoco>
  <option gravity="0 0 -{gravity}" timestep="2e-5" integrator="RK4"/>
  <worldbody>
    <body name="yaw">
      <joint type="slide" axis="1 0 0"/><joint type="slide" axis="0 1 0"/>
      <joint name="yaw" type="hinge" axis="0 0 1"/>
      <inertial pos="0 0 0" mass="1e-6" diaginertia="1e-10 1e-10 1e-10"/>
      <body name="chassis">
        <joint name="roll" type="hinge" axis="1 0 0" pos="0 -{lever} 0"/>
        <inertial pos="0 0 {height}" mass="{chassis}" diaginertia="{roll} {pitch} {yaw}"/>
        <body name="rotor" pos="0 0 {height}">
          <joint name="spin" type="hinge" axis="0 1 0"/>
          <inertial pos="0 0 0" mass="0.092" diaginertia="{small} {inertia} {small}"/>
        </body>
      </body>
    </body>
  </worldbody>
</mujoco>
"""


def simulated(couple: float, lever: float = LEVER, momentum: float = MOMENTUM) -> tuple[float, float]:
    """Time and turn until the machine stands over the wheels that stay down, the yaw couple held."""
    import mujoco

    speed = 1359.136
    small = 0.6 * momentum / speed
    model = mujoco.MjModel.from_xml_string(MODEL.format(
        gravity=GRAVITY, lever=lever, height=HEIGHT, chassis=MASS - 0.092, roll=ROLL - small, pitch=8e-4,
        yaw=YAW - small, small=small, inertia=momentum / speed))
    data = mujoco.MjData(model)
    yaw, roll, spin = (model.joint(name).dofadr[0] for name in ("yaw", "roll", "spin"))
    data.qvel[spin], data.qfrc_applied[yaw] = speed, couple
    while data.qpos[roll] < math.atan2(lever, HEIGHT) and data.time < 5:
        mujoco.mj_step(model, data)
        if data.qpos[roll] < 0:  # the floor under the side that has not lifted yet
            data.qpos[roll], data.qvel[roll] = 0.0, 0.0
    return float(data.time), float(data.qpos[yaw])


def test_couple_of_the_wheels():
    """Grip 1.959 N at half a track of 63 mm: by hand 0.1234 N m; strong grip leaves the motors'."""
    assert float(yaw_couple(1.959, 41.0, TRACK)["couple"]) == pytest.approx(0.12342, rel=1e-4)
    assert float(yaw_couple(100.0, 41.0, TRACK)["couple"]) == pytest.approx(2.583, rel=1e-4)


def test_tipping_takes_what_the_simulator_says():
    """The computed case: bounds 0.56 s and 0.67 rad; simulated with the couple held 0.550 s and 0.69 rad."""
    time, turn = simulated(COUPLE)
    assert time == pytest.approx(0.550, abs=0.002)
    assert turn == pytest.approx(0.69, abs=0.01)
    found = tip_over(MOMENTUM, MASS, GRAVITY, LEVER, HEIGHT, COUPLE, YAW, 46.0)
    assert float(found["time"]) == pytest.approx(0.56, abs=0.005)
    assert float(found["turn"]) == pytest.approx(0.67, abs=0.005)
    assert float(found["time"]) == pytest.approx(time, rel=0.03)
    assert float(found["turn"]) == pytest.approx(turn, rel=0.04)


@pytest.mark.parametrize("momentum", [0.7, 1.3, 2.5])
@pytest.mark.parametrize("couple", [0.5, 2.0])
@pytest.mark.parametrize("lever", [0.7, 1.2])
def test_bounds_over_the_range_in_which_they_are_given(momentum, couple, lever):
    """No simulated machine is 6 % quicker than the time, or goes over by a turn 1 % less than the bound."""
    found = tip_over(MOMENTUM * momentum, MASS, GRAVITY, LEVER * lever, HEIGHT, COUPLE * couple, YAW, 1e3)
    if float(found["yaw_share"]) < 0.03:
        time, turn = simulated(COUPLE * couple, LEVER * lever, MOMENTUM * momentum)
        assert 0.94 * float(found["time"]) < time < 1.15 * float(found["time"])
        assert 0.99 * float(found["turn"]) < turn < 1.15 * float(found["turn"])
    else:
        assert math.isnan(found["time"])
        assert math.isnan(found["turn"])


def test_no_tipping_where_no_turn_lifts_a_side():
    slow = MASS * GRAVITY * LEVER / MOMENTUM
    rates = np.array([0.99, 1.01]) * slow
    assert np.isnan(tip_over(MOMENTUM, MASS, GRAVITY, LEVER, HEIGHT, COUPLE, YAW, rates)["turn"]).tolist() == [
        True, False]


def greatest_moment(contacts: list[tuple[float, float]], cg: tuple[float, float], sign: int) -> float:
    """Greatest roll moment (left up positive, times ``sign``) that contacts which only push can balance."""
    count = len(contacts)
    places = np.array(contacts)
    weight = MASS * GRAVITY
    # Loads N_i and moment M: sum N = W; sum N x = W x_g; sum N (y - y_g) + M = 0.
    balance = np.vstack([
        np.append(np.ones(count), 0), np.append(places[:, 0] - cg[0], 0), np.append(places[:, 1] - cg[1], 1.0),
    ])
    cost = np.append(np.zeros(count), -sign)
    found = linprog(cost, A_eq=balance, b_eq=[weight, 0, 0], bounds=[(0, None)] * count + [(None, None)])
    assert found.status == 0
    return float(sign * found.x[-1])


@pytest.mark.parametrize(
    ("skids", "cg_left"),
    [((0.0,), 0.0), ((0.02,), 0.0), ((-0.03,), 0.004), ((0.04, -0.04), 0.0), ((0.05, -0.01), -0.003),
     ((0.03, 0.01), 0.002)],
)
def test_levers_are_those_of_the_greatest_moments(skids, cg_left):
    base = 0.092
    ahead = (1 - SHARE) * base
    contacts = [(0.0, TRACK / 2), (0.0, -TRACK / 2), *((base, place) for place in skids)]
    found = holding_levers(TRACK, SHARE, max(skids), min(skids), cg_left)
    weight = MASS * GRAVITY
    assert float(found["lifts_left"]) * weight == pytest.approx(greatest_moment(contacts, (ahead, cg_left), 1))
    assert float(found["lifts_right"]) * weight == pytest.approx(greatest_moment(contacts, (ahead, cg_left), -1))


def test_wedgelets_out_by_40_mm_raise_lift_off_by_half():
    """By hand: (0.55 * 63 + 0.45 * 40) / (0.55 * 63) = 1.52."""
    pair = holding_levers(TRACK, SHARE, 0.04, -0.04, 0.0)
    middle = holding_levers(TRACK, SHARE, 0.0, 0.0, 0.0)
    assert float(pair["lifts_left"] / middle["lifts_left"]) == pytest.approx(1.52, abs=0.005)
    assert np.isnan(holding_levers(TRACK, SHARE, 0.0, 0.0, [0.0, 0.05, -0.05])["lifts_right"]).tolist() == [
        False, True, True]


def test_direction_that_lifts_a_side():
    """Right-hand rule, as simulated above: with H to the left (teeth go down at the front) a left turn lifts the left.

    The simulator's machine turns left (positive yaw) and rolls positively, left side up.
    """
    down = wheels_down_rates(MOMENTUM, MASS, GRAVITY, 0.03, 0.05, -1)
    assert float(down["left_turn"]) == pytest.approx(MASS * GRAVITY * 0.03 / MOMENTUM)
    up = wheels_down_rates(MOMENTUM, MASS, GRAVITY, 0.03, 0.05, 1)
    assert float(up["left_turn"]) == pytest.approx(float(down["right_turn"]))
    assert float(up["slower"]) == pytest.approx(float(up["right_turn"]))


@pytest.mark.parametrize(("angle", "limit"), [(math.pi, 1.866), (math.pi, 12.0), (math.pi, 60.0), (0.4, 3.0)])
def test_no_control_turns_farther_in_that_time(angle, limit):
    """The farthest turn from rest to rest with bounded couple and rate, as a linear programme over 400 instants."""
    found = turn_at_limited_rate(angle, 0.1234, YAW, limit)
    count, time = 400, float(found["time"])
    step, quickening = time / count, 0.1234 / YAW
    change = np.eye(count - 1, count) * -1 + np.eye(count - 1, count, 1)  # rates at instants, zero at both ends
    edge = np.zeros((2, count))
    edge[0, 0] = edge[1, -1] = 1
    most = linprog(
        -step * np.ones(count), A_ub=np.vstack([change, -change]),
        b_ub=np.full(2 * count - 2, quickening * step), A_eq=edge, b_eq=[0, 0], bounds=[(0, limit)] * count,
    )
    assert most.status == 0
    assert -most.fun == pytest.approx(angle, rel=0.01)
    assert float(found["peak_rate"]) == pytest.approx(float(most.x.max()), rel=0.01)
    stopping = most.x[int(np.argmax(most.x > 0.999 * most.x.max())) :][::-1]
    lead = step * sum(rate for rate in stopping if rate < 0.999 * most.x.max())
    assert float(found["lead"]) == pytest.approx(lead, rel=0.05, abs=2 * step * limit)


def test_facing_about_costs_what_the_slower_rate_costs():
    found = facing_about(0.1234, YAW, 31.5, 1.866, 2.8)
    assert float(found["left"]) == pytest.approx(math.pi / 1.866, rel=0.01)  # the design's own rule of thumb
    assert float(found["right"]) < float(found["left"])
    assert float(found["wait"]) == pytest.approx(float(found["right"] - found["rotor_stopped"]))
    assert float(facing_about(0.1234, YAW, 1.5, 1.866, 2.8)["wait"]) == 0.0


def test_no_couple_no_turn():
    assert np.isnan(turn_at_limited_rate(1.0, np.array([0.0, -1.0]), YAW, 2.0)["time"]).all()
    assert np.isnan(turn_at_limited_rate(1.0, 0.1, YAW, 0.0)["time"])


# ------------------------------------------------------------ the same through the book


def told(name: str, spin: str = "up", **more: float) -> float:
    """One quantity of the machine above; a dot of a key is written as two underscores."""
    given = {
        "mass": MASS, "gravity": GRAVITY, "track": TRACK, "wheel.load_share": SHARE, "cg_height": HEIGHT,
        "cg_left": 0.0, "wheel.skid_left": 0.0, "wheel.skid_right": 0.0, "turning_inertia": YAW, "top_yaw_rate": 46.0,
        "grip_force": 0.8 * MASS * GRAVITY * SHARE, "drive_stall_force": 41.0, "drive_current_limited_force": 30.0,
        "angular_momentum": MOMENTUM, "skid_moment": 0.0, "skid_yaw_rate": 31.5,
    } | {key.replace("__", "."): value for key, value in more.items()}
    traits = frozenset({"rotor", "rotor.axis=across", "rotor.axis=level", f"rotor.spin={spin}"})
    return float(book.evaluate(given, traits, only=[name])[name])


def test_couple_of_the_book():
    """By hand as above: grip 1.959 N at 63 mm; where the tyres grip without end the motors' 30 N."""
    assert told("yaw_couple") == pytest.approx(0.12342, rel=1e-3)
    assert told("yaw_couple", grip_force=1e3) == pytest.approx(30 * 0.063)


def test_bounds_of_the_book_against_the_simulator():
    time, turn = simulated(COUPLE)
    assert told("tip_over_time") == pytest.approx(time, rel=0.03)
    assert told("tip_over_turn") == pytest.approx(turn, rel=0.04)
    for name in ("tip_over_time", "tip_over_turn"):
        assert book.quantities[name].label.startswith("Not before")
        assert "lower bound" in book.quantities[name].assumes


@pytest.mark.parametrize("spin", ["up", "down"])
def test_levers_and_rates_of_the_book(spin):
    """The greatest moments of contacts that only push, one wedgelet out on the left, centre of gravity 3 mm left."""
    contacts = [(0.0, TRACK / 2), (0.0, -TRACK / 2), (0.092, 0.04), (0.092, 0.01)]
    cg = ((1 - SHARE) * 0.092, 0.003)
    where = {"wheel__skid_left": 0.04, "wheel__skid_right": 0.01, "cg_left": 0.003}
    most = {"left": greatest_moment(contacts, cg, 1), "right": greatest_moment(contacts, cg, -1)}
    weight = MASS * GRAVITY
    assert told("holding_lever_left", **where) == pytest.approx(most["left"] / weight)
    assert told("holding_lever_right", **where) == pytest.approx(most["right"] / weight)
    # Right-hand rule: teeth that go down lift the left side in a left turn, rising ones the right side.
    lifted = {"left": "left", "right": "right"} if spin == "down" else {"left": "right", "right": "left"}
    for way, side in lifted.items():
        name = f"wheels_down_rate_{way}_turn"
        assert told(name, spin, **where) == pytest.approx(most[side] / MOMENTUM)
        assert f"the {side} side lifts" in book.counted(
            frozenset({"rotor.axis=across", f"rotor.spin={spin}"}), book.variables | book.quantities)[name].assumes


def test_half_turns_of_the_book():
    """Uniformly quickened by 0.1234 / YAW to the rate, kept, and slowed alike, by hand."""
    quickening = COUPLE / YAW
    rates = {"left": MASS * GRAVITY * LEVER / MOMENTUM, "right": MASS * GRAVITY * (LEVER + 0.45 * 0.02) / MOMENTUM}
    where = {"wheel__skid_left": 0.0, "wheel__skid_right": -0.02}
    by_hand = {way: math.pi / rate + rate / quickening for way, rate in rates.items()}
    for way, time in by_hand.items():
        assert told(f"half_turn_time_{way}", **where) == pytest.approx(time, rel=1e-6)
    stopped = 2 * math.sqrt(math.pi / quickening)  # too short a turn to reach 31.5 rad/s
    assert told("half_turn_wait", **where) == pytest.approx(min(by_hand.values()) - stopped, rel=1e-6)
    assert told("half_turn_stop_lead", **where) == pytest.approx(min(rates.values()) ** 2 / 2 / quickening, rel=1e-6)
    assert math.isnan(told("half_turn_wait", skid_moment=1.0))
