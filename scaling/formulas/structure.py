"""Shaft and walls under a hit."""

from __future__ import annotations

import sympy

from scaling.formulas.book import Choice, Model, Quantity, Validity, Variable, symbols
from scaling.formulas.plates import plate_centre_stress

hit_force, shaft_diameter, shaft_span, shaft_strength = symbols(
    "hit_force rotor.shaft.diameter rotor.shaft.span rotor.shaft.strength"
)
shaft_stress, wall_stress, wall_strength = symbols("shaft_stress wall_stress wall.strength")
wall_height, wall_thickness = symbols("wall.height wall.thickness")

VARIABLES = (
    Variable("rotor.shaft.diameter", "d_s", "m", "diameter of the rotor's shaft", 1),
    Variable("rotor.shaft.span", "L_s", "m", "distance between the shaft's supports", 1),
    Variable("rotor.shaft.strength", "S_s", "Pa", "strength of the shaft's material", derived=True),
    Variable("wall.length", "a_w", "m", "length of one side wall between its supports", 1),
    Variable("wall.height", "b_w", "m", "height of one side wall between its supports", 1),
    Variable("wall.thickness", "t_w", "m", "thickness of one side wall", 1),
    Variable("wall.strength", "S_w", "Pa", "strength of the wall's material", derived=True),
    Variable("wall.modulus", "E_w", "Pa", "modulus of the wall's material", derived=True),
    Variable("wall.poisson", "nu_w", "1", "Poisson's ratio of the wall's material", derived=True),
)

CHOICES = {
    "rotor.shaft.material": Choice(None, "material of the shaft"),
    "wall.material": Choice(None, "material of the side walls"),
}

_THIN = Validity(
    "wall_slenderness",
    "thin-plate bending holds for a height of more than about ten thicknesses: S. Timoshenko & S. "
    "Woinowsky-Krieger, Theory of Plates and Shells",
    low=10.0,
)

QUANTITIES = (
    Quantity(
        "shaft_stress", "Bending stress of the shaft under a hit", "sigma_s", "Pa", "structure", "lower",
        8 * hit_force * shaft_span / (sympy.pi * shaft_diameter**3),
        source="simply supported beam with a central force, sigma = 32 (F L / 4) / (pi d^3): J. E. Shigley & "
        "C. R. Mischke, Mechanical Engineering Design, 5th ed., ch. 2 and table A-9",
        assumes="force in the middle of the span, supports free to turn, no stress raiser",
    ),
    Quantity(
        "shaft_stress_margin", "Shaft strength over stress", "S_s/sigma_s", "1", "structure", "higher",
        shaft_strength / shaft_stress,
        source="definition",
    ),
    Quantity(
        "wall_slenderness", "Height of the wall over its thickness", "b_w/t_w", "1", "structure", "same",
        wall_height / wall_thickness,
        source="definition",
    ),
    Quantity(
        "wall_stress", "Bending stress of a side wall under a hit", "sigma_w", "Pa", "structure", "lower",
        Model(
            plate_centre_stress,
            ("hit_force", "wall.length", "wall.height", "wall.thickness", "wall.poisson", "rotor.tooth_width",
             "rotor.tooth_height"),
            "stress",
        ),
        source="W. C. Young & R. G. Budynas, Roark's Formulas for Stress and Strain, 7th ed., table 11.4 case 1b: "
        "simply supported rectangular plate, force over a small circle in the middle; from memory",
        assumes="edges held but free to turn; the force spread over a circle of the tooth's face; elastic",
        valid=(_THIN,),
    ),
    Quantity(
        "wall_stress_margin", "Wall strength over stress", "S_w/sigma_w", "1", "structure", "higher",
        wall_strength / wall_stress,
        source="definition",
        valid=(_THIN,),
    ),
)
