"""Entries of the book: the pack near its end, and what a limit on one side of a controller lets flow on the other."""

from __future__ import annotations

import numpy as np

from scaling.book.algebra import symbols
from scaling.book.entry import Array, Model, Quantity, Variable
from scaling.formulas.rotor.converter import motor_current_at_pack_limit, pack_current

END_VOLTAGE_SHARE = 3.5 / 3.7
"""Open-circuit voltage of a cell with a tenth of its charge left over its nominal one, as of lithium polymer: common
practice, no source."""

VARIABLES = (
    Variable("battery.end_cell_voltage", "V_e", "V", "open-circuit voltage of a cell with a tenth of its charge left",
             derived=True),
    Variable("battery.resistance_growth", "g_p", "1",
             "resistance of the pack near its end over that stated: 1 to 2, cold and old", default=1.3),
)

_CONVERTER = "erickson-maksimovic2 ch. 2: power balance of a step-down converter; drela2007: motor"
spin_up_energy, spin_up_time, voltage, fuse = symbols("spin_up_energy spin_up_time battery.voltage battery.fuse")
motor_limit, at_pack_limit, spin_up_current = symbols(
    "rotor.motor.current_limit motor_current_at_pack_limit spin_up_mean_pack_current"
)
cells, end_voltage, cut_off, growth = symbols(
    "battery.cells battery.end_cell_voltage battery.cell_cut_off battery.resistance_growth"
)
peak_current, pack_resistance = symbols("peak_current battery.resistance")

_REST = ("rotor.motor.kv", "rotor.motor.resistance", "battery.voltage", "battery.resistance")


def pack_current_at_rest(limit: Array, *motor: Array) -> dict[str, Array]:
    """Return ``pack_current`` (A) of a motor at rest at its limit (A); the other inputs as there, without the speed."""
    kv, resistance, voltage, pack_resistance = motor
    return pack_current(limit, np.zeros_like(limit), kv, resistance, voltage, pack_resistance)


def motor_current_at_rest(pack_limit: Array, *motor: Array) -> dict[str, Array]:
    """Return ``motor_current_at_pack_limit`` (A) of a motor at rest; inputs as there, without the speed."""
    kv, resistance, voltage, pack_resistance = motor
    return motor_current_at_pack_limit(pack_limit, np.zeros_like(pack_limit), kv, resistance, voltage, pack_resistance)


def push_pack_current(
    current: Array, motors: Array, resistance: Array, voltage: Array, pack_resistance: Array
) -> dict[str, Array]:
    """Return ``pack_current`` (A) of drive motors at rest: each one's current (A), their number and resistance (ohm).

    The motors are one of their summed current; at rest the speed constant does not matter.
    """
    rest = np.zeros_like(current)
    return pack_current(current * motors, rest, np.ones_like(current), resistance / motors, voltage, pack_resistance)


def _at_pack_limit(limit: str, whose: str) -> Quantity:
    return Quantity(
        "motor_current_at_pack_limit", "Stalled motor's current at pack limit", "I_mb", "A", "electrical", "lower",
        Model(motor_current_at_rest, (limit, *_REST), "current"),
        clock="match",
        source=_CONVERTER,
        assumes=f"what flows in the stalled motor where nothing but {whose} holds it back: such a limit does not "
        "protect it",
    )


QUANTITIES = (
    Quantity(
        "end_brown_out_margin", "Brown-out margin near pack's end", "V_n/V_o", "1", "electrical", "higher",
        (cells * end_voltage - peak_current * pack_resistance * growth) / (cells * cut_off),
        role="budget", clock="match",
        source="own-derivation: Ohm's law; common-practice: 3.5 V of a lithium polymer cell with a tenth left",
        assumes="everything flat out at once with a tenth of the charge left; some tenths of a second: a cell sags "
        "further within seconds",
    ),
    Quantity(
        "spin_up_start_pack_current", "Pack current as spin-up starts", "I_p0", "A", "electrical", "lower",
        Model(pack_current_at_rest, ("rotor.motor.current_limit", *_REST), "current"),
        clock="match",
        source=_CONVERTER,
        assumes="motor at rest at its motor-side limit, controller without loss: far less than the motor's current",
    ),
    _at_pack_limit("rotor.controller.pack_limit", "the controller's limit on the pack's side"),
    _at_pack_limit("battery.current_limit", "a limit at the pack's rating"),
    Quantity(
        "pack_limit_motor_share", "Stalled current over motor limit", "I_mb/I_l", "1", "electrical", "lower",
        at_pack_limit / motor_limit,
        clock="match",
        source="definition",
        assumes="above 1 a limit on the pack's side lets the stalled motor draw more than its own; only the motor-side "
        "one protects it",
    ),
    Quantity(
        "spin_up_mean_pack_current", "Mean pack current in spin-up", "I_ps", "A", "electrical", "lower",
        spin_up_energy / (voltage * spin_up_time),
        clock="match",
        source="definition: charge over time, to 95 % speed",
        assumes="what pack, leads and fuse see, not the motor; from little at rest to the motor's own where its limit "
        "lets go",
    ),
    Quantity(
        "fuse_spin_up_ratio", "Spin-up pack current over fuse rating", "I_ps/I_f", "1", "electrical", "lower",
        spin_up_current / fuse,
        clock="match",
        source="definition; iso8820-3: a blade fuse opens within 5 s at twice its rating and within half a second at "
        "3.5 times",
        assumes="the rotor alone, for spin_up_time; fuse_peak_ratio is the peak's",
    ),
    Quantity(
        "drive_push_pack_current", "Pack current of a push at grip limit", "I_pg", "A", "electrical", "lower",
        Model(push_pack_current, ("drive_traction_current", "drive.motors", "drive.motor.resistance",
                                  "battery.voltage", "battery.resistance"), "current"),
        clock="match",
        source=_CONVERTER,
        assumes="all drive motors held near standstill at the grip limit by part throttle, controllers without loss: "
        "far less than the motors' current; at full throttle the wheels spin and the pack gives the motors' current",
    ),
)
