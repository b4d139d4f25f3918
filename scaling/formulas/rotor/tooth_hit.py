"""Entries of the book on the teeth under a hit: a tooth's own root, and the bolts of one that is another piece."""

from __future__ import annotations

from fractions import Fraction

from scaling.book.algebra import Expression, sqrt, symbols
from scaling.book.entry import Quantity, Validity, Variable
from scaling.files.schema import Choice

hit_force, crush_force, depth, width, height, thickness = symbols(
    "hit_force hit_crush_force hit_bite_depth rotor.tooth_width rotor.tooth_height rotor.tooth_thickness"
)
rotor_strength, tooth_own, strength = symbols("rotor.strength rotor.tooth.strength tooth_strength")
root_force, bolt_share, bolts, stress_area, bolt_strength, pull = symbols(
    "tooth_root_force rotor.tooth.bolt_share rotor.tooth.bolts rotor.tooth.bolt_stress_area rotor.tooth.bolt_strength "
    "tooth_pull"
)

VARIABLES = (
    Variable("rotor.tooth_thickness", "s_t", "m", "thickness of a tooth at its root, along the cut", 1, optional=True),
    Variable("rotor.tooth.strength", "S_t", "Pa", "strength of the material of a tooth that is another piece",
             derived=True),
    Variable("rotor.tooth.bolt_share", "p_t", "1", "share of a hit's force that a tooth's bolts carry, its seat the "
             "rest", allowed="fraction", optional=True),
)

CHOICES = {
    "rotor.tooth.material": Choice(None, "material of a tooth that is another piece, the rotor's if not stated",
                                   optional=True),
}

_TENSION, _SHEAR = (Fraction(9, 10), Fraction(6, 10))
"""Strength of a bolt over f_ub, without the partial factor: EN 1993-1-8:2005 table 3.4."""

_SHALLOW = Validity(
    "bite_ratio",
    "a bite beyond the tooth's height falls on the body behind the tooth",
    high=1.0,
)
_HELD = bolts * stress_area * bolt_strength
_TABLE = "en1993-1-8 table 3.4"


def _root(depth_in: Expression, spread: str) -> Quantity:
    """Return the force that a tooth's root carries, spread over the depth that the tooth is in."""
    return Quantity(
        "tooth_root_force", "Tooth root capacity", "F_tr", "N", "rotor", "higher",
        strength * width * thickness / sqrt(3 + 16 * ((height - depth_in / 2) / thickness) ** 2),
        source="own-derivation: hinge of a rectangular root, M_p = S w s^2 / 4, under a force at the middle of its "
        "depth in the armour, l = h - b / 2; own-derivation: shear by von Mises, S / sqrt(3) w s, and both "
        "together, 1/F^2 = (l/M_p)^2 + 1/V_p^2",
        assumes=f"{spread}; a tough material that yields through: a hard one chips first; the root as thick as stated, "
        "without a sharp corner",
        valid=(_SHALLOW,),
    )


QUANTITIES = (
    Quantity(
        "tooth_strength", "Tooth material strength", "S_t", "Pa", "rotor", "higher", tooth_own,
        source="definition: of a tooth that is another piece",
    ),
    Quantity(
        "tooth_strength", "Tooth material strength", "S_t", "Pa", "rotor", "higher", rotor_strength,
        source="definition: the rotor's, of which the tooth is a part",
    ),
    _root(
        depth * hit_force / crush_force,
        "force spread evenly over what the tooth digs in by then, less than the bite where armour gives before it cuts",
    ),
    _root(depth, "force spread evenly over the depth of cut"),
    Quantity(
        "tooth_root_margin", "Tooth root margin in a hit", "F_tr/F", "1", "rotor", "higher", root_force / hit_force,
        role="survival",
        source="definition",
        assumes="below 1 the tooth bends over or shears off",
        valid=(_SHALLOW,),
    ),
    Quantity(
        "tooth_hit_bolt_margin", "Tooth bolt margin in a hit", "n_tb", "1", "rotor", "higher",
        1 / (bolt_share * hit_force / (_SHEAR * _HELD) + pull / (Fraction(14, 10) * _TENSION * _HELD)),
        role="survival",
        source=f"{_TABLE}, from memory: combined shear and tension, F_v / F_vR + F_t / (1.4 F_tR)",
        assumes="bolts along the radius, alike and evenly loaded, threads in the plane; at full speed",
        when=("rotor.tooth.bolt_load=tension",),
    ),
    Quantity(
        "tooth_hit_bolt_margin", "Tooth bolt margin in a hit", "n_tb", "1", "rotor", "higher",
        _SHEAR * _HELD / sqrt((bolt_share * hit_force) ** 2 + pull**2),
        role="survival",
        source=f"{_TABLE}: shear, 0.6 f_ub; own-derivation: spin's pull and the hit's force at right angles",
        assumes="bolts along the axle, alike and evenly loaded, one plane through the thread; at full speed",
        when=("rotor.tooth.bolt_load=shear",),
    ),
)
