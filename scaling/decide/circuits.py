"""Whether rows of exponents can be met together, and the smallest sets of them that cannot.

Each row says that a product of powers of unknown scale factors is a given number: row . x = b over the factors' logs.
All can be met exactly where rank A = rank [A|b], which is where every combination of the rows that has no unknown left
in it gives nought on the right too. Exponents are exact fractions; only the right sides may be floats.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import combinations

from scaling.book.dimensions import rank, solve_exactly
from scaling.book.groups import null_space

Row = Sequence[Fraction]

NOTHING = 1e-9
"""A right side within this of nought, in ln, is nought: what rounding leaves of a ratio that is held."""


def can_be_met(rows: Sequence[Row], right: Sequence[Fraction | float]) -> bool:
    """Return whether one set of unknowns meets every row: rank A = rank [A|b]."""
    return all(abs(_left(sides, right)) <= NOTHING * sum(map(abs, sides)) for sides in combined_away(rows))


def combined_away(rows: Sequence[Row]) -> list[list[Fraction]]:
    """Return a basis of the combinations of the rows that have no unknown left in them, coprime whole numbers each."""
    if not rows:
        return []
    columns = [list(column) for column in zip(*rows, strict=True)]
    return null_space(columns or [[Fraction(0)] * len(rows)])


def _left(sides: Sequence[Fraction], right: Sequence[Fraction | float]) -> float:
    return float(sum(side * value for side, value in zip(sides, right, strict=True)))


def conflicts(rows: Sequence[Row], right: Sequence[Fraction | float]) -> Iterator[tuple[int, ...]]:
    """Yield every set of rows (by place) that cannot be met together though each smaller one within it can.

    The smallest come first. Such a set has at most one row more than the rank, since the rows of a smaller one are
    independent. Over rows whose right sides have nothing in common these are the circuits of a matroid.
    """
    found: list[frozenset[int]] = []
    for size in range(1, min(len(rows), rank(rows) + 1) + 1):
        for places in combinations(range(len(rows)), size):
            if any(known <= set(places) for known in found):
                continue
            if not can_be_met([rows[place] for place in places], [right[place] for place in places]):
                found.append(frozenset(places))
                yield places


def smallest_conflict(rows: Sequence[Row], right: Sequence[Fraction | float]) -> tuple[int, ...] | None:
    """Return the first of the smallest sets of rows that cannot be met together, None where all can."""
    return None if can_be_met(rows, right) else next(conflicts(rows, right))


def met_by(rows: Sequence[Row], right: Sequence[Fraction | float]) -> list[float]:
    """Return unknowns that meet rows that can be met: the first of them move, what need not stays at nought."""
    chosen: list[int] = []
    for place in range(len(rows)):
        if rank([rows[each] for each in (*chosen, place)]) > len(chosen):
            chosen.append(place)
    width = len(rows[0]) if rows else 0
    if not chosen:
        return [0.0] * width
    found = solve_exactly([rows[place] for place in chosen], [Fraction(right[place]) for place in chosen])
    return [float(value) for value in found or [Fraction(0)] * width]


def left_over(rows: Sequence[Row], right: Sequence[Fraction | float], places: Sequence[int]) -> list[float]:
    """Return, of a smallest conflict, by how much each of its rows is off where the others are met: row . x - b."""
    (sides,) = combined_away([rows[place] for place in places])
    total = _left(sides, [right[place] for place in places])
    return [-total / float(side) for side in sides]
