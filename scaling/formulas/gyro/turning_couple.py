"""The rotor as a gyroscope: the torque in a turn, the turn rate at which one side lifts, and how wide is wide enough.

Signs: x forward, y to the left, z up. A rotor across the machine whose teeth rise at the front has its angular
momentum to the right, and the torque of a left turn then lifts the right side: the outer one. Spun down, as wheels
do when they roll forward, it lifts the inner side.
"""

from __future__ import annotations

from scaling.book.algebra import pi, sin, sqrt, symbols
from scaling.book.entry import Quantity, Validity, Variable
from scaling.formulas.gyro import other_axes, wheels_down

mass, gravity, track, load_share, count = symbols("mass gravity track wheel.load_share wheel.count")
cg_height, width, height, top_speed = symbols("cg_height width height top_speed")
inertia, large, small = symbols("rotor.inertia rotor.transverse_inertia rotor.transverse_inertia_small")
speed, lean, tyre_stiffness, tyre_damping = symbols("rotor.speed rotor.lean wheel.tyre_stiffness wheel.tyre_damping")
angular_momentum, top_yaw_rate, skid_yaw_rate, gyro_torque = symbols(
    "angular_momentum top_yaw_rate skid_yaw_rate gyro_torque"
)
lift_yaw_rate, pulse_lift, moving_lift, stopped_lift = symbols(
    "gyro_lift_yaw_rate gyro_pulse_lift_yaw_rate pivot_lift_yaw_rate_moving_side pivot_lift_yaw_rate_stopped_side"
)
stated_roll, roll_inertia, pulse_frequency, tyre_frequency, passed = symbols(
    "roll_inertia rolling_inertia gyro_pulse_frequency tyre_roll_frequency gyro_pulse_passed"
)
margin, kept_margin, widening = symbols("gyro_margin reference.gyro_margin gyro_widening_ratio")

VARIABLES = (
    Variable("roll_inertia", "I_x", "kg m^2", "inertia of the whole robot about a line along its middle", 5,
             optional=True),
    Variable("rotor.lean", "delta", "rad", "angle between an upright rotor's axis and the vertical", optional=True),
    Variable("wheel.tyre_stiffness", "k_t", "N/m", "force on one wheel over how far its tyre gives", 1, optional=True),
    Variable("wheel.tyre_damping", "zeta", "1", "damping of the tyres over the critical one", allowed="not negative",
             default=0.1),
    Variable("reference.gyro_margin", "M_0", "1", "gyro margin of the reference, that the port is to have",
             derived=True),
    *wheels_down.VARIABLES,
    *other_axes.VARIABLES,
)

_COUPLE = "khurmi ch. 14, as worked in a published companion: C = I omega omega_p"
_EULER = "meriam sec. 7/9-7/11"
_SIDE = (
    "teeth that rise at the front (spin up) lift the outer side of the turn, teeth that go down there the inner one; "
    "threshold of one side's load, not a rollover"
)
_WEIGHT = mass * gravity * load_share * track / 2
"""Moment that takes one side's load to zero."""

TURN = (
    Quantity(
        "gyro_torque", "Gyro torque in fastest turn", "C", "N m", "gyro", "lower",
        angular_momentum * top_yaw_rate,
        role="yardstick", clock="driver",
        source=_COUPLE,
        assumes="not reached with the rotor up where the top turn rate is above gyro_lift_yaw_rate: a side lifts "
        "there; mean over a turn of the rotor, full rotor speed, spin axis level",
        when=("rotor.axis=across",),
    ),
    Quantity(
        "gyro_torque", "Gyro torque in fastest turn", "C", "N m", "gyro", "lower",
        angular_momentum * top_yaw_rate,
        role="yardstick", clock="driver",
        source=_COUPLE,
        assumes="mean over a turn of the rotor, at top yaw rate and full rotor speed; spin axis level",
        when=("rotor.axis=level",),
    ),
    Quantity(
        "gyro_torque", "Gyro torque in fastest turn", "C", "N m", "gyro", "lower",
        angular_momentum * top_yaw_rate * sin(lean),
        role="yardstick", clock="driver",
        source=f"{_COUPLE} sin of the angle between both axes",
        assumes="an upright rotor that leans by rotor.lean; one that stands straight feels nothing of a turn",
        when=("rotor.axis=upright",),
    ),
    Quantity(
        "left_turn_roll_moment", "Gyro roll moment in left turn", "M_x", "N m", "gyro", "same",
        -gyro_torque,
        clock="driver",
        source=f"{_COUPLE}, right-hand rule, the reaction on the machine",
        assumes="negative: the right side, outer in a left turn, is lifted; a right turn has the other sign",
        when=("rotor.axis=across", "rotor.spin=up"),
    ),
    Quantity(
        "left_turn_roll_moment", "Gyro roll moment in left turn", "M_x", "N m", "gyro", "same",
        gyro_torque,
        clock="driver",
        source=f"{_COUPLE}, right-hand rule, the reaction on the machine",
        assumes="positive: the left side, inner in a left turn, is lifted; a right turn has the other sign",
        when=("rotor.axis=across", "rotor.spin=down"),
    ),
    Quantity(
        "gyro_lift_yaw_rate", "Gyro lift-off turn rate", "Omega_l", "rad/s", "gyro", "higher",
        _WEIGHT / angular_momentum,
        role="yardstick", clock="driver",
        source=f"{_COUPLE}, set equal to the moment m g t / 2 that takes one side's load to zero",
        assumes=f"{_SIDE}; turn about the robot's own centre on a level floor; mean torque; only the wheels' share of "
        "the weight holds the machine down",
        when=("rotor.axis=across",),
    ),
    Quantity(
        "gyro_margin", "Gyro margin", "Omega_l/Omega", "1", "gyro", "higher",
        lift_yaw_rate / top_yaw_rate,
        role="handling", clock="driver", keep="reference",
        source="definition",
        assumes="below 1 the drive can turn fast enough to lift a side",
        when=("rotor.axis=across",),
    ),
    Quantity(
        "gyro_margin_with_losses", "Gyro margin with skid losses", "Omega_l/Omega_k", "1", "gyro", "higher",
        lift_yaw_rate / skid_yaw_rate,
        clock="driver",
        source="definition",
        assumes="a turn as fast as the tyres' sideways slip lets it be; a lifted side changes that",
        when=("rotor.axis=across",),
    ),
)

PIVOT = tuple(
    entry
    for side, sign, how in (
        ("moving", 1, "forward with teeth that rise at the front, backward with teeth that go down there: the floor's "
                      "side force holds the moving side down; absent where no rate lifts it"),
        ("stopped", -1, "backward with teeth that rise at the front, forward with teeth that go down there: the "
                        "floor's side force helps to lift the stopped side"),
    )
    for entry in (
        Quantity(
            f"pivot_lift_yaw_rate_{side}_side", f"Pivot lift-off rate of {side} side",
            "Omega_m" if sign > 0 else "Omega_s", "rad/s", "gyro", "higher",
            2 * _WEIGHT / (
                angular_momentum
                + sqrt(angular_momentum**2 - sign * 4 * _WEIGHT * mass * cg_height * track / 2)
            ),
            clock="driver",
            source=f"{_COUPLE}; meriam sec. 6/4: the moment m Omega^2 (t / 2) h of the floor's side force about the "
            "centre of gravity",
            assumes=f"{how}; one side's wheels held; grip enough for the side force; threshold, not a rollover",
            when=("rotor.axis=across",),
        ),
        Quantity(
            f"pivot_margin_{side}_side", f"Pivot gyro margin of {side} side",
            "Omega_m/Omega_p" if sign > 0 else "Omega_s/Omega_p", "1", "gyro", "higher",
            (moving_lift if sign > 0 else stopped_lift) * track / top_speed,
            clock="driver",
            source="definition: the top rate about a stopped wheel being v / track",
            assumes="below 1 the drive can turn fast enough to lift that side",
            when=("rotor.axis=across",),
        ),
    )
)

_PULSE = sqrt(
    (1 + (2 * tyre_damping * pulse_frequency / tyre_frequency) ** 2)
    / (
        (1 - (pulse_frequency / tyre_frequency) ** 2) ** 2
        + (2 * tyre_damping * pulse_frequency / tyre_frequency) ** 2
    )
)
_BAR = ("rotor.axis=across", "rotor.shape=bar")

PULSE = (
    Quantity(
        "gyro_pulse_frequency", "Bar pulse frequency", "f_2", "Hz", "gyro", "same", speed / pi,
        source=f"{_EULER}: a bar's inertias across its axis come round twice a turn",
        when=_BAR,
    ),
    Quantity(
        "gyro_pulse_lift_yaw_rate", "Bar pulse lift-off turn rate", "Omega_b", "rad/s", "gyro", "higher",
        _WEIGHT / (speed * (inertia + large - small)),
        clock="driver",
        source=f"{_EULER}: the moment swings by omega Omega (I_t - I_s) about its mean I omega Omega",
        assumes="stiff wheels on a hard floor, the side unloaded for an instant twice a turn of the bar; half the mean "
        "rate for a slender bar; soft tyres filter it back to the mean, near their resonance it is worse",
        when=_BAR,
    ),
    Quantity(
        "gyro_pulse_margin", "Bar pulse gyro margin", "Omega_b/Omega", "1", "gyro", "higher",
        pulse_lift / top_yaw_rate,
        clock="driver",
        source="definition",
        assumes="below 1 and gyro_margin above 1: wheels skip, the machine does not lift",
        when=_BAR,
    ),
    Quantity(
        "rolling_inertia", "Roll inertia", "I_x", "kg m^2", "gyro", "same",
        stated_roll,
        source="definition: the design's stated inertia",
    ),
    Quantity(
        "rolling_inertia", "Roll inertia", "I_x", "kg m^2", "gyro", "same",
        mass * (width**2 + height**2) / 12,
        source="meriam appendix D: uniform box, m (a^2 + b^2) / 12",
        assumes="mass spread evenly over the robot's width and height; state roll_inertia for better",
    ),
    Quantity(
        "tyre_roll_frequency", "Roll frequency on tyres", "f_t", "Hz", "gyro", "same",
        sqrt(count * tyre_stiffness * (track / 2) ** 2 / (roll_inertia + mass * cg_height**2)) / (2 * pi),
        source="den-hartog4 ch. 2: mass on springs",
        assumes="rocking about the middle of the floor under it; tyres give evenly and stay down",
    ),
    Quantity(
        "gyro_pulse_passed", "Bar pulse transmitted to floor", "T_2", "1", "gyro", "lower", _PULSE,
        source="den-hartog4 ch. 2: transmissibility of a damped oscillator",
        assumes="above 1 near the tyres' own rocking frequency",
        when=_BAR,
    ),
    Quantity(
        "gyro_tyre_lift_yaw_rate", "Bar pulse lift-off rate on tyres", "Omega_t", "rad/s", "gyro", "higher",
        _WEIGHT / (speed * (inertia + passed * (large - small))),
        clock="driver",
        source="as gyro_pulse_lift_yaw_rate: with what the tyres pass on",
        assumes="soft tyres: the mean rate; stiff ones: gyro_pulse_lift_yaw_rate",
        when=_BAR,
    ),
)

WIDTH = (
    Quantity(
        "gyro_widening_ratio", "Track ratio for same gyro margin", "t_n/t", "1", "gyro", "lower",
        sqrt(kept_margin / margin),
        clock="driver",
        source="definition: lift rate as t, top turn rate as 1 / t, so the margin as t^2",
        assumes="same mass, rotor and wheel speed; below 1 there is width to spare",
        when=("rotor.axis=across",),
        valid=(
            Validity("gyro_widening_ratio", "a track so much wider changes mass and turning too", 0.5, 2.0),
        ),
    ),
    Quantity(
        "gyro_track_needed", "Track for same gyro margin", "t_n", "m", "gyro", "lower", track * widening,
        source="as gyro_widening_ratio",
        assumes="same mass, rotor and wheel speed, so a wider machine also turns more slowly",
        when=("rotor.axis=across",),
    ),
    Quantity(
        "gyro_track_needed_same_turn", "Track for same margin and turn rate", "t_s", "m", "gyro", "lower",
        track * kept_margin / margin,
        source="as gyro_widening_ratio: the margin as t",
        assumes="same mass and rotor, wheels quicker by as much as the track is wider",
        when=("rotor.axis=across",),
    ),
)

QUANTITIES = (*TURN, *PIVOT, *PULSE, *wheels_down.QUANTITIES, *WIDTH, *other_axes.QUANTITIES)
