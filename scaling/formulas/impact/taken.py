"""The hit that the own machine takes from a rotor of its class, and the greatest force it puts on a part.

A robot with a rotor meets that of its class unless the design describes another in ``[attacker]``: the reference's
own, carried to the class's mass limit, the same for every port of that limit. A robot without a rotor takes hits only
from an ``[attacker]``. A tooth runs along the face that it hits, so that on the mean only a glancing share of the
energy is square to it; all of it is the bound.
"""

from __future__ import annotations

from scaling.book.algebra import Expression, least, sqrt, symbols
from scaling.book.entry import Quantity, Variable
from scaling.formulas.impact.force import CRUSH, PUNCH

mass, mass_limit = symbols("mass mass_limit")
specific_energy, speed, tooth_width, bite, diameter = symbols(
    "attacker.specific_energy attacker.tip_speed attacker.tooth_width attacker.bite attacker.diameter"
)
taken_energy, glance_share, glancing_energy, tooth_area, bite_depth, tooth_area_bound = symbols(
    "taken_hit_energy taken_glance_share taken_glancing_energy taken_tooth_area taken_bite_depth taken_tooth_area_bound"
)

armour_strength, contact_stiffness = symbols("opponent.armour_strength contact_stiffness")

VARIABLES = (
    Variable("attacker.specific_energy", "e_t", "J/kg", "energy of the rotor that hits you over its robot's mass"),
    Variable("attacker.tip_speed", "v_t", "m/s", "tip speed of the rotor that hits you"),
    Variable("attacker.tooth_width", "w_t", "m", "width of its tooth along its axis", 1),
    Variable("attacker.bite", "b_t", "m", "advance per passage of its teeth, at most their height", 1),
    Variable("attacker.diameter", "D_t", "m", "its cutting circle, which says how flatly a tooth meets a face", 1,
             optional=True),
)

_OPPONENT = (
    "opponent of the class's mass limit: as [attacker] says, else with the reference's own rotor carried to the class "
    "by the gravity-similar rule"
)

QUANTITIES = (
    Quantity(
        "taken_hit_energy", "Energy of a hit taken", "E_t", "J", "impact", "same",
        1
        / (
            1 / (specific_energy * mass_limit)
            + 2 / speed**2 * (1 / mass + 1 / mass_limit)
        ),
        source="thomson-tait sec. 266: energy of the relative motion, m_e v^2 / 2 with I/r^2 = 2 E/v^2 of the "
        "attacker's rotor",
        assumes=f"{_OPPONENT}; hit through the own centre of gravity, free machines; all of it, as in a hit square on",
    ),
    Quantity(
        "taken_bite_depth", "Attacker's mean bite", "b_m", "m", "impact", "same", bite / 2,
        source="definition: a tooth comes at any moment of the advance b, so its depth is anything from nothing to the "
        "whole bite alike, b / 2 on the mean",
        assumes=f"attacker.bite at most the height of its teeth; {_OPPONENT}",
    ),
    Quantity(
        "taken_glance_share", "Share of a taken hit square to a face", "sin^2 phi", "1", "impact", "same",
        1 - (1 - 2 * bite_depth / diameter) ** 2,
        source="own-derivation: a tooth that reaches b past a face meets it at cos phi = 1 - b/r, and the speed square "
        "to the face is sin phi of its own",
        assumes="a tooth that runs along the face, as along a wall, lid or wedge, at the mean bite",
    ),
    Quantity(
        "taken_glancing_energy", "Energy of a glancing hit taken", "E_g", "J", "impact", "same",
        taken_energy * glance_share,
        source="thomson-tait sec. 266: energy of the speed square to the face",
        assumes="as taken_glance_share",
    ),
    Quantity(
        "taken_glancing_energy", "Energy of a glancing hit taken", "E_g", "J", "impact", "same",
        taken_energy,
        source="as taken_hit_energy",
        assumes="attacker.diameter not stated: as square on, a bound",
    ),
    Quantity(
        "taken_tooth_area", "Attacker's tooth contact area", "A_t", "m^2", "impact", "same",
        tooth_width * bite_depth,
        source="definition: the tooth's width times the depth that it takes",
        assumes="at the mean bite",
    ),
    Quantity(
        "taken_tooth_area_bound", "Attacker's contact area at full bite", "A_tb", "m^2", "impact", "same",
        tooth_width * bite,
        source="definition: the tooth's width times its whole bite",
        assumes="the deepest tooth",
    ),
    Quantity(
        "taken_hit_force", "Peak force of a hit taken", "F_T", "N", "impact", "same",
        least(sqrt(2 * taken_energy * contact_stiffness), CRUSH * armour_strength * tooth_area_bound),
        source=f"goldsmith ch. 4: mass on a spring, F = sqrt(2 E k); {PUNCH}",
        assumes=f"on armour as one usually meets, at the deepest bite; the lesser of both, as hit_force; {_OPPONENT}",
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
ENGAGED = "what a bite gives on the mean"
AT_MOST = "the deepest bite and all of the energy square on: a bound"


def crush_force(strength: Expression, area: Expression = tooth_area) -> Expression:
    """Force (N) at which the attacker's tooth cuts into a part of that ``strength`` (Pa)."""
    return CRUSH * strength * area


def blow(stiffness: Expression, crush: Expression, energy: Expression = taken_energy) -> Expression:
    """Greatest force (N) of a taken hit on a part of ``stiffness`` (N/m) whose surface gives way at ``crush`` (N)."""
    return least(sqrt(2 * energy * stiffness), crush)
