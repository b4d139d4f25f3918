"""What no robot can be: numbers of a design file that contradict one another, each rule a row of a table."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from scaling.files.errors import InputError
from scaling.files.units import format_value
from scaling.formulas import book

SLACK = 1e-9
"""What two stated numbers may be apart and still count as equal."""

MOST_PIECES = 100
"""Teeth, cells, wheels, motors or bolts beyond which a count is a slip."""


@dataclass(frozen=True)
class Bound:
    """Of two keys of one dimension: ``key`` is at most (or at least) ``share`` times ``other``, for the ``reason``.

    It counts for designs with every trait of ``when``; where ``other`` is zero it says nothing.
    """

    key: str
    side: Literal["at most", "at least"]
    share: float
    other: str
    reason: str
    when: tuple[str, ...] = ()

    def broken(self, numbers: Mapping[str, float], traits: frozenset[str]) -> bool:
        """Whether a design that states both keys breaks the rule."""
        if self.key not in numbers or not numbers.get(self.other) or not traits.issuperset(self.when):
            return False
        value, bound = numbers[self.key], self.share * numbers[self.other]
        return value > bound * (1 + SLACK) if self.side == "at most" else value < bound * (1 - SLACK)


BOUNDS = (
    Bound("rotor.axle_height", "at least", 0.5, "rotor.diameter", "the rotor cuts the floor", ("rotor.axis=level",)),
    Bound("rotor.axle_height", "at least", 0.5, "rotor.width", "the rotor cuts the floor", ("rotor.axis=upright",)),
    Bound("rotor.tooth_height", "at most", 0.5, "rotor.diameter", "the tooth is higher than the rotor's radius"),
    Bound("rotor.chord", "at most", 1.0, "rotor.diameter", "the bar or wall is wider than the rotor"),
    Bound("rotor.shaft.diameter", "at most", 1.0, "rotor.bore", "the shaft is thicker than the bore that it passes"),
    Bound("rotor.width", "at most", 1.0, "width", "the rotor is wider than the machine", ("rotor.axis=across",)),
    Bound("rotor.width", "at most", 1.0, "length", "the rotor is longer than the machine", ("rotor.axis=along",)),
    Bound("rotor.width", "at most", 1.0, "height", "the rotor is higher than the machine", ("rotor.axis=upright",)),
    Bound("rotor.diameter", "at most", 1.0, "length", "the length over all takes the rotor in", ("rotor.axis=across",)),
    Bound("rotor.diameter", "at most", 1.0, "width", "the width over all takes the rotor in", ("rotor.axis=along",)),
    Bound("wheelbase", "at most", 1.0, "length", "the contacts are farther apart than the machine is long"),
    Bound("wheel.diameter", "at most", 1.0, "length", "the wheel is larger than the machine"),
    Bound("wheel.mass", "at most", 1.0, "mass", "a wheel is heavier than the machine"),
    Bound("wall.length", "at most", 1.0, "length", "the wall is longer than the machine"),
    Bound("rail.length", "at most", 1.0, "length", "the rail is longer than the machine"),
    Bound("arena.length", "at least", 2.0, "length", "the machine has no room to move in the arena"),
    Bound("rotor.motor.shaft.diameter", "at most", 1.0, "rotor.motor.diameter", "the shaft is thicker than its motor"),
    Bound("rotor.mount.hole_diameter", "at most", 2.0, "rotor.mount.edge_distance", "the hole cuts through the edge"),
    Bound("joint.hole_diameter", "at most", 2.0, "joint.edge_distance", "the hole cuts through the edge"),
    Bound("rotor.motor_mount.hole_diameter", "at most", 2.0, "rotor.motor_mount.edge_distance",
          "the hole cuts through the edge"),
    Bound("battery.cell_cut_off", "at most", 1.0, "battery.cell_voltage", "the cell ends above its own voltage"),
)  # fmt: skip


def impossible(numbers: Mapping[str, float], traits: frozenset[str]) -> list[InputError]:
    """Return what a design states that cannot be, one error for each rule that it breaks.

    ``numbers`` are the design's variables (SI) by key and ``traits`` its choices; the errors name keys and no file.
    """
    found = [_refused(rule, numbers) for rule in BOUNDS if rule.broken(numbers, traits)]
    return [*found, *_track(numbers), *_counts_and_angles(numbers)]


def _refused(rule: Bound, numbers: Mapping[str, float]) -> InputError:
    unit = book.variables[rule.key].unit
    bound = format_value(rule.share * numbers[rule.other], unit, 4)
    share = "" if rule.share == 1 else f" ({rule.share:g} times {rule.other})"
    return InputError(
        rule.reason, key=rule.key, given=format_value(numbers[rule.key], unit, 4),
        allowed=f"{rule.side} {bound}{share}", hint=f"mend {rule.key} or {rule.other}",
    )


def _track(numbers: Mapping[str, float]) -> list[InputError]:
    """The track lies within the width over all, save that a tyre's middle may stand a little outside."""
    tyre = numbers.get("wheel.diameter", 0.0) / 4
    most = numbers["width"] + tyre
    if numbers["track"] <= most * (1 + SLACK):
        return []
    return [InputError(
        "the wheels stand wider apart than the machine is wide", key="track", given=format_value(numbers["track"], "m"),
        allowed=f"at most {format_value(most, 'm')}", hint="mend track or width",
    )]  # fmt: skip


def _counts_and_angles(numbers: Mapping[str, float]) -> list[InputError]:
    found: list[InputError] = []
    for key, value in numbers.items():
        variable = book.variables[key]
        if variable.allowed == "count" and value > MOST_PIECES:
            found.append(InputError(f"no robot has so many ({variable.meaning})", key=key, given=int(value),
                                    allowed=f"1 to {MOST_PIECES}"))
        if variable.unit == "rad" and abs(value) > 2 * math.pi * (1 + SLACK):
            found.append(InputError("this angle is more than a turn", key=key, given=format_value(value, "rad", 4),
                                    allowed="at most 360 deg"))
    return found
