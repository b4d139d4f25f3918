"""The structure branch: shaft, walls, lids, wedge, rails and a landing, each in strength and in stiffness."""

from __future__ import annotations

from scaling.book.entry import Branch
from scaling.formulas.structure import cantilever, energy_per_mass, landing, rail, shaft, walls

BRANCH = Branch(
    "structure",
    "Structure",
    (*shaft.VARIABLES, *walls.VARIABLES, *cantilever.VARIABLES, *rail.VARIABLES, *energy_per_mass.VARIABLES,
     *landing.VARIABLES),
    (*shaft.QUANTITIES, *walls.QUANTITIES, *cantilever.QUANTITIES, *rail.QUANTITIES,
     *energy_per_mass.QUANTITIES, *landing.QUANTITIES),
    shaft.CHOICES | walls.CHOICES | cantilever.CHOICES | rail.CHOICES,
)
