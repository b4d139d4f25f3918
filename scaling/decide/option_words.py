"""An option as a builder would tell of it: what it is, what it misses, how it hits, handles and holds."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from scaling.book.told_apart import told_apart
from scaling.decide.aims import HANDLING, HIT, gains
from scaling.decide.objective import Objective, drifts_over, terms
from scaling.decide.option_judge import SPEED, UNFIT, Judge, energy_share
from scaling.decide.risks import RISES, ranked_risks
from scaling.decide.words import LAW_WORDS, miss_in_words
from scaling.files.units import format_number, format_value
from scaling.formulas import book
from scaling.study.drifts import ALIKE, drift_text
from scaling.study.problem import in_sentence
from scaling.study.problems import limit_problems, mass_problems, size_problems, speed_problems

if TYPE_CHECKING:
    from scaling.decide.option import Option


def told(option: Option, judge: Judge, for_nothing: bool) -> str:
    """Return what counts of an option: what it takes, what it misses before any praise, then what it is like."""
    said: list[str] = []
    if option.misses:
        said.append(f"Misses: {'; '.join(_missed(option, judge))}")
    if for_nothing:
        said.append(_nothing(option, judge))
    elif "speed_unreachable" not in option.misses:
        said.append("; ".join(_likeness(option, judge)))
    if option.redrawn:
        said.append(_rotor(option))
    left = f"{abs(option.left) * 1e3:.0f} g {'left' if option.left > -5e-4 else 'over'}"
    said.append(f"{left}{'; nothing beats it' if option.unbeaten else ''}")
    first = f"{taken(option.chosen)}; {LAW_WORDS[option.fit]}, factor {format_number(option.factor, 4)}"
    return ". ".join([first, *(text[0].upper() + text[1:] for text in said)]) + "."


def taken(chosen: Mapping[str, str]) -> str:
    """What an option takes, in a few words.

    >>> taken({"rotor_motors": "R38", "cells": "4", "rotor_ratios": "2.0", "material of lid": "hdpe"})
    'R38 at 2.0:1, 4 cells, lid of hdpe'
    """
    words: list[str] = []
    for part in ("rotor", "drive"):
        motor, ratio = chosen.get(f"{part}_motors"), chosen.get(f"{part}_ratios")
        name = motor if motor is not None and part == "rotor" else f"{part} {motor or ''}".rstrip()
        if motor is not None or ratio is not None:
            words.append(name if ratio is None else f"{name} at {ratio}:1")
        if part == "rotor" and "cells" in chosen:
            words.append(f"{chosen['cells']} cells")
    words += [f"{axis.removeprefix('material of ')} of {name}" for axis, name in chosen.items()
              if axis.startswith("material of ")]  # fmt: skip
    return ", ".join(words)


def _missed(option: Option, judge: Judge) -> list[str]:
    """What an option misses, with the numbers, as of a port."""
    brief, values = judge.brief, option.values
    problems = mass_problems(judge.design, brief, option.mass) + size_problems(brief, values)
    problems += limit_problems(brief, values) + speed_problems(values, {})
    found = [miss_in_words(problem) for problem in problems if problem.kind.misses]
    return found + ([_unfit(values)] if UNFIT in option.misses else [])


def _unfit(values: Mapping[str, float]) -> str:
    bore, motor = (format_value(values[f"rotor.{key}"], "m") for key in ("bore", "motor.diameter"))
    return f"the rotor's bore of {bore} does not go over its {motor} motor"


def _nothing(option: Option, judge: Judge) -> str:
    share = energy_share(judge, option.values)
    if share is None or math.isnan(share):
        return "its rotor does not spin"
    return f"its rotor hits for nothing: {100 * share:.1f} % of the reference's energy for its mass"


def _likeness(option: Option, judge: Judge) -> list[str]:
    """How an option hits and handles beside the like of the reference, and what is likelier to fail."""
    said: list[str] = []
    if judge.aims.hit is not None:
        said.append(_hits(option, judge, judge.aims.hit))
    if judge.aims.handling is not None:
        said.append(_handles(option, judge, judge.aims.handling))
    risks = [risk for risk in ranked_risks(option.values, judge.reference, judge.survived)
             if risk.stands and told_apart(risk.rise, RISES) > 0]  # fmt: skip
    if not risks:
        return [*said, "nothing is likelier to fail"]
    worst = risks[0]
    more = f" and {len(risks) - 1} more" if len(risks) > 1 else ""
    unit = book.quantities[worst.quantity or ""].unit
    value = format_value(worst.value or 0.0, unit)
    own = "" if worst.reference is None else f", was {format_value(worst.reference, unit)}"
    return [*said, f"likelier to fail: {worst.says} ({value}{own}){more}"]


def _hits(option: Option, judge: Judge, weighed: Objective) -> str:
    """How much harder an option hits for its size in the mean, and what does most for it or against it."""
    gain = option.aims[HIT]
    if abs(gain) <= ALIKE:
        return "hits like the reference"
    side = 1 if gain > 0 else -1
    shares = {name: side * share for name, share in gains(weighed, _drifts(option, judge, weighed)).items()}
    size = f"{100 * abs(math.expm1(gain)):.0f} % {'harder' if gain > 0 else 'softer'} for its size"
    return f"hits {size}, most by {_most(option, judge, weighed, shares)}"


def _handles(option: Option, judge: Judge, weighed: Objective) -> str:
    """How far the handling is off in the mean, and in what most."""
    off = -option.aims[HANDLING]
    if off <= ALIKE:
        return "handles like the reference"
    costs = terms(weighed, _drifts(option, judge, weighed))
    return f"handling {100 * math.expm1(off):.0f} % off, most in {_most(option, judge, weighed, costs)}"


def _drifts(option: Option, judge: Judge, weighed: Objective) -> dict[str, Any]:
    mass_ratio = option.mass / judge.design.variables["mass"]
    return dict(drifts_over(weighed, option.values, judge.reference, mass_ratio, option.factor, None))


def _most(option: Option, judge: Judge, weighed: Objective, shares: Mapping[str, Any]) -> str:
    """The quantity that counts most, with its drift."""
    name = max(shares, key=lambda each: told_apart(float(shares[each])))
    drift = float(_drifts(option, judge, weighed)[name])
    return f"{in_sentence(name)} ({'lost' if math.isnan(drift) else drift_text(math.exp(drift))})"


def _rotor(option: Option) -> str:
    """A rotor that was redrawn round its motor: bore, mass, inertia and energy."""
    values = option.values
    bore, mass = format_value(values["rotor.bore"], "m"), format_value(values["rotor.mass"], "kg")
    inertia = format_value(values["rotor.inertia"], book.variables["rotor.inertia"].unit)
    energy = f", {format_value(values['rotor_energy'], 'J')}" if "rotor_energy" in values and SPEED in values else ""
    return f"rotor redrawn round its motor: bore {bore}, {mass}, {inertia}{energy}"
