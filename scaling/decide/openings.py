"""How an empty window is opened: by what a workshop can change, each change tried by running the ports again.

A change opens the window where every limit holds at some factor near those of the laws. Where no single one does, the
lightest that clears what stands in the way is kept, and what then stands in the way is looked at in its turn.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np

from scaling.book.distinct import distinct
from scaling.book.entry import Array
from scaling.book.told_apart import told_apart
from scaling.decide.limits import NARROWEST, Band, Interval, Sweep, blocking
from scaling.decide.proposals import Bench, Change
from scaling.decide.workshop import proposals
from scaling.files.errors import InputError
from scaling.port.changes import changed
from scaling.port.laws import naive_factor
from scaling.robot.parts import mass_at
from scaling.study.results import PartLine, Port, Study

POINTS = 21
"""Factors that are tried, besides those about the ends of the bands."""

ABOVE = 1 + 2 * NARROWEST
"""A window counts as open where every limit holds at a factor and at this times it, so that it can be made."""

NEAR_LAWS = (0.9, 1.1)
"""Only a window from this times the least law's factor to this times the largest helps."""

GRAINS = 7
"""Digits after the point of a mass in kg by which two ways are told apart."""

MOST = 5
"""Ways to open a window that are told."""

DEEP, BROAD = 3, 2
"""Changes that are made together at most, and ways to begin that are followed."""

ENOUGH = 4
"""Changes that clear what is in the way of a way that is followed, after which no more are looked for."""


@dataclass(frozen=True)
class Opening:
    """A way to open an empty window: what to do, the brief's keys for it, and a factor at which it then is open.

    ``mass`` is the kilograms that it adds there.
    """

    text: str
    changes: Mapping[str, str]
    factor: float
    mass: float


@dataclass(frozen=True)
class Attempt:
    """A port with some changes: the sweep over it, and what no part counts of their mass, kg."""

    sweep: Sweep
    made: tuple[Change, ...] = ()

    @property
    def keys(self) -> dict[str, str]:
        """The brief's keys of all the changes."""
        return {key: text for change in self.made for key, text in change.keys.items()}

    @property
    def uncounted(self) -> float:
        """The kilograms that no part counts."""
        return sum(change.uncounted for change in self.made)

    def mass_at(self, factor: float) -> float:
        """The mass at a factor, kg."""
        return float(mass_at(self.sweep.parts, factor)) + self.uncounted

    def with_change(self, change: Change) -> Attempt:
        """The attempt with one more change, in place of an earlier one of the same keys."""
        sweep = self.sweep
        brief = changed(sweep.brief, change.keys)
        brief = replace(brief, mass_margin=brief.mass_margin + change.uncounted)
        kept = [made for made in self.made if not made.keys.keys() <= change.keys.keys()]
        return Attempt(Sweep(sweep.design, brief, sweep.request, sweep.reference), (*kept, change))

    def holds(self, factors: Array, names: Sequence[str] | None = None) -> dict[str, Array]:
        """Return where each limit holds; with ``names`` of what rests on those, and of the class's."""
        found: dict[str, Array] = {}
        for limit in self.sweep.limits(factors, names):
            before = found.get(limit.name, np.ones(factors.shape, dtype=bool))
            found[limit.name] = np.asarray(np.broadcast_to(limit.holds, factors.shape) & before)
        return found

    def holds_wide(self, factors: Array, names: Sequence[str] | None = None) -> dict[str, Array]:
        """Return where each limit holds there and a hair above, so that a machine can be made so."""
        both = self.holds(np.concatenate([factors, factors * ABOVE]), names)
        return {name: np.logical_and(*np.split(where, 2)) for name, where in both.items()}


Held = Callable[[Attempt, Array, Sequence[str]], Mapping[str, Array]]
"""Where each limit of an attempt holds, of those that are named."""


def openings(sweep: Sweep, bands: Sequence[Band], laws: Mapping[str, float], axis: Interval) -> list[Opening]:
    """Return ways to open the empty window of ``sweep``, the fewest grams first: by one change, else by several.

    ``bands`` are those of the window as it is: an opened window often begins or ends where one of them does.
    """
    low, high = (min(laws.values()) * NEAR_LAWS[0], max(laws.values()) * NEAR_LAWS[1]) if laws else axis
    ends = np.asarray([end for band in bands for pair in band.intervals for end in pair])
    near = np.concatenate([ends, ends / ABOVE])
    at_laws = np.asarray([*laws.values()])
    factors = distinct(np.concatenate([
        np.geomspace(low, high, POINTS), near[(near > low) & (near < high)], at_laws, at_laws / ABOVE,
    ]))  # fmt: skip
    aim = laws.get("mass", next(iter(laws.values()), float(np.sqrt(low * high))))
    search = Search(sweep, factors, aim)
    plain = Attempt(sweep)
    first = search.steps(plain)
    found = [opening for attempt in first if (opening := search.opening(attempt)) is not None]
    if not found:
        found = [opening for attempt in first[:BROAD] if (opening := search.followed(attempt)) is not None]
    saves = "mass" in search.in_the_way(plain)
    return sorted(found, key=lambda each: told_apart(abs(each.mass) if saves else each.mass, GRAINS))[:MOST]


@dataclass(frozen=True)
class Search:
    """The search for what opens a window: where it may open, and the factor that the laws ask for."""

    sweep: Sweep
    factors: Array
    aim: float

    def in_the_way(self, attempt: Attempt) -> tuple[str, ...]:
        """The limits that leave no factor: one that holds nowhere, else as few as do so together."""
        return blocking(attempt.holds_wide(self.factors))

    def opening(self, attempt: Attempt) -> Opening | None:
        """The attempt as a way to open the window, None where it does not."""
        holds = np.logical_and.reduce([*attempt.holds_wide(self.factors).values()])
        if not holds.any():
            return None
        at = self.factors[holds]
        factor = float(at[np.argmin(told_apart(np.abs(np.log(at / self.aim)), 9))])
        added = attempt.mass_at(factor) - float(mass_at(self.sweep.parts, factor))
        return Opening(", and ".join(change.text for change in attempt.made), attempt.keys, factor, added)

    def followed(self, attempt: Attempt) -> Opening | None:
        """Make the lightest change against what is in the way, again and again, until the window opens."""
        for _ in range(DEEP - len(attempt.made)):
            steps = self.steps(attempt, ENOUGH)
            if not steps:
                return None
            opened = [found for step in steps if (found := self.opening(step)) is not None]
            if opened:
                return min(opened, key=lambda each: told_apart(abs(each.mass), GRAINS))
            attempt = steps[0]
        return None

    def steps(self, attempt: Attempt, enough: int | None = None) -> list[Attempt]:
        """Return the attempt with one more change that clears what is in its way, the fewest grams first.

        Of each proposal the least size that does; where the largest does nothing for its limit none is tried. With
        ``enough`` the first so many that were found.
        """
        found = list(islice(self._found(attempt), enough))
        own = attempt.mass_at(self.aim)
        return sorted(found, key=lambda step: told_apart(abs(step.mass_at(self.aim) - own), GRAINS))

    def _found(self, attempt: Attempt) -> Iterator[Attempt]:
        limits = self.in_the_way(attempt)
        bench = bench_at(attempt, self.aim)
        for name in limits:
            for proposal in proposals(bench, name):
                if len(proposal) > 1 and self._stepped(attempt, proposal[-1], (name,), Attempt.holds) is None:
                    continue
                step = self._least(attempt, proposal, limits)
                if step is not None:
                    yield step

    def _least(self, attempt: Attempt, proposal: Sequence[Change], limits: Sequence[str]) -> Attempt | None:
        """The attempt with the least size of a change that clears the ``limits`` and the mass; None where none does."""
        steps = (self._stepped(attempt, change, (*limits, "mass"), Attempt.holds_wide) for change in proposal)
        return next((step for step in steps if step is not None), None)

    def _stepped(self, attempt: Attempt, change: Change, limits: Sequence[str], holds: Held) -> Attempt | None:
        """The attempt with one more change, None where some limits do not hold together anywhere then."""
        try:
            step = attempt.with_change(change)
            return step if _meet(holds(step, self.factors, limits), limits) else None
        except InputError:  # what a brief may not say, or this machine cannot be
            return None


def _meet(holds: Mapping[str, Array], limits: Sequence[str]) -> bool:
    """Whether some limits hold together somewhere."""
    return bool(np.logical_and.reduce([holds[name] for name in limits if name in holds]).any())


def bench_at(attempt: Attempt, factor: float) -> Bench:
    """The port of an attempt at a factor, as far as proposals look at it."""
    sweep = attempt.sweep
    design, brief = sweep.design, sweep.brief
    values = sweep.variables(np.asarray([factor]))
    lines = [
        PartLine(part.name, part.kind, part.group, own.total, mass, mass, mass)
        for own, part in zip(design.parts, sweep.parts, strict=True)
        for mass in (float(part.at(factor)),)
    ]
    port = Port(
        sweep.request, factor, naive_factor(brief.mass_limit, design.variables["mass"]), brief.mass_limit,
        {key: float(value[0]) for key, value in values.items()}, {}, tuple(lines), (), None, carried=sweep.parts,
    )  # fmt: skip
    return Bench(Study(design, brief, sweep.reference, (port,)), port)
