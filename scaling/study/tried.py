"""A port tried with changes: only the quantities that are asked for, by the very steps that a study takes."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

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


@dataclass(frozen=True)
class Tried:
    """What came of a trial: the quantities asked for, the grams (kg) more at one factor, and what is then missed.

    ``without`` names those asked for that a machine of such a kind does not have, as a round belt has no teeth.
    """

    values: Mapping[str, float]
    added: float
    missed: frozenset[str]
    without: frozenset[str] = frozenset()


def tried(
    study: Study, port: Port, changes: Mapping[str, str], only: Collection[str], anew: bool = True
) -> Tried | None:
    """Return what ``trial`` does; None where the changes are not allowed there."""
    try:
        return trial(study, port, changes, only, anew)
    except InputError:
        return None


def trial(
    study: Study, port: Port, changes: Mapping[str, str], only: Collection[str], anew: bool = True
) -> Tried | None:
    """Return a port of the ``study`` with ``changes`` written into its brief; None where it has no factor then.

    The law fixes the factor ``anew``, or it stays the port's own, which is quicker. ``only`` names the quantities that
    are wanted; what cannot be computed is absent. Raises InputError for changes that are not allowed there.
    """
    if port.machine is not None:
        return _tried_machine(study, port, changes, only)
    return _tried_port(study, changed(study.brief, changes), port, only, anew)


def _tried_port(study: Study, new: Brief, port: Port, only: Collection[str], anew: bool) -> Tried | None:
    """A port by the ``new`` brief in place of the one that it had."""
    design, factor = study.design, port.factor
    parts = port_parts(design, new, port.variation)
    added = float(mass_at(parts, factor) - mass_at(port_parts(design, study.brief, port.variation), factor))
    if anew and (added or not law_of(port.request.law).closes_mass):  # the mass law's factor goes by the masses alone
        factor = _factor_anew(design, new, port, parts)
    if factor is None:
        return None
    parts = parts_of(design, new, port.request, parts, factor)
    inputs = inputs_at(design, new, port.request, parts, np.asarray([factor]), port.variation)
    variables = {key: float(value[0]) for key, value in inputs.variables.items()}
    if not anew:
        return Tried(_finite(book.evaluate(variables, design.traits, only=sorted(only))), added, frozenset())
    wanted = {*only, *(name for name in new.limits if name in book.quantities), *SPEEDS}
    found = _finite(book.evaluate(variables, design.traits, only=sorted(wanted & book.quantities.keys())))
    problems = [Problem(remark.code, remark.text) for remark in inputs.problems]
    problems += mass_problems(design, new, variables["mass"]) + size_problems(new, variables)
    problems += limit_problems(new, {**variables, **found}) + speed_problems(found, {})
    return Tried(found, added, frozenset(problem.code for problem in problems))


def _factor_anew(design: Design, new: Brief, port: Port, parts: tuple[Part, ...]) -> float | None:
    """The factor by the law; one that freed dimensions keeps them, and is made smaller where the mass asks for it."""
    found = law_factor(design, new, port.request, parts).factor
    if port.solved is None or found is None or port.factor is None:
        return found
    return min(found, port.factor)


SPEEDS = ("rotor_speed", "rotor_speed_as_motored")


def parts_of(
    design: Design, brief: Brief, request: LawRequest, parts: tuple[Part, ...], factor: float
) -> tuple[Part, ...]:
    """The parts of a port at its factor, with what the closing levers do to them where the law does not close."""
    if law_of(request.law).closes_mass:
        return parts
    shelves = AS_BRIEFED.shelves_of(design, brief)
    return close_parts(parts, factor, brief.allowed_mass, brief.closure, shelves)[0]


def _tried_machine(study: Study, port: Port, changes: Mapping[str, str], only: Collection[str]) -> Tried:
    """A machine that has a file of its own, with the changes written into that."""
    machine = port.machine
    assert machine is not None  # noqa: S101 - asked for such a port only
    new = changed_design(machine.file, changes)
    own = port.variables
    carried = {key: value for key, value in own.items() if key.startswith("attacker.")}
    variables = new.variables | {key: value for key, value in carried.items() if key not in new.stated}
    brief = study.brief
    wanted = {*only, *brief.limits, *SPEEDS} & book.quantities.keys()
    found = _finite(book.evaluate(variables, new.traits, only=sorted(wanted)))
    problems = speed_problems(found, {}) + size_problems(brief, variables)
    problems += limit_problems(brief, {**variables, **found})
    problems += mass_problems(study.design, brief, variables["mass"]) if study.limited else []
    added = new.variables["mass"] - machine.variables["mass"]
    without = frozenset(only) - book.counted(new.traits, variables).keys()
    return Tried(found, added, frozenset(problem.code for problem in problems), without)


def _finite(values: Mapping[str, Any]) -> dict[str, float]:
    return {name: float(value) for name, value in values.items() if np.isfinite(value).all()}
