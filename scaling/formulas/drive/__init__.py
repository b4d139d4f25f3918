"""The drive branch: push, speed and turning of the drive."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from scaling.book.entry import Branch
from scaling.formulas.drive import gearbox, inverted, push


def derive(numbers: dict[str, float], _words: Mapping[str, str], _shelves: object) -> None:
    """Fill in the gearbox's efficiency from its ratio, none lost by a drive that gears up, and the body's height."""
    if "drive.ratio" in numbers:
        found = gearbox.efficiency_estimate(np.asarray(max(numbers["drive.ratio"], 1.0)))["efficiency"]
        numbers.setdefault("drive.efficiency", float(found))
    inverted.derive(numbers)


BRANCH = Branch("drive", "Drive", push.VARIABLES, push.QUANTITIES, derive=derive)
