"""The ranked list of what is likeliest to go wrong with a port at its first event."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from scaling.book.told_apart import told_apart
from scaling.decide.chance import chance_at, rise_of, scatter_of, survived_of
from scaling.decide.risk_kinds import CREEP, CREEP_TEST, KINDS, RiskKind
from scaling.files.units import format_value
from scaling.formulas import book
from scaling.study.drifts import ALIKE
from scaling.study.problem import in_sentence
from scaling.study.results import Port, Study

RISEN = 0.02
"""A rise of the chance of failing from which a risk stands."""

RISES = 6
"""Digits after the point of a chance that count: of many ports at once it is known to seven."""

NEAREST = 3
"""Risks that are told even where none stands."""


@dataclass(frozen=True)
class Mend:
    """The cheapest change that was found by trying: what to do, the brief's keys for it, what it gives and weighs.

    ``value`` is the risk's number afterwards, ``mass`` the kilograms that it adds at the port's size, ``costs`` what
    else it costs most of, nothing where that is little.
    """

    text: str
    changes: Mapping[str, str]
    value: float
    mass: float
    costs: str = ""


@dataclass(frozen=True)
class Risk:
    """One thing that may go wrong with a port.

    ``value``, the ``reference``'s beside it, and the ``limit`` that it must not fall below belong to ``quantity``.
    ``rise`` is by how much the chance of failing rose from the reference, as a share of the hits that meet the place.
    ``stands`` says whether the number is past its limit or its chance rose; what does not is only among the nearest,
    and counts in no ranking.
    """

    kind: RiskKind | None
    code: str
    quantity: str | None = None
    value: float | None = None
    reference: float | None = None
    limit: float | None = None
    rise: float = 0.0
    stands: bool = True
    mend: Mend | None = field(default=None, compare=False)

    @property
    def says(self) -> str:
        """What may go wrong, in a clause."""
        return CREEP_SAYS if self.kind is None else self.kind.says

    @property
    def text(self) -> str:
        """The risk as a sentence, with its numbers."""
        return f"{self.says[0].upper()}{self.says[1:]}{f': {self.numbers}' if self.numbers else ''}."

    @property
    def numbers(self) -> str:
        """The numbers as people read them; nothing where there are none."""
        if self.quantity is None or self.value is None:
            return ""
        unit = book.quantities[self.quantity].unit
        text = f"{in_sentence(self.quantity)} {format_value(self.value, unit)}"
        if self.reference is not None:
            text += f", reference {format_value(self.reference, unit)}"
        if self.kind is not None and self.kind.limit is not None:
            text += f", wants {format_value(self.kind.limit, unit, 2)}"
        return text


CREEP_SAYS = "whether the rotor creeps while the drive is at full is not tested"


def risks_of(study: Study, port: Port) -> tuple[Risk, ...]:
    """Return a port's risks, the one whose chance rose most first; the nearest stand though none is past its limit."""
    if port.factor is None:
        return ()
    values = {name: entry.value for name, entry in port.quantities.items() if not entry.if_reached}
    ranked = ranked_risks(values, study.reference, survived_of(study.design.variables))
    standing = [risk for risk in ranked if risk.stands]
    nearest = sorted((risk for risk in ranked if not risk.stands), key=_level)[:NEAREST]
    return (*standing, *_creep(study, port), *(risk for risk in nearest))


def ranked_risks(values: Mapping[str, float], reference: Mapping[str, float], survived: float) -> list[Risk]:
    """Return what a port's quantities and the reference's tell of: a risk each code, what stands first, then worst."""
    found = [risk for kind in KINDS if (risk := _worst(kind, values, reference, survived)) is not None]
    return _once_each(sorted(found, key=lambda risk: (not risk.stands, -told_apart(risk.rise, RISES), _level(risk))))


def _once_each(ranked: list[Risk]) -> list[Risk]:
    """The first risk of each code: places that fail alike are told by the worst, since one hit loads all of them."""
    first: dict[str, Risk] = {}
    for risk in ranked:
        first.setdefault(risk.code, risk)
    return list(first.values())


def _creep(study: Study, port: Port) -> tuple[Risk, ...]:
    """The test that only a bench can make, on the list until it is recorded."""
    machine = port.machine or study.design
    return (Risk(None, CREEP),) if machine.has_rotor and CREEP_TEST not in machine.choices else ()


def _worst(
    kind: RiskKind, values: Mapping[str, float], reference: Mapping[str, float], survived: float
) -> Risk | None:
    """The quantity of one row that tells most of a failure; None where the port has none of them."""
    among = [risk_of(kind, name, values[name], reference.get(name), survived) for name in kind.among(values)]
    found = [risk for risk in among if risk is not None]
    return max(found, key=lambda risk: (risk.stands, told_apart(risk.rise, RISES), -_level(risk)), default=None)


def risk_of(kind: RiskKind, name: str, value: float, reference: float | None, survived: float) -> Risk | None:
    """Return what a quantity's ``value`` says of one row; None where there is no limit to hold it against."""
    limit = _limit(kind, reference)
    if limit is None:
        return None
    rise, stands = _rise(kind, name, value, reference, limit, survived)
    return Risk(kind, kind.code, name, value, reference, limit, float(rise), bool(stands))


def _limit(kind: RiskKind, reference: float | None) -> float | None:
    limit = reference if kind.limit is None else kind.limit
    return None if limit is None or limit <= 0 else limit


def _rise(
    kind: RiskKind, name: str, value: Any, reference: float | None, limit: float, survived: float
) -> tuple[Any, Any]:
    """By how much the chance rises, and whether the risk stands: of one port's ``value``, or an array over many."""
    if kind.scatter is None:
        rise = rise_of(value, reference, limit, scatter_of(name), survived)
    else:
        before = 0.0 if reference is None else chance_at(reference, limit, kind.scatter)
        rise = chance_at(value, limit, kind.scatter) - before
    rise = kind.exposure * rise
    past = value < limit * (1 - ALIKE if kind.limit is None else 1)
    return rise, past | (rise >= RISEN)


def _level(risk: Risk) -> float:
    """How many times its limit a risk's number is: the least is the nearest."""
    return told_apart(risk.value / risk.limit) if risk.value is not None and risk.limit else 0.0


def mended(risk: Risk, mend: Mend | None) -> Risk:
    """The risk with the mend that was found for it."""
    return replace(risk, mend=mend)


def burden(risks: tuple[Risk, ...]) -> float:
    """Sum of the rises in chance of the risks that stand; falls are no credit, since one hit loads all parts."""
    return sum(max(0.0, risk.rise) for risk in risks if risk.stands)


def burdens(values: Mapping[str, Any], reference: Mapping[str, float], survived: float) -> Any:
    """Return what ``burden`` says of the risks of many ports at once, their quantities given as arrays.

    What a port does not have is NaN, or not among them, and no risk.
    """
    worst: dict[str, Any] = {}
    for kind in KINDS:
        for name in kind.among(values):
            own = reference.get(name)
            if (limit := _limit(kind, own)) is not None:
                rise, stands = _rise(kind, name, values[name], own, limit, survived)
                counted = np.where(stands, np.fmax(0.0, rise), 0.0)
                worst[kind.code] = np.maximum(worst.get(kind.code, 0.0), counted)
    return sum(worst.values(), start=np.float64(0.0))
