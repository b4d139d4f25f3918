"""Ranked options as the plain data of ``scaling options --json``."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from scaling.decide.aims import MEANINGS, STEPS
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
