"""What is wrong with a port: mass, size, speed, current, pack, strength and the formulas' ranges, never silent."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from scaling.book.entry import Quantity, Validity
from scaling.book.told_apart import told_apart
from scaling.formulas import book
from scaling.robot.kinds import KINDS
from scaling.study.problem import Problem
from scaling.study.reach import beyond_reach, only_if_reached

if TYPE_CHECKING:
    from scaling.port.brief import Brief
    from scaling.robot.design import Design
    from scaling.robot.parts import Part


ALIKE = 0.05
"""A margin within this share of the reference's, or above it, counts as like the reference."""


def mass_problems(design: Design, brief: Brief, mass: float) -> list[Problem]:
    """Mass against the limit and the reference."""
    own, allowed = design.variables["mass"], brief.allowed_mass
    found: list[Problem] = []
    if brief.mass_limit < own:
        down = "this port goes down a class"
        found.append(Problem("target_lighter", down, "mass_limit", brief.mass_limit, limit=own))
    if mass > allowed * (1 + 1e-9):
        found.append(Problem("mass_over_limit", "", "total_mass", mass, limit=allowed))
    return found


def limit_problems(brief: Brief, values: Mapping[str, float]) -> list[Problem]:
    """The brief's own bounds on quantities and variables."""
    found: list[Problem] = []
    for name, bound in brief.limits.items():
        value = values.get(name)
        if value is None or bound.holds(value):
            continue
        found.append(Problem("limit_passed", "", name, value, limit=bound.value))
    return found


def size_problems(brief: Brief, variables: Mapping[str, float]) -> list[Problem]:
    """Envelope against the class's box."""
    return [
        Problem("size_over_limit", "", key, variables[key], limit=limit)
        for key, limit in brief.size_limit.items()
        if variables[key] > limit * (1 + 1e-9)
    ]


def bought_problems(brief: Brief, parts: tuple[Part, ...]) -> list[Problem]:
    """Bought parts whose mass at the port the brief does not give."""
    assumed = [part.name for part in parts if KINDS[part.kind].assumed]
    if not assumed:
        return []
    return [Problem("bought_part_assumed", f"Mass not stated, taken as factor³: {', '.join(assumed)}")]


def value_problems(
    variables: Mapping[str, float],
    values: Mapping[str, float],
    reference: Mapping[str, float],
    traits: frozenset[str],
) -> list[Problem]:
    """What the computed quantities say: speed, current, pack, strength, margins and the formulas' own ranges."""
    found = [*speed_problems(values, reference), *_current(variables, values, reference)]
    found += [*_pack(values, reference), *_strength(values, reference)]
    found += _margins(values, reference, {problem.about for problem in found})
    found += _ranges(book.counted(traits, variables), values, reference)
    hollow = only_if_reached(values, reference, traits, variables)
    found = [replace(each, if_reached=each.about in hollow and each.code != "speed_unreachable") for each in found]
    missing = tuple(name for name in reference if name not in values)
    return found + ([Problem("not_computed", rests_on=missing)] if missing else [])


def speed_problems(values: Mapping[str, float], reference: Mapping[str, float]) -> list[Problem]:
    """The rotor's speed against what its motor reaches."""
    reached = beyond_reach(values, reference)
    if reached is None:
        return []
    own = reference.get("rotor_speed")
    return [Problem("speed_unreachable", "", "rotor_speed", values["rotor_speed"], own, reached)]


def _current(
    variables: Mapping[str, float], values: Mapping[str, float], reference: Mapping[str, float]
) -> list[Problem]:
    name = "rotor_drag_current"
    steady, limit = values.get(name), variables.get("rotor.motor.current_limit")
    if steady is None or limit is None or steady <= limit:
        return []
    return [Problem("motor_over_current", "", name, steady, reference.get(name), limit)]


PACK_MARGINS = {
    "pack_brown_out": "brown_out_margin",
    "pack_over_current": "pack_current_margin",
    "pack_too_small": "match_energy_margin",
}
"""Margins of the pack, by the code of what it is when one is below 1."""


def _pack(values: Mapping[str, float], reference: Mapping[str, float]) -> list[Problem]:
    return [
        Problem(code, "", name, values[name], reference.get(name), 1.0)
        for code, name in PACK_MARGINS.items()
        if told_apart(values.get(name, 1.0)) < 1
    ]


def _strength(values: Mapping[str, float], reference: Mapping[str, float]) -> list[Problem]:
    found: list[Problem] = []
    for name in book.of_role("survival", among=values):
        value, own = values[name], reference.get(name)
        if told_apart(value) >= 1:
            continue
        known = own is not None and value >= own * (1 - ALIKE)
        found.append(Problem("strength_passed_alike" if known else "strength_passed", "", name, value, own, 1.0))
    return found


def _margins(
    values: Mapping[str, float], reference: Mapping[str, float], told: Collection[str | None]
) -> list[Problem]:
    """Every other margin that the reference has and the port has not."""
    return [
        Problem("margin_passed", "", name, values[name], reference[name], 1.0)
        for name in book.margins
        if name not in told and told_apart(reference.get(name, 0.0)) >= 1 > told_apart(values.get(name, 1.0))
    ]


def beyond_range(counted: Mapping[str, Quantity], values: Mapping[str, float]) -> dict[Validity, tuple[str, ...]]:
    """Return every range that is broken of the entries that count, with the quantities that rest on it."""
    broken: dict[Validity, tuple[str, ...]] = {}
    for name, entry in counted.items():
        for valid in entry.valid:
            if name in values and _breaks(valid, values):
                broken[valid] = (*broken.get(valid, ()), name)
    return broken


def _ranges(
    counted: Mapping[str, Quantity], values: Mapping[str, float], reference: Mapping[str, float]
) -> list[Problem]:
    """One problem a broken range, naming every quantity that rests on it."""
    found: list[Problem] = []
    for valid, names in beyond_range(counted, values).items():
        at = values[valid.of]
        code = "outside_valid_range_alike" if _breaks(valid, reference) else "outside_valid_range"
        limit = valid.high if at > valid.high else valid.low
        found.append(Problem(code, valid.sentence, valid.of, at, reference.get(valid.of), limit, names))
    return found


def _breaks(valid: Validity, values: Mapping[str, float]) -> bool:
    at = values.get(valid.of)
    return at is not None and not valid.low <= told_apart(at) <= valid.high  # what is at the end is within
