"""The study as the plain data of ``study.json``."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from scaling.book.groups import Group
from scaling.decide.held import Held, sentence
from scaling.decide.verdict import Judged, decided
from scaling.files.manifest import MANIFEST
from scaling.formulas import book
from scaling.show.decision_json import judged_json, objective_json, verdict_json
from scaling.show.doubts_json import doubts_json
from scaling.show.tables.unknown import absent_rows, estimate_rows
from scaling.study.absent import absent_of_port, absent_of_reference
from scaling.study.as_drawn import DATE
from scaling.study.only import only_one
from scaling.study.problem import Problem
from scaling.study.results import Port, PortQuantity, Solved, Study
from scaling.study.run import group_values
from scaling.study.used import works_of_study

SCHEMA = 2
"""Raised when a key changes its meaning; new keys alone leave it."""


def as_json(study: Study) -> dict[str, Any]:
    """The study as the plain data of ``study.json``, SI units, full precision, nothing that is not finite."""
    decision = decided(study)
    return {
        "schema": SCHEMA,
        "manifest": MANIFEST,
        "reference": {
            "name": study.design.name,
            "mass": study.design.variables["mass"],
            "variables": dict(study.design.variables),
            "quantities": {
                name: {"value": value, "unit": book.quantities[name].unit, "branch": book.quantities[name].branch}
                | _judged(name)
                for name, value in study.reference.items()
            },
            "notes": list(study.design.notes),
            "estimates": estimate_rows(study.design),
            "absent": absent_rows(absent_of_reference(study)),
            "doubts": doubts_json(study.design),
        },
        "verdict": verdict_json(decision.verdict),
        "objective": objective_json(decision.objective),
        "ports": [
            _port_json(study, judged, judged is decision.told)
            | {"absent": absent_rows(absent_of_port(study, judged.port))}
            for judged in decision.ports.values()
        ],
        "groups": [_group_json(study, group) for group in study.groups],
        "sources": [vars(use) for use in works_of_study(study)],
    }


def _judged(name: str) -> dict[str, Any]:
    """What a quantity is to the builder, and whose time it is judged by where only one makes sense."""
    return {"role": book.quantities[name].role, "clock": book.quantities[name].clock}


def _port_json(study: Study, judged: Judged, told: bool) -> dict[str, Any]:
    port = judged.port
    head: dict[str, Any] = {
        "letter": judged.letter,
        "law": port.request.law,
        "speed_rule": port.request.speed_rule,
        "drive_rule": port.request.drive_rule,
        **_machine_json(study, port),
        "naive_factor": port.naive_factor,
        "mass_limit": port.mass_limit,
        "status": port.status,
        "misses": list(port.misses),
        "problems": [_problem_json(problem) for problem in port.problems],
    }
    head |= judged_json(study, judged, told)
    if port.factor is not None:
        head |= {"factor": port.factor, "mass": port.variables["mass"], "continuous_factor": port.continuous_factor}
    if port.solved is not None:
        head |= _solved_json(port.solved)
    head["variables"] = dict(port.variables)
    head["quantities"] = {name: _quantity_json(name, entry) for name, entry in port.quantities.items()}
    head["parts"] = [vars(line) for line in port.parts]
    head["closure"] = [
        {"lever": step.lever, "parts": list(step.parts), "setting": step.setting, "removed": step.removed}
        for step in port.closure
    ]
    head["stock"] = [
        {"name": snap.name, "shelf": snap.shelf, "snap": snap.how, "ideal": snap.ideal, "snapped": snap.snapped}
        for snap in port.snaps
    ]
    return head


def _solved_json(solved: Solved) -> dict[str, Any]:
    """How the port of a law that frees dimensions was found."""
    levers, along = (
        {lever.key: {"reference": lever.reference, "similar": lever.similar, "value": lever.value} for lever in each}
        for each in (solved.freed, solved.along)
    )
    return {
        "prices": [{"limit": price.limit, "price": price.price, "text": price.text} for price in solved.prices],
        "freed": levers,
        "moves_along": along,
        "unheld": list(solved.unheld),
    }


def _machine_json(study: Study, port: Port) -> dict[str, Any]:
    """What a port is that has a design file of its own, and what only one of the two has."""
    machine = port.machine
    if machine is None:
        return {}
    only = only_one(study, port)
    day = {DATE: machine.choices[DATE]} if DATE in machine.choices else {}
    return {"machine": machine.name, **day, "doubts": doubts_json(machine),
            "only_reference": list(only.reference), "only_port": list(only.port)}  # fmt: skip


def _problem_json(problem: Problem) -> dict[str, Any]:
    row: dict[str, Any] = {"code": problem.code, "text": problem.text}
    if problem.quantity is not None:
        row["quantity"] = problem.quantity
    return row | ({"rests_on": list(problem.rests_on)} if problem.rests_on else {})


def _quantity_json(name: str, entry: PortQuantity) -> dict[str, Any]:
    row: dict[str, Any] = {"value": entry.value, "unit": entry.unit} | _judged(name)
    if entry.ratio is not None:
        row["ratio"] = entry.ratio
    if isinstance(entry.exponent, Fraction):
        row |= {"exponent": str(entry.exponent), "exponent_kind": "exact"}
    elif entry.exponent is not None:
        row |= {"exponent": entry.exponent, "exponent_kind": "local"}
    row |= {"similarity_ratio": dict(entry.similarity), "drift": dict(entry.drift)}
    return row | {"if_reached": True} if entry.if_reached else row


def _group_json(study: Study, group: Group) -> dict[str, Any]:
    own, ports = group_values(study, group)
    row: dict[str, Any] = {
        "name": group.name,
        "set": group.set_name,
        "expression": {member: str(power) for member, power in group.expression.items()},
        "ports": ports,
    }
    return row if own is None else row | {"reference": own}


def held_json(found: Sequence[Held], free: Sequence[str]) -> dict[str, Any]:
    """Groups held together as plain data: the keys that are free, and what came of it at each port."""
    return {"free": list(free), "ports": [_held_json(held) for held in found]}


def _held_json(held: Held) -> dict[str, Any]:
    row: dict[str, Any] = {"letter": held.letter, "asked": list(held.asked), "holds": held.holds}
    row["text"] = sentence(held)
    if held.port.factor is not None:
        row["factor"] = held.port.factor
    if held.holds:
        row["factors"] = {
            each.name: {"held": each.held, "now": each.now, "value": each.asked} for each in held.factors
        }
    if held.conflict is not None:
        row["conflict"] = dict(held.conflict)
    return row | ({"absent": list(held.absent)} if held.absent else {})
