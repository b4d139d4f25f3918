"""What a workshop might change about each risk: a table of changes, each in sizes from the least upwards.

Nothing is judged here: each change is tried by running the port again.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from scaling.book.told_apart import told_apart
from scaling.decide.risks import Risk
from scaling.files.toml import quoted
from scaling.files.units import format_short, parse, shown_unit, to_shown
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


MORE = (1.1, 1.25, 1.5, 2.0)
LESS = (0.9, 0.8, 0.7, 0.5)


def told(key: str, value: float, digits: int = 3) -> str:
    """A value as a file would say it, in the unit that people use."""
    unit = book.variables[key].unit
    return f"{format_short(to_shown(value, unit), digits)} {shown_unit(unit)}".strip()


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
    joints = {"bolt_": "rotor.mount", "joint_": "joint", "motor_mount_": "rotor.motor_mount",
              "hub_bolt_": "rotor.hub_bolts"}  # fmt: skip
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
    yield [
        Change(f"make {part.name} {text} thick",
               _part_keys(bench, table, part, "thickness", text, parse(text, "m") / now))
        for text in texts
    ]  # fmt: skip


def _part_keys(bench: Bench, table: str, part: Part, name: str, text: str, heavier: float) -> dict[str, str]:
    """The keys of a part's other thickness or material, by which its mass grows ``heavier`` times.

    A machine's own file says the part's mass as well, its own where it states that, and the size in the table that the
    part is: all of these go along.
    """
    place = f"parts.{quoted(part.name)}"
    machine = bench.port.machine
    if machine is None:
        return {f"{place}.{name}": text}
    keys = {f"{place}.{name}": text, f"{place}.mass": told("mass", part.mass * heavier, EXACT)}
    if f"{table}.{name}" in machine.stated or f"{table}.{name}" in machine.choices:
        keys[f"{table}.{name}"] = text
    if "mass" in machine.stated:
        total = machine.variables["mass"] + part.count * part.mass * (heavier - 1)
        keys["mass"] = told("mass", total, EXACT)
    return keys


EXACT = 6
"""Digits of a mass that follows from another, which must not be rounded away."""


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
        for name in names if own is not None else ():
            if own is None or name == own:
                continue
            if part is None:
                yield [Change(f"make the {table} of {name}", {bench.key(f"{table}.material"): name})]
                continue
            heavier = material(name).density.typical / material(own).density.typical
            yield [Change(f"make {part.name} of {name}",
                          _part_keys(bench, table, part, "material", name, heavier))]  # fmt: skip

    return offer


def bolts(bench: Bench, risk: Risk | None) -> Iterator[Proposal]:
    """More bolts, then bigger ones; their own mass counts, as rods of steel."""
    table = _table(risk)
    count, size = bench.values.get(f"{table}.bolts"), bench.values.get(f"{table}.bolt_diameter")
    if size is None:  # a table that asks for no more than the section
        size = math.sqrt(4 / math.pi * bench.values.get(f"{table}.bolt_stress_area", 0.0))
    if not count or not size:
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


PLACES = {"rotor.mount": "rotor mount", "joint": "watched joint", "rotor.motor_mount": "motor mount",
          "rotor.hub_bolts": "motor's can"}  # fmt: skip


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
        for each in sorted(listed, key=lambda one: told_apart(one.numbers["mass"])):
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


def about(start: str, *offers: Offer) -> Offer:
    """Offer these only where the risk's quantity begins so."""

    def offer(bench: Bench, risk: Risk | None) -> Iterator[Proposal]:
        if risk is not None and (risk.quantity or "").startswith(start):
            for each in offers:
                yield from each(bench, risk)

    return offer


def larger_pack(bench: Bench, _risk: Risk | None) -> Iterator[Proposal]:
    """A pack of more capacity at the same voltage: heavier by as much, its resistance less."""
    powers = {"capacity": 1, "mass": 1, "resistance": -1}
    own = {name: bench.values.get(f"battery.{name}") for name in powers}
    if any(value is None for value in own.values()):
        return
    yield [
        Change(
            f"take a pack of {told('battery.capacity', (own['capacity'] or 0.0) * share)}",
            {bench.key(f"battery.{name}"): told(f"battery.{name}", (own[name] or 0.0) * share**power)
             for name, power in powers.items()},
        )
        for share in (1.15, 1.3, 1.5, 1.75, 2.0)
    ]  # fmt: skip


def wheels(bench: Bench, _risk: Risk | None) -> Iterator[Proposal]:
    """Larger wheels, as wide as they are, whose mass grows with their face."""
    own = {name: bench.values.get(f"wheel.{name}") for name in ("diameter", "mass", "count")}
    if own["diameter"] is None or own["mass"] is None:
        return
    yield [
        Change(
            f"take wheels of {told('wheel.diameter', own['diameter'] * share)}",
            {bench.key(f"wheel.{name}"): told(f"wheel.{name}", value * share**power)
             for name, value, power in (("diameter", own["diameter"], 1), ("mass", own["mass"], 2))},
        )
        for share in (1.05, 1.1, 1.2, 1.35, 1.5)
    ]  # fmt: skip
