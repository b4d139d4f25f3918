"""The rotor branch: motion, motor, strength and air drag of the rotor."""

from __future__ import annotations

from scaling.book.entry import Branch
from scaling.formulas.rotor import motion

BRANCH = Branch("rotor", "Rotor", motion.VARIABLES, motion.QUANTITIES, motion.CHOICES, motion.derive)
