"""The joints branch: bolted joints under a hit."""

from __future__ import annotations

from scaling.book.entry import Branch
from scaling.formulas.joints import places

BRANCH = Branch("joints", "Joints", places.VARIABLES, places.QUANTITIES, places.CHOICES, places.derive)
