"""Bolted joints under a hit."""

from __future__ import annotations

from scaling.formulas.book import Choice, Quantity, Variable, symbols

hit_force, bolts, stress_area, bolt_strength, shear_stress = symbols(
    "hit_force rotor.mount.bolts rotor.mount.bolt_stress_area rotor.mount.bolt_strength bolt_shear_stress"
)

VARIABLES = (
    Variable("rotor.mount.bolts", "n_b", "1", "bolts that hold the rotor's mount", allowed="count"),
    Variable("rotor.mount.bolt_diameter", "d_b", "m", "nominal diameter of a bolt of the mount", 1, derived=True),
    Variable("rotor.mount.bolt_stress_area", "A_s", "m^2", "stress area of a bolt of the mount", 2, derived=True),
    Variable("rotor.mount.bolt_strength", "R_m", "Pa", "tensile strength of a bolt of the mount", derived=True),
)

CHOICES = {
    "rotor.mount.bolt": Choice(None, "size of the mount's bolts, such as M3"),
    "rotor.mount.bolt_class": Choice(None, "strength class of the mount's bolts, such as 8.8"),
}

QUANTITIES = (
    Quantity(
        "bolt_shear_stress", "Shear stress in the mount's bolts under a hit", "tau_b", "Pa", "joints", "lower",
        hit_force / (bolts * stress_area),
        source="EN 1993-1-8:2005, table 3.4: one shear plane through the thread",
        assumes="bolts share the force evenly, one plane, threads in the plane",
    ),
    Quantity(
        "bolt_shear_margin", "Bolts' shear strength over stress", "0.6 R_m/tau_b", "1", "joints", "higher",
        bolt_strength * 6 / 10 / shear_stress,
        source="EN 1993-1-8:2005, table 3.4: 0.6 f_ub without the partial factor",
    ),
)
