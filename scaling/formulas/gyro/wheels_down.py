"""Turning with the rotor up as entries of the book: what keeps every wheel down, what it costs, what tips it over."""

from __future__ import annotations

import numpy as np

from scaling.book.algebra import least, symbols
from scaling.book.entry import Array, Model, Quantity, Variable
from scaling.formulas.gyro.rotor_up import facing_about, holding_levers, turn_at_limited_rate, wheels_down_rates
from scaling.formulas.gyro.tip import fall_back_tilt, tip_over

grip_force, stall_force, limited_force, track = symbols(
    "grip_force drive_stall_force drive_current_limited_force track"
)

VARIABLES = (
    Variable("cg_left", "y_g", "m", "centre of gravity to the left of the middle, to its right below 0", 1,
             allowed="any", default=0.0),
    Variable("wheel.skid_left", "y_l", "m",
             "leftmost contact of the skid or wedgelets, to the left of the middle, to its right below 0", 1,
             allowed="any", default=0.0),
    Variable("wheel.skid_right", "y_r", "m",
             "rightmost contact of the skid or wedgelets, to the left of the middle, to its right below 0", 1,
             allowed="any", default=0.0),
)

_ACROSS = ("rotor.axis=across",)
_COUPLE = "khurmi ch. 14, as worked in a published companion: C = I omega omega_p"
_LEVER_INPUTS = ("track", "wheel.load_share", "wheel.skid_left", "wheel.skid_right", "cg_left")
_RATE_INPUTS = ("angular_momentum", "mass", "gravity", "holding_lever_left", "holding_lever_right")
_TIP_INPUTS = (
    "angular_momentum", "mass", "gravity", "wheel.load_share", "track", "cg_height", "yaw_couple", "turning_inertia",
    "top_yaw_rate",
)
_FACING_INPUTS = (
    "yaw_couple", "skid_moment", "turning_inertia", "skid_yaw_rate", "wheels_down_rate_left_turn",
    "wheels_down_rate_right_turn",
)


def rates_of_rising_teeth(
    angular_momentum: Array, mass: Array, gravity: Array, lifts_left: Array, lifts_right: Array
) -> dict[str, Array]:
    """Return ``wheels_down_rates`` of teeth that rise at the front, rad/s; inputs as there."""
    return wheels_down_rates(angular_momentum, mass, gravity, lifts_left, lifts_right, np.asarray(1.0))


def rates_of_falling_teeth(
    angular_momentum: Array, mass: Array, gravity: Array, lifts_left: Array, lifts_right: Array
) -> dict[str, Array]:
    """Return ``wheels_down_rates`` of teeth that go down at the front, rad/s; inputs as there."""
    return wheels_down_rates(angular_momentum, mass, gravity, lifts_left, lifts_right, np.asarray(-1.0))


_RATES = {"up": rates_of_rising_teeth, "down": rates_of_falling_teeth}


def tipping(
    angular_momentum: Array, mass: Array, gravity: Array, load_share: Array, track: Array, cg_height: Array,
    couple: Array, yaw_inertia: Array, top_yaw_rate: Array,
) -> dict[str, Array]:
    """Return ``tip_over`` of a machine whose skid is on the middle line: s, rad; its lever is s_w t / 2."""
    lever = np.asarray(load_share) * np.asarray(track) / 2
    return tip_over(angular_momentum, mass, gravity, lever, cg_height, couple, yaw_inertia, top_yaw_rate)


def facing(
    couple: Array, scrub: Array, yaw_inertia: Array, top_yaw_rate: Array, left_turn: Array, right_turn: Array
) -> dict[str, Array]:
    """Return ``facing_about`` with what the tyres' scrub (N m) leaves of the couple, and the angle to stop early, rad.

    The other inputs as there.
    """
    left = np.asarray(couple) - np.asarray(scrub)
    slower = np.minimum(top_yaw_rate, np.minimum(left_turn, right_turn))
    lead = turn_at_limited_rate(np.asarray(np.pi), left, yaw_inertia, slower)["lead"]
    return {**facing_about(left, yaw_inertia, top_yaw_rate, left_turn, right_turn), "lead": lead}


def _rate(side: str, spin: str) -> Quantity:
    lifted = side if spin == "down" else {"left": "right", "right": "left"}[side]
    which = "rise" if spin == "up" else "go down"
    return Quantity(
        f"wheels_down_rate_{side}_turn", f"Wheels-down rate of {side} turn", f"Omega_{side[0]}", "rad/s", "gyro",
        "higher", Model(_RATES[spin], _RATE_INPUTS, f"{side}_turn"),
        clock="driver",
        source=f"{_COUPLE}; meriam sec. 6/4: moments about the contacts that stay down",
        assumes=f"teeth that {which} at the front: above it the {lifted} side lifts; skid or wedgelets at "
        "wheel.skid_left and wheel.skid_right; mean moment, level floor",
        when=(*_ACROSS, f"rotor.spin={spin}"),
    )


def _facing(output: str, name: str, label: str, symbol: str, unit: str, assumes: str) -> Quantity:
    return Quantity(
        name, label, symbol, unit, "gyro", "lower", Model(facing, _FACING_INPUTS, output),
        clock="driver",
        source="meriam sec. 5/2: evenly quickened rotation from rest to rest; as wheels_down_rate_left_turn: the rate",
        assumes=f"{assumes}; from rest to rest, the scrub taken off the wheels' couple, a driver who knows the rate "
        "and keeps to it",
        when=_ACROSS,
    )


QUANTITIES = (
    Quantity(
        "yaw_couple", "Yaw couple of the wheels", "tau", "N m", "gyro", "higher",
        least(grip_force, stall_force, limited_force) * track / 2,
        clock="driver",
        source="meriam sec. 3/3: moments about the middle; own-derivation: Coulomb friction",
        assumes="both sides on the floor, opposed; with one side up the grip is at most one side's",
    ),
    Quantity(
        "gyro_fall_back_tilt", "Recoverable tilt while turning", "phi_f", "rad", "gyro", "higher",
        Model(fall_back_tilt, ("gyro_torque", "mass", "gravity", "wheel.load_share", "track", "cg_height"), "tilt"),
        clock="gravity",
        source=f"{_COUPLE}; own-derivation: moments about the wheels that stay down, tan phi = (t / 2 - C / (m g)) / h",
        assumes="turn on the spot held at the top rate, level floor, no slip, pitch left out; mean torque; absent "
        "where the turn lifts a side by itself",
        when=_ACROSS,
    ),
    Quantity(
        "tip_over_time", "Not before: time to tip over in a turn", "t_o", "s", "gyro", "higher",
        Model(tipping, _TIP_INPUTS, "time"),
        clock="gravity",
        source="meriam sec. 7/9-7/11: the couple has to bring up H sin phi_b before the weight stands over the wheels",
        assumes="a lower bound, not a forecast: a rolled rotor pushes back in yaw, and the wheels' couple is taken as "
        "held although it falls with one side up, where the machine runs off; most turns never tip it; absent where no "
        "turn lifts a side and where the turn itself stores over 3 % of the work",
        when=_ACROSS,
    ),
    Quantity(
        "tip_over_turn", "Not before: turn angle to tip over", "psi_o", "rad", "gyro", "higher",
        Model(tipping, _TIP_INPUTS, "turn"),
        clock="gravity",
        source="meriam sec. 6/6: the couple's work tau psi lifts the weight over the wheels",
        assumes="as tip_over_time: a lower bound, not a forecast",
        when=_ACROSS,
    ),
    *(
        Quantity(
            f"holding_lever_{side}", f"Lever that holds {side} side down", f"a_{side[0]}", "m", "gyro", "higher",
            Model(holding_levers, _LEVER_INPUTS, f"lifts_{side}"),
            source="meriam sec. 3/3: the line from a wheel to the farthest contact of the skid on that side",
            assumes="level floor, rigid contacts; absent where the centre of gravity stands outside them",
        )
        for side in ("left", "right")
    ),
    *(_rate(side, spin) for side in ("left", "right") for spin in ("up", "down")),
    _facing("left", "half_turn_time_left", "Half-turn time to left with rotor up", "t_l", "s", "a left turn"),
    _facing("right", "half_turn_time_right", "Half-turn time to right with rotor up", "t_r", "s", "a right turn"),
    _facing("wait", "half_turn_wait", "Half-turn wait with rotor up", "t_w", "s",
            "how much longer the quicker way takes than with the rotor stopped: what to allow before facing about"),
    _facing("lead", "half_turn_stop_lead", "Angle to stop half turn early", "psi_s", "rad",
            "the angle before its end at which the driver stops the slower way's turn"),
)
