"""The book's own reading of expressions as numbers equals SymPy's lambdify, for every formula."""

from __future__ import annotations

import numpy as np
import pytest
import sympy

from scaling.book.entry import Model, Quantity
from scaling.book.numeric import evaluator
from scaling.book.symbolic import symbolic
from scaling.formulas import book

CLOSED = [entry for entry in book.entries if not isinstance(entry.formula, Model)]


@pytest.mark.parametrize("entry", CLOSED, ids=lambda entry: entry.name)
def test_every_formula_as_sympy_reads_it(entry: Quantity) -> None:
    random = np.random.default_rng(7)
    given = {name: random.uniform(0.05, 3.0, size=5) for name in entry.inputs}
    symbols = [sympy.Symbol(name, positive=True) for name in entry.inputs]
    with np.errstate(all="ignore"):
        expected = np.broadcast_to(sympy.lambdify(symbols, symbolic(entry.formula), "numpy")(*given.values()), (5,))
        found = np.broadcast_to(evaluator(entry.formula)(given), (5,))
    np.testing.assert_allclose(found, expected, rtol=1e-12, equal_nan=True)

