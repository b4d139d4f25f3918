"""The quantities that a robot lacks for want of an input that its file could state, and which keys would bring each.

What a robot cannot have, such as a belt's pull without a belt or anything of a rotor without one, is not among them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.book.entry import Quantity
from scaling.book.lacking import Keys, better_ways, lacking
from scaling.book.told_apart import told_apart
from scaling.files.schema import Key
from scaling.files.toml import quoted
from scaling.formulas import book
from scaling.robot.derived import MATERIAL_PROPERTIES, table_of
from scaling.robot.design import Design
from scaling.robot.own_parts import WORDS
from scaling.robot.positions import COVERED, FROM_PLACES
from scaling.robot.schema import DESIGN, ONLY_WITH
from scaling.study.kept import kept

if TYPE_CHECKING:
    from scaling.study.results import Port, Study


@dataclass(frozen=True)
class Absent:
    """A quantity that is absent, and the keys of the design file that would bring it."""

    quantity: str
    needs: tuple[str, ...]


def absent(design: Design, variables: Mapping[str, float], values: Collection[str]) -> tuple[Absent, ...]:
    """Return what is absent from the ``values`` of a design or its port, whose ``variables`` are given, in book order.

    A quantity that the numbers give no value for is among them where a key that the file leaves out may bring one:
    one by which another formula counts, or one that is estimated and within whose band there is a value.
    """
    ways = _Ways(design)
    known = {**design.variables, **variables}
    missing = lacking(book, design.traits, known, design.said, ways.of_input, ways.of_trait)
    counted = book.counted(design.traits, known)
    without = [name for name in counted if name not in values]
    if without:
        better = better_ways(book, design.traits, known, design.said, ways.of_input)
        missing |= _without_value(design, variables, counted, without, better)
    return tuple(
        Absent(name, tuple(_in_order(ways.completed(missing[name]))))
        for name in book.quantities
        if name in missing and name not in values
    )


@kept
def absent_of_reference(study: Study) -> tuple[Absent, ...]:
    """Return what is absent from a study's reference."""
    return absent(study.design, study.design.variables, study.reference)


@kept
def absent_of_port(study: Study, port: Port) -> tuple[Absent, ...]:
    """Return what is absent from a port, or from a machine with a file of its own; nothing of one without a factor."""
    return () if port.factor is None else absent(port.machine or study.design, port.variables, port.quantities)


def _in_order(keys: Keys) -> list[str]:
    order = {key: place for place, key in enumerate(DESIGN.keys)}
    return sorted(keys, key=lambda key: (order.get(key, len(order)), key))


def _without_value(
    design: Design, given: Mapping[str, float], counted: Mapping[str, Quantity], without: list[str],
    better: Mapping[str, Keys],
) -> dict[str, Keys]:
    """The keys that may bring a value to quantities that have a formula and no value."""
    inside = _within_bands(design, given, without)
    found: dict[str, Keys] = {}
    for name in without:
        behind = set(_behind(name, counted))
        other = frozenset().union(
            *(better[each] for each in behind if each in better and _may_bring(design, given, name, better[each]))
        )
        keys = other | {key for key in inside.get(name, ()) if key in behind}
        if keys:
            found[name] = keys
    return found


USUAL_SHARES = (0.05, 0.1, 0.2)
"""Shares of a robot's length or mass that a length or a mass of one of its parts may have."""


USUAL_PRODUCTS = (0.67, 1.25)
"""Torque constant times speed constant of published motors, lowest and highest: see torque_constant."""


def _may_bring(design: Design, given: Mapping[str, float], name: str, keys: Keys) -> bool:
    """Whether a usual length, mass or torque constant brings a value; what is none of these by itself may."""
    (key, *others) = keys
    if (kv := given.get(key.replace(".torque_constant", ".kv"))) and not others and key.endswith(".torque_constant"):
        return _brings(design, {**given, key: np.asarray(USUAL_PRODUCTS) / kv}, name)
    whole = {"m": "length", "kg": "mass"}.get(book.variables[key].unit) if key in book.variables else None
    if others or whole is None:
        return True
    return _brings(design, {**given, key: given[whole] * np.asarray(USUAL_SHARES)}, name)


def _brings(design: Design, tried: Mapping[str, Any], name: str) -> bool:
    """Whether any of the numbers that are tried gives a quantity a value."""
    found = book.evaluate(tried, design.traits, only=[name]).get(name)
    return found is not None and bool(np.isfinite(found).any())


def _behind(name: str, counted: Mapping[str, Quantity]) -> Iterator[str]:
    """A quantity and everything that it is computed from, variables among it."""
    seen: set[str] = set()
    waiting = [name]
    while waiting:
        each = waiting.pop()
        if each not in seen:
            seen.add(each)
            yield each
            waiting += counted[each].inputs if each in counted else ()


def _within_bands(design: Design, given: Mapping[str, float], names: list[str]) -> dict[str, list[str]]:
    """By quantity, the estimated keys at an end of whose band it has a value: all ends are tried in one batch."""
    estimates = [each for each in design.estimates if each.key in given and each.value]
    if not estimates:
        return {}
    batch: dict[str, Any] = dict(given)
    for place, each in enumerate(estimates):
        ends = np.full(2 * len(estimates), given[each.key])
        ends[2 * place : 2 * place + 2] *= np.asarray([each.low, each.high]) / each.value
        batch[each.key] = ends
    batch |= _speed_within_bands(design, given, batch)
    found: dict[str, list[str]] = {}
    for name, value in book.evaluate(batch, design.traits, only=names).items():
        if name in names and np.ndim(value):
            some = np.isfinite(value).reshape(-1, 2)
            found[name] = [each.key for each, ends in zip(estimates, some, strict=True) if any(ends)]
    return found


def _speed_within_bands(design: Design, given: Mapping[str, float], batch: Mapping[str, Any]) -> dict[str, Any]:
    """The rotor's speed where it is what the reference's motor reaches, which the estimates change."""
    name, own = "rotor_speed_as_motored", design.variables
    if "rotor.speed" not in given or "rotor.speed" in design.stated:
        return {}
    tried = {key: batch[key] / given[key] * value if given.get(key) else value for key, value in own.items()}
    reached = book.evaluate(tried, design.traits, only=[name])[name]
    return {"rotor.speed": given["rotor.speed"] * reached / own["rotor.speed"]}


class _Ways:
    """Which keys a design's file could state to bring an input or a trait that it lacks."""

    def __init__(self, design: Design) -> None:
        self.design = design
        self.there = {table_of(key) for key in (*design.variables, *design.choices)}
        self.unplaced = _unplaced(design)

    def of_input(self, name: str) -> Keys | None:
        """The keys that would bring a variable, None where no file of such a design can state it."""
        if name not in DESIGN.keys or not self._may_have(table_of(name)):
            return None
        key, table = DESIGN.keys[name], table_of(name)
        if self.unplaced and name in FROM_PLACES:
            return self.unplaced
        return self._own(name, key, table) | self._whole(table)

    def _own(self, name: str, key: Key, table: str) -> Keys:
        """The key or keys that give a variable, its table apart."""
        follows = book.variables[name].follows
        if follows:
            return frozenset(follows)
        if key.derived and key.name in MATERIAL_PROPERTIES and f"{table}.material" in DESIGN.keys:
            return frozenset({f"{table}.material"})
        comes = key.derived or key.estimated or key.default is not None
        if comes and table not in self.there and not key.when:
            return frozenset()
        return frozenset({name})

    def of_trait(self, trait: str) -> Keys | None:
        """The keys that would bring a trait, None where the file says otherwise or cannot say it."""
        key, _, word = trait.partition("=")
        table = table_of(key)
        if key not in WORDS or key in self.design.said or not self._may_have(table):
            return None
        whole = self._whole(table)
        if table not in self.there and WORDS[key].default == word:
            return whole
        return whole | {key, trait} | self._under(table, f"{key.rpartition('.')[2]}={word}")

    def _may_have(self, table: str) -> bool:
        """Whether a file of such a design may hold a table."""
        wants = DESIGN.by_name[table].required if table in DESIGN.by_name else "when stated"
        if not self.design.has_rotor and (wants == "with a rotor" or table.partition(".")[0] == "rotor"):
            return False
        return all(
            trait in self.design.traits
            for start, trait in ONLY_WITH.items()
            if table == start or table.startswith(f"{start}.")
        )

    def _whole(self, table: str) -> Keys:
        """What must be stated together with any key of a table that is not there yet, or of one that it lies in."""
        outer = table_of(table)
        keys = self._whole(outer) if outer in DESIGN.by_name and outer != table else frozenset[str]()
        if table in self.there or table not in DESIGN.by_name:
            return keys
        found = DESIGN.by_name[table]
        return keys | {found.dotted(key) for key in found.keys if key.needed}

    def completed(self, keys: Keys) -> Keys:
        """Return the keys with those that they need beside them under some word, and without the words themselves.

        Where nothing says which word, it is the one that asks for the fewest more.
        """
        words = dict(key.split("=", 1) for key in keys if "=" in key)
        found = frozenset(key for key in keys if "=" not in key)
        for key in found & WORDS.keys():
            choice, last = WORDS[key], key.rpartition(".")[2]
            wanted = [words[key]] if key in words else choice.allowed or ()
            more = [self._under(table_of(key), f"{last}={word}") for word in wanted]
            found |= min(more, key=lambda each: len(each - found), default=frozenset())
        return found

    def _under(self, table: str, condition: str) -> Keys:
        return frozenset(
            DESIGN.by_name[table].dotted(key)
            for key in DESIGN.by_name[table].keys
            if condition in key.when and DESIGN.by_name[table].dotted(key) not in self.design.said
        )


def _unplaced(design: Design) -> Keys:
    """Keys of the places that are missing where a file places parts of too little mass, the heaviest first."""
    if design.body is None or design.body.share >= COVERED:
        return frozenset()
    share, keys = design.body.share, set[str]()
    rest = [part for part in design.parts if part.name not in design.places]
    for part in sorted(rest, key=lambda part: -told_apart(part.total)):
        if share >= COVERED:
            break
        keys.add(f"positions.{quoted(part.name)}")
        share += part.total / design.variables["mass"]
    return frozenset(keys)
