"""The thermal branch: heat in the motors and in their controllers."""

from __future__ import annotations

from scaling.book.entry import Branch
from scaling.formulas.thermal import controllers, windings

BRANCH = Branch(
    "thermal",
    "Thermal",
    (*windings.VARIABLES, *controllers.VARIABLES),
    (*windings.QUANTITIES, *controllers.QUANTITIES),
)
