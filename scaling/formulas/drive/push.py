"""The drive in a straight line: speed, grip, acceleration, pushing and stopping; turning is joined to it here."""

from __future__ import annotations

from scaling.book.algebra import least, sqrt, symbols
from scaling.book.entry import Model, Quantity, Validity, Variable
from scaling.formulas.drive import inverted, seams, turning
from scaling.formulas.drive.arena_run import crossing
from scaling.formulas.rotor import torque_constant
from scaling.formulas.rotor.similar_motor import similar

kv, resistance, no_load_current, current_limit = symbols(
    "drive.motor.kv drive.motor.resistance drive.motor.no_load_current drive.motor.current_limit"
)
motors, ratio, wheel_diameter, friction = symbols("drive.motors drive.ratio wheel.diameter wheel.friction")
load_share, driven, count = symbols("wheel.load_share wheel.driven wheel.count")
rolling_resistance, skid_friction = symbols("wheel.rolling_resistance wheel.skid_friction")
voltage, pack_resistance = symbols("battery.voltage battery.resistance")
mass, mass_limit, gravity, length = symbols("mass mass_limit gravity length")
cg_ahead, cg_height, reaction_time, arena_length = symbols("cg_ahead cg_height driver.reaction_time arena.length")
top_speed, grip_force, drive_drag, traction_force = symbols("top_speed grip_force drive_drag traction_force")
stall_force, limited_force, traction = symbols(
    "drive_stall_force drive_current_limited_force traction_acceleration"
)
half_crossing, time_80_energy = symbols("half_arena_crossing_time spin_up_time_80_energy")
push_force, wheelie_acceleration = symbols("push_force wheelie_acceleration")
reaction_distance, stopping_distance = symbols("reaction_distance stopping_distance")

efficiency, motor_torque_constant = symbols("drive.efficiency drive_torque_constant")

_GEARS = "the gearbox takes 1 - drive.efficiency of the torque, 0.9 of each stage left where the file says nothing"

VARIABLES = (
    Variable("wheel.diameter", "d_w", "m", "diameter of a driven wheel", 1),
    Variable("wheel.mass", "m_w", "kg", "mass of one wheel with its hub", 3),
    Variable("wheel.friction", "mu", "1", "friction between tyre and floor"),
    Variable("wheel.rolling_resistance", "c_rr", "1", "rolling resistance of a tyre over its load", 0,
             allowed="not negative", default=0.0),
    Variable("wheel.skid_friction", "mu_k", "1", "friction of the skid, where part of the weight rests on one", 0,
             allowed="not negative", default=0.0),
    Variable("wheel.count", "n_w", "1", "wheels on the floor", allowed="count"),
    Variable("wheel.driven", "n_d", "1", "driven wheels", allowed="count", optional=True),
    Variable("wheel.load_share", "s_w", "1", "share of the weight on the wheels, the rest on a skid", 0,
             allowed="share"),
    Variable("drive.efficiency", "eta_d", "1", "efficiency of a drive motor's gearbox: of torque, not of speed",
             allowed="share", derived=True),
    Variable("drive.motors", "n_m", "1", "drive motors", allowed="count"),
    Variable("drive.ratio", "i_d", "1", "motor speed over wheel speed"),
    Variable("drive.motor.kv", "K_d", "rad/s/V", "speed constant of a drive motor, unloaded",
             *similar("kv")),
    torque_constant.variable("drive.motor", "K_td", "a drive motor"),
    Variable("drive.motor.resistance", "R_d", "ohm", "resistance of a drive motor", *similar("resistance")),
    Variable("drive.motor.no_load_current", "I_d0", "A", "no-load current of a drive motor",
             *similar("no_load_current"), allowed="not negative"),
    Variable("drive.motor.current_limit", "I_dl", "A", "current limit of a drive motor or its controller",
             *similar("short_time_current"), optional=True),
    Variable("drive.motor.mass", "m_d", "kg", "mass of a drive motor with its gearbox", *similar("mass")),
    Variable("drive.motor.diameter", "d_d", "m", "outer diameter of a drive motor", 1, optional=True),
    *turning.VARIABLES,
    *seams.VARIABLES,
    *inverted.VARIABLES,
)

_LEVEL = Validity(
    "wheelie_margin",
    "the front lifts before the wheels slip: the driver has to ease off, and the grip is not used in full",
    low=1.0,
)
_RUN = ("drive_stall_force", "drive_current_limited_force", "grip_force", "drive_drag", "top_speed", "mass",
        "arena.length")
_MOTORS_FORCE = least(stall_force, limited_force)

FORCES = (
    *torque_constant.constants("drive.motor", "drive", "Drive motor", "drive"),
    Quantity(
        "grip_force", "Grip of driven wheels", "F_g", "N", "drive", "higher",
        friction * mass * gravity * load_share * driven / count,
        source="own-derivation: Coulomb friction on the driven share of the weight",
        assumes="even load on the wheels, level floor",
    ),
    Quantity(
        "drive_drag", "Rolling drag", "F_r", "N", "drive", "lower",
        mass * gravity * (rolling_resistance * load_share + skid_friction * (1 - load_share)),
        source="own-derivation: rolling resistance c_rr W on the wheels, Coulomb friction under the skid",
        assumes="the same at every speed; nothing where the design states neither",
    ),
    Quantity(
        "traction_acceleration", "Grip-limited acceleration", "a_t", "m/s^2", "drive", "higher",
        gravity * load_share * (friction * driven / count - rolling_resistance),
        role="handling", clock="driver",
        source="own-derivation: Coulomb friction less rolling resistance, a = (mu - c_rr) g with all the weight on "
        "driven wheels",
        assumes="even load on the wheels, level floor; no weight shifted by the acceleration; a skid's drag is in "
        "drive_drag",
        valid=(_LEVEL,),
    ),
    Quantity(
        "traction_force", "Grip-limited push", "F_t", "N", "drive", "higher", mass * traction,
        source="own-derivation: Newton's second law",
    ),
    Quantity(
        "drive_stall_force", "Push of stalled motors", "F_s", "N", "drive", "higher",
        motors * (voltage / (resistance + motors * pack_resistance) - no_load_current) * ratio * efficiency
        * motor_torque_constant / (wheel_diameter / 2),
        source="drela2007: stall torque with the no-load current taken off, pack sag by all drive motors",
        assumes=_GEARS,
    ),
    Quantity(
        "drive_current_limited_force", "Push at current limit", "F_c", "N", "drive", "higher",
        motors * (current_limit - no_load_current) * ratio * efficiency * motor_torque_constant / (wheel_diameter / 2),
        source="drela2007",
        assumes=_GEARS,
    ),
    Quantity(
        "drive_push_margin", "Push over grip", "F_s/F_t", "1", "drive", "higher",
        _MOTORS_FORCE / traction_force,
        role="handling", clock="driver",
        source="definition",
        assumes="above 1 the wheels slip before the motors stall",
    ),
)

SPEED = (
    Quantity(
        "top_speed", "Top speed", "v", "m/s", "drive", "higher",
        kv * (voltage - no_load_current * (resistance + motors * pack_resistance)) / ratio * wheel_diameter / 2,
        role="yardstick", clock="driver",
        source="drela2007: speed at the no-load current, the pack sagging by all drive motors",
        assumes="flat out on a level floor, rolling resistance within the no-load current",
    ),
    Quantity(
        "top_speed_with_drag", "Top speed with drag", "v_r", "m/s", "drive", "higher",
        top_speed * (1 - drive_drag / stall_force),
        clock="driver",
        source="drela2007: where the motors' force line meets the drag",
        assumes="flat out on a level floor",
    ),
    Quantity(
        "body_lengths_per_second", "Body lengths per second", "v/L", "1/s", "drive", "higher", top_speed / length,
        clock="driver",
        source="definition",
    ),
    Quantity(
        "froude_speed", "Froude number", "v/sqrt(g L)", "1", "drive", "higher",
        top_speed / sqrt(gravity * length),
        role="handling", clock="driver",
        source="iec60050 Froude number: v / sqrt(l g)",
    ),
    Quantity(
        "reaction_distance", "Reaction distance", "x_h", "m", "drive", "lower",
        top_speed * reaction_time,
        role="handling", clock="driver",
        source="definition: reaction time as stated in the design",
    ),
    Quantity(
        "stopping_distance", "Stopping distance", "x_s", "m", "drive", "lower",
        mass * top_speed**2 / (2 * (grip_force + drive_drag)),
        role="handling", clock="driver",
        source="own-derivation: work of the grip and drag forces over v^2 m / 2",
        assumes="driven wheels braked at the grip limit, straight, without the driver's reaction",
    ),
    Quantity(
        "arena_stop_share", "Arena share to react and stop", "(x_h+x_s)/L_a", "1", "drive", "lower",
        (reaction_distance + stopping_distance) / arena_length,
        clock="driver",
        source="definition",
        assumes="from top speed; above 1 the driver cannot see a wall coming and stop before it",
    ),
)

RUN = (
    Quantity(
        "motor_limited_acceleration", "Motor-limited acceleration", "a_m", "m/s^2", "drive", "higher",
        (_MOTORS_FORCE - drive_drag) / mass,
        clock="driver",
        source="own-derivation: Newton's second law; drela2007: force",
        assumes="from rest, grip without limit",
    ),
    Quantity(
        "launch_acceleration", "Launch acceleration", "a_0", "m/s^2", "drive", "higher",
        (least(stall_force, limited_force, grip_force) - drive_drag) / mass,
        clock="driver",
        source="own-derivation: Newton's second law, the least of grip, current limit and stall, less the drag",
        assumes="wheels' own inertia small beside the robot's mass",
        valid=(_LEVEL,),
    ),
    Quantity(
        "held_back_speed_share", "Speed share held by grip or limit", "v_1/v", "1", "drive", "same",
        1 - least(stall_force, limited_force, grip_force) / stall_force,
        clock="driver",
        source="drela2007: where the motors' force line falls below the grip or the current limit",
        assumes="near 1 stronger motors do not shorten a run; only grip or a higher top speed does",
    ),
    Quantity(
        "arena_crossing_time", "Arena crossing time", "t_a", "s", "drive", "lower", Model(crossing, _RUN, "time"),
        role="handling", clock="driver",
        source="own-derivation: quadrature of m dv/dt = F; drela2007: motor force; as grip_force: grip; as drive_drag: "
        "drag",
        assumes="from rest, flat out, straight, force the least of grip, current limit and motor line",
        valid=(_LEVEL,),
    ),
    Quantity(
        "half_arena_crossing_time", "Half-arena crossing time", "t_a2", "s", "drive", "lower",
        Model(crossing, _RUN, "half_time"),
        clock="driver",
        source="as arena_crossing_time",
        valid=(_LEVEL,),
    ),
    Quantity(
        "arena_end_speed", "Speed at the far wall", "v_a", "m/s", "drive", "higher",
        Model(crossing, _RUN, "end_speed"),
        clock="driver",
        source="as arena_crossing_time",
        valid=(_LEVEL,),
    ),
    Quantity(
        "rush_margin", "Rush margin", "t_a2/t_E80", "1", "drive", "higher",
        half_crossing / time_80_energy,
        role="handling", clock="driver", keep="one",
        source="definition: an opponent like oneself crosses half the arena while the rotor spins to 80 % energy",
        assumes="above 1 the rotor is ready first",
    ),
    Quantity(
        "wheelie_acceleration", "Wheelie acceleration", "a_w", "m/s^2", "drive", "higher",
        gravity * cg_ahead / cg_height,
        clock="gravity",
        source="wong ch. 3: moments about the rear contact, m a h = m g x_g",
        assumes="forward; no push on the front, no torque from a rotor that spins up",
    ),
    Quantity(
        "wheelie_margin", "Wheelie margin", "a_w/a_t", "1", "drive", "higher",
        wheelie_acceleration / traction,
        clock="gravity",
        source="definition",
        assumes="below 1 full throttle can lift the front, if the motors have the push",
    ),
    Quantity(
        "push_force", "Push against a standing opponent", "F_p", "N", "drive", "higher",
        least(stall_force, limited_force, grip_force) - drive_drag,
        source="own-derivation: the least of grip, current limit and stall, less the drag",
        assumes="level push; an opponent that is lifted adds its weight to the own grip, one that lifts takes it away",
    ),
    Quantity(
        "push_margin", "Push margin", "F_p/(mu m_lim g)", "1", "drive", "higher",
        push_force / (friction * mass_limit * gravity),
        source="definition: an opponent of the class's mass limit, standing on tyres like the own",
        assumes="above 1 it is pushed away with its wheels locked; 1 is a draw",
    ),
)

QUANTITIES = (*FORCES, *SPEED, *RUN, *turning.QUANTITIES, *seams.QUANTITIES, *inverted.QUANTITIES)
