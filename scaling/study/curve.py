"""A port along the factor: its quantities from below the reference's size to above its own, and what else changes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from scaling.book.distinct import distinct
from scaling.book.entry import Array
from scaling.port.asked import Brief
from scaling.port.inputs import inputs_at
from scaling.port.scaled import first
from scaling.port.terms import Terms
from scaling.robot.derived import table_of
from scaling.robot.design import Design
from scaling.robot.parts import Part
from scaling.study.rows import read_together

STEEPEST = 6.0
"""Power of the factor beyond which a class that follows it would say nothing of a robot's growth: twice a volume's."""

ALIKE = 1e-6
"""Share within which a number of the curve's at factor 1 is the reference's."""


@dataclass(frozen=True)
class Curves:
    """The curves of a study's ``ports``, each at its factor, over the factors of ``grid``.

    Most that is shown of a study shows no curve, so that all are read together when the first is looked at.
    """

    ports: tuple[Terms, ...]
    grid: Array

    def factors_of(self, place: int) -> Array:
        """Return the factors of a port's curve: the grid's, 1 and its own."""
        return distinct(np.concatenate([self.grid, [1.0, first(self.ports[place].factor)]]))

    @cached_property
    def inputs(self) -> tuple[Mapping[str, Array], ...]:
        """The variables of each port along its curve.

        The class grows along the curve from the reference's own to the port's, and the opponent with it: a robot
        between the two meets an opponent between the two.
        """
        found: list[Mapping[str, Array]] = []
        for place, port in enumerate(self.ports):
            factors, design, brief = self.factors_of(place), port.design, port.brief
            limits = class_along(design.variables["mass_limit"], brief.mass_limit, first(port.factor), factors)
            variation = replace(port.variation, mass_limit=limits)
            found.append(inputs_at(design, brief, port.request, port.parts, factors, variation).variables)
        return tuple(found)

    @cached_property
    def values(self) -> tuple[Mapping[str, Array], ...]:
        """The quantities of each port along its curve."""
        found = read_together(self.inputs, [port.design.traits for port in self.ports])
        return tuple(each.by_name for each in found)


@dataclass(frozen=True)
class Curve:
    """Quantities of a port against the factor, the one at ``place`` of ``among``."""

    among: Curves
    place: int

    @cached_property
    def factors(self) -> Array:
        """The factors, rising, 1 and the port's own among them."""
        return self.among.factors_of(self.place)

    @property
    def values(self) -> Mapping[str, Array]:
        """The quantities by name, each of the shape of ``factors``."""
        return self.among.values[self.place]

    @cached_property
    def also(self) -> tuple[str, ...]:
        """What the port changes beside its size, for which a curve may miss the reference at factor 1."""
        port = self.among.ports[self.place]
        at_one = {key: float(value[self._here]) for key, value in self.among.inputs[self.place].items()}
        return changed_beside(port.design, port.brief, port.parts, at_one)

    def at_one(self, name: str) -> float:
        """Return a quantity at the reference's size, NaN where the curve has none there."""
        return float(self.values[name][self._here])

    @property
    def _here(self) -> int:
        return int(np.searchsorted(self.factors, 1.0))


def class_along(own: float, limit: float, factor: float, factors: Array) -> Array:
    """Return the mass limit (kg) at each of the ``factors``: ``own`` at 1, ``limit`` at ``factor``, a power between.

    Where no sensible power does that, as for a port as large as the reference, it is ``limit`` throughout.
    """
    steps = math.log(factor)
    power = math.log(limit / own) / steps if steps else math.inf
    return own * factors**power if 0 <= power <= STEEPEST else np.full_like(factors, limit)


def changed_beside(
    design: Design, brief: Brief, parts: tuple[Part, ...], at_one: Mapping[str, float]
) -> tuple[str, ...]:
    """Return what a port changes beside its size, in a few words each, by its variables at factor 1."""
    own = design.variables
    changed = {key for key, value in at_one.items() if key in own and not math.isclose(value, own[key], rel_tol=ALIKE)}
    if not changed:
        return ()
    stated = [key for key in (*brief.numbers, *brief.words) if key in changed or key in brief.words]
    tables = [table_of(key) for key in stated]
    found = [table if table and tables.count(table) > 1 else key for key, table in zip(stated, tables, strict=True)]
    others = zip(design.parts, parts, strict=True)
    found += [part.name for old, part in others if not math.isclose(old.total, float(part.at(1.0)), rel_tol=ALIKE)]
    found += ["the opponent's class"] if "mass_limit" in changed else []
    return tuple(dict.fromkeys(found)) or tuple(sorted(changed))
