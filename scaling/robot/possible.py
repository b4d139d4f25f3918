"""What no robot can be: numbers that contradict one another, each rule a row of a table.

A design file that breaks one is refused; a port that does is told that it does not fit.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

import numpy as np

from scaling.book.alike import alike, one_of
from scaling.files.bounds import COUNTED
from scaling.files.errors import InputError, Mistakes
from scaling.files.units import format_value
from scaling.formulas import book

SLACK = 1e-9
"""What two stated numbers may be apart and still count as equal."""

Numbers = Mapping[str, Any]


@dataclass(frozen=True)
class Contradiction:
    """Two numbers that cannot both be: ``value`` under ``key`` is not ``side`` the ``bound`` that the ``other`` sets.

    ``share`` says how the bound follows from the other, empty where it is that number itself. SI.
    """

    key: str
    value: Any
    side: Literal["at most", "at least"]
    bound: Any
    other: str
    share: str
    reason: str

    def refused(self) -> InputError:
        """Return the error of a file that states both; it knows no file."""
        unit = book.variables[self.key].unit
        bound = format_value(one_of(self.bound), unit, 4)
        allowed = f"{self.side} {bound}" + (f" ({self.share})" if self.share else "")
        return InputError(
            self.reason, key=self.key, given=format_value(one_of(self.value), unit, 4), allowed=allowed,
            hint=f"mend {self.key} or {self.other}",
        )  # fmt: skip


@dataclass(frozen=True)
class Bound:
    """Of two keys of one dimension: ``key`` is at most (or at least) ``share`` times ``other``, for the ``reason``.

    ``plus`` is a key whose value the bound is wider by. It counts for designs with every trait of ``when``; where
    ``other`` is zero it says nothing.
    """

    key: str
    side: Literal["at most", "at least"]
    share: float
    other: str
    reason: str
    when: tuple[str, ...] = ()
    plus: str | None = None

    def broken(self, numbers: Numbers, traits: frozenset[str]) -> Contradiction | None:
        """Return how a design that states both keys breaks the rule, None where it does not."""
        if not traits.issuperset(self.when) or self.key not in numbers or alike(numbers.get(self.other, 0.0) == 0):
            return None
        value, bound = numbers[self.key], self.share * numbers[self.other]
        share = "" if self.share == 1 else f"{self.share:g} times {self.other}"
        if self.plus is not None and not alike((more := numbers.get(self.plus, 0.0)) == 0):
            bound, share = bound + more, f"{share or self.other} and {self.plus}"
        holds = value <= bound * (1 + SLACK) if self.side == "at most" else value >= bound * (1 - SLACK)
        if alike(holds):
            return None
        return Contradiction(self.key, value, self.side, bound, self.other, share, self.reason)


_RING = ("rotor.transmission=hub", "rotor.hub_mounting=ring")

BOUNDS = (
    Bound("rotor.axle_height", "at least", 0.5, "rotor.diameter", "the rotor cuts the floor", ("rotor.axis=level",)),
    Bound("rotor.axle_height", "at least", 0.5, "rotor.width", "the rotor cuts the floor", ("rotor.axis=upright",)),
    Bound("rotor.tooth_height", "at most", 0.5, "rotor.diameter", "the tooth is higher than the rotor's radius"),
    Bound("rotor.chord", "at most", 1.0, "rotor.diameter", "the bar or wall is wider than the rotor"),
    Bound("rotor.bore", "at least", 1.0, "rotor.motor.diameter", "the ring does not go over its hub motor", _RING,
          plus="rotor.hub_clearance"),
    Bound("rotor.shaft.diameter", "at most", 1.0, "rotor.bore", "the shaft is thicker than the bore that it passes"),
    Bound("rotor.width", "at most", 1.0, "width", "the rotor is wider than the machine", ("rotor.axis=across",)),
    Bound("rotor.width", "at most", 1.0, "length", "the rotor is longer than the machine", ("rotor.axis=along",)),
    Bound("rotor.width", "at most", 1.0, "height", "the rotor is higher than the machine", ("rotor.axis=upright",)),
    Bound("rotor.diameter", "at most", 1.0, "length", "the length over all takes the rotor in", ("rotor.axis=across",)),
    Bound("rotor.diameter", "at most", 1.0, "width", "the width over all takes the rotor in", ("rotor.axis=along",)),
    Bound("wheelbase", "at most", 1.0, "length", "the contacts are farther apart than the machine is long"),
    Bound("wheel.diameter", "at most", 1.0, "length", "the wheel is larger than the machine"),
    Bound("arena.length", "at least", 2.0, "length", "the machine has no room to move in the arena"),
    Bound("arena.width", "at least", 1.0, "width", "the machine has no room to move in the arena"),
    Bound("rotor.motor.diameter", "at most", 1.0, "length", "the motor is larger than the machine"),
    Bound("rotor.motor.shaft.diameter", "at most", 1.0, "rotor.motor.diameter", "the shaft is thicker than its motor"),
    Bound("drive.motor.diameter", "at most", 1.0, "length", "the motor is larger than the machine"),
    Bound("rotor.mount.hole_diameter", "at most", 2.0, "rotor.mount.edge_distance", "the hole cuts through the edge"),
    Bound("joint.hole_diameter", "at most", 2.0, "joint.edge_distance", "the hole cuts through the edge"),
    Bound("rotor.motor_mount.hole_diameter", "at most", 2.0, "rotor.motor_mount.edge_distance",
          "the hole cuts through the edge"),
    Bound("battery.cell_cut_off", "at most", 1.0, "battery.cell_voltage", "the cell ends above its own voltage"),
)  # fmt: skip
"""What holds of a machine at any size."""

MASS_LIMITS = (
    Bound("mass_limit", "at least", 0.2, "mass", "the mass limit is far below the robot's mass"),
    Bound("mass_limit", "at most", 100.0, "mass", "the mass limit is far above the robot's mass"),
)
"""Mass limits over the mass of the robot, its own class's or the port's, beyond which one of the two is a slip."""


CIRCLES = ("rotor.mount", "rotor.motor_mount", "joint")
"""Tables whose bolts may stand on a circle."""


def contradictions(numbers: Numbers, traits: frozenset[str]) -> list[Contradiction]:
    """Return every pair of numbers of a machine that cannot both be; ``traits`` are the design's choices."""
    found = [rule.broken(numbers, traits) for rule in BOUNDS]
    found += [_track(numbers), _inertia(numbers, traits), *(_circle(table, numbers, traits) for table in CIRCLES)]
    return [each for each in found if each is not None]


def refuse_impossible(numbers: Numbers, traits: frozenset[str], mistakes: Mistakes) -> None:
    """Keep what a design file states that cannot be, each rule by itself."""
    for rule in (*BOUNDS, *MASS_LIMITS):
        with mistakes.kept():
            _refuse(rule.broken(numbers, traits))
    with mistakes.kept():
        _refuse(_track(numbers))
    with mistakes.kept():
        _refuse(_inertia(numbers, traits))
    for table in CIRCLES:
        with mistakes.kept():
            _refuse(_circle(table, numbers, traits))
    for error in _counts_and_angles(numbers):
        mistakes.add(error)


def check_mass_limit(limit: float, mass: float, key: str, file: Path | None) -> None:
    """Raise InputError for a mass limit (kg) under ``key`` that is out of all proportion to a robot of ``mass``."""
    for rule in MASS_LIMITS:
        found = rule.broken({"mass_limit": limit, "mass": mass}, frozenset())
        if found is not None:
            raise replace(found.refused(), key=key, file=file, hint=f"mend {key}, or mass in the design file")


def _refuse(found: Contradiction | None) -> None:
    if found is not None:
        raise found.refused()


def _track(numbers: Numbers) -> Contradiction | None:
    """The track lies within the width over all, save that a tyre's middle may stand a little outside."""
    most = numbers["width"] + numbers.get("wheel.diameter", 0.0) / 4
    if alike(numbers["track"] <= most * (1 + SLACK)):
        return None
    return Contradiction(
        "track", numbers["track"], "at most", most, "width", "width and half a tyre",
        "the wheels stand wider apart than the machine is wide",
    )  # fmt: skip


def _inertia(numbers: Numbers, traits: frozenset[str]) -> Contradiction | None:
    """No rotor has more inertia than its mass has at the tips, and a hub motor's can at that motor's rim."""
    if any(key not in numbers for key in ("rotor.inertia", "rotor.mass", "rotor.diameter")):
        return None
    most = numbers["rotor.mass"] * (numbers["rotor.diameter"] / 2) ** 2
    if "rotor.transmission=hub" in traits:
        most += numbers.get("rotor.motor.mass", 0.0) * (numbers.get("rotor.motor.diameter", 0.0) / 2) ** 2
    if alike(numbers["rotor.inertia"] <= most * (1 + SLACK)):
        return None
    return Contradiction(
        "rotor.inertia", numbers["rotor.inertia"], "at most", most, "rotor.mass", "all of rotor.mass at the tips",
        "the rotor's inertia is more than its mass can have",
    )  # fmt: skip


def _circle(table: str, numbers: Numbers, traits: frozenset[str]) -> Contradiction | None:
    """The heads of the bolts on a circle stand side by side on it."""
    keys = [f"{table}.{name}" for name in ("pattern_diameter", "bolts", "head_diameter")]
    if f"{table}.pattern=circle" not in traits or any(key not in numbers for key in keys):
        return None
    size, count, head = (numbers[key] for key in keys)
    least = head / np.sin(math.pi / count) if alike(count > 1) else 0.0
    if alike(size >= least * (1 - SLACK)):
        return None
    heads = f"{one_of(count):g} heads of {format_value(one_of(head), 'm')}"
    return Contradiction(
        keys[0], size, "at least", least, keys[1], f"{heads} side by side",
        "the bolts' heads do not fit on their circle",
    )  # fmt: skip


def _counts_and_angles(numbers: Numbers) -> Iterator[InputError]:
    for key, value in numbers.items():
        variable = book.variables[key]
        if variable.allowed == "count" and alike(value > COUNTED.most):
            yield InputError(f"no robot has so many ({variable.meaning})", key=key, given=int(one_of(value)),
                             allowed=f"1 to {COUNTED.most}")
        if variable.unit == "rad" and alike(abs(value) > 2 * math.pi * (1 + SLACK)):
            yield InputError("this angle is more than a turn", key=key, given=format_value(one_of(value), "rad", 4),
                             allowed="at most 360 deg")
