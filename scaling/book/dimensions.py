"""Dimensions as exact exponents, and the algebra that carries exponents through a formula.

The same walk serves twice. Give it the dimensions of each variable and it returns the dimensions of a
formula, or says where the formula adds unlike things. Give it the power of the scale factor that each
variable follows and it returns the power that the formula follows, or says that there is none.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import cache
from math import gcd, lcm

from scaling.book.algebra import Expression

BASE = ("M", "L", "T", "I", "Theta")
"""Mass, length, time, electric current, temperature: the order of every dimension vector here."""

Dimension = tuple[Fraction, ...]
"""Exponents of BASE, one exact fraction each."""


def _dimension(*powers: int) -> Dimension:
    return tuple(Fraction(power) for power in powers)


# SI Brochure, 9th edition (BIPM 2019), tables 2 and 4: base units and derived units with special names.
UNITS: dict[str, Dimension] = {
    "1": _dimension(0, 0, 0, 0, 0),
    "rad": _dimension(0, 0, 0, 0, 0),
    "kg": _dimension(1, 0, 0, 0, 0),
    "m": _dimension(0, 1, 0, 0, 0),
    "s": _dimension(0, 0, 1, 0, 0),
    "A": _dimension(0, 0, 0, 1, 0),
    "K": _dimension(0, 0, 0, 0, 1),
    "Hz": _dimension(0, 0, -1, 0, 0),
    "N": _dimension(1, 1, -2, 0, 0),
    "Pa": _dimension(1, -1, -2, 0, 0),
    "J": _dimension(1, 2, -2, 0, 0),
    "W": _dimension(1, 2, -3, 0, 0),
    "C": _dimension(0, 0, 1, 1, 0),
    "V": _dimension(1, 2, -3, -1, 0),
    "ohm": _dimension(1, 2, -3, -2, 0),
}


@cache
def dimension_of(unit: str) -> Dimension:
    """Return the exponents of BASE of an SI unit written as ``'kg m^2 / s'`` or ``'rad/s/V'``.

    >>> dimension_of("N m") == dimension_of("kg m^2/s^2") == dimension_of("J")
    True
    """
    powers = [Fraction(0)] * len(BASE)
    sign = 1
    for mark, name, power in re.findall(r"([/])|([A-Za-z]+|1)(?:\^(-?\d+))?", unit):
        if mark:
            sign = -1  # everything after a slash divides, one unit at a time
            continue
        for place, base in enumerate(UNITS[name]):
            powers[place] += sign * base * Fraction(power or 1)
        sign = 1
    return tuple(powers)


class NotHomogeneousError(ValueError):
    """An expression has no single set of exponents: it adds, compares or raises unlike things."""


def exponents(
    formula: Expression, of: Mapping[str, Sequence[Fraction] | None], without: frozenset[str] = frozenset()
) -> Dimension:
    """Return the exponents that ``formula`` has, given those ``of`` each of its symbols.

    Every variable x_i is imagined multiplied by s^(of[x_i]) for each scale s in turn; the result holds the
    powers of s by which the formula is then multiplied. With dimensions in ``of`` the scales are
    the base units and the walk checks homogeneity; with powers of the scale factor it gives
    d ln q / d ln lambda. An entry of None marks a symbol that follows no single power, and the symbols in ``without``
    are taken as nothing: a term that they multiply is left out of its sum.

    Raises NotHomogeneousError where no such powers exist.
    """
    width = next((len(entry) for entry in of.values() if entry is not None), 1)
    nothing: Dimension = (Fraction(0),) * width

    def equal(parts: Sequence[Expression]) -> Dimension:
        found = {walk(part) for part in parts if part.exact != 0 and not vanishes(part)}
        if len(found) > 1:
            raise NotHomogeneousError(f"unlike terms: {', '.join(map(str, parts))}")
        return found.pop() if found else nothing

    def vanishes(node: Expression) -> bool:
        if node.kind == "symbol":
            return node.args[0] in without
        if node.kind == "mul":
            return any(map(vanishes, node.args))
        return node.kind == "add" and all(map(vanishes, node.args))

    def walk(node: Expression) -> Dimension:
        if without and vanishes(node):
            raise NotHomogeneousError(f"{node} is nothing, which follows any power")
        if node.kind == "symbol":
            entry = of[node.args[0]]
            if entry is None:
                raise NotHomogeneousError(f"{node} follows no single power")
            return tuple(entry)
        if node.is_constant:
            return nothing
        if node.kind == "mul":
            return tuple(sum(column[1:], column[0]) for column in zip(*map(walk, node.args), strict=True))
        if node.kind == "pow":
            return _raised(node)
        if node.kind in ("add", "min", "max"):
            return equal(node.args)
        if node.kind == "abs":
            return walk(node.args[0])
        if node.kind == "cases":
            for _, condition in node.args:
                if isinstance(condition, Expression):
                    equal(condition.args)
            return equal([value for value, _ in node.args])
        for argument in node.args:  # exp, log, sin ...: their argument must be a pure number
            if walk(argument) != nothing:
                raise NotHomogeneousError(f"argument of {node.kind} has exponents in {node}")
        return nothing

    def _raised(node: Expression) -> Dimension:
        base, power = node.args
        below = walk(base)
        if power.exact is not None:
            return tuple(entry * power.exact for entry in below)
        if below == nothing and walk(power) == nothing:
            return nothing
        raise NotHomogeneousError(f"power is not a pure number in {node}")

    return walk(formula)


def row_reduce(rows: Sequence[Sequence[Fraction]]) -> tuple[list[list[Fraction]], list[int]]:
    """Return the reduced row echelon form of a matrix of fractions, exact, and its pivot columns."""
    matrix = [_whole(row) for row in rows]
    pivots: list[int] = []
    columns = len(matrix[0]) if matrix else 0
    for column in range(columns):
        top = len(pivots)
        found = next((r for r in range(top, len(matrix)) if matrix[r][column] != 0), None)
        if found is None:
            continue
        matrix[top], matrix[found] = matrix[found], matrix[top]
        lead = matrix[top][column]
        for r, row in enumerate(matrix):
            if r != top and row[column] != 0:
                matrix[r] = _coprime(
                    [lead * entry - row[column] * above for entry, above in zip(row, matrix[top], strict=True)]
                )
        pivots.append(column)
    leads = [matrix[line][column] for line, column in enumerate(pivots)] + [1] * (len(matrix) - len(pivots))
    return [[Fraction(entry, lead) for entry in row] for row, lead in zip(matrix, leads, strict=True)], pivots


def _whole(row: Sequence[Fraction]) -> list[int]:
    """A row times what makes whole numbers of it: these cost a tenth of fractions."""
    scale = lcm(*(entry.denominator for entry in row))
    return _coprime([entry.numerator * (scale // entry.denominator) for entry in row])


def _coprime(row: list[int]) -> list[int]:
    shared = gcd(*row)
    return row if shared <= 1 else [entry // shared for entry in row]


def rank(rows: Sequence[Sequence[Fraction]]) -> int:
    """Return the exact rank of a matrix of fractions."""
    return len(row_reduce(rows)[1])


def solve_exactly(rows: Sequence[Sequence[Fraction]], right: Sequence[Fraction]) -> list[Fraction] | None:
    """Return one exact solution x of rows x = right, or None when there is none."""
    reduced, pivots = row_reduce([[*row, value] for row, value in zip(rows, right, strict=True)])
    width = len(rows[0])
    if width in pivots:
        return None
    solution = [Fraction(0)] * width
    for line, column in enumerate(pivots):
        solution[column] = reduced[line][width]
    return solution
