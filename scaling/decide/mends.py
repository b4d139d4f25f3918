"""The cheapest mend of each risk, found by running the port again with each change that a workshop could make."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations, product
from typing import Any, NamedTuple

from scaling.decide.abreast import abreast, searched
from scaling.decide.chance import survived_of
from scaling.decide.costs import Costs, costs_of
from scaling.decide.held_port import held_at
from scaling.decide.offers import OFFERS
from scaling.decide.proposals import Bench, Change, Proposal
from scaling.decide.risk_kinds import KINDS
from scaling.decide.risks import Mend, Risk, mended, risk_of, risks_of
from scaling.decide.workshop import OF_LIMITS
from scaling.formulas import book
from scaling.study.problem import MISSES
from scaling.study.results import Port, Study
from scaling.study.tried import Trials, Tried

MET = 1e-9
"""A goal that is met exactly counts as met."""

DEAR = 0.03
"""A mend that takes the port farther from the like of the reference than this on the mean is only second choice: three
per cent of drift, a choice of this project."""

PAIRS = 12
"""Sizes of two changes together that are looked at, of each two, where no single change reaches the goal."""

ANEW = 1.25
"""What a margin that the port did not have before must come to: a choice of this project."""

TOO_HEAVY = frozenset({"mass_over_limit"})


class Found(NamedTuple):
    """A change that reaches the goal, and what came of it."""

    change: Change
    result: Tried
    costs: Costs

    @property
    def mass(self) -> float:
        """The kilograms that it adds at the port's size."""
        return self.result.added + self.change.uncounted

    @property
    def price(self) -> tuple[bool, float, float]:
        """What a builder pays: grams where the port stays much as it is, else how far it is taken from that."""
        grams, drift = round(max(0.0, self.mass), 7), round(self.costs.drift, 6)
        return (True, drift, grams) if drift > DEAR else (False, grams, drift)


def helped(risk: Risk, value: float, survived: float) -> bool:
    """Whether a risk no longer stands with a ``value``, or is no worse than the reference's that was past the limit."""
    if risk.kind is None or risk.quantity is None or risk.value is None or value <= risk.value:
        return False
    after = risk_of(risk.kind, risk.quantity, value, risk.reference, survived)
    assert after is not None  # noqa: S101 - the limit is that of before
    past = risk.reference is not None and risk.reference < (risk.limit or 0.0)
    return not after.stands or (past and value >= (risk.reference or 0.0) * (1 - MET))


def with_mends(study: Study, port: Port, risks: Iterable[Risk]) -> tuple[Risk, ...]:
    """Return the risks, each that stands with the cheapest mend that was found for it.

    The mends of all of them are sought side by side, so that what is tried is read from the book together.
    """
    ranked = tuple(risks)
    search = _Search(Bench(study, port), Trials(study, port), ranked)
    found = iter(search.mends([risk for risk in ranked if risk.stands]))
    return tuple(mended(risk, next(found)) if risk.stands else risk for risk in ranked)


def mend_of(study: Study, port: Port, risk: Risk) -> Mend | None:
    """Return the cheapest change that brings a risk's number to its goal; None where none that was tried does.

    A change counts only where it makes the port miss nothing that it did not miss before, and puts nothing below its
    limit that was above. Where no single change does, two of them together are tried, and where one is only too heavy,
    that together with what saves as many grams.
    """
    return _Search(Bench(study, port), Trials(study, port), (risk,)).mends([risk])[0]


class Mended(Sequence[Risk]):
    """A port's risks, each that stands with its cheapest mend, which is looked for when that risk is asked for.

    ``found`` are those that were asked for, by their place.
    """

    def __init__(self, study: Study, port: Port, risks: Sequence[Risk]) -> None:
        self._study, self._port, self._risks = study, port, risks
        self.found: dict[int, Risk] = {}

    def __len__(self) -> int:
        return len(self._risks)

    def __getitem__(self, place: Any) -> Any:
        if isinstance(place, slice):
            return tuple(self[each] for each in range(len(self))[place])
        at = range(len(self))[place]
        if at not in self.found:
            (self.found[at],) = with_mends(self._study, self._port, [self._risks[at]])
        return self.found[at]


WATCHED = tuple(dict.fromkeys(name for kind in KINDS if kind.limit == 1 for name in kind.among(book.quantities)))
"""What a mend must not put below its limit."""

Outcomes = list[Tried | None]
Finding = Generator[list[Change], Outcomes, Found | None]
"""A search that asks for changes to be tried, and returns the one that it settles on."""


@dataclass(frozen=True)
class _Search:
    """The search for the mends of a port's risks."""

    bench: Bench
    trials: Trials
    risks: tuple[Risk, ...]

    def mends(self, risks: Sequence[Risk]) -> list[Mend | None]:
        """Return the cheapest mend of each of the risks, None where none was found."""
        tried = [self._mend(risk) for risk in risks]
        return searched(abreast(tried), lambda changes: self._tried([change.keys for change in changes]))

    def _tried(self, changes: Sequence[Mapping[str, str]]) -> Outcomes:
        return self.trials.together(changes, self._watched)

    @cached_property
    def _watched(self) -> tuple[str, ...]:
        """What a trial looks at: the risks' numbers, what must stay above 1, and what a change of it costs."""
        own = [risk.quantity for risk in self.risks if risk.quantity is not None]
        return (*own, *WATCHED, *Costs.looks_at(self.bench.study, self.bench.port.quantities))

    @cached_property
    def _was(self) -> dict[str, float]:
        return {name: entry.value for name, entry in self.bench.port.quantities.items()}

    def _mend(self, risk: Risk) -> Generator[list[Change], Outcomes, Mend | None]:
        """Seek one change, then two together, then one with what pays for its grams."""
        if risk.quantity is None or risk.value is None:
            return None
        proposals = [each for offer in OFFERS.get(risk.code, ()) for each in offer(self.bench, risk) if each]
        ways: tuple[Callable[[], list[Finding]], ...] = (
            lambda: [self._least(risk, each) for each in proposals],
            lambda: [self._both(risk, one, other) for one, other in combinations(proposals, 2)],
            lambda: [self._paid(risk, each) for each in proposals],
        )
        for way in ways:
            found = [each for each in (yield from abreast(way())) if each is not None]
            if found:
                best = min(found, key=lambda each: each.price)
                changes = {**held_at(self.bench.port), **best.change.keys}
                return Mend(best.change.text, changes, best.result.values[risk.quantity], best.mass, best.costs.text)
        return None

    def _least(self, risk: Risk, proposal: Iterable[Change]) -> Finding:
        """The least size of a change that reaches the goal and spares the rest; None where none does."""
        for change in proposal:
            result = yield from self._reached(risk, change)
            if result is not None and self._spares(risk, result):
                return Found(change, result, costs_of(self.bench.study, self.bench.port, result.values))
        return None

    def _reached(self, risk: Risk, change: Change) -> Generator[list[Change], Outcomes, Tried | None]:
        """What comes of a change that reaches the goal; None of one that does not.

        It is looked at with the port's own factor first, for the risk's number alone; the law fixes it anew, with all
        that is watched, only for what helps.
        """
        if not self._glance(risk, change):
            return None
        (result,) = yield [change]
        return result if result is not None and self._helps(risk, result.values.get(risk.quantity or "")) else None

    def _glance(self, risk: Risk, change: Change) -> bool:
        assert risk.quantity is not None  # noqa: S101 - asked for such a risk only
        return self._helps(risk, self.trials.glance(change.keys, risk.quantity))

    def _helps(self, risk: Risk, value: float | None) -> bool:
        if value is None:  # a change may bring it to where it is not worked out
            return False
        return helped(risk, value, survived_of(self.bench.study.design.variables))

    def _both(self, risk: Risk, first: Proposal, second: Proposal) -> Finding:
        """Two changes together, the smaller sizes of both first; none where the largest of both reach no goal."""
        if first[-1].keys.keys() & second[-1].keys.keys() or not self._glance(risk, _together(first[-1], second[-1])):
            return None
        sizes = sorted(product(range(len(first)), range(len(second))), key=sum)
        steps = range(0, len(sizes) - 1, 1 + len(sizes) // PAIRS)
        pairs = [*(sizes[step] for step in steps), sizes[-1]]
        return (yield from self._least(risk, (_together(first[one], second[other]) for one, other in pairs)))

    def _paid(self, risk: Risk, proposal: Proposal) -> Finding:
        """The least size of a change that is only too heavy, with the first that saves its grams elsewhere."""
        for change in proposal:
            result = yield from self._reached(risk, change)
            if result is None or self._new_misses(result) != TOO_HEAVY:
                continue
            for saving in (saving for offer in OF_LIMITS["mass"] for saving in offer(self.bench, None)):
                both = [_together(change, each) for each in saving if not each.keys.keys() & change.keys.keys()]
                if (found := (yield from self._least(risk, both))) is not None:
                    return found
        return None

    def _new_misses(self, result: Tried) -> frozenset[str]:
        return (result.missed & MISSES) - {problem.code for problem in self.bench.port.problems}

    def _spares(self, risk: Risk, result: Tried) -> bool:
        """Whether a change makes the port miss nothing new, and leaves above 1 what was."""
        return not self._new_misses(result) and not any(self._spoilt(risk, name, result) for name in WATCHED)

    def _spoilt(self, risk: Risk, name: str, result: Tried) -> bool:
        least = 1.0 if name in self._was else ANEW
        absent = 0.0 if name in self._was and name not in result.without else least
        return name != risk.quantity and self._was.get(name, least) >= least > result.values.get(name, absent)


def _together(*changes: Change) -> Change:
    keys = {key: text for change in changes for key, text in change.keys.items()}
    return Change(", and ".join(change.text for change in changes), keys, sum(each.uncounted for each in changes))


def risks_with_mends(study: Study, port: Port) -> tuple[Risk, ...]:
    """Return a port's risks, worst first, each with the cheapest mend."""
    return with_mends(study, port, risks_of(study, port))
