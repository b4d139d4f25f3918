"""Gyroscopic couple: textbook problems with their published answers, moments by hand, and how much wider.

R. S. Khurmi & J. K. Gupta, Theory of Machines, ch. 14, as worked in a published companion of code (the book itself from
memory): 0.7 % against the printed answers, whose steps are rounded by hand; 1e-6 against I omega omega_p.
"""

from __future__ import annotations

import math

import pytest

from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.formulas.rotor.motion import derive
from scaling.shop.shelves import Shelves

CHECKS = (
    "gyro_torque", "left_turn_roll_moment", "gyro_margin", "gyro_margin_with_losses", "pivot_margin_moving_side",
    "pivot_margin_stopped_side", "gyro_pulse_margin", "gyro_widening_ratio", "gyro_track_needed",
    "gyro_track_needed_same_turn", "rolling_inertia", "spin_up_load_shift", "tyre_turn_torque", "torque_steer_margin",
    "torque_steer_drive_margin", "yaw_pitch_margin", "roll_steer_rate", "spin_up_reaction_torque",
)

RPM = math.pi / 30
KMH = 1 / 3.6


def evaluate(given, *traits):
    found = book.evaluate(given, frozenset({"rotor", *(f"rotor.{trait}" for trait in traits)}))
    return {name: float(value) for name, value in found.items()}


# Mass (kg), radius of gyration (m), rpm, turn rate (rad/s), published couple (N m).
PROBLEMS = {
    "disc that hangs from a cord, ex. 14.1": (5, 0.15 / math.sqrt(2), 300, 16.7, 5 * 9.81 * 0.6),
    "disc on a shaft, ex. 14.2": (5, 0.075 / math.sqrt(2), 1000, 60 * RPM, 9.2528),
    "aeroplane engine, ex. 14.3": (400, 0.3, 2400, 200 * KMH / 50, 10046),
    "ship's turbine of 8 t": (8000, 0.6, 1800, 100 * KMH / 75, 200866),
    "ship's turbine of 3500 kg": (3500, 0.45, 3000, 36 * KMH / 100, 22270),
    "ship's flywheel": (1, math.sqrt(3.8e3), 300, 36 * KMH / 200, 6000),
}


@pytest.mark.parametrize("problem", PROBLEMS)
def test_published_couples(problem):
    mass, gyration, rpm, turn, couple = PROBLEMS[problem]
    given = {"rotor.inertia": mass * gyration**2, "rotor.speed": rpm * RPM, "top_yaw_rate": turn}
    found = evaluate(given, "axis=along", "axis=level")["gyro_torque"]
    assert found == pytest.approx(couple, rel=7e-3)
    assert found == pytest.approx(mass * gyration**2 * rpm * RPM * turn, rel=1e-6)


def test_bearing_reactions_of_example_14_2():
    """Bearings 100 mm apart: 117.05 and 68.00 N exactly, printed 116.5 and 67.5 N."""
    given = {"rotor.inertia": 5 * 0.075**2 / 2, "rotor.speed": 1000 * RPM, "top_yaw_rate": 60 * RPM}
    pair = evaluate(given, "axis=across", "axis=level", "spin=up")["gyro_torque"] / 0.1
    assert pair + 5 * 9.81 / 2 == pytest.approx(117.05, rel=1e-4)
    assert pair - 5 * 9.81 / 2 == pytest.approx(68.00, rel=1e-4)
    assert pair + 5 * 9.81 / 2 == pytest.approx(116.5, rel=7e-3)
    assert pair - 5 * 9.81 / 2 == pytest.approx(67.5, rel=1e-2)


def test_locomotive_whose_turbine_turns_with_its_wheels():
    """240 kg m^2 at 1500 rpm, 50 km/h round 250 m, gauge 1.5 m: 1.4 kN more on the outer rail, less on the inner. I. E.
    Irodov, Problems in General Physics (the book from memory); problem and answer seen on secondary pages."""
    given = {"rotor.inertia": 240.0, "rotor.speed": 1500 * RPM, "top_yaw_rate": 50 * KMH / 250}
    moment = evaluate(given, "axis=across", "axis=level", "spin=down")["left_turn_roll_moment"]
    assert moment / 1.5 == pytest.approx(1400, rel=0.01)
    assert moment > 0  # lifts the left, which is inner in a left turn
    assert evaluate(given, "axis=across", "axis=level", "spin=up")["left_turn_roll_moment"] == pytest.approx(-moment)


def test_trolley_with_motors_that_turn_against_its_wheels():
    """Example 14.10, seen in the companion: wheels 18 kg m^2 and motors 12 kg m^2 at five times their speed, two of
    each, 24 km/h round 30 m: net couple -329 N m, against the wheels' own sense; the turn rate rounded to 0.22."""
    wheels = 24 * KMH / 0.375
    given = {"rotor.inertia": 2 * 12.0, "rotor.speed": 5 * wheels, "top_yaw_rate": 24 * KMH / 30}
    motors = evaluate(given, "axis=across", "axis=level", "spin=up")["left_turn_roll_moment"]
    given |= {"rotor.inertia": 2 * 18.0, "rotor.speed": wheels}
    own = evaluate(given, "axis=across", "axis=level", "spin=down")["left_turn_roll_moment"]
    assert own + motors == pytest.approx(-329, rel=1e-2)
    assert (own + motors) * 0.22 / (24 * KMH / 30) == pytest.approx(-329, rel=2e-3)


def test_an_upright_rotor_feels_a_turn_only_when_it_leans():
    given = {"rotor.inertia": 240.0, "rotor.speed": 100.0, "top_yaw_rate": 2.0}
    assert "gyro_torque" not in evaluate(given, "axis=upright")
    leaning = evaluate(given | {"rotor.lean": math.pi / 6}, "axis=upright")
    assert leaning["gyro_torque"] == pytest.approx(240 * 100 * 2 / 2)  # sin 30 degrees, vector product


MACHINE = {
    "mass": 1.5, "gravity": 10.0, "track": 0.2, "wheelbase": 0.15, "cg_ahead": 0.05, "cg_height": 0.03, "width": 0.24,
    "height": 0.1, "wheel.load_share": 1.0, "wheel.count": 4.0, "wheel.friction": 0.8, "rotor.inertia": 2.5e-4,
    "rotor.transverse_inertia": 2.4e-4, "rotor.transverse_inertia_small": 1e-5, "rotor.speed": 1000.0,
    "rotor.motor.inertia": 1e-5, "rotor.ratio": 2.0, "spin_up_start_acceleration": 500.0, "top_speed": 1.2,
    "skid_yaw_rate": 8.0, "drive_stall_force": 40.0, "traction_force": 12.0,
}
"""Round numbers, for moments by hand: H = 0.25, m g t / 2 = 1.5 N m, top turn rate 12 rad/s."""


def test_margins_by_hand():
    found = evaluate(MACHINE, "axis=across", "axis=level", "spin=up", "shape=bar", "transmission=belt")
    assert found["gyro_lift_yaw_rate"] == pytest.approx(1.5 / 0.25)
    assert found["gyro_margin"] == pytest.approx(0.5)
    assert found["gyro_margin_with_losses"] == pytest.approx(6 / 8)
    assert found["gyro_pulse_margin"] == pytest.approx(1.5 / (0.25 + 0.23) / 12)
    # About a stopped wheel the most is v / t = 6 rad/s; roots of 0.0045 Omega^2 -+ 0.25 Omega +- 1.5 = 0.
    assert found["pivot_margin_stopped_side"] == pytest.approx((-0.25 + math.sqrt(0.0625 + 0.027)) / 0.009 / 6)
    assert found["pivot_margin_moving_side"] == pytest.approx((0.25 - math.sqrt(0.0625 - 0.027)) / 0.009 / 6)


def test_a_side_force_strong_enough_never_lets_the_moving_side_lift():
    tall = MACHINE | {"cg_height": 0.2}
    found = evaluate(tall, "axis=across", "axis=level", "spin=up", "shape=bar", "transmission=belt")
    assert math.isnan(found["pivot_lift_yaw_rate_moving_side"])
    assert found["pivot_lift_yaw_rate_stopped_side"] < found["gyro_lift_yaw_rate"]


def test_without_a_rotor_a_stopped_wheel_lifts_at_the_static_stability_factor():
    """v^2 / (g r) = t / (2 h) at r = t / 2: T / (2 h), NHTSA's static stability factor, 65 FR 34998, as quoted."""
    found = evaluate(MACHINE | {"rotor.inertia": 1e-12}, "axis=across", "axis=level", "spin=up")
    rate = found["pivot_lift_yaw_rate_stopped_side"]
    assert rate**2 * 0.1 / 10.0 == pytest.approx(0.2 / (2 * 0.03), rel=1e-6)


def test_box_inertia():
    """m (a^2 + b^2) / 12: Meriam & Kraige, appendix D, from memory; a stated one goes before it."""
    assert evaluate(MACHINE)["rolling_inertia"] == pytest.approx(1.5 * (0.24**2 + 0.1**2) / 12)
    assert evaluate(MACHINE | {"roll_inertia": 0.01})["rolling_inertia"] == 0.01


def test_spin_up_reaction_by_hand():
    """dH/dt of rotor and motor: (I + J i) alpha = 0.135 N m; behind a gear, which turns it round, (I - J i) = 0.115."""
    for alike in ("hub", "direct", "belt"):
        found = evaluate(MACHINE, f"transmission={alike}")
        assert found["spin_up_reaction_torque"] == pytest.approx(0.135)
    belt = evaluate(MACHINE, "axis=across", "axis=level", "spin=up", "transmission=belt")
    assert belt["spin_up_load_shift"] == pytest.approx(0.135 / (15 * 0.15))
    assert belt["tail_lift_margin"] == pytest.approx(15 * 0.1 / 0.135)
    assert "nose_lift_margin" not in belt
    gear = evaluate(MACHINE, "axis=across", "axis=level", "spin=down", "transmission=gear")
    assert gear["spin_up_reaction_torque"] == pytest.approx(0.115)
    assert gear["nose_lift_margin"] == pytest.approx(15 * 0.05 / 0.115)


def test_torque_steer_by_hand():
    """Four tyres at the corners of 0.2 by 0.15 m: 0.8 times 15 N at 0.125 m; two at 0.1 m."""
    found = evaluate(MACHINE, "axis=upright", "spin=clockwise", "transmission=direct")
    assert found["tyre_turn_torque"] == pytest.approx(0.8 * 15 * 0.125)
    assert found["torque_steer_margin"] == pytest.approx(1.5 / 0.135)
    assert found["torque_steer_drive_margin"] == pytest.approx(12 * 0.1 / 0.135)
    two = MACHINE | {"wheel.count": 2.0, "wheel.load_share": 0.7}
    found = evaluate(two, "axis=across", "axis=level", "spin=up", "transmission=direct")
    assert found["tyre_turn_torque"] == pytest.approx(0.8 * 15 * 0.7 * 0.1)
    assert found["roll_steer_rate"] == pytest.approx(0.84 / 0.25)


def test_rotor_along_takes_the_nearer_end():
    found = evaluate(MACHINE, "axis=along", "axis=level", "spin=clockwise", "transmission=direct")
    assert found["yaw_pitch_margin"] == pytest.approx(15 * 0.05 / 0.25 / 12)


@pytest.mark.parametrize(("axis", "spin"), [("across", "clockwise"), ("upright", "up"), ("along", "down")])
def test_a_sense_that_the_axis_cannot_have_is_refused(axis, spin):
    with pytest.raises(InputError) as caught:
        derive({}, {"rotor.axis": axis, "rotor.spin": spin}, Shelves())
    assert caught.value.key == "rotor.spin"


def scaled(factor, speed_power, top_speed_power):
    """A similar machine of one density: its rotor's speed and its top speed follow the given powers of the factor."""
    powers = {"mass": 3, "track": 1, "rotor.inertia": 5}
    given = {key: value * factor ** powers.get(key, 0) for key, value in MACHINE.items()
             if key in ("mass", "gravity", "track", "wheel.load_share", "rotor.inertia")}
    return given | {"rotor.speed": 1000.0 * factor**speed_power, "top_speed": 1.2 * factor**top_speed_power}


def test_scaled_up_at_the_same_speed_gyro_is_stronger_and_wider_is_the_mend():
    """Common practice, no source: a machine of three times the mass at the same rotor speed is felt to lift in turns
    that the small one took, and wider sides, by a buildable amount, mend it. Driven as quickly round (top speed as its
    size) or as gravity would have it (as the root of its size)."""
    factor = 3 ** (1 / 3)
    small = evaluate(scaled(1.0, 0, 0), "axis=across", "axis=level", "spin=up")
    for top_speed_power, buildable in ((1, (1.05, 1.5)), (0.5, (1.02, 1.3))):
        large = evaluate(
            scaled(factor, 0, top_speed_power) | {"reference.gyro_margin": small["gyro_margin"]},
            "axis=across", "axis=level", "spin=up",
        )
        assert large["gyro_lift_yaw_rate"] < 0.8 * small["gyro_lift_yaw_rate"]
        assert large["gyro_margin"] < 0.9 * small["gyro_margin"]
        assert buildable[0] < large["gyro_widening_ratio"] < buildable[1]
        assert large["gyro_track_needed"] == pytest.approx(large["gyro_widening_ratio"] * factor * 0.2)
        assert large["gyro_track_needed_same_turn"] > large["gyro_track_needed"]


def test_so_much_wider_has_the_references_margin():
    """The margin computed again at the track asked for: wheels' speed held, then turn rate held."""
    kept = 0.8
    given = scaled(1.3, 0, 1) | {"reference.gyro_margin": kept}
    found = evaluate(given, "axis=across", "axis=level", "spin=up")
    wide = given | {"track": found["gyro_track_needed"]}
    assert evaluate(wide, "axis=across", "axis=level", "spin=up")["gyro_margin"] == pytest.approx(kept)
    wider = given | {"track": found["gyro_track_needed_same_turn"]}
    wider["top_speed"] *= wider["track"] / given["track"]
    assert evaluate(wider, "axis=across", "axis=level", "spin=up")["gyro_margin"] == pytest.approx(kept)


def test_held_tip_speed_keeps_the_lift_rate():
    """I omega as factor^4 and m t as factor^4: the lift rate stays, by dimensions alone."""
    small, large = (evaluate(scaled(factor, -1, 0), "axis=across", "axis=level", "spin=up") for factor in (1.0, 2.0))
    assert large["gyro_lift_yaw_rate"] == pytest.approx(small["gyro_lift_yaw_rate"])
