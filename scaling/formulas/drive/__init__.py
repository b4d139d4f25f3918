"""The drive branch: push, speed and turning of the drive."""

from __future__ import annotations

from scaling.book.entry import Branch
from scaling.formulas.drive import push

BRANCH = Branch("drive", "Drive", push.VARIABLES, push.QUANTITIES)
