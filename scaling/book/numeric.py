"""Reading an expression as numbers: its tree becomes nested functions over numpy arrays.

What has no names in it is worked out once, while the functions are made. The tests hold every formula of the book equal
to SymPy's own reading of it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import reduce
from operator import add, mul, sub, truediv
from typing import Any

import numpy as np

from scaling.book.algebra import Expression, expression, over

Evaluator = Callable[[Mapping[str, Any]], Any]
"""Takes numbers or arrays by symbol name, gives the expression's value."""

FUNCTIONS: dict[str, Any] = {
    "exp": np.exp,
    "log": np.log,
    "sin": np.sin,
    "cos": np.cos,
    "tan": np.tan,
    "asin": np.arcsin,
    "acos": np.arccos,
    "atan": np.arctan,
    "abs": np.abs,
    "floor": np.floor,
    "<": np.less,
    "<=": np.less_equal,
    ">": np.greater,
    ">=": np.greater_equal,
}
FOLDED: dict[str, Any] = {"min": np.minimum, "max": np.maximum}

POWERS: dict[tuple[int, int], Callable[[Any], Any]] = {
    (-1, 1): lambda base: 1.0 / base,
    (-1, 2): lambda base: 1.0 / np.sqrt(base),
    (1, 2): np.sqrt,
    (3, 2): lambda base: base * np.sqrt(base),
    (2, 1): np.square,
    (3, 1): lambda base: base * np.square(base),
    (4, 1): lambda base: np.square(np.square(base)),
}
"""Powers, by numerator and denominator, that multiplications and roots give sooner than a power does."""


HALVES = frozenset(2**power for power in range(1, 11))
"""Whole numbers over which a quotient is the product with their inverse, to the last bit."""


def evaluator(node: Expression) -> Evaluator:
    """Return a function that gives the value of ``node`` for numbers or arrays by symbol name."""
    if node.kind == "symbol":
        name = node.args[0]
        return lambda given: given[name]
    if node.is_constant:
        number = float(_READERS[node.kind](node)({}))
        return lambda _: number
    return _READERS[node.kind](node)


def constant(node: Expression) -> float:
    """Return the value of an expression without names."""
    return float(evaluator(node)({}))


def _number(node: Expression) -> Evaluator:
    number = np.pi if node.kind == "pi" else float(node.args[0])
    return lambda _: number


def _call(node: Expression) -> Evaluator:
    function, parts = FUNCTIONS[node.kind], [evaluator(part) for part in node.args]
    if len(parts) == 1:
        inside, = parts
        return lambda given: function(inside(given))
    left, right = parts
    return lambda given: function(left(given), right(given))


def _fold(function: Any, parts: Sequence[Evaluator]) -> Evaluator:
    if len(parts) == 1:
        return parts[0]
    if len(parts) == 2:
        left, right = parts
        return lambda given: function(left(given), right(given))
    return lambda given: reduce(function, [part(given) for part in parts])


def _folded(node: Expression) -> Evaluator:
    return _fold(FOLDED[node.kind], [evaluator(part) for part in node.args])


def _total(node: Expression) -> Evaluator:
    """The terms that are added less those that are taken off."""
    plus = [evaluator(term) for term in node.args if not term.is_negative]
    minus = [evaluator(-term) for term in node.args if term.is_negative]
    return _apart(add, sub, np.negative, plus, minus)


def _product(node: Expression) -> Evaluator:
    """The factors above the line over those below it."""
    above, below = over(node)
    whole = below[0].exact if len(below) == 1 and above else None
    if whole is not None and whole in HALVES:  # a product takes half the time of a quotient
        above, below = [*above, expression(1 / whole)], []
    return _apart(mul, truediv, np.reciprocal, list(map(evaluator, above)), list(map(evaluator, below)))


def _apart(join: Any, part: Any, alone: Any, first: Sequence[Evaluator], second: Sequence[Evaluator]) -> Evaluator:
    """Return what ``first`` joined give and ``second`` joined parted from them."""
    if not second:
        return _fold(join, first)
    low = _fold(join, second)
    if not first:
        return lambda given: alone(low(given))
    high = _fold(join, first)
    return lambda given: part(high(given), low(given))


def _power(node: Expression) -> Evaluator:
    base, power = evaluator(node.args[0]), node.args[1]
    exact = power.exact
    if exact is not None and (short := POWERS.get(exact.as_integer_ratio())) is not None:
        return lambda given: short(base(given))
    raised = evaluator(power)
    return lambda given: np.power(base(given), raised(given))


def _cases(node: Expression) -> Evaluator:
    """The first value whose condition holds, NaN where none does."""
    pairs = [(evaluator(value), _condition(condition)) for value, condition in node.args]

    def value(given: Mapping[str, Any]) -> Any:
        result: Any = np.nan
        for branch, condition in reversed(pairs):
            result = np.where(condition(given), branch(given), result)
        return result

    return value


def _condition(condition: Expression | bool) -> Evaluator:
    return evaluator(condition) if isinstance(condition, Expression) else lambda _: condition


_READERS: dict[str, Callable[[Expression], Evaluator]] = {
    "number": _number,
    "pi": _number,
    "add": _total,
    "mul": _product,
    "pow": _power,
    "cases": _cases,
    **dict.fromkeys(FUNCTIONS, _call),
    **dict.fromkeys(FOLDED, _folded),
}
