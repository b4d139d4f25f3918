"""The square-cube law and what biologists made of it.

Sources: G. Galilei, Two New Sciences, 1638, second day (bones); J. B. S. Haldane, On Being the Right Size, 1926
(falls); both as a web summary quotes them. M. Kleiber, Hilgardia 6, 1932 (the surface law that he found to fail), as
the same summary quotes him. T. McMahon, Size and Shape in Biology, Science 179, 1973 (elastic similarity), from
memory. The 1/20 model's mass: abstract of a chapter of a Taylor & Francis book (b11291-9), seen.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from small_pusher import PLAIN_BOX

from scaling.book.dimensions import dimension_of, solve_exactly
from scaling.book.similarity import similarity_ratio
from scaling.formulas import book
from scaling.port.rules import pure_inputs
from scaling.robot.design import load_design
from scaling.robot.parts import Part

CHECKS = ("total_mass", "weight", "mass_use")


def alike(unit: str, length: float) -> float:
    found = similarity_ratio(dimension_of(unit), length**3, length, "gravity", None)
    assert found is not None
    return float(found)


def test_galileo_doubles_a_bone() -> None:
    """Twice the length: eight times the weight on four times the area, so twice the stress."""
    assert alike("N", 2) == pytest.approx(8, rel=1e-12)
    assert alike("m^2", 2) == pytest.approx(4, rel=1e-12)
    assert alike("Pa", 2) == pytest.approx(2, rel=1e-12)
    assert alike("N", 2) / alike("m^2", 2) == pytest.approx(alike("Pa", 2), rel=1e-12)


def test_the_book_s_own_weight_follows_the_cube() -> None:
    traits = frozenset({"rotor", "rotor.axis=across"})
    powers = book.powers(pure_inputs("hold-tip-speed", "as-bought", traits), traits)
    assert powers["weight"] == 3
    assert powers["total_mass"] == 3


def test_mass_and_weight_of_a_listed_machine(tmp_path: Path) -> None:
    """Two motors of 50 g, four wheels of 20 g and 700 g of box are 880 g, 80 % of 1.1 kg. A kilogram weighs 9.80665 N:
    3rd CGPM, 1901."""
    path = tmp_path / "design.toml"
    path.write_text(PLAIN_BOX, encoding="utf-8")
    design = load_design(path)
    names = ["total_mass", "weight", "mass_use"]
    found = book.evaluate(design.variables | {"mass_limit": 1.1}, design.traits, only=names)
    assert found["total_mass"] == pytest.approx(0.880, rel=1e-12)
    assert found["weight"] == pytest.approx(0.880 * 9.80665, rel=1e-9)
    assert found["mass_use"] == pytest.approx(0.8, rel=1e-12)


def test_haldane_s_falls() -> None:
    """Terminal speed, where drag ~ L^2 v^2 meets weight ~ L^3, goes as the square root of length."""
    drag_meets_weight = np.roots([1.0, 0.0, -(2.0**3) / 2.0**2])  # v^2 = weight over area
    assert alike("m/s", 2) == pytest.approx(max(drag_meets_weight.real), rel=1e-12)
    assert alike("m/s", 2) == pytest.approx(2**0.5, rel=1e-12)


def test_surface_goes_as_mass_to_the_two_thirds() -> None:
    for mass in (2.0, 10.0, 1e3):
        assert alike("m^2", mass ** (1 / 3)) == pytest.approx(mass ** (2 / 3), rel=1e-12)


def test_a_one_to_twenty_model_weighs_an_eight_thousandth() -> None:
    assert Part("body", "solid", 8000.0).at(1 / 20) == pytest.approx(1, rel=1e-12)
    assert alike("kg", 1 / 20) == pytest.approx(1.25e-4, rel=1e-12)


def test_mcmahon_s_elastic_similarity() -> None:
    """l ~ d^(2/3) with M ~ l d^2: l ~ M^(1/4) and d ~ M^(3/8), solved for the powers of M of l and d."""
    conditions = [[Fraction(1), Fraction(-2, 3)], [Fraction(1), Fraction(2)]]
    assert solve_exactly(conditions, [Fraction(0), Fraction(1)]) == [Fraction(1, 4), Fraction(3, 8)]


def test_sheet_of_held_thickness_follows_the_square() -> None:
    """Area alone: why a robot's mass is not the cube of its length."""
    held = Part("lid", "sheet", 1.0, thickness=0.002, thickness_rule="hold")
    assert held.at(3.0) == pytest.approx(9, rel=1e-12)
    assert held.power == 2
    assert Part("lid", "sheet", 1.0, thickness=0.002).at(3.0) == pytest.approx(27, rel=1e-12)
    assert Part("link", "fixed", 1.0).at(3.0) == pytest.approx(1, rel=1e-12)
    assert Part("controller", "bought", 1.0).at(2.0) == pytest.approx(8, rel=1e-12)
