"""A formula of a page's own, written as Python writes products and powers and shown as those of the book are."""

from __future__ import annotations

import ast
import operator

from docutils import nodes
from docutils.parsers.rst import Directive

from scaling.book.algebra import Expression, symbol
from scaling.show.report.formula_text import MathML, symbol_mathml, write
from site_pages.parts import html

JOINED = {ast.Mult: operator.mul, ast.Div: operator.truediv, ast.Pow: operator.pow}


class EquationDirective(Directive):
    """``.. equation:: SYMBOL = EXPRESSION``; ``lam`` stands for lambda, a word of the language."""

    required_arguments = 1
    final_argument_whitespace = True

    def run(self) -> list[nodes.Node]:
        """Return the equation in MathML."""
        left, _, right = self.arguments[0].partition("=")
        formula = _read(ast.parse(right.strip(), mode="eval").body)
        inside = f"{symbol_mathml(left.strip())}<mo>=</mo>{write(formula, {'lam': 'lambda'}, MathML())}"
        return [html(f'<div class="equation"><math display="block"><mrow>{inside}</mrow></math></div>')]


def _read(node: ast.expr) -> Expression:
    """Return what a page writes as the book has it; raises KeyError for more than products, quotients and powers."""
    if isinstance(node, ast.Name):
        return symbol(node.id)
    if isinstance(node, ast.BinOp):
        return JOINED[type(node.op)](_read(node.left), _read(node.right))
    raise KeyError(ast.unparse(node))
