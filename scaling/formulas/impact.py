"""A hit: the effective mass at the tip, the peak force, and what it does to both machines."""

from __future__ import annotations

import sympy

from scaling.formulas.book import Quantity, Variable, symbols

mass, mass_limit, gravity = symbols("mass mass_limit gravity")
diameter, inertia, tooth_width, tooth_height = symbols(
    "rotor.diameter rotor.inertia rotor.tooth_width rotor.tooth_height"
)
armour_modulus, armour_thickness, armour_span, restitution = symbols(
    "opponent.armour_modulus opponent.armour_thickness opponent.armour_span opponent.restitution"
)
tip_speed, effective_mass, stiffness, throw_speed = symbols("tip_speed hit_effective_mass contact_stiffness throw_speed")

SQUARE_PLATE = sympy.Rational(1267, 10000)
"""Deflection of a square plate, simply supported, under a central force, times E t^3 / (F b^2)."""

VARIABLES = (
    Variable("opponent.armour_modulus", "E_a", "Pa", "modulus of the armour that you usually meet", default=1.0e9),
    Variable("opponent.armour_thickness", "t_a", "m", "thickness of the armour that you usually meet", 1),
    Variable("opponent.armour_span", "b_a", "m", "span of an armour panel between its supports", 1),
    Variable("opponent.restitution", "e", "1", "restitution of a hit: 0 plastic, 1 elastic", 0,
             allowed="fraction", default=0.2),
)

_GOLDSMITH = "W. Goldsmith, Impact: The Theory and Physical Behaviour of Colliding Solids, ch. 2; from memory"

QUANTITIES = (
    Quantity(
        "hit_effective_mass", "Effective mass of a hit at the tip", "m_e", "kg", "impact", "higher",
        1 / ((diameter / 2) ** 2 / inertia + 1 / mass + 1 / mass_limit),
        source=f"two bodies along the line of a hit, 1/m_e = r^2/I + 1/m + 1/M: {_GOLDSMITH}",
        assumes="rotor on a free chassis, standing opponent of the class's mass limit hit through its centre",
    ),
    Quantity(
        "contact_stiffness", "Stiffness of the contact", "k", "N/m", "impact", "same",
        armour_modulus
        / (
            armour_thickness / (tooth_width * tooth_height)
            + SQUARE_PLATE * armour_span**2 / armour_thickness**3
        ),
        source="in series a block of armour under the tooth, k = E A / t, and a square panel held at its edges, "
        "y = 0.1267 F b^2 / (E t^3): W. C. Young & R. G. Budynas, Roark's Formulas for Stress and Strain, 7th ed., "
        "table 11.4 case 1b, from memory",
        assumes="tooth, rotor and own frame stiff beside the opponent's armour; no crushing",
    ),
    Quantity(
        "hit_force", "Peak force of a hit", "F", "N", "impact", "same", tip_speed * sympy.sqrt(stiffness * effective_mass),
        source=f"mass on a spring, F = v sqrt(k m): {_GOLDSMITH}",
        assumes="stiffness-limited contact at the tip speed, with contact_stiffness and hit_effective_mass",
    ),
    Quantity(
        "throw_speed", "Speed given to an opponent", "v_o", "m/s", "impact", "higher",
        (1 + restitution) * tip_speed * effective_mass / mass_limit,
        source=f"momentum balance with restitution: {_GOLDSMITH}",
        assumes="standing opponent of the class's mass limit hit through its centre at the tip",
    ),
    Quantity(
        "throw_height", "Height that an opponent is thrown", "h_o", "m", "impact", "higher", throw_speed**2 / (2 * gravity),
        source="Galileo's law of fall, v^2 = 2 g h",
        assumes="as throw_speed, upwards",
    ),
    Quantity(
        "recoil_speed", "Own recoil speed", "v_r", "m/s", "impact", "lower",
        (1 + restitution) * tip_speed * effective_mass / mass,
        source=f"momentum balance with restitution: {_GOLDSMITH}",
        assumes="as throw_speed",
    ),
)
