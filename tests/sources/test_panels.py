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
    "wall_deflection", "wall_deflection_ratio", "wall_taken_force", "wall_taken_force_bound", "wall_collapse_force",
    "wall_collapse_margin", "wall_collapse_margin_bound", "wall_punch_force", "wall_punch_force_bound",
    "wall_punch_margin", "wall_punch_margin_bound", "wall_perforation_energy", "wall_perforation_margin",
    "wall_perforation_margin_bound", "lid_slenderness", "lid_taken_stress_per_force", "lid_stiffness",
    "lid_taken_force", "lid_taken_force_bound", "lid_collapse_force", "lid_collapse_margin",
    "lid_collapse_margin_bound", "lid_punch_force", "lid_punch_force_bound", "lid_punch_margin",
    "lid_punch_margin_bound", "lid_perforation_energy", "lid_perforation_margin", "lid_perforation_margin_bound",
    "lid_taken_stress", "lid_taken_stress_margin", "lid_taken_deflection", "lid_taken_deflection_ratio",
    "lid_stress_per_pressure", "lid_pressure_stiffness", "lid_fall_pressure", "lid_fall_stress",
    "lid_fall_stress_margin", "lid_fall_deflection", "lid_fall_deflection_ratio",
)

WALL = {"wall.length": 0.12, "wall.height": 0.12, "wall.thickness": 0.004, "wall.modulus": 200e9, "wall.poisson": 0.3,
        "wall.strength": 500e6, "taken_tooth_area": 36e-6, "wall_taken_force": 2000.0}
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


def name_of(panel, name):
    """The wall's quantities under a taken hit say nothing of it but for the force, since it knows no other load."""
    return f"{panel}_{name}".replace("wall_taken_", "wall_") if name != "taken_force" else f"{panel}_taken_force"


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
    book_names = {name: name_of(panel, name) for name in names}
    read = book.evaluate(given, frozenset({f"{panel}.edges={edges}"}), only=list(book_names.values()))
    found = {name: read[wanted] for name, wanted in book_names.items()}
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


# ------------------------------------------------------------ what ends a panel


SIZES = {"wall": ("length", "height"), "lid": ("length", "width")}
BLOW = {"attacker.tooth_width": 0.008, "attacker.bite": 0.006748, "taken_hit_energy": 48.78,
        "taken_glance_share": 7.53 / 48.78}


def panel_of(panel, sides=(0.12, 0.046), **more):
    """A panel of 10 mm of 22 MPa and the blow on it."""
    own = {"thickness": 0.010, "strength": 22e6, "modulus": 0.72e9, "poisson": 0.46, "fibre_share": 0.0,
           "perforation_energy": 0.49, "perforation_area": 1e-6} | dict(zip(SIZES[panel], sides, strict=True)) | more
    return BLOW | {f"{panel}.{key}": value for key, value in own.items()}


@pytest.mark.parametrize("panel", ["wall", "lid"])
@pytest.mark.parametrize(
    ("edges", "sides", "force"),
    [  # yield lines worked by hand, M_p = 22e6 (10 mm)^2 / 4 = 550 N: 4 (a/b + b/a) M_p, (4 + 2 pi) M_p, 4 pi M_p
        ("hinged", (0.1, 0.1), 4400.0), ("hinged", (0.12, 0.046), 5655.8), ("clamped", (0.1, 0.1), 6911.5),
    ],
)
def test_hinges_that_make_a_panel_fold(panel, edges, sides, force):
    """K. W. Johansen, Yield-line Theory, 1962, from memory; over Hill's 2.97 S on 8 by 3.374 or 6.748 mm."""
    names = [f"{panel}_collapse_{name}" for name in ("force", "margin", "margin_bound")]
    found = book.evaluate(panel_of(panel, sides), frozenset({f"{panel}.edges={edges}"}), only=names)
    values = [float(found[name]) for name in names]
    assert values == pytest.approx([force, force / 1763.4, force / 3526.9], rel=1e-3)


@pytest.mark.parametrize(("traits", "force"), [((ROUND,), 3455.8), ((ROUND, CLAMPED), 6911.5)])
def test_a_round_lid_folds_as_a_fan(traits, force):
    """2 pi M_p with a free rim, 4 pi M_p with a clamped one: Johansen, from memory."""
    found = book.evaluate(panel_of("lid", (0.1, 0.1)), frozenset(traits), only=["lid_collapse_force"])
    assert found["lid_collapse_force"] == pytest.approx(force, rel=1e-4)


@pytest.mark.parametrize("panel", ["wall", "lid"])
def test_a_tooth_punches_its_outline_out(panel):
    """Worked by hand, from memory: 1.64 at half a bite of 6.748 mm by 8 mm and 1.06 at all of it, on 10 mm of 22 MPa.

    Shear yield at S / sqrt(3) (von Mises) round 22.75 and 29.5 mm, over Hill's 2.97 S on the tooth's area.
    """
    names = ["punch_force", "punch_force_bound", "punch_margin", "punch_margin_bound", "taken_force",
             "taken_force_bound"]
    found = book.evaluate(panel_of(panel), frozenset(), only=[f"{panel}_{name}" for name in names])
    values = [float(found[f"{panel}_{name}"]) for name in names]
    assert values == pytest.approx([2889.5, 3746.4, 1.639, 1.063, 1763.4, 3526.9], rel=1e-3)


def test_a_plate_that_gives_way_is_punched_along_what_bears_on_it():
    """A hit that a soft plate takes before the tooth is in by its bite: depth by the force, 1763.4 N for 3.374 mm.

    Worked by hand from the same 2.97 S: half the force digs half as deep, so the outline is 19.37 mm of 22.75. So a
    deeper bite at the same force, which rests on more, never leaves more in hand.
    """
    soft = panel_of("lid") | {"lid.modulus": panel_of("lid")["lid.modulus"] / 1e4}
    names = ["lid_taken_force", "lid_punch_force", "lid_punch_margin"]
    found = {name: float(value) for name, value in book.evaluate(soft, frozenset(), only=names).items()}
    assert found["lid_taken_force"] < 1763.4
    depth = 3.374e-3 * found["lid_taken_force"] / 1763.4
    assert found["lid_punch_force"] == pytest.approx(2889.5 * (8e-3 + depth) / 11.374e-3, rel=1e-3)
    deeper = soft | {"attacker.bite": 1.2 * soft["attacker.bite"]}
    assert float(book.evaluate(deeper, frozenset(), only=names)["lid_punch_margin"]) <= found["lid_punch_margin"]


def test_a_bound_is_square_on_and_a_mean_glances():
    """A stiff plate that the tooth does not cut: F = sqrt(2 E k), so the forces are as the roots of the energies."""
    given = panel_of("lid", strength=1e12)
    found = book.evaluate(given, frozenset(), only=["lid_taken_force", "lid_taken_force_bound", "lid_stiffness"])
    assert found["lid_taken_force"] == pytest.approx(math.sqrt(2 * 7.53 * found["lid_stiffness"]), rel=1e-9)
    assert found["lid_taken_force_bound"] == pytest.approx(math.sqrt(2 * 48.78 * found["lid_stiffness"]), rel=1e-9)


@pytest.mark.parametrize("panel", ["wall", "lid"])
def test_a_laminate_is_perforated_and_has_no_hinges(panel):
    """1.5 mm, 55 % of fibres, a tup of 8 mm: 6.9 J; G. Caprino & V. Lopresto, 2001, from memory."""
    given = panel_of(panel, thickness=1.5e-3, strength=550e6, fibre_share=0.55)
    names = [f"{panel}_{name}" for name in ("perforation_energy", "perforation_margin", "perforation_margin_bound",
                                            "collapse_force", "punch_force", "collapse_margin", "punch_margin")]
    found = [float(book.evaluate(given, frozenset(), only=names)[name]) for name in names]
    assert found[0] == pytest.approx(6.9, abs=0.05)
    assert found[1:3] == pytest.approx([6.88 / 7.53, 6.88 / 48.78], rel=2e-3)
    assert all(math.isnan(value) for value in found[3:])
    tough = book.evaluate(panel_of(panel), frozenset(), only=names)
    assert math.isnan(tough[f"{panel}_perforation_energy"])
