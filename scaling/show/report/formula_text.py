"""Formulas and symbols as people read them: MathML, which browsers draw without scripts.

SymPy's own printers know neither the book's symbols nor a MathML for piecewise formulas, and a change of
names would merge two variables that share a symbol. So the walk over an expression is written here, once,
and a notation says what each node looks like.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from html import escape

import sympy

from scaling.formulas import book

_NAMES = (
    "alpha", "beta", "gamma", "delta", "epsilon", "zeta", "eta", "theta", "iota", "kappa", "lambda", "mu", "nu", "xi",
    "omicron", "pi", "rho", "sigma", "tau", "upsilon", "phi", "chi", "psi", "omega",
)
_LETTERS = dict(zip(_NAMES, "αβγδεζηθικλμνξοπρστυφχψω", strict=True))
GREEK: dict[str, str] = _LETTERS | {name.capitalize(): letter.upper() for name, letter in _LETTERS.items()}

TOKEN = re.compile(r"(?P<word>[A-Za-z]+)(?:_(?P<below>\w+))?|(?P<number>\d+(?:\.\d+)?)|(?P<mark>\S)|\s+")
ATOM = re.compile(r"[A-Za-z]+(?:_\w+)?\Z|\".*\"\Z")
COMPARISONS = {"<": "<", "<=": "≤", ">": ">", ">=": "≥", "==": "=", "!=": "≠"}
HALF = sympy.Rational(1, 2)
GAP = '<mspace width="0.2em"/>'
POWERS = str.maketrans("0123456789-", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻")


def unit_text(unit: str) -> str:
    """Return an SI unit as people write it: 'kg m^2' as 'kg m²', '1' as 'no unit'."""
    if unit == "1":
        return "no unit"
    return re.sub(r"\^(-?\d+)", lambda found: found[1].translate(POWERS), unit).replace("ohm", "Ω")


def symbol_text(symbol: str) -> str:
    """Return a book symbol as one line of text, Greek letters as such: 'omega_m' as 'ω_m'; a quoted name as it is."""
    if symbol.startswith('"'):
        return symbol.strip('"')
    return TOKEN.sub(lambda found: found[0] if found["word"] is None else _word(found["word"], found["below"]), symbol)


def _word(word: str, below: str | None) -> str:
    letter = "√" if word == "sqrt" else GREEK.get(word, word)
    return letter if below is None else f"{letter}_{below}"


def symbol_mathml(symbol: str) -> str:
    """Return a book symbol, such as 'S_r/sigma_r', or a quoted name as the inside of a MathML element."""
    if symbol.startswith('"'):
        name = escape(symbol.strip('"'))
        return f"<mtext>{name}</mtext>"
    parts: list[str] = []
    for found in TOKEN.finditer(symbol):
        if found["word"] == "sqrt":
            parts.append("<mo>√</mo>")
        elif found["word"]:
            name = f"<mi>{GREEK.get(found['word'], found['word'])}</mi>"
            parts.append(name if found["below"] is None else f"<msub>{name}<mi>{escape(found['below'])}</mi></msub>")
        elif found["number"]:
            parts.append(f"<mn>{found['number']}</mn>")
        elif found["mark"]:
            parts.append(f'<mo stretchy="false">{escape(found["mark"])}</mo>')
        else:
            parts.append(GAP)
    return "".join(parts)


def symbols_of(names: Sequence[str]) -> dict[str, str]:
    """Return the book's symbol of each variable or quantity; its name in quotes where two of ``names`` share one."""
    variables, quantities = book.variables, book.quantities
    found = {name: variables[name].symbol if name in variables else quantities[name].symbol for name in names}
    shared = Counter(found.values())
    return {name: symbol if shared[symbol] == 1 else f'"{name}"' for name, symbol in found.items()}


class MathML:
    """A formula as the inside of a MathML element, which browsers draw without scripts."""

    def number(self, text: str) -> str:
        """Write a number without sign."""
        return f"<mn>{text}</mn>"

    def symbol(self, symbol: str) -> str:
        """Write a symbol as an operand; one that is itself a formula stands in brackets."""
        if ATOM.match(symbol):
            return symbol_mathml(symbol)
        return self.brackets(f"<mrow>{symbol_mathml(symbol)}</mrow>")

    def brackets(self, inside: str) -> str:
        """Write what must hold together."""
        return f"<mrow><mo>(</mo>{inside}<mo>)</mo></mrow>"

    def product(self, factors: Sequence[str]) -> str:
        """Write factors side by side."""
        return f"<mrow>{GAP.join(factors)}</mrow>"

    def total(self, terms: Sequence[tuple[bool, str]]) -> str:
        """Write a sum."""
        first, *rest = terms
        parts = [f"<mo>−</mo>{first[1]}" if first[0] else first[1]]
        parts += [f"<mo>{'−' if negative else '+'}</mo>{text}" for negative, text in rest]
        return f"<mrow>{''.join(parts)}</mrow>"

    def fraction(self, above: str, below: str, many: bool) -> str:
        """Write a quotient, one above the other."""
        return f"<mfrac>{above}{below}</mfrac>"

    def power(self, base: str, exponent: str, plain: bool) -> str:
        """Write a power."""
        return f"<msup>{base}{exponent}</msup>"

    def root(self, inside: str, degree: int) -> str:
        """Write a root."""
        return f"<msqrt>{inside}</msqrt>" if degree == 2 else f"<mroot>{inside}<mn>{degree}</mn></mroot>"

    def call(self, name: str, arguments: Sequence[str]) -> str:
        """Write a function."""
        return f"<mrow><mi>{name}</mi>{self.brackets('<mo>,</mo>'.join(arguments))}</mrow>"

    def cases(self, rows: Sequence[tuple[str, str | None]]) -> str:
        """Write values with their conditions, a line each."""
        conditions = ["<mtext>otherwise</mtext>" if when is None else f"<mtext>if\u00a0</mtext>{when}"
                      for _, when in rows]
        lines = "".join(f"<mtr><mtd>{value}</mtd><mtd>{when}</mtd></mtr>"
                        for (value, _), when in zip(rows, conditions, strict=True))
        return f"<mrow><mo>{{</mo><mtable>{lines}</mtable></mrow>"

    def comparison(self, left: str, mark: str, right: str) -> str:
        """Write a condition."""
        return f"<mrow>{left}<mo>{escape(mark)}</mo>{right}</mrow>"


def write(expression: sympy.Basic, symbols: Mapping[str, str], notation: MathML) -> str:
    """Return ``expression`` in a notation, with ``symbols`` by the names that the expression uses."""

    def walk(node: sympy.Basic) -> str:
        if node.is_Symbol:
            return notation.symbol(symbols.get(node.name, node.name))
        if node == sympy.pi:
            return notation.symbol("pi")
        if node.is_Number and not node.is_Rational:
            return notation.number(f"{float(node):.6g}")
        if node.is_Integer and node >= 0:
            return notation.number(str(node))
        if node.is_Add:
            return _total(node)
        if node.is_Mul or node.is_Rational or (node.is_Pow and node.exp.could_extract_minus_sign()):
            return _quotient(node)
        if node.is_Pow:
            return _power(node)
        if isinstance(node, sympy.Piecewise):
            return notation.cases([(walk(value), None if when == True else walk(when))  # noqa: E712 - SymPy's own true
                                   for value, when in node.args])
        if isinstance(node, sympy.core.relational.Relational):
            return notation.comparison(walk(node.lhs), COMPARISONS[node.rel_op], walk(node.rhs))
        return notation.call(type(node).__name__.lower(), [walk(argument) for argument in node.args])

    def _total(node: sympy.Basic) -> str:
        terms = sorted(node.as_ordered_terms(), key=lambda term: bool(term.could_extract_minus_sign()))
        signs = [bool(term.could_extract_minus_sign()) for term in terms]
        return notation.total([(sign, _held(-term if sign else term)) for sign, term in zip(signs, terms, strict=True)])

    def _quotient(node: sympy.Basic) -> str:
        if node.could_extract_minus_sign():
            return notation.total([(True, _held(-node))])
        above, below = sympy.fraction(node)
        top, bottom = _factors(above), _factors(below)
        whole = notation.product(top) if len(top) > 1 else top[0]
        if below == 1:
            return whole
        many = len(bottom) > 1 or below.is_Add
        return notation.fraction(whole, notation.product(bottom) if len(bottom) > 1 else bottom[0], many)

    def _factors(node: sympy.Basic) -> list[str]:
        if not node.is_Mul:
            return [walk(node)]
        factors = [factor for factor in node.as_ordered_factors() if factor != 1]
        under = [factor.base for factor in factors if factor.is_Pow and factor.exp == HALF]
        found = [_held(factor) for factor in factors if not (factor.is_Pow and factor.exp == HALF)]
        if under:  # SymPy splits the root of a product; people write one root
            inside = walk(under[0]) if len(under) == 1 else notation.product([_held(base) for base in under])
            found.append(notation.root(inside, 2))
        return found

    def _held(node: sympy.Basic) -> str:
        text = walk(node)
        return notation.brackets(text) if node.is_Add or isinstance(node, sympy.Piecewise) else text

    def _power(node: sympy.Basic) -> str:
        base, exponent = node.base, node.exp
        if exponent.is_Rational and exponent.p == 1 and exponent.q > 1:
            return notation.root(walk(base), int(exponent.q))
        plain = base.is_Symbol or base == sympy.pi or (base.is_Integer and base >= 0)
        text = walk(base) if plain else notation.brackets(walk(base))
        return notation.power(text, walk(exponent), plain=bool(exponent.is_Symbol or exponent.is_Integer))

    return walk(expression)
