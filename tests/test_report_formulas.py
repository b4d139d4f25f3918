"""Formulas in the reports: read back by other means, they are what was computed.

Sources: W3C MathML Core, for what each element means, from memory; SymPy's parser; names of
Greek letters from the Unicode database.
"""

from __future__ import annotations

import unicodedata
from typing import Any
from xml.etree import ElementTree

import pytest
import sympy
from sympy.parsing.sympy_parser import parse_expr, standard_transformations

from scaling.book.algebra import Expression, cases, symbol
from scaling.book.entry import Model
from scaling.book.symbolic import symbolic
from scaling.formulas import book
from scaling.show.report.formula_text import GREEK, MathML, symbols_of, unit_text, write


def _tree(text: str) -> ElementTree.Element:
    return ElementTree.fromstring(f"<math>{text}</math>")  # noqa: S314 - our own formula


@pytest.mark.parametrize("name", GREEK)
def test_greek_letters_are_those_of_the_unicode_database(name: str) -> None:
    size = "CAPITAL" if name[0].isupper() else "SMALL"
    spelled = "LAMDA" if name.lower() == "lambda" else name.upper()
    assert unicodedata.lookup(f"GREEK {size} LETTER {spelled}") == GREEK[name]


CLOSED = {entry.name: entry.formula for entry in book.entries
          if not isinstance(entry.formula, Model) and not symbolic(entry.formula).has(sympy.Piecewise)}


def _letters(formula: Expression) -> dict[str, str]:
    """A symbol of its own for each name, so that nothing is mixed up on the way back."""
    return {name: f"x_{place}" for place, name in enumerate(sorted(formula.names))}


def _alike(formula: Expression, letters: dict[str, str], text: str) -> None:
    """Read ``text`` with SymPy's parser and compare it with the formula at a point."""
    point = {name: sympy.Float(0.37 + 0.21 * place) for place, name in enumerate(sorted(formula.names))}
    names: dict[str, Any] = {letters[name]: value for name, value in point.items()}
    values = {sympy.Symbol(name, positive=True): value for name, value in point.items()}
    names |= {"π": sympy.pi, "min": sympy.Min, "max": sympy.Max, "abs": sympy.Abs}
    found = parse_expr(text, local_dict=names, transformations=standard_transformations)
    assert complex(found) == pytest.approx(complex(symbolic(formula).xreplace(values)), rel=1e-5)


@pytest.mark.parametrize("name", CLOSED)
def test_formula_as_mathml_means_what_is_computed(name: str) -> None:
    formula = CLOSED[name]
    letters = _letters(formula)
    tree = _tree(write(formula, letters, MathML()))
    _alike(formula, letters, _meaning(tree))


def _meaning(node: ElementTree.Element) -> str:
    """Presentation MathML as a sum: neighbours without an operator between them are factors."""
    parts = [_meaning(child) for child in node]
    text = (node.text or "").strip()
    if node.tag in ("mi", "mn", "mo"):
        return {"−": "-"}.get(text, text)
    if node.tag == "msub":
        return f"{parts[0]}_{parts[1]}"
    if node.tag == "mfrac":
        return f"(({parts[0]})/({parts[1]}))"
    if node.tag == "msup":
        return f"({parts[0]})**({parts[1]})"
    if node.tag in ("msqrt", "mroot"):
        return f"({parts[0]})**(1/({parts[1] if node.tag == 'mroot' else 2}))"
    assert node.tag in ("math", "mrow", "mspace")
    line, before = "", "mo"
    for child, part in zip(node, parts, strict=True):
        if child.tag == "mspace":
            continue
        line += f"*{part}" if before != "mo" and child.tag != "mo" else part
        # Variables are all msub here, so a lone name is a function, which takes what follows.
        before = "mo" if child.tag == "mi" and part != "π" else child.tag
    return line if not len(node) or node[0].text == "(" else f"({line})"


def test_piecewise_formula_tells_every_case() -> None:
    x = symbol("wheel.count")
    formula = cases((x**2, x < 3), (1 / x, True)) + 1
    letters = {"wheel.count": "n_w"}
    tree = _tree(write(formula, letters, MathML()))
    rows = ["".join(row.itertext()) for row in tree.iter("mtr")]
    assert rows == ["nw2if\u00a0nw<3", "1nwotherwise"]


def test_two_inputs_that_share_a_symbol_are_told_apart() -> None:
    assert book.variables["rotor.speed"].symbol == book.quantities["rotor_speed"].symbol
    formula = symbol("rotor.speed") / symbol("rotor_speed")
    symbols = symbols_of(("rotor.speed", "rotor_speed"))
    assert "<mtext>rotor.speed</mtext>" in write(formula, symbols, MathML())


# SI Brochure, 9th edition, 5.2 and 5.4.3: unit symbols, and exponents as superscripts; ohm is written Ω.
@pytest.mark.parametrize(("unit", "expected"),
                         [("kg m^2/s", "kg m²/s"), ("m/s^2", "m/s²"), ("ohm", "Ω"), ("1", "no unit")])
def test_units_are_written_as_people_write_them(unit: str, expected: str) -> None:
    assert unit_text(unit) == expected
