"""Formulas and symbols as people read them: MathML, which browsers draw without scripts.

The walk over an expression is written here, once, and a notation says what each node looks like.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from html import escape

from scaling.book.algebra import RELATIONS, Expression, over
from scaling.formulas import book

_NAMES = (
    "alpha", "beta", "gamma", "delta", "epsilon", "zeta", "eta", "theta", "iota", "kappa", "lambda", "mu", "nu", "xi",
    "omicron", "pi", "rho", "sigma", "tau", "upsilon", "phi", "chi", "psi", "omega",
)
_LETTERS = dict(zip(_NAMES, "αβγδεζηθικλμνξοπρστυφχψω", strict=True))
GREEK: dict[str, str] = _LETTERS | {name.capitalize(): letter.upper() for name, letter in _LETTERS.items()}

TOKEN = re.compile(r"(?P<word>[A-Za-z]+)(?:_(?P<below>\w+))?|(?P<number>\d+(?:\.\d+)?)|(?P<mark>\S)|\s+")
ATOM = re.compile(r"[A-Za-z]+(?:_\w+)?\Z|\".*\"\Z")
COMPARISONS = {"<": "<", "<=": "≤", ">": ">", ">=": "≥"}
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


def write(formula: Expression, symbols: Mapping[str, str], notation: MathML) -> str:
    """Return ``formula`` in a notation, with ``symbols`` by the names that the formula uses."""

    def walk(node: Expression) -> str:
        if node.kind == "symbol":
            return notation.symbol(symbols.get(node.args[0], node.args[0]))
        if node.kind == "pi":
            return notation.symbol("pi")
        if node.is_negative:
            return notation.total([(True, _held(-node))])
        if node.kind == "number" and (node.exact is None or node.exact.denominator == 1):
            return notation.number(f"{float(node.args[0]):.6g}" if node.exact is None else str(node.exact))
        if node.kind == "add":
            terms = sorted(node.args, key=lambda term: term.is_negative)
            return notation.total([(term.is_negative, _held(-term if term.is_negative else term)) for term in terms])
        if node.kind in ("number", "mul") or (node.kind == "pow" and over(node)[1]):
            return _quotient(node)
        if node.kind == "pow":
            return _power(node)
        if node.kind == "cases":
            return notation.cases([(walk(value), walk(when) if isinstance(when, Expression) else None)
                                   for value, when in node.args])
        if node.kind in RELATIONS:
            return notation.comparison(walk(node.args[0]), COMPARISONS[node.kind], walk(node.args[1]))
        return notation.call(node.kind, list(map(walk, node.args)))

    def _quotient(node: Expression) -> str:
        above, below = over(node)
        top, bottom = _factors(above), _factors(below)
        if not below:
            return top
        return notation.fraction(top, bottom, len(below) > 1 or below[0].kind == "add")

    def _factors(factors: Sequence[Expression]) -> str:
        if len(factors) > 1:
            return notation.product(list(map(_held, factors)))
        return walk(factors[0]) if factors else notation.number("1")

    def _held(node: Expression) -> str:
        text = walk(node)
        return notation.brackets(text) if node.kind in ("add", "cases") else text

    def _power(node: Expression) -> str:
        base, exponent = node.args
        power = exponent.exact
        if power is not None and power.numerator == 1:
            return notation.root(walk(base), power.denominator)
        plain = base.kind in ("symbol", "pi") or (base.exact is not None and base.exact.denominator == 1)
        text = walk(base) if plain else notation.brackets(walk(base))
        short = exponent.kind == "symbol" or (power is not None and power.denominator == 1)
        return notation.power(text, walk(exponent), plain=short)

    return walk(formula)
