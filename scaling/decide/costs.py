"""What a change to a port costs beside grams: how much farther from the like of the reference it takes the port."""

from __future__ import annotations

import math
from collections.abc import Container, Mapping
from dataclasses import dataclass

from scaling.book.similarity import worse
from scaling.book.told_apart import told_apart
from scaling.decide.objective import ABSENT, MOST, objective_of
from scaling.formulas import book
from scaling.study.drifts import counting, drift_text
from scaling.study.problem import in_sentence
from scaling.study.results import Port, Study

TOLD = 0.1
"""A change of less than a tenth is not worth a word."""

FIRST = "rotor_energy"
"""What builders ask of first where it changed."""


@dataclass(frozen=True)
class Costs:
    """What a change does to the rest: to the mean drift that a port is scored by, and the worst of it in words."""

    drift: float
    text: str = ""

    @staticmethod
    def looks_at(study: Study, had: Container[str]) -> list[str]:
        """The quantities that the costs are told from, of those that the port has."""
        return [name for name in (*objective_of(study.brief, study.reference).weights, FIRST) if name in had]


def costs_of(study: Study, port: Port, values: Mapping[str, float]) -> Costs:
    """Return the costs of what made of a port one with the ``values``, at much the same mass and size.

    What became better by a risk's own measure may cost as well, since more than is needed is missing somewhere else.
    """
    weights = objective_of(study.brief, study.reference).weights
    added, harmed = 0.0, []
    for name, weight in weights.items():
        drift = counting(port, name)
        if drift is None or drift <= 0 or not (before := port.quantities[name].value):
            continue
        ratio = values.get(name, 0.0) / before
        own = min(MOST, abs(math.log(drift)))
        then = min(MOST, abs(math.log(drift * ratio))) if ratio > 0 else ABSENT
        added += weight * (then - own)
        if ratio > 0 and worse(ratio, book.quantities[name].better) and abs(math.log(ratio)) > TOLD:
            harmed.append((told_apart(weight * (then - own), 9), name, ratio))
    energy = port.quantities.get(FIRST)
    if energy is not None and energy.value and 0 < (kept := values.get(FIRST, 0.0) / energy.value) < 1 - TOLD:
        harmed.append((math.inf, FIRST, kept))
    told = max(harmed, default=None)
    text = "" if told is None or told[0] <= 0 else f"{in_sentence(told[1])} {drift_text(told[2])}"
    return Costs(added / sum(weights.values()), text)
