"""A drift as it is judged and told: by which clock, how far from 1, alike or not, and in which words."""

from __future__ import annotations

import math

from scaling.book.entry import Clock
from scaling.book.similarity import worse
from scaling.formulas import book
from scaling.study.results import Port

ALIKE = 0.05
"""A drift within five per cent of 1 counts as like the reference."""

USUAL: Clock = "gravity"
"""The clock of what has none of its own."""

DRIFT_OF = {"gravity": "gravity", "driver": "driver", "match": "driver"}
"""Whose drift counts by each clock: a match takes as long at any size, as a driver's answer does."""


def clock_of(name: str, clock: str | None = None) -> str:
    """The clock by which a quantity is judged: ``clock`` where it is given, else its own, else the usual one."""
    return DRIFT_OF[clock or book.quantities[name].clock or USUAL]


def told_clock(name: str) -> str | None:
    """The clock of a quantity as people are told it; None where no time is in it, so that all clocks agree."""
    entry = book.quantities[name]
    _, _, time, current, _ = entry.dimension
    return entry.clock or (USUAL if time or current else None)


def judged(port: Port, name: str, clock: str | None = None) -> float | None:
    """The drift of a port's quantity by the clock that it is judged by; None where it has none."""
    entry = port.quantities.get(name)
    return None if entry is None else entry.drift.get(clock_of(name, clock))


def counting(port: Port, name: str, clock: str | None = None) -> float | None:
    """The drift of a port's quantity as it counts in a verdict or a ranking: none of what no motor reaches."""
    entry = port.quantities.get(name)
    return None if entry is None or entry.if_reached else judged(port, name, clock)


def drift_size(drift: float | None) -> float:
    """How far a drift is from 1, on a log scale; a missing one counts as none, one of nought as without end."""
    if drift is None or drift < 0:
        return 0.0
    return abs(math.log(drift)) if drift > 0 else math.inf


def is_alike(drift: float) -> bool:
    """Whether a drift counts as like the reference."""
    return drift > 0 and drift_size(drift) <= math.log1p(ALIKE)


def is_against(drift: float | None, name: str) -> bool:
    """Whether a drift is unlike the reference and against the builder."""
    return drift is not None and not is_alike(drift) and worse(drift, book.quantities[name].better)


def drift_text(drift: float) -> str:
    """A drift in words, as what a quantity has more or less than the like of the reference would have.

    >>> drift_text(0.69), drift_text(1.2), drift_text(0.998)
    ('-31 %', '+20 %', '0 %')
    """
    percent = round(100 * (drift - 1))
    return f"{percent:+d} %" if percent else "0 %"
