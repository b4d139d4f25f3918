"""What a workshop might change about each risk: a table of changes, each in sizes from the least upwards.

Nothing is judged here: each change is tried by running the port again.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from scaling.decide.risks import Risk
from scaling.files.toml import quoted
from scaling.files.units import format_short, shown_unit, to_shown
from scaling.formulas import book
from scaling.robot.parts import Part
from scaling.shop.materials import material
from scaling.shop.shelves import family_of
from scaling.study.results import Port, Study

STEEL = 7850.0
"""Density of screws in kg/m^3."""

SCREW_LENGTH = 5.0
"""Length of a screw over its diameter, head counted in: common practice, no source."""


@dataclass(frozen=True)
class Change:
    """One size of a change: what to do in words, the keys with their text, and the kilograms that no part counts."""

    text: str
    keys: Mapping[str, str]
    uncounted: float = 0.0


Proposal = list[Change]
"""One change in sizes, the least first."""


@dataclass(frozen=True)
class Bench:
    """The port that is to be mended."""

    study: Study
    port: Port

    @property
    def values(self) -> Mapping[str, float]:
        """The port's variables by dotted key."""
        return self.port.variables

    @property
    def choices(self) -> Mapping[str, str]:
        """The port's words by dotted key."""
        machine = self.port.machine
        return machine.choices if machine is not None else self.study.design.choices | self.study.brief.words

    def key(self, key: str) -> str:
        """How the file that is to be changed names a key of the design."""
        return key if self.port.machine is not None else f"port.{key}"

    def part_of(self, table: str) -> Part | None:
        """The part of the mass sum that a table is, where it is one."""
        machine = self.port.machine
        name = self.choices.get(f"{table}.part")
        parts = machine.parts if machine is not None else self.port.carried
        return next((part for part in parts if part.name == name), None)


Offer = Callable[[Bench, Risk | None], Iterator[Proposal]]


def told(key: str, value: float) -> str:
    """A value as a file would say it, in the unit that people use."""
    unit = book.variables[key].unit
    return f"{format_short(to_shown(value, unit), 3)} {shown_unit(unit)}".strip()


def times(key: str, shares: tuple[float, ...], words: str) -> Offer:
    """Offer a key's value times each of the ``shares``."""

    def offer(bench: Bench, _risk: Risk | None) -> Iterator[Proposal]:
        if bench.values.get(key):
            sizes = [told(key, bench.values[key] * share) for share in shares]
            yield [Change(words.format(size=size), {bench.key(key): size}) for size in sizes]

    return offer


def sold(key: str, shelf: str, words: str) -> Offer:
    """Offer the next sizes of a shelf above a key's value."""

    def offer(bench: Bench, _risk: Risk | None) -> Iterator[Proposal]:
        if key in bench.values:
            on_shelf = (bench.study.design.shelves | bench.study.brief.shelves).sizes(shelf)
            sizes = [told(key, size) for size in on_shelf if bench.values[key] * 1.001 < size < bench.values[key] * 2.5]
            yield [Change(words.format(size=size), {bench.key(key): size}) for size in sizes]

    return offer


def _table(risk: Risk | None) -> str:
    """The table of the design file that a risk's quantity is about."""
    name = (risk.quantity if risk is not None else None) or ""
    joints = {"bolt_": "rotor.mount", "joint_": "joint", "motor_mount_": "rotor.motor_mount"}
    return next((table for start, table in joints.items() if name.startswith(start)), name.partition("_")[0])


def thicker(bench: Bench, risk: Risk | None) -> Iterator[Proposal]:
    """A plate of the next thicknesses: of its part where it is one, so that the mass counts."""
    table = _table(risk)
    part, key = bench.part_of(table), f"{table}.thickness"
    now = bench.values.get(key)
    if now is None:
        return
    if part is None:
        sizes = [now * share for share in (1.15, 1.3, 1.5, 1.75, 2.0, 2.5, 3.0)]
        yield [
            Change(f"make the {table} {told(key, size)} thick", {bench.key(key): told(key, size)},
                   _plate(bench, table) * (size - now))
            for size in sizes
        ]  # fmt: skip
        return
    family = family_of(part.material)
    shelves = bench.study.design.shelves | bench.study.brief.shelves
    on_shelf = [size for size in shelves.sizes("sheet", family) if 1.001 < size / now < 4] if family else []
    texts = [told(key, size) for size in on_shelf or [now * share for share in (1.15, 1.3, 1.5, 1.75, 2.0, 2.5, 3.0)]]
    yield [Change(f"make {part.name} {text} thick", _part_keys(bench, part, text, now)) for text in texts]


def _part_keys(bench: Bench, part: Part, text: str, now: float) -> dict[str, str]:
    """The keys of a part's other thickness; a machine's own file states its mass too, which goes with it."""
    place = f"parts.{quoted(part.name)}"
    if bench.port.machine is None:
        return {f"{place}.thickness": text}
    from scaling.files.units import parse

    mass = part.mass * parse(text, "m") / now
    total = bench.port.machine.variables["mass"] + part.count * (mass - part.mass)
    return {f"{place}.thickness": text, f"{place}.mass": told("mass", mass), "mass": told("mass", total)}


def _plate(bench: Bench, table: str) -> float:
    """Mass of a table's plate over its thickness, kg/m, where the file says of what and how large it is."""
    name, values = bench.choices.get(f"{table}.material"), bench.values
    sides = [values.get(f"{table}.{side}", 0.0) for side in ("length", "width" if table != "wall" else "height")]
    return material(name).density.typical * math.prod(sides) if name else 0.0


def of(*names: str) -> Offer:
    """Offer other materials for a plate, those of its part where it is one."""

    def offer(bench: Bench, risk: Risk | None) -> Iterator[Proposal]:
        table = _table(risk)
        part = bench.part_of(table)
        own = part.material if part is not None else bench.choices.get(f"{table}.material")
        if own is None or (part is not None and bench.port.machine is not None):
            return
        for name in names:
            if name != own:
                key = bench.key(f"{table}.material") if part is None else f"parts.{quoted(part.name)}.material"
                yield [Change(f"make {'the ' + table if part is None else part.name} of {name}", {key: name})]

    return offer


def bolts(bench: Bench, risk: Risk | None) -> Iterator[Proposal]:
    """More bolts, then bigger ones; their own mass counts, as rods of steel."""
    table = _table(risk)
    count, size = bench.values.get(f"{table}.bolts"), bench.values.get(f"{table}.bolt_diameter")
    if count is None or size is None:
        return
    one = STEEL * math.pi / 4 * size**2 * SCREW_LENGTH * size
    place = PLACES.get(table, table)
    yield [
        Change(f"use {count + more:.0f} bolts in the {place} and not {count:.0f}",
               {bench.key(f"{table}.bolts"): f"{count + more:.0f}"}, more * one)
        for more in (1, 2, 3, 4, 6)
    ]  # fmt: skip
    shelf = (bench.study.design.shelves | bench.study.brief.shelves).bolts
    larger = [bolt for bolt in shelf if 1.001 < bolt.diameter / size < 2.1]
    yield [
        Change(f"use {bolt.size} bolts in the {place}", {bench.key(f"{table}.bolt"): bolt.size},
               count * one * ((bolt.diameter / size) ** 3 - 1))
        for bolt in larger
    ]  # fmt: skip


def looser(bench: Bench, risk: Risk | None) -> Iterator[Proposal]:
    """A lower tightening torque, where the bolts' own pull is what the plate bears."""
    table = _table(risk)
    words = f"tighten the {PLACES.get(table, table)}'s bolts to {{size}}"
    yield from times(f"{table}.torque", LESS, words)(bench, risk)


PLACES = {"rotor.mount": "rotor mount", "joint": "watched joint", "rotor.motor_mount": "motor mount"}


def metal_plate(bench: Bench, risk: Risk | None) -> Iterator[Proposal]:
    """A metal plate under the bolts' heads, or in place of what they are screwed through."""
    table = _table(risk)
    name = bench.choices.get(f"{table}.material")
    if name is None or material(name).kind == "metal":
        return
    plate = "aluminium-6082-t6"
    yield [Change(f"put a plate of {plate} under the bolts of the {PLACES.get(table, table)}",
                  {bench.key(f"{table}.material"): plate})]  # fmt: skip


def motor(table: str) -> Offer:
    """Offer the motors of the brief's own catalogue, the lightest first."""

    def offer(bench: Bench, _risk: Risk | None) -> Iterator[Proposal]:
        space = bench.study.brief.options
        if space is None or bench.port.machine is not None:
            return
        listed = space.rotor_motors if table == "rotor.motor" else space.drive_motors
        for each in sorted(listed, key=lambda one: one.numbers["mass"]):
            keys = {bench.key(f"{table}.{name}"): told(f"{table}.{name}", value) for name, value in each.numbers.items()
                    if f"{table}.{name}" in book.variables}  # fmt: skip
            yield [Change(f"take the {table.partition('.')[0]} motor {each.name}", keys)]

    return offer


ACROSS = 0.5
"""Share of frame and armour that grows with the width: common practice, no source."""


def wider(bench: Bench, _risk: Risk | None) -> Iterator[Proposal]:
    """A wider track, in a machine that is wider by as much."""
    track, width = bench.values["track"], bench.values["width"]
    across = ACROSS * sum(line.port for line in bench.port.parts if line.group in ("frame", "armour"))
    yield [
        Change(
            f"widen track and machine by {1e3 * track * (share - 1):.0f} mm",
            {
                bench.key("track"): told("track", track * share),
                bench.key("width"): told("width", width + track * (share - 1)),
            },
            across * track * (share - 1) / width,
        )
        for share in (1.05, 1.1, 1.15, 1.2, 1.3, 1.4)
    ]


def fewer(key: str, words: str) -> Offer:
    """Offer fewer of what a key counts, one by one down to half of them."""

    def offer(bench: Bench, _risk: Risk | None) -> Iterator[Proposal]:
        now = int(bench.values.get(key, 0))
        counts = range(now - 1, (now - 1) // 2, -1)
        yield [Change(words.format(size=count), {bench.key(key): str(count)}) for count in counts]

    return offer


MORE = (1.1, 1.25, 1.5, 2.0)
LESS = (0.9, 0.8, 0.7, 0.5)

OFFERS: Mapping[str, tuple[Offer, ...]] = {
    "gyro_stronger": (wider,),
    "tips_in_turn": (wider, times("cg_height", (0.95, 0.9, 0.8), "bring the centre of gravity down to {size}")),
    "nose_lifts": (
        times("rotor.motor.current_limit", LESS, "set the rotor controller's limit to {size}"),
        times("wheelbase", (1.05, 1.1, 1.2), "lengthen the wheelbase to {size}"),
        times("cg_ahead", (1.05, 1.1, 1.2), "move the centre of gravity forward to {size}"),
    ),
    "rush_lost": (
        times("rotor.ratio", (1.1, 1.2, 1.3, 1.5, 2.0), "gear the rotor down to {size} to 1"),
        times("rotor.motor.current_limit", (1.1, 1.25, 1.5), "take a rotor motor and controller that bear {size}"),
        motor("rotor.motor"),
    ),
    "shallow_bite": (
        times("drive.ratio", (0.9, 0.8, 0.7), "gear the drive up to {size} to 1"),
        times("rotor.teeth", (0.5,), "leave the rotor {size} tooth"),
    ),
    "belt_slips": (
        times("rotor.belt.tension", (1.1, 1.2, 1.35, 1.5, 2.0), "tighten the belt to {size} at rest"),
        sold("rotor.belt.width", "round-belt", "take a belt of {size}"),
        times("rotor.belt.pulley_diameter", (1.1, 1.2, 1.35), "take a motor pulley of {size}"),
    ),
    "belt_breaks": (
        sold("rotor.belt.width", "round-belt", "take a belt of {size}"),
        times("rotor.belt.breaking_tension", MORE, "take a belt that breaks at {size}"),
    ),
    "pulley_cut": (
        times("rotor.belt.pulley.fixing_torque", MORE, "fix the pulley so that it holds {size}"),
        times("rotor.belt.pulley_diameter", (1.1, 1.25, 1.5), "take a motor pulley of {size}"),
    ),
    "mount_breaks": (
        bolts,
        metal_plate,
        times("rotor.motor_mount.stiffness", LESS, "let the motor's mount give more, at {size}"),
    ),
    "shaft_bends": (
        sold("rotor.shaft.diameter", "bearing-bore", "take a rotor shaft of {size}"),
        times("rotor.shaft.span", LESS, "bring the shaft's supports together to {size}"),
    ),
    "joint_fails": (looser, bolts, metal_plate),
    "wedge_bends": (thicker, of("wear-steel-500", "spring-steel")),
    "wall_fails": (thicker, of("polycarbonate", "aluminium-7075-t6")),
    "lid_fails": (thicker, of("polycarbonate", "aluminium-7075-t6", "titanium-6al-4v")),
    "lands_hard": (times("landing.stiffness", LESS, "land on pads of {size}"), thicker),
    "drive_slips": (times("wheel.friction", (1.1, 1.2, 1.3), "take tyres with a friction of {size}"),),
    "drive_overheats": (
        times("drive.ratio", (1.1, 1.2, 1.35), "gear the drive down to {size} to 1"),
        motor("drive.motor"),
    ),
    "motor_overheats": (
        times("rotor.ratio", (1.1, 1.2, 1.35), "gear the rotor down to {size} to 1"),
        motor("rotor.motor"),
    ),
    "pack_overloaded": (
        times("battery.current_limit", MORE, "take a pack that may give {size}"),
        times("rotor.motor.current_limit", LESS, "set the rotor controller's limit to {size}"),
    ),
    "browns_out": (
        times("battery.resistance", LESS, "take a pack of at most {size}"),
        times("rotor.motor.current_limit", LESS, "set the rotor controller's limit to {size}"),
    ),
    "cannot_right": (
        times("righting.arm.torque", MORE, "gear the righting arm for {size}"),
        times("righting.arm.spring_energy", MORE, "take a spring that stores {size}"),
    ),
    "slow_to_service": (
        fewer("service.tool_changes", "let one tool fit more of the screws: {size} changes of tool on the way"),
        fewer("service.screws", "get by with {size} screws on the way to what is swapped"),
    ),
}
"""What is offered against each risk, by its code: cheap and quick things first."""

