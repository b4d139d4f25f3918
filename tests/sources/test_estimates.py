"""What stands in for numbers that a builder cannot know, against published tables and reference motors.

Motors: the table of motors of M. Budinger, A. Reysset, A. Ochotorena & S. Delbecq, Scaling laws and similarity models
for the preliminary design of multirotor drones, Aerospace Science and Technology 98 (2020) 105658, as in the authors'
course notebook on motors, opened; the rows are speed constant (rpm/V), no-load current (A), resistance (ohm), mass (g).
Other sources stand beside their checks.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from scaling.files.errors import Mistakes
from scaling.formulas import book
from scaling.robot.estimates import RULES, Estimate, estimate_missing

TABLE = np.asarray([
    (2300, 0.55, 0.22, 18.5), (1525, 0.4, 0.39, 18.5), (1400, 0.35, 0.32, 25.9), (1420, 0.6, 0.155, 45),
    (1100, 0.35, 0.26, 45), (1820, 0.8, 0.089, 45), (1820, 2, 0.075, 76), (3000, 1.9, 0.039, 68.5),
    (1190, 1, 0.115, 76), (920, 0.45, 0.21, 57), (1950, 1.2, 0.045, 57), (710, 0.4, 0.345, 57),
    (2850, 4.5, 0.022, 106), (840, 0.55, 0.185, 69.5), (1390, 1.8, 0.053, 106), (1035, 1, 0.085, 106),
    (840, 0.7, 0.145, 106), (1500, 3.3, 0.026, 151), (1200, 2.3, 0.039, 151), (990, 1.7, 0.059, 151),
    (1130, 2.9, 0.03, 181), (760, 1.3, 0.062, 181), (860, 1.7, 0.078, 151), (660, 2, 0.041, 320),
    (465, 1.5, 0.082, 320), (1900, 0.58, 0.128, 35.4), (1490, 0.42, 0.188, 35.4), (1280, 0.47, 0.15, 45),
    (885, 0.41, 0.151, 58), (1070, 0.59, 0.091, 58), (1850, 1.31, 0.032, 58), (900, 0.52, 0.142, 68.6),
    (1127, 0.73, 0.078, 68.6), (1400, 0.95, 0.095, 68.6), (1610, 0.35, 0.18, 20), (780, 1.21, 0.03, 166),
    (1110, 2.08, 0.016, 166), (890, 1.9, 0.014, 205), (690, 2.71, 0.022, 275), (1090, 0.79, 0.058, 95),
    (830, 1.06, 0.042, 129), (1220, 1.64, 0.018, 129), (420, 0.91, 0.032, 288), (630, 1.54, 0.015, 288),
    (330, 0.74, 0.037, 353), (520, 1.4, 0.016, 353), (2350, 0.4, 0.117, 18), (2050, 0.6, 0.068, 29),
])  # fmt: skip
RPM = math.pi / 30


def estimated(words: dict[str, str] | None = None, **numbers: float) -> dict[str, Estimate]:
    """What is estimated for a design of which only these numbers are known, a double underscore for a dot."""
    known = {key.replace("__", "."): value for key, value in numbers.items()}
    return {each.key: each for each in estimate_missing(known, words or {}, Mistakes())}


def of_motor(table: str, kv: float, mass: float) -> dict[str, Estimate]:
    return estimated(**{f"{table.replace('.', '__')}__kv": kv, f"{table.replace('.', '__')}__mass": mass})


@pytest.mark.parametrize(("column", "name"), [(2, "resistance"), (1, "no_load_current")])
def test_a_brushless_motor_s_losses_against_the_published_table(column: int, name: str) -> None:
    found = [of_motor("rotor.motor", row[0] * RPM, row[3] / 1e3)[f"rotor.motor.{name}"] for row in TABLE]
    ratios = TABLE[:, column] / [each.value for each in found]
    assert np.median(ratios) == pytest.approx(1, abs=0.1)
    inside = [each.low <= value <= each.high for each, value in zip(found, TABLE[:, column], strict=True)]
    assert np.mean(inside) >= 0.88


def test_a_larger_motor_by_the_published_laws() -> None:
    # The same work: with the torque ratio T*, M* = T*^(3/3.5), R* = K*^2 T*^(-5/3.5), friction torque T*^(3/3.5).
    small, large, torque, constant = 0.057, 0.057 * 3 ** (3 / 3.5), 3.0, 1.7
    kv = 195.0
    one, other = of_motor("rotor.motor", kv, small), of_motor("rotor.motor", kv / constant, large)
    ratio = other["rotor.motor.resistance"].value / one["rotor.motor.resistance"].value
    assert ratio == pytest.approx(constant**2 * torque ** (-5 / 3.5))
    pairs = ((one, kv), (other, kv / constant))
    friction = [each["rotor.motor.no_load_current"].value / speed for each, speed in pairs]
    assert friction[1] / friction[0] == pytest.approx(torque ** (3 / 3.5))


def test_a_small_brushed_gearmotor_s_losses_lie_in_the_band() -> None:
    # 12 mm and 10 g: 32000 rpm and 1.6 A stalled at 6 V, 0.1 A without load; 24 mm and 90 g: 10000 rpm and 4 A at 12 V,
    # 0.2 A; a strong one of 16 mm and 23 g: 2450 rpm/V, 5.8 A at 11.1 V. Common practice, no source.
    motors = ((5333, 0.010, 3.75, 0.1), (833, 0.090, 3.0, 0.2), (2450, 0.023, 1.9, 0.11))
    for rpm_per_volt, mass, resistance, idle in motors:
        found = of_motor("drive.motor", rpm_per_volt * RPM, mass)
        for name, value in (("resistance", resistance), ("no_load_current", idle)):
            each = found[f"drive.motor.{name}"]
            assert each.low <= value <= each.high, (name, value, each)


def test_a_pack_s_resistance() -> None:
    # A multirotor's pack of three cells and 5 A h with 10 milliohm: Shi, Dai, Du & Quan, A practical performance
    # evaluation method for electric multicopters, IEEE/ASME Trans. Mechatronics 22 (2017), from memory. A small racing
    # pack of four cells and 1.3 A h with 5 to 10 milliohm a cell: common practice, no source.
    for cells, capacity, resistance in ((3, 5.0, 0.010), (4, 1.3, 0.020), (4, 1.3, 0.040)):
        found = estimated(battery__cells=cells, battery__capacity=capacity * 3600)["battery.resistance"]
        assert found.low <= resistance <= found.high
    # Cells of 18650 size: lithium ion 2.5 A h 20 to 25 milliohm, and an iron phosphate cell of 26650 size and 2.3 A h
    # about 10: typical data sheets, from memory.
    for chemistry, capacity, resistance in (("lithium ion", 2.5, 0.0225), ("lithium iron phosphate", 2.3, 0.010)):
        given = {"battery__cells": 1.0, "battery__capacity": capacity * 3600}
        found = estimated({"battery.cell": chemistry}, **given)["battery.resistance"]
        assert found.value == pytest.approx(resistance, rel=0.2)
    halves = [estimated(battery__cells=3, battery__capacity=q)["battery.resistance"].value for q in (1620.0, 3240.0)]
    assert halves[0] == pytest.approx(2 * halves[1])  # twice the capacity is two cells beside each other


def test_two_wheels_and_a_skid_share_the_weight_by_levers() -> None:
    given = {"wheel__count": 2.0, "cg_ahead": 0.03, "wheelbase": 0.1}
    found = estimated(**given)["wheel.load_share"].value
    # Moments about the skid, a wheelbase ahead of the axle: S L = W (L - x), worked with numbers.
    weight, arm = 4.45, 0.1 - 0.03
    assert found * weight * 0.1 == pytest.approx(weight * arm)
    assert estimated(**(given | {"wheel__count": 4.0}))["wheel.load_share"].value == 1.0


def test_the_centre_of_gravity_of_other_vehicles_lies_in_the_band() -> None:
    # A passenger car's centre of gravity at 0.36 to 0.41 of its roof's height: measured vehicles of the U.S. road
    # administration, G. J. Heydinger et al., SAE 1999-01-1336, from memory.
    found = estimated(height=1.45, wheelbase=2.7)
    assert found["cg_height"].low < 0.36 * 1.45
    assert found["cg_height"].high > 0.41 * 1.45
    assert found["cg_ahead"].low <= 0.4 * 2.7
    assert found["cg_ahead"].high >= 0.6 * 2.7


def test_a_can_turns_like_a_body_between_a_disc_and_a_ring() -> None:
    # Meriam, Dynamics, appendix D: m d^2 / 8 of a solid cylinder, m d^2 / 4 of a thin ring; half the motor turns.
    found = estimated(rotor__motor__mass=0.036, rotor__motor__diameter=0.028)["rotor.motor.inertia"]
    turning = 0.018 * 0.028**2
    assert turning / 8 < found.value < turning / 4
    assert found.low < turning / 8
    assert found.high > turning / 5


def test_every_rule_stands_for_a_key_and_cites_what_there_is() -> None:
    assert len({rule.key for rule in RULES}) == len(RULES)
    done: set[str] = set()
    for rule in RULES:
        assert rule.key in book.variables
        assert rule.needs, rule.key
        assert not {need for need in rule.needs if need in {other.key for other in RULES}} - done, rule.key
        assert 0 < rule.low <= 1 <= rule.high, rule.key
        assert book.cite(rule.source)
        assert rule.source.partition(" ")[0] in ("common-practice", "budinger2020", "own-derivation:"), rule.source
        done.add(rule.key)


def test_a_stated_number_is_never_estimated() -> None:
    given = {"battery__cells": 3.0, "battery__capacity": 1620.0, "battery__resistance": 0.03}
    assert "battery.resistance" not in estimated(**given)
