"""The electrical branch: pack, currents and wiring."""

from __future__ import annotations

from scaling.book.entry import Branch
from scaling.formulas.electrical import pack

BRANCH = Branch("electrical", "Electrical", pack.VARIABLES, pack.QUANTITIES, pack.CHOICES, pack.derive)
