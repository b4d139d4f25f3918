"""The cheapest mend of each risk, found by running the port again with each change that a workshop could make."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from scaling.decide.chance import survived_of
from scaling.decide.held_port import held_at
from scaling.decide.proposals import OFFERS, Bench, Change, Proposal
from scaling.decide.risks import Mend, Risk, mended, risk_of, risks_of
from scaling.formulas import book
from scaling.study.problem import CODES
from scaling.study.results import Port, Study
from scaling.study.tried import Tried, tried

MISSES = frozenset(code for code, kind in CODES.items() if kind.misses)

MET = 1e-9
"""A goal that is met exactly counts as met."""


class Found(NamedTuple):
    """A change that reaches the goal, and what came of it."""

    change: Change
    result: Tried

    @property
    def mass(self) -> float:
        """The kilograms that it adds at the port's size."""
        return self.result.added + self.change.uncounted


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


def mend_of(study: Study, port: Port, risk: Risk) -> Mend | None:
    """Return the change of least mass that brings a risk's number to its goal; None where none that was tried does.

    A change counts only where it makes the port miss nothing that it did not miss before, and puts no margin of
    survival below 1 that was above.
    """
    if risk.quantity is None or risk.value is None:
        return None
    bench = Bench(study, port)
    found = [
        best
        for offer in OFFERS.get(risk.code, ())
        for proposal in offer(bench, risk)
        if (best := _least(bench, risk, proposal)) is not None
    ]
    if not found:
        return None
    change, result = best = min(found, key=lambda each: round(each.mass, 7))
    return Mend(change.text, {**held_at(port), **change.keys}, result.values[risk.quantity], best.mass)


def _least(bench: Bench, risk: Risk, proposal: Proposal) -> Found | None:
    """The least size of a change that reaches the goal; None where none does.

    Sizes are looked at with the port's own factor first, for the risk's number alone; the law fixes it anew, with all
    that is watched, only for what helps.
    """
    assert risk.quantity is not None  # noqa: S101 - asked for such a risk only
    survived = survived_of(bench.study.design.variables)
    for change in proposal:
        glance = tried(bench.study, bench.port, change.keys, [risk.quantity], anew=False)
        if glance is None or not helped(risk, glance.values.get(risk.quantity, 0.0), survived):
            continue
        result = tried(bench.study, bench.port, change.keys, _watched(bench, risk))
        if result is None or not helped(risk, result.values.get(risk.quantity, 0.0), survived):
            continue
        if _spares(bench, risk, result):
            return Found(change, result)
    return None


def _watched(bench: Bench, risk: Risk) -> tuple[str, ...]:
    """What a trial looks at: the risk's number, and the margins of survival that stand above 1."""
    assert risk.quantity is not None  # noqa: S101 - asked for such a risk only
    return (risk.quantity, *book.of_role("survival", among=bench.port.quantities))


def _spares(bench: Bench, risk: Risk, result: Tried) -> bool:
    """Whether a change makes the port miss nothing new, and leaves above 1 what was."""
    had = {problem.code for problem in bench.port.problems}
    if (result.missed & MISSES) - had:
        return False
    was = bench.port.quantities
    return not any(
        name != risk.quantity and name in was and was[name].value >= 1 > result.values.get(name, 0.0)
        for name in book.of_role("survival", among=was)
    )


def risks_with_mends(study: Study, port: Port) -> tuple[Risk, ...]:
    """Return a port's risks, worst first, each with the cheapest mend."""
    return with_mends(study, port, risks_of(study, port))
