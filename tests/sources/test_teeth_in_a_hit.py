"""Teeth under a hit: the root against limits of plasticity, the bolts by vectors and a table.

Independent routes: the plastic hinge and the shear of a section by themselves; Drucker's interaction of both in a
rectangular beam (D. C. Drucker, J. Appl. Mech. 23, 1956, from memory); EN 1993-1-8:2005 table 3.4, from memory.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from scaling.formulas import book

CHECKS = ("tooth_strength", "tooth_root_force", "tooth_root_margin", "tooth_hit_bolt_margin")

TOOTH = {
    "rotor.tooth_width": 0.008, "rotor.tooth_height": 0.009, "rotor.tooth_thickness": 0.012, "rotor.strength": 1450e6,
    "bite": 0.006, "hit_force": 4000.0,
}


def told(name, *traits, **changes):
    given = TOOTH | {key.replace("__", "."): value for key, value in changes.items()}
    return float(book.evaluate(given, frozenset(traits), only=[name])[name])


def test_long_tooth_is_a_hinge_and_a_stub_is_sheared():
    """S w s^2 / 4 over the lever, by fibres; S / sqrt(3) on the root: each within 1 % where the other is far."""
    fibres = (np.arange(1000) + 0.5) / 1000 - 0.5
    moment = 1450e6 * 0.008 * 0.002**2 * float(np.abs(fibres).mean())
    found = told("tooth_root_force", rotor__tooth_height=0.05, rotor__tooth_thickness=0.002, bite=0.002)
    assert found == pytest.approx(moment / 0.049, rel=0.01)
    stub = told("tooth_root_force", rotor__tooth_height=0.001, rotor__tooth_thickness=0.05, bite=0.001)
    assert stub == pytest.approx(1450e6 / math.sqrt(3) * 0.008 * 0.05, rel=0.01)


@pytest.mark.parametrize("share", [0.2, 0.5, 1.0, 2.0])
def test_in_between_it_is_near_druckers_curve(share):
    """M / M_p = 1 - (V / V_p)^4, from memory, by bisection: 4 % above that at most, a fifth below."""
    thickness, lever = 0.01, 0.01 * share
    moment, shear = 1450e6 * 0.008 * thickness**2 / 4, 1450e6 / math.sqrt(3) * 0.008 * thickness
    low, high = 0.0, shear
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if middle * lever / moment + (middle / shear) ** 4 < 1 else (low, middle)
    found = told("tooth_root_force", rotor__tooth_height=lever + 0.001, rotor__tooth_thickness=thickness,
                 bite=0.002)
    assert 0.8 * low < found < 1.04 * low


def test_tooth_of_another_material():
    """By proportion: the root bears as its own material is strong; the margin is that over the hit's force."""
    assert told("tooth_strength") == 1450e6
    assert told("tooth_strength", rotor__tooth__strength=900e6) == 900e6
    soft = told("tooth_root_force", rotor__tooth__strength=725e6)
    assert soft == pytest.approx(told("tooth_root_force") / 2)
    # Worked by hand: l = 9 - 3 = 6 mm, s = 12 mm: 139.2 kN / sqrt(3 + 4) = 52.6 kN, over 4 kN 13.2.
    assert told("tooth_root_margin") == pytest.approx(1450e6 * 0.008 * 0.012 / math.sqrt(7) / 4000, rel=1e-9)


BOLTS = {
    "rotor__tooth__bolts": 2.0, "rotor__tooth__bolt_stress_area": 8.78e-6, "rotor__tooth__bolt_strength": 1220e6,
    "rotor__tooth__bolt_share": 0.5, "rotor__tooth__mass": 0.01, "rotor__tooth__radius": 0.05, "rotor__speed": 1000.0,
}
"""Two M4 of class 12.9 on a tooth of 10 g at 50 mm and 1000 rad/s, which pulls 500 N; half of 4 kN reaches them."""


def test_bolts_along_the_axle_shear_by_both():
    """2 kN along the cut and 500 N outwards as vectors, 0.6 f_ub A on each of two."""
    both = math.hypot(2000.0, 500.0) / 2
    found = told("tooth_hit_bolt_margin", "rotor.tooth.bolt_load=shear", **BOLTS)
    assert found == pytest.approx(0.6 * 1220e6 * 8.78e-6 / both, rel=1e-9)


def test_bolts_along_the_radius_by_the_table():
    """F_v / (0.6 f_ub A) + F_t / (1.4 * 0.9 f_ub A) on each of two; at the margin's load just 1."""
    found = told("tooth_hit_bolt_margin", "rotor.tooth.bolt_load=tension", **BOLTS)
    shear, tension, area = found * 1000.0, found * 250.0, 8.78e-6
    assert shear / (0.6 * 1220e6 * area) + tension / (1.4 * 0.9 * 1220e6 * area) == pytest.approx(1.0, rel=1e-9)


def test_a_tooth_that_armour_stops_before_it_is_in_bears_nearer_its_tip():
    """Worked by hand: half the force that the whole bite asks for digs half of 6 mm, so l = 9 - 1.5 = 7.5 mm.

    139.2 kN / sqrt(3 + 16 (7.5 / 12)^2) = 45.77 kN. A deeper bite at the same force leaves that where it is.
    """
    found = told("tooth_root_force", hit_crush_force=8000.0)
    assert found == pytest.approx(45.77e3, rel=1e-3)
    deeper = told("tooth_root_force", hit_crush_force=9600.0, bite=0.0072)
    assert deeper == pytest.approx(found)
