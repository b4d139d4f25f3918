"""Ranked options as the plain data of ``scaling options --json``."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from scaling.decide.aims import MEANINGS, STEPS, Aims
from scaling.decide.option import Option
from scaling.decide.option_judge import Judge
from scaling.show.decision_json import objective_json


def as_json(found: list[Option], tried: int, judge: Judge, only: Sequence[str] | None) -> dict[str, Any]:
    """Return options, best first, with what they are scored by and compared in; of their values ``only`` some."""
    return {
        "tried": tried,
        "objective": objective_json(judge.objective),
        "aims": {name: {"means": MEANINGS[name], "step": STEPS[name]} for name in judge.aims.names},
        "options": [vars(option) | {"values": _values(option, only)} for option in found],
    }


def _values(option: Option, only: Sequence[str] | None) -> dict[str, float]:
    return {name: value for name, value in option.values.items() if only is None or name in only}


def front_text(aims: Aims) -> str:
    """What the star means: the aims in which nothing beats an option at once, and what counts as alike."""
    said = "; ".join(f"{name}, {MEANINGS[name]}" for name in aims.names)
    steps = " or ".join(dict.fromkeys(_step(name) for name in aims.names))
    return (
        f"* of what fits, nothing beats it in all aims at once: {said}. What differs by less than {steps} is alike, "
        "and the first by rank stands for it."
    )


def _step(name: str) -> str:
    return f"{STEPS[name]:g} of a chance" if name == "survival" else f"{100 * STEPS[name]:.0f} %"
