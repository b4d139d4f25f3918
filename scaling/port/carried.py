"""What each variable of a design becomes at a port: a similar machine's value, a shelf's, a part's, or the brief's.

Every function works on a single factor or on an array of them, and keeps beside each value the power of the factor
that it follows, None where no single one holds.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np

from scaling.book.entry import Array
from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.formulas.joints.inputs import bolt_values
from scaling.port.brief import Brief
from scaling.port.snapping import Snap, bolt_keys, set_bolt_sizes
from scaling.robot.derived import MOTOR_CAN_SHARE, derive
from scaling.robot.derived import table_of as _table
from scaling.robot.design import Design
from scaling.robot.parts import Part, mass_at
from scaling.shop.shelves import family_of, sizes, snapped


def voltage_ratio(design: Design, brief: Brief) -> float:
    """Pack voltage of the port over the reference's, 1 for a design without a pack."""
    if "battery.voltage" not in design.variables:
        return 1.0
    own = design.variables
    cell = brief.numbers.get("battery.cell_voltage", own["battery.cell_voltage"])
    cells = brief.numbers.get("battery.cells", own["battery.cells"])
    changed = "battery.cells" in brief.numbers or "battery.cell_voltage" in brief.numbers
    voltage = cells * cell if changed else own["battery.voltage"]
    return brief.numbers.get("battery.voltage", voltage) / own["battery.voltage"]


def set_stock(values: dict[str, Any], powers: dict[str, Fraction | None], design: Design, brief: Brief) -> list[Snap]:
    """Snap the variables that the design buys from a shelf, save those that the brief states."""
    own = design.choices.get("stock_files.bolts")
    files = ({"bolts": Path(own)} if own else {}) | brief.stock
    found: list[Snap] = []
    for row in design.stock:
        if row.key in brief.numbers:
            continue
        on_shelf = sizes(row.shelf, row.family, files)
        ideal = values[row.key]
        values[row.key] = snapped(ideal, on_shelf, row.how)
        powers[row.key] = None
        if row.shelf == "bolt":
            powers.update(dict.fromkeys(set_bolt_sizes(values, row.key, files)))
        shelf = f"{row.shelf} {row.family}" if row.family else row.shelf
        found.append(Snap(row.key, shelf, row.how, _first(ideal), _first(values[row.key]), on_shelf))
    return found


def part_snaps(parts: tuple[Part, ...], factor: Array) -> list[Snap]:
    """What the shelf of sheets did to each part that comes from it, at the first of the factors."""
    return [
        Snap(
            part.name,
            f"sheet {family_of(part.material)}",
            part.snap or "",
            _first(part.ideal_thickness(factor)),
            _first(part.thickness_at(factor)),
            part.on_shelf,
        )
        for part in parts
        if part.on_shelf and part.kind == "sheet"
    ]


def _first(value: Any) -> float:
    return float(np.asarray(value, dtype=float).flat[0])


def set_own_parts(
    values: dict[str, Any],
    powers: dict[str, Fraction | None],
    design: Design,
    parts: tuple[Part, ...],
    factor: Array,
) -> None:
    """A table that names a part takes its thickness from it, so that a held or snapped sheet counts."""
    by_name = {part.name: part for part in parts}
    for key, word in design.choices.items():
        if key.endswith(".part"):
            part, target = by_name[word], f"{_table(key)}.thickness"
            ratio = part.thickness_at(factor) / (own_part(design, word).thickness or 1.0)
            values[target] = design.variables[target] * ratio
            held = part.kind == "fixed" or (part.kind == "sheet" and part.thickness_rule == "hold")
            powers[target] = None if part.on_shelf else Fraction(0 if held else 1)


def own_part(design: Design, name: str) -> Part:
    """Return the design's part of that name, as it is on the reference."""
    return next(part for part in design.parts if part.name == name)


def similar(design: Design, brief: Brief, factor: Array) -> tuple[dict[str, Any], dict[str, Fraction | None]]:
    """What a similar machine has, save where the brief says otherwise."""
    ratio = voltage_ratio(design, brief)
    values: dict[str, Any] = {}
    powers: dict[str, Fraction | None] = {}
    for key, reference in design.variables.items():
        variable = book.variables[key]
        powers[key] = Fraction(variable.length_power)
        values[key] = reference * factor ** float(variable.length_power) * ratio**variable.voltage_power
    overrides: dict[str, Any] = dict(brief.numbers) | {"mass_limit": brief.mass_limit}
    if "battery.voltage" in values and ("battery.cells" in overrides or "battery.cell_voltage" in overrides):
        overrides.setdefault("battery.voltage", design.variables["battery.voltage"] * ratio)
    if "drive.motor.resistance" in overrides and "battery.voltage" in values:
        # a bought motor brings its own stall current
        shared = ("battery.voltage", "battery.resistance", "drive.motors")
        now = {key: overrides.get(key, values[key]) for key in shared}
        loop = overrides["drive.motor.resistance"] + now["drive.motors"] * now["battery.resistance"]
        overrides.setdefault("drive.motor.current_limit", now["battery.voltage"] / loop)
    for table in {_table(key) for key in brief.words if key.endswith((".bolt", ".bolt_class"))}:
        if f"{table}.bolt" not in design.choices:
            raise InputError("the design has no such bolts", brief.file, f"port.{table}.bolt", hint="state them there")
        chosen = bolt_values(table, design.choices | brief.words)
        of_size = bolt_keys(table) if f"{table}.bolt" not in brief.words else frozenset[str]()
        of_size -= {f"{table}.bolt_strength", f"{table}.bolt_proof", f"{table}.bolt_shear_share"}
        overrides = {key: value for key, value in chosen.items() if key in values and key not in of_size} | overrides
    for key, value in overrides.items():
        if key not in values:
            raise InputError(
                "the design does not have this, so the port cannot",
                brief.file,
                f"port.{key}",
                hint="state it in the design file first",
            )
        values[key], powers[key] = value, Fraction(0)
    return values, powers


def set_masses(
    values: dict[str, Any],
    powers: dict[str, Fraction | None],
    design: Design,
    brief: Brief,
    parts: tuple[Part, ...],
    factor: Array,
) -> None:
    """Set the mass of the whole robot and of what has a table of its own, from the parts."""
    values["mass"] = mass_at(parts, factor)
    followed = {part.power for part in parts}
    powers["mass"] = followed.pop() if len(followed) == 1 else None
    for part in parts:
        if part.key is not None:
            values[part.key] = part.at(factor) / part.count
            powers[part.key] = part.power
    # A part of its own table may have changed its count, which is a variable as well.
    for key in ("drive.motors", "wheel.count"):
        if key in brief.numbers:
            values[key] = brief.numbers[key]


def port_words(design: Design, brief: Brief, parts: tuple[Part, ...]) -> dict[str, str]:
    """The design's words as they are at the port: swaps of material, the brief's own, and those of named parts."""
    words = dict(design.choices)
    for key, word in words.items():
        if key.endswith("material"):
            words[key] = brief.swaps.get(word, word)
    words |= {key: word for key, word in brief.words.items() if key in words or _table(key) in tables_of(design)}
    by_name = {part.name: part for part in parts}
    for key, word in design.choices.items():
        material = f"{_table(key)}.material"
        if key.endswith(".part") and material in words:
            words[material] = by_name[word].material or words[material]
    return words


def tables_of(design: Design) -> set[str]:
    """Every table that the design states something in."""
    return {_table(key) for key in (*design.variables, *design.choices)}


VECTORISED = ("rotor.motor", "drive.motor", "battery", "drive")
"""Tables whose derived values are worked out for whole arrays elsewhere here."""


def derive_again(
    values: dict[str, Any], powers: dict[str, Fraction | None], design: Design, brief: Brief, parts: tuple[Part, ...]
) -> None:
    """Work out again what follows from keys and words that the brief changes.

    Which derived keys those are shows at the reference's size; then each factor is derived by itself, since the
    derivations of a design file take single numbers.
    """
    words = port_words(design, brief, parts)
    simple = [key for key in brief.numbers if key in brief.pinned or _table(key) in VECTORISED]
    changed = {key: _first(value) for key, value in brief.numbers.items() if key not in simple}
    if words == design.choices and not changed:
        return
    file = brief.file or design.file
    own = {key: design.variables[key] for key in design.stated if key in design.variables}
    before, after = dict(own), {**own, **changed}
    derive(before, design.choices, design.file, [])
    derive(after, words, file, [])
    affected = [
        key for key, value in after.items()
        if key in values and key not in design.stated and key not in brief.numbers and before.get(key) != value
    ]
    if not affected:
        return
    shape = np.broadcast_shapes(*(np.shape(value) for value in values.values()))
    flat = {key: np.broadcast_to(np.asarray(value, dtype=float), shape).ravel() for key, value in values.items()}
    given = [key for key in (*design.stated, *brief.numbers) if key in flat]
    found: dict[str, list[float]] = {key: [] for key in affected}
    for place in range(int(np.prod(shape))):
        numbers = {key: float(flat[key][place]) for key in given}
        derive(numbers, words, file, [])
        for key in affected:
            found[key].append(numbers[key])
    for key, each in found.items():
        values[key] = np.asarray(each).reshape(shape)
        powers[key] = Fraction(0) if book.variables[key].length_power == 0 else None


def set_rotor_inertia(
    values: dict[str, Any], powers: dict[str, Fraction | None], design: Design, brief: Brief
) -> None:
    """Inertias follow the rotor's own mass and diameter, a hub motor's can its motor's."""
    if not design.has_rotor:
        return
    mass_ratio = values["rotor.mass"] / design.variables["rotor.mass"]
    size_ratio = values["rotor.diameter"] / design.variables["rotor.diameter"]
    mass_power, size_power = powers["rotor.mass"], powers["rotor.diameter"]
    power = None if mass_power is None or size_power is None else mass_power + 2 * size_power
    for name in ("transverse_inertia", "transverse_inertia_small"):
        if f"rotor.{name}" not in brief.numbers:
            values[f"rotor.{name}"] = design.variables[f"rotor.{name}"] * mass_ratio * size_ratio**2
            powers[f"rotor.{name}"] = power
    can, can_power = _port_can(values, powers, design, brief)
    hub = design.choices["rotor.transmission"] == "hub"
    if "rotor.motor.inertia" in design.variables and not hub:
        values["rotor.motor.inertia"], powers["rotor.motor.inertia"] = can, can_power
    elif "rotor.motor.inertia" in design.variables:
        values["rotor.motor.inertia"] = 0.0
    if "rotor.inertia" not in brief.numbers:
        own = _own_can(design) if hub else 0.0
        body = (design.variables["rotor.inertia"] - own) * mass_ratio * size_ratio**2
        values["rotor.inertia"] = body + (can if hub else 0.0)
        powers["rotor.inertia"] = power if not hub or power == can_power else None


def _own_can(design: Design) -> float:
    """Inertia of the reference's hub motor's can, which stands within the rotor's."""
    if "rotor.motor.mass" not in design.variables:
        return 0.0
    estimate = MOTOR_CAN_SHARE * design.variables["rotor.motor.mass"] * design.variables["rotor.motor.diameter"] ** 2
    return min(design.can_inertia if design.can_inertia is not None else estimate, design.variables["rotor.inertia"])


def _port_can(
    values: dict[str, Any], powers: dict[str, Fraction | None], design: Design, brief: Brief
) -> tuple[Any, Fraction | None]:
    """Inertia of the port's motor's can: stated, estimated for a bought motor, else that of a similar one."""
    if "rotor.motor.mass" not in values:
        return 0.0, Fraction(0)
    if "rotor.motor.inertia" in brief.numbers:
        return brief.numbers["rotor.motor.inertia"], Fraction(0)
    if "rotor.motor.mass" in brief.numbers:
        size = values["rotor.motor.diameter"]
        diameter_power = powers["rotor.motor.diameter"]
        power = None if diameter_power is None else 2 * diameter_power
        return MOTOR_CAN_SHARE * values["rotor.motor.mass"] * size**2, power
    ratio = values["rotor.motor.diameter"] / design.variables["rotor.motor.diameter"]
    mass_ratio = values["rotor.motor.mass"] / design.variables["rotor.motor.mass"]
    mass_power, size_power = powers["rotor.motor.mass"], powers["rotor.motor.diameter"]
    power = None if mass_power is None or size_power is None else mass_power + 2 * size_power
    own = _own_can(design) if design.choices["rotor.transmission"] == "hub" else design.variables["rotor.motor.inertia"]
    return own * mass_ratio * ratio**2, power


def set_reference_margin(values: dict[str, Any], powers: dict[str, Fraction | None], design: Design) -> None:
    """Tell the port the gyro margin that it is compared with."""
    kept = book.evaluate(design.variables, design.traits, only=["gyro_margin"]).get("gyro_margin")
    if kept is not None and np.isfinite(kept):
        values["reference.gyro_margin"], powers["reference.gyro_margin"] = float(kept), Fraction(0)
