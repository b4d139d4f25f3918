"""The rotor stops dead with the motor's inertia behind the belt: peak loads, and what gives way first.

The motor's pulley runs on against a belt whose far pulley stands still. Both spans are springs on fixed
centres: one tightens by what the other loses until it hangs slack. A toothed belt stops the motor within its own
stretch; a friction belt slips at the capstan limit and turns the motor's energy into heat at the pulley.
"""

from __future__ import annotations

import numpy as np

from scaling.book.algebra import Expression, cases, largest, least, pi, sqrt, symbol, symbols
from scaling.book.entry import Array, Model, Quantity, Validity
from scaling.formulas.transmission.belt_drive import (
    LIFTED,
    MESHED,
    SMALLER,
    STRETCHED,
    TOOTHED,
    WRAPPED,
    belt_speed,
    breaking,
    capstan,
    line_mass,
    mesh,
    pulley,
    ratio,
    span_stiffness,
    speed,
    stiffness,
    tension,
    tooth_strength,
    width,
    wrap,
)
from scaling.formulas.transmission.soft_mount import toothed_stop
from scaling.formulas.transmission.stop_heat import slip_temperature_rise

inertia, pitch, contact_share = symbols("rotor.motor.inertia rotor.belt.pitch rotor.belt.contact_share")
belt_softening = symbols("rotor.belt.softening_rise")[0]
softening, fixing, strength, shear_ratio = symbols(
    "rotor.belt.pulley.softening_rise rotor.belt.pulley.fixing_torque rotor.belt.pulley.strength "
    "rotor.belt.pulley.shear_strength_ratio"
)
shaft_diameter, shaft_overhang, shaft_strength = symbols(
    "rotor.motor.shaft.diameter rotor.motor.shaft.overhang rotor.motor.shaft.strength"
)
path_stiffness, wave_tension, slip_limit, stall_tension, stall_pull = symbols(
    "belt_path_stiffness belt_wave_tension belt_slip_limit_tension belt_stall_tension belt_stall_pull"
)
slip_work, slip_time, contact_area, rise, shaft_stress = symbols(
    "belt_slip_work belt_slip_time belt_slip_contact_area belt_slip_temperature_rise motor_shaft_stall_stress"
)
motor_speed = speed * ratio

LINKS = {
    "belt": "belt_stall_margin",
    "pulley": "pulley_stall_margin",
    "mount": "motor_mount_weakest_margin",
    "shaft": "motor_shaft_stall_margin",
}
"""What can give way when the rotor stops dead, and the margin of each: the least goes first."""

_COASTING = (
    "rotor stopped in no time at full speed, motor coasting; pulleys, shafts and teeth stiff; belt without mass, its "
    "stretch on the pulleys left out"
)
_HEAVY = Validity(
    "belt_wave_share",
    "the belt's own mass, which is stopped as well, may add as much as this to the peak",
    high=0.5,
)
_SLIPPING = Validity(
    "belt_slip_margin",
    "a motor that can make the belt slip goes on heating it after the stop until the throttle is cut",
    low=1.0,
)
_ENERGY = "goldsmith ch. 2: energy balance of motor and belt"


_RISE_INPUTS = (
    "belt_slip_heat_flow", "belt_slip_time", "belt_wrap", "rotor.speed", "rotor.ratio",
    "rotor.belt.pulley.conductivity",
    "rotor.belt.pulley.heat_capacity", "rotor.belt.conductivity", "rotor.belt.heat_capacity",
)
_STOP_INPUTS = (
    "rotor.motor.inertia", "rotor.speed", "rotor.ratio", "rotor.belt.pulley_diameter", "belt_span_stiffness",
    "rotor.motor_mount.stiffness", "rotor.motor.mass", "rotor.belt.tension",
)


def slipping_rise(flow: Array, time: Array, wrap: Array, speed: Array, ratio: Array, *heats: Array) -> dict[str, Array]:
    """Return ``slip_temperature_rise`` (K) with the motor's speed from the rotor's (rad/s) and the ratio."""
    pulley_conductivity, pulley_heat, belt_conductivity, belt_heat = heats
    return slip_temperature_rise(flow, time, wrap, np.asarray(speed) * ratio, pulley_conductivity, pulley_heat,
                                 belt_conductivity, belt_heat)


def stopping(inertia: Array, speed: Array, ratio: Array, *others: Array) -> dict[str, Array]:
    """Return ``toothed_stop`` (N) with the motor's speed from the rotor's (rad/s) and the ratio."""
    diameter, span, mount, mass, rest = others
    return toothed_stop(inertia, np.asarray(speed) * ratio, diameter, span, mount, mass, rest)


def _both_spans() -> Expression:
    """Peak tension of the tight span when the belt does not slip.

    While both spans are tight the motor's energy J omega^2/2 goes into k x^2, at tension T_0 + k x. From
    T = 2 T_0 on the slack one hangs loose and the tight one and the mount in series take the rest.
    """
    energy = inertia * motor_speed**2
    loose = sqrt(path_stiffness * energy + 2 * tension**2 * (2 - path_stiffness / span_stiffness))
    tight = tension + sqrt(span_stiffness * energy / 2)
    return cases((tight, span_stiffness * energy <= 2 * tension**2), (loose, True))


def _stall() -> tuple[Quantity, ...]:
    return (
        Quantity(
            "belt_no_slip_tension", "Dead-stop tension without slip", "T_k", "N", "transmission", "lower",
            motor_speed * sqrt(span_stiffness * inertia),
            source=f"{_ENERGY}, J omega^2/2 = T^2/(2 k), T = omega sqrt(k J), whatever the pulley's radius",
            assumes=f"{_COASTING}; no slip, no tension at rest, stiff mount", valid=(STRETCHED,),
        ),
        Quantity(
            "belt_wave_tension", "Dead-stop wave tension", "T_w", "N", "transmission", "lower",
            belt_speed * sqrt(stiffness * line_mass),
            source="johnson-impact ch. 1: end of a rod stopped, sigma = rho c v, so F = v sqrt(E A m')",
            assumes="belt gripped by the pulley that stopped",
        ),
        Quantity(
            "belt_wave_share", "Dead-stop wave share of peak", "T_w/T_p", "1", "transmission", "lower",
            wave_tension / stall_tension, source="definition", valid=(_HEAVY,),
        ),
        Quantity(
            "belt_slip_limit_tension", "Slip-limited dead-stop tension", "T_s", "N", "transmission", "lower",
            2 * tension / (1 + 1 / capstan),
            source="as belt_capstan_ratio: Euler-Eytelwein with T_1 + T_2 = 2 T_0, 2 T_0/(1 + exp(-mu "
            "theta/sin(beta/2)))",
            assumes="fixed centres, no tensioner", valid=(WRAPPED,),
        ),
        Quantity(
            "belt_stall_tension", "Dead-stop peak tension", "T_p", "N", "transmission", "lower",
            least(_both_spans(), slip_limit),
            source=f"{_ENERGY}, no more than the slip limit", assumes=_COASTING, valid=(WRAPPED, STRETCHED, _HEAVY),
        ),
        Quantity(
            "belt_stall_tension", "Dead-stop peak tension", "T_p", "N", "transmission", "lower",
            Model(stopping, _STOP_INPUTS, "tension"),
            source=f"{_ENERGY}, the greater of span and mount in series and of turning and whole motor colliding "
            "through the span, omega r sqrt(k_b mu); den-hartog4 ch. 3",
            assumes=f"{_COASTING}; the belt jumps no tooth; 11 % low to 27 % high for a motor that is heavy beside its "
            "turning part", when=TOOTHED, valid=(STRETCHED, _HEAVY),
        ),
        Quantity(
            "belt_stall_tension", "Dead-stop peak tension", "T_p", "N", "transmission", "lower",
            _both_spans(),
            source=f"{_ENERGY}, sqrt(k_p J omega^2 + 2 T_0^2 (2 - k_p/k_b)) once one span is slack",
            assumes=f"{_COASTING}; the belt jumps no tooth", when=TOOTHED, valid=(STRETCHED, _HEAVY),
        ),
        Quantity(
            "belt_stall_pull", "Dead-stop pull on pulley", "F_p", "N", "transmission", "lower",
            least(stall_tension, 2 * (stall_tension - tension)),
            source="own-derivation: T_1 - T_2 with T_2 = 2 T_0 - T_1 until that span is slack", assumes=_COASTING,
        ),
        Quantity(
            "belt_stall_mount_load", "Dead-stop load on motor mount", "F_m", "N", "transmission", "lower",
            Model(stopping, _STOP_INPUTS, "mount_force"),
            source="den-hartog4 ch. 3: both modes of turning and whole motor at their peak together",
            assumes=f"{_COASTING}; spans all but parallel; far from the belt's tension where the mount gives; 14 % low "
            "to 30 % high", when=TOOTHED, valid=(WRAPPED,),
        ),
        Quantity(
            "belt_stall_mount_load", "Dead-stop load on motor mount", "F_m", "N", "transmission", "lower",
            largest(stall_tension, 2 * tension),
            source="own-derivation: T_1 + T_2 with T_2 = 2 T_0 - T_1 until that span is slack",
            assumes=f"{_COASTING}; spans all but parallel", valid=(WRAPPED,),
        ),
        Quantity(
            "motor_shaft_stall_stress", "Dead-stop motor shaft stress", "sigma_m", "Pa", "transmission", "lower",
            16 / (pi * shaft_diameter**3)
            * sqrt(
                (2 * largest(stall_tension, 2 * tension) * shaft_overhang) ** 2 + 3 * (stall_pull * pulley / 2) ** 2
            ),
            source="shigley9 sec. 7-4, from memory: overhung round shaft, bending 32 M/(pi d^3) and torsion 16 T/(pi "
            "d^3) by distortion energy",
            assumes="no stress raiser at the flat or the collar",
        ),
    )


def _slip() -> tuple[Quantity, ...]:
    slip_pull = 2 * (slip_limit - tension)
    contact = pulley * SMALLER / 2 * wrap * width * contact_share
    valid = (_SLIPPING, WRAPPED, LIFTED)
    return (
        Quantity(
            "belt_slip_work", "Dead-stop slip heat", "W_s", "J", "transmission", "lower",
            largest(inertia * motor_speed**2 / 2 - (slip_limit - tension) ** 2 / span_stiffness, 0),
            source=f"{_ENERGY}, what the two spans cannot store below the slip limit", assumes=_COASTING, valid=valid,
        ),
        Quantity(
            "belt_slip_time", "Dead-stop slip time", "t_s", "s", "transmission", "lower",
            sqrt(2 * inertia * slip_work) / (slip_pull * pulley / 2),
            source="own-derivation: momentum of the motor over the slip limit's torque", assumes=_COASTING, valid=valid,
        ),
        Quantity(
            "belt_slip_contact_area", "Belt contact that slips in a dead stop", "A_s", "m^2", "transmission", "higher",
            contact,
            source="definition: wrapped arc times the width that rubs", valid=valid,
        ),
        Quantity(
            "belt_slip_heat_flow", "Heat flow as dead-stop slip begins", "q_0", "W/m^2", "transmission", "lower",
            slip_pull * pulley / 2 * sqrt(2 * slip_work / inertia) / contact_area,
            source="own-derivation: F v / A, the motor's first rim speed v from the slip's work, J (v / r)^2 / 2",
            assumes="heat spread evenly over the wrapped contact; steady pull, throttle cut", valid=valid,
        ),
        Quantity(
            "belt_slip_temperature_rise", "Dead-stop belt temperature rise", "DeltaT_s", "K", "transmission", "lower",
            Model(slipping_rise, _RISE_INPUTS, "rise"),
            source="limpert ch. 3: half-spaces under a heat flow that falls in a straight line; carslaw-jaeger2 sec. "
            "2.9; own-derivation: a point of the pulley is rubbed for theta/2 pi of the time, and each passage adds a "
            "flash",
            assumes="the motor's pulley rubs under a belt that stands; heat stays near both surfaces, none lost, even "
            "over the arc: up to a sixth more by the capstan's pressure; no melting",
            valid=valid,
        ),
    )


def _margins() -> tuple[Quantity, ...]:
    torn = tooth_strength * width * mesh / stall_pull
    held = fixing / (stall_pull * pulley / 2)
    cogs = shear_ratio * strength * pitch / 2 * width * mesh / stall_pull
    belt = ("belt_stall_margin", "Dead-stop belt margin", "n_b")
    wheel = ("pulley_stall_margin", "Dead-stop pulley margin", "n_p")
    return (
        Quantity(
            *belt, "1", "transmission", "higher", least(breaking / stall_tension, belt_softening / rise),
            role="survival",
            source="definition: lesser of breaking tension over peak tension and softening over temperature rise",
            assumes="slip alone is no failure; a belt that melts is", valid=(STRETCHED,),
        ),
        Quantity(
            *belt, "1", "transmission", "higher", least(breaking / stall_tension, torn),
            role="survival",
            source="definition: lesser of breaking tension over peak tension and tooth strength over peak pull",
            assumes="teeth in mesh share the pull evenly; the belt jumps no tooth", when=TOOTHED,
            valid=(STRETCHED, MESHED),
        ),
        Quantity(
            *wheel, "1", "transmission", "higher", least(held, softening / rise),
            role="survival",
            source="definition: lesser of what holds the pulley on its shaft over the peak pull's torque and softening "
            "over temperature rise",
            assumes="the motor's pulley; a pulley that softens under a slipping belt is cut by it",
        ),
        Quantity(
            *wheel, "1", "transmission", "higher", least(held, cogs),
            role="survival",
            source="definition: lesser of what holds the pulley on its shaft and the shear of its teeth, half a pitch "
            "thick at the root, over the peak pull",
            assumes="the motor's pulley; teeth in mesh share the pull evenly", when=TOOTHED, valid=(MESHED,),
        ),
        Quantity(
            "motor_shaft_stall_margin", "Dead-stop motor shaft margin", "n_m", "1", "transmission", "higher",
            shaft_strength / shaft_stress,
            role="survival",
            source="definition: yield strength",
        ),
    )


def _order() -> tuple[Quantity, ...]:
    margins = {link: symbol(name) for link, name in LINKS.items()}
    fuse = (
        Quantity(
            "stall_fuse_margin", "Dead-stop fuse margin", "n_f", "1", "transmission", "higher",
            least(*(margin for other, margin in margins.items() if other != link)) / own,
            source="definition: above 1 what is meant as the fuse goes first",
            assumes="a fuse helps only if its own margin is below 1 at a hit that would hurt the rest",
            when=(f"rotor.belt.fuse={link}",),
        )
        for link, own in margins.items()
    )
    return (
        Quantity(
            "weakest_link_margin", "Dead-stop least margin", "n_w", "1", "transmission", "higher",
            least(*margins.values()),
            source="definition: the chain gives way at its weakest link",
        ),
        *fuse,
    )


QUANTITIES = (*_stall(), *_slip(), *_margins(), *_order())
