"""The pack's leads and its fuse: current density, voltage lost, heating, and how near the fuse is to opening."""

from __future__ import annotations

import math
from collections.abc import Mapping

from scaling.book.algebra import symbols
from scaling.book.entry import Quantity, Variable
from scaling.files.schema import Choice

area, wire_length, resistivity, density, specific_heat = symbols(
    "wire.area wire.length wire.resistivity wire.density wire.specific_heat"
)
voltage, fuse = symbols("battery.voltage battery.fuse")
peak_current, mean_current, peak_density, wire_drop = symbols(
    "peak_current mean_current wire_peak_current_density wire_voltage_drop"
)

GAUGES = tuple(range(6, 31))
"""American wire gauges that a lead of such a robot may have."""

VARIABLES = (
    Variable("wire.area", "A_c", "m^2", "copper's cross-section in a lead of the pack", 2, derived=True,
             unless="gauge"),
    Variable("wire.length", "L_c", "m", "length of both leads of the pack together, there and back", 1, optional=True),
    Variable("wire.resistivity", "rho_c", "ohm m", "resistivity of the wire, of annealed copper when not stated",
             default=1.7241e-8),
    Variable("wire.density", "D_c", "kg/m^3", "density of the wire, of copper when not stated", default=8890.0),
    Variable("wire.specific_heat", "c_c", "J/kg/K", "specific heat of the wire, of copper when not stated",
             default=385.0),
    Variable("battery.fuse", "I_f", "A", "rated current of the pack's fuse", 3, -1, optional=True),
)
"""Resistivity and density of annealed copper at 20 C: IEC 60028:1925, 1/58 ohm mm2/m and 8.89 g/cm3; specific heat: CRC
Handbook of Chemistry and Physics. All three from memory."""

CHOICES = {
    "wire.gauge": Choice(tuple(f"AWG {number}" for number in GAUGES), "gauge of the pack's leads",
                         unless="area"),
}

_OHM = "own-derivation: Ohm's law, R = rho L / A"


def gauge_area(number: int) -> float:
    """Copper's cross-section in m^2 of a solid wire of American wire gauge ``number``.

    d = 0.127 mm times 92^((36 - n) / 39): ASTM B258. A stranded lead has the same copper, within a few per cent.

    >>> round(gauge_area(36) * 1e6, 5)
    0.01267
    """
    diameter = 0.127e-3 * 92 ** ((36 - number) / 39)
    return float(math.pi * diameter**2 / 4)


def derive(numbers: dict[str, float], words: Mapping[str, str]) -> None:
    """Set the leads' area from their gauge."""
    if "wire.gauge" in words:
        numbers.setdefault("wire.area", gauge_area(int(words["wire.gauge"].removeprefix("AWG "))))


QUANTITIES = (
    Quantity(
        "wire_peak_current_density", "Lead peak current density", "J_p", "A/m^2", "electrical", "lower",
        peak_current / area,
        clock="match",
        source="definition: J = I / A",
        assumes="peak_current through one pair of leads",
    ),
    Quantity(
        "wire_mean_current_density", "Lead mean current density", "J_m", "A/m^2", "electrical", "lower",
        mean_current / area,
        clock="match",
        source="definition: J = I / A",
        assumes="mean_current through one pair of leads",
    ),
    Quantity(
        "wire_heating_rate", "Lead heating rate at peak", "dT/dt", "K/s", "electrical", "lower",
        peak_density**2 * resistivity / (density * specific_heat),
        clock="match",
        source="incropera sec. 5.1: heat J^2 rho into the copper's own heat capacity",
        assumes="no loss to the air or the insulation, resistance as at 20 C: good for some seconds",
    ),
    Quantity(
        "wire_voltage_drop", "Lead voltage drop at peak", "U_c", "V", "electrical", "lower",
        peak_current * resistivity * wire_length / area,
        clock="match",
        source=_OHM,
        assumes="at 20 C; where battery.resistance was measured with the leads it holds this already",
    ),
    Quantity(
        "wire_voltage_drop_share", "Lead voltage drop share", "U_c/V", "1", "electrical", "lower",
        wire_drop / voltage,
        clock="match",
        source="definition",
    ),
    Quantity(
        "fuse_margin", "Fuse margin at mean current", "I_f/I_m", "1", "electrical", "higher",
        fuse / mean_current,
        role="budget", clock="match",
        source="definition",
        assumes="below 1 the fuse opens within the match; the mean says nothing of what single peaks do to it",
    ),
    Quantity(
        "fuse_peak_ratio", "Peak current over fuse rating", "I_p/I_f", "1", "electrical", "lower",
        peak_current / fuse,
        clock="match",
        source="definition; iso8820-3: a blade fuse opens within 5 s at twice its rating and within half a second at "
        "3.5 times",
        assumes="a spin-up that lasts longer at that ratio opens it",
    ),
)
