"""The impact branch: what a hit does to both machines, the peak force, a rotor stopped dead, hits taken."""

from __future__ import annotations

from scaling.book.entry import Branch
from scaling.formulas.impact import eccentric, force, given, rotor_stop, taken

BRANCH = Branch(
    "impact",
    "Impact",
    (*eccentric.VARIABLES, *force.VARIABLES, *given.VARIABLES, *taken.VARIABLES),
    (
        *eccentric.BODIES, *given.QUANTITIES, *eccentric.AFTER, *force.QUANTITIES, *rotor_stop.QUANTITIES,
        *taken.QUANTITIES,
    ),
)
