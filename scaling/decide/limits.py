"""Limits over the factor: the class's box, what the motor reaches, margins and the brief's own bounds.

Each limit is a curve over the factor that is at least 1 where the limit holds.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np

from scaling.book.entry import Array
from scaling.book.told_apart import told_apart
from scaling.formulas import book
from scaling.formulas.rotor.spin_up import REACHED
from scaling.port.brief import Brief, LawRequest
from scaling.port.inputs import inputs_at, port_parts
from scaling.robot.design import Design
from scaling.robot.parts import Part
from scaling.study.reach import reach_of

NARROWEST = 1e-3
"""A window narrower than this share of the factor is none: a quarter of a millimetre on 250 mm is a workshop's slip."""

SLACK = 1e-9
"""A limit that is met exactly counts as met."""

Interval = tuple[float, float]


@dataclass(frozen=True)
class Limit:
    """One limit: its name, a label with the bound, and ``level`` over the factors, at least 1 where it holds."""

    name: str
    label: str
    level: Array

    @property
    def holds(self) -> Any:
        """Whether the limit holds, by factor; what cannot be computed does not."""
        return np.nan_to_num(self.level, nan=0.0) >= 1 - SLACK


@dataclass(frozen=True)
class Band:
    """The intervals of the factor in which a limit holds, cut off at the ends of the axis.

    ``best`` is how well it is held where it is held best, 1 at the bound, and ``best_at`` the factor there.
    """

    name: str
    label: str
    intervals: tuple[Interval, ...]
    best: float = 1.0
    best_at: float = 1.0


def box_limits(brief: Brief, values: Mapping[str, Any]) -> list[Limit]:
    """Return the limits of the class, the mass first, then its box."""
    allowed = brief.allowed_mass
    found = [Limit("mass", f"Mass at most {allowed * 1e3:.0f} g", np.asarray(allowed / values["mass"]))]
    for key, size in brief.size_limit.items():
        label = f"{key.capitalize()} at most {size * 1e3:.0f} mm"
        found.append(Limit(key, label, np.asarray(size / values[key])))
    return found


def blocking(holds: Mapping[str, Any]) -> tuple[str, ...]:
    """Return limits that leave no place, by where each holds: one that holds nowhere, else two, else as few as do so.

    None where there is a place for all of them.
    """
    if np.logical_and.reduce([*holds.values()]).any():
        return ()
    never = next((name for name, where in holds.items() if not where.any()), None)
    if never is not None:
        return (never,)
    for pair in combinations(holds, 2):
        if not (holds[pair[0]] & holds[pair[1]]).any():
            return pair
    left = dict(holds)
    for name in holds:
        rest = {other: where for other, where in left.items() if other != name}
        left = left if np.logical_and.reduce([*rest.values()]).any() else rest
    return tuple(left)


def stated_limits(brief: Brief, values: Mapping[str, Any]) -> list[Limit]:
    """Return the limits that the brief states on quantities and variables, of those that ``values`` has."""
    limits: list[Limit] = []
    for name, bound in brief.limits.items():
        if name in values:
            shown = book.quantities[name].label if name in book.quantities else name
            limits.append(Limit(name, f"{shown} {bound.side} {bound.text}", np.asarray(bound.level(values[name]))))
    return limits


def reach_limits(
    values: Mapping[str, Any], found: Mapping[str, Array], reference: Mapping[str, float]
) -> list[Limit]:
    """Return the limit that the motor's reach sets to the rotor's speed, where there is one."""
    reached = found.get("rotor_speed_as_motored")
    if reached is None or "rotor.speed" not in values:
        return []
    level = reach_of(reached, reference) / values["rotor.speed"] * REACHED
    return [Limit("rotor_speed", "Rotor speed within the motor's reach", level)]


class Sweep:
    """Every limit of a design under one speed rule and drive rule, over any factors and changed parts."""

    def __init__(self, design: Design, brief: Brief, request: LawRequest, reference: Mapping[str, float]) -> None:
        self.design, self.brief, self.request, self.reference = design, brief, request, reference
        self.broken = tuple(
            name for name in book.of_role("survival", among=self.reference) if self.reference[name] < 1
        )
        self.parts = port_parts(design, brief)
        self.needed = [*dict.fromkeys([*book.kept, *brief.limits, "rotor_speed_as_motored"])]

    def variables(self, factors: Array, parts: tuple[Part, ...] | None = None) -> Mapping[str, Any]:
        """Return the port's variables over ``factors``, with other parts where given."""
        own = self.parts if parts is None else parts
        return inputs_at(self.design, self.brief, self.request, own, factors).variables

    def limits(self, factors: Array, names: Collection[str] | None = None) -> list[Limit]:
        """Return every limit over ``factors``; of quantities, with ``names``, those of these alone."""
        wanted = self.needed if names is None else [name for name in names if name in book.quantities]
        if names is not None and "rotor_speed" in names:
            wanted.append("rotor_speed_as_motored")
        return self._limits_of(self.variables(factors), wanted)

    def _limits_of(self, values: Mapping[str, Any], names: list[str]) -> list[Limit]:
        """Return the limits of the class and those that rest on the quantities ``names``, for a port's variables."""
        found = book.evaluate(values, self.design.traits, only=names)
        chosen = {name: level for name, level in found.items() if name in names}
        stated = stated_limits(self.brief, {**values, **chosen})
        reach = reach_limits(values, chosen, self.reference)
        return [*box_limits(self.brief, values), *reach, *self._margins(chosen), *stated]

    def _margins(self, found: Mapping[str, Array]) -> list[Limit]:
        limits: list[Limit] = []
        for name, value in found.items():
            if name not in book.kept or name in self.broken:
                continue
            own = self.reference.get(name, 1.0)
            # What the reference's material does not fail by, another may: where it is absent it holds.
            level = value if name in self.reference else np.where(np.isnan(value), np.inf, value)
            bound = own if book.kept[name] == "reference" else min(1.0, own)
            source = "" if told_apart(bound) == 1.0 else " (reference's)"
            limits.append(Limit(name, f"{book.quantities[name].label} at least {bound:.3g}{source}", level / bound))
        return limits
