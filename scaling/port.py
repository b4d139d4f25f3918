"""A port: the reference carried to another factor, as the numbers that the formulas are given.

Everything here works on a single factor or on an array of them; each variable comes out as a float or
an array of the same shape.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

import numpy as np

from scaling.brief import Brief, LawRequest, PartChange
from scaling.design import MATERIAL_PROPERTIES, MOTOR_CAN_SHARE, Design
from scaling.errors import InputError
from scaling.formulas import book
from scaling.formulas.book import Array
from scaling.formulas.joint_inputs import bolt_values
from scaling.laws import Closure, close_mass
from scaling.materials import material
from scaling.parts import Part, on_the_shelf, with_material
from scaling.rules import NO_GYRO_MARGIN, set_drive_ratio, set_rotor_speed
from scaling.shelves import Snap, beyond, bolt_keys, family_of, set_bolt_sizes, sizes, snapped


@dataclass(frozen=True)
class Inputs:
    """The variables of a port, the power of the factor that each follows, and what went wrong.

    ``variables`` holds floats or arrays; a power is None where no single one holds. ``problems`` are
    (code, sentence) pairs; ``snaps`` say what the shelf did at the first of the factors.
    """

    variables: dict[str, Any]
    powers: dict[str, Fraction | None]
    problems: tuple[tuple[str, str], ...]
    snaps: tuple[Snap, ...] = ()


def port_parts(design: Design, brief: Brief) -> tuple[Part, ...]:
    """The design's parts with what the brief says of them, still at the reference's size.

    A part whose mass the brief gives is fixed at it; a sheet whose thickness the brief gives is held
    at that thickness. Raises InputError for a change to a part that the design does not have.
    """
    names = [part.name for part in design.parts]
    for name in brief.parts:
        if name not in names:
            raise InputError("the design has no such part", brief.file, f"parts.{name}", allowed=", ".join(names))
    changed = tuple(_changed(part, brief) for part in design.parts)
    return tuple(on_the_shelf(part, brief.stock) for part in changed) if brief.snap else changed


def _changed(part: Part, brief: Brief) -> Part:
    change = brief.parts.get(part.name, PartChange())
    words = brief.words
    new_material = change.material or (words.get(f"{_table(part.key)}.material") if part.key else None)
    if new_material is None and part.material is not None:
        new_material = brief.swaps.get(part.material)
    if new_material is not None and new_material != part.material:
        part = with_material(part, new_material, brief.file)
    if change.kind is not None:
        part = replace(part, kind=change.kind)
    if change.thickness_rule is not None:
        part = replace(part, thickness_rule=change.thickness_rule)
    if change.thickness is not None:
        if part.thickness is None:
            raise InputError(
                "only a part with a thickness can be given another", brief.file, f"parts.{part.name}.thickness"
            )
        part = replace(
            part,
            kind="sheet",
            thickness=change.thickness,
            thickness_rule="hold",
            mass=part.mass * change.thickness / part.thickness,
        )
    count = change.count or _count(part, brief)
    mass = change.mass if change.mass is not None else brief.numbers.get(part.key or "")
    if mass is not None:
        part = replace(part, kind="fixed", mass=mass)
    return replace(part, count=count)


def _count(part: Part, brief: Brief) -> int:
    key = {"drive.motor.mass": "drive.motors", "wheel.mass": "wheel.count"}.get(part.key or "", "")
    return int(brief.numbers.get(key, part.count))


def _table(key: str | None) -> str:
    return (key or "").rpartition(".")[0]


def mass_at(parts: tuple[Part, ...], factor: Any) -> Any:
    """Sum of the parts' masses (kg) at ``factor`` (float or array)."""
    return sum(part.at(factor) for part in parts)


def law_factor(design: Design, brief: Brief, request: LawRequest, parts: tuple[Part, ...]) -> Closure:
    """The factor that a law fixes, or the reason why there is none; raises InputError where it lacks what it needs."""
    if request.law == "mass":
        return close_mass(lambda factor: float(mass_at(parts, factor)), brief.mass_limit - brief.mass_margin)
    key = request.key or "length"
    if request.law == "motor-diameter":
        key = "rotor.motor.diameter" if "rotor.motor.diameter" in design.variables else "drive.motor.diameter"
    target = request.target if request.target is not None else brief.numbers.get(key)
    if key not in design.variables:
        raise InputError("the design does not state the length that the law needs", design.file, key)
    if target is None:
        raise InputError(
            f"the {request.law} law needs a length to scale to",
            brief.file,
            f"port.{key}",
            hint="state it there, or as the law's target",
        )
    return Closure(target / design.variables[key])


def voltage_ratio(design: Design, brief: Brief) -> float:
    """Pack voltage of the port over the reference's, 1 for a design without a pack."""
    if "battery.voltage" not in design.variables:
        return 1.0
    cell = brief.numbers.get("battery.cell_voltage", design.variables["battery.cell_voltage"])
    voltage = design.variables["battery.voltage"]
    if "battery.cells" in brief.numbers:
        voltage = brief.numbers["battery.cells"] * cell
    return brief.numbers.get("battery.voltage", voltage) / design.variables["battery.voltage"]


def inputs_at(design: Design, brief: Brief, request: LawRequest, parts: tuple[Part, ...], factor: Any) -> Inputs:
    """Every variable of the port at ``factor``, by the similar machine, the brief and the rules."""
    factor = np.asarray(factor, dtype=float)
    values, powers = _similar(design, brief, factor)
    snaps = _set_stock(values, powers, design, brief) if brief.snap else []
    snaps += _part_snaps(parts, factor)
    _set_own_parts(values, powers, design, parts, factor)
    _set_masses(values, powers, design, brief, parts, factor)
    _set_materials(values, design, brief)
    _set_rotor_inertia(values, powers, design, brief)
    _set_reference_margin(values, powers, design)
    problems: list[tuple[str, str]] = []
    for snap in snaps:
        if snap.snapped == snap.ideal and beyond(snap.ideal, snap.on_shelf, snap.how):
            problems.append(
                (
                    "off_the_shelf",
                    f"The shelf of {snap.shelf} has nothing {snap.how} from "
                    f"{snap.ideal * 1e3:.2f} mm for {snap.name}: the size is kept as it is.",
                )
            )
    set_drive_ratio(values, powers, design, request, factor)
    if design.has_rotor:
        set_rotor_speed(values, powers, design, request, factor, problems)
    elif request.speed_rule == "hold-gyro-margin":
        problems.append(NO_GYRO_MARGIN)
    shaped = {key: np.broadcast_to(np.asarray(value, dtype=float), factor.shape) for key, value in values.items()}
    return Inputs(shaped, powers, tuple(problems), tuple(snaps))


def _set_stock(values: dict[str, Any], powers: dict[str, Fraction | None], design: Design, brief: Brief) -> list[Snap]:
    """Snap the variables that the design buys from a shelf, save those that the brief states."""
    found: list[Snap] = []
    for row in design.stock:
        if row.key in brief.numbers:
            continue
        on_shelf = sizes(row.shelf, row.family, brief.stock)
        ideal = values[row.key]
        values[row.key] = snapped(ideal, on_shelf, row.how)
        powers[row.key] = None
        if row.shelf == "bolt":
            powers.update(dict.fromkeys(set_bolt_sizes(values, row.key, design.choices, brief.stock)))
        shelf = f"{row.shelf} {row.family}" if row.family else row.shelf
        found.append(Snap(row.key, shelf, row.how, _first(ideal), _first(values[row.key]), on_shelf))
    return found


def _part_snaps(parts: tuple[Part, ...], factor: Array) -> list[Snap]:
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


def _set_own_parts(
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


def _similar(design: Design, brief: Brief, factor: Array) -> tuple[dict[str, Any], dict[str, Fraction | None]]:
    """What a similar machine has, save where the brief says otherwise."""
    ratio = voltage_ratio(design, brief)
    values: dict[str, Any] = {}
    powers: dict[str, Fraction | None] = {}
    for key, reference in design.variables.items():
        variable = book.variables()[key]
        powers[key] = Fraction(variable.length_power)
        values[key] = reference * factor ** float(variable.length_power) * ratio**variable.voltage_power
    overrides: dict[str, Any] = dict(brief.numbers) | {"mass_limit": brief.mass_limit}
    if "battery.cells" in overrides and "battery.voltage" in values:
        overrides.setdefault("battery.voltage", design.variables["battery.voltage"] * ratio)
    if (
        "drive.motor.resistance" in overrides and "battery.voltage" in values
    ):  # a bought motor brings its own stall current
        volts = overrides.get("battery.voltage", values["battery.voltage"])
        overrides.setdefault("drive.motor.current_limit", volts / overrides["drive.motor.resistance"])
    for table in {_table(key) for key in brief.words if key.endswith((".bolt", ".bolt_class"))}:
        chosen = bolt_values(table, design.choices | brief.words)
        overrides = {key: value for key, value in chosen.items() if key in values} | overrides
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


def _set_masses(
    values: dict[str, Any],
    powers: dict[str, Fraction | None],
    design: Design,
    brief: Brief,
    parts: tuple[Part, ...],
    factor: Array,
) -> None:
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
    if "wheel.count" in brief.numbers and "wheel.driven" not in brief.numbers:
        values["wheel.driven"] = brief.numbers["wheel.count"]


def port_words(design: Design, brief: Brief) -> dict[str, str]:
    """The design's words with the brief's changes: its own and the swaps of material."""
    words = dict(design.choices)
    for key, word in words.items():
        if key.endswith("material"):
            words[key] = brief.swaps.get(word, word)
    return words | {key: word for key, word in brief.words.items() if key in words}


def _set_materials(values: dict[str, Any], design: Design, brief: Brief) -> None:
    for key, word in port_words(design, brief).items():
        if not key.endswith("material") or word == design.choices[key]:
            continue
        found = material(word, brief.file, f"port.{key}")
        for quality in MATERIAL_PROPERTIES:
            target = f"{_table(key)}.{quality}"
            if target in values and target not in brief.numbers:
                value = getattr(found, quality)
                values[target] = value if isinstance(value, float) else value.typical


def _set_rotor_inertia(
    values: dict[str, Any], powers: dict[str, Fraction | None], design: Design, brief: Brief
) -> None:
    """Inertias follow the rotor's own mass and diameter, so that a lighter or bought rotor counts."""
    if not design.has_rotor:
        return
    mass_ratio = values["rotor.mass"] / design.variables["rotor.mass"]
    size_ratio = values["rotor.diameter"] / design.variables["rotor.diameter"]
    mass_power, size_power = powers["rotor.mass"], powers["rotor.diameter"]
    for name in ("inertia", "transverse_inertia", "transverse_inertia_small"):
        key = f"rotor.{name}"
        if key not in brief.numbers:
            values[key] = design.variables[key] * mass_ratio * size_ratio**2
            powers[key] = None if mass_power is None or size_power is None else mass_power + 2 * size_power
    bought = "rotor.motor.mass" in brief.numbers and "rotor.motor.inertia" not in brief.numbers
    if bought and design.variables["rotor.motor.inertia"] > 0:
        values["rotor.motor.inertia"] = (
            MOTOR_CAN_SHARE * values["rotor.motor.mass"] * values["rotor.motor.diameter"] ** 2
        )
        diameter_power = powers["rotor.motor.diameter"]
        powers["rotor.motor.inertia"] = None if diameter_power is None else 2 * diameter_power


def _set_reference_margin(values: dict[str, Any], powers: dict[str, Fraction | None], design: Design) -> None:
    """Tell the port the gyro margin that it is compared with."""
    kept = book.evaluate(design.variables, design.traits, only=["gyro_margin"]).get("gyro_margin")
    if kept is not None and np.isfinite(kept):
        values["reference.gyro_margin"], powers["reference.gyro_margin"] = float(kept), Fraction(0)


def on_the_step(brief: Brief, parts: tuple[Part, ...], inputs: Inputs, factor: float) -> tuple[Brief, tuple[Part, ...]]:
    """Return the brief and parts with every snapped size held as it is: how the port follows the factor within a step.

    ``inputs`` are those of the port at ``factor``, a single one. A slope across the jump between two sizes would
    say nothing.
    """
    names = {snap.name for snap in inputs.snaps}
    tables = {_table(snap.name) for snap in inputs.snaps if snap.shelf == "bolt"}
    followed = {key for table in tables for key in bolt_keys(table)}
    pinned = {
        key: float(np.asarray(value).flat[0])
        for key, value in inputs.variables.items()
        if key in names or key in followed
    }
    held = tuple(
        replace(
            part,
            mass=part.mass * float(part.thickness_at(factor)) / part.thickness,
            thickness=float(part.thickness_at(factor)),
            thickness_rule="hold",
            on_shelf=(),
        )
        if part.on_shelf and part.kind == "sheet" and part.thickness
        else part
        for part in parts
    )
    return replace(brief, snap=False, numbers={**brief.numbers, **pinned}), held
