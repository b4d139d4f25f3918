"""Machines that have design files of their own, as built or drawn, judged beside a reference like any port."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from scaling.book.groups import groups_of
from scaling.files.errors import InputError, nearest
from scaling.formulas import book
from scaling.port.asked import Brief, LawRequest
from scaling.port.carried import OPPONENT, opponent
from scaling.port.laws import AS_DRAWN, naive_factor
from scaling.robot.design import Design
from scaling.study.problem import in_order
from scaling.study.problems import mass_problems, value_problems
from scaling.study.reach import only_if_reached
from scaling.study.results import PartLine, Port, Study
from scaling.study.run import beside, reference_values, values_of


def compared(
    reference: Design, machines: Sequence[Design], by: str = "length", mass_limit: float | None = None
) -> Study:
    """Return each of the ``machines`` as a port of the ``reference`` under the law ``as-drawn``.

    Its factor is the ratio of the lengths under the key ``by``, its variables are its own, and its mass limit is
    ``mass_limit`` (kg) or, without one, its own mass. Raises InputError for a key that is no length of each.
    """
    for design in (reference, *machines):
        _check_length(design, by)
    own = reference_values(reference)
    ports = tuple(_port(reference, own, machine, by, mass_limit) for machine in machines)
    limit = mass_limit if mass_limit is not None else max(machine.variables["mass"] for machine in machines)
    brief = Brief(reference.name, reference.file, None, limit)
    return Study(reference, brief, own, ports, tuple(groups_of({**reference.variables, **own}, book.dimensions)))


def _check_length(design: Design, by: str) -> None:
    lengths = [key for key in design.variables if book.variables[key].unit == "m"]
    if by not in lengths:
        allowed = "the dotted key of a length that every machine has, such as length or wheelbase"
        raise InputError("the design has no such length", design.file, "--by", by, allowed, nearest(by, lengths))


def _port(reference: Design, own: Mapping[str, float], machine: Design, by: str, mass_limit: float | None) -> Port:
    mass = machine.variables["mass"]
    limit = mass if mass_limit is None else mass_limit
    stated = machine.stated & OPPONENT.keys()
    variables = machine.variables | ({} if stated else opponent(reference, limit))
    factor, mass_ratio = variables[by] / reference.variables[by], mass / reference.variables["mass"]
    packs = [design.variables.get("battery.voltage") for design in (machine, reference)]
    volts = packs[0] / packs[1] if packs[0] is not None and packs[1] is not None else None
    found = values_of(variables, machine.traits)
    hollow = only_if_reached(found, own, machine.traits, variables)
    problems = mass_problems(reference, Brief(machine.name, reference.file, None, limit), mass)
    problems += value_problems(variables, found, own, machine.traits)
    return Port(
        LawRequest(AS_DRAWN.name, None, None, key=by),
        factor,
        naive_factor(limit, reference.variables["mass"]),
        limit,
        variables,
        {
            name: beside(name, value, None, own, mass_ratio, factor, volts, name in hollow)
            for name, value in found.items()
        },
        _lines(reference, machine),
        in_order(problems),
        None,
        factor,
        machine=machine,
    )


def _lines(reference: Design, machine: Design) -> tuple[PartLine, ...]:
    """The mass table: the machine's parts beside the reference's of the same name, then what it does without."""
    old = {part.name: part for part in reference.parts}
    new = {part.name: part for part in machine.parts}
    lines = []
    for name, part in (new | {name: part for name, part in old.items() if name not in new}).items():
        before, now = (float(parts[name].total) if name in parts else 0.0 for parts in (old, new))
        lines.append(PartLine(name, part.kind, part.group, before, now, now, now))
    return tuple(lines)
