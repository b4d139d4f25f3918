"""What is printed stands in one order, whatever the last bits of the numbers are.

Another processor, or another order of a sum, changes a computed number by some units of its last place (IEEE 754:
1.1e-16 of it). Here every number of the book is moved a thousand times as far, and each verb must print the same words.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scaling.book.book import Book
from scaling.book.told_apart import DIGITS, told_apart

SHAKEN = 1e-13


def words_of(text: str) -> list[str]:
    """What is printed without its numbers, one of which may round the other way, and without a table's lines."""
    return re.sub(r"\d[\d.]*|--+", "", text).split()


@pytest.fixture
def shaken(monkeypatch: pytest.MonkeyPatch) -> Callable[[], None]:
    """Let every quantity of the book be off by up to ``SHAKEN`` of itself from now on."""

    def shake() -> None:
        exact, random = Book.evaluate, np.random.default_rng(7)

        def off(*given: Any, **named: Any) -> dict[str, Any]:
            found = exact(*given, **named)
            return {name: each * (1 + SHAKEN * random.uniform(-1, 1, np.shape(each))) for name, each in found.items()}

        monkeypatch.setattr(Book, "evaluate", off)

    return shake


@pytest.mark.parametrize("words", [("study", "--all"), ("options",), ("window",)], ids=lambda words: words[0])
def test_the_last_bits_change_no_order(
    command: Callable[..., Any], demo: Any, main_demo: Any, shaken: Callable[[], None], words: tuple[str, ...]
) -> None:
    """The third demo's window takes its time, and is tried where ALL_ORDERS is set."""
    verb, *flags = words
    if verb == "window" and demo.design.has_rotor and demo is not main_demo and "ALL_ORDERS" not in os.environ:
        pytest.skip("on request")
    asked = (verb, demo.folder / "brief.toml", *flags)
    before = command(*asked)
    assert before.status == 0
    shaken()
    assert words_of(command(*asked).out) == words_of(before.out)


@given(st.floats(1e-9, 1e9), st.floats(-1, 1))
def test_what_differs_in_its_last_bits_is_told_apart_by_nothing(value: float, off: float) -> None:
    ends = [told_apart(value * (1 + 1e-3 * 10.0**-DIGITS * side)) for side in (-1.0, off, 1.0)]
    assert max(ends) / min(ends) - 1 <= 1.0001 * 10.0 ** (1 - DIGITS)  # a step at most, where one end rounds up
    assert told_apart(1.5 * value) > told_apart(value)
    assert told_apart(-value) == -told_apart(value)


def test_an_array_is_told_apart_as_its_numbers_are() -> None:
    values = np.array([0.0, 1 / 3, -2e-7 / 3, 1e300 / 3, np.inf, -np.inf])
    one_by_one = [told_apart(float(value)) for value in values]
    assert np.allclose(told_apart(values), one_by_one, rtol=1e-15, atol=0)
    assert np.isnan(told_apart(np.array([np.nan])))
    assert told_apart(np.array([1e-12, 0.1 + 0.2 - 0.3]), 9).tolist() == [0.0, 0.0]
