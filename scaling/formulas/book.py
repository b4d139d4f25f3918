"""What an entry of the formula book is, and the three ways of reading one.

A branch module holds ``VARIABLES``, the inputs that it brings to the design file, ``QUANTITIES``, its
formulas, and where it needs them ``CHOICES``, the words that the file may say, and ``derive``, which fills in
variables that follow from others. A formula is a SymPy expression over the names of variables and of other
quantities, or a ``Model`` where no closed form holds. Nothing else in the program contains physics.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property, lru_cache
from importlib import import_module
from typing import Any, Literal

import numpy as np
import sympy

from scaling.dimensions import Dimension, NotHomogeneousError, dimension_of, exponents, solve_exactly
from scaling.formulas.numeric import Evaluator, evaluator

Array = np.ndarray[Any, np.dtype[np.float64]]
Values = Mapping[str, Any]
"""Numbers by key or quantity name: floats or arrays that broadcast together, in SI units."""

BRANCHES = (
    "mass",
    "rotor",
    "gyro",
    "impact",
    "structure",
    "joints",
    "transmission",
    "drive",
    "electrical",
    "thermal",
    "righting",
)

KINDS = ("solid", "sheet", "bought", "fixed")
"""How a part's mass follows the scale factor."""

Allowed = Literal["positive", "not negative", "fraction", "share", "any", "count"]


@dataclass(frozen=True)
class Variable:
    """An input of the formulas, under its dotted key in the design file.

    ``length_power`` and ``voltage_power`` say what a similar machine's value does: it is the
    reference's times factor^length_power times (pack voltage ratio)^voltage_power. Zero for what
    does not scale: gravity, air, arena, friction, materials.
    """

    key: str
    symbol: str
    unit: str
    meaning: str
    length_power: Fraction | int = 0
    voltage_power: int = 0
    allowed: Allowed = "positive"
    default: float | None = None
    optional: bool = False
    derived: bool = False

    @property
    def dimension(self) -> Dimension:
        """Exponents of mass, length, time, current and temperature."""
        return dimension_of(self.unit)


@dataclass(frozen=True)
class Choice:
    """A key of a file that is not a number: free text, or one of a few words.

    A word out of ``allowed`` becomes a trait of the design, 'key=word', by which formulas know
    whether they apply. A key that ends in ``material`` names a material, whose density, strength, modulus and
    poisson become variables of the same table where the book knows them.
    """

    allowed: tuple[str, ...] | None
    meaning: str
    default: str | None = None
    optional: bool = False


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

    ``of`` is the name of a dimensionless quantity or variable; ``low`` and ``high`` bound it.
    """

    of: str
    sentence: str
    low: float = -np.inf
    high: float = np.inf


@dataclass(frozen=True)
class Quantity:
    """One number of the robot.

    ``better`` says which way is better for the builder: 'higher', 'lower' or 'same' (as the
    reference). ``when`` lists the traits that the design must have, such as 'rotor.axis=across';
    a design without them, or without one of the inputs, does not have the quantity at all.
    """

    name: str
    label: str
    symbol: str
    unit: str
    branch: str
    better: Literal["higher", "lower", "same"]
    formula: sympy.Expr | Model
    source: str
    assumes: str = ""
    when: tuple[str, ...] = ()
    valid: tuple[Validity, ...] = ()

    @property
    def dimension(self) -> Dimension:
        """Exponents of mass, length, time, current and temperature of the stated unit."""
        return dimension_of(self.unit)

    @cached_property
    def inputs(self) -> tuple[str, ...]:
        """Names of the variables and quantities that the formula uses, sorted."""
        if isinstance(self.formula, Model):
            return self.formula.inputs
        return tuple(sorted(symbol.name for symbol in self.formula.free_symbols))


def symbols(names: str) -> tuple[sympy.Symbol, ...]:
    """Return positive symbols for dotted keys or quantity names separated by spaces."""
    return tuple(sympy.Symbol(name, positive=True) for name in names.split())


def least(*terms: sympy.Expr | float) -> sympy.Expr:
    """Return the least of ``terms`` as it stands: SymPy would try for long to order terms that nothing orders."""
    return sympy.Min(*terms, evaluate=False)


def largest(*terms: sympy.Expr | float) -> sympy.Expr:
    """Return the largest of ``terms`` as it stands, as ``least`` does."""
    return sympy.Max(*terms, evaluate=False)


def _branch_modules() -> list[Any]:
    return [import_module(f"scaling.formulas.{branch}") for branch in BRANCHES]


@cache
def variables() -> dict[str, Variable]:
    """Every variable of the book by key, in the order of the branches."""
    found = [*import_module("scaling.formulas.common").VARIABLES]
    for module in _branch_modules():
        found += module.VARIABLES
    return {variable.key: variable for variable in found}


@cache
def choices() -> dict[str, Choice]:
    """Every key of the design file that is a word, by dotted key, in the order of the branches.

    A table with a thickness may say which sheet part of the mass sum it is, and then has that part's thickness.
    """
    found: dict[str, Choice] = dict(import_module("scaling.formulas.common").CHOICES)
    for module in _branch_modules():
        found |= getattr(module, "CHOICES", {})
    for key in variables():
        if key.endswith(".thickness"):
            meaning = "name of the sheet part that this is, whose thickness it has at the port"
            found[key.removesuffix("thickness") + "part"] = Choice(None, meaning, optional=True)
    return found


def derive(numbers: dict[str, float], words: Mapping[str, str]) -> None:
    """Fill in the derived variables of every branch that can be worked out and are not stated."""
    for module in _branch_modules():
        if hasattr(module, "derive"):
            module.derive(numbers, words)


@cache
def entries() -> tuple[Quantity, ...]:
    """Every entry of the book, each after those that it uses.

    A name may have several entries for different designs (with and without a rotor, say): the first
    whose traits and inputs the design has is the one that counts.
    """
    by_name: dict[str, list[Quantity]] = {}
    for module in _branch_modules():
        for entry in module.QUANTITIES:
            by_name.setdefault(entry.name, []).append(entry)
    placed: dict[str, list[Quantity]] = {}

    def place(name: str) -> None:
        if name in placed or name not in by_name:
            return
        for entry in by_name[name]:
            for used in entry.inputs:
                place(used)
        placed[name] = by_name[name]

    for name in by_name:
        place(name)
    return tuple(entry for alternatives in placed.values() for entry in alternatives)


@cache
def quantities() -> dict[str, Quantity]:
    """The first entry of every quantity by name: label, unit and branch are the same in all."""
    found: dict[str, Quantity] = {}
    for entry in entries():
        found.setdefault(entry.name, entry)
    return found


@cache
def _evaluator(entry: Quantity) -> Evaluator:
    assert not isinstance(entry.formula, Model)  # noqa: S101 - for the type checker; models are called as they are
    return evaluator(entry.formula)


def evaluate(given: Values, traits: frozenset[str], only: Sequence[str] | None = None) -> dict[str, Array]:
    """Read the book as numbers.

    ``given`` holds the variables (SI floats or arrays that broadcast together) and ``traits`` the
    design's choices. Returns every quantity that the design has, each with the broadcast shape of its
    inputs; what cannot be computed at a place is NaN there. With ``only``, just those quantities and
    what they use.
    """
    values: dict[str, Any] = dict(given)
    results: dict[str, Array] = {}
    models: dict[tuple[object, tuple[str, ...]], Mapping[str, Array]] = {}
    wanted = None if only is None else _closure(only)
    with np.errstate(all="ignore"):
        for entry in entries():
            name = entry.name
            if name in results or (wanted is not None and name not in wanted):
                continue
            if not traits.issuperset(entry.when) or any(key not in values for key in entry.inputs):
                continue
            arguments = [np.asarray(values[key], dtype=float) for key in entry.inputs]
            if isinstance(entry.formula, Model):
                call = (entry.formula.function, entry.formula.inputs)
                if call not in models:
                    models[call] = entry.formula.function(*arguments)
                result = np.asarray(models[call][entry.formula.output], dtype=float)
            else:
                result = np.asarray(_evaluator(entry)(dict(zip(entry.inputs, arguments, strict=True))), dtype=float)
            shape = np.broadcast_shapes(*(argument.shape for argument in arguments)) if arguments else ()
            result = np.broadcast_to(result, shape)
            results[name] = values[name] = np.where(np.isfinite(result), result, np.nan)
    return results


@cache
def _used_by_name() -> dict[str, frozenset[str]]:
    """What the entries of each name use."""
    used: dict[str, frozenset[str]] = {}
    for entry in entries():
        used[entry.name] = used.get(entry.name, frozenset()) | frozenset(entry.inputs)
    return used


def _closure(names: Sequence[str]) -> set[str]:
    wanted: set[str] = set()
    waiting = list(names)
    while waiting:
        name = waiting.pop()
        if name not in wanted:
            wanted.add(name)
            waiting += _used_by_name().get(name, ())
    return wanted


@cache
def dimensions() -> dict[str, Dimension]:
    """Read the book as dimensions: the stated dimension of every variable and quantity."""
    stated: dict[str, Dimension] = {key: variable.dimension for key, variable in variables().items()}
    return stated | {name: entry.dimension for name, entry in quantities().items()}


def powers(
    of: Mapping[str, Fraction | None], traits: frozenset[str], only: Sequence[str] | None = None
) -> dict[str, Fraction | None]:
    """Read the book as exponents: the power of the scale factor that each quantity follows.

    ``of`` gives the power of every variable, None where a variable follows no single one, and
    ``traits`` the design's choices. A closed form is walked; a model follows a power exactly when its
    inputs' powers amount to a change of units, since a homogeneous model cannot tell the two apart. None means
    that no single power holds. With ``only``, just those quantities and what they use.
    """
    wanted = None if only is None else _closure(only)
    found: dict[str, Fraction | None] = {}
    known: dict[str, Fraction | None] = dict(of)
    for entry in entries():
        name = entry.name
        if (wanted is not None and name not in wanted) or name in found or not traits.issuperset(entry.when):
            continue
        if any(key not in known for key in entry.inputs):
            continue
        given = [power for key in entry.inputs if (power := known[key]) is not None]
        found[name] = known[name] = _power(entry, tuple(given)) if len(given) == len(entry.inputs) else None
    return found


@lru_cache(maxsize=20_000)
def _power(entry: Quantity, given: tuple[Fraction, ...]) -> Fraction | None:
    """The power that an entry follows when its inputs follow the ``given`` ones; ports ask for the same again."""
    if isinstance(entry.formula, Model):
        stated = dimensions()
        units = solve_exactly([stated[key] for key in entry.inputs], given) if given else None
        if units is None:
            return None
        return sum((a * b for a, b in zip(units, entry.dimension, strict=True)), Fraction(0))
    table = {key: (power,) for key, power in zip(entry.inputs, given, strict=True)}
    try:
        return exponents(entry.formula, table)[0]
    except NotHomogeneousError:
        return None
