"""The hit that the own machine takes from a rotor of its class, and the greatest force it puts on a part.

A robot with a rotor meets one like its own unless the design describes another in ``[attacker]``; a robot without a
rotor takes hits only from an ``[attacker]``.
"""

from __future__ import annotations

import sympy

from scaling.book.entry import Quantity, Variable, least, symbols
from scaling.formulas.impact.force import CRUSH, PUNCH

mass, mass_limit = symbols("mass mass_limit")
specific_energy, speed, tooth_width, bite = symbols(
    "attacker.specific_energy attacker.tip_speed attacker.tooth_width attacker.bite"
)
own_tooth_width, own_bite, deepest, hit_energy = symbols("rotor.tooth_width bite hit_bite_depth hit_energy")
taken_energy, tooth_area, bite_depth = symbols("taken_hit_energy taken_tooth_area taken_bite_depth")

VARIABLES = (
    Variable("attacker.specific_energy", "e_t", "J/kg", "energy of the rotor that hits you over its robot's mass"),
    Variable("attacker.tip_speed", "v_t", "m/s", "tip speed of the rotor that hits you"),
    Variable("attacker.tooth_width", "w_t", "m", "width of its tooth along its axis", 1),
    Variable("attacker.bite", "b_t", "m", "advance per passage of its teeth, at most their height", 1),
)

_PHASE = (
    "definition: a tooth comes at any moment of the advance b, so its depth is anything from nothing to the whole bite "
    "alike, b / 2 on the mean"
)

QUANTITIES = (
    Quantity(
        "taken_hit_energy", "Energy of a hit taken", "E_t", "J", "impact", "same",
        1
        / (
            1 / (specific_energy * mass_limit)
            + 2 / speed**2 * (1 / mass + 1 / mass_limit)
        ),
        source="goldsmith ch. 2: energy of the relative motion, m_e v^2 / 2 with I/r^2 = 2 E/v^2 of the attacker's "
        "rotor",
        assumes="attacker of the class's mass limit as [attacker] says; hit through the own centre of gravity, free "
        "machines",
    ),
    Quantity(
        "taken_hit_energy", "Energy of a hit taken", "E_t", "J", "impact", "same",
        hit_energy,
        source="definition: an opponent with the robot's own rotor",
        assumes="as hit_energy, the other way round",
    ),
    Quantity(
        "taken_bite_depth", "Attacker's mean bite", "b_m", "m", "impact", "same", bite / 2,
        source=_PHASE, assumes="attacker.bite at most the height of its teeth",
    ),
    Quantity(
        "taken_bite_depth", "Attacker's mean bite", "b_m", "m", "impact", "same",
        deepest * (1 - deepest / (2 * own_bite)),
        source=f"{_PHASE}, at most the tooth's height h, so h - h^2 / (2 b) for a longer advance",
        assumes="an opponent with the robot's own teeth and bite",
    ),
    Quantity(
        "taken_tooth_area", "Attacker's tooth contact area", "A_t", "m^2", "impact", "same",
        tooth_width * bite_depth,
        source="definition: the tooth's width times the depth that it takes",
    ),
    Quantity(
        "taken_tooth_area", "Attacker's tooth contact area", "A_t", "m^2", "impact", "same",
        own_tooth_width * bite_depth,
        source="definition: an opponent with the robot's own teeth",
    ),
)

BLOW = (
    "goldsmith ch. 4: the lesser of mass on a spring, F = v sqrt(k m) = sqrt(2 E k), and what the part's surface can "
    f"bear before the tooth cuts in; {PUNCH}"
)
BLOW_ASSUMES = (
    "the part a massless spring held by a rigid machine, tooth and part's surface stiff beside it; its material "
    "yields before it breaks; no rise of strength with speed"
)


def crush_force(strength: sympy.Expr) -> sympy.Expr:
    """Force (N) at which the attacker's tooth cuts into a part of that ``strength`` (Pa)."""
    return CRUSH * strength * tooth_area


def blow(stiffness: sympy.Expr, crush: sympy.Expr) -> sympy.Expr:
    """Greatest force (N) of a taken hit on a part of ``stiffness`` (N/m) whose surface gives way at ``crush`` (N)."""
    return least(sympy.sqrt(2 * taken_energy * stiffness), crush)
