"""The feasible window: the factors at which every limit holds, and what binds at each end.

Each limit is a curve over the factor that is at least 1 where the limit holds. Windows are drawn for one
speed rule and drive rule; the laws only say where on the axis their factors fall.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any

import numpy as np

from scaling.brief import Brief, LawRequest, PartChange
from scaling.design import Design
from scaling.formulas import book
from scaling.formulas.book import Array
from scaling.materials import materials
from scaling.parts import Part
from scaling.port import inputs_at, law_factor, port_parts
from scaling.problems import STRENGTH_BRANCHES
from scaling.study import reference_values, requests_of

POINTS, FINE_POINTS, COARSE_POINTS = 181, 21, 41
"""Points of the sweep over the factor, of the second sweep between two of them where a limit changes, and of the
sweeps that try a change."""

SPAN = (0.95, 1.6)
"""The axis goes from this times the smallest of 1 and the laws' factors to this times the largest."""

MARGINS = ("gyro_margin", "rush_margin", "belt_slip_margin", "rotor_steady_current_margin", "brown_out_margin",
           "match_energy_margin")
"""Margins besides strength that are held: at 1, or at the reference's own where that is below 1."""

MOST_OPENINGS = 6

HELD_AT_REFERENCE = ("gyro_margin",)
"""Margins that must not fall below the reference's, whatever that is."""

SLACK = 1e-9
"""A limit that is met exactly counts as met."""


@dataclass(frozen=True)
class Limit:
    """One limit: its name, a label with the bound, and ``level`` over the factors, at least 1 where it holds."""

    name: str
    label: str
    level: Array

    @property
    def holds(self) -> Any:
        """Whether the limit holds, by factor; what cannot be computed does not."""
        return np.nan_to_num(self.level, nan=0.0) >= 1 - SLACK


@dataclass(frozen=True)
class Band:
    """The intervals of the factor in which a limit holds, cut off at the ends of the axis."""

    name: str
    label: str
    intervals: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Opening:
    """A way to open an empty window: what to change, by how much (relative), and where it then opens."""

    name: str
    change: float
    text: str


@dataclass(frozen=True)
class Window:
    """The feasible window of one speed rule and drive rule.

    ``intervals`` is where every band holds; ``binding`` names the limits at the low and high end of each interval
    (None at the end of the axis); ``laws`` the factors of the brief's laws; ``colliding`` the two limits (or one) that
    leave no window, and ``openings`` the ways to open it, the smallest change first.
    """

    speed_rule: str | None
    drive_rule: str
    axis: tuple[float, float]
    bands: tuple[Band, ...]
    intervals: tuple[tuple[float, float], ...]
    binding: tuple[tuple[str | None, str | None], ...]
    laws: Mapping[str, float]
    colliding: tuple[str, ...]
    openings: tuple[Opening, ...]


@dataclass(frozen=True)
class Lever:
    """A change of the port by a share s: to its parts, or to its variables after the rules."""

    name: str
    most: float
    text: str
    parts: Callable[[tuple[Part, ...], float], tuple[Part, ...]] | None = None
    variables: Callable[[dict[str, Any], float], None] | None = None


def _thinner(parts: tuple[Part, ...], share: float) -> tuple[Part, ...]:
    return tuple(
        replace(part, mass=part.mass * (1 - share), thickness=part.thickness * (1 - share), on_shelf=())
        if part.kind == "sheet" and part.thickness else part
        for part in parts
    )


def _lighter(parts: tuple[Part, ...], share: float) -> tuple[Part, ...]:
    return tuple(replace(part, mass=part.mass * (1 - share)) if part.kind == "solid" and part.group == "frame" else part
                 for part in parts)


def _times(*keys: str, sign: int) -> Callable[[dict[str, Any], float], None]:
    def change(values: dict[str, Any], share: float) -> None:
        for key in keys:
            if key in values:
                values[key] = values[key] * (1 + sign * share)

    return change


LEVERS = (
    Lever("thinner sheets", 0.5, "make every sheet part {share:.1f} % thinner", parts=_thinner),
    Lever("pocketed frame", 0.4, "pocket {share:.1f} % of the mass out of the solid frame parts", parts=_lighter),
    Lever("lower rotor speed", 0.6, "run the rotor {share:.1f} % slower than the rule says",
          variables=_times("rotor.speed", sign=-1)),
    Lever("wider track", 0.6, "make the track {share:.1f} % wider", variables=_times("track", sign=1)),
    Lever("lower gearing", 0.6, "gear the drive {share:.1f} % lower", variables=_times("drive.ratio", sign=1)),
    Lever("more rotor current", 1.0, "take a rotor motor and controller that bear {share:.1f} % more current",
          variables=_times("rotor.motor.current_limit", sign=1)),
    Lever("thicker walls", 1.0, "make the side walls {share:.1f} % thicker (mass not counted)",
          variables=_times("wall.thickness", sign=1)),
    Lever("thicker shaft", 0.6, "make the rotor's shaft {share:.1f} % thicker (mass not counted)",
          variables=_times("rotor.shaft.diameter", sign=1)),
)


def _both(first: Lever, second: Lever) -> Lever:
    """Two levers pulled by the same share, each no further than it goes."""

    def parts(those: tuple[Part, ...], share: float) -> tuple[Part, ...]:
        for lever in (first, second):
            those = lever.parts(those, min(share, lever.most)) if lever.parts else those
        return those

    def variables(values: dict[str, Any], share: float) -> None:
        for lever in (first, second):
            if lever.variables:
                lever.variables(values, min(share, lever.most))

    return Lever(f"{first.name} and {second.name}", max(first.most, second.most),
                 f"{first.text}, and {second.text}", parts, variables)


class _Sweep:
    """Everything that stays the same while a window is computed."""

    def __init__(self, design: Design, brief: Brief, request: LawRequest) -> None:
        self.design, self.brief, self.request = design, brief, request
        self.parts = port_parts(design, brief)
        self.reference = reference_values(design)
        self.needed = [name for name in book.quantities() if name in MARGINS or name in brief.limits or _is_strength(name)]
        self.needed.append("rotor_speed_as_motored")

    def limits(self, factors: Array, lever: Lever | None = None, share: float = 0.0) -> list[Limit]:
        """Every limit over ``factors``, with a lever pulled by ``share``."""
        parts = lever.parts(self.parts, share) if lever and lever.parts else self.parts
        values = dict(inputs_at(self.design, self.brief, self.request, parts, factors).variables)
        if lever and lever.variables:
            lever.variables(values, share)
        found = book.evaluate(values, self.design.traits, only=self.needed)
        return [*self._box(values), *self._reach(values, found), *self._margins(found), *self._stated({**values, **found})]

    def _box(self, values: Mapping[str, Any]) -> list[Limit]:
        allowed = self.brief.mass_limit - self.brief.mass_margin
        found = [Limit("mass", f"mass at most {allowed * 1e3:.0f} g", allowed / values["mass"])]
        for key, size in self.brief.size_limit.items():
            found.append(Limit(key, f"{key} at most {size * 1e3:.0f} mm", size / values[key]))
        return found

    def _reach(self, values: Mapping[str, Any], found: Mapping[str, Array]) -> list[Limit]:
        reached = found.get("rotor_speed_as_motored")
        if reached is None or "rotor.speed" not in values:
            return []
        return [Limit("rotor_speed", "rotor speed within the motor's reach", reached / values["rotor.speed"] * (1 + 1e-6))]

    def _margins(self, found: Mapping[str, Array]) -> list[Limit]:
        limits: list[Limit] = []
        for name, level in found.items():
            entry = book.quantities()[name]
            if name not in MARGINS and not _is_strength(name):
                continue
            own = self.reference.get(name, 1.0)
            bound = own if name in HELD_AT_REFERENCE else min(1.0, own)
            source = "" if bound == 1.0 else " (the reference's)"
            limits.append(Limit(name, f"{entry.label} at least {bound:.3g}{source}", level / bound))
        return limits

    def _stated(self, values: Mapping[str, Any]) -> list[Limit]:
        limits: list[Limit] = []
        for name, (bound, most, text) in self.brief.limits.items():
            if name in values:
                level = bound / values[name] if most else values[name] / bound
                limits.append(Limit(name, f"{name} {'at most' if most else 'at least'} {text}", level))
        return limits


def _is_strength(name: str) -> bool:
    return name.endswith("_margin") and book.quantities()[name].branch in STRENGTH_BRANCHES


def windows(design: Design, brief: Brief) -> list[Window]:
    """Return the feasible window of each speed rule and drive rule that the brief asks for."""
    requests = requests_of(brief, design)
    rules = dict.fromkeys((request.speed_rule, request.drive_rule) for request in requests)
    parts = port_parts(design, brief)
    laws: dict[str, float] = {}
    for request in requests:
        factor = law_factor(design, brief, request, parts).factor
        if factor is not None:
            laws.setdefault(request.law, factor)
    low, high = min([1.0, *laws.values()]) * SPAN[0], max([1.0, *laws.values()]) * SPAN[1]
    return [_window(_Sweep(design, brief, LawRequest("length", speed, drive)), (low, high), laws) for speed, drive in rules]


def _window(sweep: _Sweep, axis: tuple[float, float], laws: Mapping[str, float]) -> Window:
    factors = np.geomspace(*axis, POINTS)
    limits = sweep.limits(factors)
    ends = _refined(sweep, factors, limits)
    bands = tuple(Band(limit.name, limit.label, _intervals(limit.holds, factors, ends[limit.name])) for limit in limits)
    intervals = _intersection(bands)
    binding = tuple((_binding(bands, low, axis[0], 0), _binding(bands, high, axis[1], 1)) for low, high in intervals)
    colliding = () if intervals else _colliding(bands)
    openings = () if intervals else tuple(_openings(sweep, laws, axis))
    request = sweep.request
    return Window(request.speed_rule, request.drive_rule, axis, bands, intervals, binding, laws, colliding, openings)


def _refined(sweep: _Sweep, factors: Array, limits: list[Limit]) -> dict[str, dict[int, float]]:
    """Where each limit changes between two factors of the sweep, found by sweeping there again."""
    places = sorted({int(place) for limit in limits for place in np.flatnonzero(np.diff(limit.holds.astype(int)))})
    ends: dict[str, dict[int, float]] = {limit.name: {} for limit in limits}
    if not places:
        return ends
    fine = np.concatenate([np.geomspace(factors[place], factors[place + 1], FINE_POINTS) for place in places])
    again = {limit.name: limit for limit in sweep.limits(fine)}
    for limit in limits:
        for block, place in enumerate(places):
            part = slice(block * FINE_POINTS, (block + 1) * FINE_POINTS)
            level = again[limit.name].level[part]
            change = np.flatnonzero(np.diff(again[limit.name].holds[part].astype(int)))
            if change.size:
                ends[limit.name][place] = _crossing(fine[part], level, int(change[0]))
    return ends


def _crossing(factors: Array, level: Array, at: int) -> float:
    """Factor at which ``level`` crosses 1 between two points: by straight line, or the holding one at a jump."""
    left, right = level[at], level[at + 1]
    if np.isfinite(left) and np.isfinite(right) and left != right and abs(left - right) < 0.01:
        return float(factors[at] + (1 - left) / (right - left) * (factors[at + 1] - factors[at]))
    return float(factors[at] if left >= 1 - SLACK else factors[at + 1])


def _intervals(holds: Any, factors: Array, ends: Mapping[int, float]) -> tuple[tuple[float, float], ...]:
    found: list[tuple[float, float]] = []
    start: float | None = float(factors[0]) if holds[0] else None
    for place in np.flatnonzero(np.diff(holds.astype(int))):
        end = ends.get(int(place), float(factors[place]))
        if start is None:
            start = end
        else:
            found.append((start, end))
            start = None
    if start is not None:
        found.append((start, float(factors[-1])))
    return tuple(found)


def _intersection(bands: tuple[Band, ...]) -> tuple[tuple[float, float], ...]:
    common: list[tuple[float, float]] = [(0.0, np.inf)]
    for band in bands:
        common = [(max(a, c), min(b, d)) for a, b in common for c, d in band.intervals if max(a, c) <= min(b, d)]
    return tuple(common)


def _binding(bands: tuple[Band, ...], end: float, axis_end: float, side: int) -> str | None:
    if np.isclose(end, axis_end, rtol=1e-12):
        return None
    return next((band.name for band in bands for interval in band.intervals if interval[side] == end), None)


def _colliding(bands: tuple[Band, ...]) -> tuple[str, ...]:
    """The limit that never holds, else the two whose bands are farthest apart, else the last that leaves nothing."""
    never = [band.name for band in bands if not band.intervals]
    if never:
        return tuple(never)
    top = min(bands, key=lambda band: band.intervals[-1][1])
    bottom = max(bands, key=lambda band: band.intervals[0][0])
    return (top.name, bottom.name)


def _openings(sweep: _Sweep, laws: Mapping[str, float], axis: tuple[float, float]) -> list[Opening]:
    """Ways to open an empty window, the smallest change first: one lever, another material, or else two levers.

    Only a window near the laws' factors helps, so the sweep goes from a tenth below the least to a tenth above the
    largest of them.
    """
    low, high = (min(laws.values()) * 0.9, max(laws.values()) * 1.1) if laws else axis
    coarse = np.geomspace(low, high, COARSE_POINTS)
    found = [opening for lever in LEVERS if (opening := _least(sweep, coarse, lever)) is not None]
    found += _materials(sweep, coarse)
    if not found:
        pairs = [_both(first, second) for first, second in combinations(LEVERS, 2)]
        found = [opening for lever in pairs if (opening := _least(sweep, coarse, lever)) is not None]
    return sorted(found, key=lambda opening: opening.change)[:MOST_OPENINGS]


def _least(sweep: _Sweep, factors: Array, lever: Lever) -> Opening | None:
    """The smallest share of a lever that opens the window, by bisection; None where even all of it does not."""
    if not _opens(sweep, factors, lever, lever.most):
        return None
    low, high = 0.0, lever.most
    for _ in range(10):
        middle = (low + high) / 2
        low, high = (low, middle) if _opens(sweep, factors, lever, middle) else (middle, high)
    return Opening(lever.name, high, lever.text.format(share=100 * high))


def _materials(sweep: _Sweep, factors: Array) -> list[Opening]:
    """Other materials for one part that open the window; the change is that of its mass.

    The rotor is left out: a lighter one would open any window, by being a weaker one.
    """
    found: list[Opening] = []
    for part in sweep.parts:
        if part.material is None or part.name == "rotor":
            continue
        old = materials()[part.material]
        for new in materials().values():
            if new.kind != old.kind or new.name == old.name:
                continue
            changed = replace(sweep.brief.parts.get(part.name, PartChange()), material=new.name)
            brief = replace(sweep.brief, parts={**sweep.brief.parts, part.name: changed})
            if _opens(_Sweep(sweep.design, brief, sweep.request), factors, None, 0.0):
                share = new.density.typical / old.density.typical - 1
                text = f"make {part.name} of {new.name} instead of {old.name} ({100 * share:+.0f} % mass at the same size)"
                found.append(Opening(f"{part.name} of {new.name}", abs(share), text))
    return found


def _opens(sweep: _Sweep, factors: Array, lever: Lever | None, share: float) -> bool:
    holds = [limit.holds for limit in sweep.limits(factors, lever, share)]
    return bool(np.logical_and.reduce(holds).any())


def sentences(window: Window) -> list[str]:
    """Return what a window says: where it is, what binds, where the laws fall, or what collides and how to open it."""
    labels = {band.name: band.label for band in window.bands}
    lines: list[str] = []
    for (low, high), (below, above) in zip(window.intervals, window.binding, strict=True):
        ends = [labels[name] if name else "the end of the axis" for name in (below, above)]
        lines.append(f"Window from {low:.4g} (bound by: {ends[0]}) to {high:.4g} (bound by: {ends[1]}).")
    for law, factor in window.laws.items():
        inside = any(low * (1 - SLACK) <= factor <= high * (1 + SLACK) for low, high in window.intervals)
        lines.append(f"The {law} law's factor {factor:.4g} is {'inside' if inside else 'outside'}.")
    if window.colliding:
        names = [labels[name] for name in window.colliding]
        text = f"{names[0]} and {names[1]} collide" if len(names) > 1 else f"{names[0]} holds nowhere"
        lines.insert(0, f"No factor meets every limit: {text}.")
        if not window.openings:
            lines.append("No single change, and no two of the changes tried, opens it.")
    lines += [f"To open it: {opening.text}." for opening in window.openings]
    return lines


def as_json(found: list[Window]) -> list[dict[str, Any]]:
    """Return the windows as plain data for ``--json``."""
    return [
        {
            "speed_rule": window.speed_rule,
            "drive_rule": window.drive_rule,
            "axis": list(window.axis),
            "bands": [{"limit": band.name, "label": band.label, "intervals": [list(pair) for pair in band.intervals]}
                      for band in window.bands],
            "window": [list(pair) for pair in window.intervals],
            "binding": [list(pair) for pair in window.binding],
            "laws": dict(window.laws),
            "colliding": list(window.colliding),
            "openings": [{"lever": opening.name, "change": opening.change, "text": opening.text}
                         for opening in window.openings],
        }
        for window in found
    ]
