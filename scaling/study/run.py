"""The study: every port of a brief, its quantities beside the reference's, drift, groups and problems."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from scaling.book.entry import Array
from scaling.book.groups import Group, group_value, groups_of
from scaling.files.errors import InputError, Mistakes
from scaling.files.units import format_value
from scaling.formulas import book
from scaling.port.asked import AS_BRIEFED, Brief, LawRequest, Variation
from scaling.port.carried import voltage_ratio
from scaling.port.freed import held_levers, levers_of
from scaling.port.inputs import inputs_at, on_the_step, port_parts
from scaling.port.laws import LAWS, LEAST_DRIFT, Closure, law_factor, naive_factor
from scaling.port.levers import ClosureStep, check_closure, close_parts, steps_of
from scaling.port.rules import SPEED_RULES
from scaling.port.scaled import Inputs
from scaling.port.terms import Terms
from scaling.robot.design import Design
from scaling.robot.parts import Part, off_the_shelf
from scaling.study.as_drawn import drawn_port
from scaling.study.beside import beside, reference_values, values_of
from scaling.study.curve import curve_of
from scaling.study.fit import doubtful_problems, fit_problems
from scaling.study.marks import Marked
from scaling.study.problem import Problem, in_order
from scaling.study.problems import (
    bought_problems,
    limit_problems,
    mass_problems,
    size_problems,
    value_problems,
)
from scaling.study.reach import only_if_reached
from scaling.study.results import PartLine, Port, PortQuantity, Solved, Study

STEP = 1e-4
"""Step in ln(factor) of the local exponents: central difference, error of the order of the step squared."""

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
    ports: list[Port] = []
    for request in requests:
        if progress is not None:
            progress(f"{request.law} {request.speed_rule or ''}")
        if solve is not None and _frees(request):
            found = solve(design, brief, request, reference)
            ports.append(
                _no_port(design, brief, request, found) if isinstance(found, str)
                else _solved_port(design, brief, request, found, reference, grid)
            )
            continue
        closure = closures[request.law, request.key, request.target]
        if closure.factor is None:
            ports.append(_no_port(design, brief, request, f"No factor meets the mass limit: {closure.reason}."))
        else:
            ports.append(_port(design, brief, request, parts, closure.factor, reference, grid))
    if brief.drawn is not None:
        ports.append(drawn_port(design, reference, brief.drawn, brief))
    present = {**design.variables, **reference}
    return Study(design, brief, reference, tuple(ports), tuple(groups_of(present, book.dimensions)))


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
    laws = dict.fromkeys((request.law, request.key, request.target) for request in requests if not _frees(request))
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
    return f"--{law}" if by_flags else "laws.target", target


def _grid(factors: list[float]) -> Array:
    """Factors for the curves: from below the least of 1 and the laws' factors to above the largest."""
    low, high = min([1.0, *factors]) * 0.9, max([1.0, *factors]) * 1.1
    return np.geomspace(low, high, CURVE_POINTS)


def _no_port(design: Design, brief: Brief, request: LawRequest, reason: str) -> Port:
    naive = naive_factor(brief.mass_limit, design.variables["mass"])
    problem = Problem("no_factor", reason)
    return Port(request, None, naive, brief.mass_limit, {}, {}, (), (problem,), None)


def _port(
    design: Design,
    brief: Brief,
    request: LawRequest,
    parts: tuple[Part, ...],
    factor: float,
    reference: Mapping[str, float],
    grid: Array,
) -> Port:
    """The port of a law that fixes the factor, with what the closing levers do to its parts."""
    if LAWS[request.law].closes_mass:
        return _made(design, brief, request, AS_BRIEFED, parts, parts, (), factor, reference, grid)
    shelves = AS_BRIEFED.shelves_of(design, brief)
    closed, pulls = close_parts(parts, factor, brief.allowed_mass, brief.closure, shelves)
    return _made(design, brief, request, AS_BRIEFED, parts, closed, steps_of(pulls), factor, reference, grid)


def _solved_port(
    design: Design, brief: Brief, request: LawRequest, found: Solved, reference: Mapping[str, float], grid: Array
) -> Port:
    """The port that was found: the same numbers as any other's, by its variation."""
    parts, factor = found.parts, found.factor
    port = _made(design, brief, request, found.variation, parts, parts, (), factor, reference, grid)
    return replace(port, solved=found, continuous_factor=found.continuous_factor)


def _made(
    design: Design,
    brief: Brief,
    request: LawRequest,
    variation: Variation,
    plain: tuple[Part, ...],
    parts: tuple[Part, ...],
    steps: tuple[ClosureStep, ...],
    factor: float,
    reference: Mapping[str, float],
    grid: Array,
) -> Port:
    inputs = inputs_at(design, brief, request, parts, np.asarray([factor]), variation)
    variables = {key: float(value[0]) for key, value in inputs.variables.items()}
    quantities = _quantities(design, brief, request, variation, parts, inputs, factor, reference)
    ideal_values, continuous = _without_shelves(design, brief, request, variation, parts, inputs, factor)
    terms = Terms(design, brief, request, parts, np.asarray(factor), variation)
    return Port(
        request,
        factor,
        naive_factor(brief.mass_limit, design.variables["mass"]),
        brief.mass_limit,
        variables,
        quantities,
        _lines(design, plain, parts, factor),
        _problems(terms, inputs, variables, quantities, reference),
        curve_of(design, brief, request, parts, factor, grid, variation),
        continuous,
        inputs.snaps,
        ideal_values,
        steps,
        parts,
        variation=variation,
    )


def _quantities(
    design: Design,
    brief: Brief,
    request: LawRequest,
    variation: Variation,
    parts: tuple[Part, ...],
    inputs: Inputs,
    factor: float,
    reference: Mapping[str, float],
) -> dict[str, PortQuantity]:
    """Every quantity of the port that can be computed, with how it follows the factor within a shelf's step."""
    held, near_parts = on_the_step(parts, inputs, factor, variation)
    near = inputs_at(design, brief, request, near_parts, factor * np.exp([0.0, STEP, -STEP]), held)
    powers = book.powers(near.powers, design.traits)
    volts = float(voltage_ratio(design, variation.numbers_of(brief))) if "battery.voltage" in design.variables else None
    mass_ratio = float(inputs.variables["mass"][0]) / design.variables["mass"]
    found = book.evaluate(near.variables, design.traits)
    values = {name: float(value[0]) for name, value in found.items() if np.isfinite(value[0])}
    hollow = only_if_reached(values, reference, design.traits, near.variables)
    return {
        name: beside(
            name, value, power if (power := powers.get(name)) is not None else _slope(found[name]), reference,
            mass_ratio, factor, volts, name in hollow,
        )
        for name, value in values.items()
    }


def _problems(
    terms: Terms,
    inputs: Inputs,
    variables: Mapping[str, float],
    quantities: Mapping[str, PortQuantity],
    reference: Mapping[str, float],
) -> tuple[Problem, ...]:
    design, brief = terms.design, terms.brief
    found = {name: entry.value for name, entry in quantities.items()}
    problems = [Problem(remark.code, remark.text) for remark in inputs.problems]
    problems += fit_problems(terms, variables) + doubtful_problems(terms, variables)
    problems += mass_problems(design, brief, variables["mass"]) + size_problems(brief, variables)
    problems += limit_problems(brief, {**variables, **found})
    problems += bought_problems(brief, terms.parts) + value_problems(variables, found, reference, design.traits)
    return in_order(problems)


def _lines(design: Design, plain: tuple[Part, ...], parts: tuple[Part, ...], factor: float) -> tuple[PartLine, ...]:
    """The mass table: the design's parts, the ``plain`` ones of the port, and ``parts`` after the closing levers."""
    return tuple(
        PartLine(
            part.name,
            part.kind,
            part.group,
            own.total,
            float(part.at(factor)),
            float(off_the_shelf(first).at(factor)),
            float(off_the_shelf(part).at(factor)),
        )
        for own, first, part in zip(design.parts, plain, parts, strict=True)
    )


def _without_shelves(
    design: Design,
    brief: Brief,
    request: LawRequest,
    variation: Variation,
    parts: tuple[Part, ...],
    inputs: Inputs,
    factor: float,
) -> tuple[dict[str, float], float]:
    """The quantities that the port would have if no size came from a shelf, none where none does, and the factor."""
    if not inputs.snaps:
        return {}, factor
    smooth = tuple(off_the_shelf(part) for part in parts)
    values = inputs_at(design, brief, request, smooth, factor, replace(variation, snapped=False)).variables
    found = values_of(values, design.traits)
    own = None if _frees(request) else law_factor(design, brief, request, smooth).factor
    return found, own or factor


def _slope(value: Array) -> float | None:
    with np.errstate(all="ignore"):
        slope = float((np.log(np.abs(value[1])) - np.log(np.abs(value[2]))) / (2 * STEP))
    return slope if np.isfinite(slope) else None


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
