"""A rail of the frame as a beam between its supports, bent over its height.

A tooth runs along the face that it hits, up or down it, and what it cuts or pushes is in its own line: so the rail
bends over its height, with its thickness across the line of the hit. What pushes it across its thickness is the walls'
business.
"""

from __future__ import annotations

from scaling.book.algebra import symbols
from scaling.book.entry import Quantity, Validity, Variable
from scaling.files.schema import Choice
from scaling.formulas.impact.taken import AT_MOST, BLOW, BLOW_ASSUMES, ENGAGED, blow, crush_force, tooth_area_bound

length, height, thickness, strength, modulus, poisson = symbols(
    "rail.length rail.height rail.thickness rail.strength rail.modulus rail.poisson"
)
stiffness, yield_force, taken_force, stress, surface, bite_depth, bound, collapse_force = symbols(
    "rail_stiffness rail_yield_force rail_taken_force rail_stress rail_crush_force taken_bite_depth "
    "rail_taken_force_bound rail_collapse_force"
)

RECTANGLE_SHEAR = 10 * (1 + poisson) / (12 + 11 * poisson)
"""Share of a rectangle's area that counts in shear: G. R. Cowper, J. Appl. Mech. 33 (1966); from memory."""

VARIABLES = (
    Variable("rail.length", "L_q", "m", "length of a rail between what holds it", 1),
    Variable("rail.height", "h_q", "m", "height of a rail, along the line of a hit", 1),
    Variable("rail.thickness", "t_q", "m", "thickness of a rail, across the line of a hit", 1),
    Variable("rail.strength", "S_q", "Pa", "strength of the rail's material", derived=True),
    Variable("rail.modulus", "E_q", "Pa", "modulus of the rail's material", derived=True),
    Variable("rail.poisson", "nu_q", "1", "Poisson's ratio of the rail's material", derived=True),
)

CHOICES = {
    "rail.material": Choice(None, "material of the rails"),
    "rail.ends": Choice(("built-in", "hinged"), "built-in: held against turning, as bolted between cross members or "
                        "running on past them; hinged: free to turn", default="built-in"),
}

_MIDDLE = "force on the middle of the rail, up or down its face; supports do not give"

_SLENDER = Validity(
    "rail_slenderness",
    "beam bending holds for a length of at least about three heights; a stubbier rail shears",
    low=3.0,
)


_WHOLE = Validity(
    "rail_bite_share",
    "the bite takes more than half of the rail's thickness, so what is left bends and not the whole section",
    high=0.5,
)


def _stiffness(bending: int, ends: str, when: tuple[str, ...]) -> Quantity:
    """Timoshenko beam with a central force: L^3 / (bending E I) + L / (4 kappa G A)."""
    flexure = length**3 * 12 / (bending * modulus * thickness * height**3)
    shear = length * (1 + poisson) / (2 * RECTANGLE_SHEAR * modulus * height * thickness)
    return Quantity(
        "rail_stiffness", "Rail stiffness", "k_q", "N/m", "structure", "higher",
        1 / (flexure + shear),
        source=f"timoshenko-gere: Timoshenko beam with {ends} ends and a central force, L^3/({bending} E I) + L/(4 "
        "kappa G A); cowper1966: kappa",
        assumes=_MIDDLE, when=when, valid=(_SLENDER,),
    )


def _yield(divisor: int, ends: str, when: tuple[str, ...]) -> Quantity:
    """Force at which the largest moment, F L / divisor, makes the section's outer fibre yield."""
    return Quantity(
        "rail_yield_force", "Rail yield force", "F_q", "N", "structure", "higher",
        divisor * strength * thickness * height**2 / (6 * length),
        source=f"shigley5 table A-9: beam with {ends} ends and a central force, M = F L / {divisor}",
        assumes=f"{_MIDDLE}; no holes at the place of the largest moment", when=when, valid=(_SLENDER,),
    )


def _collapse(divisor: int, ends: str, hinges: str, when: tuple[str, ...]) -> Quantity:
    """Force at which plastic hinges make the rail a mechanism: F L / divisor = M_p = S t h^2 / 4."""
    return Quantity(
        "rail_collapse_force", "Rail collapse force", "F_qp", "N", "structure", "higher",
        divisor * strength * thickness * height**2 / (4 * length),
        source=f"own-derivation: beam with {ends} ends and a central force, {hinges}, F = {divisor} M_p / L",
        assumes=f"{_MIDDLE}; a tough material that yields through, none of a laminate; no holes at the hinges",
        when=when, valid=(_SLENDER,),
    )


_HINGED = ("rail.ends=hinged",)

QUANTITIES = (
    Quantity(
        "rail_slenderness", "Rail length over height", "L_q/h_q", "1", "structure", "same",
        length / height,
        source="definition",
    ),
    _stiffness(48, "hinged", _HINGED),
    _stiffness(192, "built-in", ()),
    _yield(4, "hinged", _HINGED),
    _yield(8, "built-in", ()),
    _collapse(4, "hinged", "one hinge", _HINGED),
    _collapse(8, "built-in", "three hinges", ()),
    Quantity(
        "rail_bite_share", "Attacker's bite over rail thickness", "b_m/t_q", "1", "structure", "lower",
        bite_depth / thickness,
        source="definition",
    ),
    Quantity(
        "rail_crush_force", "Rail indentation force", "F_qk", "N", "structure", "same",
        crush_force(strength),
        source=BLOW,
        assumes="as hit_crush_force",
    ),
    Quantity(
        "rail_taken_force", "Rail force in a taken hit", "F_qt", "N", "structure", "lower",
        blow(stiffness, surface),
        source=BLOW, assumes=f"{ENGAGED}; {BLOW_ASSUMES}", valid=(_SLENDER,),
    ),
    Quantity(
        "rail_taken_force_bound", "Rail force in a taken hit at most", "F_qb", "N", "structure", "lower",
        blow(stiffness, crush_force(strength, tooth_area_bound)),
        source=BLOW, assumes=f"{AT_MOST}; {BLOW_ASSUMES}", valid=(_SLENDER,),
    ),
    Quantity(
        "rail_collapse_margin", "Rail collapse margin", "F_qp/F_qt", "1", "structure", "higher",
        collapse_force / taken_force,
        role="survival",
        source="definition",
        assumes=f"{ENGAGED}; above 1 the rail survives as a whole, though the tooth may cut a bite out of it",
        valid=(_SLENDER, _WHOLE),
    ),
    Quantity(
        "rail_collapse_margin_bound", "Rail collapse margin at full bite", "F_qp/F_qb", "1", "structure", "higher",
        collapse_force / bound,
        source="definition",
        assumes=AT_MOST,
        valid=(_SLENDER, _WHOLE),
    ),
    Quantity(
        "rail_stress", "Rail stress in a taken hit", "sigma_q", "Pa", "structure", "lower",
        strength * taken_force / yield_force,
        source="definition: in proportion to the force at which it yields",
        assumes=BLOW_ASSUMES, valid=(_SLENDER,),
    ),
    Quantity(
        "rail_stress_margin", "Rail margin before a hit marks it", "S_q/sigma_q", "1", "structure", "higher",
        strength / stress,
        source="definition",
        assumes="below 1 the rail is bent for good where its outer fibre first yields; it does not end by that",
        valid=(_SLENDER, _WHOLE),
    ),
    Quantity(
        "rail_deflection", "Rail deflection in a taken hit", "y_q", "m", "structure", "lower",
        taken_force / stiffness,
        source="definition",
        assumes=_MIDDLE,
        valid=(_SLENDER, Validity("rail_stress_margin", "the rail passes its strength, so it bends for good", low=1.0)),
    ),
)
