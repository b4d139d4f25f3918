"""What the speed rules and drive rules do: they set the rotor's speed and the drive's ratio of a port."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from scaling.book.entry import Array
from scaling.formulas import book
from scaling.port.brief import LawRequest
from scaling.robot.design import Design

SPEED_POWERS = {
    "hold-rpm": Fraction(0),
    "hold-tip-speed": Fraction(-1),
    "gravity-similar": Fraction(-1, 2),
}
DRIVE_POWERS = {"hold-speed": Fraction(0), "gravity-similar": Fraction(1, 2)}
"""Powers of the factor that a rule gives to the rotor's speed, or to the top speed, by itself."""


NO_GYRO_MARGIN = (
    "gyro_margin_undefined",
    "Only a rotor across the machine, with a drive whose top turn rate is known, has a gyro margin to hold.",
)
"""The problem of a port that is to hold a gyro margin which its robot does not have."""


def set_drive_ratio(
    values: dict[str, Any],
    powers: dict[str, Fraction | None],
    design: Design,
    request: LawRequest,
    factor: Array,
) -> None:
    """Top speed goes as 1 over the ratio, so a wanted top speed gives the ratio at once."""
    if request.drive_rule == "as-bought" or "battery.voltage" not in values:
        return
    wanted = DRIVE_POWERS[request.drive_rule]
    reference = book.evaluate(design.variables, design.traits, only=["top_speed"])["top_speed"]
    bought = book.evaluate(values, design.traits, only=["top_speed"])["top_speed"]
    speed_power = _power("top_speed", powers, design)
    values["drive.ratio"] = values["drive.ratio"] * bought / (reference * factor ** float(wanted))
    ratio_power = powers["drive.ratio"]
    known = speed_power is not None and ratio_power is not None
    powers["drive.ratio"] = ratio_power + speed_power - wanted if known else None  # type: ignore[operator]


def _power(name: str, powers: dict[str, Fraction | None], design: Design) -> Fraction | None:
    return book.powers(powers, design.traits, only=[name]).get(name)


def set_rotor_speed(
    values: dict[str, Any],
    powers: dict[str, Fraction | None],
    design: Design,
    request: LawRequest,
    factor: Array,
    problems: list[tuple[str, str]],
) -> None:
    """Set the rotor's speed by the speed rule, and the power that it follows.

    Where the rule has no speed to give, the speed is taken out and ``problems`` says why.
    """
    reference = design.variables["rotor.speed"]
    rule = request.speed_rule or "hold-tip-speed"
    if rule == "as-motored":
        reached = book.evaluate(values, design.traits, only=["rotor_speed_as_motored"]).get("rotor_speed_as_motored")
        if reached is None:
            problems.append(
                (
                    "speed_unreachable",
                    "The design states no rotor motor or no pack, so the speed that it reaches cannot be computed.",
                )
            )
            del values["rotor.speed"], powers["rotor.speed"]
            return
        values["rotor.speed"] = reached * measured_share(design)
        powers["rotor.speed"] = _power("rotor_speed_as_motored", powers, design)
        return
    if rule == "hold-gyro-margin":
        _hold_gyro_margin(values, powers, design, problems)
    elif rule == "hold-tip-speed":
        values["rotor.speed"] = reference * design.variables["rotor.diameter"] / values["rotor.diameter"]
        size_power = powers["rotor.diameter"]
        powers["rotor.speed"] = None if size_power is None else -size_power
    else:
        values["rotor.speed"] = reference * factor ** float(SPEED_POWERS[rule])
        powers["rotor.speed"] = SPEED_POWERS[rule]


def measured_share(design: Design) -> float:
    """The reference's measured rotor speed over what its motor should reach; 1 where none is measured."""
    if "rotor.speed" not in design.stated:
        return 1.0
    own = book.evaluate(design.variables, design.traits, only=["rotor_speed_as_motored"])["rotor_speed_as_motored"]
    return float(design.variables["rotor.speed"] / own)


def _hold_gyro_margin(
    values: dict[str, Any], powers: dict[str, Fraction | None], design: Design, problems: list[tuple[str, str]]
) -> None:
    """The margin goes as 1 over the rotor's speed, so the margin at the reference's speed gives the speed."""
    values["rotor.speed"] = design.variables["rotor.speed"]
    powers["rotor.speed"] = Fraction(0)
    kept = book.evaluate(design.variables, design.traits, only=["gyro_margin"]).get("gyro_margin")
    found = book.evaluate(values, design.traits, only=["gyro_margin"]).get("gyro_margin")
    if kept is None or found is None:
        problems.append(NO_GYRO_MARGIN)
        del values["rotor.speed"], powers["rotor.speed"]
        return
    values["rotor.speed"] = design.variables["rotor.speed"] * found / kept
    powers["rotor.speed"] = _power("gyro_margin", powers, design)


def pure_inputs(speed_rule: str, drive_rule: str, traits: frozenset[str]) -> dict[str, Fraction | None]:
    """Powers of every variable when all parts are solid, of one density, and the law is pure.

    As-motored is taken without air drag, whose Reynolds number follows no such law; a similar motor
    then turns at 1 over the factor.
    """
    powers: dict[str, Fraction | None] = {
        key: Fraction(variable.length_power) for key, variable in book.variables.items()
    }
    top_speed = book.powers(powers, traits, only=["top_speed"])["top_speed"]
    if drive_rule != "as-bought" and top_speed is not None:
        powers["drive.ratio"] = top_speed - DRIVE_POWERS[drive_rule]
    if speed_rule == "as-motored":
        powers["rotor.speed"] = Fraction(-1)
    elif speed_rule == "hold-gyro-margin":
        powers["rotor.speed"] = Fraction(0)
        powers["rotor.speed"] = book.powers(powers, traits, only=["gyro_margin"]).get("gyro_margin")
    else:
        powers["rotor.speed"] = SPEED_POWERS[speed_rule]
    return powers
