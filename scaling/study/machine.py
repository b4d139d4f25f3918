"""The machine that a law carries the reference to, before rules set its speed and drive: what its ports share."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np

from scaling.port.asked import LawRequest
from scaling.port.inputs import before_rules, by_rules, on_the_step
from scaling.port.laws import law_factor
from scaling.port.levers import ClosureStep
from scaling.port.scaled import Inputs, first
from scaling.port.terms import Terms
from scaling.robot.parts import Part, off_the_shelf
from scaling.study.results import Solved

STEP = 1e-4
"""Step in ln(factor) of the local exponents: central difference, error of the order of the step squared."""


class Carried(NamedTuple):
    """A machine before its rules, and what it was carried by."""

    inputs: Inputs
    terms: Terms

    def by(self, request: LawRequest) -> Inputs:
        """Return what the rules of a request make of it."""
        return by_rules(self.inputs, replace(self.terms, request=request))


@dataclass(frozen=True)
class Machine:
    """A machine at its factor, the only one in ``terms``, whose request counts for its law alone.

    ``plain`` are its parts before the closing levers did their ``steps``, and ``solved`` says how it was found under
    the law that frees dimensions.
    """

    terms: Terms
    plain: tuple[Part, ...]
    steps: tuple[ClosureStep, ...] = ()
    solved: Solved | None = None

    @property
    def factor(self) -> float:
        """Its length over the reference's."""
        return first(self.terms.factor)

    @cached_property
    def own(self) -> Carried:
        """It at its factor."""
        return _carried(self.terms)

    @cached_property
    def near(self) -> Carried:
        """It at its factor and a step to either side, with every size from a shelf held: how it follows the factor."""
        held, parts = on_the_step(self.terms.parts, self.own.inputs, self.factor, self.terms.variation)
        factors = self.factor * np.exp([0.0, STEP, -STEP])
        return _carried(replace(self.terms, parts=parts, factor=factors, variation=held))

    @cached_property
    def smooth(self) -> Carried | None:
        """It as it would be if no size came from a shelf, None where none does."""
        if not self.own.inputs.snaps:
            return None
        variation = replace(self.terms.variation, snapped=False)
        return _carried(replace(self.terms, parts=self._unsnapped, variation=variation))

    @cached_property
    def continuous_factor(self) -> float:
        """The factor that its law would fix if no size came from a shelf."""
        if self.solved is not None:
            return self.solved.continuous_factor
        if not self.own.inputs.snaps:
            return self.factor
        found = law_factor(self.terms.design, self.terms.brief, self.terms.request, self._unsnapped).factor
        return found or self.factor

    @property
    def _unsnapped(self) -> tuple[Part, ...]:
        return tuple(off_the_shelf(part) for part in self.terms.parts)


def _carried(terms: Terms) -> Carried:
    return Carried(before_rules(terms), terms)
