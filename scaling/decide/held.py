"""Groups held together: whether one set of scale factors keeps several dimensionless numbers at a port's size.

The port's lengths, mass, materials and motors are what they are; a few scale factors are free: the rotor's speed and
inertia, the drive's ratio, and what the caller frees besides. Through the formulas each group is a product of powers of
the free ones, and whether all can be held is a matter of ranks. Where a quantity follows no single power of them, such
as a spin-up time, ranks only tell what cannot be; what can is sought by running the port's models with other values.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from scaling.book.dimensions import Dimension, NotHomogeneousError, exponents, solve_exactly
from scaling.book.entry import Model, Quantity
from scaling.book.groups import Exponents, group_value
from scaling.decide.circuits import left_over, met_by, smallest_conflict
from scaling.decide.held_models import Bench, colliding, held_moves, nearest_ratio
from scaling.files.errors import InputError, nearest
from scaling.files.units import format_number, format_value
from scaling.formulas import book
from scaling.study.problem import in_sentence
from scaling.study.results import Port, Study

FREE = ("rotor.speed", "drive.ratio", "rotor.inertia")
"""What a builder sets at a given size; the first move first."""

NOTICED = 5e-4
"""A change of a factor by less than this in ln would be printed as none."""

Unknowns = dict[str, Fraction]
"""Powers of the unknown scale factors, by the name of each."""


@dataclass(frozen=True)
class Factor:
    """A scale factor that the groups ask for, of a key.

    ``held`` is the value over the reference's with the groups held, ``now`` as the port is. ``asked`` is the value
    itself with them held.
    """

    name: str
    now: float
    held: float
    asked: float

    @property
    def moves(self) -> bool:
        """Whether it must be another than the port has."""
        return abs(math.log(self.held / self.now)) > NOTICED


@dataclass(frozen=True)
class Held:
    """What came of holding the groups ``asked`` at one port.

    ``factors`` are one set that holds them, empty where there is none; ``conflict`` is then the smallest set of groups
    that cannot be held, each with its value over the reference's where the others of the set are held, None where it
    then has none. ``absent`` are
    groups that the port has no value of, so that nothing can be told. ``sought`` says that the port's models were run
    to tell, since powers do not.
    """

    letter: str
    port: Port
    asked: tuple[str, ...]
    factors: tuple[Factor, ...] = ()
    conflict: Mapping[str, float | None] | None = None
    absent: tuple[str, ...] = ()
    sought: bool = False

    @property
    def holds(self) -> bool | None:
        """Whether one set of scale factors holds them all; None where it cannot be told."""
        return None if self.absent or self.port.factor is None else self.conflict is None


def held_together(study: Study, asked: Sequence[str], free: Sequence[str] = ()) -> list[Held]:
    """Return what comes of holding the groups ``asked``, by name or label, at each port of a study.

    ``free`` are dotted keys of the design that are free besides the usual ones. Raises InputError for what is no group
    of the robot's, and no key of it.
    """
    groups = {name: _group(study, name) for name in dict.fromkeys(_found(study, text) for text in asked)}
    powers = _Powers(study.design.variables, study.design.traits, freed(study, free))
    rows = {name: powers.of_group(expression) for name, expression in groups.items()}
    return [
        _held(study, letter, port, groups, rows, powers)
        for letter, port in zip(study.letters, study.ports, strict=True)
    ]


def freed(study: Study, free: Sequence[str] = ()) -> list[str]:
    """Return the keys whose scale factors are free: the usual ones that the design has, and those of ``free``."""
    had = study.design.variables
    for key in free:
        if key not in had:
            raise InputError("the design has no such key to free", study.design.file, "--free", key,
                             "a dotted key of the design file", nearest(key, had))  # fmt: skip
    return list(dict.fromkeys([*(key for key in FREE if key in had), *free]))


def _held(
    study: Study,
    letter: str,
    port: Port,
    groups: Mapping[str, Exponents],
    rows: Mapping[str, Unknowns],
    powers: _Powers,
) -> Held:
    own = {**study.design.variables, **study.reference}
    found = {**port.variables, **{name: entry.value for name, entry in port.quantities.items()}}
    # What the port lacks and stands as a factor of its own is sought from the reference's on.
    start = {name: own[name] for name in powers.opaque if name in own} | found
    ratio = {name: float(group_value(each, start) / group_value(each, own)) for name, each in groups.items()}
    opaque = [name for name in book.quantities if name in powers.opaque]  # in the book's order: the rotor's move first
    known = [name for name in (*powers.free, *opaque) if any(name in row for row in rows.values())]
    absent = tuple(name for name in groups if not ratio[name] > 0)
    if port.factor is None or absent:
        return Held(letter, port, tuple(groups), absent=absent)
    matrix = [[row.get(name, Fraction(0)) for name in known] for row in rows.values()]
    right = [-math.log(ratio[name]) for name in groups]
    conflict = smallest_conflict(matrix, right)
    if conflict is not None:
        names, off = list(groups), left_over(matrix, right, conflict)
        told = {names[place]: math.exp(ln) for place, ln in zip(conflict, off, strict=True)}
        return Held(letter, port, tuple(groups), conflict=told)
    if any(name not in powers.free for name in known):
        reference = {name: float(group_value(each, own)) for name, each in groups.items()}
        bench = Bench(port.variables, study.design.traits, groups, reference, powers.free)
        return _sought(letter, port, bench, study.design.variables)
    moves = dict(zip(known, met_by(matrix, right), strict=True))
    return Held(letter, port, tuple(groups), _factors(port, study.design.variables, moves))


def _factors(port: Port, own: Mapping[str, float], moves: Mapping[str, float]) -> tuple[Factor, ...]:
    """The factors of keys that move by ``moves``, in ln, from what the port has."""
    had = port.variables
    return tuple(
        Factor(key, had[key] / own[key], had[key] / own[key] * math.exp(ln), had[key] * math.exp(ln))
        for key, ln in moves.items()
    )


def _sought(letter: str, port: Port, bench: Bench, own: Mapping[str, float]) -> Held:
    """What running the port's models finds: the fewest moves that hold the groups, else the least set that cannot."""
    asked = tuple(bench.groups)
    if (moves := held_moves(bench, asked)) is not None:
        still = {key: moves.get(key, 0.0) for key in bench.free}
        return Held(letter, port, asked, _factors(port, own, still), sought=True)
    names = colliding(bench)
    near = {name: nearest_ratio(bench, [other for other in names if other != name], name) for name in reversed(names)}
    return Held(letter, port, asked, conflict=near, sought=True)


def sentence(held: Held) -> str:
    """What came of holding the groups at a port, in a sentence or a few."""
    names = _listed(held.asked)
    if held.port.factor is None:
        return f"No factor was found, so there is no size to hold {names} at."
    if held.absent:
        return f"Whether {names} can be held cannot be told: the port has no value of {_listed(held.absent)}."
    if held.conflict is None:
        return _holding(held, names)
    first, *others = held.conflict
    value = held.conflict[first]
    off = (
        "has no value, as where a motor does not reach its speed"
        if value is None
        else f"is {format_number(value)} times the reference's"
    )
    where = ""
    if held.sought:
        off += " at the nearest" if value is not None else ""
        where = " (sought from a tenth to ten times what the port has, with its own motors and pack)"
    if not others:
        rest = "" if held.sought else ", whatever is free"
        return f"No set of scale factors holds {in_sentence(first)}: at this size it {off}{rest}{where}."
    together = f"No set of scale factors holds {_listed(sorted(held.conflict, key=held.asked.index))} together"
    return f"{together}: with {_listed(others)} held, {in_sentence(first)} {off}{where}."


def _holding(held: Held, names: str) -> str:
    moving = [factor for factor in held.factors if factor.moves]
    resting = [factor.name for factor in held.factors if not factor.moves]
    told = [
        f"{factor.name} {format_number(factor.held)} (now {format_number(factor.now)}), which is "
        f"{format_value(factor.asked, book.variables[factor.name].unit)}"
        for factor in moving
    ]
    rest = f"{_listed(resting)} as the port has {'it' if len(resting) == 1 else 'them'}" if resting else ""
    if not held.factors:
        return f"At this size {names} hold{'s' if len(held.asked) == 1 else ''} whatever is free."
    over = " over the reference" if moving else ""
    text = f"One set of scale factors{over} holds {names}: {'; '.join(filter(None, [', '.join(told), rest]))}"
    return f"{text}; found by running the port's own motors and pack." if held.sought and moving else f"{text}."


def _listed(names: Collection[str]) -> str:
    *first, last = map(in_sentence, names)
    return f"{', '.join(first)} and {last}" if first else last


class _Powers:
    """The powers of the free scale factors that quantities follow; what follows none becomes a factor of its own."""

    def __init__(self, given: Mapping[str, float], traits: frozenset[str], free: list[str]) -> None:
        self.free, self.opaque = free, list[str]()
        self._counted = book.counted(traits, given)
        self._known: dict[str, Unknowns] = {key: {key: Fraction(1)} if key in free else {} for key in given}

    def of_group(self, expression: Exponents) -> Unknowns:
        """Return the powers that a product of powers follows."""
        found: Unknowns = {}
        for member, power in expression.items():
            for name, each in self.of(member).items():
                found[name] = found.get(name, Fraction(0)) + power * each
        return {name: power for name, power in found.items() if power}

    def of(self, name: str) -> Unknowns:
        """Return the powers that a variable or quantity follows."""
        if name not in self._known:
            entry = self._counted[name]
            inputs = {used: self.of(used) for used in entry.inputs}
            found = _entry_powers(entry, inputs)
            if found is None:
                self.opaque.append(name)
                found = {name: Fraction(1)}
            self._known[name] = found
        return self._known[name]


def _entry_powers(entry: Quantity, inputs: Mapping[str, Unknowns]) -> Unknowns | None:
    """The powers that an entry follows when its inputs follow theirs; None where it follows no single ones.

    A numeric model follows powers where its inputs' amount to a change of units, as in the book's own reading.
    """
    unknown = list(dict.fromkeys(name for row in inputs.values() for name in row))
    if not unknown:
        return {}
    table = {key: tuple(row.get(name, Fraction(0)) for name in unknown) for key, row in inputs.items()}
    found: Dimension | list[Fraction]
    if isinstance(entry.formula, Model):
        units = [
            solve_exactly([book.dimensions[key] for key in table], [row[place] for row in table.values()])
            for place in range(len(unknown))
        ]
        found = [
            sum((a * b for a, b in zip(unit, entry.dimension, strict=True)), Fraction(0))
            for unit in units
            if unit is not None
        ]
        if len(found) < len(unknown):
            return None
    else:
        try:
            found = exponents(entry.formula, table)
        except NotHomogeneousError:
            return None
    return {name: power for name, power in zip(unknown, found, strict=True) if power}


def _names(study: Study) -> dict[str, str]:
    """The group or quantity without a unit that each way of saying it means, of those that the robot has."""
    said: dict[str, str] = {}
    for name in study.reference:
        entry = book.quantities[name]
        if not any(entry.dimension):
            said |= dict.fromkeys((_plain(name), _plain(entry.label)), name)
    return said | {_plain(group.name): group.name for group in study.groups}


def _plain(text: str) -> str:
    return " ".join(text.casefold().replace("_", " ").split())


def _found(study: Study, text: str) -> str:
    said = _names(study)
    plain = _plain(text)
    if plain in said:
        return said[plain]
    units = {_plain(name): book.quantities[name].unit for name in study.reference}
    units |= {_plain(book.quantities[name].label): book.quantities[name].unit for name in study.reference}
    allowed = "the name of a group, or of a quantity without a unit"
    if plain in units:
        said_of = f"this has the unit {units[plain]}, and a group has none"
        raise InputError(said_of, None, "--hold", text, allowed, "scaling groups BRIEF lists the groups")
    hint = nearest(plain, said) or "scaling groups BRIEF lists the groups"
    raise InputError("this robot has no such group", None, "--hold", text, allowed, hint)


def _group(study: Study, name: str) -> Exponents:
    """The product of powers that a name stands for: a group's, or a quantity alone."""
    return next((group.expression for group in study.groups if group.name == name), {name: Fraction(1)})
