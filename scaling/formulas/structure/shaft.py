"""The rotor's shaft under a hit: bending, torsion where it turns with the rotor, and how far it bends."""

from __future__ import annotations

from scaling.book.algebra import least, pi, sqrt, symbols
from scaling.book.entry import Quantity, Validity, Variable
from scaling.files.schema import Choice

hit_force, diameter, span, strength, modulus, poisson = symbols(
    "hit_force rotor.shaft.diameter rotor.shaft.span rotor.shaft.strength rotor.shaft.modulus rotor.shaft.poisson"
)
rotor_diameter, rotor_inertia, motor_inertia, ratio = symbols(
    "rotor.diameter rotor.inertia rotor.motor.inertia rotor.ratio"
)
stall_pull, pulley = symbols("belt_stall_pull rotor.belt.pulley_diameter")
bending, torque, torsion, equivalent, stiffness, deflection = symbols(
    "shaft_stress shaft_hit_torque shaft_torsion_stress shaft_equivalent_stress shaft_stiffness shaft_deflection"
)

ROUND_SHEAR = 6 * (1 + poisson) / (7 + 6 * poisson)
"""Share of a round section's area that counts in shear: G. R. Cowper, J. Appl. Mech. 33 (1966); from memory."""

VARIABLES = (
    Variable("rotor.shaft.diameter", "d_s", "m", "diameter of the rotor's shaft", 1),
    Variable("rotor.shaft.span", "L_s", "m", "distance between the shaft's supports", 1),
    Variable("rotor.shaft.strength", "S_s", "Pa", "strength of the shaft's material", derived=True),
    Variable("rotor.shaft.poisson", "nu_s", "1", "Poisson's ratio of the shaft's material", derived=True),
)

CHOICES = {
    "rotor.shaft.material": Choice(None, "material of the shaft"),
    "rotor.shaft.mounting": Choice(
        ("live", "dead"),
        "live: turns with the rotor and carries its torque; dead: stands still in a rotor on bearings",
        default="dead",
    ),
}

_TURNING = ("direct", "belt", "gear")
"""Transmissions that have a motor's inertia at the far end of a live shaft."""

_SLENDER = Validity(
    "shaft_slenderness",
    "beam bending holds for a span of at least about three diameters; a stubbier shaft shears",
    low=3.0,
)
_ELASTIC = Validity("shaft_stress_margin", "the shaft passes its strength, so it bends for good", low=1.0)


def _torque(transmission: str, slipping: bool = False) -> Quantity:
    """Torque that the motor's inertia sends through a live shaft when a hit brakes the rotor.

    ``slipping``: no more than the belt brings when the rotor stops dead.
    """
    reflected = motor_inertia * ratio**2
    coupled = hit_force * rotor_diameter / 2 * reflected / (rotor_inertia + reflected)
    return Quantity(
        "shaft_hit_torque", "Live shaft torque in a hit", "T_s", "N m", "structure", "lower",
        least(coupled, stall_pull * pulley / 2 * ratio) if slipping else coupled,
        source="meriam sec. 6/4: rotation of two coupled inertias, T = F r J i^2 / (I + J i^2)"
        + ("; as belt_stall_pull: no more than the belt can bring" if slipping else ""),
        assumes="motor and rotor coupled without give, the belt's most that of a dead stop" if slipping
        else "motor and rotor coupled without slip or give; a springy belt passes up to twice",
        when=("rotor.shaft.mounting=live", f"rotor.transmission={transmission}"),
    )


QUANTITIES = (
    Quantity(
        "shaft_slenderness", "Shaft span over diameter", "L_s/d_s", "1", "structure", "same",
        span / diameter,
        source="definition",
    ),
    Quantity(
        "shaft_stress", "Shaft bending stress in a hit", "sigma_s", "Pa", "structure", "lower",
        8 * hit_force * span / (pi * diameter**3),
        source="shigley5 ch. 2 and table A-9: simply supported beam with a central force, sigma = 32 (F L / 4) / (pi "
        "d^3)",
        assumes="force in the middle of the span, supports free to turn, no stress raiser",
        valid=(_SLENDER,),
    ),
    Quantity(
        "shaft_stress_margin", "Shaft bending margin", "S_s/sigma_s", "1", "structure", "higher",
        strength / bending,
        role="survival",
        source="definition",
        valid=(_SLENDER,),
    ),
    _torque("belt", slipping=True),
    *map(_torque, _TURNING),
    Quantity(
        "shaft_torsion_stress", "Live shaft torsion stress in a hit", "tau_s", "Pa", "structure", "lower",
        16 * torque / (pi * diameter**3),
        source="shigley5 ch. 2: round bar in torsion, tau = 16 T / (pi d^3)",
        assumes="as shaft_hit_torque; no keyway",
    ),
    Quantity(
        "shaft_equivalent_stress", "Live shaft combined stress in a hit", "sigma_e", "Pa", "structure", "lower",
        sqrt(bending**2 + 3 * torsion**2),
        source="shigley5 ch. 6: distortion energy (von Mises), sqrt(sigma^2 + 3 tau^2)",
        assumes="both peaks at once, at the middle of the span",
        valid=(_SLENDER,),
    ),
    Quantity(
        "shaft_equivalent_stress_margin", "Live shaft combined margin", "S_s/sigma_e", "1", "structure", "higher",
        strength / equivalent,
        role="survival",
        source="definition",
        valid=(_SLENDER,),
    ),
    Quantity(
        "shaft_stiffness", "Shaft stiffness at rotor", "k_s", "N/m", "structure", "higher",
        1
        / (
            4 * span**3 / (3 * pi * modulus * diameter**4)
            + 2 * (1 + poisson) * span / (pi * modulus * diameter**2 * ROUND_SHEAR)
        ),
        source="timoshenko-gere: Timoshenko beam, simply supported with a central force, L^3/(48 E I) + L/(4 kappa G "
        "A); cowper1966: kappa",
        assumes="force in the middle of the span, supports stiff and free to turn",
    ),
    Quantity(
        "shaft_deflection", "Shaft deflection in a hit", "y_s", "m", "structure", "lower",
        hit_force / stiffness,
        source="definition",
        assumes="as shaft_stiffness; elastic",
        valid=(_ELASTIC,),
    ),
    Quantity(
        "shaft_deflection_ratio", "Shaft deflection over span", "y_s/L_s", "1", "structure", "lower",
        deflection / span,
        source="definition",
        valid=(_ELASTIC,),
    ),
)
