"""Entries of the book: the pack near its end, and what a limit on one side of a controller lets flow on the other."""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array, Model, Quantity, Variable
from scaling.formulas.electrical.limits import brown_out, motor_current_at_pack_limit, pack_current

VARIABLES = (
    Variable("battery.end_cell_voltage", "V_e", "V", "open-circuit voltage of a cell with a tenth of its charge left",
             derived=True),
    Variable("battery.resistance_growth", "g_p", "1",
             "resistance of the pack near its end over that stated: 1 to 2, cold and old", default=1.3),
)

_CONVERTER = "erickson-maksimovic2 ch. 2: power balance of a step-down converter; drela2007: motor"
_REST = ("rotor.motor.kv", "rotor.motor.resistance", "battery.voltage", "battery.resistance")


def near_end(
    cells: Array, end: Array, resistance: Array, growth: Array, current: Array, cell_cut_off: Array
) -> dict[str, Array]:
    """Return ``brown_out`` (V, and a margin) with the cut-off of one cell (V); the other inputs as there."""
    return brown_out(cells, end, resistance, growth, current, np.asarray(cells) * cell_cut_off)


def pack_current_at_rest(limit: Array, *motor: Array) -> dict[str, Array]:
    """Return ``pack_current`` (A) of a motor at rest at its limit (A); the other inputs as there, without the speed."""
    kv, resistance, voltage, pack_resistance = motor
    return pack_current(limit, np.zeros_like(limit), kv, resistance, voltage, pack_resistance)


def motor_current_at_rest(pack_limit: Array, *motor: Array) -> dict[str, Array]:
    """Return ``motor_current_at_pack_limit`` (A) of a motor at rest; inputs as there, without the speed."""
    kv, resistance, voltage, pack_resistance = motor
    return motor_current_at_pack_limit(pack_limit, np.zeros_like(pack_limit), kv, resistance, voltage, pack_resistance)


QUANTITIES = (
    Quantity(
        "end_brown_out_margin", "Brown-out margin near pack's end", "V_n/V_o", "1", "electrical", "higher",
        Model(near_end, ("battery.cells", "battery.end_cell_voltage", "battery.resistance",
                         "battery.resistance_growth", "peak_current", "battery.cell_cut_off"), "margin"),
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
    Quantity(
        "motor_current_at_pack_limit", "Stalled motor's current at pack limit", "I_mb", "A", "electrical", "lower",
        Model(motor_current_at_rest, ("battery.current_limit", *_REST), "current"),
        clock="match",
        source=_CONVERTER,
        assumes="what flows in the stalled motor where a controller limits on the pack's side, at the pack's rating: "
        "such a limit does not protect it",
    ),
)
