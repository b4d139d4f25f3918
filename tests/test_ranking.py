"""The order of ports: misses, then the rise of the chance of failing in steps, then the score."""

from __future__ import annotations

import itertools

import pytest

from scaling.decide.ranking import Standing, ranked
from scaling.port.presets import PRESETS

IN_ORDER = [
    Standing("B", 0, 0.04, 0.10),
    Standing("D", 0, 0.01, 0.20),
    Standing("A", 0, 0.12, 0.05),
    Standing("F", 0, 1.90, 0.01),
    Standing("C", 1, 0.00, 0.01),
    Standing("G", 1, 0.00, None),
    Standing("E", 2, 0.00, 0.00),
]


@pytest.mark.parametrize("seed", range(6))
def test_misses_then_rises_in_tenths_then_score(seed: int) -> None:
    shuffled = next(itertools.islice(itertools.permutations(IN_ORDER), seed * 700, None))
    assert list(ranked(shuffled, "balanced")) == IN_ORDER


def test_survive_tells_rises_apart_in_hundredths() -> None:
    first, second, *_ = ranked(IN_ORDER, "survive")
    assert (first.letter, second.letter) == ("D", "B")
    assert {preset.rise_step for name, preset in PRESETS.items() if name != "survive"} == {0.1}


def test_what_is_alike_keeps_its_order() -> None:
    alike = [Standing(letter, 0, 0.0, 0.1 + 1e-15 * place) for place, letter in enumerate("CAB")]
    assert [each.letter for each in ranked(alike, "hit")] == list("CAB")
