"""What a key of a file may hold: a number with a unit, or a word."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Allowed = Literal["positive", "not negative", "fraction", "share", "any", "count"]


@dataclass(frozen=True)
class Number:
    """A key of a file that is a number: its dotted key, symbol, SI unit, meaning and what it may be.

    A key with a ``default`` or that is ``optional`` may be left out; one that is ``derived`` follows from others.
    """

    key: str
    symbol: str
    unit: str
    meaning: str
    allowed: Allowed = field(default="positive", kw_only=True)
    default: float | None = field(default=None, kw_only=True)
    optional: bool = field(default=False, kw_only=True)
    derived: bool = field(default=False, kw_only=True)


@dataclass(frozen=True)
class Choice:
    """A key of a file that is not a number: free text, or one of a few words.

    A word out of ``allowed`` becomes a trait of the design, 'key=word', by which formulas know
    whether they apply. A key that ends in ``material`` names a material, whose density, strength, modulus and
    poisson become variables of the same table where the book knows them.
    """

    allowed: tuple[str, ...] | None
    meaning: str
    default: str | None = None
    optional: bool = False
