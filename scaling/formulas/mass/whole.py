"""The whole robot: mass and what it is compared with."""

from __future__ import annotations

from scaling.book.algebra import symbols
from scaling.book.entry import Quantity

mass, mass_limit, gravity = symbols("mass mass_limit gravity")

VARIABLES = ()

QUANTITIES = (
    Quantity(
        "total_mass", "Total mass", "m", "kg", "mass", "same", mass,
        role="budget",
        source="definition: sum of the design's parts",
    ),
    Quantity(
        "mass_use", "Share of mass limit", "m/m_lim", "1", "mass", "same", mass / mass_limit,
        role="budget",
        source="definition",
    ),
    Quantity(
        "weight", "Weight", "m g", "N", "mass", "same", mass * gravity,
        source="own-derivation: Newton's second law; cgpm1901: g = 9.80665 m/s2 is the standard value",
    ),
)
