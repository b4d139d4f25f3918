"""What a gram of armour takes: cut away, sprung within its elastic range, or torn like rubber.

Armour is bought by mass, so what counts is energy over mass, not strength. A hard plate holds or breaks; a flexible one
gives way over a long path. Which part of the plate takes part is the builder's to say: these are the most that a
kilogram in the way can take.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from scaling.book.algebra import symbols, where
from scaling.book.entry import Array, Model, Quantity, Variable
from scaling.formulas.impact.force import CRUSH_NUMBER, PUNCH

taken_energy = symbols("taken_hit_energy")[0]

PARTS = (("wall", "Side wall", "w"), ("lid", "Lid", "l"), ("wedge", "Wedge", "v"), ("rail", "Rail", "q"))
"""Tables of the design file that are armour, with what their labels begin with and the mark of their symbols."""

STEPS = 12
"""Newton steps to the stretch at which rubber's stress is the strength; six are enough from where they start."""


def dug(strength: Any, density: Any) -> Any:
    """Return the energy that a tooth's cut takes over the mass that it cuts away: p / rho, p = 2.97 S.

    Inputs, numbers, arrays or symbols: strength (Pa), density (kg/m^3). Returns J/kg. Valid for ductile armour thicker
    than the groove; a chip that leaves freely takes half as much, see impact/dig.py.

    >>> round(float(dug(25e6, 950.0)) / 1e3, 1)
    78.1

    Source: work of a pressure over a volume; the pressure is that of impact/force.py.
    """
    return CRUSH_NUMBER * strength / density


def is_drawn_out(strength: Any, modulus: Any, break_strain: Any) -> Any:
    """Return whether a material yields at less than half its elongation at break: 2 S / E below it.

    What does not, a laminate or a rubber, is not cut as ductile armour is. Inputs, numbers, arrays or symbols: strength
    (Pa), modulus (Pa), elongation at break.

    >>> is_drawn_out(22e6, 0.72e9, 3.5), is_drawn_out(550e6, 55e9, 0.01)
    (True, False)

    Source: definition.
    """
    return 2 * strength < modulus * break_strain


def sprung(strength: Any, modulus: Any, density: Any) -> Any:
    """Return the energy that a material stores over its mass until it yields: S^2 / (2 E rho).

    Inputs, numbers, arrays or symbols: strength (Pa), modulus (Pa), density (kg/m^3). Returns J/kg. Valid for what
    follows Hooke's law and where the stress is the same all through; a plate bent by a force on its middle stores a
    ninth of it or less.

    >>> round(sprung(880e6, 114e9, 4430.0))
    767

    Source: Hooke's law.
    """
    return strength**2 / (2 * modulus * density)


def torn(strength: Array, modulus: Array, break_strain: Array, density: Array) -> dict[str, Array]:
    """Return the energy over mass of pulling a material apart: the area under its stress up to its elongation at break.

    The stress follows rubber's law, G (l - 1 / l^2) at l times the length with G = E / 3, which is Hooke's while the
    stretch is small, until it is the strength; from there on it stays. So one law serves metals and plastics that yield
    at once and then draw out, what breaks without yielding, and flexible polymers that stretch to several times their
    length.

    Inputs, floats or arrays that broadcast: strength (Pa), modulus at small strain (Pa), elongation at break, density
    (kg/m^3). Returns ``energy`` (J/kg). An upper bound: pulled slowly and evenly, without a neck or a notch; in a blow
    less of it stretches, and what is printed tears between its layers long before.

    >>> strain, density = np.array([3.5, 0.11, 4.5]), np.array([940.0, 2810.0, 1210.0])
    >>> found = torn(np.array([22e6, 503e6, 40e6]), np.array([0.72e9, 71.7e9, 0.07e9]), strain, density)["energy"]
    >>> [round(float(energy) / 1e3) for energy in found]
    [82, 19, 135]

    Source: L. R. G. Treloar, The Physics of Rubber Elasticity, ch. 4 and 5: rubber's law; W. Johnson, Impact Strength
    of Materials: plastic work; both from memory.
    """
    shear, longest = modulus / 3, 1 + break_strain
    stretch = np.minimum(_stretch_at(strength / shear), longest)
    # l^2 + 2 / l - 3 is (l - 1)^2 (l + 2) / l, which keeps its digits where the stretch is small.
    stored = shear / 2 * (stretch - 1) ** 2 * (stretch + 2) / stretch
    return {"energy": np.asarray((stored + strength * (longest - stretch)) / density)}


def _stretch_at(stress: Array) -> Array:
    """Return the stretch l at which rubber's stress over its shear modulus, l - 1 / l^2, is ``stress``, by Newton.

    The curve bends down, so that steps from the left of the root never pass it.
    """
    stretch = 1 + stress / 3
    for _ in range(STEPS):
        stretch = stretch - (stretch - stretch**-2.0 - stress) / (1 + 2 * stretch**-3.0)
    return np.asarray(stretch)


def _of_part(table: str, title: str, mark: str) -> Iterator[Quantity]:
    """Yield what a gram of one part takes, and the grams that a hit taken cuts out of it."""
    strength, modulus, strain, density = symbols(
        f"{table}.strength {table}.modulus {table}.break_strain {table}.density"
    )
    cut = symbols(f"{table}_cut_energy_per_mass")[0]
    yield Quantity(
        f"{table}_cut_energy_per_mass", f"{title} cut energy per mass", f"e_{mark}c", "J/kg", "structure",
        "higher", where(is_drawn_out(strength, modulus, strain), dug(strength, density)),
        source=f"{PUNCH}; own-derivation: work of a pressure over a volume, p / rho",
        assumes="ductile armour thicker than the groove; a chip that leaves freely takes half as much; none of a "
        "laminate or a rubber",
    )
    yield Quantity(
        f"{table}_spring_energy_per_mass", f"{title} spring energy per mass", f"e_{mark}s", "J/kg", "structure",
        "higher", sprung(strength, modulus, density),
        source="own-derivation: Hooke's law, S^2 / (2 E rho)",
        assumes="given back; the stress the same all through: a plate bent by a force on its middle stores a ninth or "
        "less",
    )
    yield Quantity(
        f"{table}_tear_energy_per_mass", f"{title} tear energy per mass", f"e_{mark}t", "J/kg", "structure",
        "higher",
        Model(torn, (f"{table}.strength", f"{table}.modulus", f"{table}.break_strain", f"{table}.density"), "energy"),
        source="treloar ch. 4: neo-Hookean rubber up to the strength; johnson-impact: plastic work from there to the "
        "elongation at break",
        assumes="an upper bound: pulled slowly and evenly to its elongation at break, without neck or notch; prints "
        "tear between layers long before",
    )
    yield Quantity(
        f"{table}_cut_mass", f"{title} mass cut away at most", f"m_{mark}c", "kg", "structure", "lower",
        taken_energy / cut,
        source="definition",
        assumes="all of a taken hit's energy goes into the cut: a bound",
    )


def _variables(table: str, mark: str) -> tuple[Variable, ...]:
    return (
        Variable(f"{table}.density", f"rho_{mark}", "kg/m^3", f"density of the {table}'s material", derived=True),
        Variable(f"{table}.break_strain", f"epsilon_{mark}", "1", f"elongation at break of the {table}'s material",
                 derived=True),
    )


VARIABLES = tuple(variable for table, _, mark in PARTS for variable in _variables(table, mark))
QUANTITIES = tuple(quantity for part in PARTS for quantity in _of_part(*part))
