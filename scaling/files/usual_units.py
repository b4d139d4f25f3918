"""The units that files usually state, so that such a file is read without the library that knows them all.

A unit that stands here means what it means there, which the tests hold; any other text is asked there.
"""

from __future__ import annotations

from math import pi

_TURN = 2 * pi
_LENGTHS = {"m": 1.0, "mm": 1e-3, "cm": 1e-2, "um": 1e-6, "µm": 1e-6, "in": 0.0254, "inch": 0.0254, "ft": 0.3048}
_MASSES = {"kg": 1.0, "g": 1e-3, "gram": 1e-3, "mg": 1e-6, "lb": 0.45359237, "oz": 0.028349523125}
_TIMES = {"s": 1.0, "ms": 1e-3, "second": 1.0, "min": 60.0, "minute": 60.0, "h": 3600.0, "hour": 3600.0}
_FORCES = {"N": 1.0, "kN": 1e3, "newton": 1.0, "lbf": 4.4482216152605, "kgf": 9.80665}

USUAL: dict[str, dict[str, float]] = {
    "m": _LENGTHS,
    "m^2": {f"{name}{mark}": size**2 for name, size in _LENGTHS.items() for mark in ("^2", "²", "**2")},
    "kg": _MASSES,
    "s": _TIMES,
    "s^-1": {f"1/{name}": 1 / size for name, size in _TIMES.items()} | {"Hz": 1.0},
    "A": {"A": 1.0, "mA": 1e-3, "amp": 1.0, "ampere": 1.0},
    "V": {"V": 1.0, "mV": 1e-3, "volt": 1.0},
    "ohm": {"ohm": 1.0, "mohm": 1e-3, "Ω": 1.0, "mΩ": 1e-3, "milliohm": 1e-3},
    "A s": {"mAh": 3.6, "Ah": 3600.0, "A s": 1.0, "A h": 3600.0},
    "N": _FORCES,
    "N m": {"N m": 1.0, "N*m": 1.0, "N cm": 1e-2, "N mm": 1e-3, "mN m": 1e-3},
    "N/m": {f"{force}/{length}": _FORCES[force] / _LENGTHS[length] for force in ("N", "kN") for length in ("m", "mm")},
    "Pa": {"Pa": 1.0, "kPa": 1e3, "MPa": 1e6, "GPa": 1e9, "N/mm^2": 1e6, "N/mm²": 1e6},
    "J": {"J": 1.0, "kJ": 1e3, "mJ": 1e-3, "joule": 1.0},
    "W": {"W": 1.0, "kW": 1e3, "watt": 1.0},
    "K": {"K": 1.0, "kelvin": 1.0},
    "rad": {"rad": 1.0, "deg": pi / 180, "degree": pi / 180, "degrees": pi / 180, "°": pi / 180, "turn": _TURN},
    "rad/s": {"rpm": _TURN / 60, "rad/s": 1.0, "deg/s": pi / 180},
    "rad/s/V": {"rpm/V": _TURN / 60, "rad/s/V": 1.0},
    "m/s": {"m/s": 1.0, "mm/s": 1e-3, "km/h": 1 / 3.6},
    "m/s^2": {"m/s^2": 1.0, "m/s²": 1.0},
    "kg/m": {"kg/m": 1.0, "g/m": 1e-3},
    "kg/m^3": {"kg/m^3": 1.0, "kg/m³": 1.0, "g/cm^3": 1e3, "g/cm³": 1e3},
    "kg m^2": {"kg m^2": 1.0, "g cm^2": 1e-7, "g mm^2": 1e-9, "kg mm^2": 1e-6, "kg cm^2": 1e-4, "kg*m^2": 1.0},
    "m^2/s": {"m^2/s": 1.0, "mm^2/s": 1e-6},
    "J/kg": {"J/kg": 1.0, "kJ/kg": 1e3, "J/g": 1e3},
}
"""SI value of one of each unit by its text, by the SI unit that it is a size of."""
