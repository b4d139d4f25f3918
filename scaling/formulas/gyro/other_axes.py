"""Rotors along the machine and upright, and what spinning up does to the chassis about each axis.

Signs as in gyro.py: x forward, y to the left, z up. The chassis is turned against the rotor's gain of angular
momentum, and against the change of its direction.
"""

from __future__ import annotations

from scaling.book.algebra import absolute, cases, least, sqrt, symbols
from scaling.book.entry import Quantity

mass, gravity, track, load_share, count = symbols("mass gravity track wheel.load_share wheel.count")
wheelbase, cg_ahead, friction = symbols("wheelbase cg_ahead wheel.friction")
inertia, motor_inertia, ratio = symbols("rotor.inertia rotor.motor.inertia rotor.ratio")
angular_momentum, top_yaw_rate, acceleration = symbols("angular_momentum top_yaw_rate spin_up_start_acceleration")
reaction, tyre_torque, turning_inertia = symbols("spin_up_reaction_torque tyre_turn_torque turning_inertia")
stall_force, traction_force = symbols("drive_stall_force traction_force")
nose_rate, tail_rate = symbols("nose_lift_yaw_rate tail_lift_yaw_rate")

VARIABLES = ()

_MOMENTUM = "meriam sec. 6/8: angular momentum, M = dH/dt"
_COUPLE = "khurmi ch. 14, as worked in a published companion: C = I omega omega_p"
_NOSE, _TAIL = mass * gravity * cg_ahead, mass * gravity * (wheelbase - cg_ahead)
"""Moments that take the front's and the rear's load to zero."""
_SIDE = mass * gravity * load_share * track / 2
_COULOMB = "own-derivation: Coulomb friction, mu times the load times each wheel's distance from the turn's middle"

REACTION = (
    *(
        Quantity(
            "spin_up_reaction_torque", "Spin-up reaction torque", "M_r", "N m", "gyro", "lower",
            absolute(inertia + sign * motor_inertia * ratio) * acceleration,
            source=_MOMENTUM,
            assumes=f"at the start, where it is largest; against the rotor's sense; {how}",
            when=(f"rotor.transmission={transmission}",),
        )
        for transmission, sign, how in (
            ("hub", 1, "the can turns with the rotor"),
            ("direct", 1, "motor and rotor turn alike"),
            ("belt", 1, "motor beside the rotor, turning alike"),
            ("gear", -1, "one gear stage, the motor turning against the rotor"),
        )
    ),
    Quantity(
        "spin_up_load_shift", "Spin-up load transfer", "dW/W", "1", "gyro", "lower",
        reaction / (mass * gravity * wheelbase),
        clock="gravity",
        source="own-derivation: moments about a contact",
        assumes="onto the front with teeth that rise there, onto the rear with teeth that go down there",
        when=("rotor.axis=across",),
    ),
    Quantity(
        "nose_lift_margin", "Nose-lift margin in spin-up", "m g x_g/M_r", "1", "gyro", "higher",
        _NOSE / reaction,
        clock="gravity",
        source=f"own-derivation: moments about the rear contact; {_MOMENTUM}",
        assumes="from rest at full throttle, standing still; below 1 the nose lifts; braking the rotor squats it",
        when=("rotor.axis=across", "rotor.spin=down"),
    ),
    Quantity(
        "tail_lift_margin", "Tail-lift margin in spin-up", "m g (b - x_g)/M_r", "1", "gyro", "higher",
        _TAIL / reaction,
        clock="gravity",
        source=f"own-derivation: moments about the front contact; {_MOMENTUM}",
        assumes="from rest at full throttle, standing still; the nose squats, below 1 the tail lifts; braking the "
        "rotor lifts the nose",
        when=("rotor.axis=across", "rotor.spin=up"),
    ),
    Quantity(
        "spin_up_roll_margin", "Roll margin in spin-up", "m g t/(2 M_r)", "1", "gyro", "higher",
        _SIDE / reaction,
        clock="gravity",
        source=f"own-derivation: moments about one side's wheels; {_MOMENTUM}",
        assumes="from rest at full throttle; clockwise seen from behind lifts the right side, anticlockwise the left",
        when=("rotor.axis=along",),
    ),
)

TYRES = (
    Quantity(
        "tyre_turn_torque", "Standing tyre scrub torque", "M_t", "N m", "gyro", "higher",
        friction * mass * gravity * load_share
        * sqrt(track**2 + cases((wheelbase**2, count > 3), (0, True))) / 2,
        source=_COULOMB,
        assumes="wheels held by their motors, evenly loaded, turning about their common middle; a skid slides freely",
    ),
    Quantity(
        "torque_steer_margin", "Tyre torque-steer margin", "M_t/M_r", "1", "gyro", "higher",
        tyre_torque / reaction,
        clock="driver",
        source="definition",
        assumes="from rest at full throttle; below 1 the machine is turned against the rotor's sense while it spins up",
        when=("rotor.axis=upright",),
    ),
    Quantity(
        "torque_steer_drive_margin", "Drive torque-steer margin", "M_d/M_r", "1", "gyro", "higher",
        least(stall_force, traction_force) * track / 2 / reaction,
        clock="driver",
        source="own-derivation: sides opposed at the least of grip and stall, force times half the track",
        assumes="below 1 the drive cannot steer against a rotor that spins up from rest",
        when=("rotor.axis=upright",),
    ),
    Quantity(
        "torque_steer_yaw_rate", "Free yaw rate from spin-up", "Omega_r", "rad/s", "gyro", "lower",
        angular_momentum / turning_inertia,
        clock="driver",
        source=f"{_MOMENTUM}, kept",
        assumes="wheels off the floor or on ice, against the rotor's sense; the motor's own share left out",
        when=("rotor.axis=upright",),
    ),
    Quantity(
        "roll_steer_rate", "Roll rate that breaks yaw grip", "p_y", "rad/s", "gyro", "higher",
        tyre_torque / angular_momentum,
        clock="driver",
        source=f"{_COUPLE}; as tyre_turn_torque: what it is set against",
        assumes="as over a bump under one side: spun up, a left side that rises turns the machine to the left, spun "
        "down to the right",
        when=("rotor.axis=across",),
    ),
    Quantity(
        "pitch_steer_rate", "Pitch rate that breaks yaw grip", "q_y", "rad/s", "gyro", "higher",
        tyre_torque / angular_momentum,
        clock="driver",
        source=f"{_COUPLE}; as tyre_turn_torque: what it is set against",
        assumes="clockwise seen from behind, a rising nose turns the machine to the right, anticlockwise to the left",
        when=("rotor.axis=along",),
    ),
)

ALONG = (
    Quantity(
        "nose_lift_yaw_rate", "Nose-lift turn rate", "Omega_n", "rad/s", "gyro", "higher",
        _NOSE / angular_momentum,
        clock="driver",
        source=f"{_COUPLE}, set equal to the moment that takes the front's load to zero",
        assumes="clockwise seen from behind, in a left turn; anticlockwise, in a right one; threshold, mean torque",
        when=("rotor.axis=along",),
    ),
    Quantity(
        "tail_lift_yaw_rate", "Tail-lift turn rate", "Omega_r", "rad/s", "gyro", "higher",
        _TAIL / angular_momentum,
        clock="driver",
        source=f"{_COUPLE}, set equal to the moment that takes the rear's load to zero",
        assumes="clockwise seen from behind, in a right turn; anticlockwise, in a left one; threshold, mean torque",
        when=("rotor.axis=along",),
    ),
    Quantity(
        "yaw_pitch_margin", "Nose/tail gyro margin", "Omega_n/Omega", "1", "gyro", "higher",
        least(nose_rate, tail_rate) / top_yaw_rate,
        clock="driver",
        source="definition",
        assumes="below 1 the drive can turn fast enough to lift nose or tail",
        when=("rotor.axis=along",),
    ),
)

UPRIGHT = (
    Quantity(
        "pitch_lift_rate", "Side-lift pitch rate", "q_l", "rad/s", "gyro", "higher",
        _SIDE / angular_momentum,
        source=f"{_COUPLE}, set equal to the moment that takes one side's load to zero",
        assumes="clockwise seen from above, a rising nose lifts the right side, a falling one the left; anticlockwise "
        "the other way; a turn on the floor does nothing to an upright rotor",
        when=("rotor.axis=upright",),
    ),
    Quantity(
        "roll_lift_rate", "End-lift roll rate", "p_l", "rad/s", "gyro", "higher",
        least(_NOSE, _TAIL) / angular_momentum,
        source=f"{_COUPLE}, set equal to the moment that takes the front's or the rear's load to zero",
        assumes="clockwise seen from above, a roll to the right lifts the nose, to the left the tail; anticlockwise "
        "the other way",
        when=("rotor.axis=upright",),
    ),
)

QUANTITIES = (*REACTION, *TYRES, *ALONG, *UPRIGHT)
