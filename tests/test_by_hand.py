"""The formulas that the benchmark writes by hand are the book's own."""

from __future__ import annotations

from typing import Any

import numpy as np
from by_hand import by_hand

from scaling.book.entry import Model
from scaling.formulas import book


def test_what_is_written_by_hand_is_what_the_book_gives(main_demo: Any) -> None:
    design, random = main_demo.design, np.random.default_rng(11)
    given = {key: value * random.lognormal(0, 0.02, 200) for key, value in design.variables.items()}
    own = by_hand(given)
    found = book.evaluate(given, design.traits, list(own))
    counted = book.counted(design.traits, design.variables)
    assert len(own) == 30
    assert len({counted[name].branch for name in own}) > 5
    for name, value in own.items():
        assert not isinstance(counted[name].formula, Model)
        assert np.isfinite(value).all()
        assert np.allclose(value, found[name], rtol=1e-12, atol=0), name
