"""Gyroscopic lift against a rigid-body simulation (mujoco): loads under the wheels while the turn quickens slowly.

The simulated machine stands on four feet, or two and a skid, and is turned by a carrier so heavy that nothing slows
it; its rotor is a body of its own on a hinge. None of the formulas is in it. Agreement: 2 % for lift-off by a disc, 5 %
for a bar's pulses and for tilting. x forward, y to the left, z up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import mujoco
import numpy as np
import pytest

from scaling.formulas import book

CHECKS = (
    "gyro_lift_yaw_rate", "pivot_lift_yaw_rate_moving_side",
    "pivot_lift_yaw_rate_stopped_side", "gyro_pulse_lift_yaw_rate", "gyro_pulse_frequency", "gyro_tyre_lift_yaw_rate",
    "gyro_pulse_passed", "tyre_roll_frequency", "gyro_fall_back_tilt",
    "nose_lift_yaw_rate", "tail_lift_yaw_rate", "nose_lift_margin", "tail_lift_margin",
    "spin_up_roll_margin", "pitch_lift_rate", "roll_lift_rate", "pitch_steer_rate",
    "torque_steer_yaw_rate",
)

GRAVITY = 9.80665
AXES = {"across": "0 1 0", "along": "1 0 0", "upright": "0 0 1"}
SPIN = {  # sense of the spin about x, y or z, by what the words mean
    ("across", "up"): -1, ("across", "down"): 1, ("along", "clockwise"): 1, ("along", "anticlockwise"): -1,
    ("upright", "clockwise"): -1, ("upright", "anticlockwise"): 1,
}


@dataclass(frozen=True)
class Machine:
    """What is simulated and what the formulas are given, in SI units."""

    axis: str = "across"
    spin: str = "up"
    mass: float = 1.5
    track: float = 0.2
    wheelbase: float = 0.16
    cg_ahead: float = 0.08
    cg_height: float = 0.03
    speed: float = 300.0
    inertia: float = 2e-3
    large: float = 1.1e-3
    small: float = 1.1e-3
    roll_inertia: float = 4e-3
    skid: bool = False

    @property
    def load_share(self) -> float:
        """Share of the weight on the two wheels, the skid in front."""
        return 1 - self.cg_ahead / self.wheelbase if self.skid else 1.0

    def formulas(self, shape: str = "disc", **more: float) -> dict[str, float]:
        given = {
            "mass": self.mass, "gravity": GRAVITY, "track": self.track, "wheelbase": self.wheelbase,
            "cg_ahead": self.cg_ahead, "cg_height": self.cg_height, "wheel.load_share": self.load_share,
            "wheel.count": 2.0 if self.skid else 4.0, "roll_inertia": self.roll_inertia, "rotor.speed": self.speed,
            "rotor.inertia": self.inertia, "rotor.transverse_inertia": self.large,
            "rotor.transverse_inertia_small": self.small, "rotor.motor.inertia": 0.0, "rotor.ratio": 1.0,
        } | {key.replace("__", "."): value for key, value in more.items()}
        traits = frozenset({"rotor", f"rotor.axis={self.axis}", f"rotor.spin={self.spin}", f"rotor.shape={shape}",
                            "rotor.transmission=hub"} | ({"rotor.axis=level"} if self.axis != "upright" else set()))
        return {name: float(value) for name, value in book.evaluate(given, traits).items()}

    def feet(self) -> list[tuple[float, float]]:
        rear, front, side = -self.cg_ahead, self.wheelbase - self.cg_ahead, self.track / 2
        rear_feet = [(rear, side), (rear, -side)]
        return [*rear_feet, (front, 0.0)] if self.skid else [*rear_feet, (front, side), (front, -side)]

    def rotor(self) -> str:
        """The rotor's body at the centre of gravity, a tenth of the mass; the chassis makes up the rest."""
        x, y, z = {"across": (self.large, self.inertia, self.small), "along": (self.inertia, self.large, self.small),
                   "upright": (self.large, self.small, self.inertia)}[self.axis]
        return (f'<body pos="0 0 {self.cg_height}"><joint name="spin" type="hinge" axis="{AXES[self.axis]}"/>'
                f'<inertial pos="0 0 0" mass="{self.mass / 10}" diaginertia="{x} {y} {z}"/></body>')

    def chassis(self) -> str:
        roll = self.roll_inertia - (self.large + self.small) / 2  # the rotor brings its own
        return (f'<inertial pos="0 0 {self.cg_height}" mass="{self.mass * 0.9}" '
                f'diaginertia="{roll} {max(0.008, roll)} {max(0.0105, roll)}"/>')


def world(body: str, options: str = 'timestep="0.0005"', more: str = "") -> tuple:
    text = f"""<mujoco><option gravity="0 0 {-GRAVITY}" integrator="RK4" {options}/>
      <default><geom condim="1" solref="0.002 1" solimp="0.99 0.999 0.0001"/></default>
      <worldbody><geom type="plane" size="5 5 1"/>{body}</worldbody>{more}</mujoco>"""
    model = mujoco.MjModel.from_xml_string(text)
    return model, mujoco.MjData(model)


def index(model, joint: str) -> int:
    return model.jnt_dofadr[mujoco.mj_name2id(model, mujoco.mjtObj.mjOBJ_JOINT, joint)]


CARRIER = 1e4
"""Inertia of the carrier that turns the machine, kg m^2: millions of times the machine's own."""


def on_carrier(machine: Machine, offset: float = 0.0) -> tuple:
    """The machine on feet without friction, turned about an upright axis; its middle ``offset`` to the left of that.

    What pulls it round acts at floor level, as the tyres' side force does.
    """
    feet = "".join(f'<geom name="foot{place}" type="sphere" size="0.005" mass="0" pos="{x} {y} 0.005"/>'
                   for place, (x, y) in enumerate(machine.feet()))
    return world(f"""<body><joint name="yaw" type="hinge" axis="0 0 1"/>
      <inertial pos="0 0 -1" mass="1" diaginertia="{CARRIER} {CARRIER} {CARRIER}"/>
      <body pos="0 {offset} 0"><joint type="slide" axis="0 0 1"/><joint name="roll" type="hinge" axis="1 0 0"/>
        <joint name="pitch" type="hinge" axis="0 1 0"/>{machine.chassis()}{feet}{machine.rotor()}</body></body>""")


def loads(model, data, count: int) -> np.ndarray:
    """Vertical force under each foot; geom 0 is the floor."""
    found, force = np.zeros(count), np.zeros(6)
    for place in range(data.ncon):
        mujoco.mj_contactForce(model, data, place, force)
        found[max(data.contact[place].geom) - 1] += force[0]
    return found


def first_lift(machine: Machine, groups: dict[str, list[int]], top: float, seconds: float, offset: float = 0.0,
               direction: int = 1) -> tuple[float, str]:
    """Turn rate at which a group of feet first bears nothing, and which group; the rate rises evenly to ``top``."""
    model, data = on_carrier(machine, offset)
    yaw, spin = index(model, "yaw"), index(model, "spin")
    data.qvel[spin] = SPIN[machine.axis, machine.spin] * machine.speed
    count = len(machine.feet())
    for _ in range(400):  # settle
        mujoco.mj_step(model, data)
    data.qfrc_applied[yaw] = direction * CARRIER * top / seconds
    while abs(data.qvel[yaw]) < top:
        mujoco.mj_step(model, data)
        under = loads(model, data, count)
        for name, feet in groups.items():
            if under[feet].sum() <= 0:
                return abs(data.qvel[yaw]), name
    raise AssertionError(f"nothing lifted up to {top} rad/s")


SIDES = {"left": [0, 2], "right": [1, 3]}
ENDS = {"tail": [0, 1], "nose": [2, 3]}


@pytest.mark.parametrize("spin", ["up", "down"])
@pytest.mark.parametrize("direction", [1, -1])
def test_four_wheels(spin, direction):
    """The whole weight holds down; teeth that rise at the front lift the outer side, the right one in a left turn."""
    machine = Machine(spin=spin)
    found = machine.formulas(top_yaw_rate=1.0)
    rate, side = first_lift(machine, SIDES, 4.0, 2.0, direction=direction)
    assert found["gyro_lift_yaw_rate"] == pytest.approx(rate, rel=0.02)
    outer = "right" if direction > 0 else "left"
    assert (side == outer) is (spin == "up")
    assert (found["left_turn_roll_moment"] > 0) is (spin == "down")
    assert abs(found["left_turn_roll_moment"]) == pytest.approx(found["gyro_torque"])
    assert "(spin up) lift the outer side" in book.quantities["gyro_lift_yaw_rate"].assumes


def test_two_wheels_and_a_skid():
    """Only the wheels' share of the weight holds down: three quarters here."""
    machine = Machine(skid=True, cg_ahead=0.04)
    assert machine.load_share == 0.75
    rate, side = first_lift(machine, {"left": [0], "right": [1]}, 4.0, 2.0)
    assert machine.formulas()["gyro_lift_yaw_rate"] == pytest.approx(rate, rel=0.02)
    assert side == "right"


@pytest.mark.parametrize(("spin", "direction", "lifts"), [
    ("up", 1, "moving"), ("up", -1, "stopped"), ("down", 1, "stopped"), ("down", -1, "moving"),
])
def test_turn_about_a_stopped_wheel(spin, direction, lifts):
    """About the left wheels: forward is a left turn. The side force lifts the stopped side and holds the moving one."""
    machine = Machine(spin=spin, cg_height=0.08, inertia=1.2e-3)
    found = machine.formulas()
    rate, side = first_lift(machine, SIDES, 9.0, 3.0, offset=-machine.track / 2, direction=direction)
    assert side == {"stopped": "left", "moving": "right"}[lifts]
    assert found[f"pivot_lift_yaw_rate_{lifts}_side"] == pytest.approx(rate, rel=0.02)
    assert abs(found["gyro_lift_yaw_rate"] / rate - 1) > 0.1  # the side force matters here
    way = "forward" if direction > 0 else "backward"
    teeth = "rise at the front" if spin == "up" else "go down there"
    assert f"{way} with teeth that {teeth}" in book.quantities[f"pivot_lift_yaw_rate_{lifts}_side"].assumes


BAR = {"speed": 25.0, "inertia": 0.05, "large": 0.0495, "small": 0.0005, "roll_inertia": 0.03}


def test_bar_on_stiff_wheels_pulses():
    """A slender bar first unloads a side near half the mean rate."""
    machine = Machine(**BAR)
    found = machine.formulas("bar")
    rate, _ = first_lift(machine, SIDES, 1.5, 12.0)
    assert found["gyro_pulse_lift_yaw_rate"] == pytest.approx(rate, rel=0.05)
    assert found["gyro_pulse_lift_yaw_rate"] / found["gyro_lift_yaw_rate"] == pytest.approx(0.5, abs=0.02)


@pytest.mark.parametrize("stiffness", [2e3, 1.2e4, 3e4, 6e4, 1e6])
def test_bar_on_tyres(stiffness):
    """Soft tyres give the mean rate, stiff ones half of it, and near resonance it is worse: rocking on springs and
    dampers, the force on one side from how far they give. Steady state at one turn rate; the moment goes as it."""
    machine, damping = Machine(**BAR | {"roll_inertia": 0.6}), 0.1
    found = machine.formulas("bar", wheel__tyre_stiffness=stiffness, wheel__tyre_damping=damping)
    rock = 4 * stiffness * (machine.track / 2) ** 2
    inertia = machine.roll_inertia + machine.mass * machine.cg_height**2
    damper = 2 * damping * math.sqrt(rock * inertia)
    model, data = world(f"""<body><joint name="yaw" type="hinge" axis="0 0 1"/>
      <inertial pos="0 0 -1" mass="1" diaginertia="{CARRIER} {CARRIER} {CARRIER}"/>
      <body><joint name="roll" type="hinge" axis="1 0 0" stiffness="{rock}" damping="{damper}"/>
      {machine.chassis()}{machine.rotor()}</body></body>""", f'timestep="{0.001 if stiffness < 1e5 else 0.0002}"')
    rate, yaw, roll, spin = 0.02, index(model, "yaw"), index(model, "roll"), index(model, "spin")
    data.qvel[yaw], data.qvel[spin] = rate, -machine.speed
    moments, pulses = [], []
    end = max(3.0, 12 / (damping * math.sqrt(rock / inertia)))
    while data.time < end:
        mujoco.mj_step(model, data)
        if data.time > end - 1.0:
            moments.append(rock * data.qpos[roll] + damper * data.qvel[roll])
            pulses.append((data.time, data.qpos[roll]))
    expected = machine.mass * GRAVITY * machine.track / 2 / (np.abs(moments).max() / rate)
    assert found["gyro_tyre_lift_yaw_rate"] == pytest.approx(expected, rel=0.05)
    if stiffness < 1e5:  # the beat, by counting the tilt's upward passes through its mean
        times, tilt = np.array(pulses).T
        passes = np.flatnonzero((tilt[1:] > tilt.mean()) & (tilt[:-1] <= tilt.mean()))
        beat = (len(passes) - 1) / (times[passes[-1]] - times[passes[0]])
        assert found["gyro_pulse_frequency"] == pytest.approx(beat, rel=0.02)


def test_tyres_limits():
    """The three regimes of the trade: mean rate on soft tyres, half on stiff ones, worse near resonance."""
    machine = Machine(**BAR)

    def share(stiffness):
        found = machine.formulas("bar", wheel__tyre_stiffness=stiffness, wheel__tyre_damping=0.05)
        return found["gyro_tyre_lift_yaw_rate"] / found["gyro_lift_yaw_rate"], found

    assert share(10.0)[0] == pytest.approx(1, abs=0.02)
    assert share(1e8)[0] == pytest.approx(0.5, abs=0.02)
    about_floor = machine.roll_inertia + machine.mass * machine.cg_height**2
    resonant = (2 * machine.speed) ** 2 * about_floor / machine.track**2
    worst, found = share(resonant)
    assert worst < 0.25
    assert found["tyre_roll_frequency"] == pytest.approx(found["gyro_pulse_frequency"], rel=1e-6)
    assert found["gyro_pulse_passed"] == pytest.approx(1 / (2 * 0.05), rel=0.01)  # Den Hartog's peak, from memory


def tilting(machine: Machine, rate: float, let_go: float = math.inf) -> tuple[float, float]:
    """Time to the balance tilt (infinite if it falls back) and the largest tilt, turning at ``rate`` until ``let_go``.

    It tilts about the left wheels, a hinge there; the feet on the right bear on the floor.
    """
    side = machine.track / 2
    feet = "".join(f'<geom type="sphere" size="0.005" mass="0" pos="{x} {-side} 0.005"/>' for x in (-0.08, 0.08))
    model, data = world(f"""<body><joint name="yaw" type="hinge" axis="0 0 1"/>
      <inertial pos="0 0 -1" mass="1" diaginertia="{CARRIER} {CARRIER} {CARRIER}"/>
      <body><joint name="roll" type="hinge" axis="1 0 0" pos="0 {side} 0"/>{machine.chassis()}{feet}{machine.rotor()}
      </body></body>""")
    yaw, roll, spin = index(model, "yaw"), index(model, "roll"), index(model, "spin")
    data.qvel[yaw], data.qvel[spin] = rate, -machine.speed
    balance, largest = math.atan(side / machine.cg_height), 0.0
    while data.time < 5.0:
        if data.time >= let_go:
            data.qvel[yaw] = 0.0
        mujoco.mj_step(model, data)
        tilt = -data.qpos[roll]  # the right side rises
        largest = max(largest, tilt)
        if tilt >= balance:
            return data.time, largest
        if largest > 0.001 and tilt < largest / 2:
            return math.inf, largest
    return math.inf, largest


TALL = Machine(cg_height=0.06, roll_inertia=8e-3, inertia=2e-3, speed=300.0)


def test_below_the_threshold_it_stays_down():
    _, largest = tilting(TALL, 0.9 * TALL.formulas()["gyro_lift_yaw_rate"])
    assert largest < 0.01


@pytest.mark.parametrize("rate_share", [0.2, 0.7])
def test_tilt_from_which_it_falls_back_while_turning(rate_share):
    """Started at rest a little below that tilt it comes down, a little above it goes over."""
    rate = rate_share * TALL.formulas()["gyro_lift_yaw_rate"]
    limit = TALL.formulas(top_yaw_rate=rate)["gyro_fall_back_tilt"]
    for start, falls in ((limit * 0.95, True), (limit * 1.05, False)):
        side = TALL.track / 2
        model, data = world(f"""<body><joint name="yaw" type="hinge" axis="0 0 1"/>
          <inertial pos="0 0 -1" mass="1" diaginertia="{CARRIER} {CARRIER} {CARRIER}"/>
          <body><joint name="roll" type="hinge" axis="1 0 0" pos="0 {side} 0"/>{TALL.chassis()}{TALL.rotor()}
          </body></body>""")
        data.qvel[index(model, "yaw")], data.qvel[index(model, "spin")] = rate, -TALL.speed
        data.qpos[index(model, "roll")] = -start
        while data.time < 0.05:
            mujoco.mj_step(model, data)
        assert bool(-data.qpos[index(model, "roll")] < start) is falls


@pytest.mark.parametrize(("spin", "direction", "lifts"), [
    ("clockwise", 1, "nose"), ("clockwise", -1, "tail"), ("anticlockwise", 1, "tail"), ("anticlockwise", -1, "nose"),
])
def test_rotor_along_the_machine(spin, direction, lifts):
    """A propeller clockwise seen from behind lifts the nose in a left turn: Khurmi & Gupta, ch. 14, from memory."""
    machine = Machine(axis="along", spin=spin, cg_ahead=0.06)
    rate, end = first_lift(machine, ENDS, 6.0, 3.0, direction=direction)
    assert end == lifts
    assert machine.formulas()[f"{lifts}_lift_yaw_rate"] == pytest.approx(rate, rel=0.02)


def reaction(axis: str, spin: str, motion: int) -> np.ndarray:
    """Torque about x, y, z with which a rotor of I omega = 1 turns its machine, turned at 1 rad/s about one of them."""
    model, data = world(f"""<body><joint type="hinge" axis="0 0 1"/><joint type="hinge" axis="0 1 0"/>
      <joint type="hinge" axis="1 0 0"/><inertial pos="0 0 0" mass="1" diaginertia="1e-9 1e-9 1e-9"/>
      <body><joint name="spin" type="hinge" axis="{AXES[axis]}"/>
      <inertial pos="0 0 0" mass="1" diaginertia="0.001 0.001 0.001"/></body></body>""", more="")
    sign = 1 if motion > 0 else -1
    data.qvel[3 - abs(motion)] = sign
    data.qvel[index(model, "spin")] = SPIN[axis, spin] * 1000.0
    mujoco.mj_inverse(model, data)
    return -data.qfrc_inverse[2::-1]


ROLL, PITCH, YAW = 1, 2, 3
RULES = [  # axis, spin, turned about, effect about, its sign, the words in the book under this name
    ("across", "up", YAW, ROLL, -1, "left_turn_roll_moment", "the right side, outer in a left turn, is lifted"),
    ("across", "up", ROLL, YAW, 1, "roll_steer_rate", "spun up, a left side that rises turns the machine to the left"),
    ("across", "down", ROLL, YAW, -1, "roll_steer_rate", "spun down to the right"),
    ("along", "clockwise", YAW, PITCH, -1, "nose_lift_yaw_rate", "clockwise seen from behind, in a left turn"),
    ("along", "anticlockwise", YAW, PITCH, 1, "tail_lift_yaw_rate", "anticlockwise, in a left one"),
    ("along", "clockwise", -PITCH, YAW, -1, "pitch_steer_rate",
     "clockwise seen from behind, a rising nose turns the machine to the right"),
    ("upright", "clockwise", -PITCH, ROLL, -1, "pitch_lift_rate",
     "clockwise seen from above, a rising nose lifts the right side"),
    ("upright", "clockwise", PITCH, ROLL, 1, "pitch_lift_rate", "a falling one the left"),
    ("upright", "clockwise", ROLL, PITCH, -1, "roll_lift_rate",
     "clockwise seen from above, a roll to the right lifts the nose"),
]


@pytest.mark.parametrize(("axis", "spin", "motion", "effect", "sign", "name", "words"), RULES)
def test_which_way(axis, spin, motion, effect, sign, name, words):
    """Positive about x lifts the left side, about y presses the nose, about z turns left."""
    torque = reaction(axis, spin, motion)
    assert torque[effect - 1] == pytest.approx(sign, rel=1e-6)
    texts = [entry.assumes for entry in book.entries if entry.name == name]
    assert any(words in text for text in texts)


@pytest.mark.parametrize(("axis", "motion", "effect", "name"), [
    ("upright", PITCH, ROLL, "pitch_lift_rate"), ("upright", ROLL, PITCH, "roll_lift_rate"),
    ("across", ROLL, YAW, "roll_steer_rate"), ("along", PITCH, YAW, "pitch_steer_rate"),
])
def test_rate_at_which_that_torque_is_too_much(axis, motion, effect, name):
    """The simulated torque at that rate is what the weight, or the tyres, hold: each by a sum over the wheels here."""
    machine = Machine(axis=axis, spin="up" if axis == "across" else "clockwise", cg_ahead=0.06)
    found = machine.formulas(wheel__friction=0.7)
    torque = abs(reaction(axis, machine.spin, motion)[effect - 1]) * machine.inertia * machine.speed * found[name]
    feet = np.array(machine.feet())
    weight = machine.mass * GRAVITY
    held = {
        ROLL: weight * np.abs(feet[:, 1]).min(),
        PITCH: weight * np.abs(feet[:, 0]).min(),
        YAW: 0.7 * weight / 4 * np.hypot(feet[:, 0] - feet[:, 0].mean(), feet[:, 1]).sum(),
    }
    assert torque == pytest.approx(held[effect], rel=1e-6)


def test_a_turn_does_nothing_to_an_upright_rotor():
    assert np.allclose(reaction("upright", "clockwise", YAW), 0, atol=1e-12)


def spun_up(machine: Machine, groups: dict[str, list[int]]) -> tuple[float, str]:
    """Torque on the rotor, rising slowly from rest, at which a group of feet first bears nothing, and which."""
    model, data = on_carrier(machine)
    count, spin = len(machine.feet()), index(model, "spin")
    for _ in range(400):
        mujoco.mj_step(model, data)
    while data.qfrc_applied[spin] ** 2 < 9:
        data.qfrc_applied[spin] += SPIN[machine.axis, machine.spin] * 5e-4
        data.qvel[spin] = 0.0  # still close to rest
        mujoco.mj_step(model, data)
        under = loads(model, data, count)
        for name, feet in groups.items():
            if under[feet].sum() <= 0:
                return abs(data.qfrc_applied[spin]), name
    raise AssertionError("nothing lifted")


@pytest.mark.parametrize(("axis", "spin", "groups", "lifts", "margin"), [
    ("across", "down", ENDS, "nose", "nose_lift_margin"), ("across", "up", ENDS, "tail", "tail_lift_margin"),
    ("along", "clockwise", SIDES, "right", "spin_up_roll_margin"),
    ("along", "anticlockwise", SIDES, "left", "spin_up_roll_margin"),
])
def test_spinning_up_turns_the_chassis_the_other_way(axis, spin, groups, lifts, margin):
    machine = Machine(axis=axis, spin=spin, cg_ahead=0.06)
    torque, lifted = spun_up(machine, groups)
    assert lifted == lifts
    found = machine.formulas(spin_up_start_acceleration=torque / machine.inertia)
    assert found["spin_up_reaction_torque"] == pytest.approx(torque, rel=1e-9)
    assert found[margin] == pytest.approx(1, rel=0.02)


def test_upright_rotor_spun_up_without_grip():
    """A free machine turns against its rotor until both angular momenta cancel."""
    machine = Machine(axis="upright", spin="clockwise", speed=200.0)
    model, data = world(f"""<body><joint name="yaw" type="hinge" axis="0 0 1"/>{machine.chassis()}{machine.rotor()}
      </body>""")
    yaw, spin = index(model, "yaw"), index(model, "spin")
    data.qfrc_applied[spin] = -0.5
    while data.qvel[spin] + data.qvel[yaw] > -machine.speed:  # the rotor's speed over the floor
        mujoco.mj_step(model, data)
    found = machine.formulas(turning_inertia=0.0105)
    assert data.qvel[yaw] == pytest.approx(found["torque_steer_yaw_rate"], rel=0.01)
