"""The mass branch: mass and what it is compared with."""

from __future__ import annotations

from scaling.book.entry import Branch
from scaling.formulas.mass import whole

BRANCH = Branch("mass", "Mass", whole.VARIABLES, whole.QUANTITIES)
