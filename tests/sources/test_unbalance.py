"""Balance grades: ISO 21940-11:2016 (before: ISO 1940-1), not opened; figures second-hand or from memory."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from scaling.formulas import book

CHECKS = ("permissible_eccentricity", "permissible_unbalance", "unbalance_force", "unbalance_force_ratio")

ROTOR = frozenset({"rotor"})


def balanced(grade, mass, rpm, robot=1.0):
    given = {"rotor.balance_grade": grade * 1e-3, "rotor.mass": mass, "rotor.speed": rpm * math.pi / 30,
             "mass": robot, "gravity": 9.80665}
    return {name: float(value) for name, value in book.evaluate(given, ROTOR).items()}


@pytest.mark.parametrize(("grade", "rpm", "micrometres"), [
    (6.3, 3000, 20.0), (2.5, 3000, 8.0), (6.3, 1500, 40.0), (16.0, 3000, 50.0), (1.0, 9550, 1.0),
])
def test_permissible_offset_chart(grade, rpm, micrometres):
    """The chart of permissible offset by grade and speed, read to a round figure; from memory."""
    assert balanced(grade, 10.0, rpm)["permissible_eccentricity"] == pytest.approx(micrometres * 1e-6, rel=0.025)


def test_turbine_rotor_of_the_standards_example():
    """3600 kg at 3000 rpm to G 2.5: 28.6e3 g mm; the standard's worked example, from memory."""
    assert balanced(2.5, 3600.0, 3000)["permissible_unbalance"] == pytest.approx(28.6e3 * 1e-6, rel=3e-3)


def test_formula_in_ounces_and_pounds():
    """U_per = 6.015 G W / N, oz in, mm/s, lb, rpm: as quoted by a trade journal's page on ISO 1940-1."""
    ounce_inch = 0.028349523 * 0.0254
    found = balanced(6.3, 4.5 * 0.45359237, 9000)["permissible_unbalance"]
    assert found / ounce_inch == pytest.approx(6.015 * 6.3 * 4.5 / 9000, rel=1e-3)


def test_shake_is_a_mass_on_a_string():
    """The permissible unbalance as a crumb of 1 g at 50 mm that goes round: its centripetal force m v^2 / r."""
    found = balanced(16.0, 0.3, 10000, robot=1.36)
    crumb, radius = 1e-3, found["permissible_unbalance"] / 1e-3
    force = crumb * (2 * math.pi * radius * 10000 / 60) ** 2 / radius
    assert found["unbalance_force"] == pytest.approx(force)
    assert found["unbalance_force_ratio"] == pytest.approx(force / (1.36 * 9.80665))


def test_grades_go_up_by_steps_of_two_and_a_half():
    """G 2.5, 6.3, 16, 40: a coarser grade shakes more, at any speed alike per metre a second of it."""
    forces = [balanced(grade, 0.1, 12000)["unbalance_force"] for grade in (2.5, 6.3, 16, 40)]
    assert all(later / earlier == pytest.approx(2.5, rel=0.03) for earlier, later in pairwise(forces))


def test_default_grade_is_general_machinery():
    """G 6.3, 'machinery, general', in the standard's table, as quoted by a secondary page."""
    assert book.variables["rotor.balance_grade"].default == pytest.approx(6.3e-3)
