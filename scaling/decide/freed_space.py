"""The ports that a law may choose from: a point is a factor and free dimensions, and what makes it a problem to solve.

A point holds ln(factor), then of each lever ln of its ratio to the similar machine's; of a sheet ln of its thickness
over the reference's, so that one from a shelf stays as it is at any factor.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from scaling.book.entry import Array
from scaling.decide.limits import Limit, box_limits, reach_limits, stated_limits
from scaling.decide.objective import ABSENT, Objective, drifts_over
from scaling.decide.side_by_side import Evaluated
from scaling.decide.slp import Problem
from scaling.formulas import book
from scaling.port.asked import Brief, LawRequest, Variation
from scaling.port.carried import voltage_ratio
from scaling.port.freed import CELLS, Lever, keys_moved
from scaling.port.inputs import inputs_at, port_parts
from scaling.port.laws import naive_factor
from scaling.robot.design import Design
from scaling.robot.parts import Part, off_the_shelf
from scaling.robot.possible import BOUNDS

PULL = 1e-4
"""What a lever's way from the similar machine costs, per unit of ln: so little that it only settles what is alike. Each
costs a tenth of it more than the one before, so that of two levers that do the same the first stands still."""

STEP = 1e-3
"""Half the width, in ln, of the differences: so wide that a numeric model's last digits do not pass for a slope."""

TIGHT = 1e-6
"""By this share every limit is held tighter, since the linear model's last step may miss it by a little less."""

HARD, SOFT = 0.3, 0.1
"""What one unit of ln costs beyond a limit that makes a port miss, and below a margin: more than any of them is worth,
but not by so much that a search would have to creep along them."""

FACTORS = 2.5
"""How far the factor goes from the cube root of the mass ratio, as a ratio either way."""

MARGINS = tuple(name for name in book.kept if book.quantities[name].role != "handling")
"""Margins that are held at the lesser of 1 and the reference's; what a driver feels the objective weighs instead."""


def margin_bounds(reference: Mapping[str, float]) -> dict[str, float]:
    """Return at how much each margin of the reference is held: 1, or the reference's own where that is lower."""
    return {name: min(1.0, reference[name]) for name in MARGINS if reference.get(name, 0.0) > 0}


@dataclass(frozen=True)
class Pick:
    """What comes in steps: the count of cells, None for the brief's own, and materials by part."""

    cells: int | None = None
    materials: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Space:
    """The ports of a request for one ``pick``: with sizes from the shelf where ``snapped``.

    Free sheets are of any thickness though where they are ``loose``. ``bounds`` says at how much each margin is held.
    ``like`` is a space that has the same limits.
    """

    design: Design
    brief: Brief
    request: LawRequest
    objective: Objective
    reference: Mapping[str, float]
    levers: tuple[Lever, ...]
    bounds: Mapping[str, float]
    pick: Pick = Pick()
    snapped: bool = False
    loose: bool = False
    like: Space | None = None

    @cached_property
    def thickness(self) -> Mapping[str, float]:
        """The reference's thickness in m of every sheet part by name."""
        return {part.name: float(part.thickness) for part in self.design.parts if part.is_sheet}

    @cached_property
    def needed(self) -> list[str]:
        """The quantities that score and limits rest on."""
        return [*dict.fromkeys([*self.objective.weights, *self.bounds, *self.brief.limits, "rotor_speed_as_motored"])]

    @cached_property
    def _cells(self) -> tuple[float, float] | None:
        return None if self.pick.cells is None else (float(self.pick.cells), self.design.variables[CELLS])

    @cached_property
    def volts(self) -> Any:
        """Pack voltage over the reference's, None without a pack."""
        if "battery.voltage" not in self.design.variables:
            return None
        return voltage_ratio(self.design, Variation(cells=self._cells).numbers_of(self.brief))

    def variation(self, point: Array) -> Variation:
        """Return what makes the ports at a point, or at points as columns, beside their factor."""
        ratios = {
            lever.key: np.exp(point[place] - (point[0] if lever.part is not None else 0.0))
            for place, lever in enumerate(self.levers, 1)
        }
        return Variation(
            materials={part: ((name,), np.zeros((), dtype=int)) for part, name in self.pick.materials.items()},
            snapped=self.snapped,
            levers=ratios,
            cells=self._cells,
            # a similar motor wound for any pack would make cells free: it keeps the winding for the brief's own pack
            wound_for=None if self.pick.cells is None else voltage_ratio(self.design, self.brief.numbers),
        )

    def parts(self, variation: Variation) -> tuple[Part, ...]:
        """Return the parts of the ports that a variation makes."""
        parts = port_parts(self.design, self.brief, variation)
        free = {lever.part for lever in self.levers} if self.loose else set()
        return tuple(off_the_shelf(part) if part.name in free else part for part in parts)

    def values(self, point: Array) -> tuple[Mapping[str, Any], dict[str, Array]]:
        """Return variables and needed quantities of the ports at points as columns."""
        variation, factor = self.variation(point), np.exp(point[0])
        inputs = inputs_at(self.design, self.brief, self.request, self.parts(variation), factor, variation)
        return inputs.variables, book.evaluate(inputs.variables, self.design.traits, only=self.needed)

    def drifts(self, point: Array) -> tuple[Mapping[str, Any], dict[str, Array]]:
        """Return variables, and ln drift by quantity, of the ports at points as columns."""
        variables, found = self.values(point)
        return variables, self._drifts(point, variables, found)

    def _drifts(self, point: Array, variables: Mapping[str, Any], found: Mapping[str, Array]) -> dict[str, Array]:
        mass_ratio = variables["mass"] / self.design.variables["mass"]
        return drifts_over(self.objective, found, self.reference, mass_ratio, np.exp(point[0]), self.volts)

    def limits(self, point: Array, variables: Mapping[str, Any], found: Mapping[str, Array]) -> list[Limit]:
        """Return every limit at points as columns: those that make a port miss, then the margins."""
        return [*self._hard(point, variables, found), *self._margins(found)]

    def _hard(self, point: Array, variables: Mapping[str, Any], found: Mapping[str, Array]) -> list[Limit]:
        known = {**variables, **{name: found[name] for name in self.brief.limits if name in found}}
        sheets: list[Limit] = []
        for place, lever in enumerate(self.levers, 1):
            if lever.part is not None:
                ratio = np.exp(point[place] - point[0])
                name = f"thickness of {lever.part}"
                sheets.append(Limit(name, f"{name} at least {lever.least:g} of the similar one's", ratio / lever.least))
                sheets.append(Limit(name, f"{name} at most {lever.most:g} of the similar one's", lever.most / ratio))
        return [
            *self._fits(variables), *box_limits(self.brief, variables), *reach_limits(variables, found, self.reference),
            *stated_limits(self.brief, known), *sheets,
        ]  # fmt: skip

    def _fits(self, variables: Mapping[str, Any]) -> list[Limit]:
        """What cannot both be, of what the levers move: a rotor that cuts the floor, or is wider than the machine."""
        moved, limits = set(keys_moved(lever.key for lever in self.levers)), list[Limit]()
        for rule in BOUNDS:
            states = rule.key in variables and bool(self.design.variables.get(rule.other))
            if states and self.design.traits.issuperset(rule.when) and moved & {rule.key, rule.other}:
                room = rule.share * variables[rule.other] + variables.get(rule.plus or "", 0.0)
                level = room / variables[rule.key] if rule.side == "at most" else variables[rule.key] / room
                limits.append(Limit(rule.key, f"{rule.reason[0].upper()}{rule.reason[1:]}", level))
        return limits

    def _margins(self, found: Mapping[str, Array]) -> list[Limit]:
        return [
            Limit(name, f"{book.quantities[name].label} at least {bound:.3g}", np.asarray(found[name] / bound))
            for name, bound in self.bounds.items()
            if name in found
        ]

    def evaluate(self, point: Array) -> Evaluated:
        """Return drifts and ln of the limits' levels at points as columns."""
        variables, found = self.values(point)
        drifts = self._drifts(point, variables, found)
        limits = self.limits(point, variables, found)
        count = point[0].size
        residuals, levels = np.empty((len(self.objective.weights), count)), np.empty((len(limits), count))
        for row, name in zip(residuals, self.objective.weights, strict=True):
            row[:] = drifts[name]
        for row, limit in zip(levels, limits, strict=True):
            row[:] = limit.level
        with np.errstate(all="ignore"):
            return Evaluated(np.zeros(count), residuals, np.log(levels) - TIGHT)

    def plain(self, factor: float) -> Array:
        """Return the point of the similar machine at a factor."""
        return float(np.log(factor)) * np.asarray([1.0, *(float(lever.part is not None) for lever in self.levers)])

    @cached_property
    def middle(self) -> Array:
        """The similar machine at the cube root of the mass ratio."""
        return self.plain(naive_factor(self.brief.mass_limit, self.design.variables["mass"]))

    @cached_property
    def names(self) -> list[Limit]:
        """The limits as they are in the middle, in the order of a problem's levels."""
        return [*self._in_the_middle[0], *self._in_the_middle[1]]

    @cached_property
    def margins(self) -> int:
        """How many of the limits are margins, the last ones."""
        return len(self._in_the_middle[1])

    @cached_property
    def _in_the_middle(self) -> tuple[list[Limit], list[Limit]]:
        if self.like is not None:
            return self.like._in_the_middle
        point = self.middle[:, None]
        variables, found = self.values(point)
        return self._hard(point, variables, found), self._margins(found)

    def problem(
        self, fixed: Mapping[int, float], span: tuple[float, float] | None = None, harder: Array | float = 1.0
    ) -> Problem:
        """Return what is to be made least, some places of the point ``fixed``, ln(factor) within ``span``.

        What is missed costs so many times ``harder``, by limit.
        """
        factors = (self.middle[0] - np.log(FACTORS), self.middle[0] + np.log(FACTORS))
        low, high = [factors[0]], [factors[1]]
        for lever in self.levers:
            beside = factors if lever.part is not None else (0.0, 0.0)
            low.append(np.log(lever.least) + beside[0])
            high.append(np.log(lever.most) + beside[1])
        if span is not None:
            low[0], high[0] = max(low[0], span[0]), min(high[0], span[1])
        for place, value in fixed.items():
            low[place] = high[place] = value
        home = np.eye(1 + len(self.levers))[1:]
        home[:, 0] = [-1.0 if lever.part is not None else 0.0 for lever in self.levers]
        weights = np.asarray(list(self.objective.weights.values()))
        penalty = harder * np.asarray([HARD] * (len(self.names) - self.margins) + [SOFT] * self.margins)
        return Problem(
            self.evaluate, weights / weights.sum(), np.asarray(low), np.asarray(high), penalty,
            np.asarray([PULL * (1 + 0.1 * place) for place in range(len(self.levers))][::-1]), home, ABSENT, STEP,
        )  # fmt: skip
