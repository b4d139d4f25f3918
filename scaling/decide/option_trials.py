"""Combinations of a brief's candidates as ports: the numbers of each, thousands at once or one by one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from math import prod
from typing import Any

import numpy as np

from scaling.book.entry import Array
from scaling.files.toml import quoted
from scaling.files.units import shown_unit, to_shown
from scaling.formulas import book
from scaling.port.asked import Brief, LawRequest, OptionSpace, Variation, with_cells
from scaling.port.inputs import inputs_at, port_parts
from scaling.port.laws import LAWS, largest_within
from scaling.port.levers import close_parts
from scaling.robot.design import Design
from scaling.robot.parts import Part, mass_at
from scaling.shop.motors import Motor
from scaling.study.run import LEAST
from scaling.study.run import MOST as LARGEST

MOTORS = {"rotor_motors": "rotor.motor", "drive_motors": "drive.motor"}
"""The table of the design that a motor of each axis fills."""

OF_MATERIAL = "material of "
RATIOS = "_ratios"


@dataclass(frozen=True)
class Trials:
    """The combinations of a space, each by its number: the last axis goes round first."""

    design: Design
    brief: Brief
    space: OptionSpace

    @cached_property
    def lengths(self) -> list[int]:
        """How many alternatives each axis has."""
        return [len(values) for values in self.space.axes().values()]

    @property
    def count(self) -> int:
        """How many combinations there are, with one fit."""
        return prod(self.lengths)

    def places(self, numbers: Any) -> dict[str, Any]:
        """Each combination's place on every axis."""
        return dict(zip(self.space.axes(), np.unravel_index(numbers, self.lengths), strict=True))

    def chosen(self, number: int) -> dict[str, Any]:
        """What a combination takes of each axis."""
        axes = self.space.axes()
        return {name: axes[name][int(place)] for name, place in self.places(number).items()}

    @cached_property
    def _catalogues(self) -> dict[str, dict[str, Array]]:
        """The numbers of all the motors of each axis, by key: catalogues are long, rows are asked for singly."""
        axes = self.space.axes()
        return {
            name: {key: np.asarray([motor.numbers[key] for motor in axes[name]]) for key in axes[name][0].numbers}
            for name in MOTORS
            if name in axes
        }

    def given(self, numbers: Any) -> dict[str, Any]:
        """Return values of the design's keys that the port has in place of the brief's."""
        found = dict(self.brief.numbers)
        axes = self.space.axes()
        for name, place in self.places(numbers).items():
            if name in MOTORS:
                table = MOTORS[name]
                for key, numbers_of_motors in self._catalogues[name].items():
                    found[f"{table}.{key}"] = numbers_of_motors[place]
                found.pop(f"{table}.inertia", None)
            elif name == "cells":
                own = self.design.variables.get("battery.cells", 1.0)
                found = with_cells(found, np.asarray(axes[name], dtype=float)[place], own)
            elif name.endswith(RATIOS):
                found[name.removesuffix(RATIOS) + ".ratio"] = np.asarray(axes[name], dtype=float)[place]
        return {key: value for key, value in found.items() if key in self.design.variables}

    def at(self, fit: str, numbers: Any, redrawn: Mapping[str, Any] | None = None) -> tuple[Array, Mapping[str, Any]]:
        """Return factor and variables of combinations that are fitted by a law, NaN where the law gives no factor.

        ``redrawn`` are numbers of a rotor of its own for each.
        """
        design, brief = self.design, self.brief
        varied = self.varied(numbers, redrawn or {})
        parts = port_parts(design, brief, varied)
        shape = np.shape(numbers)
        if LAWS[fit].closes_mass:
            factor = self._closed(numbers) if redrawn is None else self._largest(parts, shape)
        else:
            key = LAWS[fit].compares(design, None)
            factor = np.broadcast_to(varied.numbers_of(brief)[key] / design.variables[key], shape).astype(float)
            factor = np.where((factor >= LEAST) & (factor <= LARGEST), factor, np.nan)
            parts, _ = close_parts(
                parts, factor, brief.allowed_mass, brief.closure, varied.shelves_of(design, brief)
            )
        request = LawRequest(fit, self.space.speed_rule, self.space.drive_rule)
        return factor, inputs_at(design, brief, request, parts, factor, varied).variables

    def varied(self, numbers: Any, redrawn: Mapping[str, Any]) -> Variation:
        """Return what combinations change of the port, with the numbers of a ``redrawn`` rotor."""
        places = self.places(numbers)
        materials = {name: (names, places[f"{OF_MATERIAL}{name}"]) for name, names in self.space.materials.items()}
        return Variation({**self.given(numbers), **redrawn}, materials)

    def _closed(self, numbers: Any) -> Array:
        """The factor at which each combination's mass is the limit: once for all that differ in no more than a ratio.

        A gear ratio weighs nothing.
        """
        places = [0 * place if name.endswith(RATIOS) else place for name, place in self.places(numbers).items()]
        some, where = np.unique(np.ravel_multi_index(places, self.lengths), return_inverse=True)
        return self._largest(port_parts(self.design, self.brief, self.varied(some, {})), some.shape)[where]

    def _largest(self, parts: tuple[Part, ...], shape: tuple[int, ...]) -> Array:
        target = self.brief.allowed_mass
        return largest_within(lambda factors: mass_at(parts, factors), target, LEAST, LARGEST, shape)

    def changes(self, number: int, redrawn: Mapping[str, float]) -> dict[str, str]:
        """Return what a brief must say for a study of a combination: dotted keys with their text."""
        numbers = {**self.given(number), **redrawn}
        said = self.brief.numbers
        found = {f"port.{key}": exact(key, float(value)) for key, value in numbers.items() if said.get(key) != value}
        for name, value in self.chosen(number).items():
            if name.startswith(OF_MATERIAL):
                found[f"parts.{quoted(name.removeprefix(OF_MATERIAL))}.material"] = value
        return found

    def bought(self, number: int) -> list[tuple[Motor, int]]:
        """The motors of a combination, and how many of each."""
        many = {"drive_motors": int(self.brief.numbers.get("drive.motors", self.design.variables["drive.motors"]))}
        taken = self.chosen(number)
        return [(taken[name], many.get(name, 1)) for name in MOTORS if name in taken]


def exact(key: str, value: float) -> str:
    """A value as a file would say it, to every digit that counts."""
    unit = book.variables[key].unit
    return f"{to_shown(value, unit):.15g} {shown_unit(unit)}".strip()
