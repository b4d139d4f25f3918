"""What a builder cannot know and may leave out: a row an estimate, with its rule, its source and its band.

Each rule works from what the file says of the same part, and names those keys. A band is what the number of a usual
machine lies within: for brushless motors what nine tenths of a published table do, elsewhere common practice. The rules
that cite no work are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.files.errors import Mistakes
from scaling.formulas import book
from scaling.formulas.drive.gearbox import STAGE_RATIO, efficiency_estimate
from scaling.formulas.rotor.shapes import single

Numbers = Mapping[str, Any]
Words = Mapping[str, str]

PRACTICE = "common-practice"


@dataclass(frozen=True)
class Estimate:
    """One estimated number of a design (SI): its band, the rule that gave it in words, and the rule's source."""

    key: str
    value: float
    low: float
    high: float
    rule: str
    source: str


@dataclass(frozen=True)
class Rule:
    """How the number under ``key`` is estimated from the numbers under ``needs``.

    ``value`` gives it from a design's numbers and words, in SI; ``low`` and ``high`` bound it as shares of the value.
    ``source`` cites as an entry of the book does. A key that is not there by itself, but only with its table, has
    another of that table among its ``needs``.
    """

    key: str
    rule: str
    needs: tuple[str, ...]
    value: Callable[[Numbers, Words], Any]
    low: float
    high: float
    source: str = PRACTICE

    def estimate(self, numbers: Numbers, words: Words) -> Estimate | None:
        """Return the estimate for a design, None where it states the number or not what the rule works from."""
        if self.key in numbers or any(need not in numbers for need in self.needs):
            return None
        value = single(self.value(numbers, words))
        most = 1.0 if book.variables[self.key].allowed in ("share", "fraction") else np.inf
        high = single(np.minimum(value * self.high, most))
        return Estimate(self.key, value, value * self.low, high, self.rule, self.source)


MOTORS = "budinger2020 table of motors, as worked in a published companion"

BRUSHLESS = {"loss": 15.3, "friction": 0.094}
"""Of the motors of 12 to 350 g in the table: the median of R kv^2 m^(5/3), in ohm (rad/s/V)^2 kg^(5/3), and of the
no-load torque over the mass, I_0 / (kv m), in N m/kg. The bands below hold nine tenths of them."""

GEARED = {"loss": 150.0, "friction": 0.02}
"""The same of small brushed motors, weighed with their gearbox: common practice, no source. A brushless motor in the
same gearbox has a tenth of the loss and four times the friction, which the bands include."""

CELL = {"lithium iron phosphate": 25e-3, "lithium ion": 55e-3}
"""Resistance of a cell times its capacity, in ohm ampere hours, by chemistry; of any other 8 milliohm ampere hours."""

MOTOR_CAN_SHARE = 0.1
"""Inertia of an outrunner's can over m d^2: half the mass at nine tenths of the radius."""

HOUR = 3600.0


def _resistance(table: str, loss: float, low: float, high: float, source: str, of: str) -> Rule:
    """A motor of one design has a resistance over the square of its torque constant that falls as length^-5."""
    kv, mass = f"{table}.kv", f"{table}.mass"
    return Rule(
        f"{table}.resistance",
        f"{loss:g} Ω (rad/s/V)² kg^(5/3) over kv² mass^(5/3), {of}",
        (kv, mass),
        lambda n, _: loss / (n[kv] ** 2 * n[mass] ** (5 / 3)),
        low, high, source,
    )  # fmt: skip


def _no_load(table: str, friction: float, low: float, high: float, source: str, of: str) -> Rule:
    """A motor of one design loses torque in its iron and bearings as its mass."""
    kv, mass = f"{table}.kv", f"{table}.mass"
    return Rule(
        f"{table}.no_load_current",
        f"{friction:g} N m/kg times kv and mass, {of}",
        (kv, mass),
        lambda n, _: friction * n[kv] * n[mass],
        low, high, source,
    )  # fmt: skip


def _pack(numbers: Numbers, words: Words) -> Any:
    chemistry = words.get("battery.cell", "").lower()
    times_capacity = next((value for name, value in CELL.items() if name in chemistry), 8e-3)
    return times_capacity * HOUR * numbers["battery.cells"] / numbers["battery.capacity"]


def _load_share(numbers: Numbers, _words: Words) -> Any:
    levers = np.clip(1 - numbers["cg_ahead"] / numbers["wheelbase"], 0.05, 1.0)
    return np.where(numbers["wheel.count"] > 2, 1.0, levers)


def _axle_height(numbers: Numbers, words: Words) -> Any:
    return numbers["height"] / 2 if words.get("rotor.axis") == "upright" else numbers["rotor.diameter"] / 2


def _class_size(length: float) -> Callable[[Numbers, Words], float]:
    """A length at a mass limit of a kilogram, in another class as the cube root of the limit."""
    return lambda numbers, _: length * numbers["mass_limit"] ** (1 / 3)


_OF_TABLE = "median of a table of brushless motors"
_OF_GEARED = "of small brushed motors with gearbox"
_OF_CLASS = "times the cube root of the mass limit in kg"
_ROTOR = ("mass_limit", "rotor.diameter")

RULES: tuple[Rule, ...] = (
    Rule("cg_height", "0.36 of the height", ("height",), lambda n, _: 0.36 * n["height"], 0.7, 1.4),
    Rule("cg_ahead", "half the wheelbase", ("wheelbase",), lambda n, _: n["wheelbase"] / 2, 0.6, 1.4),
    Rule(
        "wheel.load_share",
        "1 with three wheels or more; with two and a skid by levers, 1 - cg_ahead / wheelbase",
        ("wheel.count", "cg_ahead", "wheelbase"), _load_share, 0.8, 1.25,
        "own-derivation: balance of moments about the skid",
    ),
    Rule("wheel.friction", "rubber on a clean floor", ("wheel.diameter",), lambda *_: 0.8, 0.6, 1.5),
    _resistance("rotor.motor", BRUSHLESS["loss"], 0.5, 2.0, MOTORS, _OF_TABLE),
    _no_load("rotor.motor", BRUSHLESS["friction"], 0.6, 2.0, MOTORS, _OF_TABLE),
    Rule(
        "rotor.motor.inertia", "0.1 mass diameter², half the motor's mass at nine tenths of its radius",
        ("rotor.motor.mass", "rotor.motor.diameter"),
        lambda n, _: MOTOR_CAN_SHARE * n["rotor.motor.mass"] * n["rotor.motor.diameter"] ** 2, 0.5, 1.6,
    ),
    _resistance("drive.motor", GEARED["loss"], 0.1, 4.0, PRACTICE, _OF_GEARED),
    _no_load("drive.motor", GEARED["friction"], 0.5, 5.0, PRACTICE, _OF_GEARED),
    Rule(
        "drive.efficiency", f"0.9 for each stage of about {STAGE_RATIO:g}", ("drive.ratio",),
        lambda n, _: efficiency_estimate(np.maximum(n["drive.ratio"], 1.0))["efficiency"], 0.8, 1.1,
    ),
    Rule(
        "battery.resistance",
        "8 mΩ A h over the capacity for each cell in series with its leads; of lithium ion 55, iron phosphate 25",
        ("battery.cells", "battery.capacity"), _pack, 0.5, 2.5,
    ),
    Rule(
        "rotor.axle_height", "the cutting circle just clears the floor; an upright rotor at half the height",
        ("rotor.diameter", "height"), _axle_height, 1.0, 1.5,
    ),
    Rule("ground_clearance", "a tenth of the wheels' diameter", ("wheel.diameter",),
         lambda n, _: n["wheel.diameter"] / 10, 0.4, 2.0),
    Rule(
        "rotor.tooth_width", "as wide along the axis as the rotor", ("rotor.width",), lambda n, _: n["rotor.width"],
        0.4, 1.0,
    ),
    Rule(
        "rotor.windage_factor", "1: a smooth disc's drag, a bar's as the strips of a bluff rod", ("rotor.diameter",),
        lambda *_: 1.0, 0.4, 4.0,
    ),
    Rule("opponent.armour_thickness", f"13 mm {_OF_CLASS}", _ROTOR, _class_size(0.013), 0.4, 1.6),
    Rule("opponent.armour_span", f"105 mm {_OF_CLASS}", _ROTOR, _class_size(0.105), 0.6, 2.0),
)  # fmt: skip
"""Every rule, each after those whose numbers it works from."""

ESTIMATED = frozenset(rule.key for rule in RULES)
"""Keys that may be left out because a rule stands in for them."""

LIKE_ITSELF = {
    "attacker.specific_energy": (0.5, 2.0),
    "attacker.tip_speed": (0.7, 1.4),
    "attacker.tooth_width": (0.5, 2.0),
    "attacker.bite": (0.5, 2.0),
    "attacker.diameter": (0.7, 1.5),
}
"""Band, as shares of the value, of each number of the opponent that a design does not describe."""


def opponent_estimate(key: str, value: float) -> Estimate:
    """Return the estimate of a number of the rotor that hits: the own one, in a machine of the same class."""
    low, high = LIKE_ITSELF[key]
    return Estimate(key, value, value * low, value * high, "an opponent with this robot's own rotor", PRACTICE)


def unit_of(estimate: Estimate) -> str:
    """Return the SI unit of an estimated number."""
    return book.variables[estimate.key].unit


def estimate_missing(numbers: dict[str, float], words: Words, mistakes: Mistakes) -> list[Estimate]:
    """Put an estimate into ``numbers`` for each key that is left out and has a rule; returns what was estimated.

    A rule that rests on a value which could not be read is passed over in silence.
    """
    found: list[Estimate] = []
    for rule in RULES:
        estimate = mistakes.attempt(rule.estimate, numbers, words)
        if estimate is not None:
            numbers[rule.key] = estimate.value
            found.append(estimate)
    return found
