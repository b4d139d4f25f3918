"""What an entry of the formula book is: an input, a word, a numeric model, a formula, and the branch that holds them.

A branch of the physics hands on a ``Branch``: the inputs that it brings to the design file, the words that the file
may say, its formulas, and where it needs one a ``derive`` that fills in variables that follow from others. A formula
is an expression (``algebra``) over the names of variables and of other quantities, or a ``Model`` where no closed form
holds.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from typing import Any, Literal

import numpy as np

from scaling.book.algebra import Expression
from scaling.book.dimensions import Dimension, dimension_of
from scaling.book.numeric import Evaluator, evaluator
from scaling.book.sources import Citation, Source, citations
from scaling.files.schema import Choice, Number

Array = np.ndarray[Any, np.dtype[np.float64]]
Values = Mapping[str, Any]
"""Numbers by key or quantity name: floats or arrays that broadcast together, in SI units."""

Role = Literal["handling", "survival", "budget", "yardstick", "detail"]
"""What a quantity is to the builder: a driver feels it; something ends by it; mass, energy, current, pull or heat that
must close; a headline figure; or a step on the way to one of these."""

Clock = Literal["gravity", "driver", "match"]
"""Whose time a quantity is judged by, where one only makes sense: falls and throws gravity's; turns, spin-up and rush
the driver's; heat, packs and wear the match's, whose time does not scale."""

Keep = Literal["one", "reference"]
"""The level that a port must keep: 1, or the reference's own where that is lower; or the reference's own, whatever it
is."""


@dataclass(frozen=True)
class Variable(Number):
    """An input of the formulas, under its dotted key in the design file.

    ``length_power`` and ``voltage_power`` say what a similar machine's value does: it is the
    reference's times factor^length_power times (pack voltage ratio)^voltage_power. Zero for what
    does not scale: gravity, air, arena, friction, materials. One that is derived ``follows`` from these keys where its
    table may be there without them.
    """

    length_power: Fraction | int = 0
    voltage_power: int = 0
    follows: tuple[str, ...] = field(default=(), kw_only=True)

    @property
    def dimension(self) -> Dimension:
        """Exponents of mass, length, time, current and temperature."""
        return dimension_of(self.unit)


@dataclass(frozen=True)
class Model:
    """A numeric model with the face of a formula.

    ``function`` takes the ``inputs`` by position as arrays that broadcast together and returns a
    mapping of named results; ``output`` names the one that this entry stands for. Its constants must be pure numbers,
    so that the model does not care in which units its inputs come.
    """

    function: Callable[..., Mapping[str, Array]]
    inputs: tuple[str, ...]
    output: str


@dataclass(frozen=True)
class Validity:
    """A range outside which a formula is no longer good, with the sentence that says so.

    ``of`` is the name of a dimensionless quantity or variable; ``low`` and ``high`` bound it. ``source`` cites as a
    quantity's does, and is empty where the range is the formula's own.
    """

    of: str
    sentence: str
    low: float = -np.inf
    high: float = np.inf
    source: str = ""


@dataclass(frozen=True)
class Quantity:
    """One number of the robot.

    ``better`` says which way is better for the builder: 'higher', 'lower' or 'same' (as the
    reference). ``when`` lists the traits that the design must have, such as 'rotor.axis=across';
    a design without them, or without one of the inputs, does not have the quantity at all. ``source`` cites works by
    key and place (see book.sources); ``brings`` holds those that the bibliography has not. ``keep`` is for a margin
    that a port must keep though nothing ends by it at once; a survival margin must keep 1 by its role.
    """

    name: str
    label: str
    symbol: str
    unit: str
    branch: str
    better: Literal["higher", "lower", "same"]
    formula: Expression | Model
    source: str
    assumes: str = ""
    when: tuple[str, ...] = ()
    valid: tuple[Validity, ...] = ()
    role: Role = "detail"
    clock: Clock | None = None
    keep: Keep | None = None
    brings: tuple[Source, ...] = ()

    def __hash__(self) -> int:
        """By name, so that what was worked out of an entry can be kept by it."""
        return hash(self.name)

    @property
    def dimension(self) -> Dimension:
        """Exponents of mass, length, time, current and temperature of the stated unit."""
        return dimension_of(self.unit)

    @cached_property
    def citations(self) -> tuple[Citation, ...]:
        """What the entry and its ranges rest on."""
        texts = [self.source, *(valid.source for valid in self.valid if valid.source)]
        return tuple(citation for text in texts for citation in citations(text))

    @cached_property
    def inputs(self) -> tuple[str, ...]:
        """Names of the variables and quantities that the formula uses, sorted."""
        if isinstance(self.formula, Model):
            return self.formula.inputs
        return tuple(sorted(self.formula.names))

    @cached_property
    def numeric(self) -> Evaluator:
        """The closed form as a function of numbers or arrays by name."""
        assert not isinstance(self.formula, Model)  # noqa: S101 - for the type checker; models are called as they are
        return evaluator(self.formula)


Derive = Callable[[dict[str, float], Mapping[str, str], Any], None]
"""Fills in the derived variables of a branch that can be worked out and are not stated.

The last is what the words name things of: the shelves, of which a book knows nothing and which it hands on.
"""


@dataclass(frozen=True)
class Branch:
    """A branch of the physics: its name, its title for people, its inputs, formulas and words."""

    name: str
    title: str
    variables: tuple[Variable, ...] = ()
    quantities: tuple[Quantity, ...] = ()
    choices: Mapping[str, Choice] = field(default_factory=dict)
    derive: Derive | None = None
