"""Laminates do not yield, they are perforated: the energy that a blunt body needs to go through."""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array

POWER = 1.4

UNIT_ENERGY = 0.49
"""Energy in J for a product of thickness, fibre share and tup diameter of 1 mm^2; carbon or glass in epoxy."""

UNIT_AREA = 1e-6
"""That product, in m^2."""


def perforation_energy(
    thickness: Array, fibre_share: Array, tup_diameter: Array, unit_energy: Array, unit_area: Array
) -> dict[str, Array]:
    """Return the energy that perforates a laminate: U = U_0 (t V_f D / A_0)^1.4.

    Inputs, floats or arrays that broadcast: thickness t (m), share of fibres by volume V_f, diameter D of a round tup
    (m; of a tooth that of a circle with its outline), and one known point of the law: the energy U_0 (J) at which t
    V_f D is A_0 (m^2). The published law is 0.49 J at 1 mm^2: ``UNIT_ENERGY`` and ``UNIT_AREA``. Returns ``energy``
    (J), NaN where a factor is not positive. Valid for a slow blunt impact square to a plate held around; a sharp corner
    goes through at less.

    >>> round(float(perforation_energy(1.5e-3, 0.55, 8e-3, UNIT_ENERGY, UNIT_AREA)["energy"]), 1)
    6.9

    Source: G. Caprino & V. Lopresto, On the penetration energy for fibre-reinforced plastics under low-velocity impact
    conditions, Composites Science and Technology 61 (2001), from memory, its coefficient unverified.
    """
    product = np.asarray(thickness, dtype=float) * fibre_share * tup_diameter / unit_area
    with np.errstate(all="ignore"):
        energy = unit_energy * np.where(product > 0, product, np.nan) ** POWER
    return {"energy": np.asarray(energy)}


def round_tup(outline: Array) -> Array:
    """Return the diameter (m) of a round tup with that ``outline`` (m): what a tooth cuts along its edge.

    >>> round(float(round_tup(2 * (0.008 + 0.003374))) * 1e3, 2)
    7.24

    Source: definition; that the outline is what counts is common practice, no source.
    """
    return np.asarray(np.asarray(outline) / np.pi)
