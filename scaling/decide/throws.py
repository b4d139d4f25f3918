"""How far a hit throws the opponent, as far as that is known: by the first tooth, by the engagement, and at most.

How many teeth of an engagement get in hangs on the radial share of the cutting force, which has no source. So every
throw is told with what that may change, and which port throws farthest with whether that hangs on it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from scaling.book.distinct import distinct
from scaling.files.units import format_number, format_value
from scaling.formulas import book
from scaling.formulas.impact.engagement import THRUST_RANGE
from scaling.study.drifts import drift_text
from scaling.study.results import Port, Study

KEY = "rotor.radial_share"

ENGAGEMENTS = ("throw_height", "throw_slide")
"""What an engagement gives, upwards or sideways: a machine has one of the two."""

AS_FAR = 0.02
"""A throw within this share of the farthest counts as as far."""


@dataclass(frozen=True)
class Throw:
    """How far the reference or a port throws, m.

    ``name`` is its quantity, ``engagement`` its value by the radial share of the cutting force, from the least to the
    most of it, and ``drift`` that over the like of the reference with the same share; empty for the reference.
    """

    whose: str
    name: str
    first_tooth: float | None
    engagement: Mapping[float, float]
    bound: float | None
    drift: Mapping[float, float]
    if_reached: bool = False


def throws(study: Study) -> list[Throw]:
    """Return the reference's throw and every port's; none where there is no rotor that throws."""
    design = study.design
    name = next((name for name in ENGAGEMENTS if name in study.reference), None)
    if name is None:
        return []
    shares = _shares(design.variables[KEY])
    own = _by_share(name, design.variables, design.traits, shares)
    values = study.reference
    found = [Throw("reference", name, values.get(f"{name}_first_tooth"), own, values.get(f"{name}_bound"), {})]
    return found + [
        _of_port(letter, port, name, own, (port.machine or design).traits)
        for letter, port in zip(study.letters, study.ports, strict=True)
        if name in port.quantities
    ]


def _of_port(letter: str, port: Port, name: str, own: Mapping[float, float], traits: frozenset[str]) -> Throw:
    entry = port.quantities[name]
    first, bound = (port.quantities.get(f"{name}_{which}") for which in ("first_tooth", "bound"))
    far = _by_share(name, port.variables, traits, tuple(own))
    alike = entry.similarity["gravity"]
    return Throw(
        letter,
        name,
        None if first is None else first.value,
        far,
        None if bound is None else bound.value,
        {share: value / own[share] / alike for share, value in far.items() if own[share]},
        entry.if_reached,
    )


def _shares(stated: float) -> tuple[float, ...]:
    low, high = THRUST_RANGE
    return tuple(float(share) for share in distinct([*np.linspace(low, high, 5), stated]).round(6))


def _by_share(
    name: str, variables: Mapping[str, float], traits: frozenset[str], shares: tuple[float, ...]
) -> dict[float, float]:
    given = {**variables, KEY: np.asarray(shares)}
    far = np.broadcast_to(book.evaluate(given, traits, only=[name])[name], len(shares))
    return dict(zip(shares, map(float, far), strict=True))


def doubt_text(throw: Throw) -> str:
    """Return what a throw's drift may be from the least to the most radial share, in a few words.

    >>> doubt_text(Throw("A", "throw_height", None, {0.2: 1.0, 1.0: 0.9}, None, {0.2: 0.7, 0.5: 0.75, 1.0: 0.69}))
    '-31 to -25 %'
    """
    low, high = (drift_text(drift) for drift in (min(throw.drift.values()), max(throw.drift.values())))
    return low if low == high else f"{low.removesuffix(' %')} to {high}"


def range_text(throw: Throw) -> str:
    """Return what a throw may be from the least to the most radial share, to follow it; nothing where it is one.

    >>> range_text(Throw("A", "throw_height", None, {0.2: 0.81, 1.0: 0.74}, None, {}))
    ', 740 to 810 by the cut'
    """
    low, high = (format_value(far, "m").partition(" ")[0] for far in (min(throw.engagement.values()),
                                                                      max(throw.engagement.values())))  # fmt: skip
    return "" if low == high else f", {low} to {high} by the cut"


def farthest_lines(study: Study) -> list[str]:
    """Say which port throws farthest, and whether that hangs on the radial share of the cutting force."""
    ports = [throw for throw in throws(study) if throw.whose != "reference"]
    within = [throw for throw in ports if not throw.if_reached]
    lines = [_farthest(within, "")] if len(within) > 1 else []
    if len(within) < len(ports) > 1:
        lines.append(_farthest(ports, "If every speed were reached: "))
    return lines


def _farthest(ports: list[Throw], start: str) -> str:
    shares = tuple(ports[0].engagement)
    best = {share: _as_far(ports, share) for share in shares}
    always = set.intersection(*(set(letters) for letters in best.values()))
    if always:
        whatever = f"whatever {KEY} is from {shares[0]:g} to {shares[-1]:g}"
        said = f"{start}{' '.join(sorted(always))} throws farthest, {whatever}."
    else:
        told: dict[str, tuple[float, str]] = {}
        for share, letters in best.items():
            far = max(throw.engagement[share] for throw in ports)
            told.setdefault(" ".join(letters), (share, format_value(far, "m")))
        each = "; ".join(f"from {share:g} on {letters}, {far}" for letters, (share, far) in told.items())
        said = f"{start}which port throws farthest hangs on {KEY}, which has no source: {each}."
    return said[0].upper() + said[1:]


def _as_far(ports: list[Throw], share: float) -> list[str]:
    far = max(throw.engagement[share] for throw in ports)
    return [throw.whose for throw in ports if throw.engagement[share] >= (1 - AS_FAR) * far]


def share_text(share: float) -> str:
    """Return a radial share as a column's head has it."""
    return format_number(share, 2).rstrip("0").rstrip(".")
