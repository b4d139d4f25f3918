"""A thin elastic plate bent by more than its thickness: it carries as a membrane too, and bends less than a plate.

w / h + A (w / h)^3 = F / (k h) for a round plate of stiffness k under a force on its middle. Source of A: S.
Timoshenko & S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., table 82, Poisson's ratio 0.3, from memory;
recomputed.
"""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array

CLAMPED_SLIPPING, HINGED_SLIPPING = 0.200, 0.272
"""Stiffening A of a round plate whose edge is free to slip, clamped and free to turn."""


def stretched_deflection(
    energy: Array, most_force: Array, stiffness: Array, thickness: Array, stretch: float
) -> dict[str, Array]:
    """Return how far an energy on its middle bends a plate elastically, its stretch allowed for.

    E = k (w^2 / 2 + A w^4 / (4 h^2)), so w^2 = h^2 / A (sqrt(1 + 4 A E / (k h^2)) - 1); no further than the greatest
    force lets it, by the cubic's real root, sinh(arsinh(...) / 3).

    Inputs, floats or arrays that broadcast: energy (J), greatest force (N), bending stiffness k (N/m), thickness h (m),
    and the stiffening A, 0.443 of a clamped plate whose edge is held from sliding. Returns ``deflection`` (m), NaN for
    a negative energy. Valid for an elastic plate, Poisson's ratio near 0.3, a force on a small area.

    >>> round(float(stretched_deflection(1e9, 1.443e3, 1e6, 1e-3, 0.443)["deflection"]) * 1e3, 3)
    1.0

    Source: this module's.
    """
    thickness = np.asarray(thickness, dtype=float)
    energy, bending = np.asarray(energy, dtype=float), np.asarray(stiffness, dtype=float) * thickness**2
    energy = np.where(energy >= 0, energy, np.nan)
    by_energy = thickness * np.sqrt((np.sqrt(1 + 4 * stretch * energy / bending) - 1) / stretch)
    scale = 2 / np.sqrt(3 * stretch)
    bent = np.asarray(most_force) / (stiffness * thickness)
    by_force = thickness * scale * np.sinh(np.arcsinh(1.5 * np.sqrt(3 * stretch) * bent) / 3)
    return {"deflection": np.asarray(np.minimum(by_energy, by_force))}
