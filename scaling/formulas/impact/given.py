"""What a hit gives the opponent: by its first tooth alone, by the engagement of several, and at most; a hard face too.

Hits follow the bite: the machines close at what the advance per tooth says, each tooth digs what that lets it, and
what it takes slows the rotor and throws the opponent. The bound stops the whole tip at once, whatever the bite.
"""

from __future__ import annotations

import numpy as np

from scaling.book.algebra import symbols
from scaling.book.entry import Array, Model, Quantity, Variable
from scaling.formulas.impact.dig import first_tooth_energy
from scaling.formulas.impact.engagement import THRUST, engagement, first_tooth
from scaling.formulas.impact.force import CRUSH, PUNCH
from scaling.formulas.impact.hard_face import hard_face

mass_limit, gravity, tip_speed, effective_mass, opponent_mass = symbols(
    "mass_limit gravity tip_speed hit_effective_mass opponent_hit_mass"
)
armour_strength, restitution, friction, hit_energy = symbols(
    "opponent.armour_strength opponent.restitution opponent.friction hit_energy"
)
impulse_bound, dug, stop_share, first, stopping_depth = symbols(
    "hit_impulse_bound hit_energy_dug hit_stop_share hit_energy_first_tooth hit_stopping_depth"
)

VARIABLES = (
    Variable("rotor.radial_share", "k_t", "1", "radial over cutting force of a tooth that digs",
             default=THRUST),  # anything from 0.2 to 1, no source
    Variable("opponent.friction", "mu_o", "1", "friction of a standing opponent on the floor, shoved sideways",
             default=0.7),  # common practice, no source
)

TOOTH = ("rotor.diameter", "rotor.tooth_width", "rotor.tooth_height", "rotor.teeth", "rotor_speed", "bite")
BODIES = ("mass_limit", "hit_effective_mass", "opponent_hit_mass")
LAW = ("dig_pressure", "opponent.restitution", "gravity", "opponent.friction")
OWN = ("rotor_inertia", "mass", "rotor.radial_share")


def _closing(teeth: Array, speed: Array, bite: Array) -> Array:
    return np.asarray(bite * teeth * speed / (2 * np.pi))


def in_engagement(
    diameter: Array, width: Array, height: Array, teeth: Array, speed: Array, bite: Array,
    opponent: Array, effective: Array, struck: Array,
    pressure: Array, restitution: Array, gravity: Array, friction: Array,
    inertia: Array, mass: Array, thrust: Array,
) -> dict[str, Array]:
    """Follow a hit tooth by tooth, each as deep as the closing since the last one lets it: means over its first depth.

    With D_0 = 0 and D_1 = u, u uniform in (0, bite): each tooth takes dW = p w [A(D_k) - A(D_k-1)] of E_k = m_e v_k^2
    / 2 and gives J_k = m_e v_k [1 - sqrt(1 - dW / E_k)], or is stopped, gives m_e v_k and rebounds with e m_e v_1.
    """
    found = engagement(
        np.asarray(diameter) / 2, width, height, teeth, inertia, speed, mass, opponent, effective, struck,
        _closing(teeth, speed, bite), pressure, thrust, restitution, gravity,
    )
    return {**found, "slide": np.asarray(found["throw"] / friction)}


def by_first_tooth(
    diameter: Array, width: Array, height: Array, teeth: Array, speed: Array, bite: Array,
    opponent: Array, effective: Array, struck: Array,
    pressure: Array, restitution: Array, gravity: Array, friction: Array,
) -> dict[str, Array]:
    """Let only the first tooth of a hit dig, to anything from nothing to the bite alike: the mean of what that gives.

    J = m_e v [1 - sqrt(1 - W(u) / E)], W(u) = p w A(u); where W(u) is beyond E the tooth is stopped: (1 + e) m_e v.
    """
    found = first_tooth(
        np.asarray(diameter) / 2, width, height, teeth, speed, opponent, effective, struck,
        _closing(teeth, speed, bite), pressure, restitution, gravity,
    )
    return {**found, "slide": np.asarray(found["throw"] / friction)}


def dug_by_first_tooth(
    energy: Array, pressure: Array, width: Array, diameter: Array, height: Array, bite: Array
) -> dict[str, Array]:
    """Mean energy that the first tooth digs out, W(u) of the hit's energy E at most, and the depth b* that takes all.

    W(b*) = E; for a bite beyond b* near E (1 - 0.6 b*/b), below it 0.4 W(b).
    """
    return first_tooth_energy(energy, pressure, width, np.asarray(diameter) / 2, height, bite)


def on_a_hard_face(
    diameter: Array, inertia: Array, speed: Array, mass: Array, opponent: Array, depth: Array, stiffness: Array,
    restitution: Array,
) -> dict[str, Array]:
    """Turn a tooth aside on a face that it cannot dig, at half its depth of cut u past that face.

    s = r sin phi, cos phi = 1 - u / r, m_n = 1 / (s^2 / I + 1 / m + 1 / M), E_n = m_n (omega s)^2 / 2, at most k u^2 /
    2.
    """
    return hard_face(np.asarray(diameter) / 2, inertia, speed, mass, opponent, np.asarray(depth) / 2, stiffness,
                     restitution)


_HIT = Model(in_engagement, (*TOOTH, *BODIES, *LAW, *OWN), "impulse")
_FIRST = Model(by_first_tooth, (*TOOTH, *BODIES, *LAW), "impulse")
_DUG = Model(dug_by_first_tooth, ("hit_energy", "dig_pressure", "rotor.tooth_width", "rotor.diameter",
                                  "rotor.tooth_height", "bite"), "energy")
_HARD = Model(on_a_hard_face, ("rotor.diameter", "rotor_inertia", "rotor_speed", "mass", "mass_limit", "hit_bite_depth",
                               "contact_stiffness", "opponent.restitution"), "energy")

_RULE = f"own-derivation: teeth that deepen one groove, each an impact along the cut; thomson-tait sec. 266; {PUNCH}"
_DIGS = (
    "flat ductile face, free machines, hits in line with both centres of gravity as far as the closing goes; radial "
    "over cutting force rotor.radial_share has no source, 0.2 to 1, and decides which speed hits hardest; the pressure "
    "is a confined one, a chip that leaves freely takes about half of it"
)
_ONE = "the first tooth alone; flat ductile face"
_BOUND = "the whole tip stopped at once whatever the bite: a bound, as on a hook, an edge or a bolt"
_UP = ("rotor.axis=level",)
_ASIDE = ("rotor.axis=upright",)


def _of(model: Model, output: str) -> Model:
    return Model(model.function, model.inputs, output)


IMPULSE = (
    Quantity(
        "dig_pressure", "Pressure to dig into the armour", "p", "Pa", "impact", "same", CRUSH * armour_strength,
        source=PUNCH,
        assumes="a confined material; in plain cutting, where a chip leaves freely, about half of it",
    ),
    Quantity(
        "hit_impulse", "Hit impulse", "J", "kg m/s", "impact", "higher", _HIT,
        clock="gravity", source=_RULE, assumes=f"mean of the engagement; {_DIGS}",
    ),
    Quantity(
        "hit_impulse_first_tooth", "Hit impulse of the first tooth", "J_1", "kg m/s", "impact", "higher", _FIRST,
        clock="gravity", source=_RULE, assumes=f"mean over its depth; {_ONE}",
    ),
    Quantity(
        "hit_impulse_bound", "Hit impulse at most", "J_b", "kg m/s", "impact", "higher",
        (1 + restitution) * effective_mass * tip_speed,
        clock="gravity",
        source="thomson-tait sec. 266: momentum balance with restitution, J = (1 + e) m_e v",
        assumes=f"standing opponent hit at the tip, no friction along the surface; {_BOUND}",
    ),
)

THROW = (
    Quantity(
        "throw_height", "Throw height", "h_o", "m", "impact", "higher", _of(_HIT, "throw"),
        role="handling", clock="gravity",
        source=f"{_RULE}; own-derivation: Galileo's law of fall, (J/M)^2 = 2 g h",
        assumes=f"upwards; mean of the engagement; standing opponent of the class's mass limit; {_DIGS}",
        when=_UP,
    ),
    Quantity(
        "throw_height_first_tooth", "Throw height by the first tooth", "h_1", "m", "impact", "higher",
        _of(_FIRST, "throw"),
        clock="gravity",
        source="as throw_height",
        assumes=f"upwards; mean over its depth; {_ONE}",
        when=_UP,
    ),
    Quantity(
        "throw_height_bound", "Throw height at most", "h_b", "m", "impact", "higher",
        (impulse_bound / mass_limit) ** 2 / (2 * gravity),
        clock="gravity",
        source="own-derivation: Galileo's law of fall, (J/M)^2 = 2 g h",
        assumes=f"upwards; {_BOUND}",
        when=_UP,
    ),
    Quantity(
        "throw_slide", "Slide of a struck opponent", "s_o", "m", "impact", "higher", _of(_HIT, "slide"),
        role="handling", clock="gravity",
        source=f"{_RULE}; own-derivation: work of friction, v^2 / 2 = mu g s",
        assumes=f"sideways, where an upright rotor throws; opponent.friction; mean of the engagement; {_DIGS}",
        when=_ASIDE,
    ),
    Quantity(
        "throw_slide_first_tooth", "Slide by the first tooth", "s_1", "m", "impact", "higher", _of(_FIRST, "slide"),
        clock="gravity",
        source="as throw_slide",
        assumes=f"sideways; mean over its depth; {_ONE}",
        when=_ASIDE,
    ),
    Quantity(
        "throw_slide_bound", "Slide at most", "s_b", "m", "impact", "higher",
        (impulse_bound / mass_limit) ** 2 / (2 * friction * gravity),
        clock="gravity",
        source="own-derivation: work of friction, v^2 / 2 = mu g s",
        assumes=f"sideways; {_BOUND}",
        when=_ASIDE,
    ),
)

ENERGY = (
    Quantity(
        "hit_energy_given", "Hit energy into opponent's motion", "E_o", "J", "impact", "higher",
        _of(_HIT, "energy_given"),
        clock="gravity",
        source=f"{_RULE}; own-derivation: J^2 / (2 m_2), moving and turning together",
        assumes=f"mean of the engagement; {_DIGS}",
    ),
    Quantity(
        "hit_energy_given_first_tooth", "Energy given by the first tooth", "E_o1", "J", "impact", "higher",
        _of(_FIRST, "energy_given"),
        clock="gravity",
        source="as hit_energy_given",
        assumes=f"mean over its depth; {_ONE}",
    ),
    Quantity(
        "hit_energy_given_bound", "Energy given at most", "E_ob", "J", "impact", "higher",
        impulse_bound**2 / (2 * opponent_mass),
        clock="gravity",
        source="own-derivation: impulse and momentum, J^2 / (2 m_2), moving and turning together",
        assumes=_BOUND,
    ),
    Quantity(
        "hit_energy_first_tooth", "Energy that the first tooth digs", "W_1", "J", "impact", "higher", _DUG,
        source=f"own-derivation: work of p on the groove of a turning tooth, W = p w A; {PUNCH}",
        assumes=f"mean over its depth; {_ONE}",
    ),
    Quantity(
        "hit_stopping_depth", "Depth of groove that stops the tip", "b_s", "m", "impact", "lower",
        _of(_DUG, "stopping_depth"),
        source="as hit_energy_first_tooth",
        assumes=_ONE,
    ),
    Quantity(
        "hit_energy_dug", "Energy dug in an engagement", "W", "J", "impact", "higher", _of(_HIT, "work"),
        source=_RULE, assumes=f"mean of the engagement; {_DIGS}",
    ),
    Quantity(
        "hit_energy_lost", "Hit energy into damage and heat", "E_d", "J", "impact", "same",
        dug - stop_share * restitution**2 * hit_energy,
        source="thomson-tait sec. 266: what is dug, less the rebound's e^2 m_e v^2 / 2 of hits that stop the tip",
        assumes="as hit_energy_dug",
    ),
    Quantity(
        "hit_teeth", "Teeth in an engagement", "n_h", "1", "impact", "same", _of(_HIT, "teeth"),
        source=_RULE, assumes=f"mean of the engagement; {_DIGS}",
    ),
    Quantity(
        "hit_stop_share", "Share of hits that stop the rotor", "p_s", "1", "impact", "same", _of(_HIT, "stopped"),
        source=_RULE, assumes=_DIGS,
    ),
    Quantity(
        "hit_groove_depth", "Groove that a hit leaves", "D_h", "m", "impact", "higher", _of(_HIT, "depth"),
        source=_RULE, assumes=f"mean of the engagement; {_DIGS}",
    ),
)

_FACE = "thomson-tait sec. 266: impact along a face's normal, m_n (omega s)^2 / 2 with s the lever of the normal"
_TURNED = "a flat face too hard to dig, met at half the depth of cut; without friction; free machines"

HARD = (
    Quantity(
        "hard_face_energy", "Hit energy on a hard face", "E_n", "J", "impact", "higher", _HARD,
        source=_FACE, assumes=f"{_TURNED}; at most what the armour's stiffness stores over that depth",
    ),
    Quantity(
        "hard_face_energy_share", "Share of a hit left on a hard face", "E_n/E_h", "1", "impact", "higher",
        _of(_HARD, "share"),
        source="definition: hard_face_energy over that of a hit in line with both centres of gravity",
        assumes=_TURNED,
    ),
    Quantity(
        "hard_face_impulse", "Level shove by a hard face", "J_n", "kg m/s", "impact", "same", _of(_HARD, "impulse"),
        clock="gravity", source=_FACE, assumes=f"{_TURNED}; along the normal, so it shoves and does not throw",
    ),
)

QUANTITIES = (*IMPULSE, *THROW, *ENERGY, *HARD)
