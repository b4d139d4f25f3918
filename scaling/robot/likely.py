"""The ranges in which the numbers of robots lie: each rule works a number out of some keys and says what is usual.

The ranges are common practice, no source, unless a rule says otherwise; they are wide, so that what they name is worth
a second look.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from scaling.files.units import format_number

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

    It counts for files that state the first of them.

    ``value`` works it out from a design's numbers, which hold all the keys; ``name`` says what it is and ``scale``
    and ``unit`` how it is shown. ``when`` is a word that the design must have under a key, where one is needed.
    """

    keys: tuple[str, ...]
    name: str
    value: Callable[[Numbers], float]
    low: float
    high: float
    unit: str = ""
    scale: float = 1.0
    hint: str = ""
    when: tuple[str, str] | None = None

    def doubt(self, numbers: Numbers, words: Mapping[str, str]) -> Doubt | None:
        """Return the doubt about a design, None where its number is likely or a key is not there."""
        if any(key not in numbers for key in self.keys):
            return None
        if self.when is not None and words.get(self.when[0]) != self.when[1]:
            return None
        value = self.value(numbers)
        if self.low <= value <= self.high:
            return None
        bounds = [f"{word} {format_number(bound * self.scale)}" for word, bound, shown in (
            ("from", self.low, self.low > 0), ("to", self.high, math.isfinite(self.high))) if shown]
        text = f"{self.name} is {format_number(value * self.scale)} {self.unit}".rstrip()
        text += f", usual is {' '.join(bounds)} {self.unit}".rstrip()
        return Doubt(self.keys, text + (f"; {self.hint}" if self.hint else ""))


def _over(key: str, other: str, name: str, low: float, high: float, hint: str = "",
          when: tuple[str, str] | None = None) -> Rule:
    """The rule of one key over another."""
    return Rule((key, other), name, lambda n: n[key] / n[other] if n[other] else low, low, high, hint=hint, when=when)


def _alone(key: str, name: str, low: float, high: float, unit: str = "", scale: float = 1.0) -> Rule:
    return Rule((key,), name, lambda n: n[key], low, high, unit, scale)


def _motor(table: str, who: str, mass_share: tuple[float, float]) -> tuple[Rule, ...]:
    """What a motor's numbers say of one another: free speed, no-load share, power, mass for its size."""
    kv, ohm, idle, most, size, mass, long = (f"{table}.{name}" for name in (
        "kv", "resistance", "no_load_current", "current_limit", "diameter", "mass", "length"))
    volts = "battery.voltage"
    return (
        Rule((kv, volts), f"the {who}'s free speed", lambda n: n[kv] * n[volts], 200.0, 10_000.0, "rpm",
             30 / math.pi, "check kv and cells"),
        Rule((idle, volts, ohm), f"the {who}'s no-load current over its stall current",
             lambda n: n[idle] * n[ohm] / n[volts], 3e-4, 0.12, hint="check no_load_current and resistance"),
        Rule((ohm, volts, mass), f"the {who}'s stall power over its mass",
             lambda n: n[volts] ** 2 / n[ohm] / n[mass], 250.0, 120_000.0, "W/g", 1e-3,
             "check resistance and mass"),
        Rule((most, volts, mass), f"the {who}'s power at its current limit over its mass",
             lambda n: n[volts] * n[most] / n[mass], 150.0, 30_000.0, "W/g", 1e-3, "check current_limit and mass"),
        Rule((mass, size), f"the {who}'s mass over the cube of its diameter", lambda n: n[mass] / n[size] ** 3,
             400.0, 20_000.0, "kg/m³", hint="check mass and diameter"),
        _over(long, size, f"the {who}'s length over its diameter", 0.15, 6.0),
        _over(mass, "mass", f"the {who}'s share of the robot's mass", *mass_share),
    )  # fmt: skip


def _inertia(key: str, what: str) -> Rule:
    return Rule((key, "mass", "length"), f"{what} over that of the mass at half the length",
                lambda n: n[key] / (n["mass"] * n["length"] ** 2 / 4), 0.01, 2.0)


def _leads(amps: str) -> Rule:
    return Rule((amps, "wire.area"), "the leads' current over their section", lambda n: n[amps] / n["wire.area"],
                0.3e6, 150e6, "A/mm²", 1e-6, "check the leads")


def _bolted(table: str) -> tuple[Rule, ...]:
    """What the bolts of a joint and the plate under their heads say of one another.

    The tightening torque by T = K F d; a proof load or a little more is the most that bolts are tightened to.
    """
    bolt, torque, area, proof, nut = (f"{table}.{name}" for name in (
        "bolt_diameter", "torque", "bolt_stress_area", "bolt_proof", "nut_factor"))
    return (
        _over(f"{table}.edge_distance", bolt, f"the edge distance over the bolt in [{table}]", 1.0, 12.0),
        _over(f"{table}.thickness", bolt, f"the thickness over the bolt in [{table}]", 0.25, 8.0),
        _over(f"{table}.thread.engagement", bolt, f"the thread over the bolt in [{table}]", 0.5, 6.0),
        _alone(f"{table}.bolts", f"the number of bolts in [{table}]", 1.0, 32.0),
        Rule((torque, bolt, area, proof, nut), f"the bolts' preload by their torque over their proof load in [{table}]",
             lambda n: n[torque] / (n[nut] * n[bolt]) / (n[area] * n[proof]), 0.08, 1.4, hint=f"check {torque}"),
    )  # fmt: skip


def _plate(table: str, who: str, spans: Mapping[str, str], least: float) -> tuple[Rule, ...]:
    """A plate's thickness over each of its spans, and each span over the machine's."""
    return tuple(
        rule
        for span, whole in spans.items()
        for rule in (
            _over(f"{table}.thickness", f"{table}.{span}", f"the {who}'s thickness over its {span}", 0.002, 0.5),
            _over(f"{table}.{span}", whole, f"the {who}'s {span} over the machine's {whole}", least, 1.02),
        )
    )


ELECTRICS: tuple[Rule, ...] = (
    *_motor("rotor.motor", "rotor motor", (0.01, 0.35)),
    *_motor("drive.motor", "drive motor", (0.005, 0.25)),
    Rule(("battery.capacity", "battery.voltage", "battery.mass"), "the pack's energy over its mass",
         lambda n: n["battery.capacity"] * n["battery.voltage"] / n["battery.mass"], 40 * 3600.0, 220 * 3600.0,
         "Wh/kg", 1 / 3600, "check capacity, cells and mass"),
    Rule(("battery.current_limit", "battery.capacity"), "the pack's rated current over its capacity",
         lambda n: n["battery.current_limit"] / n["battery.capacity"], 2 / 3600, 250 / 3600, "per hour", 3600.0,
         "check current_limit and capacity"),
    Rule(("battery.fuse", "battery.capacity"), "the fuse's current over the pack's capacity",
         lambda n: n["battery.fuse"] / n["battery.capacity"], 5 / 3600, 250 / 3600, "per hour", 3600.0,
         "check fuse and capacity"),
    Rule(("battery.resistance", "battery.cells", "battery.capacity"), "a cell's resistance times its capacity",
         lambda n: n["battery.resistance"] / n["battery.cells"] * n["battery.capacity"] / 3600, 0.001, 0.12, "Ω Ah",
         hint="check the pack's resistance"),
    Rule(("battery.resistance", "battery.voltage", "rotor.motor.current_limit"), "the pack's sag at the rotor's limit",
         lambda n: n["battery.resistance"] * n["rotor.motor.current_limit"] / n["battery.voltage"], 0.0, 0.6,
         hint="check the pack's resistance and the current limit"),
    Rule(("battery.cells", "battery.voltage"), "the pack's voltage for a cell",
         lambda n: n["battery.voltage"] / n["battery.cells"], 2.0, 4.4, "V"),
    _over("battery.mass", "mass", "the pack's share of the robot's mass", 0.015, 0.4),
    _alone("battery.cells", "the number of cells", 1.0, 16.0),
    _leads("battery.current_limit"),
    _leads("rotor.motor.current_limit"),
    _over("wire.length", "length", "the leads' length over the machine's", 0.15, 6.0),
)

DRIVE: tuple[Rule, ...] = (
    _alone("drive.ratio", "the drive motor's speed over the wheel's", 1.0, 400.0),
    Rule(("drive.motor.kv", "battery.voltage", "drive.ratio", "wheel.diameter"), "the drive's free speed",
         lambda n: n["drive.motor.kv"] * n["battery.voltage"] / n["drive.ratio"] * n["wheel.diameter"] / 2, 0.4, 15.0,
         "m/s", hint="check drive.ratio, wheel.diameter and the motors' kv"),
    _alone("drive.motors", "the number of drive motors", 1.0, 8.0),
    _alone("wheel.count", "the number of wheels", 1.0, 8.0),
    _alone("wheel.friction", "the tyres' friction", 0.2, 2.0),
    _alone("wheel.rolling_resistance", "the rolling resistance", 0.0, 0.2),
    _alone("wheel.skid_friction", "the skid's friction", 0.0, 1.0),
    _alone("wheel.load_share", "the wheels' share of the weight", 0.25, 1.0),
    _over("wheel.diameter", "height", "the wheels' diameter over the machine's height", 0.1, 1.6),
    _over("wheel.mass", "mass", "a wheel's share of the robot's mass", 0.002, 0.15),
    Rule(("wheel.mass", "wheel.diameter"), "a wheel's mass over the cube of its diameter",
         lambda n: n["wheel.mass"] / n["wheel.diameter"] ** 3, 15.0, 3000.0, "kg/m³", hint="check mass and diameter"),
    _alone("driver.reaction_time", "the driver's reaction time", 0.1, 0.8, "s"),
    *(_alone(f"match.{duty}_duty", f"the share of a match that the {duty} works", 0.02, 1.0)
      for duty in ("rotor", "drive")),
)

MACHINE: tuple[Rule, ...] = (
    _over("mass", "mass_limit", "the robot's mass over its own mass limit", 0.3, 1.02,
          "state mass_limit, or mend a mass"),
    Rule(("mass", "length", "width", "height"), "the machine's mass over its outer box",
         lambda n: n["mass"] / (n["length"] * n["width"] * n["height"]), 60.0, 2500.0, "kg/m³",
         hint="check mass, length, width and height"),
    _over("cg_height", "height", "the centre of gravity's height over the machine's", 0.08, 0.75),
    _over("height", "length", "the machine's height over its length", 0.05, 1.5),
    _over("width", "length", "the machine's width over its length", 0.2, 4.0),
    _over("track", "width", "the track over the width", 0.3, 1.1),
    _over("wheelbase", "length", "the wheelbase over the length", 0.12, 1.0),
    _inertia("roll_inertia", "the inertia in roll"),
    _inertia("yaw_inertia", "the inertia in yaw"),
    _inertia("rotor.hit_inertia", "the inertia that answers a hit"),
    _alone("gravity", "the acceleration of free fall", 9.76, 9.84, "m/s²"),
    _alone("air.density", "the density of the air", 0.8, 1.4, "kg/m³"),
    _alone("air.viscosity", "the viscosity of the air", 1e-5, 2.5e-5, "m²/s"),
    _alone("arena.length", "the arena's length", 0.3, 30.0, "m"),
    _alone("arena.width", "the arena's width", 0.3, 30.0, "m"),
    _over("arena.width", "arena.length", "the arena's width over its length", 0.25, 4.0),
    _over("arena.length", "length", "the arena's length over the machine's", 4.0, 60.0),
    _alone("arena.ceiling", "the arena's ceiling", 0.3, 15.0, "m"),
    _over("arena.ceiling", "arena.length", "the arena's ceiling over its length", 0.05, 2.5),
    _alone("match.time", "a match's length", 30.0, 600.0, "s"),
    _alone("match.spin_ups", "the spin-ups in a match", 0.0, 100.0),
    _over("righting.arm.length", "length", "the righting arm's length over the machine's", 0.08, 2.0),
    _over("righting.arm.reach", "length", "the righting arm's reach over the machine's length", 0.1, 2.5),
    Rule(("righting.arm.torque", "mass", "gravity", "length"), "the righting arm's torque over weight times length",
         lambda n: n["righting.arm.torque"] / (n["mass"] * n["gravity"] * n["length"]), 0.04, 5.0,
         hint="check righting.arm.torque"),
)

ROTOR: tuple[Rule, ...] = (
    _over("rotor.mass", "mass", "the rotor's share of the robot's mass", 0.03, 0.5),
    _alone("rotor.ratio", "the motor's speed over the rotor's", 0.3, 12.0),
    _alone("rotor.windage_factor", "the rotor's drag over a disc's", 0.5, 20.0),
    _alone("rotor.teeth", "the number of teeth", 1.0, 12.0),
    _alone("rotor.balance_grade", "the grade to which the rotor is balanced", 0.4e-3, 0.1, "mm/s", 1e3),
    _over("rotor.diameter", "length", "the rotor's diameter over the machine's length", 0.1, 1.2),
    _over("rotor.axle_height", "height", "the rotor's axle over the machine's height", 0.02, 1.0),
    _over("rotor.axle_lever", "length", "the rotor's axle from the centre of gravity over the length", 0.0, 1.0),
    _over("rotor.tooth_width", "rotor.width", "the tooth's width over the rotor's", 0.04, 3.0),
    _over("rotor.tooth_height", "rotor.diameter", "the tooth's height over the rotor's diameter", 0.005, 0.35),
    Rule(("rotor.tooth_height", "rotor.least_bite"), "the tooth's height over the least bite",
         lambda n: n["rotor.tooth_height"] / n["rotor.least_bite"], 1.0, 100.0),
    Rule(("rotor.speed", "rotor.diameter"), "the tip speed", lambda n: n["rotor.speed"] * n["rotor.diameter"] / 2,
         8.0, 160.0, "m/s", hint="check the rotor's speed and diameter"),
    Rule(("rotor.motor.kv", "battery.voltage", "rotor.ratio", "rotor.diameter"), "the tip speed without any drag",
         lambda n: n["rotor.motor.kv"] * n["battery.voltage"] / n["rotor.ratio"] * n["rotor.diameter"] / 2, 10.0, 220.0,
         "m/s", hint="check kv, cells, rotor.ratio and rotor.diameter"),
    Rule(("rotor.inertia", "rotor.mass", "rotor.diameter"), "the rotor's inertia over that of its mass at the tips",
         lambda n: n["rotor.inertia"] / (n["rotor.mass"] * n["rotor.diameter"] ** 2 / 4), 0.03, 1.5),
    Rule(("rotor.motor.inertia", "rotor.motor.mass", "rotor.motor.diameter"),
         "the motor's inertia over that of its mass at the rim",
         lambda n: n["rotor.motor.inertia"] / (n["rotor.motor.mass"] * n["rotor.motor.diameter"] ** 2 / 4), 0.0, 1.0),
    _over("rotor.shaft.span", "rotor.width", "the shaft's span over the rotor's width", 0.8, 40.0),
    _over("rotor.shaft.diameter", "rotor.shaft.span", "the shaft's thickness over its span", 0.03, 1.5),
    _over("rotor.shaft.diameter", "rotor.diameter", "the shaft's thickness over the rotor's diameter", 0.015, 0.5),
    _over("rotor.motor.shaft.diameter", "rotor.motor.diameter", "the motor shaft's thickness over the motor's diameter",
          0.04, 0.5),
    _over("rotor.motor.shaft.overhang", "rotor.motor.diameter", "the motor shaft's overhang over the motor's diameter",
          0.02, 2.0),
    _over("rotor.motor_mount.pattern_diameter", "rotor.motor.diameter",
          "the circle of the motor's bolts over its diameter", 0.2, 2.0),
    _alone("rotor.belt.friction", "the belt's friction", 0.1, 1.5),
    _alone("rotor.belt.groove_angle", "the whole angle of the belt's groove", math.radians(20), math.pi, "°",
           180 / math.pi),
    _over("rotor.belt.width", "rotor.belt.pulley_diameter", "a round belt's thickness over its pulley", 0.08, 0.6,
          when=("rotor.belt.kind", "round")),
    Rule(("rotor.belt.mass_per_length", "rotor.belt.width"), "a round belt's density",
         lambda n: n["rotor.belt.mass_per_length"] / (math.pi / 4 * n["rotor.belt.width"] ** 2), 500.0, 2500.0, "kg/m³",
         hint="check mass_per_length and width", when=("rotor.belt.kind", "round")),
    _over("rotor.belt.tension", "rotor.belt.breaking_tension", "the belt's tension at rest over what breaks it", 0.005,
          0.5),
    _over("rotor.belt.stiffness", "rotor.belt.breaking_tension", "the belt's stiffness over what breaks it", 0.2,
          200.0),
)

STRUCTURE: tuple[Rule, ...] = (
    *_plate("wall", "wall", {"length": "length", "height": "height"}, 0.15),
    *_plate("rail", "rail", {"length": "length", "height": "height"}, 0.1),
    *_plate("lid", "lid", {"length": "length", "width": "width"}, 0.12),
    *_plate("wedge", "wedge", {"length": "length", "width": "width"}, 0.04),
    *(rule for table in ("rotor.mount", "rotor.motor_mount", "joint") for rule in _bolted(table)),
    *(_alone(f"joint.{share}", f"the joint's {share.replace('_', ' ')}", 0.02, 1.0)
      for share in ("pull_share", "force_share")),
    _over("opponent.armour_thickness", "opponent.armour_span", "the opponent's armour over its span", 0.005, 0.5),
    _alone("opponent.restitution", "the restitution of a hit", 0.0, 0.7),
    _over("opponent.armour_span", "length", "the opponent's armour span over the own length", 0.08, 2.5),
    _over("opponent.hit_offset", "length", "the hit's offset from the opponent's middle over the own length", 0.0, 0.8),
    _alone("attacker.specific_energy", "the attacker's energy over its mass", 5.0, 800.0, "J/kg"),
    _alone("attacker.tip_speed", "the attacker's tip speed", 8.0, 160.0, "m/s"),
    _over("attacker.diameter", "length", "the attacker's rotor over the own length", 0.1, 4.0),
    _over("attacker.bite", "length", "the attacker's bite over the own length", 0.001, 0.2),
    _over("attacker.tooth_width", "length", "the attacker's tooth over the own length", 0.005, 0.4),
)

RULES = (*ELECTRICS, *DRIVE, *MACHINE, *ROTOR, *STRUCTURE)
