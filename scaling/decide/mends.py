"""The cheapest mend of each risk, found by running the port again with each change that a workshop could make."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations, product
from typing import Any, NamedTuple

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
from scaling.study.tried import Tried, tried

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
    """Return the risks, each that stands with the cheapest mend that was found for it."""
    return tuple(mended(risk, mend_of(study, port, risk)) if risk.stands else risk for risk in risks)


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


def mend_of(study: Study, port: Port, risk: Risk) -> Mend | None:
    """Return the cheapest change that brings a risk's number to its goal; None where none that was tried does.

    A change counts only where it makes the port miss nothing that it did not miss before, and puts nothing below its
    limit that was above. Where no single change does, two of them together are tried, and where one is only too heavy,
    that together with what saves as many grams.
    """
    if risk.quantity is None or risk.value is None:
        return None
    bench = Bench(study, port)
    proposals = [proposal for offer in OFFERS.get(risk.code, ()) for proposal in offer(bench, risk) if proposal]
    found = [best for proposal in proposals if (best := _least(bench, risk, proposal)) is not None]
    found = found or [best for one, other in combinations(proposals, 2)
                      if (best := _least(bench, risk, _both(bench, risk, one, other))) is not None]  # fmt: skip
    found = found or [best for proposal in proposals if (best := _paid(bench, risk, proposal)) is not None]
    if not found:
        return None
    best = min(found, key=lambda each: each.price)
    changes = {**held_at(port), **best.change.keys}
    return Mend(best.change.text, changes, best.result.values[risk.quantity], best.mass, best.costs.text)


def _least(bench: Bench, risk: Risk, proposal: Iterable[Change]) -> Found | None:
    """The least size of a change that reaches the goal and spares the rest; None where none does."""
    for change in proposal:
        result = _reached(bench, risk, change)
        if result is not None and _spares(bench, risk, result):
            return Found(change, result, costs_of(bench.study, bench.port, result.values))
    return None


def _reached(bench: Bench, risk: Risk, change: Change) -> Tried | None:
    """What comes of a change that reaches the goal; None of one that does not.

    It is looked at with the port's own factor first, for the risk's number alone; the law fixes it anew, with all that
    is watched, only for what helps.
    """
    if not _glance(bench, risk, change):
        return None
    result = tried(bench.study, bench.port, change.keys, _watched(bench, risk))
    return result if result is not None and _helps(bench, risk, result) else None


def _glance(bench: Bench, risk: Risk, change: Change) -> bool:
    assert risk.quantity is not None  # noqa: S101 - asked for such a risk only
    found = tried(bench.study, bench.port, change.keys, [risk.quantity], anew=False)
    return found is not None and _helps(bench, risk, found)


def _helps(bench: Bench, risk: Risk, result: Tried) -> bool:
    survived = survived_of(bench.study.design.variables)
    return helped(risk, result.values.get(risk.quantity or "", 0.0), survived)


def _both(bench: Bench, risk: Risk, first: Proposal, second: Proposal) -> Iterator[Change]:
    """Two changes together, the smaller sizes of both first; none where the largest of both do not reach the goal."""
    if first[-1].keys.keys() & second[-1].keys.keys() or not _glance(bench, risk, _together(first[-1], second[-1])):
        return
    sizes = sorted(product(range(len(first)), range(len(second))), key=sum)
    steps = range(0, len(sizes) - 1, 1 + len(sizes) // PAIRS)
    for one, other in [*(sizes[step] for step in steps), sizes[-1]]:
        yield _together(first[one], second[other])


def _together(*changes: Change) -> Change:
    keys = {key: text for change in changes for key, text in change.keys.items()}
    return Change(", and ".join(change.text for change in changes), keys, sum(each.uncounted for each in changes))


def _paid(bench: Bench, risk: Risk, proposal: Proposal) -> Found | None:
    """The least size of a change that is only too heavy, with the first that saves its grams elsewhere."""
    for change in proposal:
        result = _reached(bench, risk, change)
        if result is None or _new_misses(bench, result) != TOO_HEAVY:
            continue
        for saving in (saving for offer in OF_LIMITS["mass"] for saving in offer(bench, None)):
            both = [_together(change, each) for each in saving if not each.keys.keys() & change.keys.keys()]
            if (found := _least(bench, risk, both)) is not None:
                return found
    return None


WATCHED = tuple(dict.fromkeys(name for kind in KINDS if kind.limit == 1 for name in kind.among(book.quantities)))
"""What a mend must not put below its limit."""


def _watched(bench: Bench, risk: Risk) -> tuple[str, ...]:
    """What a trial looks at: the risk's number, what must stay above 1, and what a change of it costs."""
    assert risk.quantity is not None  # noqa: S101 - asked for such a risk only
    return (risk.quantity, *WATCHED, *Costs.looks_at(bench.study, bench.port.quantities))


def _new_misses(bench: Bench, result: Tried) -> frozenset[str]:
    return (result.missed & MISSES) - {problem.code for problem in bench.port.problems}


def _spares(bench: Bench, risk: Risk, result: Tried) -> bool:
    """Whether a change makes the port miss nothing new, and leaves above 1 what was."""
    was = {name: entry.value for name, entry in bench.port.quantities.items()}

    def spoilt(name: str) -> bool:
        least = 1.0 if name in was else ANEW
        absent = 0.0 if name in was and name not in result.without else least
        return name != risk.quantity and was.get(name, least) >= least > result.values.get(name, absent)

    return not _new_misses(bench, result) and not any(spoilt(name) for name in WATCHED)


def risks_with_mends(study: Study, port: Port) -> tuple[Risk, ...]:
    """Return a port's risks, worst first, each with the cheapest mend."""
    return with_mends(study, port, risks_of(study, port))
