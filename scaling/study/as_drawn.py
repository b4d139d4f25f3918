"""Machines that have design files of their own, as built or drawn, judged beside a reference like any port."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from scaling.files.errors import InputError, nearest
from scaling.formulas import book
from scaling.port.asked import Brief, LawRequest
from scaling.port.carried import OPPONENT, opponent
from scaling.port.laws import AS_DRAWN, naive_factor
from scaling.robot.design import Design
from scaling.study.beside import Ratios, all_beside, reference_values, values_of
from scaling.study.problem import Problem, in_order
from scaling.study.problems import limit_problems, mass_problems, size_problems, value_problems
from scaling.study.reach import only_if_reached
from scaling.study.results import PartLine, Port, Study

DATE = "date"
"""The key that says of which day a version of a machine is."""


def compared(
    reference: Design, machines: Sequence[Design], by: str = "length", mass_limit: float | None = None
) -> Study:
    """Return each of the ``machines`` as a port of the ``reference`` under the law ``as-drawn``.

    They stand in the order of the days that their files state, those without one after them as they are given. The
    factor of each is the ratio of the lengths under the key ``by``, its variables are its own, and its mass limit is
    ``mass_limit`` (kg) or, without one, its own mass. Raises InputError for a key that is no length of each.
    """
    for design in (reference, *machines):
        _check_length(design, by)
    own = reference_values(reference)
    in_time = sorted(machines, key=lambda each: (DATE not in each.choices, each.choices.get(DATE, "")))
    masses = [machine.variables["mass"] for machine in in_time]
    limits = masses if mass_limit is None else [mass_limit] * len(masses)
    briefs = [Brief(reference.name, reference.file, None, limit) for limit in limits]
    ports = tuple(
        drawn_port(reference, own, machine, brief, by) for machine, brief in zip(in_time, briefs, strict=True)
    )
    whole = max(briefs, key=lambda brief: brief.mass_limit)
    return Study(reference, whole, own, ports, limited=mass_limit is not None)


def _check_length(design: Design, by: str) -> None:
    lengths = [key for key in design.variables if book.variables[key].unit == "m"]
    if by not in lengths:
        allowed = "the dotted key of a length that every machine has, such as length or wheelbase"
        raise InputError("the design has no such length", design.file, "--by", by, allowed, nearest(by, lengths))


def drawn_port(
    reference: Design, own: Mapping[str, float], machine: Design, brief: Brief, by: str = "length"
) -> Port:
    """Return a ``machine`` as a port of the ``reference``, whose quantities are ``own``, within the brief's limits."""
    mass, limit = machine.variables["mass"], brief.mass_limit
    stated = machine.stated & OPPONENT.keys()
    variables = machine.variables | ({} if stated else opponent(reference, limit))
    factor = variables[by] / reference.variables[by]
    packs = [design.variables.get("battery.voltage") for design in (machine, reference)]
    volts = packs[0] / packs[1] if packs[0] is not None and packs[1] is not None else None
    ratios = Ratios(mass / reference.variables["mass"], factor, volts)
    found = values_of(variables, machine.traits)
    hollow = only_if_reached(found, own, machine.traits, variables)
    return Port(
        LawRequest(AS_DRAWN.name, None, None, key=by),
        factor,
        naive_factor(limit, reference.variables["mass"]),
        limit,
        variables,
        all_beside(found, {}, own, ratios, hollow),
        _lines(reference, machine),
        _problems(reference, own, machine, brief, variables, found),
        None,
        factor,
        machine=machine,
    )


def _problems(
    reference: Design,
    own: Mapping[str, float],
    machine: Design,
    brief: Brief,
    variables: Mapping[str, float],
    found: Mapping[str, float],
) -> tuple[Problem, ...]:
    """What is wrong with a machine; what one of its kind cannot have is not missing."""
    problems = mass_problems(reference, brief, variables["mass"]) + size_problems(brief, variables)
    problems += limit_problems(brief, {**variables, **found})
    of_its_kind = book.counted(machine.traits, variables)
    for problem in value_problems(variables, found, own, machine.traits):
        if problem.code != "not_computed":
            problems.append(problem)
        elif missing := tuple(name for name in problem.rests_on if name in of_its_kind):
            problems.append(replace(problem, rests_on=missing))
    return in_order(problems)


def _lines(reference: Design, machine: Design) -> tuple[PartLine, ...]:
    """The mass table: the machine's parts beside the reference's of the same name, then what it does without."""
    old = {part.name: part for part in reference.parts}
    new = {part.name: part for part in machine.parts}
    lines = []
    for name, part in (new | {name: part for name, part in old.items() if name not in new}).items():
        before, now = (float(parts[name].total) if name in parts else 0.0 for parts in (old, new))
        lines.append(PartLine(name, part.kind, part.group, before, now, now, now))
    return tuple(lines)
