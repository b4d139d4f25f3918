"""A port: the reference carried to another factor, as the numbers that the formulas are given.

Everything here works on a single factor or on an array of them; each variable comes out as a float or
an array of the same shape.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

import numpy as np

from scaling.files.errors import InputError
from scaling.port.brief import Brief, LawRequest, PartChange
from scaling.port.carried import (
    derive_again,
    part_snaps,
    set_masses,
    set_own_parts,
    set_reference_margin,
    set_rotor_inertia,
    set_stock,
    similar,
    tables_of,
)
from scaling.port.laws import Closure, close_mass
from scaling.port.rules import NO_GYRO_MARGIN, set_drive_ratio, set_rotor_speed
from scaling.port.snapping import Snap, bolt_keys
from scaling.robot.derived import table_of as _table
from scaling.robot.design import Design
from scaling.robot.parts import Part, mass_at, on_the_shelf, with_material
from scaling.shop.shelves import beyond


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
    _check_port(design, brief)
    names = [part.name for part in design.parts]
    for name in brief.parts:
        if name not in names:
            raise InputError("the design has no such part", brief.file, f"parts.{name}", allowed=", ".join(names))
    changed = tuple(_changed(part, brief) for part in design.parts)
    return tuple(on_the_shelf(part, brief.stock) for part in changed) if brief.snap else changed


def _check_port(design: Design, brief: Brief) -> None:
    """Raise InputError for a key of ``[port]`` that the port could not have, or that something else decides."""
    decided = {
        "mass": "the mass is the sum of the parts: change a part",
        "mass_limit": "state mass_limit before the first table",
        "rotor.speed": "the speed rule of each law sets it",
    }
    for key, word in design.choices.items():
        if key.endswith(".part"):
            for name in ("thickness", "material"):
                decided[f"{_table(key)}.{name}"] = f'it is that of the part: change [parts."{word}"]'
    for key in (*brief.numbers, *brief.words):
        if key in decided:
            raise InputError("this is decided elsewhere", brief.file, f"port.{key}", hint=decided[key])
        if key in brief.words and _table(key) not in tables_of(design):
            raise InputError(
                "the design does not have this, so the port cannot", brief.file, f"port.{key}",
                hint="state it in the design file first",
            )


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


def length_key(design: Design, request: LawRequest) -> str:
    """Return the key of the length that the length law or the motor-diameter law compares."""
    if request.law != "motor-diameter":
        return request.key or "length"
    return "rotor.motor.diameter" if "rotor.motor.diameter" in design.variables else "drive.motor.diameter"


def law_factor(design: Design, brief: Brief, request: LawRequest, parts: tuple[Part, ...]) -> Closure:
    """The factor that a law fixes, or the reason why there is none; raises InputError where it lacks what it needs."""
    if request.law == "mass":
        return close_mass(lambda factor: float(mass_at(parts, factor)), brief.mass_limit - brief.mass_margin)
    key = length_key(design, request)
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


def inputs_at(design: Design, brief: Brief, request: LawRequest, parts: tuple[Part, ...], factor: Any) -> Inputs:
    """Every variable of the port at ``factor``, by the similar machine, the brief and the rules."""
    factor = np.asarray(factor, dtype=float)
    values, powers = similar(design, brief, factor)
    snaps = set_stock(values, powers, design, brief) if brief.snap else []
    snaps += part_snaps(parts, factor)
    set_own_parts(values, powers, design, parts, factor)
    set_masses(values, powers, design, brief, parts, factor)
    set_rotor_inertia(values, powers, design, brief)
    derive_again(values, powers, design, brief, parts)
    set_reference_margin(values, powers, design)
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
    return replace(brief, snap=False, numbers={**brief.numbers, **pinned}, pinned=frozenset(pinned)), held
