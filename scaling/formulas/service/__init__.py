"""The service branch: what must be done between one match and the next."""

from __future__ import annotations

from scaling.book.entry import Branch
from scaling.formulas.service import swap

BRANCH = Branch("service", "Service", swap.VARIABLES, swap.QUANTITIES, swap.CHOICES)
