"""What is wrong with a port: each problem a code, a sentence and the number, never silent."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scaling.book.entry import Validity
from scaling.files.units import format_number, format_value
from scaling.formulas import book
from scaling.robot.kinds import KINDS

if TYPE_CHECKING:
    from scaling.port.brief import Brief
    from scaling.robot.design import Design
    from scaling.robot.parts import Part


@dataclass(frozen=True)
class Problem:
    """One thing that the builder should know of a port, for programs (``code``) and people (``text``).

    ``about`` names the quantity that it is about and ``value`` its value, where it is about one: tables
    put such problems of several ports into one row.
    """

    code: str
    text: str
    about: str | None = None
    value: float | None = None


CODES: dict[str, str] = {
    "no_factor": "no factor meets the mass limit",
    "mass_over_limit": "the port is heavier than the limit less the margin",
    "size_over_limit": "a dimension is beyond the size limit",
    "limit_passed": "a bound that the brief sets is passed",
    "target_lighter": "the mass limit is below the reference's mass",
    "speed_unreachable": "the motor does not reach the speed that the rule asks for",
    "gyro_margin_undefined": "there is no gyro margin to hold",
    "motor_over_current": "a motor needs more than its current limit",
    "pack_brown_out": "the pack sags below its cut-off",
    "pack_over_current": "the pack is asked for more than its rated current",
    "pack_too_small": "a match of the stated duty needs more than the pack holds",
    "off_the_shelf": "a shelf has no size in the direction asked for",
    "strength_passed": "a stress is above the material's strength",
    "strength_passed_alike": "a stress is above the material's strength, as on the reference",
    "not_computed": "a quantity of the reference cannot be computed for the port",
    "bought_part_assumed": "a bought part's mass at the port is not stated",
    "outside_valid_range": "a formula is used outside the range where it is good",
    "outside_valid_range_alike": "a formula is used outside its range, as on the reference",
}
"""Every code and what it means, the gravest first: the order in which a port's problems stand."""

ALIKE = 0.05
"""A margin within this share of the reference's, or above it, counts as like the reference."""

ALIKE_CODE = "_alike"
"""Codes that end so are of what the reference has as well."""

NAMED = 6
"""Quantities named in a sentence before the rest is only counted."""



def in_order(problems: list[Problem]) -> tuple[Problem, ...]:
    """Return ``problems`` with the gravest codes first."""
    order = list(CODES)
    return tuple(sorted(problems, key=lambda problem: order.index(problem.code)))


def mass_problems(design: Design, brief: Brief, mass: float) -> list[Problem]:
    """Mass against the limit and the reference."""
    allowed = brief.allowed_mass
    found: list[Problem] = []
    if brief.mass_limit < design.variables["mass"]:
        found.append(
            Problem(
                "target_lighter",
                f"The mass limit of {format_value(brief.mass_limit, 'kg', 4)} is below the "
                f"reference's {format_value(design.variables['mass'], 'kg', 4)}: this port goes down a class.",
            )
        )
    if mass > allowed * (1 + 1e-9):
        found.append(
            Problem(
                "mass_over_limit",
                f"The port weighs {format_value(mass, 'kg', 4)}, {format_value(mass - allowed, 'kg', 3)} more than the "
                f"{format_value(allowed, 'kg', 4)} that the limit less the margin allows.",
            )
        )
    return found


def limit_problems(brief: Brief, values: Mapping[str, float]) -> list[Problem]:
    """The brief's own bounds on quantities and variables."""
    found: list[Problem] = []
    for name, bound in brief.limits.items():
        value = values.get(name)
        if value is None or bound.holds(value):
            continue
        entry = book.quantities.get(name) or book.variables[name]
        side = "above the most" if bound.side == "at most" else "below the least"
        found.append(Problem("limit_passed", f"{name} is {format_value(value, entry.unit, 4)}, {side} that the brief "
                             f"allows, {bound.text}.", name, value))
    return found


def size_problems(brief: Brief, variables: Mapping[str, float]) -> list[Problem]:
    """Envelope against the class's box."""
    return [
        Problem(
            "size_over_limit",
            f"The {key} of {format_value(variables[key], 'm', 4)} is "
            f"{format_value(variables[key] - limit, 'm', 3)} over the size limit of {format_value(limit, 'm', 4)}.",
        )
        for key, limit in brief.size_limit.items()
        if variables[key] > limit * (1 + 1e-9)
    ]


def bought_problems(brief: Brief, parts: tuple[Part, ...]) -> list[Problem]:
    """Bought parts whose mass at the port the brief does not give."""
    assumed = [part.name for part in parts if KINDS[part.kind].assumed]
    if not assumed:
        return []
    return [
        Problem(
            "bought_part_assumed",
            f"The brief gives no mass at the port for what is bought ({', '.join(assumed)}): "
            "taken as a similar product, factor³ of the reference's.",
        )
    ]


def value_problems(
    variables: Mapping[str, float], values: Mapping[str, float], reference: Mapping[str, float]
) -> list[Problem]:
    """What the computed quantities say: speed, current, pack, strength and the formulas' own ranges."""
    found = [*_speed(values), *_current(variables, values), *_pack(values)]
    found += _strength(values, reference)
    found += _ranges({**variables, **values}, reference)
    missing = [name for name in reference if name not in values]
    if missing:
        labels = ", ".join(book.quantities[name].label for name in missing[:NAMED])
        more = f" and {len(missing) - NAMED} more" if len(missing) > NAMED else ""
        found.append(Problem("not_computed", f"Not computed for this port: {labels}{more}."))
    return found


def _speed(values: Mapping[str, float]) -> list[Problem]:
    speed, reached = values.get("rotor_speed"), values.get("rotor_speed_as_motored")
    if speed is None or reached is None or speed <= reached * (1 + 1e-6):
        return []
    return [
        Problem(
            "speed_unreachable",
            f"The rule asks for {format_value(speed, 'rad/s', 4)} and the motor reaches "
            f"{format_value(reached, 'rad/s', 4)}, {format_number(100 * (1 - reached / speed), 2)} % short: "
            "what depends on reaching the speed is absent.",
        )
    ]


def _current(variables: Mapping[str, float], values: Mapping[str, float]) -> list[Problem]:
    found: list[Problem] = []
    steady, limit = values.get("rotor_steady_current"), variables.get("rotor.motor.current_limit")
    if steady is not None and limit is not None and steady > limit:
        found.append(
            Problem(
                "motor_over_current",
                f"The rotor's motor needs {format_value(steady, 'A')} at full speed, "
                f"above its limit of {format_value(limit, 'A')}.",
            )
        )
    return found


def _pack(values: Mapping[str, float]) -> list[Problem]:
    found: list[Problem] = []
    brown_out, energy = values.get("brown_out_margin"), values.get("match_energy_margin")
    if brown_out is not None and brown_out < 1:
        found.append(
            Problem(
                "pack_brown_out",
                "With rotor and drive flat out together the pack sags to "
                f"{format_number(brown_out)} of its cut-off voltage.",
            )
        )
    rated = values.get("pack_current_margin")
    if rated is not None and rated < 1:
        found.append(
            Problem("pack_over_current", f"The pack's rated current is {format_number(rated)} of the peak asked of it.")
        )
    if energy is not None and energy < 1:
        found.append(
            Problem(
                "pack_too_small",
                f"The pack holds {format_number(energy)} of the energy that a match of the stated duty needs.",
            )
        )
    return found


def _strength(values: Mapping[str, float], reference: Mapping[str, float]) -> list[Problem]:
    found: list[Problem] = []
    for name in book.of_role("survival", among=values):
        entry, value, own = book.quantities[name], values[name], reference.get(name)
        if value >= 1:
            continue
        beside = "" if own is None else f", the reference's {format_number(own)}"
        known = own is not None and value >= own * (1 - ALIKE)
        found.append(
            Problem(
                "strength_passed_alike" if known else "strength_passed",
                f"{entry.label} is {format_number(value)}{beside}: below 1 the estimate says that it yields, breaks or "
                f"softens{', as it does on the reference' if known else ''}.",
                name,
                value,
            )
        )
    return found


def _ranges(values: Mapping[str, float], reference: Mapping[str, float]) -> list[Problem]:
    """One problem a broken range, naming every quantity that rests on it."""
    broken: dict[Validity, list[str]] = {}
    for name in values:
        entry = book.quantities.get(name)
        for valid in entry.valid if entry else ():
            if entry is not None and _breaks(valid, values):
                broken.setdefault(valid, []).append(entry.label)
    found: list[Problem] = []
    for valid, labels in broken.items():
        label = book.quantities[valid.of].label if valid.of in book.quantities else valid.of
        at = values[valid.of]
        text = f"{label} is {format_number(at)}, but {valid.sentence}. Rests on it: {', '.join(labels)}."
        code = "outside_valid_range_alike" if _breaks(valid, reference) else "outside_valid_range"
        found.append(Problem(code, text, valid.of, at))
    return found


def _breaks(valid: Validity, values: Mapping[str, float]) -> bool:
    at = values.get(valid.of)
    return at is not None and not valid.low <= at <= valid.high
