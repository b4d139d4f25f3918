"""A port: the reference carried to another factor, as the numbers that the formulas are given.

Everything here works on a single factor or on an array of them; each variable comes out as an array of the same shape.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from scaling.files.errors import InputError, Mistakes, nearest
from scaling.files.sentence import listed
from scaling.files.toml import quoted
from scaling.port.asked import AS_BRIEFED, Brief, LawRequest, PartChange, Variation
from scaling.port.carried import (
    margin_of_the_reference,
    masses_of_the_parts,
    one_shape,
    opponent_of_the_class,
    similar_machine,
    sizes_from_the_shelf,
    stated_in_the_brief,
    thicknesses_of_the_parts,
)
from scaling.port.derived_again import derived_again
from scaling.port.freed import levers_pulled, parts_pulled
from scaling.port.inertias import inertias_of_the_rotor
from scaling.port.rules import drive_by_rule, speed_by_rule
from scaling.port.scaled import Inputs, first
from scaling.port.schema import DECIDED
from scaling.port.snapping import bolt_keys
from scaling.port.terms import Step, Terms, tables_of
from scaling.port.tied import bore_to_its_shaft, pack_by_its_mass
from scaling.robot.derived import table_of
from scaling.robot.design import Design
from scaling.robot.kinds import SHEET, STATED
from scaling.robot.own_parts import COUNT_KEYS
from scaling.robot.parts import Part, cut_from, cut_from_each, off_the_shelf, on_the_shelf
from scaling.robot.possible import check_mass_limit

BEFORE: tuple[Step, ...] = (
    similar_machine,
    stated_in_the_brief,
    levers_pulled,
    sizes_from_the_shelf,
    bore_to_its_shaft,
    thicknesses_of_the_parts,
    masses_of_the_parts,
    pack_by_its_mass,
    inertias_of_the_rotor,
    derived_again,
    margin_of_the_reference,
    opponent_of_the_class,
)
"""What makes the machine, whatever its request says of its rules."""

RULES: tuple[Step, ...] = (drive_by_rule, speed_by_rule, one_shape)
"""What the rules of a request make of the machine."""

STEPS: tuple[Step, ...] = (*BEFORE, *RULES)
"""How a port comes about: a similar machine, changed as stated in the brief and where a law frees dimensions, with
sizes from the shelf, the bore that goes with the shaft, thicknesses and masses of the parts, the pack that goes with
its mass, inertias of the rotor, what is derived again from all that, the margin of the reference to compare with, the
opponent of the class, the drive by its rule and the rotor's speed by its rule, all in one shape."""


def inputs_at(
    design: Design,
    brief: Brief,
    request: LawRequest,
    parts: tuple[Part, ...],
    factor: Any,
    variation: Variation = AS_BRIEFED,
) -> Inputs:
    """Return every variable of the port at ``factor``, by the similar machine, the brief and the rules."""
    terms = Terms(design, brief, request, parts, np.asarray(factor, dtype=float), variation)
    return by_rules(before_rules(terms), terms)


def before_rules(terms: Terms) -> Inputs:
    """Return the machine as it is before the rules: what ports that differ in these alone have in common."""
    inputs = Inputs()
    for step in BEFORE:
        inputs = step(inputs, terms)
    return inputs


def by_rules(inputs: Inputs, terms: Terms) -> Inputs:
    """Return what the rules of the request make of a machine."""
    for step in RULES:
        inputs = step(inputs, terms)
    return inputs


def port_parts(design: Design, brief: Brief, variation: Variation = AS_BRIEFED) -> tuple[Part, ...]:
    """Return the design's parts with what the brief says of them, still at the reference's size.

    A part whose mass the brief gives is fixed at it; a sheet whose thickness the brief gives is held
    at that thickness. Raises InputError for a change to a part that the design does not have.
    """
    numbers, mistakes = variation.numbers_of(brief), Mistakes(brief.file)
    limit, file = ("--mass", design.file) if brief.file is None else ("mass_limit", brief.file)
    mistakes.attempt(check_mass_limit, brief.mass_limit, design.variables["mass"], limit, file)
    _check_port(design, brief, numbers, mistakes)
    names = dict.fromkeys(part.name for part in design.parts)
    for name in brief.parts:
        if name not in names:
            mistakes.add(InputError("the design has no such part", key=f"parts.{quoted(name)}",
                                    allowed=listed(names), hint=nearest(name, names)))
    found = [mistakes.attempt(_changed, part, brief, variation, numbers) for part in design.parts]
    mistakes.settle()
    changed = parts_pulled(tuple(part for part in found if part is not None), design, brief, variation.levers)
    shelves = variation.shelves_of(design, brief)
    return changed if shelves is None else tuple(on_the_shelf(part, shelves) for part in changed)


def _check_port(design: Design, brief: Brief, numbers: Mapping[str, Any], mistakes: Mistakes) -> None:
    """Keep keys of ``[port]`` that the port could not have, or that something else decides."""
    decided = dict(DECIDED)
    for key, word in design.choices.items():
        if key.endswith(".part"):
            for name in ("thickness", "material"):
                decided[f"{table_of(key)}.{name}"] = f'it is that of the part: change [parts."{word}"]'
    tables = tables_of(design)
    for key in (*numbers, *brief.words):
        if key in decided:
            mistakes.add(InputError("this is decided elsewhere", key=f"port.{key}", hint=decided[key]))
        elif (key in brief.words and table_of(key) not in tables) or (key in numbers and key not in design.variables):
            mistakes.add(InputError("the design does not have this, so the port cannot", key=f"port.{key}",
                                    hint="state it in the design file first"))
        elif key.endswith((".bolt", ".bolt_class")) and f"{table_of(key)}.bolt" not in design.choices:
            mistakes.add(InputError("the design has no such bolts", key=f"port.{key}", hint="state them there"))
        elif key in brief.words:
            mistakes.attempt(design.shelves.checked, key, brief.words[key], f"port.{key}")


def _changed(part: Part, brief: Brief, variation: Variation, numbers: Mapping[str, Any]) -> Part:
    change = brief.parts.get(part.name, PartChange())
    part = _cut(part, change, brief, variation)
    if change.kind is not None:
        part = replace(part, kind=change.kind)
    if change.thickness_rule is not None:
        part = replace(part, thickness_rule=change.thickness_rule)
    if change.thickness is not None:
        if part.thickness is None:
            raise InputError(
                "only a part with a thickness can be given another", brief.file, f"parts.{part.name}.thickness",
                hint="state its mass, or another kind of part",
            )
        part = replace(
            part,
            kind=SHEET,
            thickness=change.thickness,
            thickness_rule="hold",
            mass=part.mass * change.thickness / part.thickness,
        )
    count = change.count or int(numbers.get(COUNT_KEYS.get(part.key or "", ""), part.count))
    mass = change.mass if change.mass is not None else numbers.get(part.key or "")
    if mass is not None:
        part = replace(part, kind=STATED, mass=mass)
    return replace(part, count=count)


def _cut(part: Part, change: PartChange, brief: Brief, variation: Variation) -> Part:
    """The part in the material that it has at the port, or in each of those that are tried."""
    if part.name in variation.materials:
        return cut_from_each(part, *variation.materials[part.name])
    new = change.material or (brief.words.get(f"{table_of(part.key)}.material") if part.key else None)
    if new is None and part.material is not None:
        new = brief.swaps.get(part.material)
    return part if new is None or new == part.material else cut_from(part, new)


def on_the_step(
    parts: tuple[Part, ...], inputs: Inputs, factor: float, variation: Variation = AS_BRIEFED
) -> tuple[Variation, tuple[Part, ...]]:
    """Return what holds every snapped size as it is, and the parts so: how the port follows the factor within a step.

    ``inputs`` are those of the port at ``factor``, a single one, by its ``variation``. A slope across the jump between
    two sizes would say nothing.
    """
    names = {snap.name for snap in inputs.snaps}
    for snap in inputs.snaps:
        if snap.shelf == "bolt":
            names |= {*bolt_keys(table_of(snap.name)), f"{table_of(snap.name)}.torque"}
    held = {key: first(value) for key, value in inputs.variables.items() if key in names}
    return replace(variation, held=held, snapped=False), tuple(_held(part, factor) for part in parts)


def _held(part: Part, factor: float) -> Part:
    """A sheet from a shelf, held at the thickness that it has at the factor."""
    if not part.sold or not part.thickness:
        return part
    now = first(part.thickness_at(factor))
    mass = part.mass * now / part.thickness
    return replace(off_the_shelf(part), mass=mass, thickness=now, thickness_rule="hold")
