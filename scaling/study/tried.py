"""A port tried with changes: only the quantities that are asked for, by the very steps that a study takes.

Trials of one port that are asked for together are rows of one evaluation, which costs hardly more than that of one.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.port.asked import AS_BRIEFED, Brief, LawRequest
from scaling.port.changes import changed, changed_design
from scaling.port.inputs import inputs_at, port_parts
from scaling.port.laws import law_factor, law_of
from scaling.port.levers import close_parts
from scaling.robot.design import Design
from scaling.robot.parts import Part, mass_at
from scaling.study.problem import Problem
from scaling.study.problems import limit_problems, mass_problems, size_problems, speed_problems
from scaling.study.results import Port, Study
from scaling.study.rows import read_together


@dataclass(frozen=True)
class Tried:
    """What came of a trial: the quantities asked for, the grams (kg) more at one factor, and what is then missed.

    ``without`` names those asked for that a machine of such a kind does not have, as a round belt has no teeth.
    """

    values: Mapping[str, float]
    added: float
    missed: frozenset[str]
    without: frozenset[str] = frozenset()


def tried(study: Study, port: Port, changes: Mapping[str, str], only: Collection[str]) -> Tried | None:
    """Return what ``trial`` does; None where the changes are not allowed there."""
    try:
        return trial(study, port, changes, only)
    except InputError:
        return None


def trial(study: Study, port: Port, changes: Mapping[str, str], only: Collection[str]) -> Tried | None:
    """Return a port of the ``study`` with ``changes`` written into its brief; None where it has no factor then.

    ``only`` names the quantities that are wanted; what cannot be computed is absent. Raises InputError for changes
    that are not allowed there.
    """
    trials = Trials(study, port)
    row = trials.row(changes, anew=True)
    return None if row is None else trials.outcomes([row], only)[0]


@dataclass(frozen=True)
class Row:
    """A port with changes as the formulas are given it: one row of an evaluation.

    ``added`` are the grams (kg) more at the port's own factor, ``problems`` what was wrong before any quantity.
    """

    brief: Brief
    traits: frozenset[str]
    variables: Mapping[str, float]
    added: float
    problems: tuple[Problem, ...]


@dataclass(frozen=True)
class Trials:
    """Trials of a port of a study with changes written into its brief, or into the file of a machine of its own."""

    study: Study
    port: Port

    def glance(self, changes: Mapping[str, str], name: str) -> float | None:
        """Return one quantity as it would be at the port's own factor, which is quick; None where there is none."""
        try:
            row = self.row(changes, anew=False)
        except InputError:
            return None
        found = None if row is None else book.evaluate(row.variables, row.traits, only=[name]).get(name)
        return None if found is None or not np.isfinite(found) else float(found)

    def together(self, trials: Sequence[Mapping[str, str]], only: Collection[str]) -> list[Tried | None]:
        """Return what comes of several trials, the law fixing the factor anew; None where one is not allowed."""
        rows: dict[int, Row] = {}
        for place, changes in enumerate(trials):
            try:
                row = self.row(changes, anew=True)
            except InputError:
                continue
            if row is not None:
                rows[place] = row
        found = dict(zip(rows, self.outcomes([*rows.values()], only), strict=True))
        return [found.get(place) for place in range(len(trials))]

    def row(self, changes: Mapping[str, str], anew: bool) -> Row | None:
        """Return the port with changes; None where it has no factor then, and raises InputError where they cannot be.

        The law fixes the factor ``anew``, or it stays the port's own.
        """
        key = tuple(changes.items())
        if key not in self._made:
            self._made[key] = _Machine(self, changes) if self.port.machine is not None else _Changed(self, changes)
        return self._made[key].row(anew)

    @cached_property
    def _made(self) -> dict[tuple[tuple[str, str], ...], _Changed | _Machine]:
        """What was tried already, by its changes: a glance and the trial behind it have most in common."""
        return {}

    @cached_property
    def mass(self) -> float:
        """The mass of the port's parts as they are at its own factor, before any lever closes it."""
        return float(mass_at(port_parts(self.study.design, self.study.brief, self.port.variation), self.port.factor))

    def outcomes(self, rows: Sequence[Row], only: Collection[str]) -> list[Tried]:
        """Return what comes of each of the rows, read from the book together."""
        wanted = {*only, *self.study.brief.limits, *SPEEDS} & book.quantities.keys()
        tables = [{key: np.asarray([value]) for key, value in row.variables.items()} for row in rows]
        found = read_together(tables, [row.traits for row in rows], sorted(wanted))
        return [self._outcome(row, each.first, only) for row, each in zip(rows, found, strict=True)]

    def _outcome(self, row: Row, values: Mapping[str, float], only: Collection[str]) -> Tried:
        problems = [*row.problems, *size_problems(row.brief, row.variables), *speed_problems(values, {})]
        problems += limit_problems(row.brief, {**row.variables, **values})
        without: frozenset[str] = frozenset()
        if self.port.machine is not None:
            without = frozenset(only) - book.counted(row.traits, row.variables).keys()
        if self.port.machine is None or self.study.limited:
            problems += mass_problems(self.study.design, row.brief, row.variables["mass"])
        return Tried(values, row.added, frozenset(problem.code for problem in problems), without)


class _Changed:
    """A port by a brief with changes in place of the one that it had."""

    def __init__(self, trials: Trials, changes: Mapping[str, str]) -> None:
        self.study, self.port = trials.study, trials.port
        self.brief = changed(self.study.brief, changes)
        self.parts = port_parts(self.study.design, self.brief, self.port.variation)
        self.added = float(mass_at(self.parts, self.port.factor)) - trials.mass
        self._rows: dict[float, Row] = {}

    def row(self, anew: bool) -> Row | None:
        """Return the port as the formulas are given it, at its own factor or, ``anew``, at the law's."""
        factor = self.port.factor
        if anew and (self.added or not law_of(self.port.request.law).closes_mass):
            factor = self._factor_anew()  # the mass law's factor goes by the masses alone
        if factor is None:
            return None
        if factor not in self._rows:
            self._rows[factor] = self._row_at(factor)
        return self._rows[factor]

    def _factor_anew(self) -> float | None:
        """The factor by the law; one that freed dimensions keeps them, and is smaller where the mass asks for it."""
        found = law_factor(self.study.design, self.brief, self.port.request, self.parts).factor
        if self.port.solved is None or found is None or self.port.factor is None:
            return found
        return min(found, self.port.factor)

    def _row_at(self, factor: float) -> Row:
        design, request = self.study.design, self.port.request
        parts = parts_of(design, self.brief, request, self.parts, factor)
        inputs = inputs_at(design, self.brief, request, parts, np.asarray([factor]), self.port.variation)
        variables = {key: float(value[0]) for key, value in inputs.variables.items()}
        problems = tuple(Problem(remark.code, remark.text) for remark in inputs.problems)
        return Row(self.brief, design.traits, variables, self.added, problems)


class _Machine:
    """A machine that has a file of its own, with the changes written into that."""

    def __init__(self, trials: Trials, changes: Mapping[str, str]) -> None:
        machine, own = trials.port.machine, trials.port.variables
        assert machine is not None  # noqa: S101 - asked for such a port only
        new = changed_design(machine.file, changes)
        carried = {key: value for key, value in own.items() if key.startswith("attacker.")}
        variables = new.variables | {key: value for key, value in carried.items() if key not in new.stated}
        added = new.variables["mass"] - machine.variables["mass"]
        self._row = Row(trials.study.brief, new.traits, variables, added, ())

    def row(self, anew: bool) -> Row:
        """Return the machine as the formulas are given it."""
        return self._row


SPEEDS = ("rotor_speed", "rotor_speed_as_motored")


def parts_of(
    design: Design, brief: Brief, request: LawRequest, parts: tuple[Part, ...], factor: float
) -> tuple[Part, ...]:
    """The parts of a port at its factor, with what the closing levers do to them where the law does not close."""
    if law_of(request.law).closes_mass:
        return parts
    shelves = AS_BRIEFED.shelves_of(design, brief)
    return close_parts(parts, factor, brief.allowed_mass, brief.closure, shelves)[0]
