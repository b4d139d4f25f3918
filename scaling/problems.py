"""What is wrong with a port: each problem a code, a sentence and the number, never silent."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scaling.formulas import book
from scaling.units import format_number, format_value

if TYPE_CHECKING:
    from scaling.brief import Brief
    from scaling.design import Design
    from scaling.parts import Part


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
    "target_lighter": "the mass limit is below the reference's mass",
    "speed_unreachable": "the motor does not reach the speed that the rule asks for",
    "gyro_margin_undefined": "there is no gyro margin to hold",
    "motor_over_current": "a motor needs more than its current limit",
    "pack_brown_out": "the pack sags below its cut-off",
    "pack_too_small": "a match of the stated duty needs more than the pack holds",
    "off_the_shelf": "a shelf has no size in the direction asked for",
    "strength_passed": "a stress is above the material's strength",
    "not_computed": "a quantity of the reference cannot be computed for the port",
    "bought_part_assumed": "a bought part's mass at the port is not stated",
    "outside_valid_range": "a formula is used outside the range where it is good",
}
"""Every code and what it means, the gravest first: the order in which a port's problems stand."""

STRENGTH_BRANCHES = ("rotor", "structure", "joints", "transmission")
NAMED = 6
"""Quantities named in a sentence before the rest is only counted."""

NOT_STRENGTH = ("rotor_steady_current_margin",)


def in_order(problems: list[Problem]) -> tuple[Problem, ...]:
    """Return ``problems`` with the gravest codes first."""
    order = list(CODES)
    return tuple(sorted(problems, key=lambda problem: order.index(problem.code)))


def mass_problems(design: Design, brief: Brief, mass: float) -> list[Problem]:
    """Mass against the limit and the reference."""
    allowed = brief.mass_limit - brief.mass_margin
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
    assumed = [part.name for part in parts if part.kind == "bought"]
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
    found += _ranges({**variables, **values})
    missing = [name for name in reference if name not in values]
    if missing:
        labels = ", ".join(book.quantities()[name].label for name in missing[:NAMED])
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
    for name, value in values.items():
        entry = book.quantities()[name]
        if not name.endswith("_margin") or entry.branch not in STRENGTH_BRANCHES or name in NOT_STRENGTH or value >= 1:
            continue
        own = f" (reference {format_number(reference[name])})" if name in reference else ""
        found.append(
            Problem(
                "strength_passed",
                f"{entry.label} is {format_number(value)}{own}: below 1 the elastic "
                "estimate says that it yields or breaks.",
                name,
                value,
            )
        )
    return found


def _ranges(values: Mapping[str, float]) -> list[Problem]:
    """One problem a broken range, naming every quantity that rests on it."""
    broken: dict[tuple[str, str], list[str]] = {}
    for name in values:
        entry = book.quantities().get(name)
        for valid in entry.valid if entry else ():
            at = values.get(valid.of)
            if entry is not None and at is not None and not valid.low <= at <= valid.high:
                broken.setdefault((valid.of, valid.sentence), []).append(entry.label)
    found: list[Problem] = []
    for (of, sentence), labels in broken.items():
        label = book.quantities()[of].label if of in book.quantities() else of
        text = f"{label} is {format_number(values[of])}, but {sentence}. Rests on it: {', '.join(labels)}."
        found.append(Problem("outside_valid_range", text, of, values[of]))
    return found
