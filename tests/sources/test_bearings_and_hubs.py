"""Bearings under a hit and motors inside a rotor, against equilibria, a catalogue's ratings and elasticity's equations.

Static ratings are those of a bearing catalogue (bd_warehouse 0.4.0, its CSV). Independent routes: linear equations of
equilibrium, quadrature over half a ring, eigenvalues of the stress, scipy's solve_bvp on a spinning disc's motion.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad, solve_bvp

from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.formulas.rotor import retention
from scaling.formulas.rotor.bearing_load import shared_load, static_margin
from scaling.formulas.rotor.hub_motor import bore_fit, bore_growth, can_stress, magnet_bond
from scaling.shop.shelves import Shelves
from scaling.shop.stock import Bearing

CHECKS = (
    "rotor_bearing_load", "rotor_bearing_margin", "rotor_axial_load", "rotor_axial_margin", "hub_bore_ratio",
    "hub_bore_growth", "hub_can_stress", "hub_can_margin", "hub_can_inertia", "hub_magnet_stress", "hub_magnet_margin",
    "hub_bolt_stress", "hub_bolt_margin",
)


@pytest.mark.parametrize("offset", [0.0, 0.004, -0.01, 0.03])
def test_reactions(offset):
    """Sums of forces and moments; an overhung force lifts the far bearing."""
    spacing, force = 0.034, 4000.0
    reactions = np.linalg.solve([[1, 1], [-spacing / 2, spacing / 2]], [force, force * offset])
    found = shared_load(force, spacing, offset)
    assert [float(found["far"]), float(found["near"])] == pytest.approx(sorted(reactions), rel=1e-12)
    assert np.isnan(shared_load(force, 0.0, offset)["near"])


@pytest.mark.parametrize(
    ("rating", "margin"), [(1370.0, 0.685), (1960.0, 0.98), (2360.0, 1.18), (570.0, 0.285)],
    ids=["608", "6000", "6200", "688"],
)
def test_catalogue_bearings_under_four_kilonewtons(rating, margin):
    """Two of them, the rotor midway: a 608 with its C_0 of 1.37 kN is overloaded."""
    load = shared_load(4000.0, 0.034, 0.0)["near"]
    assert float(static_margin(rating, load, 0.0)["margin"]) == pytest.approx(margin, abs=5e-4)


def test_axial_loads_count_from_eight_tenths_of_the_radial():
    """ISO 76, as quoted by secondary pages: P_0 = 0.6 F_r + 0.5 F_a, at least F_r."""
    found = static_margin(1000.0, 1000.0, np.array([0.0, 790.0, 810.0, -2000.0]))
    assert found["load"] == pytest.approx([1000, 1000, 1005, 1600])
    assert static_margin(1000.0, 0.0, 0.0)["margin"] == math.inf


def test_can_is_held_by_its_two_cuts():
    """Half a ring with its magnets, every piece pulling outwards, by quadrature over the half turn."""
    can, magnets, radius, inside, speed, thickness, length = 0.02, 0.012, 0.0135, 0.0125, 3000.0, 0.0015, 0.012
    pull, _ = quad(lambda at: math.sin(at) * speed**2 * (can * radius + magnets * inside) / (2 * math.pi), 0, math.pi)
    found = can_stress(can, radius, magnets, inside, speed, thickness, length)
    assert float(found["stress"]) == pytest.approx(pull / (2 * thickness * length), rel=1e-9)


def test_can_without_magnets_is_the_thin_ring():
    """rho v^2: steel at 100 m/s 78.5 MPa (Timoshenko & Goodier, from memory)."""
    mass = 7850 * 2 * math.pi * 0.1 * 0.002 * 0.01
    assert float(can_stress(mass, 0.1, 0.0, 0.1, 1000.0, 0.002, 0.01)["stress"]) == pytest.approx(78.5e6, rel=1e-12)


@pytest.mark.parametrize(("shock", "turning"), [(0.0, 0.0), (8e4, 5e5), (8e4, 5e6), (0.0, 5e6)])
def test_bond_stress_is_the_greatest_eigenvalue(shock, turning):
    """Force of a held mass in the can's frame (Newton), over the bond; stress tensor's eigenvalue."""
    mass, area, radius, speed = 0.8e-3, 60e-6, 0.0125, 1000.0
    pull = mass * (shock - speed**2 * radius) / area
    shear = mass * turning * radius / area
    found = magnet_bond(mass, area, radius, speed, shock, turning)
    assert float(found["stress"]) == pytest.approx(float(np.linalg.eigvalsh([[pull, shear], [shear, 0]])[-1]), abs=1.0)
    assert float(found["tension"]) == pytest.approx(pull)


@pytest.mark.parametrize("bore", [0.01, 0.04, 0.15])
def test_growth_of_a_bore_by_the_displacement_equation(bore):
    """u'' + u'/r - u/r^2 = -(1 - nu^2) rho omega^2 r / E, free at both edges (Timoshenko & Goodier, from memory)."""
    inner, outer, speed, density, modulus, nu = bore / 2, 0.1, 1000.0, 7850.0, 207e9, 0.3
    load = (1 - nu**2) * density * speed**2 / modulus

    def equation(r, state):
        return np.vstack([state[1], -state[1] / r + state[0] / r**2 - load * r])

    def free(left, right):
        return np.array([left[1] + nu * left[0] / inner, right[1] + nu * right[0] / outer])

    r = np.geomspace(inner, outer, 200)
    found = solve_bvp(equation, free, r, np.zeros((2, r.size)), tol=1e-9)
    assert found.success
    growth = bore_growth(bore, 2 * outer, speed, density, modulus, nu)["growth"]
    assert float(growth) == pytest.approx(2 * float(found.sol(inner)[0]), rel=1e-4)


def test_bore_outside_its_ring_and_fits():
    assert np.isnan(bore_growth(np.array([0.0, 0.2, 0.3]), 0.2, 1000.0, 7850.0, 207e9, 0.3)["growth"]).all()
    found = bore_fit(np.array([0.0282, 0.0279]), 0.028, 0.0001)
    assert found["left"] == pytest.approx([1e-4, -2e-4])
    assert (found["ratio"] > 1).tolist() == [True, False]


# ------------------------------------------------------------ through the book


def told(name: str, *traits: str, **more: float) -> float:
    given = {
        "hit_force": 4000.0, "rotor.bearing.spacing": 0.034, "rotor.bearing.offset": 0.0,
        "rotor.bearing.static_rating": 1370.0, "rotor.axial_share": 0.0,
    } | {key.replace("__", "."): value for key, value in more.items()}
    return float(book.evaluate(given, frozenset(traits), only=[name])[name])


def test_a_608_under_a_hit_of_4_kn_is_overloaded():
    """By hand: 2 kN each over 1.37 kN of a 608, 0.685; overhung by a whole spacing one carries one and a half."""
    assert told("rotor_bearing_load") == pytest.approx(2000.0)
    assert told("rotor_bearing_margin") == pytest.approx(0.685)
    assert told("rotor_bearing_load", rotor__bearing__offset=0.034) == pytest.approx(6000.0)
    # ISO 76, as quoted by secondary pages: 0.6 times 2 kN and half of 3 kN along the axle.
    assert told("rotor_bearing_load", rotor__axial_share=0.75) == pytest.approx(2700.0)


def test_hub_of_the_book():
    """Half a ring by hand: its mass times its middle's distance from the axle, 2 r / pi, is held by two cut ends."""
    hub = ("rotor.transmission=hub", "rotor.hub_mounting=ring")
    size = {"rotor__bore": 0.0282, "rotor__motor__diameter": 0.028, "rotor__hub_clearance": 1e-4}
    assert told("hub_bore_ratio", *hub, **size) == pytest.approx(0.0282 / 0.0281)
    can = {
        "rotor__can__mass": 0.02, "rotor__can__radius": 0.0135, "rotor__can__magnet_mass": 0.012,
        "rotor__can__magnet_radius": 0.0125, "rotor_speed": 3000.0, "rotor__can__thickness": 0.0015,
        "rotor__can__length": 0.012, "rotor__can__strength": 350e6,
    }
    halves = sum(mass / 2 * 3000.0**2 * 2 * radius / np.pi for mass, radius in ((0.02, 0.0135), (0.012, 0.0125)))
    stress = halves / (2 * 0.0015 * 0.012)
    assert told("hub_can_stress", *hub, **can) == pytest.approx(stress, rel=1e-9)
    assert told("hub_can_margin", *hub, **can) == pytest.approx(350e6 / stress, rel=1e-9)


def test_what_holds_a_rotor_along_its_axle():
    """A fifth of 4 kN along the axle, by definition; a clip of 2 kN holds it two and a half times."""
    assert told("rotor_axial_load", rotor__axial_share=0.2) == pytest.approx(800.0)
    assert told("rotor_axial_margin", rotor__axial_share=0.2, rotor__axial_hold=2000.0) == pytest.approx(2.5)


CAN = {
    "rotor__mass": 0.262, "rotor__diameter": 0.21, "rotor_speed": 821.0, "rotor_inertia": 1.025e-3,
    "rotor__can__mass": 0.024, "rotor__can__radius": 0.02, "rotor__can__magnet_mass": 0.026,
    "rotor__can__magnet_radius": 0.0182, "rotor__can__bond_area": 1.3e-3, "rotor__can__bond_strength": 10e6,
}
HUB = "rotor.transmission=hub"


def test_glue_of_the_magnets_by_mohrs_circle():
    """A magnet in the axes of the can: pulled off by a - omega^2 r, sheared by alpha r; radius and middle of Mohr's
    circle (Shigley, sec. 3-6, from memory). One magnet of fourteen, in a hit hard enough to pull it off."""
    force = 8000.0
    mass, area = 0.026 / 14, 1.3e-3 / 14
    pull = mass * (force / (0.262 + 0.024 + 0.026) - 821.0**2 * 0.0182) / area
    shear = mass * force * 0.105 / 1.025e-3 * 0.0182 / area
    assert pull > 0
    greatest = pull / 2 + math.hypot(pull / 2, shear)
    assert told("hub_magnet_stress", HUB, hit_force=force, **CAN) == pytest.approx(greatest, rel=1e-9)
    assert told("hub_magnet_margin", HUB, hit_force=force, **CAN) == pytest.approx(10e6 / greatest, rel=1e-9)


def test_screws_between_rotor_and_can_by_vectors():
    """Six bolts on a circle: each carries a sixth of the force and, square to its radius, of the torque (Shigley, sec.
    8-12); the can's torque is its own inertia times the rotor's slowing, two rings by quadrature round the turn."""
    can, _ = quad(lambda _: (0.024 * 0.02**2 + 0.026 * 0.0182**2) / (2 * math.pi), 0, 2 * math.pi)
    assert told("hub_can_inertia", HUB, **CAN) == pytest.approx(can)
    force, area, circle = 8000.0, 5.03e-6, 0.025
    torque = can * force * 0.105 / 1.025e-3
    angles = np.arange(6) * math.pi / 3
    shears = np.array([[0.0, force / 6]] * 6) + torque / (6 * circle / 2) * np.column_stack(
        [-np.sin(angles), np.cos(angles)])
    worst = float(np.hypot(*shears.T).max()) / area
    bolts = {
        "rotor__hub_bolts__bolts": 6.0, "rotor__hub_bolts__pattern_diameter": circle,
        "rotor__hub_bolts__bolt_stress_area": area, "rotor__hub_bolts__bolt_strength": 1220e6,
        "rotor__hub_bolts__bolt_shear_share": 0.5,
    }
    traits = (HUB, "rotor.hub_mounting=face")
    assert told("hub_bolt_stress", *traits, hit_force=force, **CAN, **bolts) == pytest.approx(worst, rel=1e-9)
    assert told("hub_bolt_margin", *traits, hit_force=force, **CAN, **bolts) == pytest.approx(610e6 / worst, rel=1e-9)


@pytest.mark.parametrize("shape", ["disc", "ring"])
def test_ring_of_the_book_grows(shape):
    """Hoop strain at the bore: steel of 7850 kg/m^3 and 207 GPa, bore 40 in 200 mm at 1000 rad/s, 65.3 MPa (Hearn,
    sec. 4.2-4.3, scaled to this bore), so 65.3 / 207e3 times 40 mm."""
    hoop = 3.3 / 4 * 7850 * 1000.0**2 * (0.1**2 + 0.7 / 3.3 * 0.02**2)
    assert hoop == pytest.approx(65.312e6, rel=1e-4)
    size = {"rotor__bore": 0.04, "rotor__diameter": 0.2, "rotor_speed": 1000.0, "rotor__density": 7850.0,
            "rotor__modulus": 207e9, "rotor__poisson": 0.3}
    traits = (HUB, "rotor.hub_mounting=ring", f"rotor.shape={shape}")
    assert told("hub_bore_growth", *traits, **size) == pytest.approx(hoop / 207e9 * 0.04, rel=1e-9)


# ------------------------------------------------------------ from the shelf


def derived(words: dict[str, str], **numbers: float) -> dict[str, float]:
    found = {key.replace("__", "."): value for key, value in numbers.items()}
    retention.derive(found, words, Shelves())
    return found


def test_designation_brings_rating_and_spacing():
    found = derived({"rotor.bearing.designation": "608"}, rotor__shaft__span=0.034)
    assert found["rotor.bearing.static_rating"] == pytest.approx(1370.0)
    assert found["rotor.bearing.spacing"] == pytest.approx(0.034)
    stated = derived({"rotor.bearing.designation": "608"}, rotor__bearing__static_rating=900.0)
    assert stated["rotor.bearing.static_rating"] == 900.0
    with pytest.raises(InputError) as caught:
        derived({"rotor.bearing.designation": "60S"})
    assert caught.value.key == "rotor.bearing.designation"
    bare = Shelves({"bearings": (Bearing("mine", 0.01, 0.02, 0.005),)})
    with pytest.raises(InputError, match="static rating"):
        retention.derive({}, {"rotor.bearing.designation": "mine"}, bare)
