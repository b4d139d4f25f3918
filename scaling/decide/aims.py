"""What options are compared in beside their score: hit, handling and survival, each a number to itself.

A builder may weigh these three in another way than the score does, so what no other option beats in all of them at once
stands beside the best by score.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from scaling.decide.objective import ABSENT, Objective, objective_of, score
from scaling.formulas import book
from scaling.port.asked import Brief, ObjectiveRequest
from scaling.port.presets import BESIDE, PRESETS, USUAL_PRESET
from scaling.study.drifts import ALIKE

HIT, HANDLING, SURVIVAL = "hit", "handling", "survival"

PRESET_OF = {HIT: "hit", HANDLING: "drive-feel"}
"""Whose own weights an aim goes by."""

STEPS = {HIT: ALIKE, HANDLING: ALIKE, SURVIVAL: PRESETS[USUAL_PRESET].rise_step}
"""How finely options are told apart in each aim: what differs by less is alike."""

MEANINGS = {
    HIT: "how much harder it hits for its size (throw, energy, bite, spin-up)",
    HANDLING: "how near it drives and turns to the like of the reference",
    SURVIVAL: "how little likelier anything is to fail than on the reference",
}


@dataclass(frozen=True)
class Aims:
    """The aims that a robot's options have: ``hit`` and ``handling`` as what they weigh, None where there is nothing.

    Survival is always one.
    """

    hit: Objective | None
    handling: Objective | None

    @property
    def names(self) -> tuple[str, ...]:
        """The aims that there are."""
        own = {HIT: self.hit, HANDLING: self.handling}
        return tuple(name for name in STEPS if own.get(name, True) is not None)

    @property
    def objectives(self) -> tuple[Objective, ...]:
        """What the aims weigh, of those that weigh drifts."""
        return tuple(each for each in (self.hit, self.handling) if each is not None)

    def of(self, drifts: Mapping[str, Any], burden: Any) -> dict[str, Any]:
        """Return each aim's number, more is better, by ln drift of each quantity and the rise of chances of failing."""
        found: dict[str, Any] = {}
        if self.hit is not None:
            found[HIT] = sum(gains(self.hit, drifts).values())
        if self.handling is not None:
            found[HANDLING] = -score(self.handling, drifts)
        return {**found, SURVIVAL: -burden}


def aims_of(brief: Brief, reference: Mapping[str, float]) -> Aims:
    """Return the aims of a robot with the ``reference``'s quantities."""
    return Aims(*(_own_weights(brief, reference, PRESET_OF[name]) for name in (HIT, HANDLING)))


def _own_weights(brief: Brief, reference: Mapping[str, float], preset: str) -> Objective | None:
    """What a preset weighs of itself, without what stands beside it; None where the robot has nothing of it."""
    own = {name: weight for name, weight in PRESETS[preset].weights.items() if weight > BESIDE and reference.get(name)}
    if not own:
        return None
    whole = objective_of(replace(brief, objective=ObjectiveRequest(preset)), reference)
    return replace(whole, weights=own, clocks={name: whole.clocks[name] for name in own})


def gains(objective: Objective, drifts: Mapping[str, Any]) -> dict[str, Any]:
    """Return what each quantity adds to the weighted mean of ln drift, above nought for the better.

    What is absent costs as in the score.
    """
    sign = {"higher": 1.0, "lower": -1.0}
    whole = sum(objective.weights.values())
    return {
        name: weight / whole
        * np.where(np.isnan(drifts[name]), -ABSENT, sign[book.quantities[name].better] * drifts[name])
        for name, weight in objective.weights.items()
    }  # fmt: skip
