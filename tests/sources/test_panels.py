"""Walls and lids through the book: the plate's formula that edges and outline choose, and what follows from it.

Published coefficients for a Poisson's ratio of 0.3, from memory unless said: W. C. Young & R. G. Budynas, Roark's
Formulas for Stress and Strain, 7th ed., table 11.4, cases 1a (as quoted by a secondary page), 1b, 8a, 8b; S. Timoshenko
& S. Woinowsky-Krieger, Theory of Plates and Shells, ch. 3, for round plates; R. Hill, The Mathematical Theory of
Plasticity, 1950, for the surface that gives way at 2.97 of its strength. How good the coefficients are is in
test_plates.py.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from scaling.formulas import book

CHECKS = (
    "wall_slenderness", "wall_stress_per_force", "wall_stiffness", "wall_stress", "wall_stress_margin",
    "wall_deflection", "wall_deflection_ratio", "wall_taken_stress_per_force", "wall_taken_force", "wall_taken_stress",
    "wall_taken_stress_margin", "wall_taken_deflection", "wall_taken_deflection_ratio", "lid_slenderness",
    "lid_taken_stress_per_force", "lid_stiffness", "lid_taken_force", "lid_taken_stress", "lid_taken_stress_margin",
    "lid_taken_deflection", "lid_taken_deflection_ratio", "lid_stress_per_pressure", "lid_pressure_stiffness",
    "lid_fall_pressure", "lid_fall_stress", "lid_fall_stress_margin", "lid_fall_deflection",
    "lid_fall_deflection_ratio",
)

WALL = {"wall.length": 0.12, "wall.height": 0.12, "wall.thickness": 0.004, "wall.modulus": 200e9, "wall.poisson": 0.3,
        "wall.strength": 500e6, "tooth_face_area": 36e-6, "hit_force": 2000.0}
LID = {"lid.length": 0.2, "lid.width": 0.1, "lid.thickness": 0.002, "lid.modulus": 70e9, "lid.poisson": 0.3,
       "lid.strength": 250e6, "fall_force": 1000.0, "taken_tooth_area": 36e-6}


def test_a_square_wall_by_hand():
    """Roark case 1b by hand: r = 3.385 mm, 3 F / (2 pi t^2) [1.3 ln(2 b / (pi r)) + 0.435]."""
    names = ["wall_stress", "wall_deflection", "wall_stress_margin", "wall_deflection_ratio"]
    found = book.evaluate(WALL, frozenset(), only=names)
    assert found["wall_stress"] == pytest.approx(3 * 2000 / (2 * math.pi * 0.004**2) * (1.3 * 3.1168 + 0.435), rel=1e-4)
    assert found["wall_stress_margin"] == pytest.approx(500e6 / found["wall_stress"], rel=1e-12)
    sag = 0.1267 * 2000 * 0.12**2 / (200e9 * 0.004**3)
    assert found["wall_deflection"] == pytest.approx(sag, rel=1e-9)
    assert found["wall_deflection_ratio"] == pytest.approx(sag / 0.004, rel=1e-9)


def test_clamped_walls_and_lids_have_the_clamped_plates_formulas():
    """Roark case 8b by hand for a square: the middle's beta -0.238, deflection 0.0611.

    A round lid: Timoshenko & Woinowsky-Krieger: y = F a^2 / (16 pi D).
    """
    found = book.evaluate(WALL, frozenset({"wall.edges=clamped"}), only=["wall_stress", "wall_deflection"])
    assert found["wall_stress"] == pytest.approx(3 * 2000 / (2 * math.pi * 0.004**2) * (1.3 * 3.1168 - 0.238), rel=1e-4)
    assert found["wall_deflection"] == pytest.approx(0.0611 * 2000 * 0.12**2 / (200e9 * 0.004**3), rel=1e-9)
    lid = LID | {"lid.width": 0.2}
    names = ["lid_stiffness", "lid_taken_stress_per_force"]
    rigidity, middle = 70e9 * 0.002**3 / (12 * 0.91), 1.3 * math.log(0.1 / math.sqrt(36e-6 / math.pi))
    found = book.evaluate(lid, frozenset({"lid.shape=round", "lid.edges=clamped"}), only=names)
    assert found["lid_stiffness"] == pytest.approx(16 * math.pi * rigidity / 0.1**2, rel=1e-9)
    assert found["lid_taken_stress_per_force"] == pytest.approx(6 * middle / (4 * math.pi * 0.002**2), rel=1e-9)
    found = book.evaluate(lid, frozenset({"lid.shape=round"}), only=names)
    assert found["lid_stiffness"] == pytest.approx(16 * math.pi * rigidity * 1.3 / (3.3 * 0.1**2), rel=1e-9)
    assert found["lid_taken_stress_per_force"] == pytest.approx(6 * (middle + 1) / (4 * math.pi * 0.002**2), rel=1e-9)
    found = book.evaluate(lid, frozenset({"lid.edges=clamped"}), only=names)
    assert found["lid_stiffness"] == pytest.approx(70e9 * 0.002**3 / (0.0611 * 0.2**2), rel=1e-9)


ROUND, CLAMPED = "lid.shape=round", "lid.edges=clamped"


@pytest.mark.parametrize(
    ("traits", "pressure", "beta", "alpha"),
    [  # even pressure of the landing: of a rectangle of 0.2 by 0.1 m, a/b = 2, or a round lid of 0.2 m, a = 0.1 m
        ((), 1000 / 0.02, 0.6102, 0.1110),
        ((CLAMPED,), 1000 / 0.02, 0.4974, 0.0277),
        ((ROUND,), 1000 / (math.pi * 0.1**2), 1.2375, 0.695625),
        ((ROUND, CLAMPED), 1000 / (math.pi * 0.1**2), 0.75, 0.170625),
    ],
)
def test_edges_and_outline_choose_the_lids_formula(traits, pressure, beta, alpha):
    """sigma = beta q b^2 / t^2, y = alpha q b^4 / (E t^3), b the shorter side or the radius: both 0.1 m here."""
    names = ["lid_fall_pressure", "lid_fall_stress", "lid_fall_stress_margin", "lid_fall_deflection",
             "lid_fall_deflection_ratio"]
    found = book.evaluate(LID, frozenset(traits), only=names)
    stress, sag = beta * pressure * 0.1**2 / 0.002**2, alpha * pressure * 0.1**4 / (70e9 * 0.002**3)
    assert found["lid_fall_pressure"] == pytest.approx(pressure, rel=1e-12)
    assert found["lid_fall_stress"] == pytest.approx(stress, rel=1e-9)
    assert found["lid_fall_stress_margin"] == pytest.approx(250e6 / stress, rel=1e-9)
    assert found["lid_fall_deflection"] == pytest.approx(sag, rel=1e-9)
    assert found["lid_fall_deflection_ratio"] == pytest.approx(sag / 0.002, rel=1e-9)


@pytest.mark.parametrize("panel", ["wall", "lid"])
@pytest.mark.parametrize(
    ("edges", "beta", "alpha"), [("hinged", 0.435, 0.1267), ("clamped", -0.238, 0.0611)]
)
def test_a_panel_takes_the_lesser_of_spring_and_surface(panel, edges, beta, alpha):
    """A square of 0.1 m by Roark's cases 1b and 8b: a light blow on the plate's own spring, F = sqrt(2 E k) with
    k = E t^3 / (alpha b^2), a heavy one up to 2.97 S A on the surface; bent by 3 F / (2 pi t^2) [1.3 ln(2 b / (pi r)) +
    beta]."""
    side = {"wall": "height", "lid": "width"}[panel]
    area, names = 30e-6, ["slenderness", "stiffness", "taken_stress_per_force", "taken_force", "taken_stress",
                          "taken_stress_margin", "taken_deflection", "taken_deflection_ratio"]
    given = {f"{panel}.{key}": value for key, value in
             {"length": 0.1, side: 0.1, "thickness": 0.004, "modulus": 2.4e9, "poisson": 0.3, "strength": 63e6}.items()}
    given |= {"taken_hit_energy": np.array([1e-3, 200.0]), "taken_tooth_area": area}
    book_names = [f"{panel}_{name}" for name in names]
    read = book.evaluate(given, frozenset({f"{panel}.edges={edges}"}), only=book_names)
    found = {name: read[f"{panel}_{name}"] for name in names}
    stiffness, radius = 2.4e9 * 0.004**3 / (alpha * 0.1**2), math.sqrt(area / math.pi)
    middle = 3 / (2 * math.pi * 0.004**2) * (1.3 * math.log(2 * 0.1 / (math.pi * radius)) + beta)
    force = np.array([math.sqrt(2e-3 * stiffness), 2.97 * 63e6 * area])
    assert found["slenderness"] == pytest.approx(25.0, rel=1e-12)
    assert found["stiffness"] == pytest.approx(stiffness, rel=1e-9)
    assert found["taken_stress_per_force"] == pytest.approx(middle, rel=1e-9)
    assert found["taken_force"] == pytest.approx(force, rel=2e-3)
    assert found["taken_stress"] == pytest.approx(force * middle, rel=2e-3)
    assert found["taken_stress_margin"] == pytest.approx(63e6 / (force * middle), rel=2e-3)
    assert found["taken_deflection"] == pytest.approx(force / stiffness, rel=2e-3)
    assert found["taken_deflection_ratio"] == pytest.approx(force / stiffness / 0.004, rel=2e-3)


@pytest.mark.parametrize(("long", "short"), [("length", "side"), ("side", "length")])
@pytest.mark.parametrize(("panel", "side"), [("wall", "height"), ("lid", "width")])
def test_slenderness_is_that_of_the_shorter_side(panel, side, long, short):
    """Definition: 60 mm over 3 mm."""
    sizes = {long: 0.2, short: 0.06}
    given = {f"{panel}.length": sizes["length"], f"{panel}.{side}": sizes["side"], f"{panel}.thickness": 0.003}
    found = book.evaluate(given, frozenset(), only=[f"{panel}_slenderness"])
    assert found[f"{panel}_slenderness"] == pytest.approx(20.0, rel=1e-12)
