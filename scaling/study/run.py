"""The study: every port of a brief, its quantities beside the reference's, drift, groups and problems."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction

import numpy as np

from scaling.book.entry import Array
from scaling.book.groups import Group, group_value, groups_of
from scaling.book.similarity import CLOCKS, similarity_ratio
from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.port.brief import Brief, LawRequest
from scaling.port.carried import voltage_ratio
from scaling.port.inputs import inputs_at, law_factor, length_key, on_the_step, port_parts
from scaling.port.laws import naive_factor
from scaling.port.levers import ClosureStep, check_closure, close_parts
from scaling.robot.design import Design
from scaling.robot.parts import Part
from scaling.study.problems import (
    Problem,
    bought_problems,
    in_order,
    limit_problems,
    mass_problems,
    size_problems,
    value_problems,
)
from scaling.study.results import Curve, PartLine, Port, PortQuantity, Study

STEP = 1e-4
"""Step in ln(factor) of the local exponents: central difference, error of the order of the step squared."""

CURVE_POINTS = 41

LEAST, MOST = 0.01, 100.0
"""Factors beyond which a port is a slip in the brief: a millionth, or a million times the mass."""


def reference_values(design: Design) -> dict[str, float]:
    """The reference's own quantities, SI; what cannot be computed is absent."""
    values = book.evaluate(design.variables, design.traits)
    return {name: float(value) for name, value in values.items() if np.isfinite(value)}


def requests_of(brief: Brief, design: Design) -> tuple[LawRequest, ...]:
    """The brief's requests, those of a robot without rotor once each with no speed rule.

    The rule hold-gyro-margin is kept, so that its port can say that there is nothing to hold.
    """
    if design.has_rotor:
        return brief.requests
    kept = [
        request
        if request.speed_rule == "hold-gyro-margin"
        else LawRequest(request.law, None, request.drive_rule, request.key, request.target)
        for request in brief.requests
    ]
    return tuple(dict.fromkeys(kept))


def run_study(design: Design, brief: Brief, progress: Callable[[str], None] | None = None) -> Study:
    """Compute every port of ``brief``; ``progress`` is called with each port's words.

    Raises InputError where the brief asks for what the design does not have.
    """
    reference = reference_values(design)
    parts = port_parts(design, brief)
    check_closure(brief.closure, parts, brief.file)
    requests = requests_of(brief, design)
    closures = [law_factor(design, brief, request, parts) for request in requests]
    for request, closure in zip(requests, closures, strict=True):
        if closure.factor is not None and not LEAST <= closure.factor <= MOST:
            raise InputError(
                f"the {request.law} law gives the factor {closure.factor:.3g}",
                design.file,
                "mass" if request.law == "mass" else length_key(design, request),
                allowed=f"a factor from {LEAST:g} to {MOST:g}",
                hint="mend it here, or the brief's target or mass limit",
            )
    grid = _grid([closure.factor for closure in closures if closure.factor is not None])
    ports: list[Port] = []
    for request, closure in zip(requests, closures, strict=True):
        if progress is not None:
            progress(f"{request.law} {request.speed_rule or ''}")
        if closure.factor is None:
            ports.append(_no_port(design, brief, request, closure.reason))
        else:
            ports.append(_port(design, brief, request, parts, closure.factor, reference, grid))
    present = {**design.variables, **reference}
    return Study(design, brief, reference, tuple(ports), tuple(groups_of(present, book.dimensions)))


def _grid(factors: list[float]) -> Array:
    """Factors for the curves: from below the least of 1 and the laws' factors to above the largest."""
    low, high = min([1.0, *factors]) * 0.9, max([1.0, *factors]) * 1.1
    return np.geomspace(low, high, CURVE_POINTS)


def _no_port(design: Design, brief: Brief, request: LawRequest, reason: str) -> Port:
    naive = naive_factor(brief.mass_limit, design.variables["mass"])
    problem = Problem("no_factor", f"No factor meets the mass limit: {reason}.")
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
    plain, steps = parts, tuple[ClosureStep, ...]()
    if request.law != "mass":
        files = brief.stock if brief.snap else None
        parts, steps = close_parts(parts, factor, brief.mass_limit - brief.mass_margin, brief.closure, files)
    inputs = inputs_at(design, brief, request, parts, np.asarray([factor]))
    near_brief, near_parts = on_the_step(brief, parts, inputs, factor)
    near = inputs_at(design, near_brief, request, near_parts, factor * np.exp([0.0, STEP, -STEP]))
    values = book.evaluate(near.variables, design.traits)
    powers = book.powers(near.powers, design.traits)
    curve = book.evaluate(inputs_at(design, brief, request, parts, grid).variables, design.traits)
    variables = {key: float(value[0]) for key, value in inputs.variables.items()}
    volts = voltage_ratio(design, brief) if "battery.voltage" in design.variables else None
    mass_ratio = variables["mass"] / design.variables["mass"]
    quantities: dict[str, PortQuantity] = {}
    for name, value in values.items():
        if np.isfinite(value[0]):
            quantities[name] = _quantity(name, value, powers.get(name), reference, mass_ratio, factor, volts)
    found = {name: entry.value for name, entry in quantities.items()}
    problems = [Problem(code, text) for code, text in inputs.problems]
    problems += mass_problems(design, brief, variables["mass"]) + size_problems(brief, variables)
    problems += limit_problems(brief, {**variables, **found})
    problems += bought_problems(brief, parts) + value_problems(variables, found, reference)
    smooth = tuple(replace(part, on_shelf=()) for part in parts)
    lines = tuple(
        PartLine(
            part.name,
            part.kind,
            part.group,
            own.total,
            float(part.at(factor)),
            float(replace(first, on_shelf=()).at(factor)),
            float(closed.at(factor)),
        )
        for own, part, first, closed in zip(design.parts, parts, plain, smooth, strict=True)
    )
    ideal_values: dict[str, float] = {}
    continuous = factor
    if inputs.snaps:
        unsnapped = replace(brief, snap=False)
        without = book.evaluate(inputs_at(design, unsnapped, request, smooth, factor).variables, design.traits)
        ideal_values = {name: float(value) for name, value in without.items() if np.isfinite(value)}
        continuous = law_factor(design, unsnapped, request, smooth).factor or factor
    return Port(
        request,
        factor,
        naive_factor(brief.mass_limit, design.variables["mass"]),
        brief.mass_limit,
        variables,
        quantities,
        lines,
        in_order(problems),
        Curve(grid, curve),
        continuous,
        inputs.snaps,
        ideal_values,
        steps,
        parts,
    )


def _quantity(
    name: str,
    value: Array,
    power: Fraction | None,
    reference: Mapping[str, float],
    mass_ratio: float,
    factor: float,
    volts: float | None,
) -> PortQuantity:
    entry = book.quantities[name]
    own = reference.get(name)
    ratio = _finite(value[0] / own) if own else None
    similarity: dict[str, float] = {}
    drift: dict[str, float] = {}
    for clock in CLOCKS:
        alike = similarity_ratio(entry.dimension, mass_ratio, factor, clock, volts)
        if alike is not None and np.isfinite(alike) and alike > 0:
            similarity[clock] = float(alike)
            if ratio is not None and (found := _finite(ratio / alike)) is not None:
                drift[clock] = found
    slope = power if power is not None else _slope(value)
    return PortQuantity(float(value[0]), entry.unit, ratio, slope, similarity, drift)


def _finite(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def _slope(value: Array) -> float | None:
    with np.errstate(all="ignore"):
        slope = float((np.log(np.abs(value[1])) - np.log(np.abs(value[2]))) / (2 * STEP))
    return slope if np.isfinite(slope) else None


def group_values(study: Study, group: Group) -> tuple[float | None, list[float | None]]:
    """A group's value for the reference and for each port; None where a port lacks a member."""
    own = group_value(group.expression, {**study.design.variables, **study.reference})
    ports: list[float | None] = []
    for port in study.ports:
        found = {name: entry.value for name, entry in port.quantities.items()}
        value = float(group_value(group.expression, {**port.variables, **found}))
        ports.append(value if np.isfinite(value) else None)
    return (float(own) if np.isfinite(own) else None), ports
