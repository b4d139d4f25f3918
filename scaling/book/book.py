"""The formula book assembled: every branch's entries in order, and the three ways of reading them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache
from math import isfinite
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np

from scaling.book.dimensions import Dimension, NotHomogeneousError, exponents, solve_exactly
from scaling.book.entry import Array, Branch, Keep, Model, Quantity, Role, Validity, Values, Variable
from scaling.book.sources import (
    NO_WORK,
    STATUSES,
    Citation,
    Source,
    Status,
    Use,
    bibliography,
    citations,
    worst_first,
)
from scaling.files.errors import InputError, Mistakes, nearest
from scaling.files.schema import Choice


@dataclass(frozen=True, eq=False)
class Book:
    """Every branch of the physics, ``common`` the inputs that several of them share.

    Which of several entries of one name counts for a design is decided in ``counted`` alone; numbers, exponents and
    everything that tells of a quantity ask it.
    """

    common: Branch
    branches: tuple[Branch, ...]

    @cached_property
    def titles(self) -> dict[str, str]:
        """Title of each branch by name, in order."""
        return {branch.name: branch.title for branch in self.branches}

    @cached_property
    def variables(self) -> dict[str, Variable]:
        """Every variable of the book by key, in the order of the branches."""
        found = [variable for branch in (self.common, *self.branches) for variable in branch.variables]
        return {variable.key: variable for variable in found}

    @cached_property
    def choices(self) -> dict[str, Choice]:
        """Every key of the design file that is a word, by dotted key, in the order of the branches.

        A table with a thickness may say which sheet part of the mass sum it is, and then has that part's thickness.
        """
        found: dict[str, Choice] = {}
        for branch in (self.common, *self.branches):
            found |= branch.choices
        for key in self.variables:
            if key.endswith(".thickness"):
                meaning = "name of the sheet part that this is, whose thickness it has at the port"
                found[key.removesuffix("thickness") + "part"] = Choice(None, meaning, optional=True)
        return found

    @cached_property
    def entries(self) -> tuple[Quantity, ...]:
        """Every entry of the book, each after those that it uses."""
        by_name: dict[str, list[Quantity]] = {}
        for branch in self.branches:
            for entry in branch.quantities:
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

    @cached_property
    def quantities(self) -> dict[str, Quantity]:
        """The first entry of every quantity by name: label, unit, branch, role and clock are the same in all."""
        found: dict[str, Quantity] = {}
        for entry in self.entries:
            found.setdefault(entry.name, entry)
        return found

    def of_role(self, *roles: Role, among: Iterable[str] | None = None) -> list[str]:
        """Return the names of the quantities of these roles, in the order of ``among``, of the book without it.

        Names of ``among`` that are no quantities are passed over.
        """
        names = self.quantities if among is None else among
        return [name for name in names if name in self.quantities and self.quantities[name].role in roles]

    @cached_property
    def _spoken(self) -> dict[str, str]:
        """The name of each quantity by every way of saying it: its label, its name, its name with blanks."""
        said = {name.replace("_", " "): name for name in self.quantities}
        said |= {_plain(entry.label): name for name, entry in self.quantities.items()}
        return said | {name: name for name in self.quantities}

    def find(self, text: str, *, key: str | None = None, file: Path | str | None = None) -> str:
        """Return the name of the quantity that ``text`` names or labels, in capitals or not.

        Raises InputError with the nearest name or label for what is neither; ``key`` and ``file`` say where it stood.
        """
        found = self._spoken.get(_plain(text))
        if found is None:
            hint = nearest(_plain(text), self._spoken) or "scaling check DESIGN lists them"
            raise InputError("there is no such quantity", file, key, text, "a quantity's name or label", hint)
        return found

    @cached_property
    def kept(self) -> dict[str, Keep]:
        """The margins that a port must keep by name, in the book's order, and at which level."""
        found: dict[str, Keep] = {}
        for name, entry in self.quantities.items():
            if entry.keep is not None:
                found[name] = entry.keep
            elif entry.role == "survival":
                found[name] = "one"
        return found

    @cached_property
    def margins(self) -> tuple[str, ...]:
        """Every quantity that tells how much there is of what 1 is just enough of, in the book's order.

        What must be kept is one, and what is better higher and a margin by its name or its label.
        """
        return tuple(
            name
            for name, entry in self.quantities.items()
            if name in self.kept
            or (entry.better == "higher" and "margin" in (*name.split("_"), *_plain(entry.label).split()))
        )

    @cached_property
    def dimensions(self) -> dict[str, Dimension]:
        """Read the book as dimensions: the stated dimension of every variable and quantity."""
        stated: dict[str, Dimension] = {key: variable.dimension for key, variable in self.variables.items()}
        return stated | {name: entry.dimension for name, entry in self.quantities.items()}

    @cached_property
    def sources(self) -> dict[str, Source]:
        """Every work that may be cited, by key: those of the bibliography and those that entries bring."""
        brought = {source.key: source for entry in self.entries for source in entry.brings}
        return bibliography() | brought

    def cite(self, text: str) -> str:
        """Return an entry's ``source`` as people read it: author, title, edition and place of each work."""
        return "; ".join(self._cited(citation) for citation in citations(text))

    def _cited(self, citation: Citation) -> str:
        says = f": {citation.says}" if citation.says else ""
        if citation.key in NO_WORK:
            return f"{NO_WORK[citation.key]} {citation.place}".rstrip() + says
        source = self.sources[citation.key]
        parts = [source.text, citation.place]
        if citation.seen is None and source.status != "checked":
            parts.append(STATUSES[source.status])
        return ", ".join(part for part in parts if part) + says

    def range_text(self, valid: Validity) -> str:
        """Return the sentence of a range, with its source where it has one."""
        return f"{valid.sentence} ({self.cite(valid.source)})" if valid.source else valid.sentence

    def uses(self, entries: Iterable[Quantity], beside: Mapping[str, str] = MappingProxyType({})) -> list[Use]:
        """Return the works that ``entries`` rest on, the least known first; what is as another rests on its works.

        Common practice counts among them as what no source is known for; definitions and own derivations do not.
        ``beside`` holds sources of other things by name, written as an entry's.
        """
        own = {entry.name: entry for entry in entries}
        cited = [(name, each) for name, entry in own.items() for each in self._works(entry, own, frozenset({name}))]
        cited += [(name, each) for name, text in beside.items() for each in citations(text) if _is_work(each)]
        places: dict[tuple[str, Status], dict[str, None]] = {}
        resting: dict[tuple[str, Status], dict[str, None]] = {}
        for name, citation in cited:
            known = self.sources.get(citation.key)
            key = citation.key, citation.seen or (known.status if known else "unverified")
            places.setdefault(key, {})[citation.place] = None
            resting.setdefault(key, {})[name] = None
        return worst_first(
            Use(
                key,
                self.sources[key].text if key in self.sources else NO_WORK[key],
                status,
                tuple(place for place in places[key, status] if place),
                tuple(names),
            )
            for (key, status), names in resting.items()
        )

    def _works(self, entry: Quantity, own: Mapping[str, Quantity], seen: frozenset[str]) -> Iterator[Citation]:
        for citation in entry.citations:
            if citation.key == "as":
                name = citation.place
                if name not in seen:
                    yield from self._works(own.get(name, self.quantities[name]), own, seen | {name})
            elif _is_work(citation):
                yield citation

    def derive(self, numbers: dict[str, float], words: Mapping[str, str], shelves: Any, mistakes: Mistakes) -> None:
        """Fill in the derived variables of every branch that can be worked out and are not stated.

        ``shelves`` hold what the ``words`` name; the branches know them, and the book hands them on. What a branch
        finds wrong goes to ``mistakes``, and the others go on.
        """
        for branch in self.branches:
            if branch.derive is not None:
                mistakes.attempt(branch.derive, numbers, words, shelves)

    def counted(self, traits: frozenset[str], known: Collection[str]) -> dict[str, Quantity]:
        """Return the entry that counts of every quantity that a design has, each after those that it uses.

        A name may have several entries for different designs (with and without a rotor, say): the first whose traits
        are among ``traits`` and whose inputs are all ``known`` variables or counted quantities is the one that counts.
        """
        return _counted(self, traits, frozenset(known))

    def resting_on(self, key: str, traits: frozenset[str], known: Collection[str]) -> frozenset[str]:
        """Return the names of the counted quantities that rest on the variable ``key``, at however many removes."""
        found: set[str] = set()
        for name, entry in self.counted(traits, known).items():
            if key in entry.inputs or found.intersection(entry.inputs):
                found.add(name)
        return frozenset(found)

    def evaluate(self, given: Values, traits: frozenset[str], only: Sequence[str] | None = None) -> dict[str, Array]:
        """Read the book as numbers.

        ``given`` holds the variables (SI floats or arrays that broadcast together) and ``traits`` the
        design's choices. Returns every quantity that the design has, each with the broadcast shape of its
        inputs; what cannot be computed at a place is NaN there. With ``only``, just those quantities and
        what they use.
        """
        # numpy's own scalars: dividing them by nothing is no mistake, as it is none for arrays
        entries, used = _planned(self, traits, frozenset(given), None if only is None else tuple(only))
        values: dict[str, Any] = {key: np.asarray(given[key], dtype=float)[()] for key in used}
        results: dict[str, Array] = {}
        models: dict[tuple[object, tuple[str, ...]], Mapping[str, Array]] = {}
        with np.errstate(all="ignore"):
            for name, entry in entries.items():
                if isinstance(entry.formula, Model):
                    call = (entry.formula.function, entry.formula.inputs)
                    if call not in models:
                        models[call] = entry.formula.function(*(np.asarray(values[key]) for key in entry.inputs))
                    found = models[call][entry.formula.output]
                else:
                    found = entry.numeric(values)
                results[name] = _finite(found, {values[key].shape for key in entry.inputs})
                values[name] = results[name][()]
        return results

    def powers(
        self,
        of: Mapping[str, Fraction | None],
        traits: frozenset[str],
        only: Sequence[str] | None = None,
        without: frozenset[str] = frozenset(),
    ) -> dict[str, Fraction | None]:
        """Read the book as exponents: the power of the scale factor that each quantity follows.

        ``of`` gives the power of every variable, None where a variable follows no single one, and
        ``traits`` the design's choices. A closed form is walked; a model follows a power exactly when its
        inputs' powers amount to a change of units, since a homogeneous model cannot tell the two apart. None means
        that no single power holds. With ``only``, just those quantities and what they use. The variables in
        ``without`` are taken as nothing, whatever their power.
        """
        found: dict[str, Fraction | None] = {}
        known: dict[str, Fraction | None] = dict(of)
        entries, _ = _planned(self, traits, frozenset(of), None if only is None else tuple(only))
        for name, entry in entries.items():
            inputs = tuple(key for key in entry.inputs if key not in without) if without else entry.inputs
            given = [power for key in inputs if (power := known[key]) is not None]
            whole = len(given) == len(inputs)
            found[name] = known[name] = _power(self, entry, inputs, tuple(given)) if whole else None
        return found


def _finite(found: Any, shapes: set[tuple[int, ...]]) -> Array:
    """What was found in the shape of its inputs, NaN where it is no number."""
    result = np.asarray(found, dtype=float)
    if not _all_finite(result):
        result = np.where(np.isfinite(result), result, np.nan)
    shape = next(iter(shapes)) if len(shapes) == 1 else np.broadcast_shapes(*shapes)
    return result if result.shape == shape else np.broadcast_to(result, shape).copy()


NOTHING = np.zeros(10_000)
"""What any finite numbers times it sum up to nothing; not so long that a product of vectors would wake threads."""


def _all_finite(numbers: Array) -> bool:
    """Whether no number is infinite or none at all: nought times one that is, is no number."""
    if numbers.ndim == 1 and numbers.size <= NOTHING.size:
        return isfinite(NOTHING[: numbers.size].dot(numbers))
    return isfinite(np.add.reduce(numbers, axis=None)) or bool(np.isfinite(numbers).all())


def _is_work(citation: Citation) -> bool:
    """Whether a citation is of a work, or of common practice, which is told of like one."""
    return citation.key == "common-practice" or citation.key not in NO_WORK


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())


@lru_cache(maxsize=64)
def _counted(book: Book, traits: frozenset[str], known: frozenset[str]) -> dict[str, Quantity]:
    had = set(known)
    found: dict[str, Quantity] = {}
    for entry in book.entries:
        if entry.name not in found and traits.issuperset(entry.when) and had.issuperset(entry.inputs):
            found[entry.name] = entry
            had.add(entry.name)
    return found


@lru_cache(maxsize=256)
def _planned(
    book: Book, traits: frozenset[str], known: frozenset[str], only: tuple[str, ...] | None
) -> tuple[dict[str, Quantity], tuple[str, ...]]:
    """The entries to work out, in order, and the known variables that they use."""
    entries = _wanted(_counted(book, traits, known), only)
    return entries, tuple({key: None for entry in entries.values() for key in entry.inputs if key in known})


def _wanted(counted: dict[str, Quantity], only: Sequence[str] | None) -> dict[str, Quantity]:
    """The counted entries of the names in ``only`` and of what they use, in order; all of them without it."""
    if only is None:
        return counted
    wanted: set[str] = set()
    waiting = [name for name in only if name in counted]
    while waiting:
        name = waiting.pop()
        if name not in wanted:
            wanted.add(name)
            waiting += [used for used in counted[name].inputs if used in counted]
    return {name: entry for name, entry in counted.items() if name in wanted}


@lru_cache(maxsize=20_000)
def _power(book: Book, entry: Quantity, inputs: tuple[str, ...], given: tuple[Fraction, ...]) -> Fraction | None:
    """The power that an entry follows when ``inputs`` follow the ``given`` ones and its others are nothing.

    Ports ask for the same again.
    """
    if isinstance(entry.formula, Model):
        units = solve_exactly([book.dimensions[key] for key in inputs], given) if given else None
        if units is None:
            return None
        return sum((a * b for a, b in zip(units, entry.dimension, strict=True)), Fraction(0))
    table = {key: (power,) for key, power in zip(inputs, given, strict=True)}
    try:
        return exponents(entry.formula, table, frozenset(entry.inputs) - table.keys())[0]
    except NotHomogeneousError:
        return None
