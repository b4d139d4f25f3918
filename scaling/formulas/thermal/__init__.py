"""The thermal branch: heat in the motors."""

from __future__ import annotations

from scaling.book.entry import Branch
from scaling.formulas.thermal import windings

BRANCH = Branch("thermal", "Thermal", windings.VARIABLES, windings.QUANTITIES)
