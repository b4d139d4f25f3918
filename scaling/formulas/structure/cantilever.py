"""A wedge, fork or ramp as a cantilever: the force that it bears, and the energy that bends it for good."""

from __future__ import annotations

from scaling.book.algebra import largest, sqrt, symbols
from scaling.book.entry import Quantity, Validity, Variable
from scaling.files.schema import Choice
from scaling.formulas.impact.taken import (
    AT_MOST,
    BLOW,
    BLOW_ASSUMES,
    ENGAGED,
    blow,
    crush_force,
    glancing_energy,
    taken_energy,
)

length, width, thickness, strength, modulus, bend_angle = symbols(
    "wedge.length wedge.width wedge.thickness wedge.strength wedge.modulus wedge.bend_angle"
)
stiffness, yield_force, elastic_energy, hinge_moment, spring_energy, bend_energy, taken_force = symbols(
    "wedge_stiffness wedge_yield_force wedge_elastic_energy wedge_hinge_moment wedge_spring_energy wedge_bend_energy "
    "wedge_taken_force"
)

attacker_speed, strain_rate, rate_factor, doubling, rate_power = symbols(
    "attacker.tip_speed wedge_strain_rate wedge_rate_factor wedge.rate_doubling wedge.rate_power"
)

VARIABLES = (
    Variable("wedge.length", "L_v", "m", "free length of one wedge or fork, from its support to its tip", 1),
    Variable("wedge.width", "b_v", "m", "width of one wedge or fork", 1),
    Variable("wedge.thickness", "t_v", "m", "thickness of one wedge or fork", 1),
    Variable("wedge.bend_angle", "theta_v", "rad", "lasting bend from which the wedge no longer does its work",
             default=0.1745329252),  # 10 degrees
    Variable("wedge.strength", "S_v", "Pa", "strength of the wedge's material", derived=True),
    Variable("wedge.modulus", "E_v", "Pa", "modulus of the wedge's material", derived=True),
    Variable("wedge.rate_doubling", "C_v", "1/s", "rate of strain at which the wedge's material yields at twice the "
             "slow stress", derived=True),
    Variable("wedge.rate_power", "q_v", "1", "power of the law by which its yield stress rises with that rate",
             derived=True),
)

CHOICES = {"wedge.material": Choice(None, "material of the wedge or fork")}

_HINGE = "prager-hodge ch. 2"
_TIP = "force square to the wedge at its tip, its root held by a stiff machine; width the same along its length"
_DUCTILE = "the material yields without hardening and does not break at the bend"

_SLENDER = Validity(
    "wedge_slenderness",
    "beam bending holds for a free length of at least about five thicknesses; a stubbier wedge shears at its root",
    low=5.0,
)
_BENDS = Validity(
    "wedge_crush_ratio",
    "the tooth cuts into the wedge before the wedge bends at its root, so bending is not what takes the energy",
    low=1.0,
)
_STEEP = Validity(
    "wedge_lasting_bend",
    "bent beyond a right angle the wedge has left the rotor's way, so it does not take the whole hit",
    high=1.571,
)

_STRENGTH = (
    Quantity(
        "wedge_slenderness", "Wedge slenderness", "L_v/t_v", "1", "structure", "same",
        length / thickness,
        source="definition",
    ),
    Quantity(
        "wedge_stiffness", "Wedge tip stiffness", "k_v", "N/m", "structure", "higher",
        modulus * width * thickness**3 / (4 * length**3),
        source="shigley5 table A-9: cantilever with a force at its tip, 3 E I / L^3",
        assumes=_TIP,
        valid=(_SLENDER,),
    ),
    Quantity(
        "wedge_yield_force", "Wedge yield force", "F_v", "N", "structure", "higher",
        strength * width * thickness**2 / (6 * length),
        source="shigley5 ch. 2: cantilever, sigma = 6 F L / (b t^2)",
        assumes=f"{_TIP}; no stress raiser",
        valid=(_SLENDER,),
    ),
    Quantity(
        "wedge_yield_deflection", "Wedge yield deflection", "y_v", "m", "structure", "higher",
        yield_force / stiffness,
        source="definition",
        assumes=_TIP,
        valid=(_SLENDER,),
    ),
    Quantity(
        "wedge_taken_force", "Wedge force in a taken hit", "F_vt", "N", "structure", "lower",
        blow(stiffness, crush_force(strength), glancing_energy),
        source=BLOW, assumes=f"{ENGAGED}; {BLOW_ASSUMES}; elastic, so above the yield force it is a bound",
        valid=(_SLENDER,),
    ),
    Quantity(
        "wedge_force_margin", "Wedge force margin before it marks", "F_v/F_vt", "1", "structure", "higher",
        yield_force / taken_force,
        source="definition",
        assumes="below 1 the wedge is bent a little for good; it does not end by that",
        valid=(_SLENDER,),
    ),
    Quantity(
        "wedge_crush_ratio", "Wedge cut force over bend force", "F_k/F_p", "1", "structure", "same",
        crush_force(strength) / (hinge_moment / length),
        source="definition",
    ),
)

_ENERGY = (
    Quantity(
        "wedge_elastic_energy", "Wedge elastic energy", "U_v", "J", "structure", "higher",
        yield_force**2 / (2 * stiffness),
        source="shigley5 ch. 3: strain energy at yield, F^2 / (2 k) = S^2 b L t / (18 E)",
        assumes=_TIP,
        valid=(_SLENDER,),
    ),
    Quantity(
        "wedge_hinge_moment", "Wedge hinge moment", "M_p", "N m", "structure", "higher",
        strength * width * thickness**2 / 4,
        source=f"{_HINGE}: plastic hinge of a rectangular section, S b t^2 / 4",
        assumes=_DUCTILE,
    ),
    Quantity(
        "wedge_spring_energy", "Wedge energy at hinge", "U_p", "J", "structure", "higher",
        (hinge_moment / length) ** 2 / (2 * stiffness),
        source=f"{_HINGE}: strain energy at the hinge's force, F_p^2 / (2 k)",
        assumes=f"{_TIP}; elastic up to the hinge",
        valid=(_SLENDER,),
    ),
    Quantity(
        "wedge_bend_energy", "Wedge bend energy", "W_v", "J", "structure", "higher",
        spring_energy + hinge_moment * bend_angle,
        source=f"{_HINGE}: plastic hinge turned by wedge.bend_angle, M_p theta, and the spring before it",
        assumes=f"{_TIP}; {_DUCTILE}",
        valid=(_SLENDER,),
    ),
    Quantity(
        "wedge_yield_margin", "Wedge energy margin before it marks", "U_v/E_g", "1", "structure", "higher",
        elastic_energy / glancing_energy,
        source="definition",
        assumes="all of a glancing hit's energy goes into the wedge; below 1 it is bent a little for good",
        valid=(_SLENDER, _BENDS),
    ),
    Quantity(
        "wedge_bend_margin", "Wedge bend energy margin", "W_v/E_g", "1", "structure", "higher",
        bend_energy / glancing_energy,
        role="survival",
        source="definition",
        assumes="all of a glancing hit's energy goes into the wedge; below 1 one hit bends it by more than "
        "wedge.bend_angle",
        valid=(_SLENDER, _BENDS),
    ),
    Quantity(
        "wedge_bend_margin_bound", "Wedge bend energy margin square on", "W_v/E_t", "1", "structure", "higher",
        bend_energy / taken_energy,
        source="definition",
        assumes=AT_MOST,
        valid=(_SLENDER, _BENDS),
    ),
    Quantity(
        "wedge_lasting_bend", "Wedge permanent bend", "theta_p", "rad", "structure", "lower",
        largest(0, glancing_energy - spring_energy) / hinge_moment,
        source=f"{_HINGE}: plastic hinge, (E - U_p) / M_p",
        assumes="as wedge_bend_energy; all of a glancing hit's energy goes into the wedge",
        valid=(_SLENDER, _BENDS, _STEEP),
    ),
    Quantity(
        "wedge_lasting_bend_bound", "Wedge permanent bend square on", "theta_pb", "rad", "structure", "lower",
        largest(0, taken_energy - spring_energy) / hinge_moment,
        source=f"{_HINGE}: plastic hinge, (E - U_p) / M_p",
        assumes=f"as wedge_bend_energy; {AT_MOST}",
        valid=(_SLENDER, _BENDS, Validity("wedge_lasting_bend_bound", _STEEP.sentence, high=_STEEP.high)),
    ),
)

_RATE = (
    Quantity(
        "wedge_strain_rate", "Wedge strain rate in a taken hit", "v_e", "1/s", "structure", "same",
        3 * thickness / (2 * length**2) * attacker_speed * sqrt(glancing_energy / taken_energy),
        source="shigley5 table A-9: cantilever with a force at its tip, surface strain 3 t y / (2 L^2) at its root",
        assumes="its tip pushed at the attacker's speed square to the face; an order: in a hinge the strain gathers",
    ),
    Quantity(
        "wedge_rate_factor", "Wedge dynamic strength factor", "f_v", "1", "structure", "higher",
        1 + (strain_rate / doubling) ** (1 / rate_power),
        source="cowper-symonds1957: 1 + (rate / C)^(1/q); jones-impact table 8.1: C and q",
        assumes="metals at small strains, an upper end: at large ones the rise is less",
    ),
    Quantity(
        "wedge_bend_margin_at_rate", "Wedge bend energy margin at rate", "f W_v/E_g", "1", "structure", "higher",
        (rate_factor**2 * spring_energy + rate_factor * hinge_moment * bend_angle) / glancing_energy,
        source="as wedge_bend_energy; as wedge_rate_factor",
        assumes="wedge_bend_margin with the strength that the material has at the hit's rate of strain",
        valid=(_SLENDER, _BENDS),
    ),
)

QUANTITIES = (*_STRENGTH, *_ENERGY, *_RATE)
