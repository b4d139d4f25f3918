"""How small and how large a number in a file may be, by its unit: the gate that every one of them goes through."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from scaling.files.errors import InputError

if TYPE_CHECKING:
    from pathlib import Path

SIZES: dict[str, tuple[float, float]] = {
    "m": (1e-8, 1e4),
    "m^2": (1e-15, 1e8),
    "kg": (1e-9, 1e6),
    "kg/m": (1e-9, 1e6),
    "kg/m^3": (1e-3, 1e6),
    "kg m^2": (1e-15, 1e9),
    "s": (1e-9, 1e9),
    "s^-1": (1e-9, 1e9),
    "1/s": (1e-9, 1e9),
    "m/s": (1e-9, 1e5),
    "m/s^2": (1e-6, 1e6),
    "m^2/s": (1e-9, 1e3),
    "rad": (1e-9, 1e4),
    "rad/s": (1e-6, 1e6),
    "rad/s/V": (1e-6, 1e6),
    "N": (1e-6, 1e9),
    "N m": (1e-9, 1e9),
    "N m/A": (1e-9, 1e5),
    "N/m": (1e-3, 1e12),
    "Pa": (1e-3, 1e13),
    "J": (1e-9, 1e12),
    "J/kg": (1e-3, 1e10),
    "A": (1e-9, 1e6),
    "A s": (1e-3, 1e9),
    "V": (1e-6, 1e6),
    "ohm": (1e-9, 1e9),
    "ohm m": (1e-10, 1e6),
    "K": (1e-6, 1e5),
    "1/K": (1e-9, 10.0),
    "W/m/K": (1e-4, 1e5),
    "W/m^2/K": (1e-3, 1e7),
    "J/kg/K": (1e-1, 1e6),
    "J/m^3/K": (1.0, 1e9),
    "1": (1e-12, 1e9),
}
"""Least and most size of a number that is not zero, by SI unit: far beyond any robot, and so far within the range of a
float that no product of several overflows. Common practice, no source."""

OTHERS = (1e-15, 1e15)
"""That of a unit which only a bound of the builder's own has, such as a power."""


def sizes(unit: str) -> tuple[float, float]:
    """Return the least and the most size of a number of this SI unit."""
    return SIZES.get(unit, OTHERS)


def check_plausible(value: float, unit: str, given: object, file: Path | str | None, key: str | None) -> float:
    """Return ``value`` (SI), or raise InputError where it is not finite or nothing about a robot has its size."""
    if not math.isfinite(value):
        raise InputError("the value is not a finite number", file, key, given, "a finite number")
    least, most = sizes(unit)
    if value != 0 and not least <= abs(value) <= most:
        shown = "" if unit == "1" else f" {unit}"
        raise InputError("no robot has anything of this size", file, key, given, f"{least:g} to {most:g}{shown}")
    return value
