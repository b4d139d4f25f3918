"""The structure branch: shaft, walls, lids, wedge, rails, wheels and a landing, each in strength and in stiffness."""

from __future__ import annotations

from scaling.book.entry import Branch
from scaling.formulas.structure import (
    cantilever,
    clash_holds,
    deep,
    energy_per_mass,
    landing,
    rail,
    shaft,
    walls,
    wheel_shaft,
)

_MODULES = (shaft, clash_holds, walls, deep, cantilever, rail, energy_per_mass, landing, wheel_shaft)

BRANCH = Branch(
    "structure",
    "Structure",
    tuple(variable for module in _MODULES for variable in getattr(module, "VARIABLES", ())),
    tuple(quantity for module in _MODULES for quantity in module.QUANTITIES),
    shaft.CHOICES | walls.CHOICES | cantilever.CHOICES | rail.CHOICES | wheel_shaft.CHOICES,
)
