"""An expression of the book in SymPy, for whoever wants to derive something new from it, such as a slope."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from scaling.book.algebra import RELATIONS, Expression

if TYPE_CHECKING:
    import sympy


def symbolic(formula: Expression) -> sympy.Expr:
    """Return ``formula`` as SymPy has it: each name a positive symbol, numbers exact where the book's are.

    >>> import sympy
    >>> from scaling.book.algebra import symbols
    >>> speed, radius = symbols("speed radius")
    >>> sympy.diff(symbolic(speed**2 / radius), sympy.Symbol("speed", positive=True))
    2*speed/radius
    """
    import sympy

    plain: dict[str, Any] = {
        "add": sympy.Add, "mul": sympy.Mul, "pow": sympy.Pow, "exp": sympy.exp, "log": sympy.log, "sin": sympy.sin,
        "cos": sympy.cos, "tan": sympy.tan, "asin": sympy.asin, "acos": sympy.acos, "atan": sympy.atan,
        "abs": sympy.Abs, "floor": sympy.floor,
        **{mark: lambda left, right, mark=mark: sympy.Rel(left, right, mark) for mark in RELATIONS},
    }
    terms = {"min": sympy.Min, "max": sympy.Max}

    def walk(node: Any) -> Any:
        if not isinstance(node, Expression):
            return sympy.true if node else sympy.false
        if node.kind == "symbol":
            return sympy.Symbol(node.args[0], positive=True)
        if node.kind == "pi":
            return sympy.pi
        if node.kind == "number":
            exact = node.exact
            return sympy.Float(node.args[0]) if exact is None else sympy.Rational(exact.numerator, exact.denominator)
        if node.kind == "cases":
            return sympy.Piecewise(*((walk(value), walk(condition)) for value, condition in node.args))
        parts = [walk(part) for part in node.args]
        if node.kind in terms:  # SymPy would try for long to order terms that nothing orders
            return terms[node.kind](*parts, evaluate=False)
        return plain[node.kind](*parts)

    return walk(formula)
