"""Reading an expression as numbers: a SymPy tree becomes nested functions over numpy arrays.

SymPy's own lambdify does the same by way of generated source, some milliseconds an expression; with some
hundreds of formulas in the book that would be most of a study's time. The tests hold the two equal.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import reduce
from typing import Any

import numpy as np
import sympy
from sympy.core.relational import Relational
from sympy.functions.elementary.piecewise import ExprCondPair

Evaluator = Callable[[Mapping[str, Any]], Any]
"""Takes numbers or arrays by symbol name, gives the expression's value."""

FUNCTIONS: dict[Any, Any] = {
    sympy.exp: np.exp,
    sympy.log: np.log,
    sympy.sin: np.sin,
    sympy.cos: np.cos,
    sympy.tan: np.tan,
    sympy.asin: np.arcsin,
    sympy.acos: np.arccos,
    sympy.atan: np.arctan,
    sympy.sinh: np.sinh,
    sympy.cosh: np.cosh,
    sympy.tanh: np.tanh,
    sympy.Abs: np.abs,
    sympy.sign: np.sign,
    sympy.floor: np.floor,
    sympy.ceiling: np.ceil,
    sympy.atan2: np.arctan2,
}
FOLDED: dict[Any, Any] = {
    sympy.Add: np.add,
    sympy.Mul: np.multiply,
    sympy.Min: np.minimum,
    sympy.Max: np.maximum,
    sympy.And: np.logical_and,
    sympy.Or: np.logical_or,
}
RELATIONS: dict[Any, Any] = {
    sympy.StrictLessThan: np.less,
    sympy.LessThan: np.less_equal,
    sympy.StrictGreaterThan: np.greater,
    sympy.GreaterThan: np.greater_equal,
    sympy.Eq: np.equal,
    sympy.Ne: np.not_equal,
}


def evaluator(node: sympy.Basic) -> Evaluator:
    """Return a function that gives the value of ``node`` for numbers or arrays by symbol name.

    Raises NotImplementedError for a function that is not in the tables above.
    """
    if isinstance(node, sympy.Symbol):
        name = node.name
        return lambda given: given[name]
    if getattr(node, "is_number", False):
        number = float(node)
        return lambda _: number
    if node in (sympy.true, sympy.false):
        truth = bool(node)
        return lambda _: truth
    if isinstance(node, sympy.Pow):
        return _power(node)
    if isinstance(node, sympy.Piecewise):
        return _piecewise(node)
    parts = [evaluator(part) for part in node.args]
    if node.func in FOLDED:
        fold = FOLDED[node.func]
        return lambda given: reduce(fold, [part(given) for part in parts])
    function = FUNCTIONS.get(node.func) or (RELATIONS.get(node.func) if isinstance(node, Relational) else None)
    if function is None:
        raise NotImplementedError(f"{node.func} has no numpy counterpart here: add it to scaling/formulas/numeric.py")
    return lambda given: function(*[part(given) for part in parts])


def _power(node: sympy.Pow) -> Evaluator:
    base, power = evaluator(node.base), node.exp
    if power == -1:
        return lambda given: 1.0 / base(given)
    if power == sympy.Rational(1, 2):
        return lambda given: np.sqrt(base(given))
    if power == 2:
        return lambda given: np.square(base(given))
    raised = evaluator(power)
    return lambda given: np.power(base(given), raised(given))


def _piecewise(node: sympy.Piecewise) -> Evaluator:
    """The first branch whose condition holds, NaN where none does."""
    pairs: list[tuple[Evaluator, Evaluator]] = []
    for pair in node.args:
        assert isinstance(pair, ExprCondPair)  # noqa: S101 - what a Piecewise is made of, for the type checker
        pairs.append((evaluator(pair.args[0]), evaluator(pair.args[1])))

    def value(given: Mapping[str, Any]) -> Any:
        result: Any = np.nan
        for branch, condition in reversed(pairs):
            result = np.where(condition(given), branch(given), result)
        return result

    return value
