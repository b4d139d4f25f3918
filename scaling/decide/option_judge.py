"""How options are judged: what they miss, as ports do, their score and aims, for thousands of them at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from scaling.book.entry import Array
from scaling.decide.aims import Aims, aims_of
from scaling.decide.chance import survived_of
from scaling.decide.limits import SLACK, Limit, box_limits, stated_limits
from scaling.decide.objective import Objective, drifts_over, objective_of, score
from scaling.decide.option_batch import NEVER
from scaling.decide.risk_kinds import KINDS
from scaling.decide.risks import burdens
from scaling.formulas import book
from scaling.port.asked import Brief
from scaling.robot.design import Design
from scaling.study.beside import reference_values
from scaling.study.problem import CODES
from scaling.study.reach import is_reached

CODE_BITS = {code: 1 << place for place, code in enumerate(code for code, kind in CODES.items() if kind.misses)}
"""A bit each code of a miss, the gravest first."""

UNFIT = "does_not_fit"

TOLD = (
    "rotor_speed", "tip_speed", "rotor_energy", "specific_energy", "spin_up_time", "rush_margin", "gyro_margin",
    "top_speed", "peak_current", "half_turn_time", "launch_acceleration", "match_energy_margin",
)  # fmt: skip
"""What a buyer reads of an option."""

SPEED, REACHED, ENERGY, BORE = "rotor_speed", "rotor_speed_as_motored", "specific_energy", "hub_bore_ratio"

FOR_NOTHING = 0.25
"""Share of the reference's rotor energy over its mass below which a rotor hits for nothing: less than half its tip
speed. Choice of this project."""

BEHIND = 100
"""What hitting for nothing adds to a standing: more than any number of misses."""

Values = Mapping[str, Any]


@dataclass(frozen=True)
class Judge:
    """What the options of a design are judged by under a brief; ``also`` are quantities that are wanted beside."""

    design: Design
    brief: Brief
    reference: Mapping[str, float]
    objective: Objective
    aims: Aims
    also: tuple[str, ...] = ()

    @property
    def survived(self) -> float:
        """Matches that the reference came through."""
        return survived_of(self.design.variables)

    @property
    def has_ring(self) -> bool:
        """Whether the rotor goes round its hub motor, so that the two must fit."""
        return BORE in self.reference

    @cached_property
    def at_first(self) -> list[str]:
        """Quantities that say what an option misses."""
        return [SPEED, REACHED, ENERGY, BORE, *(name for name in self.brief.limits if name in book.quantities)]

    @cached_property
    def names(self) -> list[str]:
        """Every quantity that an option is judged or told by."""
        weighed = [name for each in (self.objective, *self.aims.objectives) for name in each.weights]
        risky = [name for kind in KINDS for name in kind.among(self.reference)]
        return list(dict.fromkeys([*TOLD, *self.at_first, *weighed, *risky, *self.also]))

    @cached_property
    def shown(self) -> list[str]:
        """Variables that stand among an option's values."""
        ring = [f"rotor.{name}" for name in ("diameter", "bore", "mass", "inertia", "motor.diameter")]
        keys = [*self.brief.limits, *self.brief.size_limit, *(ring if self.has_ring else [])]
        return [key for key in dict.fromkeys(keys) if key in self.design.variables]

    def hollow(self, known: Values) -> frozenset[str]:
        """Quantities that follow from the rotor's speed, and are so only if the motor reaches it."""
        return book.resting_on("rotor.speed", self.design.traits, known.keys())

    def evaluated(self, variables: Values, names: list[str], shape: tuple[int, ...]) -> dict[str, Array]:
        """Return quantities of the book over combinations, of those that there are."""
        found = book.evaluate(variables, self.design.traits, only=names)
        return {name: np.broadcast_to(found[name], shape) for name in names if name in found}


def judge_of(design: Design, brief: Brief, also: tuple[str, ...] = ()) -> Judge:
    """Return what the options of a design are judged by."""
    reference = reference_values(design)
    return Judge(design, brief, reference, objective_of(brief, reference), aims_of(brief, reference), also)


def misses_of(judge: Judge, values: Values, shape: tuple[int, ...]) -> Any:
    """Return a bit each code that options miss, over combinations; what cannot be computed is not missed."""
    mass, *sizes = box_limits(judge.brief, values)
    found = {
        "mass_over_limit": _broken([mass], shape),
        "size_over_limit": _broken(sizes, shape),
        "limit_passed": _broken(stated_limits(judge.brief, values), shape),
        "speed_unreachable": unreached_in(judge, values, shape),
        UNFIT: values[BORE] < 1 - SLACK if BORE in values else np.zeros(shape, dtype=bool),
    }
    return sum(np.where(broken, CODE_BITS[code], 0) for code, broken in found.items())


def _broken(limits: list[Limit], shape: tuple[int, ...]) -> Any:
    some = [np.broadcast_to(np.nan_to_num(limit.level, nan=1.0) < 1 - SLACK, shape) for limit in limits]
    return np.any([np.zeros(shape, dtype=bool), *some], axis=0)


def unreached_in(judge: Judge, values: Values, shape: tuple[int, ...]) -> Any:
    """Return where the motor does not reach the rotor's speed."""
    if SPEED not in values or REACHED not in values:
        return np.zeros(shape, dtype=bool)
    return ~is_reached(values[SPEED], values[REACHED], judge.reference)


def codes_of(bits: int) -> tuple[str, ...]:
    """Return the codes whose bits are set, the gravest first."""
    return tuple(code for code, bit in CODE_BITS.items() if bits & bit)


def energy_share(judge: Judge, values: Values) -> Any:
    """Return rotor energy over mass at the speed that the motor reaches, over the reference's; None without a rotor."""
    own = judge.reference.get(ENERGY)
    if not own:
        return None
    share = values[ENERGY] / own if ENERGY in values else np.nan
    if SPEED in values and REACHED in values:
        share = share * np.fmin(1.0, values[REACHED] / values[SPEED]) ** 2
    return share


def standing_of(judge: Judge, values: Values, misses: Any, factor: Array) -> Any:
    """Return what an option's rank goes by before its score: how many codes it misses, and whether it hits for nothing.

    What hits for nothing stands behind whatever misses, since no change of mass or size makes it a machine that fights.
    """
    count = sum((misses & bit > 0).astype(int) for bit in CODE_BITS.values())
    share = energy_share(judge, values)
    count = count if share is None else count + BEHIND * ~(share >= FOR_NOTHING)
    return np.where(np.isfinite(factor) & np.isfinite(values["mass"]), count, NEVER)


def scored(judge: Judge, variables: Values, factor: Array) -> dict[str, Any]:
    """Return the columns of options that their quantities decide: score, aims and values.

    What follows from a speed that the motor does not reach counts as absent, and stands among the values all the same.
    """
    shape = factor.shape
    found = judge.evaluated(variables, judge.names, shape)
    unreached, hollow = unreached_in(judge, found, shape), judge.hollow(variables)
    counted = found
    if unreached.any():
        counted = {name: np.where(unreached, np.nan, value) if name in hollow else value
                   for name, value in found.items()}  # fmt: skip
    own, volts = judge.design.variables, "battery.voltage"
    over = variables["mass"] / own["mass"], factor, variables[volts] / own[volts] if volts in variables else None
    drifts: dict[str, Any] = {}
    for each in (judge.objective, *judge.aims.objectives):
        drifts |= drifts_over(each, counted, judge.reference, *over)
    drifts = {name: np.broadcast_to(drift, shape) for name, drift in drifts.items()}
    burden = np.broadcast_to(burdens(counted, judge.reference, judge.survived), shape)
    keys = {key: np.broadcast_to(variables[key], shape) for key in judge.shown}
    aims = judge.aims.of(drifts, burden)
    return {"score": score(judge.objective, drifts), "aims": aims, "values": {**keys, **found}}
