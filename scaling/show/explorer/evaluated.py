"""A machine along the factor under one drive rule, at any speed of its rotor."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from scaling.book.entry import Array
from scaling.formulas import book
from scaling.port.asked import LawRequest, Variation
from scaling.port.carried import voltage_ratio
from scaling.port.inputs import inputs_at
from scaling.port.rules import SPEED_RULES, USUAL_SPEED_RULE
from scaling.port.scaled import Inputs
from scaling.port.terms import Terms
from scaling.robot.parts import Part
from scaling.study.reach import reach_of
from scaling.study.results import Study


@dataclass(frozen=True)
class Machine:
    """What some ports share and take along the factor: their parts, and what makes them beside the brief."""

    parts: tuple[Part, ...]
    variation: Variation


@dataclass(frozen=True)
class Evaluated:
    """A machine at every factor under one drive rule: its inputs, the speeds of the rules, and any quantity."""

    study: Study
    machine: Machine
    drive_rule: str
    factors: Array

    @cached_property
    def terms(self) -> Terms:
        """What the steps of a port read."""
        rule = USUAL_SPEED_RULE if self.study.design.has_rotor else None
        request = LawRequest("mass", rule, self.drive_rule)
        own = self.machine
        return Terms(self.study.design, self.study.brief, request, own.parts, self.factors, own.variation)

    @cached_property
    def inputs(self) -> Inputs:
        """The variables by factor, the rotor's speed by the usual rule among them."""
        terms = self.terms
        return inputs_at(terms.design, terms.brief, terms.request, terms.parts, terms.factor, terms.variation)

    def values(self, names: Collection[str], speed: Array | None = None) -> Mapping[str, Array]:
        """Quantities by factor, or by factor and speed (rad/s), a row a factor."""
        given: dict[str, Any] = dict(self.inputs.variables)
        if speed is not None:
            given = {key: value[:, None] for key, value in given.items()} | {"rotor.speed": speed}
        found = book.evaluate(given, self.study.design.traits, only=tuple(names))
        shape = self.factors.shape if speed is None else speed.shape
        return {name: np.broadcast_to(found[name], shape) for name in names if name in found}

    @cached_property
    def rules(self) -> dict[str, Array]:
        """The rotor's speed (rad/s) by each rule that gives one."""
        if not self.study.design.has_rotor:
            return {}
        found = {name: rule.set_speed(self.inputs, self.terms) for name, rule in SPEED_RULES.items()}
        speeds = {name: each.variables["rotor.speed"] for name, each in found.items() if "rotor.speed" in each}
        wide = {name: np.broadcast_to(speed, self.factors.shape) for name, speed in speeds.items()}
        return {name: speed for name, speed in wide.items() if np.all(np.isfinite(speed))}

    @cached_property
    def base(self) -> Array:
        """The rotor's speed (rad/s) that shares are of: what its motor reaches, else the usual rule's."""
        name = "rotor_speed_as_motored"
        reached = self.values([name]).get(name)
        return self.rules[USUAL_SPEED_RULE] if reached is None or not np.all(np.isfinite(reached)) else reached

    @cached_property
    def volts(self) -> float | None:
        """The pack's voltage over the reference's; None without a pack."""
        design, brief = self.study.design, self.study.brief
        if "battery.voltage" not in design.variables:
            return None
        return float(voltage_ratio(design, self.machine.variation.numbers_of(brief)))

    @cached_property
    def reach(self) -> Array | None:
        """The share of the base speed that the motor holds, by factor; None where that is not known."""
        name = "rotor_speed_as_motored"
        reached = self.values([name]).get(name)
        return None if reached is None else reach_of(reached, self.study.reference) / self.base
