"""What follows from other keys of a design: pack voltage, material properties, inertias, and each branch's own."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TypeVar

from scaling.files.errors import InputError
from scaling.files.units import format_value
from scaling.formulas import book
from scaling.formulas.rotor import shapes
from scaling.shop import materials

Row = TypeVar("Row")

MATERIAL_PROPERTIES = ("density", "strength", "modulus", "poisson", "shear_strength_ratio", "fibre_share")

MOTOR_CAN_SHARE = 0.1
"""Inertia of an outrunner's can over m d^2, for a motor without a stated inertia: half the mass at nine
tenths of the radius, common practice, no source."""


def table_of(key: str) -> str:
    """Return the table of a dotted key, empty for a key before the first table."""
    return key.rpartition(".")[0]


def derive(numbers: dict[str, float], words: Mapping[str, str], file: Path, notes: list[str]) -> None:
    """Fill in what follows from other keys: pack voltage, material properties, bolt areas, inertias."""
    numbers.setdefault("cg_ahead", numbers["wheelbase"] / 2)
    _check_between("cg_ahead", numbers, 0.0, numbers["wheelbase"], "between the rear and the front contact", file)
    if "arena.ceiling" in numbers:
        _check_between("arena.ceiling", numbers, numbers["height"], float("inf"), "above the robot", file)
    if numbers["cg_height"] >= numbers["height"]:
        raise InputError(
            "the centre of gravity is above the robot",
            file,
            "cg_height",
            f"{numbers['cg_height'] * 1e3:g} mm",
            f"below the height of {numbers['height'] * 1e3:g} mm",
        )
    numbers.setdefault("wheel.driven", numbers["wheel.count"])
    if numbers["wheel.driven"] > numbers["wheel.count"]:
        raise InputError(
            "more wheels are driven than there are",
            file,
            "wheel.driven",
            int(numbers["wheel.driven"]),
            f"at most {int(numbers['wheel.count'])}",
        )
    for key, word in words.items():
        if key.endswith("material"):
            set_material(numbers, table_of(key), word, file)
    if "rotor.diameter" in numbers:
        _derive_rotor(numbers, words, file, notes)
    _located(lambda: book.derive(numbers, words), file)


def _check_between(key: str, numbers: Mapping[str, float], low: float, high: float, allowed: str, file: Path) -> None:
    if not low <= numbers[key] <= high:
        raise InputError(f"the {book.variables[key].meaning} cannot be this", file, key,
                         format_value(numbers[key], book.variables[key].unit, 4), allowed)


def set_material(numbers: dict[str, float], table: str, name: str, file: Path | None) -> None:
    """Set the material properties that the book knows under ``table`` to those of ``name``, unless they are stated."""
    for key, value in material_values(table, name, file).items():
        numbers.setdefault(key, value)


def material_values(table: str, name: str, file: Path | None = None) -> dict[str, float]:
    """Return the material properties that the book knows under ``table``, typical values of the material ``name``."""
    found = materials.material(name, file, f"{table}.material")
    values = {f"{table}.{quality}": getattr(found, quality) for quality in MATERIAL_PROPERTIES}
    return {
        key: value if isinstance(value, float) else value.typical
        for key, value in values.items()
        if key in book.variables
    }


def _located(work: Callable[[], Row], file: Path | None, key: str | None = None) -> Row:
    """Do ``work``; an InputError that knows no file is reported under this one."""
    try:
        return work()
    except InputError as error:
        error.file, error.key = error.file or file, error.key or key
        raise


def _derive_rotor(numbers: dict[str, float], words: Mapping[str, str], file: Path, notes: list[str]) -> None:
    shape = words.get("rotor.shape")
    chord = numbers.get("rotor.chord")
    diameter, bore = numbers["rotor.diameter"], numbers["rotor.bore"]
    if bore >= diameter:
        raise InputError(
            "the bore is as wide as the rotor", file, "rotor.bore", f"{bore * 1e3:g} mm", f"below {diameter * 1e3:g} mm"
        )
    if shape is None and "rotor.inertia" not in numbers:
        raise InputError(
            "missing key: a rotor needs its shape or its inertia",
            file,
            "rotor.shape",
            allowed=f'one of {", ".join(shapes.SHAPES)}, or rotor.inertia such as "900 g cm^2"',
        )
    if shape in ("bar", "ring", "drum") and chord is None:
        raise InputError(
            f"missing key: a {shape} needs its chord (a bar's or a wall's width)",
            file,
            "rotor.chord",
            allowed='text such as "20 mm"',
        )
    own = _located(lambda: shapes.rotor_inertias(shape or "disc", numbers), file)
    can = _motor_inertia(numbers, notes)
    hub = words["rotor.transmission"] == "hub"
    if hub and numbers["rotor.ratio"] != 1:
        raise InputError("a hub motor turns with its rotor", file, "rotor.ratio", numbers["rotor.ratio"], "1")
    if "rotor.inertia" not in numbers:
        numbers["rotor.inertia"] = own.spin + (can if hub else 0.0)
    share = numbers["rotor.inertia"] / own.spin
    numbers.setdefault("rotor.transverse_inertia", own.transverse * share)
    numbers.setdefault("rotor.transverse_inertia_small", own.transverse_small * share)
    if "rotor.motor.mass" in numbers:
        numbers["rotor.motor.inertia"] = 0.0 if hub else can
    if shape is None:
        notes.append(
            "the rotor's shape is not stated, so its peak stress is not computed, and its inertias across the axis are "
            "taken as a disc's"
        )
    elif "rotor.stress_factor" not in numbers:
        poisson = numbers["rotor.poisson"]
        numbers["rotor.stress_factor"] = _located(
            lambda: shapes.stress_factor(shape, diameter, bore, chord, poisson), file
        )
    numbers.setdefault("rotor.axle_height", diameter / 2)


def _motor_inertia(numbers: dict[str, float], notes: list[str]) -> float:
    if "rotor.motor.inertia" in numbers:
        return numbers["rotor.motor.inertia"]
    if "rotor.motor.mass" not in numbers:
        return 0.0
    notes.append(
        "rotor.motor.inertia is not stated: taken as 0.1 m d², half the motor's mass near its rim "
        "(common practice, no source)"
    )
    return MOTOR_CAN_SHARE * numbers["rotor.motor.mass"] * numbers["rotor.motor.diameter"] ** 2
