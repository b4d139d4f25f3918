"""The rise of the chance of failing, against numbers and integrals that share no code with it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import lognorm, norm

from scaling.decide.chance import (
    ENERGY,
    STRENGTH,
    SURVIVED,
    chance_after,
    chance_before,
    rise_of,
    scatter_of,
    survived_of,
)
from scaling.formulas import book
from scaling.robot.design import load_design


def test_twenty_matches_and_a_margin_of_seven_tenths() -> None:
    """Worked by hand with tables of the normal distribution: z(1/22) = 1.691, ln 0.7 = -0.3567, Phi(-0.799) = 0.212."""
    assert chance_before(20) == pytest.approx(0.045, abs=5e-4)
    assert chance_after(0.7, 0.4, survived=20) == pytest.approx(0.212, abs=5e-4)
    assert rise_of(0.7 * 0.9, 0.9, 1.0, STRENGTH, survived=20) == pytest.approx(0.212 - 0.045, abs=1e-3)


@pytest.mark.parametrize("survived", [0, 3, 20, 500])
def test_rule_of_succession(survived: int) -> None:
    """P. S. Laplace's rule: with a flat prior over the chance p, the mean of p after N matches without a failure."""
    weight = quad(lambda p: (1 - p) ** survived, 0, 1)[0]
    mean = quad(lambda p: p * (1 - p) ** survived, 0, 1)[0] / weight
    assert chance_before(survived) == pytest.approx(mean, rel=1e-9)


@pytest.mark.parametrize("scatter", [STRENGTH, ENERGY, 0.2])
@pytest.mark.parametrize("ratio", [0.3, 0.7, 1.0, 1.6])
def test_chance_is_that_of_a_lognormal_margin_that_falls_below_one(ratio: float, scatter: float) -> None:
    """A lognormal margin whose median leaves the reference 1/(N + 2) below 1, scaled by the ratio (scipy's lognorm)."""
    median = np.exp(-scatter * norm.ppf(1 / (SURVIVED + 2)))
    assert chance_after(ratio, scatter) == pytest.approx(lognorm(s=scatter, scale=ratio * median).cdf(1.0), rel=1e-12)


def test_the_same_margin_raises_nothing_and_a_better_one_lowers() -> None:
    assert rise_of(2.0, 2.0, 1.0, STRENGTH) == pytest.approx(0.0, abs=1e-12)
    assert rise_of(3.0, 2.0, 1.0, STRENGTH) < 0 < rise_of(1.0, 2.0, 1.0, STRENGTH)
    assert rise_of(0.0, 1.0, 1.0, STRENGTH) == pytest.approx(1 - 1 / (SURVIVED + 2))


def test_the_anchor_keeps_low_margins_apart() -> None:
    """A fall from 0.148 to 0.094 counts: by the margin alone both fail surely (0.0000 apart) and it would not."""
    assert norm.cdf(-np.log(0.094) / STRENGTH) - norm.cdf(-np.log(0.148) / STRENGTH) == pytest.approx(0, abs=1e-4)
    assert rise_of(0.094, 0.148, 1.0, STRENGTH) > 0.3


def test_what_the_reference_does_not_have_is_even_at_its_limit() -> None:
    assert rise_of(1.5, None, 1.5, STRENGTH) == pytest.approx(0.5)
    assert rise_of(3.0, None, 1.5, STRENGTH) == pytest.approx(norm.cdf(-np.log(2) / STRENGTH), rel=1e-12)


def test_energies_scatter_twice_as_much_as_strengths() -> None:
    """An energy goes with the square of a speed: ln of it is twice ln of the speed."""
    assert ENERGY == 2 * STRENGTH
    energies = {name for name in book.of_role("survival") if scatter_of(name) == ENERGY}
    assert {"wall_perforation_margin", "lid_perforation_margin", "wedge_bend_margin"} <= energies
    assert not [name for name in energies if name.startswith(("bolt_", "joint_", "motor_", "shaft_", "belt_"))]


def test_matches_are_a_key_of_the_design(tmp_path: Path, main_folder: Path, command: Callable[..., Any]) -> None:
    stated = tmp_path / "design.toml"
    text = (main_folder / "design.toml").read_text(encoding="utf-8")
    stated.write_text(text + "\n[history]\nmatches = 20\n", encoding="utf-8")
    assert survived_of(load_design(stated).variables) == 20
    assert survived_of(load_design(main_folder / "design.toml").variables) == SURVIVED == 3
    stated.write_text(text + "\n[history]\nmatches = -1\n", encoding="utf-8")
    assert "zero or above" in command("check", stated).err
