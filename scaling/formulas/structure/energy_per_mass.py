"""What a gram of armour takes: dug away, bent within its elastic range, torn through, or stretched like rubber.

Armour is bought by mass, so what counts is energy over mass, not strength. A hard plate holds or breaks; a flexible one
gives way over a long path. Which part of the plate takes part is the builder's to say: these are the most that a
kilogram in the way can take. Source of the energies: W. Johnson, Impact Strength of Materials, from memory; of the
rubber: L. R. G. Treloar, The Physics of Rubber Elasticity, ch. 4 and 5, from memory.
"""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array


def dug(pressure: Array, density: Array) -> dict[str, Array]:
    """Return the energy that digging takes over the mass that is dug away: p / rho.

    Inputs, floats or arrays that broadcast: pressure on the tooth's front (Pa; see impact/dig.py), density (kg/m^3).
    Returns ``energy`` (J/kg). Valid for ductile armour thicker than the groove.

    >>> round(float(dug(74.2125e6, 950.0)["energy"]) / 1e3, 1)
    78.1

    Source: work of a pressure over a volume.
    """
    return {"energy": np.asarray(pressure / np.asarray(density))}


def sprung(strength: Array, modulus: Array, density: Array) -> dict[str, Array]:
    """Return the energy that a material stores over its mass until it yields: S^2 / (2 E rho).

    Inputs, floats or arrays that broadcast: strength (Pa), modulus (Pa), density (kg/m^3). Returns ``energy`` (J/kg).
    Valid where the stress is the same all through; a plate bent by a force on its middle stores a ninth of it or less.

    >>> round(float(sprung(880e6, 114e9, 4430.0)["energy"]))
    767

    Source: Hooke's law.
    """
    return {"energy": np.asarray(np.asarray(strength) ** 2 / (2 * np.asarray(modulus) * density))}


def drawn(strength: Array, strain: Array, density: Array) -> dict[str, Array]:
    """Return the energy over mass of a ductile material drawn out to ``strain``: S epsilon / rho.

    Inputs, floats or arrays that broadcast: yield strength (Pa), plastic strain, density (kg/m^3). Returns ``energy``
    (J/kg). Valid without hardening and necking: state the even strain, not the elongation at break of a short bar.

    >>> round(float(drawn(22e6, 3.0, 940.0)["energy"]) / 1e3, 1)
    70.2

    Source: plastic work.
    """
    return {"energy": np.asarray(np.asarray(strength) * strain / np.asarray(density))}


def stretched(modulus: Array, stretch: Array, density: Array, both_ways: Array) -> dict[str, Array]:
    """Return the energy over mass of a rubber-like material stretched to ``stretch`` times its length.

    Neo-Hookean, G = E / 3: G (l^2 + 2 / l - 3) / (2 rho) along one way, G (2 l^2 + 1 / l^4 - 3) / (2 rho) both ways
    alike, as under a tooth that pushes into a sheet held around.

    Inputs, floats or arrays that broadcast: modulus at small strain (Pa), stretch l, density (kg/m^3), whether it is
    stretched both ways. Returns ``energy`` (J/kg), NaN for a stretch that is not positive. Valid for thermoplastic
    elastomers as an order: they are stiffer than this at first and harden near their end, and printed ones tear between
    layers long before.

    >>> round(float(stretched(60e6, 3.0, 1200.0, False)["energy"]) / 1e3, 1)
    55.6

    Source: this module's.
    """
    stretch = np.asarray(stretch, dtype=float)
    stretch = np.where(stretch > 0, stretch, np.nan)
    one, both = stretch**2 + 2 / stretch - 3, 2 * stretch**2 + stretch**-4.0 - 3
    return {"energy": np.asarray(np.asarray(modulus) / 6 * np.where(both_ways, both, one) / np.asarray(density))}


def mass_for(energy: Array, energy_per_mass: Array) -> dict[str, Array]:
    """Return the mass that takes an energy: E / e.

    Inputs, floats or arrays that broadcast: energy of a hit (J), energy over mass (J/kg). Returns ``mass`` (kg), the
    least that must be in the way.

    >>> float(mass_for(48.8, 48.8e3)["mass"])
    0.001

    Source: definition.
    """
    return {"mass": np.asarray(energy / np.asarray(energy_per_mass))}
