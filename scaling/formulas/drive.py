"""The drive: speed, grip, time across the arena, and the race between a rush and the spin-up."""

from __future__ import annotations

import sympy

from scaling.formulas.arena_run import crossing
from scaling.formulas.book import KINDS, Choice, Model, Quantity, Variable, symbols

kv, resistance, no_load_current, current_limit = symbols(
    "drive.motor.kv drive.motor.resistance drive.motor.no_load_current drive.motor.current_limit"
)
motors, ratio, wheel_diameter, friction = symbols("drive.motors drive.ratio wheel.diameter wheel.friction")
load_share, driven, count = symbols("wheel.load_share wheel.driven wheel.count")
voltage, pack_resistance = symbols("battery.voltage battery.resistance")
mass, gravity, length, track, reaction_time = symbols("mass gravity length track driver.reaction_time")
top_speed, traction_force, stall_force, traction = symbols(
    "top_speed traction_force drive_stall_force traction_acceleration"
)
half_crossing, time_80_energy = symbols("half_arena_crossing_time spin_up_time_80_energy")

VARIABLES = (
    Variable("wheel.diameter", "d_w", "m", "diameter of a driven wheel", 1),
    Variable("wheel.mass", "m_w", "kg", "mass of one wheel with its hub", 3),
    Variable("wheel.friction", "mu", "1", "friction between tyre and floor"),
    Variable("wheel.count", "n_w", "1", "wheels on the floor", allowed="count"),
    Variable("wheel.driven", "n_d", "1", "driven wheels", allowed="count", optional=True),
    Variable("wheel.load_share", "s_w", "1", "share of the weight on the wheels, the rest on a skid", 0,
             allowed="fraction", default=1.0),
    Variable("drive.motors", "n_m", "1", "drive motors", allowed="count"),
    Variable("drive.ratio", "i_d", "1", "motor speed over wheel speed"),
    Variable("drive.motor.kv", "K_d", "rad/s/V", "speed constant of a drive motor, unloaded", -1, -1),
    Variable("drive.motor.resistance", "R_d", "ohm", "resistance of a drive motor", -3, 2),
    Variable("drive.motor.no_load_current", "I_d0", "A", "no-load current of a drive motor", 3, -1,
             allowed="not negative"),
    Variable("drive.motor.current_limit", "I_dl", "A", "current limit of a drive motor or its controller", 3, -1,
             optional=True),
    Variable("drive.motor.mass", "m_d", "kg", "mass of a drive motor with its gearbox", 3),
    Variable("drive.motor.diameter", "d_d", "m", "outer diameter of a drive motor", 1, optional=True),
)

CHOICES = {
    "drive.motor.kind": Choice(KINDS, "how the motors' mass follows the factor", default="bought"),
    "wheel.kind": Choice(KINDS, "how the wheels' mass follows the factor", default="solid"),
}

_DRELA = "M. Drela, First-Order DC Electric Motor Model, MIT, 2007"
_RUN_INPUTS = (
    "drive_stall_force",
    "drive_current_limited_force",
    "traction_force",
    "top_speed",
    "mass",
)


QUANTITIES = (
    Quantity(
        "top_speed", "Top speed", "v", "m/s", "drive", "higher",
        kv * (voltage - no_load_current * (resistance + motors * pack_resistance)) / ratio * wheel_diameter / 2,
        source=f"{_DRELA}: speed at the no-load current, the pack sagging by all drive motors",
        assumes="flat out on a level floor, rolling resistance within the no-load current",
    ),
    Quantity(
        "top_yaw_rate", "Top turn rate", "Omega", "rad/s", "drive", "higher", 2 * top_speed / track,
        source="plane kinematics, sides opposed at top speed: J. L. Meriam & L. G. Kraige, Engineering Mechanics: "
        "Dynamics, ch. 5",
        assumes="about the robot's own centre, no skid losses",
    ),
    Quantity(
        "body_lengths_per_second", "Body lengths a second", "v/L", "1/s", "drive", "higher", top_speed / length,
        source="definition",
    ),
    Quantity(
        "froude_speed", "Top speed over sqrt(g L)", "v/sqrt(g L)", "1", "drive", "higher",
        top_speed / sympy.sqrt(gravity * length),
        source="Froude number: Y. Nakayama, Introduction to Fluid Mechanics, ch. 10; from memory",
    ),
    Quantity(
        "reaction_distance", "Distance covered in a reaction time", "x_h", "m", "drive", "lower",
        top_speed * reaction_time,
        source="definition; reaction time as stated in the design",
    ),
    Quantity(
        "traction_acceleration", "Acceleration that grip allows", "a_t", "m/s^2", "drive", "higher",
        friction * gravity * load_share * driven / count,
        source="Coulomb friction, a = mu g times the driven share of the weight: J. Y. Wong, Theory of Ground "
        "Vehicles, ch. 3",
        assumes="even load on the wheels, level floor",
    ),
    Quantity(
        "traction_force", "Push that grip allows", "F_t", "N", "drive", "higher", mass * traction,
        source="Newton's second law",
    ),
    Quantity(
        "drive_stall_force", "Push of the stalled motors", "F_s", "N", "drive", "higher",
        motors * (voltage / (resistance + motors * pack_resistance) - no_load_current) * ratio / kv
        / (wheel_diameter / 2),
        source=f"{_DRELA}: stall torque with the no-load current taken off, pack sag by all drive motors",
        assumes="gearbox without loss",
    ),
    Quantity(
        "drive_current_limited_force", "Push at the drive's current limit", "F_c", "N", "drive", "higher",
        motors * (current_limit - no_load_current) * ratio / kv / (wheel_diameter / 2),
        source=_DRELA,
        assumes="gearbox without loss",
    ),
    Quantity(
        "drive_push_margin", "Motors' push over grip", "F_s/F_t", "1", "drive", "higher",
        sympy.Min(stall_force, symbols("drive_current_limited_force")[0]) / traction_force,
        source="definition",
        assumes="above 1 the wheels slip before the motors stall",
    ),
    Quantity(
        "arena_crossing_time", "Time across the arena", "t_a", "s", "drive", "lower",
        Model(crossing, (*_RUN_INPUTS, "arena.length"), "time"),
        source=f"quadrature of m dv/dt = F; motor force after {_DRELA}; grip as traction_acceleration",
        assumes="from rest, flat out, straight, force the least of grip, current limit and motor line",
    ),
    Quantity(
        "half_arena_crossing_time", "Time across half the arena", "t_a2", "s", "drive", "lower",
        Model(crossing, (*_RUN_INPUTS, "arena.length"), "half_time"),
        source="as arena_crossing_time",
    ),
    Quantity(
        "rush_margin", "Opponent's rush over spin-up", "t_a2/t_E80", "1", "drive", "higher",
        half_crossing / time_80_energy,
        source="definition: an opponent like oneself crosses half the arena while the rotor spins to 80 % energy",
        assumes="above 1 the rotor is ready first",
    ),
)
