"""A formula of a page's own, written as SymPy reads it and shown as every formula of the book is."""

from __future__ import annotations

import re

import sympy
from docutils import nodes
from docutils.parsers.rst import Directive

from scaling.show.report.formula_text import MathML, symbol_mathml, write
from site_pages.parts import html


class EquationDirective(Directive):
    """``.. equation:: SYMBOL = EXPRESSION``; ``lam`` stands for lambda, a word of the language."""

    required_arguments = 1
    final_argument_whitespace = True

    def run(self) -> list[nodes.Node]:
        """Return the equation in MathML."""
        left, _, right = self.arguments[0].partition("=")
        names = {name: sympy.Symbol(name, positive=True) for name in re.findall(r"[A-Za-z]\w*", right)}
        expression = sympy.sympify(right, locals=names)
        symbols = {name: "lambda" if name == "lam" else name for name in names}
        inside = f"{symbol_mathml(left.strip())}<mo>=</mo>{write(expression, symbols, MathML())}"
        return [html(f'<div class="equation"><math display="block"><mrow>{inside}</mrow></math></div>')]
