"""One ranked combination of what can be bought: what was chosen, and how it is judged."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Option:
    """One ranked combination: what was chosen, how it was fitted, and what it is judged by.

    ``misses`` are codes as a port has them, gravest first; ``score`` is less the better, ``aims`` more. ``price`` is
    that of its motors, None where it is not known. ``changes`` are what a brief must say for a study of it, a rotor
    that was ``redrawn`` round its motor included. ``text`` says of it what counts, in sentences.
    """

    rank: int
    chosen: dict[str, str]
    fit: str
    factor: float
    mass: float
    left: float
    status: str
    misses: tuple[str, ...]
    score: float
    aims: dict[str, float]
    unbeaten: bool
    redrawn: bool
    price: str | None
    values: dict[str, float]
    changes: dict[str, str]
    text: str
