"""The grid as data for the page: each table as sixteen-bit places between its least and its largest number."""

from __future__ import annotations

import base64
import math
from collections.abc import Sequence
from itertools import groupby
from typing import Any

import numpy as np

from scaling.book.entry import Array
from scaling.book.similarity import CLOCKS, similarity_ratio
from scaling.decide.words import DRIVE_WORDS, SPEED_WORDS, TOO, label_in_words
from scaling.files.units import format_value, shown_unit, to_shown
from scaling.formulas import book
from scaling.port.carried import voltage_ratio
from scaling.port.schema import bound_meaning
from scaling.show.explorer.grid import Case, Grid
from scaling.show.explorer.shares import Table, table
from scaling.study.drifts import ALIKE, clock_of
from scaling.study.results import Port

PLACES = 65534
"""The largest place; the one after it stands for what is absent."""


def packed(grid: Grid) -> dict[str, Any]:
    """Return the grid, with what is told of each quantity, as data that JSON holds."""
    tables: dict[int, int] = {}
    stored: list[dict[str, Any]] = []

    def place(own: Table) -> int:
        if id(own) not in tables:
            tables[id(own)] = len(stored)
            stored.append(_table(own))
        return tables[id(own)]

    names = [*grid.sizes, *grid.names]
    cases = [_case(case, [place(case.tables[name]) for name in names]) for case in grid.cases]
    turning = book.resting_on("rotor.speed", grid.study.design.traits, grid.study.design.variables)
    return {
        "factors": grid.factors.tolist(),
        "span": grid.span,
        "axis": grid.study.design.choices.get("rotor.axis"),
        "wheels": grid.study.design.variables.get("wheel.count"),
        "alike": ALIKE,
        "names": names,
        "quantities": [_quantity(grid, name, name in turning) for name in names],
        "limits": _limits(grid),
        "speedRules": _words(grid.cases[0].rules or (), SPEED_WORDS),
        "driveRules": _words(dict.fromkeys(case.drive_rule for case in grid.cases), DRIVE_WORDS),
        "ports": [_port(letter, port, machine) for letter, port, machine in grid.ports],
        "cases": cases,
        "tables": stored,
    }


def _table(own: Table) -> dict[str, Any]:
    """A table's places, rows by factor, in base 64; the numbers are logarithms where it is not ``plain``."""
    numbers = own.values if own.plain else np.log(own.values)
    known = numbers[np.isfinite(numbers)]
    low, high = (float(known.min()), float(known.max())) if known.size else (0.0, 0.0)
    step = (high - low) / PLACES or 1.0
    places = np.where(np.isfinite(numbers), np.round((numbers - low) / step), PLACES + 1)
    data = base64.b64encode(places.astype("<u2").tobytes()).decode("ascii")
    return {"u": list(own.shares), "plain": own.plain, "low": low, "step": step, "data": data}


def _case(case: Case, tables: Sequence[int]) -> dict[str, Any]:
    found: dict[str, Any] = {
        "machine": case.machine,
        "drive": case.drive_rule,
        "tables": list(tables),
        "misfits": _runs(case.misfits),
    }
    if case.base is None:
        return found
    found["base"] = _line(case.base)
    found["reach"] = None if case.reach is None else _line(case.reach)
    found["rules"] = {name: _line(share) for name, share in (case.rules or {}).items()}
    return found


def _line(values: Array) -> dict[str, Any]:
    """A number by factor; one that stays the same is told in full, so that an edge is met exactly."""
    if np.ptp(values) <= 1e-12 * abs(float(values[0])):
        values = np.full_like(values, float(values[0]))
    return _table(table(values))


def _runs(misfits: Sequence[tuple[str, ...]]) -> list[list[Any]]:
    """What does not fit from one factor's place to another's, where anything does not."""
    found: list[list[Any]] = []
    for said, group in groupby(enumerate(misfits), key=lambda each: each[1]):
        rows = [place for place, _ in group]
        if said:
            found.append([rows[0], rows[-1], list(said)])
    return found


def _words(rules: Any, said: Any) -> list[list[str]]:
    return [[name, said.get(name, "motors and ratio as bought")] for name in rules]


def _port(letter: str, port: Port, machine: int) -> dict[str, Any]:
    return {
        "letter": letter,
        "words": label_in_words(port),
        "factor": port.factor,
        "speed": port.request.speed_rule,
        "drive": port.request.drive_rule,
        "machine": machine,
        "levers": [f"{', '.join(step.parts)}: {step.setting}" for step in port.closure],
    }


def _quantity(grid: Grid, name: str, turning: bool) -> dict[str, Any]:
    """What is told of a quantity or a size: its words, unit, the reference's number, and how it is judged."""
    design = grid.study.design
    if name not in book.quantities:
        unit = book.variables[name].unit
        return {"label": bound_meaning(name), "own": design.variables[name], **_unit(unit)}
    entry = book.quantities[name]
    volts = float(voltage_ratio(design, grid.study.brief.numbers)) if "battery.voltage" in design.variables else None
    return {
        "label": entry.label,
        "own": grid.study.reference[name],
        **_unit(entry.unit),
        "role": entry.role,
        "clock": clock_of(name),
        "better": entry.better,
        "margin": name in book.margins,
        "turning": turning,
        "alike": {clock: powers for clock in CLOCKS if (powers := _alike(name, clock, volts)) is not None},
    }


def _unit(unit: str) -> dict[str, Any]:
    return {"unit": shown_unit(unit), "scale": to_shown(1.0, unit)}


def _alike(name: str, clock: str, volts: float | None) -> list[float] | None:
    """Powers of the ratios of mass and length, and the ratio at none, that a quantity of a port alike would have."""
    dimension = book.quantities[name].dimension
    found = [similarity_ratio(dimension, *ratios, clock, volts) for ratios in ((1.0, 1.0), (math.e, 1.0), (1.0, math.e))]
    if any(ratio is None or not ratio > 0 for ratio in found):
        return None
    still, heavier, longer = (math.log(ratio) for ratio in found)
    return [round(heavier - still, 9), round(longer - still, 9), still]


def _limits(grid: Grid) -> list[dict[str, Any]]:
    """What a port keeps, or misses: mass, box and the brief's own bounds."""
    brief = grid.study.brief
    found: list[dict[str, Any]] = [{"name": "mass", "kind": "mass", "side": "at most", "value": brief.allowed_mass}]
    for key, size in brief.size_limit.items():
        found.append({"name": key, "kind": "size", "side": "at most", "value": size, "word": TOO.get(key, key)})
    for name, bound in brief.limits.items():
        if name in grid.names or name in grid.sizes:
            found.append({"name": name, "kind": "bound", "side": bound.side, "value": bound.value,
                          "text": format_value(bound.value, _si_unit(name), 4)})  # fmt: skip
    return found


def _si_unit(name: str) -> str:
    return book.quantities[name].unit if name in book.quantities else book.variables[name].unit
