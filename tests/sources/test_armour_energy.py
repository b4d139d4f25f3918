"""What a kilogram of armour takes, against integrals of stress over strain.

Neo-Hookean stresses: L. R. G. Treloar, The Physics of Rubber Elasticity, from memory: nominal stress G (l - 1 / l^2)
along one way, G (l - 1 / l^5) in each of two ways.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from scaling.formulas.structure.energy_per_mass import drawn, dug, mass_for, sprung, stretched


@pytest.mark.parametrize("stretch", [0.5, 1.0, 1.02, 2.0, 5.5])
def test_rubber_by_its_stress(stretch):
    shear = 60e6 / 3
    one, _ = quad(lambda at: shear * (at - at**-2), 1, stretch)
    both, _ = quad(lambda at: 2 * shear * (at - at**-5), 1, stretch)
    assert float(stretched(60e6, stretch, 1200.0, False)["energy"]) == pytest.approx(one / 1200, rel=1e-9, abs=1e-9)
    assert float(stretched(60e6, stretch, 1200.0, True)["energy"]) == pytest.approx(both / 1200, rel=1e-9, abs=1e-9)


def test_small_stretch_is_hookes():
    """E epsilon^2 / 2 along one way; both ways alike E epsilon^2 / (1 - nu) = 2 E epsilon^2 at nu = 1/2."""
    small = 1e-4
    assert float(stretched(60e6, 1 + small, 1.0, False)["energy"]) == pytest.approx(60e6 * small**2 / 2, rel=1e-3)
    assert float(stretched(60e6, 1 + small, 1.0, True)["energy"]) == pytest.approx(2 * 60e6 * small**2, rel=1e-3)
    assert np.isnan(stretched(60e6, np.array([0.0, -1.0]), 1.0, True)["energy"]).all()


def test_elastic_and_plastic_by_the_area_under_the_curve():
    """A material that yields at S and then holds it, drawn far: both parts of the area."""
    strength, modulus, density, strain = 880e6, 114e9, 4430.0, 0.1
    limit = strength / modulus
    area, _ = quad(lambda at: min(modulus * at, strength), 0, limit + strain, points=[limit])
    found = float(sprung(strength, modulus, density)["energy"] + drawn(strength, strain, density)["energy"])
    assert found == pytest.approx(area / density, rel=1e-9)


def test_a_bent_bar_stores_a_ninth():
    """Hinged bar, force in its middle: integral of M^2 / (2 E I) to first yield over its volume (Castigliano)."""
    span, width, depth, strength, modulus = 0.2, 0.02, 0.005, 250e6, 70e9
    inertia = width * depth**3 / 12
    force = 8 * strength * inertia / (span * depth)
    stored, _ = quad(lambda x: (force / 2 * x) ** 2 / (modulus * inertia), 0, span / 2)
    assert stored / (span * width * depth) == pytest.approx(float(sprung(strength, modulus, 1.0)["energy"]) / 9)


def test_dug_by_a_pressed_out_volume():
    """p times a groove's volume over its mass; and the mass that a hit's energy takes."""
    volume = 3e-7
    assert float(dug(74.2e6, 950.0)["energy"]) == pytest.approx(74.2e6 * volume / (950 * volume))
    assert float(mass_for(48.8, dug(74.2e6, 950.0)["energy"])["mass"]) == pytest.approx(48.8 / 74.2e6 * 950)
