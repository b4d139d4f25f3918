"""A study's ports from their machines and requests: one reading of the book for all of them, then each one's share."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from scaling.book.entry import Array
from scaling.formulas import book
from scaling.port.asked import LawRequest
from scaling.port.carried import voltage_ratio
from scaling.port.laws import naive_factor
from scaling.port.scaled import Inputs, first
from scaling.port.terms import Terms
from scaling.robot.design import Design
from scaling.robot.parts import Part, off_the_shelf
from scaling.study.beside import Ratios, all_beside
from scaling.study.curve import Curve, Curves
from scaling.study.fit import doubtful_problems, fit_problems
from scaling.study.machine import STEP, Machine
from scaling.study.problem import Problem, in_order
from scaling.study.problems import (
    bought_problems,
    limit_problems,
    mass_problems,
    size_problems,
    value_problems,
)
from scaling.study.reach import only_if_reached
from scaling.study.results import PartLine, Port, PortQuantity
from scaling.study.rows import Found, read_together


def made(
    wanted: Sequence[tuple[Machine, LawRequest]], reference: Mapping[str, float], grid: Array
) -> list[Port]:
    """Return the port of each machine and request, in order, beside the ``reference``'s quantities.

    ``grid`` holds the factors of their curves.
    """
    near = [machine.near.by(request) for machine, request in wanted]
    smooth = [None if machine.smooth is None else machine.smooth.by(request) for machine, request in wanted]
    asked = [replace(machine.terms, request=request) for machine, request in wanted]
    traits = [terms.design.traits for terms in asked]
    tables = [each.variables for each in near] + [each.variables for each in smooth if each is not None]
    whose = traits + [own for own, each in zip(traits, smooth, strict=True) if each is not None]
    read = read_together(tables, whose)
    unsnapped = iter(read[len(near) :])
    curves = Curves(tuple(asked), grid)
    return [
        _port(
            machine,
            terms,
            _quantities(machine, terms, around, found, reference),
            {} if each is None else next(unsnapped).first,
            reference,
            Curve(curves, place),
        )
        for place, ((machine, _), terms, around, found, each) in enumerate(
            zip(wanted, asked, near, read[: len(near)], smooth, strict=True)
        )
    ]


def _port(
    machine: Machine,
    terms: Terms,
    quantities: Mapping[str, PortQuantity],
    ideal: Mapping[str, float],
    reference: Mapping[str, float],
    curve: Curve,
) -> Port:
    design, brief = terms.design, terms.brief
    inputs = machine.own.by(terms.request)
    variables = {key: float(value[0]) for key, value in inputs.variables.items()}
    return Port(
        terms.request,
        machine.factor,
        naive_factor(brief.mass_limit, design.variables["mass"]),
        brief.mass_limit,
        variables,
        quantities,
        _lines(design, machine.plain, terms.parts, machine.factor),
        _problems(terms, inputs, variables, quantities, reference),
        curve,
        machine.continuous_factor,
        inputs.snaps,
        ideal,
        machine.steps,
        terms.parts,
        variation=terms.variation,
        solved=machine.solved,
    )


def _quantities(
    machine: Machine, terms: Terms, near: Inputs, found: Found, reference: Mapping[str, float]
) -> dict[str, PortQuantity]:
    """Every quantity of the port that can be computed, with how it follows the factor within a shelf's step."""
    design = terms.design
    powers, slopes = book.powers(near.powers, design.traits), _slopes(found)
    exponents = {name: slopes.get(name) if power is None else power for name, power in powers.items()}
    volts = voltage_ratio(design, terms.numbers) if "battery.voltage" in design.variables else None
    mass = first(machine.own.inputs["mass"].value) / design.variables["mass"]
    ratios = Ratios(mass, machine.factor, None if volts is None else float(volts))
    values = found.first
    hollow = only_if_reached(values, reference, design.traits, near.variables)
    return all_beside(values, exponents, reference, ratios, hollow)


def _slopes(found: Found) -> dict[str, float]:
    """The local exponent d ln q / d ln factor of every quantity that has one."""
    with np.errstate(all="ignore"):
        logs = np.log(np.abs(found.values[:, 1:]))
        slopes = (logs[:, 0] - logs[:, 1]) / (2 * STEP)
    return {name: slope for name, slope in zip(found.names, slopes.tolist(), strict=True) if math.isfinite(slope)}


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
    problems += fit_problems(terms, variables)
    problems += doubtful_problems(terms, variables, found.get("rotor_speed_as_motored"))
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
