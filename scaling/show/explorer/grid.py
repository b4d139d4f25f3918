"""The grid of evaluated ports that the explorer interpolates: quantities over the factor and the rotor's speed.

The speed is told as a share of a ``base`` at each factor, what the motor reaches where that is known, so that the edge
of its reach is a line of the grid. Of the factors two lie hard beside every step of a shelf.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from scaling.book.entry import Array
from scaling.formulas import book
from scaling.port.rules import USUAL_DRIVE_RULE
from scaling.port.shelf_steps import shelf_steps
from scaling.show.explorer.evaluated import Evaluated, Machine
from scaling.show.explorer.followed import Followed, followed
from scaling.show.explorer.shares import DIGITS, Table, between, missed, refined, table
from scaling.study.fit import fit_problems
from scaling.study.results import Port, Study

BELOW, ABOVE = 0.85, 1.15
"""The factors go from this times the least of the ports' to this times the largest."""

FACTOR_STEP = 0.009
"""Distance of the factors in ln: the error where a slope changes is at most a quarter of it times the change."""

MOST_FACTORS = 300
"""Even factors at most: where ports are far apart in size, what is then too far off is left out."""

ROUND = 6
"""Digits after the point of a factor that anybody asks for."""

SPEEDS_BELOW, SPEEDS_ABOVE = 0.8, 1.15
"""The rotor's speeds go from this times the slowest that a rule gives to this times the fastest."""

BEGIN = 4
"""Even speeds that a table begins with, beside the edges of the motor's reach."""

PAST = 2e-6
"""How far past the edge of the motor's reach, as a share, the next speed lies: twice the room that is left there."""



TRUE = 3.5e-3
"""How far what is read between the nodes may be off, as a share: what is off by more is not followed."""

GOLDEN = 0.6180339887498949
"""Share of a turn by which points on a circle never fall together: where between two speeds each factor is tried."""


@dataclass(frozen=True)
class Case:
    """The grid of one machine, the parts as some ports carry them, under one drive rule.

    ``tables`` holds the numbers of each quantity, and of each size by its key. ``misfits`` says for each factor what
    does not fit, ``volts`` is the pack's voltage over the reference's. With a rotor, ``base`` is the speed (rad/s) by
    factor that shares are of, ``reach`` the share that its motor holds, None where that is not known, and ``rules``
    the share of each speed rule.
    """

    machine: int
    drive_rule: str
    tables: Mapping[str, Table]
    misfits: tuple[tuple[str, ...], ...]
    volts: float | None = None
    base: Array | None = None
    reach: Array | None = None
    rules: Mapping[str, Array] | None = None


@dataclass(frozen=True)
class Grid:
    """The cases over their common ``factors``; ``ports`` are those that have one: letter, port and its machine.

    ``names`` are the quantities that every case has, ``left`` those that change too abruptly to be read between nodes.
    """

    study: Study
    factors: Array
    span: tuple[float, float] | None
    names: tuple[str, ...]
    sizes: tuple[str, ...]
    left: tuple[str, ...]
    ports: tuple[tuple[str, Port, int], ...]
    cases: tuple[Case, ...]


def grid_of(study: Study) -> Grid | None:
    """Evaluate the grid of a study; None where no port has a factor."""
    ports = [(letter, port) for letter, port in zip(study.letters, study.ports, strict=True)
             if port.factor is not None and port.machine is None]  # fmt: skip
    if not ports:
        return None
    machines, placed = _machines(ports)
    factors = _factors(study, machines, [port.factor for _, port in ports if port.factor is not None])
    rules = dict.fromkeys([USUAL_DRIVE_RULE, *(port.request.drive_rule or USUAL_DRIVE_RULE for _, port in ports)])
    rows = [(place, Evaluated(study, own, rule, factors)) for place, own in enumerate(machines) for rule in rules]
    span = _span([each for _, each in rows])
    what = followed(study)
    first = _tables(rows[0][1], what.quantities, span)
    cases = [_case(place, each, rows[0][1], what, first, span) for place, each in rows]
    left = _abrupt(rows[0][1], cases[0], span) | _abrupt(rows[-1][1], cases[-1], span)
    names = tuple(name for name in cases[0].tables if name in book.quantities and name not in left)
    return Grid(study, factors, span, names, what.sizes, tuple(sorted(left)), tuple(placed), tuple(cases))


def _machines(ports: Iterable[tuple[str, Port]]) -> tuple[list[Machine], list[tuple[str, Port, int]]]:
    """The machines, which differ by what closed the mass or was freed, and each port with the place of its own."""
    found: dict[object, int] = {}
    machines: list[Machine] = []
    placed: list[tuple[str, Port, int]] = []
    for letter, port in ports:
        key = port.closure, id(port.variation)
        if key not in found:
            found[key] = len(machines)
            machines.append(Machine(port.carried, port.variation))
        placed.append((letter, port, found[key]))
    return machines, placed


def _factors(study: Study, machines: Iterable[Machine], own: Sequence[float]) -> Array:
    """The factors of the grid: even steps in ln, the ports' own, and two hard beside each step of a shelf."""
    low, high = BELOW * min(own), ABOVE * max(own)
    count = min(MOST_FACTORS, int(np.log(high / low) / FACTOR_STEP) + 2)
    request = study.ports[0].request
    pairs = [
        pair
        for each in machines
        for pair in shelf_steps(study.design, study.brief, request, each.parts, low, high, each.variation)
    ]
    # A step often lies at a round factor, which people ask for: the number there is the engine's own.
    even = [middle for before, behind in pairs if before <= (middle := round((before + behind) / 2, ROUND)) <= behind]
    return np.unique([*np.geomspace(low, high, count), *own, *even, *np.ravel(pairs)])



def _span(rows: Sequence[Evaluated]) -> tuple[float, float] | None:
    """The least and the largest share of the base speed; None without a rotor."""
    shares = [speed / each.base for each in rows for speed in each.rules.values()]
    if not shares:
        return None
    ends = SPEEDS_BELOW * float(np.min(shares)), SPEEDS_ABOVE * float(np.max(shares))
    return round(ends[0], DIGITS), round(ends[1], DIGITS)


def _nodes(each: Evaluated, span: tuple[float, float]) -> Array:
    """The shares to begin with: the ends, both sides of each edge of the motor's reach, and some between."""
    edges = [] if each.reach is None else [1.0, float(np.max(each.reach))]
    ends = [*span, *(edge * past for edge in edges for past in (1.0, 1 + PAST) if span[0] < edge < span[1])]
    return np.unique([*ends, *np.round(np.geomspace(*span, BEGIN)[1:-1], DIGITS)])


def _case(
    place: int,
    each: Evaluated,
    usual: Evaluated,
    what: Followed,
    first: Mapping[str, Table],
    span: tuple[float, float] | None,
) -> Case:
    """One case; what rests on nothing that differs from the ``usual`` one is taken from its tables, the ``first``."""
    known, own = each.inputs.variables, usual.inputs.variables
    traits = each.study.design.traits
    differ = [key for key in own if key != "rotor.speed" and not np.array_equal(known[key], own[key])]
    moved = {name for key in differ for name in book.resting_on(key, traits, known)}
    tables = {**first, **_tables(each, [name for name in what.quantities if name in moved], span)}
    sizes = {key: table(known[key]) for key in what.sizes}
    case = Case(place, each.drive_rule, tables | sizes, _misfits(each), each.volts)
    if span is None:
        return case
    rules = {name: speed / each.base for name, speed in each.rules.items()}
    return replace(case, base=each.base, reach=each.reach, rules=rules)


def _tables(each: Evaluated, names: Collection[str], span: tuple[float, float] | None) -> dict[str, Table]:
    if span is None:
        return {name: table(values) for name, values in each.values(names).items()}
    turning = book.resting_on("rotor.speed", each.study.design.traits, each.inputs.variables)
    level = [name for name in names if name not in turning]

    def columns(wanted: Collection[str], shares: Array) -> Mapping[str, Array]:
        return each.values(wanted, each.base[:, None] * shares)

    by_speed = refined(columns, [name for name in names if name in turning], _nodes(each, span))
    by_factor = {name: table(values) for name, values in each.values(level).items()}
    both = by_speed | by_factor
    return {name: both[name] for name in names if name in both}


def _misfits(each: Evaluated) -> tuple[tuple[str, ...], ...]:
    """What does not fit at each factor, in the words of the study's problems."""
    known = each.inputs.variables
    columns = [{key: float(value[place]) for key, value in known.items()} for place in range(each.factors.size)]
    return tuple(tuple(problem.said for problem in fit_problems(each.terms, column)) for column in columns)


def _abrupt(each: Evaluated, own: Case, span: tuple[float, float] | None) -> set[str]:
    """Quantities that are not read truly halfway between the factors, each at another speed."""
    logs = np.log(each.factors)
    wide = np.diff(logs) > FACTOR_STEP / 2
    halfway = replace(each, factors=np.exp((logs[:-1] + logs[1:])[wide] / 2))
    names = [name for name in own.tables if name in book.quantities]
    if span is None:
        shares: Array = np.ones(halfway.factors.size)
        true = halfway.values(names)
    else:
        turns = (np.arange(halfway.factors.size) * GOLDEN) % 1
        shares = np.asarray(span[0] * (span[1] / span[0]) ** turns)
        found = halfway.values(names, (halfway.base * shares)[:, None])
        true = {name: value[:, 0] for name, value in found.items()}
    return {name for name in names if not _is_true(own.tables[name], true[name], np.flatnonzero(wide), shares)}


def _is_true(own: Table, true: Array, rows: Any, shares: Array) -> bool:
    """Whether a table gives what is ``true`` halfway between each of the ``rows`` and the next, at the ``shares``."""
    low, high = (read_at(own, rows + after, shares) for after in (0, 1))
    read = between(low, high, 0.5, own.plain)
    both = ~np.isnan(read)
    return missed(read[both], true[both], float(np.nanmax(np.abs(own.values), initial=0.0))) < TRUE


def read_at(own: Table, rows: Any, shares: Array) -> Array:
    """Return what a table gives in ``rows`` at ``shares``, one each; absent where a column beside it is."""
    if not own.shares:
        return np.asarray(own.values[rows, 0])
    nodes = np.asarray(own.shares)
    after = np.clip(np.searchsorted(nodes, shares), 1, nodes.size - 1)
    weight = np.log(shares / nodes[after - 1]) / np.log(nodes[after] / nodes[after - 1])
    with np.errstate(all="ignore"):
        return between(own.values[rows, after - 1], own.values[rows, after], weight, own.plain)
