"""The structure branch: shaft, walls, lids, wedge, rails and a landing, each in strength and in stiffness."""

from __future__ import annotations

from scaling.book.entry import Branch
from scaling.formulas.structure import cantilever, clash_holds, deep, landing, rail, shaft, walls

BRANCH = Branch(
    "structure",
    "Structure",
    (
        *shaft.VARIABLES, *walls.VARIABLES, *deep.VARIABLES, *cantilever.VARIABLES, *rail.VARIABLES,
        *landing.VARIABLES,
    ),
    (
        *shaft.QUANTITIES, *clash_holds.QUANTITIES, *walls.QUANTITIES, *deep.QUANTITIES, *cantilever.QUANTITIES,
        *rail.QUANTITIES, *landing.QUANTITIES,
    ),
    shaft.CHOICES | walls.CHOICES | cantilever.CHOICES | rail.CHOICES,
)
