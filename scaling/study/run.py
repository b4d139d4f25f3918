"""The study: every port of a brief, its quantities beside the reference's, drift, groups and problems."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from scaling.book.entry import Array
from scaling.book.groups import Group, group_value
from scaling.files.errors import InputError, Mistakes
from scaling.files.units import format_value
from scaling.formulas import book
from scaling.port.asked import AS_BRIEFED, Brief, LawRequest
from scaling.port.freed import held_levers, levers_of
from scaling.port.inputs import port_parts
from scaling.port.laws import LAWS, LEAST_DRIFT, Closure, law_factor, naive_factor
from scaling.port.levers import check_closure, close_parts, steps_of
from scaling.port.rules import SPEED_RULES
from scaling.port.terms import Terms
from scaling.robot.design import Design
from scaling.robot.parts import Part
from scaling.study.as_drawn import drawn_port
from scaling.study.beside import reference_values
from scaling.study.machine import Machine
from scaling.study.made import made
from scaling.study.marks import Marked
from scaling.study.problem import Problem
from scaling.study.results import Port, Solved, Study

CURVE_POINTS = 41

Solver = Callable[[Design, Brief, LawRequest, Mapping[str, float]], Solved | str]
"""From a request that frees dimensions, and the reference's quantities, to its port or the reason why there is none."""

LawKey = tuple[str, str | None, float | None]
"""A law with the key and the target that it compares: what fixes a factor."""

LEAST, MOST = 0.01, 100.0
"""Factors beyond which a port is a slip in the brief: a millionth, or a million times the mass."""


def requests_of(brief: Brief, design: Design) -> tuple[LawRequest, ...]:
    """The brief's requests, those of a robot without rotor once each with no speed rule.

    A rule that is about something else as well is kept, so that its port can say that there is nothing to hold.
    """
    if design.has_rotor:
        return brief.requests
    told = {name for name, rule in SPEED_RULES.items() if rule.without_rotor is not None}
    return tuple(
        dict.fromkeys(
            request if request.speed_rule in told else replace(request, speed_rule=None) for request in brief.requests
        )
    )


def run_study(
    design: Design, brief: Brief, progress: Callable[[str], None] | None = None, solve: Solver | None = None
) -> Study:
    """Compute every port of ``brief``; ``progress`` is called with each port's words.

    ``solve`` finds the ports of the law that frees dimensions, which rests on what stands above a study; without it
    they are left out. Raises InputError where the brief asks for what the design does not have.
    """
    reference = reference_values(design)
    parts, closures = agreed(design, brief)
    requests = [request for request in requests_of(brief, design) if solve is not None or not _frees(request)]
    grid = _grid([closure.factor for closure in closures.values() if closure.factor is not None])
    machines: dict[LawKey, Machine | str] = {}
    found: list[Machine | str] = []
    for request in requests:
        if progress is not None:
            progress(f"{request.law} {request.speed_rule or ''}")
        if solve is not None and _frees(request):
            solved = solve(design, brief, request, reference)
            found.append(solved if isinstance(solved, str) else _solved_machine(design, brief, request, solved))
            continue
        law = _law_of(request)
        if law not in machines:
            machines[law] = _machine(design, brief, request, parts, closures[law])
        found.append(machines[law])
    ports = _in_turn(design, brief, requests, found, reference, grid)
    if brief.drawn is not None:
        ports.append(drawn_port(design, reference, brief.drawn, brief))
    return Study(design, brief, reference, tuple(ports))


def _in_turn(
    design: Design,
    brief: Brief,
    requests: Sequence[LawRequest],
    found: Sequence[Machine | str],
    reference: Mapping[str, float],
    grid: Array,
) -> list[Port]:
    """The port of each request by the machine that was ``found``, or the problem for which there is none."""
    there = [(each, request) for each, request in zip(found, requests, strict=True) if isinstance(each, Machine)]
    ports = iter(made(there, reference, grid))
    return [
        _no_port(design, brief, request, each) if isinstance(each, str) else next(ports)
        for each, request in zip(found, requests, strict=True)
    ]


def _law_of(request: LawRequest) -> LawKey:
    return request.law, request.key, request.target


def _frees(request: LawRequest) -> bool:
    return request.law == LEAST_DRIFT.name


def agreed(design: Design, brief: Brief) -> tuple[tuple[Part, ...], dict[LawKey, Closure]]:
    """Return the port's parts and the factor of each law by its name, key and target, where a brief fits its design.

    Raises InputError where the brief asks for what the design does not have, InputErrors for several such.
    """
    mistakes = Mistakes(brief.file)
    parts = mistakes.attempt(port_parts, design, brief)
    mistakes.attempt(check_closure, brief.closure, parts or design.parts, brief.file)
    requests = requests_of(brief, design)
    laws = dict.fromkeys(_law_of(request) for request in requests if not _frees(request))
    for request in requests:
        if _frees(request) and not brief.held:
            mistakes.attempt(levers_of, design, brief, request)
    mistakes.attempt(held_levers, design, brief)
    found = {law: mistakes.attempt(_closure, design, brief, law, parts or design.parts) for law in laws}
    mistakes.settle()
    return parts or (), {law: closure for law, closure in found.items() if closure is not None}


def _closure(design: Design, brief: Brief, law: LawKey, parts: tuple[Part, ...]) -> Closure:
    """The factor that a law fixes; raises InputError for one that is a slip."""
    name, key, target = law
    closure = law_factor(design, brief, LawRequest(name, None, key=key, target=target), parts)
    if closure.factor is not None and not LEAST <= closure.factor <= MOST:
        compared = LAWS[name].compares(design, key)
        where, value = _fixed_by(brief, name, compared, target)
        raise InputError(
            f"the {name} law gives the factor {closure.factor:.3g}", brief.file or design.file, where,
            format_value(value, book.variables[compared].unit, 4), f"a factor from {LEAST:g} to {MOST:g}",
            f"mend it, or {compared} in {design.file.name}",
        )  # fmt: skip
    return closure


def _fixed_by(brief: Brief, law: str, compared: str, target: float | None) -> tuple[str, float]:
    """The key or flag that says what a law scales the length or mass ``compared`` to, and its value."""
    by_flags = brief.file is None
    if LAWS[law].closes_mass:
        return "--mass" if by_flags else "mass_limit", brief.mass_limit
    if target is None:
        return f"port.{compared}", brief.numbers[compared]
    return f"--{law}" if by_flags else f"laws.{law}.target", target


def _grid(factors: list[float]) -> Array:
    """Factors for the curves: from below the least of 1 and the laws' factors to above the largest."""
    low, high = min([1.0, *factors]) * 0.9, max([1.0, *factors]) * 1.1
    return np.geomspace(low, high, CURVE_POINTS)


def _no_port(design: Design, brief: Brief, request: LawRequest, reason: str) -> Port:
    naive = naive_factor(brief.mass_limit, design.variables["mass"])
    problem = Problem("no_factor", reason)
    return Port(request, None, naive, brief.mass_limit, {}, {}, (), (problem,), None)


def _machine(
    design: Design, brief: Brief, request: LawRequest, parts: tuple[Part, ...], closure: Closure
) -> Machine | str:
    """The machine of a law that fixes the factor, with what the closing levers do to its parts, or why none."""
    if closure.factor is None:
        return f"No factor meets the mass limit: {closure.reason}."
    terms = Terms(design, brief, request, parts, np.asarray([closure.factor]))
    if LAWS[request.law].closes_mass:
        return Machine(terms, parts)
    shelves = AS_BRIEFED.shelves_of(design, brief)
    closed, pulls = close_parts(parts, closure.factor, brief.allowed_mass, brief.closure, shelves)
    return Machine(replace(terms, parts=closed), parts, steps_of(pulls))


def _solved_machine(design: Design, brief: Brief, request: LawRequest, found: Solved) -> Machine:
    """The machine that was found: its ports' numbers come about as any other's, by its variation."""
    terms = Terms(design, brief, request, found.parts, np.asarray([found.factor]), found.variation)
    return Machine(terms, found.parts, solved=found)


def group_values(study: Study, group: Group) -> tuple[float | None, list[float | None]]:
    """A group's value for the reference and for each port, with its members' marks; None where one is lacking."""
    own = group_value(group.expression, {**study.design.variables, **study.reference})
    ports: list[float | None] = []
    for port in study.ports:
        found = {name: entry.value for name, entry in port.quantities.items()}
        value = float(group_value(group.expression, {**port.variables, **found}))
        entries = [port.quantities[name] for name in group.expression if name in port.quantities]
        hollow, outside = any(entry.if_reached for entry in entries), bool(port.outside & set(group.expression))
        marked = Marked(value, if_reached=hollow, outside=outside) if hollow or outside else value
        ports.append(marked if np.isfinite(value) else None)
    return (float(own) if np.isfinite(own) else None), ports
