"""An even share of a brief's combinations, with no more worked out of each than a map shows."""

from __future__ import annotations

from dataclasses import dataclass
from math import gcd
from typing import Any

import numpy as np

from scaling.book.distinct import distinct
from scaling.book.entry import Array
from scaling.decide.option_trials import Trials
from scaling.decide.options import space_of
from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.study.reach import is_reached
from scaling.study.results import Study

GOLDEN = (5**0.5 - 1) / 2
"""Share of the whole from one combination to the next: any first few of such steps are spread evenly."""


@dataclass(frozen=True)
class Share:
    """Mass (kg), rotor energy (J) and whether its motor reaches the speed, of each combination, out of ``total``."""

    mass: Array
    energy: Array
    reached: Array
    total: int


def share_of(study: Study, most: int) -> Share | None:
    """Return ``most`` combinations of a study's brief, spread evenly over all; None where it has none to try."""
    try:
        space = space_of(study.brief, study.design)
    except InputError:
        return None
    trials = Trials(study.design, study.brief, space)
    some = max(1, most // len(space.fits))
    step = next(each for each in range(max(1, round(GOLDEN * trials.count)), 2 * trials.count + 2)
                if gcd(each, trials.count) == 1)
    numbers = distinct(np.arange(min(some, trials.count)) * step % trials.count)
    found = [_worked_out(study, trials, fit, numbers) for fit in space.fits]
    mass, energy, reached = (np.concatenate(each) for each in zip(*found, strict=True))
    known = np.isfinite(mass) & np.isfinite(energy) & (energy > 0)
    return Share(mass[known], energy[known], reached[known], trials.count * len(space.fits))


def _worked_out(study: Study, trials: Trials, fit: str, numbers: Any) -> tuple[Array, Array, Array]:
    """Mass, rotor energy and reach of combinations that are fitted by a law."""
    _, variables = trials.at(fit, numbers)
    only = ["rotor_energy", "rotor_speed", "rotor_speed_as_motored"]
    found = book.evaluate(variables, study.design.traits, only=only)
    energy, speed, motored = (np.broadcast_to(found.get(name, np.nan), numbers.shape) for name in only)
    reached = is_reached(speed, motored, study.reference) | np.isnan(motored)
    return np.broadcast_to(variables["mass"], numbers.shape), energy, reached
