"""The transmission branch: the belt between motor and rotor, and a dead stop."""

from __future__ import annotations

from scaling.book.entry import Branch
from scaling.formulas.transmission import belts

BRANCH = Branch("transmission", "Transmission", belts.VARIABLES, belts.QUANTITIES, belts.CHOICES, belts.derive)
