"""The righting branch: standing, tipping and coming back onto the wheels."""

from __future__ import annotations

from scaling.book.entry import Branch
from scaling.formulas.righting import over

BRANCH = Branch("righting", "Righting", over.VARIABLES, over.QUANTITIES, over.CHOICES)
