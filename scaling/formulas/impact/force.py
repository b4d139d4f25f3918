"""Bounds of a hit's peak force: the contact's stiffness, the stress wave, and the armour's surface giving way."""

from __future__ import annotations

from fractions import Fraction

from scaling.book.algebra import least, pi, sqrt, symbols
from scaling.book.entry import Quantity, Validity, Variable
from scaling.book.numeric import constant

tooth_width, tooth_height, rotor_density, rotor_modulus = symbols(
    "rotor.tooth_width rotor.tooth_height rotor.density rotor.modulus"
)
armour_modulus, armour_density, armour_strength, armour_thickness, armour_span = symbols(
    "opponent.armour_modulus opponent.armour_density opponent.armour_strength opponent.armour_thickness "
    "opponent.armour_span"
)
tip_speed, effective_mass, stiffness, bite = symbols("tip_speed hit_effective_mass contact_stiffness bite")
elastic_force, contact_time, wave_stress, bite_depth, crush_force, hit_energy, tooth_face = symbols(
    "hit_force_elastic hit_contact_time hit_wave_stress hit_bite_depth hit_crush_force hit_energy tooth_face_area"
)

SQUARE_PLATE = Fraction(1267, 10000)
"""Deflection of a square plate, simply supported, under a central force, times E t^3 / (F b^2)."""

CRUSH = (2 + pi) / sqrt(3)
"""Pressure under a flat punch that makes a block yield, over the block's yield stress (Hill, von Mises)."""

CRUSH_NUMBER = constant(CRUSH)
"""CRUSH for what works with numbers."""

PUNCH = (
    "shaw-desalvo1970 abstract: constraint factor 2.57 of a flat punch, by its slip lines; own-derivation: 2 / sqrt(3) "
    "of that by von Mises' condition, p = (2 + pi) / sqrt(3) of the yield stress"
)

VARIABLES = (
    Variable("opponent.armour_modulus", "E_a", "Pa", "modulus of the armour that you usually meet", default=1.0e9),
    Variable("opponent.armour_density", "rho_o", "kg/m^3", "density of the armour that you usually meet",
             default=950.0),
    Variable("opponent.armour_strength", "S_o", "Pa", "strength of the armour that you usually meet", default=25.0e6),
    Variable("opponent.armour_thickness", "t_a", "m", "thickness of the armour that you usually meet", 1),
    Variable("opponent.armour_span", "b_a", "m", "span of an armour panel between its supports", 1),
)

_UNCRUSHED = Validity(
    "hit_crush_ratio",
    "the tooth cuts into the armour before the contact reaches this force, so it is an upper bound",
    high=1.0,
)
_SETTLED = Validity(
    "hit_wave_transits",
    "the armour acts as a spring only when the contact outlasts a few trips of the stress wave through it and back",
    low=3.0,
)

QUANTITIES = (
    Quantity(
        "tooth_face_area", "Tooth face area", "A_h", "m^2", "impact", "same", tooth_width * tooth_height,
        source="definition",
    ),
    Quantity(
        "contact_stiffness", "Contact stiffness", "k", "N/m", "impact", "same",
        armour_modulus
        / (
            armour_thickness / tooth_face
            + SQUARE_PLATE * armour_span**2 / armour_thickness**3
        ),
        source="own-derivation: in series with a square panel a block of armour under the tooth, k = E A / t; roark7 "
        "table 11.4 case 1b: a square panel held at its edges, y = 0.1267 F b^2 / (E t^3)",
        assumes="tooth, rotor and own frame stiff beside the opponent's armour; no crushing",
    ),
    Quantity(
        "hit_force_elastic", "Peak hit force if elastic", "F_e", "N", "impact", "same",
        tip_speed * sqrt(stiffness * effective_mass),
        source="goldsmith ch. 4: mass on a spring, F = v sqrt(k m)",
        assumes="stiffness-limited contact at the tip speed, with contact_stiffness and hit_effective_mass",
        valid=(_UNCRUSHED, _SETTLED),
    ),
    Quantity(
        "hit_force", "Peak hit force", "F", "N", "impact", "same",
        least(elastic_force, crush_force),
        role="yardstick",
        source="as hit_force_elastic; as hit_crush_force",
        assumes="the lesser of both: what the contact's stiffness asks for and what the struck surface bears before "
        "the tooth cuts in; a hook behind an edge or a bolt can ask for all of hit_force_elastic",
    ),
    Quantity(
        "hit_contact_time", "Contact time", "t_c", "s", "impact", "same",
        pi * sqrt(effective_mass / stiffness),
        source="goldsmith ch. 4: half a swing of a mass on a spring, t = pi sqrt(m/k)",
        assumes="elastic contact; a plastic one ends after half of it",
        valid=(_SETTLED,),
    ),
    Quantity(
        "hit_wave_stress", "Hit stress wave", "sigma_w", "Pa", "impact", "same",
        tip_speed
        / (1 / sqrt(rotor_modulus * rotor_density) + 1 / sqrt(armour_modulus * armour_density)),
        source="johnson-impact ch. 1: sigma = v Z1 Z2 / (Z1 + Z2) with Z = sqrt(E rho) = rho c of tooth and armour; "
        "kolsky ch. II",
        assumes="plane wave along a bar, elastic, before the first reflection returns",
    ),
    Quantity(
        "hit_wave_force", "Stress-wave force", "F_w", "N", "impact", "same",
        wave_stress * tooth_face,
        source="definition: hit_wave_stress on the whole face of the tooth",
        assumes="as hit_wave_stress; the first instant's force, which reflections then raise towards hit_force_elastic "
        "in a thin armour or lower in a thick one",
    ),
    Quantity(
        "hit_wave_transits", "Wave transits per contact", "t_c c/(2 t_a)", "1", "impact", "same",
        contact_time * sqrt(armour_modulus / armour_density) / (2 * armour_thickness),
        source="definition: with the bar speed c = sqrt(E/rho); goldsmith ch. 4: a spring's motion needs several",
    ),
    Quantity(
        "hit_bite_depth", "Depth of cut", "b_h", "m", "impact", "same", least(bite, tooth_height),
        source="definition: the advance per tooth passage, at most the tooth's height",
        assumes="as bite",
    ),
    Quantity(
        "hit_bite_depth", "Depth of cut", "b_h", "m", "impact", "same", tooth_height,
        source="definition: the tooth's height, where the advance is not known",
        assumes="the whole tooth digs, a bound: the drive's top speed is not known",
    ),
    Quantity(
        "hit_crush_force", "Armour indentation force", "F_k", "N", "impact", "same",
        CRUSH * armour_strength * tooth_width * bite_depth,
        source=f"{PUNCH}, on the tooth's width times the depth that it takes",
        assumes="ductile armour thicker than the bite, no rise of strength with speed",
    ),
    Quantity(
        "hit_crush_ratio", "Elastic over indentation force", "F_e/F_k", "1", "impact", "same",
        elastic_force / crush_force,
        source="definition",
        assumes="above 1 the tooth cuts into the armour instead of being stopped by its stiffness",
    ),
    Quantity(
        "energy_per_armour_area", "Hit energy per panel area", "E_h/b_a^2", "J/m^2", "impact", "higher",
        hit_energy / armour_span**2,
        source="definition: hit_energy over the square panel of opponent.armour_span",
    ),
)
