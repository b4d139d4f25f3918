"""A fall from the arena's ceiling: speed, energy, and the force of landing on something of stated stiffness."""

from __future__ import annotations

from collections.abc import Iterator

from scaling.book.algebra import Expression, pi, sqrt, symbols
from scaling.book.entry import Model, Quantity, Variable
from scaling.formulas.structure import plates
from scaling.formulas.structure.walls import LID

mass, gravity, height, ceiling, stiffness = symbols("mass gravity height arena.ceiling landing.stiffness")
lid_length, lid_width = symbols("lid.length lid.width")
drop, factor, force = symbols("fall_height fall_factor fall_force")
pressure, stress_ratio, support = symbols("lid_fall_pressure lid_stress_per_pressure lid_pressure_stiffness")

VARIABLES = (
    Variable("landing.stiffness", "k_l", "N/m", "stiffness of what the robot lands on, machine and floor together", 1),
)

_FACTOR = "timoshenko-gere ch. 2: falling weight on a spring, F = m g [1 + sqrt(1 + 2 h k / (m g))]"
_LANDING = "straight down on one spring, elastic, no bounce of its parts; a corner first or a yielding part differs"
_ROARK = "roark7 table 11.4 case"
_PLATES = "woinowsky-krieger ch. 3:"

_SECTION = ("lid.thickness", "lid.modulus", "lid.poisson")
_SUPPORTS = (
    (("lid.shape=round", "lid.edges=clamped"), plates.round_clamped_pressure, ("lid.length", *_SECTION),
     f"{_PLATES} clamped round plate, even pressure"),
    (("lid.shape=round",), plates.round_hinged_pressure, ("lid.length", *_SECTION),
     f"{_PLATES} simply supported round plate, even pressure"),
    (("lid.edges=clamped",), plates.clamped_pressure, ("lid.length", "lid.width", *_SECTION),
     f"{_ROARK} 8a: clamped rectangular plate, even pressure"),
    ((), plates.hinged_pressure, ("lid.length", "lid.width", *_SECTION),
     f"{_ROARK} 1a, as seen on a copied page: simply supported rectangular plate, even pressure"),
)


def _by_support() -> Iterator[Quantity]:
    for traits, model, inputs, source in _SUPPORTS:
        yield Quantity(
            "lid_stress_per_pressure", "Lid stress per pressure", "sigma_l/q", "1", "structure", "lower",
            Model(model, inputs, "stress"), source=source, when=traits, valid=(LID.thin,),
            assumes="a rectangular hinged plate's Poisson's ratio near 0.3: within 13 % up to 0.5",
        )
        yield Quantity(
            "lid_pressure_stiffness", "Lid pressure stiffness", "q/y", "Pa/m", "structure", "higher",
            Model(model, inputs, "stiffness"), source=source, when=traits, valid=(LID.thin,),
            assumes="bending only, edges held by a stiff frame",
        )


_FLAT = LID.flat("lid_fall_deflection_ratio")


def _pressure(area: Expression, when: tuple[str, ...]) -> Quantity:
    return Quantity(
        "lid_fall_pressure", "Lid pressure in landing", "q_l", "Pa", "structure", "lower", force / area,
        clock="gravity",
        source="definition: fall_force over the lid's area", assumes="landing flat on the lid, the force spread evenly",
        when=when,
    )


QUANTITIES = (
    Quantity(
        "fall_height", "Fall height from ceiling", "h_f", "m", "structure", "same", ceiling - height,
        clock="gravity",
        source="definition: the ceiling's height less the robot's",
    ),
    Quantity(
        "fall_speed", "Fall speed", "v_f", "m/s", "structure", "lower",
        sqrt(2 * gravity * drop),
        clock="gravity",
        source="own-derivation: Galileo's law of fall, v^2 = 2 g h",
        assumes="from rest, without air drag",
    ),
    Quantity(
        "fall_energy", "Fall energy", "E_f", "J", "structure", "lower",
        mass * gravity * drop,
        clock="gravity",
        source="own-derivation: work of the weight, m g h",
        assumes="as fall_speed",
    ),
    Quantity(
        "fall_factor", "Landing deceleration in g", "n_f", "1", "structure", "lower",
        1 + sqrt(1 + 2 * drop * stiffness / (mass * gravity)),
        clock="gravity",
        source=_FACTOR, assumes=_LANDING,
    ),
    Quantity(
        "fall_force", "Landing force", "F_f", "N", "structure", "lower", mass * gravity * factor,
        clock="gravity",
        source=_FACTOR, assumes=_LANDING,
    ),
    Quantity(
        "fall_deflection", "Landing travel", "y_f", "m", "structure", "same", force / stiffness,
        clock="gravity",
        source="definition", assumes=_LANDING,
    ),
    _pressure(pi * lid_length**2 / 4, ("lid.shape=round",)),
    _pressure(lid_length * lid_width, ()),
    *_by_support(),
    Quantity(
        "lid_fall_stress", "Lid stress in landing", "sigma_f", "Pa", "structure", "lower",
        pressure * stress_ratio,
        clock="gravity",
        source="definition", assumes="as lid_fall_pressure; elastic", valid=_FLAT,
    ),
    Quantity(
        "lid_fall_stress_margin", "Lid margin in landing", "S_l/sigma_f", "1", "structure", "higher",
        LID.symbol("strength") / symbols("lid_fall_stress")[0],
        role="survival", clock="gravity",
        source="definition", valid=_FLAT,
    ),
    Quantity(
        "lid_fall_deflection", "Lid deflection in landing", "y_lf", "m", "structure", "lower",
        pressure / support,
        clock="gravity",
        source="definition", assumes="as lid_fall_pressure; elastic", valid=_FLAT,
    ),
    Quantity(
        "lid_fall_deflection_ratio", "Lid bow/thickness in landing", "y_lf/t_l", "1", "structure", "lower",
        symbols("lid_fall_deflection")[0] / LID.symbol("thickness"),
        clock="gravity",
        source="definition",
    ),
)
