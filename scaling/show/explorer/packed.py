"""The grid as data for the page: each table as sixteen-bit places between its least and its largest number.

A place is told as its difference from that at the factor before, which is small where a number goes smoothly; all
differences, first their low bytes and then their high ones, are deflated together (RFC 1950, which browsers inflate).
"""

from __future__ import annotations

import base64
import math
import zlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any

import numpy as np

from scaling.book.entry import Array
from scaling.book.similarity import CLOCKS, similarity_ratio
from scaling.decide.verdict import decided
from scaling.decide.words import DRIVE_WORDS, SPEED_WORDS, TOO, label_in_words
from scaling.files.units import format_value, shown_unit, to_shown
from scaling.formulas import book
from scaling.port.rules import USUAL_DRIVE_RULE
from scaling.port.schema import bound_meaning
from scaling.show.explorer.grid import Case, Grid
from scaling.show.explorer.shares import Table, table
from scaling.study.drifts import ALIKE, clock_of
from scaling.study.results import Port

PLACES = 65534
"""The largest place; the one after it stands for what is absent."""


def packed(grid: Grid) -> dict[str, Any]:
    """Return the grid, with what is told of each quantity, as data that JSON holds."""
    store = Store()
    names = [*grid.sizes, *grid.names]
    cases = [_case(case, [case.tables[name] for name in names], store) for case in grid.cases]
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
        "unread": _unread(grid),
        "speedRules": _words(grid.cases[0].rules or (), SPEED_WORDS),
        "driveRules": _words(dict.fromkeys(case.drive_rule for case in grid.cases), DRIVE_WORDS),
        "ports": [_port(letter, port, machine) for letter, port, machine in grid.ports],
        "start": _start(grid),
        "cases": cases,
        "tables": store.told,
        "packed": store.deflated(),
    }


@dataclass
class Store:
    """The tables as they come in, each once: what is ``told`` of them, and the differences of their places."""

    told: list[dict[str, Any]] = field(default_factory=list)
    differences: list[Array] = field(default_factory=list)
    known: dict[int, tuple[int, Table]] = field(default_factory=dict)

    def place(self, own: Table) -> int:
        """Take in a table where it is not there, and return its place among them."""
        if id(own) not in self.known:
            self.known[id(own)] = len(self.told), own
            self._take(own)
        return self.known[id(own)][0]

    def _take(self, own: Table) -> None:
        numbers = own.values if own.plain else np.log(own.values)
        known = numbers[np.isfinite(numbers)]
        low, high = (float(known.min()), float(known.max())) if known.size else (0.0, 0.0)
        step = (high - low) / PLACES or 1.0
        places = np.where(np.isfinite(numbers), np.round((numbers - low) / step), PLACES + 1)
        self.told.append({"u": own.shares, "plain": own.plain, "low": low, "step": step})
        self.differences.append(np.diff(places.T, axis=1, prepend=0.0).ravel())

    def deflated(self) -> str:
        """Return the differences of all places, deflated, in base 64."""
        places = np.concatenate(self.differences).astype(np.int64) % (PLACES + 2)
        halves = np.concatenate([places % 256, places // 256]).astype(np.uint8)
        return base64.b64encode(zlib.compress(halves.tobytes(), 9)).decode("ascii")


def _case(case: Case, tables: Sequence[Table], store: Store) -> dict[str, Any]:
    """A case, its tables by their places in the store."""
    found: dict[str, Any] = {
        "machine": case.machine,
        "drive": case.drive_rule,
        "tables": [store.place(own) for own in tables],
        "misfits": _runs(case.misfits),
        "volts": case.volts or 1.0,
    }
    if case.base is None:
        return found
    found["base"] = store.place(_line(case.base))
    found["reach"] = None if case.reach is None else store.place(_line(case.reach))
    found["rules"] = {name: store.place(_line(share)) for name, share in (case.rules or {}).items()}
    return found


def _line(values: Array) -> Table:
    """A number by factor; one that stays the same is so to the last digit, so that an edge is met exactly."""
    still = np.ptp(values) <= 1e-12 * abs(float(values[0]))
    return table(np.full_like(values, float(values[0])) if still else values)


def _runs(misfits: Sequence[tuple[str, ...]]) -> list[list[Any]]:
    """What does not fit from one factor's place to another's, where anything does not."""
    found: list[list[Any]] = []
    for said, group in groupby(enumerate(misfits), key=lambda each: each[1]):
        rows = [place for place, _ in group]
        if said:
            found.append([rows[0], rows[-1], list(said)])
    return found


def _words(rules: Any, said: Any) -> list[list[str]]:
    return [[name, said.get(name, name.replace("-", " "))] for name in rules]


def _start(grid: Grid) -> int:
    """Where the port that the verdict tells of stands among those to start from, the first where it is none of them."""
    told = decided(grid.study).told
    return next((place for place, (letter, _, _) in enumerate(grid.ports) if told and letter == told.letter), 0)


def _port(letter: str, port: Port, machine: int) -> dict[str, Any]:
    return {
        "letter": letter,
        "words": label_in_words(port),
        "factor": port.factor,
        "speed": None if "rotor.speed" in port.variation.levers else port.request.speed_rule,
        "own": port.variables.get("rotor.speed"),
        "drive": port.request.drive_rule or USUAL_DRIVE_RULE,
        "machine": machine,
        "levers": [f"{', '.join(step.parts)}: {step.setting}" for step in port.closure],
        "freed": [] if port.solved is None else [lever.key for lever in port.solved.freed],
    }


def _quantity(grid: Grid, name: str, turning: bool) -> dict[str, Any]:
    """What is told of a quantity or a size: its words, unit, the reference's number, and how it is judged."""
    design = grid.study.design
    if name not in book.quantities:
        unit = book.variables[name].unit
        return {"label": bound_meaning(name), "own": design.variables[name], **_unit(unit)}
    entry, pack = book.quantities[name], "battery.voltage" in design.variables
    return {
        "label": entry.label,
        "own": grid.study.reference[name],
        **_unit(entry.unit),
        "role": entry.role,
        "clock": clock_of(name),
        "better": entry.better,
        "margin": name in book.margins,
        "turning": turning,
        "alike": {clock: powers for clock in CLOCKS if (powers := _alike(name, clock, pack)) is not None},
    }


def _unit(unit: str) -> dict[str, Any]:
    return {"unit": shown_unit(unit), "scale": to_shown(1.0, unit)}


def _alike(name: str, clock: str, pack: bool) -> list[float] | None:
    """Powers of the ratios of mass, length and pack voltage that a quantity of a port alike would have."""
    dimension = book.quantities[name].dimension
    logs: list[float] = []
    for ratios in ((math.e, 1.0, 1.0), (1.0, math.e, 1.0), (1.0, 1.0, math.e)):
        mass, length, volts = ratios
        ratio = similarity_ratio(dimension, mass, length, clock, volts if pack else None)
        if ratio is None or not ratio > 0:
            return None
        logs.append(round(math.log(ratio), 9))
    return logs


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


def _unread(grid: Grid) -> list[str]:
    """Labels of what the brief bounds, or the explorer would show, and cannot be read between the nodes."""
    there = {*grid.names, *grid.sizes}
    return [bound_meaning(name) for name in dict.fromkeys([*grid.study.brief.limits, *grid.left]) if name not in there]


def _si_unit(name: str) -> str:
    return book.quantities[name].unit if name in book.quantities else book.variables[name].unit
