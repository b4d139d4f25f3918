"""The drive branch: push, speed and turning of the drive."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from scaling.book.entry import Branch
from scaling.formulas.drive import gearbox, push


def derive(numbers: dict[str, float], _words: Mapping[str, str], _shelves: object) -> None:
    """Fill in the gearbox's efficiency from its ratio; a drive that gears up has no stage to lose in."""
    if "drive.ratio" in numbers:
        found = gearbox.efficiency_estimate(np.asarray(max(numbers["drive.ratio"], 1.0)))["efficiency"]
        numbers.setdefault("drive.efficiency", float(found))


BRANCH = Branch("drive", "Drive", push.VARIABLES, push.QUANTITIES, derive=derive)
