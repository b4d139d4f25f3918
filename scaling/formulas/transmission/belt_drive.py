"""A belt at work: its run, its grip on the pulleys, its teeth, and how stiff it is."""

from __future__ import annotations

from scaling.book.algebra import absolute, asin, exp, least, pi, sin, sqrt, symbols
from scaling.book.entry import Quantity, Validity

pulley, teeth, centres, width = symbols(
    "rotor.belt.pulley_diameter rotor.belt.pulley_teeth rotor.belt.centre_distance rotor.belt.width"
)
friction, groove, stiffness, line_mass, tension = symbols(
    "rotor.belt.friction rotor.belt.groove_angle rotor.belt.stiffness rotor.belt.mass_per_length rotor.belt.tension"
)
breaking, tooth_strength, mount_stiffness = symbols(
    "rotor.belt.breaking_tension rotor.belt.tooth_strength rotor.motor_mount.stiffness"
)
ratio, speed, torque_constant, current_limit, no_load_current = symbols(
    "rotor.ratio rotor.speed rotor_torque_constant rotor.motor.current_limit rotor.motor.no_load_current"
)
wrap, span, belt_speed, capstan, centrifugal, slip_pull, working_pull, mesh, span_stiffness = symbols(
    "belt_wrap belt_span belt_speed belt_capstan_ratio belt_centrifugal_tension belt_slip_pull belt_working_pull "
    "belt_teeth_in_mesh belt_span_stiffness"
)

SMALLER = least(1, ratio)
"""Diameter of the smaller pulley over that of the motor's: the rotor's is the smaller one below a ratio of 1."""

TOOTHED = ("rotor.belt.kind=toothed",)

STRETCHED = Validity(
    "belt_stretch", "beyond a tenth of stretch even a soft belt no longer follows a straight line", high=0.1,
    source="common-practice",
)
WRAPPED = Validity(
    "belt_wrap", "under about 120 degrees of wrap a belt grips and meshes badly", low=2.09, source="common-practice",
)
LIFTED = Validity(
    "belt_centrifugal_share", "at this speed the belt's own mass lifts it off its pulleys: nothing is left to grip",
    high=1.0,
)
MESHED = Validity(
    "belt_teeth_in_mesh", "under six teeth in mesh the load is not shared evenly", low=6.0, source="iso5295 formula 1",
)

QUANTITIES = (
    Quantity(
        "belt_wrap", "Belt wrap angle", "theta", "rad", "transmission", "higher",
        pi - 2 * asin(pulley * absolute(ratio - 1) / (2 * centres)),
        source="shigley9 ch. 17, eq. 17-1, as quoted by a secondary page: pi - 2 asin((D - d)/(2 C)) for an open belt",
        assumes="open belt on two pulleys, no idler; the rotor's pulley is the ratio times the motor's",
    ),
    Quantity(
        "belt_span", "Belt free span", "L_b", "m", "transmission", "same",
        sqrt(centres**2 - (pulley * (ratio - 1) / 2) ** 2),
        source="shigley9 ch. 17, eq. 17-2", assumes="as belt_wrap",
    ),
    Quantity(
        "belt_length", "Belt length", "L_0", "m", "transmission", "same",
        2 * span + pulley * (ratio + 1) * pi / 2
        + pulley * (ratio - 1) * asin(pulley * (ratio - 1) / (2 * centres)),
        source="shigley9 ch. 17, eq. 17-2, as quoted by a secondary page", assumes="as belt_wrap; along the pitch line",
    ),
    Quantity(
        "belt_speed", "Belt speed", "v_b", "m/s", "transmission", "same", speed * ratio * pulley / 2,
        source="own-derivation: rigid rotation, v = omega r",
    ),
    Quantity(
        "belt_stretch", "Belt pre-stretch", "epsilon_0", "1", "transmission", "same", tension / stiffness,
        source="own-derivation: Hooke's law",
    ),
    Quantity(
        "belt_centrifugal_tension", "Belt centrifugal tension", "T_c", "N", "transmission", "lower",
        line_mass * belt_speed**2,
        source="shigley9 sec. 17-2: F_c = m v^2",
    ),
    Quantity(
        "belt_centrifugal_share", "Belt centrifugal share of tension", "T_c/T_0", "1", "transmission", "lower",
        centrifugal / tension,
        source="definition", valid=(LIFTED,),
    ),
    Quantity(
        "belt_working_pull", "Belt pull at current limit", "F_u", "N", "transmission", "higher",
        2 * (current_limit - no_load_current) * torque_constant / pulley,
        source="drela2007: T = (I - I_0) K_t",
        assumes="all of the motor's torque goes through the belt, none into its own inertia",
    ),
    Quantity(
        "belt_shaft_load", "Belt load on shafts at rest", "F_s", "N", "transmission", "lower",
        2 * tension * sin(wrap / 2),
        source="own-derivation: sum of the two spans' tensions as vectors, 2 T_0 sin(theta/2)",
    ),
    Quantity(
        "belt_capstan_ratio", "Belt slip tension ratio", "T_1/T_2", "1", "transmission", "higher",
        exp(friction * wrap / sin(groove / 2)),
        source="shigley9 ch. 17: Euler-Eytelwein, exp(mu theta/sin(beta/2)) with the groove's whole angle beta; "
        "baker-haynes sec. 9.5",
        assumes="dry belt on the flanks alone, not on the groove's bottom", valid=(WRAPPED,),
    ),
    Quantity(
        "belt_slip_pull", "Belt slip pull", "F_g", "N", "transmission", "higher",
        2 * (tension - centrifugal) * (capstan - 1) / (capstan + 1),
        source="khurmi ch. 11, sec. 11.22, as quoted by a secondary page: "
        "(T_1 - T_c)/(T_2 - T_c) = exp(mu theta) with T_1 + T_2 = 2 T_0",
        assumes="fixed centres, no tensioner: the spans' sum stays what it is at rest", valid=(WRAPPED, LIFTED),
    ),
    Quantity(
        "belt_slip_margin", "Belt slip margin", "F_g/F_u", "1", "transmission", "higher",
        slip_pull / working_pull,
        role="budget", keep="one",
        source="definition: capstan limit at full belt speed over the pull at the motor's current limit",
        assumes="below 1 the belt slips while it spins the rotor up", valid=(WRAPPED, LIFTED),
    ),
    Quantity(
        "belt_teeth_in_mesh", "Belt teeth in mesh", "z_m", "1", "transmission", "higher",
        teeth * SMALLER * wrap / (2 * pi),
        source="iso5295: teeth times the share of the pulley that is wrapped", when=TOOTHED,
        valid=(MESHED,),
    ),
    Quantity(
        "belt_tooth_margin", "Belt tooth margin", "n_z", "1", "transmission", "higher",
        tooth_strength * width * mesh / working_pull,
        role="survival",
        source="common-practice: specific tooth load times width times teeth in mesh, as a belt maker's catalogue "
        "gives it",
        assumes="teeth in mesh share the pull evenly", when=TOOTHED, valid=(MESHED,),
    ),
    Quantity(
        "belt_tension_margin", "Belt tension margin", "F_b/T_1", "1", "transmission", "higher",
        breaking / (tension + working_pull / 2),
        role="survival",
        source="own-derivation: T_1 - T_2 = F_u with T_1 + T_2 = 2 T_0, T_1 = T_0 + F_u/2",
        assumes="fixed centres", valid=(STRETCHED,),
    ),
    Quantity(
        "belt_span_stiffness", "Belt span stiffness", "k_b", "N/m", "transmission", "same", stiffness / span,
        source="own-derivation: Hooke's law, k = E A/L",
        assumes="pulleys, shafts and teeth stiff beside the belt", valid=(STRETCHED,),
    ),
    Quantity(
        "belt_path_stiffness", "Belt + mount stiffness", "k_p", "N/m", "transmission", "same",
        span_stiffness * mount_stiffness / (span_stiffness + mount_stiffness),
        source="own-derivation: springs in series", assumes="as belt_span_stiffness", valid=(STRETCHED,),
    ),
    Quantity(
        "belt_path_stiffness", "Belt + mount stiffness", "k_p", "N/m", "transmission", "same", span_stiffness,
        source="own-derivation: stiffness of the span alone",
        assumes="stiff mount; one that gives lowers the peak of a dead stop by 10 to 20 %: state its stiffness",
        valid=(STRETCHED,),
    ),
)
