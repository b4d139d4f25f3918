"""What the formulas of the book are written in: expressions over names, recorded as they stand.

``symbols`` gives the names, Python's operators and the functions below join them. Nothing is worked out but plain
numbers, and a name over itself is left out: an expression is a tree that is read as numbers (``numeric``), as exponents
(``dimensions``) and as text, and that ``symbolic`` turns into SymPy where somebody wants to derive something new from
it. So a formula costs what writing it down costs, and no run has to import SymPy to have the book.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any, ClassVar

Number = int | float | Fraction

FUNCTIONS = ("exp", "log", "sin", "cos", "tan", "asin", "acos", "atan", "abs", "floor", "min", "max")
"""Kinds of expression that are a function's value; the arguments are ``args``."""

RELATIONS = ("<", "<=", ">", ">=")
"""Kinds of expression that are a condition between two others."""


class Expression:
    """A node of a formula: its ``kind`` and what it is made of.

    ``symbol`` (a name), ``number`` (a Fraction where it is exact, else a float), ``pi``, ``add`` and ``mul`` (any
    number of terms), ``pow`` (base and exponent), ``cases`` (pairs of a value and a condition or True), one of
    FUNCTIONS or one of RELATIONS. A quotient is a product with a power of -1, a difference a sum with a product by -1.
    ``names`` are those of the symbols in it. Nothing changes a node once it is made.
    """

    __slots__ = ("args", "kind", "names")
    __array_ufunc__: ClassVar[None] = None  # a numpy number on the left leaves the operation to this class

    def __init__(self, kind: str, args: tuple[Any, ...], names: frozenset[str]) -> None:
        self.kind = kind
        self.args = args
        self.names = names

    def __add__(self, other: Expression | Number) -> Expression:
        return _total(self, expression(other))

    def __radd__(self, other: Number) -> Expression:
        return _total(expression(other), self)

    def __sub__(self, other: Expression | Number) -> Expression:
        return _total(self, -expression(other))

    def __rsub__(self, other: Number) -> Expression:
        return _total(expression(other), -self)

    def __neg__(self) -> Expression:
        return _product(MINUS_ONE, self)

    def __mul__(self, other: Expression | Number) -> Expression:
        return _product(self, expression(other))

    def __rmul__(self, other: Number) -> Expression:
        return _product(expression(other), self)

    def __truediv__(self, other: Expression | Number) -> Expression:
        return _product(self, _power(expression(other), MINUS_ONE))

    def __rtruediv__(self, other: Number) -> Expression:
        return _product(expression(other), _power(self, MINUS_ONE))

    def __pow__(self, other: Expression | Number) -> Expression:
        return _power(self, expression(other))

    def __rpow__(self, other: Number) -> Expression:
        return _power(expression(other), self)

    def __lt__(self, other: Expression | Number) -> Expression:
        return _node("<", (self, expression(other)))

    def __le__(self, other: Expression | Number) -> Expression:
        return _node("<=", (self, expression(other)))

    def __gt__(self, other: Expression | Number) -> Expression:
        return _node(">", (self, expression(other)))

    def __ge__(self, other: Expression | Number) -> Expression:
        return _node(">=", (self, expression(other)))

    def __str__(self) -> str:
        return _text(self)

    def __bool__(self) -> bool:
        raise TypeError("an expression is neither true nor false: write cases for a choice")

    @property
    def is_constant(self) -> bool:
        """Whether it holds no symbol."""
        return not self.names

    @property
    def exact(self) -> Fraction | None:
        """The number that it is, where that is an exact one."""
        return self.args[0] if self.kind == "number" and type(self.args[0]) is Fraction else None

    @property
    def is_negative(self) -> bool:
        """Whether it is written with a minus sign in front: a number below 0 or a product with one."""
        if self.kind == "number":
            return bool(self.args[0] < 0)
        return self.kind == "mul" and bool(self.args[0].is_negative)


def expression(value: Expression | Number) -> Expression:
    """Return a number as an expression, whole numbers and fractions exact; an expression as it is."""
    if isinstance(value, Expression):
        return value
    if isinstance(value, float):
        return _leaf("number", float(value))
    whole = value.numerator if value.denominator == 1 else None
    return _WHOLE[whole] if whole in _WHOLE else _leaf("number", Fraction(value))


NO_NAMES: frozenset[str] = frozenset()


def _leaf(kind: str, *args: Any) -> Expression:
    return Expression(kind, args, NO_NAMES)


def _node(kind: str, args: tuple[Expression, ...]) -> Expression:
    first, *others = [part.names for part in args if part.names] or [NO_NAMES]
    return Expression(kind, args, first.union(*others) if others else first)


_WHOLE: dict[int | None, Expression] = {value: _leaf("number", Fraction(value)) for value in range(-4, 13)}
ONE, MINUS_ONE, HALF = _WHOLE[1], _WHOLE[-1], _leaf("number", Fraction(1, 2))
pi = _leaf("pi")
infinity = _leaf("number", math.inf)


def _terms(kind: str, terms: tuple[Expression, ...]) -> tuple[list[Number], list[Expression]]:
    """The plain numbers and the rest of a sum or product, those of sums in a sum and products in a product too."""
    flat = [each for term in terms for each in (term.args if term.kind == kind else (term,))]
    return [term.args[0] for term in flat if term.kind == "number"], [term for term in flat if term.kind != "number"]


def _total(*terms: Expression) -> Expression:
    numbers, rest = _terms("add", terms)
    if not rest:
        return expression(sum(numbers))
    if numbers and (number := sum(numbers[1:], numbers[0])) != 0:
        front = terms[0].kind == "number" or (terms[0].kind == "add" and terms[0].args[0].kind == "number")
        rest.insert(0 if front else len(rest), expression(number))
    return rest[0] if len(rest) == 1 else _node("add", tuple(rest))


def _product(*factors: Expression) -> Expression:
    numbers, rest = _terms("mul", factors)
    rest = _cancelled(rest)
    if not rest:
        return expression(math.prod(numbers))
    if numbers and (number := math.prod(numbers[1:], start=numbers[0])) != 1:
        if number == 0:
            return expression(number)
        if len(rest) == 1 and rest[0].kind == "add" and number == -1:  # a sum taken off is its terms taken off
            return _total(*(-term for term in rest[0].args))
        rest.insert(0, expression(number))
    return rest[0] if len(rest) == 1 else _node("mul", tuple(rest))


def _cancelled(factors: list[Expression]) -> list[Expression]:
    """The factors without each name that stands above the line and below it."""
    below = [factor.args[0].args[0] for factor in factors if factor.kind == "pow" and _is_under(factor)]
    above = [factor.args[0] for factor in factors if factor.kind == "symbol"] if below else []
    for name in set(below).intersection(above):
        for _ in range(min(below.count(name), above.count(name))):
            factors.remove(next(factor for factor in factors if factor.kind == "symbol" and factor.args[0] == name))
            factors.remove(next(each for each in factors if _is_under(each) and each.args[0].args[0] == name))
    return factors


def _is_under(factor: Expression) -> bool:
    """Whether a factor is one over a name."""
    return factor.kind == "pow" and factor.args[0].kind == "symbol" and factor.args[1] is MINUS_ONE


def _power(base: Expression, exponent: Expression) -> Expression:
    power = exponent.exact
    if power == 1:
        return base
    if power == 0:
        return ONE
    if base.kind == "number" and power is not None and power.denominator == 1:
        return expression(base.args[0] ** int(power))
    if base.kind == "pow" and power == -1 and base.args[1].exact is not None:
        return _power(base.args[0], -base.args[1])
    if base.kind == "mul" and power is not None and power.denominator == 1:
        return _product(*(_power(factor, exponent) for factor in base.args))
    return _node("pow", (base, exponent))


def symbols(names: str) -> tuple[Expression, ...]:
    """Return symbols for dotted keys or quantity names separated by spaces."""
    return tuple(map(symbol, names.split()))


def symbol(name: str) -> Expression:
    """Return the symbol of one dotted key or quantity name."""
    return Expression("symbol", (name,), frozenset((name,)))


def sqrt(inside: Expression | Number) -> Expression:
    """Return the square root."""
    return _power(expression(inside), HALF)


def _call(name: str, *arguments: Expression | Number) -> Expression:
    return _node(name, tuple(map(expression, arguments)))


def exp(of: Expression | Number) -> Expression:
    """Return e to a power."""
    return _call("exp", of)


def log(of: Expression | Number) -> Expression:
    """Return the natural logarithm."""
    return _call("log", of)


def sin(of: Expression | Number) -> Expression:
    """Return the sine of an angle in radians."""
    return _call("sin", of)


def cos(of: Expression | Number) -> Expression:
    """Return the cosine of an angle in radians."""
    return _call("cos", of)


def tan(of: Expression | Number) -> Expression:
    """Return the tangent of an angle in radians."""
    return _call("tan", of)


def asin(of: Expression | Number) -> Expression:
    """Return the angle in radians that has this sine."""
    return _call("asin", of)


def acos(of: Expression | Number) -> Expression:
    """Return the angle in radians that has this cosine."""
    return _call("acos", of)


def atan(of: Expression | Number) -> Expression:
    """Return the angle in radians that has this tangent."""
    return _call("atan", of)


def absolute(of: Expression | Number) -> Expression:
    """Return the number without its sign."""
    return _call("abs", of)


def floor(of: Expression | Number) -> Expression:
    """Return the largest whole number that is not above it."""
    return _call("floor", of)


def least(*terms: Expression | Number) -> Expression:
    """Return the least of ``terms``."""
    return _call("min", *terms) if len(terms) > 1 else expression(terms[0])


def largest(*terms: Expression | Number) -> Expression:
    """Return the largest of ``terms``."""
    return _call("max", *terms) if len(terms) > 1 else expression(terms[0])


def cases(*pairs: tuple[Expression | Number, Expression | bool]) -> Expression:
    """Return the value of the first pair whose condition holds; there is no such number where none does."""
    found = tuple((expression(value), condition) for value, condition in pairs)
    parts = [part for pair in found for part in pair if isinstance(part, Expression)]
    return Expression("cases", found, _node("", tuple(parts)).names)


def where(condition: Expression, term: Expression) -> Expression:
    """Return ``term`` where the condition holds; elsewhere there is no such number."""
    return cases((term, condition))


def over(node: Expression) -> tuple[list[Expression], list[Expression]]:
    """Return the factors of a product above and below the line of its fraction, each list perhaps empty.

    A number that is a fraction has its numerator above and its denominator below.
    """
    above: list[Expression] = []
    below: list[Expression] = []
    for factor in node.args if node.kind == "mul" else (node,):
        power = factor.args[1].exact if factor.kind == "pow" else None
        if power is not None and power < 0:
            below.append(factor.args[0] if power == -1 else factor.args[0] ** -power)
        elif factor.exact is not None and factor.exact.denominator != 1:
            above += [expression(factor.exact.numerator)] if factor.exact.numerator != 1 else []
            below.append(expression(factor.exact.denominator))
        else:
            above.append(factor)
    return above, below


def _text(node: Expression) -> str:
    """One line in Python's own words: ``a*b/(c + d)``, ``sqrt(a)``, ``(a if b < c else d)``."""
    if node.kind == "symbol":
        return str(node.args[0])
    if node.kind == "pi":
        return "pi"
    if node.kind == "number":
        return str(node.args[0])
    if node.kind == "add":
        terms = [f" - {_held(-term)}" if term.is_negative else f" + {_text(term)}" for term in node.args]
        return "".join(terms).removeprefix(" + ") if terms[0][1] == "+" else f"-{''.join(terms)[3:]}"
    if node.kind in ("mul", "pow"):
        return _product_text(node)
    if node.kind == "cases":
        return "(" + "".join(_case_text(value, condition) for value, condition in node.args) + _rest_text(node) + ")"
    if node.kind in RELATIONS:
        return f" {node.kind} ".join(map(_text, node.args))
    return f"{node.kind}({', '.join(map(_text, node.args))})"


def _case_text(value: Expression, condition: Expression | bool) -> str:
    return f"{_text(value)} if {_text(condition)} else " if isinstance(condition, Expression) else _text(value)


def _rest_text(node: Expression) -> str:
    return "nan" if isinstance(node.args[-1][1], Expression) else ""


def _product_text(node: Expression) -> str:
    if node.is_negative:
        return f"-{_held(-node)}"
    above, below = over(node)
    if node.kind == "pow" and above:
        base, power = node.args
        return f"sqrt({_text(base)})" if power.exact == Fraction(1, 2) else f"{_held(base, True)}**{_held(power, True)}"
    whole = "*".join(map(_held, above)) or "1"
    under = "*".join(map(_held, below))
    return f"{whole}/({under})" if len(below) > 1 else f"{whole}/{under}" if below else whole


def _held(node: Expression, whole: bool = False) -> str:
    """The text of a factor, or of what a power joins (``whole``), in brackets where it would fall apart."""
    loose = node.kind == "add" or node.is_negative or (node.exact is not None and node.exact.denominator != 1)
    return f"({_text(node)})" if loose or (whole and node.kind in ("mul", "pow")) else _text(node)
