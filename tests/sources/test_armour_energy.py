"""What a kilogram of armour takes, against integrals of stress over strain.

Neo-Hookean stress: L. R. G. Treloar, The Physics of Rubber Elasticity, from memory: G (l - 1 / l^2) along one way.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from scaling.formulas import book
from scaling.formulas.structure.energy_per_mass import PARTS, sprung, torn
from scaling.shop.materials import materials

CHECKS = (
    "wall_cut_energy_per_mass", "wall_spring_energy_per_mass", "wall_tear_energy_per_mass", "wall_cut_mass",
    "lid_cut_energy_per_mass", "lid_spring_energy_per_mass", "lid_tear_energy_per_mass", "lid_cut_mass",
    "wedge_cut_energy_per_mass", "wedge_spring_energy_per_mass", "wedge_tear_energy_per_mass", "wedge_cut_mass",
    "rail_cut_energy_per_mass", "rail_spring_energy_per_mass", "rail_tear_energy_per_mass", "rail_cut_mass",
)

TABLES = [table for table, _, _ in PARTS]


def area(strength: float, modulus: float, strain: float) -> float:
    """Work over volume: the area under rubber's stress cut off at the strength, up to the elongation at break."""
    shear = modulus / 3

    def stress(stretch: float) -> float:
        return min(shear * (stretch - stretch**-2), strength)

    corner = brentq(lambda at: shear * (at - at**-2) - strength, 1, 2 + 4 * strength / shear)
    middle = min(corner, 1 + strain)
    return float(quad(stress, 1, middle)[0] + quad(stress, middle, 1 + strain)[0])


@pytest.mark.parametrize("name", sorted(materials()))
def test_torn_by_the_area_under_the_curve(name: str) -> None:
    one = materials()[name]
    given = one.strength.typical, one.modulus.typical, one.break_strain
    found = torn(*map(np.asarray, given), np.asarray(one.density.typical))["energy"]
    assert float(found) == pytest.approx(area(*given) / one.density.typical, rel=1e-6)


def test_torn_of_what_yields_at_once_is_strength_times_strain() -> None:
    """Stiff and ductile: S epsilon / rho less half the strain at which it yields, by hand from Hooke's triangle."""
    strength, modulus, strain, density = 250e6, 210e9, 0.2, 7850.0
    by_hand = strength * (strain - strength / modulus / 2) / density
    found = torn(*map(np.asarray, (strength, modulus, strain, density)))["energy"]
    assert float(found) == pytest.approx(by_hand, rel=1e-4)


def test_torn_of_what_breaks_before_it_yields_is_hookes_triangle() -> None:
    found = torn(*map(np.asarray, (550e6, 55e9, 0.002, 1580.0)))["energy"]
    assert float(found) == pytest.approx(55e9 * 0.002**2 / 2 / 1580, rel=2e-3)


def test_a_flexible_polymer_takes_more_a_gram_than_hard_metal() -> None:
    """Common practice, no source: soft printed armour stops hits, gram for gram, that tear or shatter hard plates."""
    by_kind = {name: float(torn(*map(np.asarray, (one.strength.typical, one.modulus.typical, one.break_strain,
                                                  one.density.typical)))["energy"])
               for name, one in materials().items()}
    assert by_kind["tpu95a"] > 3 * by_kind["titanium-6al-4v"]
    assert by_kind["carbon-fibre-plate"] < by_kind["steel-mild"]


def test_a_bent_bar_stores_a_ninth() -> None:
    """Hinged bar, force in its middle: integral of M^2 / (2 E I) to first yield over its volume (Castigliano)."""
    span, width, depth, strength, modulus = 0.2, 0.02, 0.005, 250e6, 70e9
    inertia = width * depth**3 / 12
    force = 8 * strength * inertia / (span * depth)
    stored, _ = quad(lambda x: (force / 2 * x) ** 2 / (modulus * inertia), 0, span / 2)
    assert stored / (span * width * depth) == pytest.approx(float(sprung(strength, modulus, 1.0)) / 9)


@pytest.mark.parametrize("table", TABLES)
def test_the_book_s_figures_of_a_part(table: str) -> None:
    """Cut: 2.9685 of the strength (Hill's flat punch) over the density; sprung and torn by the areas above."""
    strength, modulus, strain, density, energy = 22e6, 0.72e9, 3.5, 940.0, 48.8
    given = {
        f"{table}.strength": strength, f"{table}.modulus": modulus, f"{table}.break_strain": strain,
        f"{table}.density": density, "taken_hit_energy": energy,
    }
    wanted = [name for name in CHECKS if name.startswith(f"{table}_")]
    found: dict[str, Any] = book.evaluate(given, frozenset(), only=wanted)
    assert len(found) == len(wanted) == 4
    cut = 2.9685 * strength / density
    hooke, _ = quad(lambda stress: stress / modulus, 0, strength)
    assert float(found[f"{table}_cut_energy_per_mass"]) == pytest.approx(cut, rel=1e-4)
    assert float(found[f"{table}_cut_mass"]) == pytest.approx(energy / cut, rel=1e-4)
    assert float(found[f"{table}_spring_energy_per_mass"]) == pytest.approx(hooke / density, rel=1e-6)
    assert float(found[f"{table}_tear_energy_per_mass"]) == pytest.approx(
        area(strength, modulus, strain) / density, rel=1e-6
    )


@pytest.mark.parametrize("name", ["carbon-fibre-plate", "glass-fibre-plate", "rubber-chloroprene"])
def test_what_is_not_ductile_is_not_cut_like_it(name: str) -> None:
    """Laminates break and rubber stretches where their stress is the strength: no flat punch's pressure (Hill)."""
    one = materials()[name]
    given = {
        "lid.strength": one.strength.typical, "lid.modulus": one.modulus.typical, "lid.break_strain": one.break_strain,
        "lid.density": one.density.typical, "taken_hit_energy": 48.8,
    }
    assert np.isnan(float(book.evaluate(given, frozenset(), only=["lid_cut_mass"])["lid_cut_mass"]))


def test_a_part_s_material_gives_its_density_and_elongation(main_demo: Any) -> None:
    """UHMWPE by the handbooks: 940 kg/m^3, 3.5 times its length longer at break."""
    own = main_demo.design.variables
    assert own["wall.density"] == 940.0
    assert own["wall.break_strain"] == 3.5
