"""Speed rules set the rotor's speed, drive rules what the drive does. Each is one record: its sentence and its work."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from scaling.formulas import book
from scaling.port.scaled import Inputs, Remark, Scaled, product
from scaling.port.terms import Step, Terms, of_the_reference
from scaling.robot.design import Design

Powers = Mapping[str, Fraction | None]
PurePower = Callable[[Powers, frozenset[str]], Fraction | None]
"""From the powers of a pure law's variables and a design's traits to the power that the rule gives."""

NO_GYRO_MARGIN = Remark(
    "gyro_margin_undefined",
    "Only a rotor across the machine, with a drive whose top turn rate is known, has a gyro margin to hold.",
)
"""The problem of a port that is to hold a gyro margin which its robot does not have."""

NO_MOTOR = Remark(
    "speed_unreachable",
    "The design states no rotor motor or no pack, so the speed that it reaches cannot be computed.",
)
"""The problem of a port that is to turn as its motor does, without one."""


@dataclass(frozen=True)
class SpeedRule:
    """One speed rule: ``set_speed`` is its step, and ``pure`` the power of the rotor's speed in a pure law.

    A robot ``without_rotor`` has no speed to set, which is a problem where the rule is about something else as well.
    """

    name: str
    sentence: str
    set_speed: Step
    pure: PurePower
    without_rotor: Remark | None = None

    def __str__(self) -> str:
        return self.sentence


@dataclass(frozen=True)
class DriveRule:
    """One drive rule: ``set_ratio`` is its step, and ``pure`` the power of the drive's ratio in a pure law."""

    name: str
    sentence: str
    set_ratio: Step
    pure: PurePower

    def __str__(self) -> str:
        return self.sentence


def speed_by_rule(inputs: Inputs, terms: Terms) -> Inputs:
    """Set the rotor's speed by the speed rule; where the rule has none to give, take it out and say why."""
    if terms.design.has_rotor:
        found = SPEED_RULES[terms.request.speed_rule or USUAL_SPEED_RULE].set_speed(inputs, terms)
        ratio = terms.variation.levers.get("rotor.speed")
        if ratio is None:
            return found
        return found.having(_speed(found["rotor.speed"].value * ratio, found["rotor.speed"].power))
    rule = SPEED_RULES.get(terms.request.speed_rule or "")
    return inputs.noting(rule.without_rotor) if rule is not None and rule.without_rotor is not None else inputs


def drive_by_rule(inputs: Inputs, terms: Terms) -> Inputs:
    """Set the drive's ratio by the drive rule."""
    return DRIVE_RULES[terms.request.drive_rule or USUAL_DRIVE_RULE].set_ratio(inputs, terms)


NO_LOAD = frozenset({"rotor.motor.no_load_current", "drive.motor.no_load_current"})
"""What a pure law leaves out, as it does air drag: a similar motor's goes as the factor's square, and with it the speed
that the motor reaches would follow no single power."""


def pure_powers(
    of: Powers, traits: frozenset[str], only: Sequence[str] | None = None
) -> dict[str, Fraction | None]:
    """Powers of quantities under a pure law, those of its variables given: motors without a no-load current."""
    return book.powers(of, traits, only, without=NO_LOAD)


def pure_inputs(speed_rule: str, drive_rule: str, traits: frozenset[str]) -> dict[str, Fraction | None]:
    """Powers of every variable when all parts are solid, of one density, and the law is pure."""
    powers: dict[str, Fraction | None] = {
        key: Fraction(variable.length_power) for key, variable in book.variables.items()
    }
    powers["drive.ratio"] = DRIVE_RULES[drive_rule].pure(powers, traits)
    powers["rotor.speed"] = SPEED_RULES[speed_rule].pure(powers, traits)
    return powers


def measured_share(design: Design) -> float:
    """The reference's measured rotor speed over what its motor should reach; 1 where none is measured."""
    if "rotor.speed" not in design.stated:
        return 1.0
    own = of_the_reference(design, "rotor_speed_as_motored")
    return 1.0 if own is None else design.variables["rotor.speed"] / own


def _power(name: str, inputs: Inputs, design: Design) -> Fraction | None:
    return book.powers(inputs.powers, design.traits, only=[name]).get(name)


def _speed(value: object, power: Fraction | None) -> dict[str, Scaled]:
    return {"rotor.speed": Scaled(value, power)}


def _speed_follows(power: Fraction) -> Step:
    """The step of a rule whose speed is the reference's times a power of the factor."""

    def step(inputs: Inputs, terms: Terms) -> Inputs:
        reference = terms.design.variables["rotor.speed"]
        return inputs.having(_speed(reference * terms.factor ** float(power), power))

    return step


def _hold_tip_speed(inputs: Inputs, terms: Terms) -> Inputs:
    own, size = terms.design.variables, inputs["rotor.diameter"]
    speed = own["rotor.speed"] * own["rotor.diameter"] / size.value
    return inputs.having(_speed(speed, product((size.power, -1))))


def _hold_gyro_margin(inputs: Inputs, terms: Terms) -> Inputs:
    """The margin goes as 1 over the rotor's speed, so the margin at the reference's speed gives the speed."""
    design = terms.design
    reference = design.variables["rotor.speed"]
    alike = inputs.having(_speed(reference, Fraction(0)))
    kept = of_the_reference(design, "gyro_margin")
    found = book.evaluate(alike.variables, design.traits, only=["gyro_margin"]).get("gyro_margin")
    if kept is None or found is None:
        return inputs.without("rotor.speed", NO_GYRO_MARGIN)
    return inputs.having(_speed(reference * found / kept, _power("gyro_margin", alike, design)))


def _pure_gyro_margin(powers: Powers, traits: frozenset[str]) -> Fraction | None:
    alike = {**powers, "rotor.speed": Fraction(0)}
    return pure_powers(alike, traits, only=["gyro_margin"]).get("gyro_margin")


def _as_motored(inputs: Inputs, terms: Terms) -> Inputs:
    name = "rotor_speed_as_motored"
    reached = book.evaluate(inputs.variables, terms.design.traits, only=[name]).get(name)
    if reached is None:
        return inputs.without("rotor.speed", NO_MOTOR)
    return inputs.having(_speed(reached * measured_share(terms.design), _power(name, inputs, terms.design)))


def _always(power: Fraction) -> PurePower:
    return lambda _powers, _traits: power


def _as_bought(inputs: Inputs, _terms: Terms) -> Inputs:
    return inputs


def _top_speed_follows(wanted: Fraction) -> Step:
    """The step of a rule for a wanted top speed, which goes as 1 over the ratio and so gives the ratio at once."""

    def step(inputs: Inputs, terms: Terms) -> Inputs:
        design = terms.design
        reference = of_the_reference(design, "top_speed")
        if reference is None or "battery.voltage" not in inputs:
            return inputs
        bought = book.evaluate(inputs.variables, design.traits, only=["top_speed"])["top_speed"]
        ratio = inputs["drive.ratio"]
        power = product((ratio.power, 1), (_power("top_speed", inputs, design), 1), (wanted, -1))
        value = ratio.value * bought / (reference * terms.factor ** float(wanted))
        return inputs.having({"drive.ratio": Scaled(value, power)})

    return step


def _pure_top_speed(wanted: Fraction) -> PurePower:
    def pure(powers: Powers, traits: frozenset[str]) -> Fraction | None:
        top_speed = pure_powers(powers, traits, only=["top_speed"])["top_speed"]
        return powers["drive.ratio"] if top_speed is None else top_speed - wanted

    return pure


USUAL_SPEED_RULE = "hold-tip-speed"
USUAL_DRIVE_RULE = "as-bought"

SPEED_RULES: dict[str, SpeedRule] = {
    rule.name: rule
    for rule in (
        SpeedRule("hold-rpm", "same rotor speed as the reference", _speed_follows(Fraction(0)), _always(Fraction(0))),
        SpeedRule(
            "hold-tip-speed",
            "same tip speed as the reference, rotor speed as 1 over the diameter",
            _hold_tip_speed,
            _always(Fraction(-1)),
        ),
        SpeedRule(
            "gravity-similar",
            "rotor speed as 1 over the square root of the factor, so that throws look alike",
            _speed_follows(Fraction(-1, 2)),
            _always(Fraction(-1, 2)),
        ),
        SpeedRule(
            "hold-gyro-margin",
            "rotor speed at which lift turn rate over top turn rate is the reference's",
            _hold_gyro_margin,
            _pure_gyro_margin,
            without_rotor=NO_GYRO_MARGIN,
        ),
        SpeedRule(
            "as-motored",
            "what the port's motor, pack voltage under load and ratio give, times what was measured over "
            "what the same sum gives for the reference",
            _as_motored,
            # Without air drag, whose Reynolds number follows no such law, a similar motor turns at 1 over the factor.
            _always(Fraction(-1)),
        ),
    )
}
"""Every speed rule by name. What asks for one reads it here, so that a new rule is one more record."""

DRIVE_RULES: dict[str, DriveRule] = {
    rule.name: rule
    for rule in (
        DriveRule(
            "as-bought",
            "motors, ratio and pack from the brief, else similar machines",
            _as_bought,
            lambda powers, _traits: powers["drive.ratio"],
        ),
        DriveRule(
            "hold-speed",
            "ratio chosen for the reference's top speed",
            _top_speed_follows(Fraction(0)),
            _pure_top_speed(Fraction(0)),
        ),
        DriveRule(
            "gravity-similar",
            "ratio chosen for a top speed that grows as the square root of the factor",
            _top_speed_follows(Fraction(1, 2)),
            _pure_top_speed(Fraction(1, 2)),
        ),
    )
}
"""Every drive rule by name, as the speed rules."""
