"""Text with units to SI floats and back: the only place where units exist, from a table or, if not there, pint."""

from __future__ import annotations

import math
import re
from functools import cache
from typing import TYPE_CHECKING, Any

from scaling.files.errors import InputError, nearest
from scaling.files.plausible import check_plausible
from scaling.files.trade_units import MEANT, TRAPS, UNDERSTOOD
from scaling.files.usual_units import USUAL

if TYPE_CHECKING:
    from pathlib import Path

NUMBER = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?)\s*(.*?)\s*\Z")
UNIT_TEXT = re.compile(r"[A-Za-zµΩ°%0-9\s*/^().·²³-]{0,40}\Z")
LARGE_POWER = re.compile(
    r"\d{2,}|(?:\^|\*\*)\s*\(|\)\s*(?:\^|\*\*|[²³])|[\d²³]\s*[²³]|(?:\^|\*\*)\s*[-+]?\s*\d\s*(?:\^|\*\*)"
)
"""A power of two digits, of a bracket or on top of another: no unit needs it, and some would take for ever."""

# Shown to people in place of the SI unit: the unit's name and the factor from SI.
SHOWN: dict[str, tuple[str, float]] = {
    "m": ("mm", 1e3),
    "m^2": ("mm²", 1e6),
    "kg": ("g", 1e3),
    "rad/s": ("rpm", 30 / math.pi),
    "rad/s/V": ("rpm/V", 30 / math.pi),
    "Pa": ("MPa", 1e-6),
    "kg m^2": ("kg mm²", 1e6),
    "A/m^2": ("A/mm²", 1e-6),
    "s^-1": ("1/h", 3600.0),
    "rad": ("°", 180 / math.pi),
    "kg m": ("g mm", 1e6),
    "N/m": ("N/mm", 1e-3),
    "Pa/m": ("MPa/mm", 1e-9),
    "ohm": ("mΩ", 1e3),
    "A s": ("mAh", 1 / 3.6),
    "kg m^2/s": ("kg m²/s", 1.0),
    "m/s^2": ("m/s²", 1.0),
    "kg/m^3": ("kg/m³", 1.0),
    "m^2/s": ("m²/s", 1.0),
    "N m": ("N m", 1.0),
    "1": ("", 1.0),
}

# What a file may say in place of each SI unit, for messages.
EXAMPLES: dict[str, str] = {
    "m": '"12 mm"',
    "m^2": '"14.2 mm^2"',
    "kg": '"454 g"',
    "s": '"3 min"',
    "A": '"30 A"',
    "V": '"14.8 V"',
    "ohm": '"22 mohm"',
    "A s": '"450 mAh"',
    "rad/s": '"9000 rpm"',
    "rad/s/V": '"2300 rpm/V"',
    "kg m^2": '"120 g cm^2"',
    "Pa": '"250 MPa"',
    "N": '"200 N"',
    "K": '"80 K"',
    "rad": '"40 deg"',
}

LONGEST = 100
"""Characters of the longest text that is a number with its unit."""

COMMON_UNITS = (
    "mm", "cm", "inch", "gram", "kg", "rpm", "rpm/V", "mohm", "ohm", "mAh", "MPa", "GPa", "volt", "amp", "watt",
    "second", "minute", "deg", "lb", "oz", "newton", "joule",
)  # fmt: skip
"""Units that a misspelt one is compared with."""


@cache
def _registry() -> Any:
    import pint

    return pint.UnitRegistry()


def parse(text: object, unit: str, file: Path | str | None = None, key: str | None = None) -> float:
    """Return the SI value of ``text`` such as ``"12 mm"``, whose dimension must be that of ``unit``.

    A plain number is taken only where ``unit`` is "1". Raises InputError for an unknown unit, another
    dimension, a missing unit, a number that is not finite, or anything that is not a number with a unit.
    """
    example = EXAMPLES.get(unit, f"a number with a unit of {unit}, in quotes")
    if isinstance(text, bool) or not isinstance(text, int | float | str):
        raise InputError("this is not a value", file, key, text, _allowed(unit))
    if not isinstance(text, str):
        if unit != "1":
            raise InputError("a value with a dimension needs its unit", file, key, text, f"text such as {example}")
        return _finite(_as_float(text), text, file, key)
    spaced = " ".join(text[: LONGEST + 1].split())  # spaces that do not break among them
    match = NUMBER.match(spaced) if len(text) <= LONGEST else None
    number, unit_text = (float(match[1]), match[2]) if match is not None else (0.0, "")
    size = USUAL.get(unit, {}).get(unit_text) or UNDERSTOOD.get(unit, {}).get(unit_text)
    if size is not None:
        return _finite(number * size, text, file, key)
    if match is None or UNIT_TEXT.match(unit_text) is None or LARGE_POWER.search(unit_text):
        raise InputError("this is not a number with a unit", file, key, text, _allowed(unit), _mend(spaced, key))
    if not unit_text:
        if unit != "1":
            raise InputError("a value with a dimension needs its unit", file, key, text, f"text such as {example}")
        return _finite(number, text, file, key)
    if unit_text in TRAPS.get(unit, {}):
        problem, mend = TRAPS[unit][unit_text]
        raise InputError(problem, file, key, text, _allowed(unit), mend)
    return _finite(_converted(number, unit_text, unit, text, file, key), text, file, key)


FRACTION = re.compile(r"(?:(\d{1,3})[ -])?(\d{1,3})/(\d{1,3})\b\s*(.*)")
CELLS = re.compile(r"(\d{1,2}) ?[sS](?:\d[pP])?\Z")


def _mend(text: str, key: str | None) -> str | None:
    """How to write what is a number to people."""
    if "," in text and NUMBER.match(text.replace(",", ".", 1)):
        return "write a decimal point"
    if (parts := FRACTION.fullmatch(text)) is not None and int(parts[3]):
        decimal = int(parts[1] or 0) + int(parts[2]) / int(parts[3])
        return f"write {decimal:.6g} {parts[4]}".rstrip()
    if (parts := CELLS.fullmatch(text)) is not None and (key or "").endswith("cells"):
        return f"write {parts[1]}"
    return None


def _converted(
    number: float, unit_text: str, unit: str, text: str, file: Path | str | None, key: str | None
) -> float:
    import pint

    registry = _registry()
    try:
        given = registry.Quantity(number, registry.parse_units(unit_text))
        if not given._is_multiplicative:  # 80 degC would become a rise of 353 K
            raise InputError("this is a temperature, not a rise", file, key, text, 'text such as "80 K"')
        if "rad" in unit.split("/") and "radian" not in str(given.to_root_units().units):
            raise InputError("this counts neither turns nor an angle", file, key, text, _allowed(unit))
        return float(given.to(registry.parse_units(unit.replace(" ", "*"))).magnitude)
    except InputError:
        raise
    except pint.UndefinedUnitError as error:
        name = re.split(r"'", str(error))[1] if "'" in str(error) else unit_text
        raise InputError(
            f'unknown unit "{name}"', file, key, text, _allowed(unit), nearest(name, COMMON_UNITS)
        ) from None
    except pint.DimensionalityError:
        meant = MEANT.get(unit, {}).get(unit_text)
        mend = _mend(text, key) if meant is None else f'did you mean "{meant}"?'
        raise InputError("wrong dimension", file, key, text, _allowed(unit), mend) from None
    except Exception:  # pint's parser meets odd text with errors of many kinds, assertions among them
        mend = _mend(text, key)
        raise InputError("this is not a number with a unit", file, key, text, _allowed(unit), mend) from None


def _allowed(unit: str) -> str:
    if unit == "1":
        return "a plain number"
    example = EXAMPLES.get(unit)
    return f"text with a unit of {unit}" + (f", such as {example}" if example else "")


def _finite(value: float, text: object, file: Path | str | None, key: str | None) -> float:
    if not math.isfinite(value):
        raise InputError("the value is not a finite number", file, key, text, "a finite number")
    return value


def _as_float(number: float) -> float:
    """A plain number as a float, a whole one beyond all floats as infinite."""
    try:
        return float(number)
    except OverflowError:
        return math.inf


def read(value: object, unit: str, file: Path | str | None = None, key: str | None = None) -> float:
    """Return the SI value of what a file or a flag says, held to what is plausible of its ``unit``.

    Raises InputError as ``parse`` does, and for a size that nothing about a robot has.
    """
    return check_plausible(parse(value, unit, file, key), unit, value, file, key)


def shown_unit(unit: str) -> str:
    """Return the name of the unit in which people are shown a value of SI ``unit``."""
    return SHOWN.get(unit, (unit, 1.0))[0]


def to_shown(value: float, unit: str) -> float:
    """Return ``value`` (SI) in the unit in which people are shown it."""
    return value * SHOWN.get(unit, (unit, 1.0))[1]


def format_number(value: float, digits: int = 3) -> str:
    """Return ``value`` to so many significant digits, without exponents between 0.001 and a million."""
    if value == 0:
        return "0"
    rounded = float(f"{value:.{digits - 1}e}")
    if not 1e-3 <= abs(rounded) < 1e6:
        return f"{value:.{digits - 1}e}"
    places = max(0, digits - 1 - math.floor(math.log10(abs(rounded))))
    return f"{rounded:.{places}f}"


def format_short(value: float, digits: int = 4) -> str:
    """Return ``value`` as it might stand in a file: without zeros behind the point that say nothing."""
    text = format_number(value, digits)
    return text.rstrip("0").rstrip(".") if "." in text and "e" not in text else text


def format_value(value: float, unit: str, digits: int = 3) -> str:
    """Return ``value`` (SI) as text in the unit in which people are shown it."""
    return f"{format_number(to_shown(value, unit), digits)} {shown_unit(unit)}".strip()
