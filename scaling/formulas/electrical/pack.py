"""The pack and what it is asked for: energy, current, sag."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from scaling.book.algebra import Expression, expression, least, symbols, where
from scaling.book.entry import Quantity, Variable
from scaling.files.schema import Choice
from scaling.formulas.electrical import near_end, wiring
from scaling.formulas.electrical.near_end import END_VOLTAGE_SHARE
from scaling.formulas.rotor.spin_up import REACHED

if TYPE_CHECKING:
    from scaling.shop.shelves import Shelves

voltage, pack_resistance, capacity = symbols("battery.voltage battery.resistance battery.capacity")
cell_voltage_cut, cells = symbols("battery.cell_cut_off battery.cells")
match_time, rotor_duty, drive_duty, spin_up_rate, reach_share = symbols(
    "match.time match.rotor_duty match.drive_duty match.spin_up_rate rotor_speed_reach_share"
)
rotor_kv, rotor_resistance, rotor_no_load, rotor_limit, rotor_ratio = symbols(
    "rotor.motor.kv rotor.motor.resistance rotor.motor.no_load_current rotor.motor.current_limit rotor.ratio"
)
drive_torque_constant, drive_resistance, drive_no_load, drive_limit = symbols(
    "drive_torque_constant drive.motor.resistance drive.motor.no_load_current drive.motor.current_limit"
)
motors, drive_ratio, drive_efficiency, wheel_diameter = symbols(
    "drive.motors drive.ratio drive.efficiency wheel.diameter"
)
rotor_torque_constant = symbols("rotor_torque_constant")[0]
windage_torque, spin_up_energy, grip_force = symbols("windage_torque spin_up_energy grip_force")
rotor_speed, rated_current = symbols("rotor.speed battery.current_limit")
drag_current, steady_current, traction_current = symbols(
    "rotor_drag_current rotor_steady_current drive_traction_current"
)
pack_energy, match_energy, peak_current = symbols("pack_energy match_energy peak_current")
mean_current, pack_sag = symbols("mean_current pack_sag")

VARIABLES = (
    Variable("battery.cells", "n_c", "1", "cells in series", allowed="count"),
    Variable("battery.capacity", "Q", "A s", "capacity of the whole pack", 3, -1),
    Variable("battery.resistance", "R_p", "ohm", "resistance of the whole pack", -3, 2),
    Variable("battery.voltage", "V", "V", "nominal open-circuit voltage of the whole pack", 0, 1, derived=True),
    Variable("battery.mass", "m_p", "kg", "mass of the whole pack", 3),
    Variable("battery.current_limit", "I_b", "A", "current that the pack is rated to give without a pause", 3, -1,
             optional=True),
    Variable("battery.cell_voltage", "V_c", "V", "nominal voltage of a cell", derived=True),
    Variable("battery.cell_cut_off", "V_o", "V", "voltage under which a cell must not be drawn", derived=True),
    *near_end.VARIABLES,
    *wiring.VARIABLES,
)

SPIN_UP_RATE = 10 / 180
"""Spin-ups in a second of a match, ten in three minutes: common practice, no source."""

CHOICES = {
    "battery.cell": Choice(None, "chemistry of the cells, from the shelf of cells", default="lithium polymer"),
    **wiring.CHOICES,
}


def derive(numbers: dict[str, float], words: Mapping[str, str], shelves: Shelves) -> None:
    """Fill in the cells' voltages from the shelf, the pack's from them, and the wire's area from its gauge."""
    if "battery.cells" in numbers:
        cell = shelves.cell(shelves.checked("battery.cell", words["battery.cell"], "battery.cell"))
        numbers.setdefault("battery.cell_voltage", cell.nominal)
        numbers.setdefault("battery.cell_cut_off", cell.cut_off)
        numbers.setdefault("battery.end_cell_voltage", END_VOLTAGE_SHARE * cell.nominal)
        numbers.setdefault("battery.voltage", numbers["battery.cells"] * numbers["battery.cell_voltage"])
        stall = numbers["battery.voltage"] / (
            numbers["drive.motor.resistance"] + numbers["drive.motors"] * numbers["battery.resistance"]
        )  # a motor without a stated limit is limited by its own stall current
        numbers.setdefault("drive.motor.current_limit", stall)
    if "match.time" in numbers:
        count = numbers.get("match.spin_ups")
        numbers.setdefault("match.spin_up_rate", SPIN_UP_RATE if count is None else count / numbers["match.time"])
    wiring.derive(numbers, words)

_OHM = "own-derivation: Ohm's and Kirchhoff's laws"

_ALL_OUT = (
    "rotor at the speed where its current limit lets go, drive stalled, both at once; the pack sags by the sum; an "
    "upper bound, since a controller below full voltage takes less from the pack than it gives the motor"
)


def _peak(with_rotor: bool) -> Expression:
    """Pack current with everything flat out from rest: each branch at its limit or what the sagging pack drives.

    Every combination of limited and unlimited branches is a straight line a - b I in the pack's
    current I; the sum of the least is the least of the sums, so I is the least of a / (1 + b).
    """
    nothing = expression(0)
    drive = [
        (motors * drive_limit, nothing),
        (motors * voltage / drive_resistance, motors * pack_resistance / drive_resistance),
    ]
    rotor = [(rotor_limit, nothing), (voltage / rotor_resistance, pack_resistance / rotor_resistance)]
    pairs = [(a + c, b + d) for a, b in drive for c, d in (rotor if with_rotor else [(nothing, nothing)])]
    return least(*(a / (1 + b) for a, b in pairs))


_DRIVE_ENERGY = drive_duty * match_time * voltage * motors * traction_current

QUANTITIES = (
    Quantity(
        "pack_energy", "Pack energy", "E_b", "J", "electrical", "higher", voltage * capacity,
        role="budget", clock="match",
        source="definition: at the nominal voltage",
    ),
    Quantity(
        "rotor_drag_current", "Motor current that rotor speed asks for", "I_a", "A", "electrical", "lower",
        rotor_no_load + windage_torque / (rotor_torque_constant * rotor_ratio),
        clock="match",
        source="drela2007: I = I_0 + T / K_t",
        assumes="of the speed alone, whether the motor reaches it or not",
    ),
    Quantity(
        "rotor_steady_current", "Rotor motor running current", "I_s", "A", "electrical", "lower",
        where(reach_share <= REACHED, drag_current),
        role="budget", clock="match",
        source="as rotor_drag_current",
        assumes="absent where the motor does not reach the speed",
    ),
    Quantity(
        "rotor_steady_current_margin", "Rotor motor current margin", "I_l/I_s", "1", "electrical", "higher",
        rotor_limit / steady_current,
        role="budget", clock="match", keep="one",
        source="definition",
    ),
    Quantity(
        "drive_traction_current", "Drive motor current at grip limit", "I_g", "A", "electrical", "lower",
        least(
            drive_no_load
            + grip_force / motors * wheel_diameter / 2 / (drive_torque_constant * drive_ratio * drive_efficiency),
            drive_limit,
            voltage / (drive_resistance + motors * pack_resistance),
        ),
        clock="match",
        source="drela2007: I = I_0 + T / K_t",
        assumes="no more than the current limit or the stall current; the gearbox takes 1 - drive.efficiency of the "
        "torque",
    ),
    Quantity(
        "peak_current", "Peak pack current", "I_p", "A", "electrical", "lower",
        _peak(with_rotor=True),
        role="budget", clock="match",
        source=f"{_OHM}, motors stalled or at their limits",
        assumes=_ALL_OUT,
        when=("rotor",),
    ),
    Quantity(
        "peak_current", "Peak pack current", "I_p", "A", "electrical", "lower",
        _peak(with_rotor=False),
        role="budget", clock="match",
        source=f"{_OHM}, motors stalled or at their limits",
        assumes=_ALL_OUT,
        when=("pusher",),
    ),
    Quantity(
        "pack_sag", "Pack sag at peak", "U_s", "V", "electrical", "lower", peak_current * pack_resistance,
        clock="match",
        source=_OHM,
        assumes="resistance without the slow part that a cell adds after some seconds",
    ),
    Quantity(
        "pack_sag_share", "Pack sag share at peak", "U_s/V", "1", "electrical", "lower", pack_sag / voltage,
        clock="match",
        source="definition",
    ),
    Quantity(
        "peak_c_rate", "Peak C-rate", "I_p/Q", "s^-1", "electrical", "lower", peak_current / capacity,
        clock="match",
        source="definition",
        assumes="3600 times it is the C rate, per hour, that is printed on packs",
    ),
    Quantity(
        "pack_current_margin", "Pack current margin", "I_b/I_p", "1", "electrical", "higher",
        rated_current / peak_current,
        role="budget", clock="match", keep="one",
        source="definition",
        assumes="rating as printed on the pack, often a generous one",
    ),
    Quantity(
        "brown_out_margin", "Brown-out margin", "V_s/V_o", "1", "electrical", "higher",
        (voltage - peak_current * pack_resistance) / (cells * cell_voltage_cut),
        role="budget", clock="match", keep="one",
        source=f"{_OHM}; common-practice: cut-off about 3.0 V a cell",
        assumes="pack at its nominal voltage",
    ),
    Quantity(
        "match_energy", "Match energy", "E_u", "J", "electrical", "lower",
        spin_up_rate * match_time * spin_up_energy + rotor_duty * match_time * voltage * steady_current + _DRIVE_ENERGY,
        role="budget", clock="match",
        source="own-derivation: sum of spin-ups, rotor at full speed and pushing at the grip limit, each for its "
        "stated duty",
        assumes="pushing at full throttle, so the pack gives the motors' current",
        when=("rotor",),
    ),
    Quantity(
        "match_energy", "Match energy", "E_u", "J", "electrical", "lower", _DRIVE_ENERGY,
        role="budget", clock="match",
        source="own-derivation: pushing at the grip limit for its stated duty",
        assumes="pushing at full throttle, so the pack gives the motors' current",
        when=("pusher",),
    ),
    Quantity(
        "match_energy_margin", "Match energy margin", "E_b/E_u", "1", "electrical", "higher",
        pack_energy / match_energy,
        role="budget", clock="match", keep="one",
        source="definition",
    ),
    Quantity(
        "mean_current", "Mean pack current", "I_m", "A", "electrical", "lower",
        match_energy / (voltage * match_time),
        clock="match",
        source="definition: charge of a match of the stated duty over its time",
    ),
    Quantity(
        "mean_c_rate", "Mean C-rate", "I_m/Q", "s^-1", "electrical", "lower", mean_current / capacity,
        clock="match",
        source="definition",
        assumes="3600 times it is the C rate per hour",
    ),
    Quantity(
        "drive_stalled_pack_voltage", "Pack voltage with drive stalled", "V_d", "V", "electrical", "higher",
        voltage - pack_resistance * least(
            motors * drive_limit, motors * voltage / (drive_resistance + motors * pack_resistance)
        ),
        clock="match",
        source=_OHM,
        assumes="full throttle from rest, rotor off: what the other controllers and the receiver then see",
    ),
    Quantity(
        "pushing_rotor_speed_share", "Rotor speed kept while pushing", "omega_p/omega", "1", "electrical", "higher",
        least(
            1,
            (voltage - pack_resistance * (motors * traction_current + steady_current)
             - rotor_resistance * steady_current) * rotor_kv / rotor_ratio / rotor_speed,
        ),
        clock="match",
        source=f"drela2007: omega = K_v (V - I R) on the pack that both pull down; {_OHM}",
        assumes="steady push at the grip limit at full throttle; rotor's drag as at its full speed; a governed rotor "
        "has voltage to spare",
    ),
    *near_end.QUANTITIES,
    *wiring.QUANTITIES,
)
