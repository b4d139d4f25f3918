"""Driving and turning against handbook formulas and against equations of motion solved by scipy.

Shortly cited: J. Y. Wong, Theory of Ground Vehicles (from memory); NHTSA, consumer information regulations, rollover
resistance, 65 FR 34998 (1 June 2000), seen. `solve_ivp` of scipy integrates the plain equations of motion, wheel by
wheel where the machine turns; it shares no code with the book. Agreement is stated at each check.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from scaling.formulas import book
from scaling.formulas.drive.turning import turn_on_the_spot

CHECKS = (
    "grip_force", "drive_drag", "traction_acceleration", "traction_force", "drive_push_margin", "push_margin",
    "top_speed_with_drag", "arena_crossing_time", "half_arena_crossing_time", "arena_end_speed", "stopping_distance",
    "reaction_distance", "arena_stop_share", "body_lengths_per_second", "froude_speed", "wheelie_acceleration",
    "wheelie_margin", "top_yaw_rate", "turning_inertia", "skid_moment",
    "skid_pull", "turn_pull_margin", "skid_yaw_rate", "yaw_response_time", "half_turn_time",
    "half_turn_time_rotor_stopped", "static_stability_factor",
    "side_tip_angle", "slide_margin",
)

G = 9.80665
PLAIN = {
    "mass": 1.0, "gravity": G, "wheel.friction": 0.7, "wheel.load_share": 1.0, "wheel.count": 4.0, "wheel.driven": 4.0,
    "wheel.rolling_resistance": 0.0, "wheel.skid_friction": 0.0,
}


def value(name: str, given: dict[str, float], traits: tuple[str, ...] = ()) -> float:
    return float(book.evaluate(given, frozenset(traits), only=[name])[name])


# Grip and static limits


def test_traction_limit_of_wong():
    """Wong, ch. 3: a = mu g; 0.7 gives 6.865 m/s2 at g = 9.80665."""
    assert value("traction_acceleration", PLAIN) == pytest.approx(6.865, abs=5e-4)
    assert value("traction_force", PLAIN) == pytest.approx(value("grip_force", PLAIN), rel=1e-12)


def test_rolling_resistance_comes_off_the_grip():
    """Wong, ch. 3: a = (mu - c_rr) g; 0.7 less 0.05 is 0.65 of g."""
    rolling = PLAIN | {"wheel.rolling_resistance": 0.05}
    assert value("traction_acceleration", rolling) == pytest.approx(0.65 * G, rel=1e-12)
    assert value("drive_drag", rolling) == pytest.approx(0.05 * G, rel=1e-12)


def test_only_the_driven_share_grips():
    """Coulomb: two of four driven wheels carry half the weight; on a skid the wheels carry their share."""
    assert value("traction_acceleration", PLAIN | {"wheel.driven": 2.0}) == pytest.approx(0.35 * G, rel=1e-12)
    two = PLAIN | {"wheel.count": 2.0, "wheel.driven": 2.0, "wheel.load_share": 0.7, "wheel.skid_friction": 0.2}
    assert value("grip_force", two) == pytest.approx(0.49 * G, rel=1e-12)
    assert value("drive_drag", two) == pytest.approx(0.06 * G, rel=1e-12)


def test_static_stability_factor_of_nhtsa():
    """NHTSA: T / (2 H); 1.5 m over 0.6 m gives 1.25, and a tilt table of atan 1.25 = 51.34 degrees."""
    given = {"track": 1.5, "cg_height": 0.6, "wheel.friction": 0.8}
    assert value("static_stability_factor", given) == pytest.approx(1.25, rel=1e-12)
    assert math.degrees(value("side_tip_angle", given)) == pytest.approx(51.34, abs=5e-3)
    # On tyres with more friction than the factor it tips before it slides: the plain meaning of the factor.
    assert value("slide_margin", given) > 1 > value("slide_margin", given | {"wheel.friction": 1.3})


def test_front_lifts_where_its_load_is_gone():
    """Statics by hand: the loads of both contacts from two balances, solved at the acceleration that the book gives."""
    given = {"gravity": G, "cg_ahead": 0.04, "cg_height": 0.03}
    limit = value("wheelie_acceleration", given)
    wheelbase, mass = 0.1, 0.5

    def front_load(acceleration: float) -> float:
        balance = np.array([[1.0, 1.0], [wheelbase, 0.0]])  # front and rear add to the weight; moments about the rear
        return float(np.linalg.solve(balance, [mass * G, mass * (G * 0.04 - acceleration * 0.03)])[0])

    assert front_load(limit) == pytest.approx(0.0, abs=1e-12)
    assert front_load(0.99 * limit) > 0 > front_load(1.01 * limit)
    margin = value("wheelie_margin", PLAIN | given)
    assert margin == pytest.approx(limit / (0.7 * G), rel=1e-12)


def test_ratios_in_round_numbers():
    """Arithmetic on round numbers: 2 m/s, 0.2 m long, 0.25 s, and the Froude number 1 at v^2 = g L."""
    given = {"top_speed": 2.0, "length": 0.2, "driver.reaction_time": 0.25, "gravity": G, "track": 0.1}
    assert value("body_lengths_per_second", given) == pytest.approx(10.0)
    assert value("reaction_distance", given) == pytest.approx(0.5)
    assert value("top_yaw_rate", given) == pytest.approx(40.0)
    assert value("froude_speed", given | {"top_speed": math.sqrt(G * 0.2)}) == pytest.approx(1.0, rel=1e-12)


def test_stopping_distance_is_that_of_the_equation_of_motion():
    """scipy: m dv/dt = -(grip + drag) until it stands; agreement 1e-6."""
    given = PLAIN | {"top_speed": 3.0, "wheel.rolling_resistance": 0.03}
    force = 1.0 * G * (0.7 + 0.03)
    stands = lambda _, state: state[1]  # noqa: E731
    stands.terminal = True  # type: ignore[attr-defined]
    run = solve_ivp(lambda _, state: [state[1], -force], (0, 10), [0.0, 3.0], events=stands, rtol=1e-10, atol=1e-12)
    assert value("stopping_distance", given) == pytest.approx(run.y[0, -1], rel=1e-6)
    whole = given | {"driver.reaction_time": 0.25, "arena.length": 2.4}
    assert value("arena_stop_share", whole) == pytest.approx((0.75 + run.y[0, -1]) / 2.4, rel=1e-6)


def test_push_contest_of_equals_is_a_draw():
    """Newton's third law: equal weight on equal tyres, all wheels driven, strong motors: neither moves the other."""
    given = PLAIN | {"mass_limit": 1.0, "drive_stall_force": 100.0, "drive_current_limited_force": 100.0}
    assert value("push_margin", given) == pytest.approx(1.0, rel=1e-12)
    assert value("push_margin", given | {"mass_limit": 2.0}) == pytest.approx(0.5, rel=1e-12)
    assert value("drive_push_margin", given) == pytest.approx(100.0 / (0.7 * G), rel=1e-12)


# The straight run

RUN = {
    "mass": 1.5, "top_speed": 4.0, "grip_force": 8.0, "drive_stall_force": 30.0, "drive_current_limited_force": 25.0,
    "drive_drag": 0.0, "arena.length": 2.5,
}


@pytest.mark.parametrize(
    "change",
    [{}, {"grip_force": 200.0}, {"grip_force": 200.0, "drive_current_limited_force": 12.0}, {"drive_drag": 1.5},
     {"arena.length": 0.2}, {"drive_stall_force": 5.0, "drive_drag": 0.4}, {"arena.length": 40.0},
     {"drive_stall_force": 8.0, "grip_force": 8.0}],
    ids=["grip", "motor", "limit", "drag", "short", "weak", "long", "corner"],
)
def test_run_across_the_arena_is_that_of_the_equation_of_motion(change):
    """scipy: m dv/dt = min(grip, limit, motor line) - drag with events at half and whole; agreement 1e-6."""
    given = RUN | change

    def rates(_, state):
        motor = given["drive_stall_force"] * (1 - state[1] / given["top_speed"])
        force = min(given["grip_force"], given["drive_current_limited_force"], motor)
        return [state[1], (force - given["drive_drag"]) / given["mass"]]

    half = lambda _, state: state[0] - given["arena.length"] / 2  # noqa: E731
    whole = lambda _, state: state[0] - given["arena.length"]  # noqa: E731
    run = solve_ivp(rates, (0, 60), [0.0, 0.0], events=[half, whole], rtol=1e-10, atol=1e-12, max_step=0.01)
    assert value("half_arena_crossing_time", given) == pytest.approx(run.t_events[0][0], rel=1e-6)
    assert value("arena_crossing_time", given) == pytest.approx(run.t_events[1][0], rel=1e-6)
    assert value("arena_end_speed", given) == pytest.approx(run.y_events[1][0][1], rel=1e-6)
    assert value("top_speed_with_drag", given) == pytest.approx(run.y[1, -1], rel=1e-6)


def test_drag_beyond_the_force_never_arrives():
    assert math.isnan(value("arena_crossing_time", RUN | {"drive_drag": 9.0}))


def test_small_robots_are_held_by_their_grip(demos):
    """Common practice, no source: at ordinary friction such machines slip to over nine tenths of their top speed."""
    fast = [demo for demo in demos if demo.design.has_rotor]
    assert fast
    for demo in fast:
        assert demo.study.reference["held_back_speed_share"] > 0.9
    # and then stronger motors hardly shorten the run
    stronger = value("arena_crossing_time", RUN | {"drive_stall_force": 600.0, "drive_current_limited_force": 600.0})
    twice = value("arena_crossing_time", RUN | {"drive_stall_force": 300.0, "drive_current_limited_force": 300.0})
    assert twice / stronger == pytest.approx(1.0, abs=0.01)


def test_a_rotor_slower_than_the_rush_loses_the_race():
    """Common practice, no source: a rotor that needs longer than an opponent's rush loses by it: margin below 1."""
    rush = value("half_arena_crossing_time", RUN)
    assert value("rush_margin", RUN | {"spin_up_time_80_energy": 2 * rush}) < 1
    assert value("rush_margin", RUN | {"spin_up_time_80_energy": rush / 2}) > 1


# Turning


@pytest.mark.parametrize(("wheels", "moment"), [(4.0, 6.867), (2000.0, 3.4335)], ids=["two axles", "even track"])
def test_turning_resistance_of_wong(wheels, moment):
    """Wong, ch. 6: mu W l / 4 for a track of even pressure; four wheels at the ends twice that. 10 kg, 0.7, 0.2 m.

    Two thousand wheels stand for the track: its sum is within 1 part in 1000 of the integral.
    """
    given = PLAIN | {
        "mass": 10.0, "gravity": 9.81, "wheelbase": 0.2, "cg_ahead": 0.1, "length": 0.3, "wheel.count": wheels,
        "wheel.driven": wheels,
    }
    assert value("skid_moment", given) == pytest.approx(moment, rel=1.1e-3)


@pytest.mark.parametrize("wheels", [4, 6, 8, 10, 12])
def test_turning_resistance_is_the_sum_over_the_axles(wheels):
    """Sum by hand of each axle's equal part of the weight times its distance from the middle."""
    at = np.linspace(-0.1, 0.1, wheels // 2)
    given = PLAIN | {"wheelbase": 0.2, "cg_ahead": 0.1, "length": 0.3, "wheel.count": float(wheels),
                     "wheel.driven": float(wheels)}
    assert value("skid_moment", given) == pytest.approx(0.7 * G * np.mean(np.abs(at)), rel=1e-12)


def test_inertia_in_yaw_is_that_of_a_box():
    """trimesh, an independent geometry library: inertia of a solid box of 0.2 x 0.15 x 0.06 m and 2 kg; 1e-9."""
    import trimesh

    box = trimesh.creation.box((0.2, 0.15, 0.06))
    box.density = 2.0 / box.volume
    given = {"mass": 2.0, "length": 0.2, "width": 0.15, "height": 0.06}
    assert value("turning_inertia", given) == pytest.approx(box.moment_inertia[2, 2], rel=1e-9)
    assert value("turning_inertia", given | {"yaw_inertia": 0.3}) == 0.3
    assert value("turning_inertia", given | {"rotor.hit_inertia": 0.2}, ("rotor", "rotor.axis=upright")) == 0.2


MACHINE = {
    "stall": 42.0, "limit": 47.0, "top": 1.714, "friction": 1.2, "mass": 0.5, "inertia": 8.1e-4, "length": 0.098,
    "track": 0.078, "wheelbase": 0.06, "ahead": 0.03, "share": 1.0, "skid": 0.0, "wheels": 4.0, "driven": 4.0,
}
TWO_WHEELS = MACHINE | {
    "top": 2.92, "friction": 0.8, "mass": 0.454, "inertia": 1.88e-3, "length": 0.165, "track": 0.126,
    "wheelbase": 0.092, "ahead": 0.0276, "share": 0.7, "skid": 0.2, "wheels": 2.0, "driven": 2.0,
}


def turned(machine: dict[str, float]) -> dict[str, float]:
    """What the book's model says of a turn on the spot."""
    order = ("stall", "limit", "top", "friction", "mass", "gravity", "inertia", "length", "track", "wheelbase", "ahead",
             "share", "skid", "wheels", "driven")
    given = machine | {"gravity": G}
    with np.errstate(all="ignore"):  # as the book does; what cannot be is NaN
        found = turn_on_the_spot(*(np.asarray(given[key]) for key in order))
    return {key: float(number) for key, number in found.items()}


def simulated(machine: dict[str, float], driven_axles: tuple[bool, ...] | None = None) -> tuple[float, float, float]:
    """Turn rate after 2 s, time to nine tenths of it, time of half a turn: the plane motion, wheel by wheel.

    Every wheel is a Coulomb contact whose force points against its slip (regularised under 0.2 mm/s), the sides'
    wheels have their own speeds on the motors' line and a tiny inertia, and the body is free in the plane.
    """
    pairs = int(machine["wheels"] / 2)
    base, ahead, half = machine["wheelbase"], machine["ahead"], machine["track"] / 2
    if pairs == 1:
        at, load = np.array([-(1 - machine["share"]) * base]), np.array([machine["share"]])
    else:
        at = np.linspace(-ahead, base - ahead, pairs)
        load = np.full(pairs, 1 / pairs) if pairs > 2 else np.array([1 - ahead / base, ahead / base])
    turning = np.array(driven_axles if driven_axles is not None else [True] * pairs)
    x, y = np.repeat(at, 2), np.tile([half, -half], pairs)
    grip = machine["friction"] * np.repeat(load, 2) / 2 * machine["mass"] * G
    powered, side = np.repeat(turning, 2), np.tile([0, 1], pairs)
    skid_at = machine["share"] * base
    skid_force = machine["skid"] * (1 - machine["share"]) * machine["mass"] * G
    wheel_mass, soft = 0.0005, 2e-4

    def motor(speed: float) -> float:
        return min(machine["limit"], machine["stall"] * (1 - speed / machine["top"])) / 2

    def rates(_, state):
        ahead_speed, across_speed, rate, _, left, right = state
        slip = np.where(powered, ahead_speed - rate * y - np.array([left, right])[side], 0.0)
        across = across_speed + rate * x
        size = np.sqrt(slip**2 + across**2 + soft**2)
        push, sideways = -grip * slip / size, -grip * across / size
        skid = np.array([ahead_speed, across_speed + rate * skid_at])
        skid = -skid_force * skid / math.hypot(*skid, soft)
        return [
            (push.sum() + skid[0]) / machine["mass"] + across_speed * rate,
            (sideways.sum() + skid[1]) / machine["mass"] - ahead_speed * rate,
            ((x * sideways - y * push).sum() + skid_at * skid[1]) / machine["inertia"],
            rate,
            (-motor(-left) - push[(side == 0) & powered].sum()) / wheel_mass,
            (motor(right) - push[(side == 1) & powered].sum()) / wheel_mass,
        ]

    run = solve_ivp(rates, (0, 2), [0, 0, 0, 0, -1e-6, 1e-6], method="LSODA", rtol=1e-7, atol=1e-9, dense_output=True)
    times = np.linspace(0, 2, 40001)
    found = run.sol(times)
    rate, angle = found[2], found[3]
    return rate[-1], times[np.argmax(rate >= 0.9 * rate[-1])], times[np.argmax(angle >= math.pi)]


@pytest.mark.parametrize(
    ("machine", "tolerance"),
    [
        (MACHINE, 0.005),
        (MACHINE | {"wheelbase": 0.09, "ahead": 0.045}, 0.005),
        (MACHINE | {"stall": 7.0}, 0.02),
        (MACHINE | {"limit": 5.5}, 0.02),
        (MACHINE | {"wheelbase": 0.09, "ahead": 0.03}, 0.02),
        (MACHINE | {"wheels": 6.0, "driven": 6.0, "wheelbase": 0.09, "ahead": 0.045}, 0.005),
        (TWO_WHEELS, 0.01),
        (TWO_WHEELS | {"skid": 0.0}, 0.01),
        (TWO_WHEELS | {"share": 1.0, "skid": 0.0}, 0.005),
    ],
    ids=["four wheels", "long", "weak motors", "current limit", "off centre", "six wheels", "skid", "slippery skid",
         "two wheels alone"],
)
def test_turn_on_the_spot_is_that_of_the_equations_of_motion(machine, tolerance):
    """scipy, wheel by wheel; agreement half a per cent, 2 % where the machine is weak or off its centre."""
    rate, response, half_turn = simulated(machine)
    found = turned(machine)
    assert found["rate"] == pytest.approx(rate, rel=tolerance)
    assert found["response"] == pytest.approx(response, rel=tolerance)
    assert found["half_turn"] == pytest.approx(half_turn, rel=tolerance)


def test_two_driven_wheels_of_four_turn_as_the_equations_of_motion_say():
    """scipy as above, the rear pair driven; the model spreads the drive over both axles: rate within 3 %."""
    machine = MACHINE | {"wheelbase": 0.044, "ahead": 0.022, "driven": 2.0}
    rate, _, _ = simulated(machine, driven_axles=(True, False))
    assert turned(machine)["rate"] == pytest.approx(rate, rel=0.03)


def test_book_gives_the_model_its_own_numbers():
    """The same machine through the book, whose grip, stall force and inertia come from design keys."""
    given = {
        "drive_stall_force": 42.0, "drive_current_limited_force": 47.0, "top_speed": 1.714, "wheel.friction": 1.2,
        "mass": 0.5, "gravity": G, "yaw_inertia": 8.1e-4, "length": 0.098, "track": 0.078, "wheelbase": 0.06,
        "cg_ahead": 0.03, "wheel.load_share": 1.0, "wheel.skid_friction": 0.0, "wheel.count": 4.0, "wheel.driven": 4.0,
    }
    rate, response, half_turn = simulated(MACHINE)
    assert value("skid_yaw_rate", given) == pytest.approx(rate, rel=0.005)
    assert value("yaw_response_time", given) == pytest.approx(response, rel=0.005)
    assert value("half_turn_time", given) == pytest.approx(half_turn, rel=0.005)
    assert value("half_turn_time_rotor_stopped", given, ("rotor.axis=across",)) == pytest.approx(half_turn, rel=0.005)
    # With a rotor across the slower of that and half a turn, pi, at the rate at which a side lifts.
    for rate in (2.0, 1e3):
        up = value("half_turn_time", given | {"gyro_lift_yaw_rate": rate}, ("rotor.axis=across",))
        assert up == pytest.approx(max(half_turn, math.pi / rate), rel=0.005)
    # Steady turn of four wheels by hand: the slip points along the diagonal, so the pull is mu W l / sqrt(l^2 + t^2).
    pull = 1.2 * 0.5 * G * 0.06 / math.hypot(0.06, 0.078)
    assert value("skid_pull", given) == pytest.approx(pull, rel=1e-9)
    assert value("turn_pull_margin", given) == pytest.approx(42.0 / pull, rel=1e-9)


def test_narrow_track_meets_wongs_full_moment():
    """Limit: as the track goes to nothing the tyres slide across alone, and the moment is the whole mu W l / 2."""
    machine = MACHINE | {"track": 1e-4, "stall": 1e6, "limit": 1e6}
    full = 1.2 * 0.5 * G * 0.06 / 2
    # Grip cannot turn it for good: the pull at full slip, mu W, times half of no track is below the moment.
    assert turned(machine)["pull"] == pytest.approx(1.2 * 0.5 * G, rel=1e-3)
    assert turned(machine)["pull"] * machine["track"] / 2 < full


def test_motors_that_cannot_drag_the_tyres_do_not_turn():
    assert turned(MACHINE | {"stall": 2.0})["rate"] == 0
    assert math.isnan(turned(MACHINE | {"stall": 2.0})["response"])
    assert turned(MACHINE | {"limit": 2.0})["rate"] == 0


def test_slower_or_grippier_never_turns_faster():
    """Sweep: the turn rate falls with the wheelbase and never passes that of wheels without slip, 2 v / track."""
    lengths = np.linspace(0.001, 0.4, 60)
    rates = np.array([turned(MACHINE | {"wheelbase": length, "ahead": length / 2})["rate"] for length in lengths])
    assert np.all(np.diff(rates) < 0)
    assert np.all(rates < 2 * MACHINE["top"] / MACHINE["track"])
    assert rates[0] == pytest.approx(2 * MACHINE["top"] / MACHINE["track"], rel=0.01)
