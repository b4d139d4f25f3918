"""The gyro branch: the rotor as a gyroscope."""

from __future__ import annotations

from scaling.book.entry import Branch
from scaling.formulas.gyro import turning_couple

BRANCH = Branch("gyro", "Gyroscopic", turning_couple.VARIABLES, turning_couple.QUANTITIES)
