"""What is unlikely in a design file, or contradicts something else in it: said, not refused.

Each rule compares one number, worked out from what the file states, with the range in which robots' numbers lie. The
ranges are common practice, no source, unless a rule says otherwise; they are wide, so that what they name is worth a
second look.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from scaling.files.units import format_number, format_value
from scaling.formulas import book
from scaling.robot.spans import spans
from scaling.shop import materials

Numbers = Mapping[str, float]


@dataclass(frozen=True)
class Doubt:
    """One thing in a design file that the builder should look at again: the keys that it is about, and a sentence."""

    keys: tuple[str, ...]
    text: str

    @property
    def sentence(self) -> str:
        """The doubt with its keys, for people: what it is about first."""
        return f"{', '.join(self.keys)}: {self.text}"


@dataclass(frozen=True)
class Rule:
    """A number that follows from ``keys`` and the range ``low`` to ``high`` in which it is likely.

    ``value`` works it out from a design's numbers, which hold all the keys; ``name`` says what it is and ``scale``
    and ``unit`` how it is shown.
    """

    keys: tuple[str, ...]
    name: str
    value: Callable[[Numbers], float]
    low: float
    high: float
    unit: str = ""
    scale: float = 1.0
    hint: str = ""

    def doubt(self, numbers: Numbers) -> Doubt | None:
        """Return the doubt about a design, None where its number is likely or a key is not there."""
        if any(key not in numbers for key in self.keys):
            return None
        value = self.value(numbers)
        if self.low <= value <= self.high:
            return None
        bounds = [f"{word} {format_number(bound * self.scale)}" for word, bound, shown in (
            ("from", self.low, self.low > 0), ("to", self.high, math.isfinite(self.high))) if shown]
        text = f"{self.name} is {format_number(value * self.scale)} {self.unit}".rstrip()
        text += f", usual is {' '.join(bounds)} {self.unit}".rstrip()
        return Doubt(self.keys, text + (f"; {self.hint}" if self.hint else ""))


def _ratio(key: str, other: str, name: str, low: float, high: float, hint: str = "") -> Rule:
    return Rule((key, other), name, lambda n: n[key] / n[other] if n[other] else low, low, high, hint=hint)


def _plain(key: str, name: str, low: float, high: float, unit: str = "", scale: float = 1.0, hint: str = "") -> Rule:
    return Rule((key,), name, lambda n: n[key], low, high, unit, scale, hint)


def _motor(table: str, who: str) -> tuple[Rule, ...]:
    """What a motor's numbers say of one another: free speed, no-load share, stall current, mass for its size."""
    kv, ohm, idle, size, mass = (f"{table}.{name}" for name in (
        "kv", "resistance", "no_load_current", "diameter", "mass"))
    volts = "battery.voltage"
    return (
        Rule((kv, volts), f"the {who}'s free speed", lambda n: n[kv] * n[volts], 300.0, 10_000.0, "rpm",
             30 / math.pi, "check kv and cells"),
        Rule((idle, volts, ohm), f"the {who}'s no-load current over its stall current",
             lambda n: n[idle] * n[ohm] / n[volts], 1e-4, 0.1, hint="check no_load_current and resistance"),
        Rule((volts, ohm, mass), f"the {who}'s stall power over its mass",
             lambda n: n[volts] ** 2 / n[ohm] / n[mass], 400.0, 120_000.0, "W/g", 1e-3,
             "check resistance and mass"),
        Rule((mass, size), f"the {who}'s mass over the cube of its diameter", lambda n: n[mass] / n[size] ** 3,
             400.0, 15_000.0, "kg/m³", hint="check mass and diameter"),
    )  # fmt: skip


def _thickness(table: str, who: str, *spans_of: str) -> tuple[Rule, ...]:
    return tuple(
        _ratio(f"{table}.thickness", f"{table}.{span}", f"the {who}'s thickness over its {span}", 0.002, 0.5)
        for span in spans_of
    )


RULES: tuple[Rule, ...] = (
    *_motor("rotor.motor", "rotor motor"),
    *_motor("drive.motor", "drive motor"),
    Rule(("battery.capacity", "battery.voltage", "battery.mass"), "the pack's energy over its mass",
         lambda n: n["battery.capacity"] * n["battery.voltage"] / n["battery.mass"], 40 * 3600.0, 220 * 3600.0,
         "Wh/kg", 1 / 3600, "check capacity, cells and mass"),
    Rule(("battery.current_limit", "battery.capacity"), "the pack's rated current over its capacity",
         lambda n: n["battery.current_limit"] / n["battery.capacity"], 2 / 3600, 200 / 3600, "per hour", 3600.0,
         "check current_limit and capacity"),
    Rule(("battery.resistance", "battery.cells", "battery.capacity"), "a cell's resistance times its capacity",
         lambda n: n["battery.resistance"] / n["battery.cells"] * n["battery.capacity"] / 3600, 0.0005, 0.08, "Ω Ah",
         hint="check the pack's resistance"),
    Rule(("battery.voltage", "battery.cells"), "the pack's voltage for a cell",
         lambda n: n["battery.voltage"] / n["battery.cells"], 2.0, 4.4, "V"),
    _ratio("battery.mass", "mass", "the pack's share of the robot's mass", 0.02, 0.4),
    _ratio("rotor.mass", "mass", "the rotor's share of the robot's mass", 0.03, 0.5),
    _ratio("rotor.motor.mass", "mass", "the rotor motor's share of the robot's mass", 0.01, 0.3),
    _ratio("mass", "mass_limit", "the robot's mass over its own mass limit", 0.3, 1.001,
           "state mass_limit, or mend a mass"),
    _plain("rotor.ratio", "the motor's speed over the rotor's", 0.3, 12.0),
    _plain("drive.ratio", "the drive motor's speed over the wheel's", 1.0, 400.0, hint="check drive.ratio"),
    _plain("wheel.friction", "the tyres' friction", 0.2, 2.0),
    _plain("wheel.rolling_resistance", "the rolling resistance", 0.0, 0.2),
    _plain("wheel.skid_friction", "the skid's friction", 0.0, 1.0),
    _plain("wheel.load_share", "the wheels' share of the weight", 0.25, 1.0),
    _plain("rotor.windage_factor", "the rotor's drag over a disc's", 0.5, 20.0),
    _plain("rotor.belt.friction", "the belt's friction", 0.1, 1.5),
    _plain("rotor.teeth", "the number of teeth", 1.0, 12.0),
    _plain("battery.cells", "the number of cells", 1.0, 16.0),
    _plain("drive.motors", "the number of drive motors", 1.0, 8.0),
    _plain("wheel.count", "the number of wheels", 1.0, 8.0),
    _plain("gravity", "the acceleration of free fall", 9.76, 9.84, "m/s²"),
    _plain("air.density", "the density of the air", 0.8, 1.4, "kg/m³"),
    _plain("air.viscosity", "the viscosity of the air", 1e-5, 2.5e-5, "m²/s"),
    _plain("arena.length", "the arena's length", 0.3, 30.0, "m"),
    _plain("arena.width", "the arena's width", 0.3, 30.0, "m"),
    _ratio("arena.length", "length", "the arena's length over the machine's", 4.0, 60.0),
    _plain("arena.ceiling", "the arena's ceiling", 0.3, 15.0, "m"),
    _plain("match.time", "a match's length", 30.0, 600.0, "s"),
    _plain("match.spin_ups", "the spin-ups in a match", 0.0, 100.0),
    _plain("driver.reaction_time", "the driver's reaction time", 0.1, 0.8, "s"),
    _ratio("cg_height", "height", "the centre of gravity's height over the machine's", 0.08, 0.75),
    _ratio("height", "length", "the machine's height over its length", 0.05, 1.5),
    _ratio("width", "length", "the machine's width over its length", 0.2, 4.0),
    _ratio("track", "width", "the track over the width", 0.3, 1.1),
    _ratio("wheelbase", "length", "the wheelbase over the length", 0.15, 1.0),
    _ratio("wheel.diameter", "height", "the wheels' diameter over the machine's height", 0.1, 1.5),
    _ratio("wheel.mass", "mass", "a wheel's share of the robot's mass", 0.002, 0.15),
    Rule(("mass", "length", "width", "height"), "the machine's mass over its outer box",
         lambda n: n["mass"] / (n["length"] * n["width"] * n["height"]), 60.0, 2500.0, "kg/m³",
         hint="check mass, length, width and height"),
    _ratio("rotor.diameter", "length", "the rotor's diameter over the machine's length", 0.1, 1.2),
    _ratio("rotor.tooth_width", "rotor.width", "the tooth's width over the rotor's", 0.05, 2.0),
    _ratio("rotor.tooth_height", "rotor.diameter", "the tooth's height over the rotor's diameter", 0.01, 0.3),
    Rule(("rotor.tooth_height", "rotor.least_bite"), "the tooth's height over the least bite",
         lambda n: n["rotor.tooth_height"] / n["rotor.least_bite"], 1.0, 100.0),
    Rule(("rotor.speed", "rotor.diameter"), "the tip speed", lambda n: n["rotor.speed"] * n["rotor.diameter"] / 2,
         10.0, 160.0, "m/s", hint="check the rotor's speed and diameter"),
    _ratio("rotor.shaft.diameter", "rotor.shaft.span", "the shaft's thickness over its span", 0.03, 1.5),
    *_thickness("wall", "wall", "length", "height"),
    *_thickness("rail", "rail", "length", "height"),
    *_thickness("lid", "lid", "length", "width"),
    *_thickness("wedge", "wedge", "length", "width"),
    _ratio("opponent.armour_thickness", "opponent.armour_span", "the opponent's armour over its span", 0.005, 0.5),
    *(
        _ratio(f"{table}.edge_distance", f"{table}.bolt_diameter", f"the edge distance over the bolt in [{table}]",
               1.0, 30.0)
        for table in ("rotor.mount", "rotor.motor_mount", "joint")
    ),
    *(
        _ratio(f"{table}.thread.engagement", f"{table}.bolt_diameter", f"the thread over the bolt in [{table}]",
               0.5, 6.0)
        for table in ("rotor.mount", "rotor.motor_mount", "joint")
    ),
    _plain("attacker.specific_energy", "the attacker's energy over its mass", 5.0, 800.0, "J/kg"),
    _plain("attacker.tip_speed", "the attacker's tip speed", 10.0, 160.0, "m/s"),
)  # fmt: skip

OWN_MASS = (0.4, 1.5)
"""A rotor's stated mass over that of its plain shape: teeth and bosses add, pockets take away."""

FAR = 10.0
"""A number this many times outside the span of known machines of its size is doubtful."""

REACH = 1.1
"""A stated rotor speed over what its motor should reach."""


def doubts(numbers: Numbers, words: Mapping[str, str], stated: frozenset[str], reached: float | None) -> list[Doubt]:
    """Return every doubt about a design, those that a rule names first.

    ``numbers`` are its variables (SI), ``words`` its choices, ``stated`` the keys that its file gives and ``reached``
    the rotor speed (rad/s) that its motor should reach, None where that is not known.
    """
    found = [doubt for rule in RULES if stated.intersection(rule.keys) and (doubt := rule.doubt(numbers))]
    found += [*_rotor_mass(numbers, words, stated), *_rotor_material(words), *_speed(numbers, stated, reached)]
    named = {key for doubt in found for key in doubt.keys}
    return found + [doubt for doubt in _far(numbers, stated) if not named.intersection(doubt.keys)]


def _volume(numbers: Numbers, shape: str) -> float:
    """Volume in m^3 of a rotor's plain shape."""
    size, width, bore, chord = (numbers[f"rotor.{name}"] for name in ("diameter", "width", "bore", "chord"))
    if shape == "bar":
        return (size * chord - math.pi / 4 * bore**2) * width
    inner = bore if shape == "disc" else max(0.0, size - 2 * chord)
    return math.pi / 4 * (size**2 - inner**2) * width


def _rotor_mass(numbers: Numbers, words: Mapping[str, str], stated: frozenset[str]) -> list[Doubt]:
    shape = words.get("rotor.shape")
    if shape is None or "rotor.density" not in numbers or "rotor.mass" not in stated:
        return []
    own = numbers["rotor.density"] * _volume({"rotor.chord": numbers["rotor.diameter"], **numbers}, shape)
    if OWN_MASS[0] <= numbers["rotor.mass"] / own <= OWN_MASS[1]:
        return []
    return [Doubt(
        ("rotor.mass", "rotor.material", "rotor.shape"),
        f"the rotor's mass is {format_value(numbers['rotor.mass'], 'kg')}, its shape in {words['rotor.material']} "
        f"weighs {format_value(own, 'kg')}",
    )]  # fmt: skip


def _rotor_material(words: Mapping[str, str]) -> list[Doubt]:
    name = words.get("rotor.material")
    if name is None or materials.material(name).kind in ("metal", "composite"):
        return []
    return [Doubt(("rotor.material",), f"a rotor of {name} ({materials.material(name).kind}) does not keep its teeth")]


def _speed(numbers: Numbers, stated: frozenset[str], reached: float | None) -> list[Doubt]:
    if "rotor.speed" not in stated or not reached or numbers["rotor.speed"] <= REACH * reached:
        return []
    return [Doubt(
        ("rotor.speed", "rotor.motor.kv", "rotor.ratio"),
        f"the rotor's speed is stated as {format_value(numbers['rotor.speed'], 'rad/s', 4)}, its motor should reach "
        f"{format_value(reached, 'rad/s', 4)}",
    )]  # fmt: skip


def _far(numbers: Numbers, stated: frozenset[str]) -> list[Doubt]:
    """Numbers far outside what known machines of this mass and pack voltage have."""
    found: list[Doubt] = []
    for key, (low, high) in spans().items():
        if key not in stated or key not in numbers or numbers[key] == 0:
            continue
        size = similar_size(numbers, key)
        least, most = low * size / FAR, high * size * FAR
        if not least <= numbers[key] <= most:
            variable = book.variables[key]
            found.append(Doubt((key,), f"the {variable.meaning} is {format_value(numbers[key], variable.unit)}, usual "
                               f"at this mass is {format_value(low * size, variable.unit)} to "
                               f"{format_value(high * size, variable.unit)}"))
    return found


def similar_size(numbers: Numbers, key: str) -> float:
    """What a similar machine multiplies the value of ``key`` by from 1 kg and 1 V to this one's mass and pack."""
    variable = book.variables[key]
    length = numbers["mass"] ** (1 / 3)
    return float(length ** float(variable.length_power) * numbers.get("battery.voltage", 1.0) ** variable.voltage_power)
