"""The feasible window: the factors at which every limit holds, and what binds at each end.

Each limit is a curve over the factor that is at least 1 where the limit holds. Windows are drawn for one
speed rule and drive rule; the laws only say where on the axis their factors fall.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from itertools import combinations
from typing import Any

import numpy as np

from scaling.book.distinct import distinct
from scaling.book.entry import Array
from scaling.book.told_apart import told_apart
from scaling.decide.limits import NARROWEST, SLACK, Band, Interval, Limit, Sweep
from scaling.decide.nearest import Nearest, nearest
from scaling.decide.openings import Opening, openings
from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.port.asked import AS_BRIEFED, Brief, LawRequest
from scaling.port.inputs import port_parts
from scaling.port.laws import LAWS, law_factor
from scaling.port.rules import USUAL_DRIVE_RULE
from scaling.robot.design import Design
from scaling.shop.shelves import jumps
from scaling.study.beside import reference_values
from scaling.study.run import requests_of

POINTS, INSIDE, FINE = 181, 8, 60
"""Points of the sweep over the factor, and points between two of them in each round of the search for an end, more of
them where nothing says where it lies."""

SPAN = (0.95, 1.6)
"""The axis goes from this times the smallest of 1 and the laws' factors to this times the largest."""

CLOSE = 1e-9
"""An end of a band is found to this share of the factor."""


@dataclass(frozen=True)
class Window:
    """The feasible window of one speed rule and drive rule.

    ``intervals`` is where every band holds; ``binding`` names the limits at the low and high end of each interval
    (None at the end of the axis); ``laws`` the factors of the brief's laws and ``inside`` which of them meet every
    limit, ``breaks`` which limits each does not meet; ``colliding`` the limits (two, or those that hold nowhere) that
    leave no window, ``nearest`` where all limits come nearest to being held, with the two that are worst held there,
    and ``openings`` the ways to open it, the fewest grams first. ``broken`` names the strengths that the reference
    itself does not have by this estimate: they are no limits, since the robot wins without.
    """

    speed_rule: str | None
    drive_rule: str
    axis: Interval
    bands: tuple[Band, ...]
    intervals: tuple[Interval, ...]
    binding: tuple[tuple[str | None, str | None], ...]
    laws: Mapping[str, float]
    inside: Mapping[str, bool]
    colliding: tuple[str, ...]
    openings: tuple[Opening, ...]
    broken: tuple[str, ...] = ()
    breaks: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    nearest: Nearest | None = None

    @property
    def telling(self) -> tuple[Band, ...]:
        """The bands that begin, end or fail somewhere on the axis: what holds all over it tells nothing."""
        return tuple(band for band in self.bands if band.intervals != (self.axis,))


Rules = tuple[str | None, str]
"""A speed rule, None without a rotor, and a drive rule."""


def windows(design: Design, brief: Brief, only: Rules | None = None) -> list[Window]:
    """Return the feasible window of each speed rule and drive rule that the brief asks for.

    With ``only`` it is that of these two rules alone, of the brief's first ones where it does not ask for them.
    Raises InputError where the brief limits what the design does not have.
    """
    reference = reference_values(design)
    for name in brief.limits:
        if name not in reference and name not in design.variables:
            raise InputError("the design does not have this, so it cannot be limited", brief.file, f"limits.{name}")
    requests = tuple(request for request in requests_of(brief, design) if request.law in LAWS)
    rules = list(dict.fromkeys((request.speed_rule, request.drive_rule or USUAL_DRIVE_RULE) for request in requests))
    if only is not None:
        rules = [only] if only in rules else rules[:1]
    laws = _law_factors(design, brief, requests)
    axis = min([1.0, *laws.values()]) * SPAN[0], max([1.0, *laws.values()]) * SPAN[1]
    sweeps = [Sweep(design, brief, LawRequest("length", speed, drive), reference) for speed, drive in rules]
    return [_window(sweep, axis, laws) for sweep in sweeps]


def _law_factors(design: Design, brief: Brief, requests: tuple[LawRequest, ...]) -> dict[str, float]:
    """Factor of each law; of several with another length or target each by that as well."""
    parts = port_parts(design, brief)
    laws: dict[str, float] = {}
    for request in dict.fromkeys(LawRequest(each.law, None, "as-bought", each.key, each.target) for each in requests):
        factor = law_factor(design, brief, request, parts).factor
        if factor is None:
            continue
        name = request.law
        if name in laws and request.target is not None:
            name = f"{request.law} ({request.key or 'length'} {request.target * 1e3:.4g} mm)"
        laws.setdefault(name, factor)
    return laws


def _window(sweep: Sweep, axis: Interval, laws: Mapping[str, float]) -> Window:
    factors = distinct(np.concatenate([np.geomspace(*axis, POINTS), steps_within(sweep, axis)]))
    limits = sweep.limits(factors)
    # Infinite all over is a way to fail that this machine does not have.
    found = [pair for pair in zip(limits, _ends(sweep.limits, factors, limits), strict=True)
             if not np.isinf(pair[0].level).all()]  # fmt: skip
    bands = tuple(
        Band(limit.name, limit.label, _intervals(limit.holds, factors, ends), *_best(limit, factors))
        for limit, ends in found
    )
    intervals = _intersection(bands)
    binding = tuple((_binding(bands, low, axis[0], 0), _binding(bands, high, axis[1], 1)) for low, high in intervals)
    at_laws = sweep.limits(np.asarray([*laws.values(), 1.0]))
    breaks = {law: tuple(limit.name for limit in at_laws if not limit.holds[place]) for place, law in enumerate(laws)}
    return Window(
        sweep.request.speed_rule,
        sweep.request.drive_rule or USUAL_DRIVE_RULE,
        axis,
        bands,
        intervals,
        binding,
        laws,
        {law: not broken for law, broken in breaks.items()},
        () if intervals else _colliding(bands),
        () if intervals else tuple(openings(sweep, bands, laws, axis)),
        sweep.broken,
        breaks,
        None if intervals else nearest([limit for limit, _ in found], factors),
    )


def _best(limit: Limit, factors: Array) -> tuple[float, float]:
    """How well a limit is held at best, and at which factor; nought where it cannot be computed."""
    level = np.nan_to_num(np.broadcast_to(limit.level, factors.shape), nan=0.0, posinf=np.finfo(float).max)
    place = int(np.argmax(told_apart(level)))
    return float(level[place]), float(factors[place])


def steps_within(sweep: Sweep, axis: Interval) -> Array:
    """Return factors a hair to each side of every step that a shelf makes, so that no sliver between two is missed."""
    bought = [
        (part.thickness, on_shelf, part.snap)
        for part in sweep.parts
        for on_shelf in part.sold.values()
        if part.thickness and not part.held
    ]
    shelves = AS_BRIEFED.shelves_of(sweep.design, sweep.brief)
    if shelves is not None:
        rows = [row for row in sweep.design.stock if row.key not in sweep.brief.numbers]
        bought += [(sweep.design.variables[row.key], shelves.sizes(row.shelf, row.family), row.how) for row in rows]
    found: list[float] = []
    for size, on_shelf, how in bought:
        found += [step / size for step in jumps(on_shelf, how)]
    steps = np.outer(found, [1 - 3 * CLOSE, 1 + 3 * CLOSE]).ravel()
    return steps[(steps > axis[0]) & (steps < axis[1])]


def _ends(
    sweep: Callable[[Array, Collection[str]], list[Limit]], factors: Array, limits: list[Limit]
) -> list[dict[int, float]]:
    """For each limit, where it changes between two of the ``factors``, by the first of them: the end that holds.

    Every change is enclosed in ever narrower brackets, all in the same sweeps, of what still changes alone. A power law
    through the two ends of a bracket says where a smooth level ceases to hold; a jump, or what ceases to be computed,
    is found by sections.
    """
    found: list[dict[int, float]] = [{} for _ in limits]
    open_ = [
        (row, int(place), factors[place], factors[place + 1], limit.level[place], limit.level[place + 1])
        for row, limit in enumerate(limits)
        for place in np.flatnonzero(np.diff(limit.holds.astype(int)))
    ]
    while open_:
        grids = [_bracket(low, high, below, above) for _, _, low, high, below, above in open_]
        points, where = np.unique(np.concatenate(grids), return_inverse=True)
        names = dict.fromkeys(limits[row].name for row, *_ in open_)
        again = {(limit.name, limit.label): limit for limit in sweep(points, names)}
        start, still = 0, []
        for (row, place, *_), grid in zip(open_, grids, strict=True):
            limit, here = again[limits[row].name, limits[row].label], where[start : start + grid.size]
            level, holds = limit.level[here], limit.holds[here]
            start += grid.size
            at = int(np.flatnonzero(np.diff(holds.astype(int)))[0])
            if grid[at + 1] <= grid[at] * (1 + CLOSE):
                found[row][place] = float(grid[at] if holds[at] else grid[at + 1])
            else:
                still.append((row, place, grid[at], grid[at + 1], level[at], level[at + 1]))
        open_ = still
    return found


def _bracket(low: float, high: float, below: float, above: float) -> Array:
    """Points from ``low`` to ``high``, some close about where a power law through both levels would just hold."""
    with np.errstate(all="ignore"):
        guess = low * (high / low) ** (np.log(below / (1 - SLACK)) / np.log(below / above))
    known = np.isfinite(guess)
    grid = np.geomspace(low, high, (INSIDE if known else FINE) + 2)
    grid[0], grid[-1] = low, high
    if not known:
        return grid
    near = guess * (1 + np.outer([1e-5, 1e-7, 0.3 * CLOSE], [-1, 1]).ravel())
    return distinct(np.concatenate([grid, near[(near > low) & (near < high)]]))


def _intervals(holds: Any, factors: Array, ends: Mapping[int, float]) -> tuple[Interval, ...]:
    found: list[Interval] = []
    start: float | None = float(factors[0]) if holds[0] else None
    for place in np.flatnonzero(np.diff(holds.astype(int))):
        if start is None:
            start = ends[int(place)]
        else:
            found.append((start, ends[int(place)]))
            start = None
    if start is not None:
        found.append((start, float(factors[-1])))
    return tuple(found)


def _intersection(bands: tuple[Band, ...]) -> tuple[Interval, ...]:
    """Where every band holds, save what is too narrow to be made."""
    common: list[Interval] = [(0.0, np.inf)]
    for band in bands:
        common = [(max(a, c), min(b, d)) for a, b in common for c, d in band.intervals if max(a, c) <= min(b, d)]
    return tuple((low, high) for low, high in common if high > low * (1 + NARROWEST))


def _binding(bands: tuple[Band, ...], end: float, axis_end: float, side: int) -> str | None:
    if np.isclose(end, axis_end, rtol=1e-12):
        return None
    return next((band.name for band in bands for interval in band.intervals if interval[side] == end), None)


def _colliding(bands: tuple[Band, ...]) -> tuple[str, ...]:
    """The limits that hold nowhere, else the two that are farthest apart, else as few as leave nothing together."""
    never = tuple(band.name for band in bands if not _intersection((band,)))
    if never:
        return never
    pairs = [pair for pair in combinations(bands, 2) if not _intersection(pair)]
    if pairs:
        first, second = max(pairs, key=lambda pair: told_apart(_gap(*pair), GAP_DIGITS))
        return first.name, second.name
    left = bands
    for band in bands:
        rest = tuple(other for other in left if other is not band)
        left = left if _intersection(rest) else rest
    return tuple(band.name for band in left)


GAP_DIGITS = 4
"""Digits after the point by which the gaps between limits are told apart: of those alike the first limits collide."""


def _gap(first: Band, second: Band) -> float:
    """Ratio of factors between the nearest places at which one and the other hold."""
    return min(max(c / b, a / d) for a, b in first.intervals for c, d in second.intervals)


def where(window: Window) -> list[str]:
    """Say where the window is and what binds it, a sentence an interval, or which limits leave none."""
    labels = {band.name: band.label for band in window.bands}
    if window.colliding:
        near = window.nearest if window.nearest is not None and not _told_by_two(window) else None
        return [f"{_collision(window)}.", *([near.sentence] if near is not None else [])]
    lines: list[str] = []
    for (low, high), ends in zip(window.intervals, window.binding, strict=True):
        below, above = (labels[name] if name else "end of the axis" for name in ends)
        lines.append(f"Open from {low:.4g} ({below}) to {high:.4g} ({above}).")
    return lines


def sentences(window: Window) -> list[str]:
    """Return what a window says: where it is, what binds, where the laws fall, or what collides and how to open it."""
    lines = [*where(window), *_of_laws(window)]
    lines += [f"Opens at factor {each.factor:.4g}: {each.text} ({_grams(each.mass)})." for each in window.openings]
    if window.colliding and not window.openings:
        lines.append("Nothing that was tried in the workshop's way opens it near the laws' factors.")
    quiet = len(window.bands) - len(window.telling)
    if quiet:
        lines.append(f"{quiet} more limit{'s hold' if quiet > 1 else ' holds'} at all these factors.")
    if window.broken:
        names = "; ".join(book.quantities[name].label for name in window.broken)
        lines.append(f"Not held, the reference fails them too: {names}.")
    return lines


NAMED = 3
"""Limits that are named of those that a law's factor breaks."""


def _of_laws(window: Window) -> list[str]:
    """Where the laws' factors fall, and what breaks at those that are outside of an open window."""
    laws = [f"{law} {factor:.4g} {'inside' if window.inside[law] else 'outside'}"
            for law, factor in window.laws.items()]  # fmt: skip
    lines = [f"Laws: {', '.join(laws)}."] if laws else []
    for law, broken in window.breaks.items() if window.intervals else ():
        labels = dict.fromkeys(band.label for band in window.bands if band.name in broken)
        more = f"; {len(labels) - NAMED} more" if len(labels) > NAMED else ""
        lines += [f"At {law}'s factor breaks: {'; '.join([*labels][:NAMED])}{more}."] if broken else []
    return lines


def _told_by_two(window: Window) -> bool:
    """Whether two limits, each of which holds somewhere, say by themselves why the window is empty."""
    bands = [band for band in window.bands if band.name in window.colliding]
    return len(window.colliding) == 2 and all(_intersection((band,)) for band in bands)


def _grams(mass: float) -> str:
    return "no mass" if abs(mass) < 0.0005 else f"{1e3 * mass:+.0f} g"


def _collision(window: Window) -> str:
    """The limits that leave no window, with the factors at which each holds, or how near it comes."""
    bands = [next(band for band in window.bands if band.name == name and _binds_none(band, window))
             for name in window.colliding]  # fmt: skip
    low, high = window.axis
    if any(not _intersection((band,)) for band in bands):
        told = [f'"{band.label}" ({100 * band.best:.0f} % of it at best, at {band.best_at:.3g})' for band in bands]
        return f"No factor from {low:.3g} to {high:.3g} meets {_listed(told, 'or')}"
    if len(bands) > 2:
        told = [f'"{band.label}"' for band in bands]
        return f"No factor meets every limit: {_listed(told, 'and')} collide"
    below, above = sorted(bands, key=lambda band: told_apart(band.intervals[0][0]))
    return (
        f'No factor meets every limit: "{below.label}" holds {_reach(below, window.axis)}, "{above.label}" '
        f"{_reach(above, window.axis)}: they collide"
    )


def _binds_none(band: Band, window: Window) -> bool:
    """Whether this is the band that was meant, of several with one name."""
    same = [other for other in window.bands if other.name == band.name]
    return len(same) == 1 or band is min(same, key=_width)


def _reach(band: Band, axis: Interval) -> str:
    """From where to where a band holds, in words."""
    said: list[str] = []
    for low, high in band.intervals:
        if low == axis[0]:
            said.append(f"up to {high:.4g}")
        else:
            said.append(f"from {low:.4g}" + ("" if high == axis[1] else f" to {high:.4g}"))
    return _listed(said, "and")


def _listed(words: list[str], last: str) -> str:
    return f"{', '.join(words[:-1])} {last} {words[-1]}" if len(words) > 1 else words[0]


def _width(band: Band) -> float:
    return told_apart(sum(high - low for low, high in band.intervals))
