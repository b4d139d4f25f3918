"""How an empty window is opened: the smallest change of one thing, of a part's material, or of two things at once.

Every change is tried at many sizes and factors in the same sweep. Limits that closed formulas give are looked at first,
and what rests on a numeric model only where those hold.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations
from typing import Any

import numpy as np

from scaling.book.entry import Array, Model
from scaling.decide.limits import NARROWEST, Band, Interval, Sweep
from scaling.formulas import book
from scaling.port.asked import AS_BRIEFED
from scaling.robot.design import Design
from scaling.robot.kinds import KINDS
from scaling.robot.parts import Part, cut_from_each, mass_at, on_the_shelf
from scaling.shop.materials import materials

POINTS, SIZES, PAIR_SIZES, ROUNDS = 25, 16, 6, 3
"""Factors that are tried, sizes of a change up to all of it, sizes of each of two changes, and rounds of looking
closer below the smallest size that opens the window."""

PASS = 16_000
"""Points of factor and change that are looked at in one pass."""

ABOVE = 1 + 2 * NARROWEST
"""A window counts as open where every limit holds at a factor and at this times it, so that it can be made."""

NEAR_LAWS = (0.9, 1.1)
"""Only a window from this times the least law's factor to this times the largest helps."""

MOST = 6
"""Ways to open a window that are told."""


@dataclass(frozen=True)
class Opening:
    """A way to open an empty window: what to change, by how much (relative), and a factor at which it then is open."""

    name: str
    change: float
    text: str
    factor: float


@dataclass(frozen=True)
class Lever:
    """A change of the port by a share (a number, or an array over combinations): of its parts, or of its variables.

    ``parts`` returns all of them, ``variables`` those that are others then.
    """

    name: str
    most: float
    text: str
    parts: Callable[[tuple[Part, ...], Any], tuple[Part, ...]] | None = None
    variables: Callable[[Mapping[str, Any], Any], dict[str, Any]] | None = None


def _sheets(share_of: Callable[[Any], Any], *names: str) -> Callable[[tuple[Part, ...], Any], tuple[Part, ...]]:
    """A change of the thickness of the sheets of these names, of every sheet without one; the shelf still counts."""

    def change(parts: tuple[Part, ...], share: Any) -> tuple[Part, ...]:
        grown = share_of(share)
        return tuple(
            replace(part, mass=part.mass * grown, thickness=part.thickness * grown)
            if part.is_sheet and (not names or part.name in names)
            else part
            for part in parts
        )

    return change


def _lighter(parts: tuple[Part, ...], share: Any) -> tuple[Part, ...]:
    return tuple(
        replace(part, mass=part.mass * (1 - share)) if KINDS[part.kind].solid and part.group == "frame" else part
        for part in parts
    )


def _times(key: str, sign: int) -> Callable[[Mapping[str, Any], Any], dict[str, Any]]:
    def change(values: Mapping[str, Any], share: Any) -> dict[str, Any]:
        return {key: values[key] * (1 + sign * share)} if key in values else {}

    return change


VARIABLES = (
    ("lower rotor speed", 0.6, "rotor.speed", -1, "run the rotor {share:.1f} % slower than the rule says"),
    ("wider track", 0.6, "track", 1, "make the track {share:.1f} % wider"),
    ("lower gearing", 0.6, "drive.ratio", 1, "gear the drive {share:.1f} % lower"),
    (
        "more rotor current",
        1.0,
        "rotor.motor.current_limit",
        1,
        "take a rotor motor and controller that bear {share:.1f} % more current",
    ),
    ("stiffer pack", 0.6, "battery.resistance", -1, "take a pack of {share:.1f} % less resistance (mass not counted)"),
    (
        "thicker shaft",
        0.6,
        "rotor.shaft.diameter",
        1,
        "make the rotor's shaft {share:.1f} % thicker (mass not counted)",
    ),
    ("thicker walls", 1.0, "wall.thickness", 1, "make the side walls {share:.1f} % thicker (mass not counted)"),
    ("thicker wedge", 1.0, "wedge.thickness", 1, "make the wedge {share:.1f} % thicker (mass not counted)"),
    ("thicker lid", 1.0, "lid.thickness", 1, "make the lid {share:.1f} % thicker (mass not counted)"),
)
"""Changes of one variable: name, most, key, sign, words. A thickness that is a part's is changed there, with mass."""


def levers(design: Design) -> tuple[Lever, ...]:
    """Return the changes that can be tried on a design."""
    found = [
        Lever("thinner sheets", 0.5, "make every sheet part {share:.1f} % thinner", _sheets(lambda share: 1 - share)),
        Lever("pocketed frame", 0.4, "pocket {share:.1f} % of the mass out of the solid frame parts", _lighter),
    ]
    sheets = [part.name for part in design.parts if part.thickness is not None]
    owners = {f"{table}.thickness": name for table, name in design.ties.items() if name in sheets}
    for name in dict.fromkeys(owners.values()):
        text = f"make {name} {{share:.1f}} % thicker"
        found.append(Lever(f"thicker {name}", 1.0, text, _sheets(lambda share: 1 + share, name)))
    for name, most, key, sign, text in VARIABLES:
        if key in design.variables and key not in owners:
            found.append(Lever(name, most, text, variables=_times(key, sign)))
    return tuple(found)


def openings(sweep: Sweep, bands: Sequence[Band], laws: Mapping[str, float], axis: Interval) -> list[Opening]:
    """Return ways to open the empty window of ``sweep``, the smallest change first: of one thing, else of two.

    ``bands`` are those of the window as it is: an opened window often begins or ends where one of them does.
    """
    low, high = (min(laws.values()) * NEAR_LAWS[0], max(laws.values()) * NEAR_LAWS[1]) if laws else axis
    ends = np.asarray([end for band in bands for pair in band.intervals for end in pair])
    near = np.concatenate([ends, ends / ABOVE])
    factors = np.unique(np.concatenate([np.geomspace(low, high, POINTS), near[(near > low) & (near < high)]]))
    known = levers(sweep.design)
    found = _least(sweep, factors, [(lever,) for lever in known], SIZES) + _other_materials(sweep, factors)
    if not found:
        found = _least(sweep, factors, list(combinations(known, 2)), PAIR_SIZES)
    return sorted(found, key=lambda opening: opening.change)[:MOST]


def _least(sweep: Sweep, factors: Array, tried: Sequence[tuple[Lever, ...]], sizes: int) -> list[Opening]:
    """The smallest change, by the sum of shares, that opens the window by each set of levers that can open it."""
    known = list(dict.fromkeys(lever for pulled in tried for lever in pulled))
    ranges = {pulled: [(0.0, lever.most) for lever in pulled] for pulled in tried}
    found: dict[tuple[Lever, ...], Opening] = {}
    for _ in range(ROUNDS):
        grids = {pulled: _grid(ends, sizes) for pulled, ends in ranges.items()}
        shares = np.concatenate([_spread(grid, pulled, known) for pulled, grid in grids.items()])
        opened = _open(sweep, factors, len(shares), _change(known, shares))
        closer: dict[tuple[Lever, ...], list[Interval]] = {}
        start = 0
        for pulled, grid in grids.items():
            own = opened[start : start + len(grid)]
            start += len(grid)
            rows = np.flatnonzero(own.any(axis=1))
            if rows.size:
                row = rows[np.argmin(grid[rows].sum(axis=1))]
                found[pulled] = _opening(pulled, grid[row], float(factors[np.argmax(own[row])]))
                ends = zip(grid[row], ranges[pulled], strict=True)
                closer[pulled] = [(share - (high - low) / sizes, share) for share, (low, high) in ends]
        if not closer:
            break
        ranges = closer
    return list(found.values())


def _grid(ends: Sequence[Interval], sizes: int) -> Array:
    """Shares of some levers, a row each case: every combination of sizes above the low end of each range."""
    axes = [np.linspace(low, high, sizes + 1)[1:] for low, high in ends]
    return np.stack([grid.ravel() for grid in np.meshgrid(*axes, indexing="ij")], axis=1)


def _spread(grid: Array, pulled: tuple[Lever, ...], known: list[Lever]) -> Array:
    """Shares of every known lever, nought for those that are not pulled."""
    shares = np.zeros((len(grid), len(known)))
    shares[:, [known.index(lever) for lever in pulled]] = grid
    return shares


def _opening(pulled: tuple[Lever, ...], shares: Array, factor: float) -> Opening:
    texts = [lever.text.format(share=100 * share) for lever, share in zip(pulled, shares, strict=True)]
    return Opening(" and ".join(lever.name for lever in pulled), float(shares.sum()), ", and ".join(texts), factor)


Values = Mapping[str, Any]
Change = Callable[[tuple[Part, ...], Any], tuple[tuple[Part, ...], Callable[[Values], Values]]]
"""From the parts and the number of the case at each point: the parts over all points, and what becomes of variables."""


def _change(pulled: Sequence[Lever], shares: Array) -> Change:
    """Pull each lever by its column of ``shares``, which has a row for each case."""

    def change(parts: tuple[Part, ...], case: Any) -> tuple[tuple[Part, ...], Callable[[Values], Values]]:
        for lever, share in zip(pulled, shares[case].T, strict=True):
            parts = lever.parts(parts, share) if lever.parts else parts

        def variables(values: Values) -> Values:
            for lever, share in zip(pulled, shares[case].T, strict=True):
                values = {**values, **lever.variables(values, share)} if lever.variables else values
            return values

        return parts, variables

    return change


def _other_materials(sweep: Sweep, factors: Array) -> list[Opening]:
    """Other materials for one part that open the window; the change is that of its mass.

    The rotor is left out: a lighter one would open any window, by being a weaker one.
    """
    found: list[Opening] = []
    for place, part in enumerate(sweep.parts):
        if part.material is None or part.name == "rotor":
            continue
        old = materials()[part.material]
        names = [new.name for new in materials().values() if new.kind == old.kind and new.name != old.name]
        if not names:
            continue
        opened = _open(sweep, factors, len(names), _recut(sweep, place, names))
        for row in np.flatnonzero(opened.any(axis=1)):
            share = materials()[names[row]].density.typical / old.density.typical - 1
            text = (
                f"make {part.name} of {names[row]} instead of {old.name} ({100 * share:+.0f} % mass at the same size)"
            )
            at = float(factors[np.argmax(opened[row])])
            found.append(Opening(f"{part.name} of {names[row]}", abs(share), text, at))
    return found


def _recut(sweep: Sweep, place: int, names: Sequence[str]) -> Change:
    """Cut the part at ``place`` from each of the materials; tables that are this part follow it at the port."""
    shelves = AS_BRIEFED.shelves_of(sweep.design, sweep.brief)

    def change(parts: tuple[Part, ...], case: Any) -> tuple[tuple[Part, ...], Callable[[Values], Values]]:
        new = cut_from_each(parts[place], names, case)
        new = new if shelves is None else on_the_shelf(new, shelves)
        return (*parts[:place], new, *parts[place + 1 :]), lambda values: values

    return change


def _open(sweep: Sweep, factors: Array, cases: int, change: Change) -> Any:
    """Whether every limit holds, for each case and factor, there and a hair above; some cases at once."""
    opened = np.ones((cases, factors.size), dtype=bool)
    each = max(1, PASS // factors.size)
    for start in range(0, cases, each):
        some = opened[start : start + each]
        for lifted in (1.0, ABOVE):
            case, at = np.nonzero(some)
            some[case, at] = _all_hold(sweep, factors[at] * lifted, case + start, change)
    return opened


def _all_hold(sweep: Sweep, factors: Array, case: Any, change: Change) -> Any:
    """Whether every limit holds at each of the ``factors`` of a case; what is too heavy is not looked at further."""
    holds = mass_at(change(sweep.parts, case)[0], factors) <= sweep.brief.allowed_mass
    left = np.flatnonzero(holds)
    if not left.size:
        return holds
    parts, variables = change(sweep.parts, case[left])
    values = variables(sweep.variables(factors[left], parts))
    held = np.ones(left.size, dtype=bool)
    for names in ([], *_cheap_first(tuple(sweep.needed))):
        here = np.flatnonzero(held)
        if not here.size:
            break
        some = {key: value[here] if value.strides[0] else value[0] for key, value in values.items()}
        for limit in sweep.limits_of(some, names):
            held[here] &= limit.holds
    holds[left] = held
    return holds


@cache
def _cheap_first(names: tuple[str, ...]) -> tuple[list[str], list[str]]:
    """Split names of quantities into those of closed formulas and those that rest on a numeric model."""
    modelled: set[str] = set()
    for entry in book.entries:
        if isinstance(entry.formula, Model) or not modelled.isdisjoint(entry.inputs):
            modelled.add(entry.name)
    return [name for name in names if name not in modelled], [name for name in names if name in modelled]
