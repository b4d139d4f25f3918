"""The impact branch: what a hit does to both machines, the peak force, a rotor stopped dead, hits taken.

The formulas stand in modules of one idea each; here they are joined into the branch.
"""

from __future__ import annotations

from scaling.formulas import eccentric_impact, hit_force, rotor_stop, taken_hit

VARIABLES = (*eccentric_impact.VARIABLES, *hit_force.VARIABLES, *taken_hit.VARIABLES)

QUANTITIES = (
    *eccentric_impact.QUANTITIES,
    *hit_force.QUANTITIES,
    *rotor_stop.QUANTITIES,
    *taken_hit.QUANTITIES,
)
