"""What is unlikely in a design file, or contradicts something else in it: said, not refused.

Most is a range of ``likely``; here stands what takes more than one number worked out from some keys. The bounds are
common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from scaling.files.units import format_number, format_value
from scaling.formulas import book
from scaling.formulas.rotor.shapes import inner_radius
from scaling.robot.derived import MATERIAL_PROPERTIES, material_values, table_of
from scaling.robot.likely import RULES, Doubt, Numbers
from scaling.robot.spans import spans
from scaling.shop import materials

OWN_MASS = (0.4, 1.5)
"""A rotor's stated mass over that of its plain shape: teeth and bosses add, pockets take away."""

FAR = 10.0
"""A number this many times outside the span of known machines of its size is doubtful."""

WIDER = {"armour_strength": 100.0, "modulus": 300.0, "insulation": 30.0, "convection": 30.0}
"""The same for keys whose names end so: materials, and what cools, differ more."""

REACH = 1.1
"""A stated rotor speed over what its motor should reach."""

LARGE = 1.2
"""A length of a part over the machine's largest."""

PROPERTY = 3.0
"""A stated property of a material over its typical value, or that over it."""

SHARE = 0.15
"""What the wheels' stated share of the weight may differ from that of the centre of gravity."""

HARD = ("metal", "composite")
FIRM: dict[str, tuple[tuple[str, ...], str]] = {
    "rotor": (HARD, "teeth do not hold in a rotor of"),
    "rotor.tooth": (HARD, "a tooth does not cut that is of"),
    "rotor.hub": (HARD, "a rotor does not hold on a hub of"),
    "rotor.can": (("metal",), "no motor has a can of"),
    "rotor.shaft": (("metal",), "a rotor does not run on a shaft of"),
    "rotor.motor.shaft": (("metal",), "no motor has a shaft of"),
    "rotor.belt.pulley": ((*HARD, "polymer"), "a belt does not run on a pulley of"),
    **{
        table: ((*HARD, "polymer"), "bolts do not hold in")
        for joint in ("rotor.mount", "rotor.motor_mount", "joint")
        for table in (joint, f"{joint}.thread")
    },
}
"""Kinds of material that a table's piece is made of, and what is wrong with others."""

ELSEWHERE = ("opponent.", "attacker.", "wire.", "arena.", "righting.")
"""Tables whose lengths are not the machine's."""


def doubts(
    numbers: Numbers, words: Mapping[str, str], stated: frozenset[str], reached: float | None,
    others: frozenset[str] = frozenset(),
) -> list[Doubt]:
    """Return every doubt about a design, those that a rule names first.

    ``numbers`` are its variables (SI), ``words`` its choices, ``stated`` the keys that its file gives and ``reached``
    the rotor speed (rad/s) that its motor should reach, None where that is not known. With ``others``, keys that are
    stated elsewhere, only what one of ``stated`` has a part in is doubted.
    """
    asked = [rule for rule in RULES if rule.keys[0] in stated | others and stated.intersection(rule.keys)]
    found = [doubt for rule in asked if (doubt := rule.doubt(numbers, words))]
    found += [*_rotor_mass(numbers, words, stated), *_soft(words), *_speed(numbers, stated, reached)]
    found += [*_properties(numbers, words, stated), *_load_share(numbers, stated)]
    named = {key for doubt in found for key in doubt.keys}
    more = [*_large(numbers, stated), *_far(numbers, stated)]
    return found + [doubt for doubt in more if not named.intersection(doubt.keys)]


def _volume(numbers: Numbers, shape: str) -> float:
    """Volume in m^3 of a rotor's plain shape."""
    size, width, bore, chord = (numbers.get(f"rotor.{name}") for name in ("diameter", "width", "bore", "chord"))
    assert size is not None and width is not None and bore is not None  # noqa: S101 - a rotor states them
    if shape == "bar":
        return (size * (chord or size) - math.pi / 4 * bore**2) * width
    return float(math.pi * ((size / 2) ** 2 - inner_radius(shape, size, bore, chord) ** 2) * width)


def _rotor_mass(numbers: Numbers, words: Mapping[str, str], stated: frozenset[str]) -> list[Doubt]:
    shape = words.get("rotor.shape")
    if shape is None or "rotor.density" not in numbers or "rotor.mass" not in stated:
        return []
    added = numbers.get("rotor.hub.mass", 0.0) + numbers["rotor.teeth"] * numbers.get("rotor.tooth.mass", 0.0)
    own = numbers["rotor.density"] * _volume(numbers, shape) + added
    if OWN_MASS[0] <= numbers["rotor.mass"] / own <= OWN_MASS[1]:
        return []
    return [Doubt(
        ("rotor.mass", "rotor.material", "rotor.shape"),
        f"the rotor's mass is {format_value(numbers['rotor.mass'], 'kg')}, its shape in {words['rotor.material']} "
        f"weighs {format_value(own, 'kg')}",
    )]  # fmt: skip


def _soft(words: Mapping[str, str]) -> list[Doubt]:
    """What turns, and what bolts bear on or go into, of a material that robots have not there."""
    found: list[Doubt] = []
    for table, (kinds, why) in FIRM.items():
        name = words.get(f"{table}.material")
        if name is not None and (kind := materials.material(name).kind) not in kinds:
            found.append(Doubt((f"{table}.material",), f"{why} {name} ({kind})"))
    return found


def _speed(numbers: Numbers, stated: frozenset[str], reached: float | None) -> list[Doubt]:
    if "rotor.speed" not in stated or not reached or numbers["rotor.speed"] <= REACH * reached:
        return []
    return [Doubt(
        ("rotor.speed", "rotor.motor.kv", "rotor.ratio"),
        f"the rotor's speed is stated as {format_value(numbers['rotor.speed'], 'rad/s', 4)}, its motor should reach "
        f"{format_value(reached, 'rad/s', 4)}",
    )]  # fmt: skip


def _properties(numbers: Numbers, words: Mapping[str, str], stated: frozenset[str]) -> list[Doubt]:
    """Strengths, densities and the like that a file states beside a material of which they are not typical."""
    found: list[Doubt] = []
    for key in sorted(stated & numbers.keys()):
        table, _, name = key.rpartition(".")
        material = words.get(f"{table}.material")
        if name not in MATERIAL_PROPERTIES or material is None:
            continue
        typical, unit = material_values(table, material).get(key), book.variables[key].unit
        if typical and not 1 / PROPERTY <= numbers[key] / typical <= PROPERTY:
            found.append(Doubt((key, f"{table}.material"), f"the {book.variables[key].meaning} is "
                               f"{format_value(numbers[key], unit)}, typical of {material} is "
                               f"{format_value(typical, unit)}"))
    return found


def _load_share(numbers: Numbers, stated: frozenset[str]) -> list[Doubt]:
    """On two wheels and a skid the centre of gravity says which share of the weight the wheels have."""
    keys = ("wheel.load_share", "cg_ahead", "wheelbase")
    if not stated.issuperset(keys) or numbers.get("wheel.count") != 2:
        return []
    ahead = numbers["cg_ahead"] / numbers["wheelbase"]
    if min(abs(numbers["wheel.load_share"] - share) for share in (ahead, 1 - ahead)) <= SHARE:
        return []
    return [Doubt(keys, f"the wheels' share of the weight is {format_number(numbers['wheel.load_share'])}, the centre "
                  f"of gravity gives {format_number(1 - ahead)} to wheels at the rear, {format_number(ahead)} at the "
                  "front")]


def _large(numbers: Numbers, stated: frozenset[str]) -> list[Doubt]:
    """Lengths of parts that are larger than the machine."""
    most = LARGE * max(numbers[key] for key in ("length", "width", "height"))
    keys = [key for key in sorted(stated & numbers.keys()) if table_of(key) and not key.startswith(ELSEWHERE)]
    lengths = [key for key in keys if (each := book.variables[key]).unit == "m" and each.length_power == 1]
    return [
        Doubt((key, "length"), f"the {book.variables[key].meaning} is {format_value(numbers[key], 'm')}, more than the "
              f"whole machine")
        for key in lengths
        if numbers[key] > most
    ]  # fmt: skip


def _far(numbers: Numbers, stated: frozenset[str]) -> list[Doubt]:
    """Numbers far outside what known machines of this mass and pack voltage have, or what is taken without them."""
    found: list[Doubt] = []
    for key in sorted(stated & numbers.keys()):
        variable = book.variables[key]
        span = _usual(numbers, key)
        if span is None or numbers[key] == 0:
            continue
        far = next((times for name, times in WIDER.items() if key.endswith(name)), FAR)
        if not span[0] / far <= abs(numbers[key]) <= span[1] * far:
            low, high, given = (format_value(value, variable.unit) for value in (*span, numbers[key]))
            usual = low if low == high else f"{low} to {high}"
            found.append(Doubt((key,), f"the {variable.meaning} is {given}, usual at this mass is about {usual}"))
    return found


def _usual(numbers: Numbers, key: str) -> tuple[float, float] | None:
    """The span of known machines' values, as one of this mass has them, else the default; None where there is none."""
    if key in spans():
        size, (low, high) = similar_size(numbers, key), spans()[key]
        return low * size, high * size
    default = book.variables[key].default
    return (default, default) if default else None


def similar_size(numbers: Numbers, key: str) -> float:
    """What a similar machine multiplies the value of ``key`` by from 1 kg and 1 V to this one's mass and pack."""
    variable = book.variables[key]
    length = numbers["mass"] ** (1 / 3)
    return float(length ** float(variable.length_power) * numbers.get("battery.voltage", 1.0) ** variable.voltage_power)
