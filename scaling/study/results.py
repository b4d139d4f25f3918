"""What a study finds: ports beside the reference, their quantities, masses and curves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property

from scaling.book.groups import Group, groups_of
from scaling.formulas import book
from scaling.port.asked import AS_BRIEFED, Variation
from scaling.port.brief import Brief, LawRequest
from scaling.port.levers import ClosureStep
from scaling.port.rules import USUAL_DRIVE_RULE
from scaling.port.snapping import Snap
from scaling.robot.design import Design
from scaling.robot.parts import Part
from scaling.study.curve import Curve
from scaling.study.marks import Marked
from scaling.study.problem import Problem
from scaling.study.problems import beyond_range


@dataclass(frozen=True)
class PortQuantity:
    """A quantity of a port beside the reference's; ratios by clock are absent where undefined.

    ``exponent`` is a Fraction where it is exact along the law, else the local slope
    d ln q / d ln factor, or None where there is none. ``if_reached`` marks what follows from a rotor speed that the
    motor does not reach.
    """

    value: float
    unit: str
    ratio: float | None
    exponent: Fraction | float | None
    similarity: Mapping[str, float]
    drift: Mapping[str, float]
    if_reached: bool = False


@dataclass(frozen=True)
class PartLine:
    """One line of the mass table, kg of all pieces.

    ``reference``; ``ideal`` at the port's factor by the part's own rule; ``closed`` after the levers that close
    the mass; ``port`` as it is, with the thickness that the shelf has.
    """

    name: str
    kind: str
    group: str
    reference: float
    port: float
    ideal: float
    closed: float


@dataclass(frozen=True)
class FreedLever:
    """A free dimension or choice by its key: the reference's, the similar machine's at the same factor, and the port's.

    SI numbers, or words for a material; of the factor itself the similar one is that of the plain scaling.
    """

    key: str
    reference: float | str
    similar: float | str
    value: float | str


@dataclass(frozen=True)
class Price:
    """What one step more room in a limit adds to the score, below 0 for what it would buy; ``text`` says it."""

    limit: str
    price: float
    text: str


@dataclass(frozen=True)
class Solved:
    """The port of a law that frees dimensions, as it was found.

    ``variation`` and ``parts`` are what makes it, ``continuous_factor`` what its factor would be if no size came from
    a shelf. ``prices`` stand largest first. ``before`` and ``after`` are the score's ln drift by quantity of the plain
    scaling, at ``plain_factor``, and of the port, NaN for what is absent; ``unheld`` the margins that no setting holds,
    ``along`` what moves along with the levers.
    """

    factor: float
    continuous_factor: float
    variation: Variation
    parts: tuple[Part, ...]
    freed: tuple[FreedLever, ...]
    prices: tuple[Price, ...]
    plain_factor: float
    before: Mapping[str, float]
    after: Mapping[str, float]
    unheld: tuple[str, ...] = ()
    along: tuple[FreedLever, ...] = ()


@dataclass(frozen=True)
class Port:
    """The reference under one law, speed rule and drive rule. Without a factor it has only problems.

    Where dimensions were snapped to a shelf, ``snaps`` says which, ``ideal`` holds the quantities that
    the port would have without, and ``continuous_factor`` the factor that the law would fix without.
    ``closure`` says what closed the mass at a given factor, and ``carried`` holds the parts as they are then, by
    which the port follows the factor, with its ``variation`` beside the brief. ``machine`` is the design that the port
    is, where it has a file of its own, and ``solved`` how it was found under a law that frees dimensions.
    """

    request: LawRequest
    factor: float | None
    naive_factor: float
    mass_limit: float
    variables: Mapping[str, float]
    quantities: Mapping[str, PortQuantity]
    parts: tuple[PartLine, ...]
    problems: tuple[Problem, ...]
    curve: Curve | None
    continuous_factor: float | None = None
    snaps: tuple[Snap, ...] = ()
    ideal: Mapping[str, float] = field(default_factory=dict)
    closure: tuple[ClosureStep, ...] = ()
    carried: tuple[Part, ...] = ()
    machine: Design | None = None
    variation: Variation = AS_BRIEFED
    solved: Solved | None = None

    def marked(self, name: str, number: float | None) -> float | None:
        """Return a ``number`` of the quantity ``name``, such as its value or drift, with the marks that it bears."""
        entry = self.quantities.get(name)
        if number is None or entry is None or not (entry.if_reached or name in self.outside):
            return number
        return Marked(number, if_reached=entry.if_reached, outside=name in self.outside)

    @property
    def misses(self) -> tuple[str, ...]:
        """Codes of the problems for which the port is none that can be built and entered, the gravest first."""
        return tuple(dict.fromkeys(problem.code for problem in self.problems if problem.kind.misses))

    @cached_property
    def outside(self) -> frozenset[str]:
        """Names of the quantities whose formula is used outside the range where it is good."""
        return frozenset(name for problem in self.problems if problem.kind.range for name in problem.rests_on)

    @property
    def status(self) -> str:
        """Whether the port fits or misses; a margin below 1 is no miss."""
        return "misses" if self.misses else "fits"

    @property
    def label(self) -> str:
        """Law and rules in a few words, for tables and legends."""
        words = [self.request.law] if self.machine is None else [self.machine.name, "as drawn"]
        if self.request.speed_rule is not None:
            words.append(self.request.speed_rule)
        if self.request.drive_rule not in (None, USUAL_DRIVE_RULE):
            words.append(f"drive {self.request.drive_rule}")
        return ", ".join(words)


@dataclass(frozen=True)
class Study:
    """Everything that tables, figures and reports show; without ``limited`` no port is held to a mass but its own."""

    design: Design
    brief: Brief
    reference: Mapping[str, float]
    ports: tuple[Port, ...]
    limited: bool = True

    @property
    def compares(self) -> bool:
        """Whether it looks at machines that are there, and no brief asks for ports."""
        return not self.brief.requests

    @property
    def names(self) -> tuple[str, ...]:
        """Every quantity that the reference or a port has, the reference's first."""
        return tuple(dict.fromkeys([*self.reference, *(name for port in self.ports for name in port.quantities)]))

    @cached_property
    def groups(self) -> tuple[Group, ...]:
        """The dimensionless groups of what the reference has."""
        return tuple(groups_of({**self.design.variables, **self.reference}, book.dimensions))

    @cached_property
    def outside(self) -> frozenset[str]:
        """Names of the reference's quantities whose formula is used outside the range where it is good."""
        counted = book.counted(self.design.traits, self.design.variables)
        return frozenset(name for names in beyond_range(counted, self.reference).values() for name in names)

    def marked(self, name: str, number: float | None) -> float | None:
        """Return a ``number`` of the reference's quantity ``name`` with the mark that it bears."""
        return number if number is None or name not in self.outside else Marked(number, outside=True)

    @property
    def letters(self) -> tuple[str, ...]:
        """Short names of the ports, for column heads and legends."""
        return port_letters(len(self.ports))


def port_letters(count: int) -> tuple[str, ...]:
    """Return the short names of so many ports, in the brief's order: A to Z, then AA and on."""
    return tuple(("" if place < 26 else chr(64 + place // 26)) + chr(65 + place % 26) for place in range(count))
