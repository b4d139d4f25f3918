"""The impact branch: what a hit does to both machines, its peak force, hits taken, rotors that meet or stop dead."""

from __future__ import annotations

from scaling.book.entry import Branch
from scaling.formulas.impact import clash, eccentric, force, given, rotor_stop, taken

BRANCH = Branch(
    "impact",
    "Impact",
    (*eccentric.VARIABLES, *force.VARIABLES, *given.VARIABLES, *taken.VARIABLES, *clash.VARIABLES),
    (
        *eccentric.BODIES, *given.QUANTITIES, *eccentric.AFTER, *force.QUANTITIES, *rotor_stop.QUANTITIES,
        *taken.QUANTITIES, *clash.QUANTITIES,
    ),
)
