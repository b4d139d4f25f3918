"""The rotor's motor and the air: speed reached, spin-up with and without the current limit, spin-down, air drag."""

from __future__ import annotations

from fractions import Fraction

from scaling.book.algebra import cases, least, sqrt, symbols
from scaling.book.entry import Model, Quantity, Validity
from scaling.formulas.rotor.spin_up import (
    as_motored_speed,
    spin_down,
    spin_up,
    spin_up_pack_limited,
    spin_up_without_limit,
)
from scaling.formulas.rotor.torque_constant import constants
from scaling.formulas.rotor.windage import LAMINAR, TRANSITION, TURBULENT, bar_factor, drum_factor

reached_speed = symbols("rotor_speed_as_motored")[0]
speed, diameter, width, bluffness, strip_drag = symbols(
    "rotor.speed rotor.diameter rotor.width rotor.windage_factor rotor.strip_drag"
)
air_density, air_viscosity = symbols("air.density air.viscosity")
reynolds, disc_windage, windage_torque = symbols("rotor_reynolds disc_moment_coefficient windage_torque")
inertia, motor_inertia, ratio = symbols("rotor.inertia rotor.motor.inertia rotor.ratio")
torque_constant, resistance, no_load_current, current_limit = symbols(
    "rotor_torque_constant rotor.motor.resistance rotor.motor.no_load_current rotor.motor.current_limit"
)
voltage, pack_resistance = symbols("battery.voltage battery.resistance")
unlimited_current, start_torque = symbols("rotor_unlimited_current spin_up_start_torque")
rotor_energy, spin_up_energy = symbols("rotor_energy spin_up_energy")

_SPIN_UP_INPUTS = (
    "rotor.inertia",
    "rotor.motor.inertia",
    "rotor.ratio",
    "rotor.motor.kv",
    "rotor_torque_constant",
    "rotor.motor.resistance",
    "rotor.motor.no_load_current",
    "rotor.motor.current_limit",
    "battery.voltage",
    "battery.resistance",
    "rotor.diameter",
    "rotor.width",
    "rotor.windage_factor",
    "rotor.strip_drag",
    "air.density",
    "air.viscosity",
)
_SHAPE_INPUTS = ("rotor.speed", "rotor.diameter", "rotor.width", "air.viscosity")
_SCHLICHTING = "schlichting7 ch. V and XXI"
_STRIPS = "own-derivation: strips of a bar at radius r, C_d rho (omega r)^2 / 2, from both halves"
_DISC_DRAG = "bird-stewart-lightfoot friction factor for a rotating disk"
_AIR = f"{_DISC_DRAG}: windage of a disc; own-derivation: of a bar's strips"
_DISC = Validity(
    "rotor_reynolds",
    "the disc drag coefficients were measured below a Reynolds number of 7e6",
    high=7e6,
)


def _spin_up(output: str) -> Model:
    return Model(spin_up, ("rotor.speed", *_SPIN_UP_INPUTS), output)



def _without_limit(output: str) -> Model:
    return Model(spin_up_without_limit, ("rotor.speed", *_SPIN_UP_INPUTS), output)


QUANTITIES = (
    *constants("rotor.motor", "rotor", "Rotor motor", "rotor"),
    Quantity(
        "rotor_speed_as_motored", "Rotor speed within reach", "omega_m", "rad/s", "rotor", "same",
        Model(as_motored_speed, _SPIN_UP_INPUTS, "speed"),
        source=f"drela2007; own-derivation: balance of motor torque and drag; {_AIR}",
        assumes="pack at its nominal voltage, sagging by its resistance",
    ),
    Quantity(
        "rotor_speed_reach_share", "Rotor speed over what its motor reaches", "omega/omega_m", "1", "rotor", "same",
        speed / reached_speed,
        source="definition",
        assumes="above 1 the motor cannot hold the speed: its currents, heat, spin-up and match energy are absent",
    ),
    Quantity(
        "rotor_unlimited_current", "Unlimited motor stall current", "I_u", "A", "rotor", "same",
        voltage / (resistance + pack_resistance),
        source="drela2007: the motor at rest is its resistance, the pack's in series",
        assumes="what a controller without a limit would let through at full throttle",
    ),
    Quantity(
        "spin_up_start_torque", "Rotor torque at standstill", "T_0", "N m", "rotor", "higher",
        (least(unlimited_current, current_limit) - no_load_current) * ratio * torque_constant,
        clock="driver",
        source="drela2007: T = (I - I_0) K_t, through the ratio",
        assumes="what both inertias share; belt or gear without loss",
    ),
    Quantity(
        "spin_up_start_acceleration", "Rotor acceleration at standstill", "alpha_0", "rad/s^2", "rotor", "higher",
        start_torque / (inertia + motor_inertia * ratio**2),
        clock="driver",
        source="meriam sec. 6/4: rotation of two coupled inertias, T / (I + J i^2)",
        assumes="belt or gear without give",
    ),
    Quantity(
        "spin_up_time", "Spin-up time to 95 % speed", "t_95", "s", "rotor", "lower", _spin_up("time_95"),
        role="handling", clock="driver",
        source=f"own-derivation: quadrature of J domega/dt = T; drela2007: motor; {_AIR}",
        assumes="motor-side current limit; pack sag; belt without slip; governed where the set speed is below the "
        "motor's own; with a limit on the pack's side it is spin_up_time_pack_limited",
    ),
    Quantity(
        "spin_up_time_50", "Spin-up time to 50 % speed", "t_50", "s", "rotor", "lower", _spin_up("time_50"),
        clock="driver",
        source="as spin_up_time",
    ),
    Quantity(
        "spin_up_time_80", "Spin-up time to 80 % speed", "t_80", "s", "rotor", "lower", _spin_up("time_80"),
        clock="driver",
        source="as spin_up_time",
    ),
    Quantity(
        "spin_up_time_80_energy", "Spin-up time to 80 % energy", "t_E80", "s", "rotor", "lower",
        _spin_up("time_energy_80"),
        clock="driver",
        source="as spin_up_time: to sqrt(0.8) of the speed",
    ),
    Quantity(
        "spin_up_energy", "Pack energy per spin-up", "E_p", "J", "rotor", "lower", _spin_up("pack_energy"),
        clock="match",
        source="own-derivation: quadrature of V I dt at the pack's open-circuit voltage, to 95 % speed",
        assumes="the controller turns volts into amps without loss, so the pack gives the motor's power",
    ),
    Quantity(
        "spin_up_heat", "Winding heat per spin-up", "Q_w", "J", "rotor", "lower", _spin_up("winding_heat"),
        clock="match",
        source="own-derivation: quadrature of I^2 R dt, to 95 % speed",
    ),
    Quantity(
        "spin_up_efficiency", "Spin-up efficiency", "E/E_p", "1", "rotor", "higher",
        Fraction(361, 400) * rotor_energy / spin_up_energy,
        clock="driver",
        source="definition: at 95 % speed the rotor holds 0.95^2 of its energy",
        assumes="as spin_up_energy; a motor at full voltage without a limit loses half in its winding and the pack",
    ),
    Quantity(
        "spin_up_time_at_limit", "Spin-up time in current limit", "t_l", "s", "rotor", "lower",
        _spin_up("time_at_limit"),
        clock="driver",
        source="as spin_up_time: up to the speed at which the limit lets go",
        assumes="zero where the limit is above the current at rest",
    ),
    Quantity(
        "spin_up_time_without_limit", "Unlimited spin-up time to 95 % speed", "t_u", "s", "rotor", "lower",
        _without_limit("time"),
        clock="driver",
        source="as spin_up_time",
        assumes="a controller and a motor that stand rotor_unlimited_current; what the limit costs in time",
    ),
    Quantity(
        "spin_up_time_pack_limited", "Spin-up time with pack-side limit too", "t_b", "s", "rotor", "lower",
        Model(spin_up_pack_limited, ("rotor.speed", "rotor.controller.pack_limit", *_SPIN_UP_INPUTS), "time"),
        clock="driver",
        source="as spin_up_time; erickson-maksimovic2 ch. 2: power balance of a step-down converter",
        assumes="to 95 % speed; rotor.controller.pack_limit beside the motor-side limit",
    ),
    Quantity(
        "spin_up_time_over_limit", "Time over limit if unlimited", "t_o", "s", "rotor", "lower",
        _without_limit("time_over_limit"),
        clock="driver",
        source="as spin_up_time_without_limit: up to the speed at which the current falls to the limit",
        assumes="zero where the limit is above the current at rest; a controller must stand this or limit",
    ),
    Quantity(
        "spin_up_heat_without_limit", "Unlimited winding heat per spin-up", "Q_u", "J", "rotor", "lower",
        _without_limit("winding_heat"),
        clock="match",
        source="as spin_up_heat",
        assumes="what the limit saves the winding",
    ),
    Quantity(
        "spin_up_energy_without_limit", "Unlimited pack energy per spin-up", "E_u", "J", "rotor", "lower",
        _without_limit("pack_energy"),
        clock="match",
        source="as spin_up_energy",
        assumes="what the limit saves the pack",
    ),
    Quantity(
        "spin_down_time", "Coast-down time to 5 %", "t_d", "s", "rotor", "lower",
        Model(spin_down, ("rotor.speed", *_SPIN_UP_INPUTS), "time"),
        role="yardstick", clock="driver",
        source="own-derivation: quadrature of J domega/dt = -drag, bearing and iron drag as the motor's no-load "
        f"torque; {_AIR}",
        assumes="motor coasting, not braking",
    ),
    Quantity(
        "rotor_reynolds", "Rotor Reynolds number", "Re", "1", "rotor", "same",
        speed * (diameter / 2) ** 2 / air_viscosity,
        source="definition: omega R^2 / nu",
    ),
    Quantity(
        "disc_moment_coefficient", "Disc moment coefficient", "C_m", "1", "rotor", "same",
        cases(
            (LAMINAR / sqrt(reynolds), reynolds < TRANSITION),
            (TURBULENT * reynolds ** Fraction(-1, 5), True),
        ),
        source=f"{_DISC_DRAG}: 3.87 Re^(-1/2) laminar, 0.146 Re^(-1/5) turbulent; {_SCHLICHTING}: from laminar to "
        "turbulent at Re = 3e5",
        valid=(_DISC,),
    ),
    Quantity(
        "windage_torque", "Windage torque", "T_w", "N m", "rotor", "lower",
        bluffness * strip_drag * air_density * speed**2 * width * (diameter / 2) ** 4 / 4,
        source=f"{_STRIPS}; hoerner1965 ch. 3: C_d = 1.2 of a bluff rod two to four times as long along the stream as "
        "it is high, whatever the speed",
        assumes="air at rest ahead of every edge: a rod that runs in its own swirl drags less; rotor.windage_factor, "
        "where it is stated, says by the reference's speed how much",
        when=("rotor.shape=bar",),
    ),
    Quantity(
        "windage_torque", "Windage torque", "T_w", "N m", "rotor", "lower",
        bluffness * disc_windage * air_density * speed**2 * (diameter / 2) ** 5 / 2,
        source=f"{_SCHLICHTING}: M = C_m rho omega^2 R^5 / 2 for both faces of a free disc",
        assumes="smooth free disc; toothed rotors drag more: state rotor.windage_factor",
        valid=(_DISC,),
    ),
    Quantity(
        "windage_power", "Windage power", "P_w", "W", "rotor", "lower", windage_torque * speed,
        clock="match",
        source="own-derivation: P = T omega",
        valid=(_DISC,),
    ),
    Quantity(
        "bar_drag_coefficient", "Bar drag coefficient", "C_d", "1", "rotor", "lower", bluffness * strip_drag,
        source="definition; hoerner1965 ch. 3: 1.2 of a bluff rod in still air; nakaguchi1968: 2.0 of a flat plate, up "
        "to 2.6 of one a little thicker, less from where the flow lies on again at three times the height",
        assumes="on the bar's width along its axis; well below 1.2 the air is taken as turning along",
        when=("rotor.shape=bar",),
    ),
    Quantity(
        "windage_factor_estimate", "Windage factor of the shape", "k_e", "1", "rotor", "lower",
        Model(bar_factor, _SHAPE_INPUTS, "factor"),
        source=f"hoerner1965 ch. 3: strips of a bluff rod, C_d = 1.2; {_DISC_DRAG}: disc",
        assumes="square-edged bar in still air, so an upper bound: rounded edges and air that turns along take off; a "
        "help to state rotor.windage_factor, which is what counts",
        when=("rotor.shape=bar",),
    ),
    Quantity(
        "windage_factor_estimate", "Windage factor of the shape", "k_e", "1", "rotor", "lower",
        Model(drum_factor, _SHAPE_INPUTS, "factor"),
        source=f"naca793: side of a spinning cylinder, 1/sqrt(C) = -0.6 + 4.07 log10(Re sqrt(C)); {_SCHLICHTING}: "
        "faces",
        assumes="smooth drum with closed ends; teeth drag more; a help to state rotor.windage_factor, which "
        "is what counts",
        when=("rotor.shape=drum",),
    ),
)
