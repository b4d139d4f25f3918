"""The energy map: mass against rotor energy, with lines of equal energy per mass and of equal throw."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.book.told_apart import told_apart
from scaling.decide.option_share import Share, share_of
from scaling.files.units import format_number, format_value, shown_unit, to_shown
from scaling.formulas import book
from scaling.show.figures.frame import (
    EDGE,
    grams_text,
    halves,
    hollow_key,
    missing_note,
    port_signs,
    sheet,
    text_width,
    title_name,
    within,
)
from scaling.show.figures.look import SMALL, Look
from scaling.show.figures.shared import HIGH, MARK, Box, Spot, gathered, lettered
from scaling.show.figures.told import Told, told_port
from scaling.study.field import field_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure as Drawing

    from scaling.book.entry import Array
    from scaling.study.results import Study

HEIGHT, LEFT, BELOW, ABOVE = 3.9, 0.62, 0.42, 0.2

TRIED = 240
"""Combinations of the brief's options that are drawn."""

MANY = 10
"""Lines of equal energy per mass beyond which only whole powers of ten are drawn."""

THROWS = ("throw_height", "throw_slide")
"""What an opponent does when it is hit, up or aside: the first that there is."""

SIZES, SPEEDS = np.geomspace(0.55, 1.6, 24), np.geomspace(0.15, 6.0, 30)
"""Sizes over the port's and rotor speeds over its own on which the lines of equal throw are worked out."""

ENERGY = "rotor_energy"

Limits = tuple[tuple[float, float], tuple[float, float]]


def figure(study: Study, look: Look) -> Drawing:
    """Draw reference, ports and candidates by mass and rotor energy, both axes logarithmic."""
    told, share = told_port(study), share_of(study, TRIED)
    limits = _limits(study, share)
    name = _throw_name(study) if told.port.curve is not None else None
    key = [*_key(study, look, share, name), *hollow_key(study, [ENERGY], look)]
    page = sheet(look, _title(study, told), _lead(told, name), HEIGHT + BELOW + ABOVE, halves(key),
                 _notes(study, share))
    right = text_width(["0000 J/kg"]) + 0.1 + EDGE
    wide, tall = page.width - LEFT - right, page.height - BELOW - ABOVE
    panel = page.panel(LEFT, BELOW, wide, tall)
    panel.set_xscale("log")
    panel.set_yscale("log")
    panel.set_xlim(*limits[0])
    panel.set_ylim(*limits[1])
    _per_mass(panel, limits, (wide, tall), look)
    taken = _throws(panel, study, told, name, limits, (wide, tall), look)
    _limit(panel, study, look)
    if share is not None:
        _candidates(panel, share, look)
        _front(panel, study, share, look)
    _marks(panel, study, limits, (wide, tall), taken, look)
    _axes(panel, limits)
    return page.figure


def alt(study: Study) -> str:
    """Say what the port stores, over its mass, beside the reference; and which ports no motor gets to."""
    told = told_port(study)
    asked = [letter for letter, port in zip(study.letters, study.ports, strict=True)
             if ENERGY in port.quantities and port.quantities[ENERGY].if_reached]
    said = f" No motor gets {', '.join(asked)} to the speed asked of it." if asked else ""
    return f"{_title(study, told)}.{said} The tables of values hold the ports' numbers."


def _title(study: Study, told: Told) -> str:
    who = f"{title_name(study)}, {told.words}"
    if ENERGY not in told.port.quantities or ENERGY not in study.reference:
        return f"{who}: no rotor energy is known"
    energy, own = told.port.quantities[ENERGY].value, study.reference[ENERGY]
    mass, was = told.port.variables["mass"], study.design.variables["mass"]
    return (f"{who}: {format_value(energy, 'J')} at {grams_text(mass)}, {format_number(energy / mass)} J/kg, "
            f"was {format_number(own / was)}")


def _lead(told: Told, name: str | None) -> str:
    lines = "Up a thin line a robot stores as much for its mass."
    if name is None:
        return lines
    what = within(name)
    return (f"{lines} Dashed: equal {what} of {told.words} at other sizes and rotor speeds, its drive and the class's "
            "opponent growing with it; where the lines come a second time, a faster rotor bites too little.")


def _notes(study: Study, share: Share | None) -> list[str]:
    notes = []
    if share is not None:
        notes.append(f"{share.mass.size} of {share.total} combinations of the brief's options drawn, evenly spread.")
    lacking = [letter for letter, port in zip(study.letters, study.ports, strict=True)
               if port.factor is not None and ENERGY not in port.quantities]
    if lacking:
        notes.append(f"No rotor energy is known of {', '.join(lacking)}.")
    return notes + missing_note(study)


def _key(study: Study, look: Look, share: Share | None, name: str | None) -> list[Any]:
    from matplotlib.lines import Line2D

    key: list[Any] = [Line2D([], [], label="reference", **_reference(look))]
    key += [Line2D([], [], label=sign.label, **sign.mark()) for _, sign in port_signs(study, look)]
    if share is not None:
        key.append(Line2D([], [], label="what the brief's options make", **_candidate(look)))
        key.append(Line2D([], [], color=look.soft, linewidth=1.2, label="front: nothing drawn has more for less mass"))
    if name is not None:
        unit = shown_unit(book.quantities[name].unit)
        key.append(Line2D([], [], label=f"equal {within(name)}, {unit}", **_throw_line(look)))
    if not study.limited:
        return key
    allowed = grams_text(study.brief.allowed_mass)
    key.append(Line2D([], [], color=look.ink, linewidth=1.1, linestyle=(0, (3, 2)), label=f"mass allowed, {allowed}"))
    return key


def _reference(look: Look) -> dict[str, Any]:
    return {"marker": "o", "markersize": 5.6, "markeredgecolor": look.ink, "markeredgewidth": 1.4,
            "markerfacecolor": look.page, "linestyle": "none"}


def _candidate(look: Look) -> dict[str, Any]:
    return {"marker": ".", "markersize": 5.0, "markeredgewidth": 0, "markerfacecolor": look.rule, "linestyle": "none"}


def _throw_line(look: Look) -> dict[str, Any]:
    return {"color": look.colours[2], "linewidth": 0.9, "linestyle": (0, (5, 2))}


def _throw_name(study: Study) -> str | None:
    return next((name for name in THROWS if name in study.names), None)


def _points(study: Study) -> list[tuple[float, float]]:
    """Mass and energy of the reference and of every port that has one."""
    found = [(study.design.variables["mass"], study.reference.get(ENERGY, math.nan))]
    found += [(port.variables["mass"], port.quantities[ENERGY].value) for port in study.ports
              if port.factor is not None and ENERGY in port.quantities]
    return [(mass, energy) for mass, energy in found if energy > 0]


def _limits(study: Study, share: Share | None) -> Limits:
    points = np.array(_points(study))
    if share is not None:
        points = np.concatenate([points, np.stack([share.mass, share.energy], axis=1)])
    low, high = points.min(axis=0), points.max(axis=0)
    pad = np.maximum((high / low) ** 0.07, 1.12)
    return tuple(zip((low / pad).tolist(), (high * pad).tolist(), strict=True))  # type: ignore[return-value]


def _inches(limits: tuple[float, float], length: float, values: Any) -> Any:
    """Where values stand on a logarithmic axis of so many inches."""
    return np.log(np.asarray(values) / limits[0]) / math.log(limits[1] / limits[0]) * length


def _round_numbers(low: float, high: float, steps: tuple[float, ...] = (1, 2, 5)) -> list[float]:
    powers = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    return [step * 10.0**power for power in powers for step in steps if low <= step * 10.0**power <= high]


def _per_mass(panel: Axes, limits: Limits, size: tuple[float, float], look: Look) -> None:
    """Draw lines of equal energy per mass, each with its number where it leaves the panel."""
    (left, right), (low, high) = limits
    ends: list[float] = []
    levels = _round_numbers(low / right, high / left)
    for level in levels if len(levels) <= MANY else _round_numbers(low / right, high / left, (1,)):
        panel.plot([left, right], [level * left, level * right], color=look.grid, linewidth=0.8, zorder=0,
                   gid=f"{level:g}-per-mass")
        across, up = _inches(limits[0], size[0], high / level), _inches(limits[1], size[1], level * right)
        words = f"{level:g} J/kg"
        if up <= size[1] - HIGH / 2 and up >= HIGH / 2:
            panel.annotate(words, (1, up / size[1]), xycoords="axes fraction", xytext=(4, 0), color=look.soft,
                           textcoords="offset points", va="center_baseline", fontsize=SMALL)
        elif 0 < across < size[0] and all(abs(across - end) > text_width([words]) + 0.1 for end in ends):
            ends.append(float(across))
            panel.annotate(words, (across / size[0], 1), xycoords="axes fraction", xytext=(0, 3), color=look.soft,
                           textcoords="offset points", ha="center", va="bottom", fontsize=SMALL)


def _throws(
    panel: Axes, study: Study, told: Told, name: str | None, limits: Limits, size: tuple[float, float], look: Look
) -> list[Box]:
    """Draw lines of equal throw with their numbers at their left ends; returns what the numbers cover, in inches."""
    from contourpy import contour_generator

    if name is None:
        return []
    field = field_of(study, told.port, name, SIZES * (told.port.factor or 1.0), SPEEDS)
    unit = book.quantities[name].unit
    scale = to_shown(1.0, unit)
    x = _inches(limits[0], size[0], np.broadcast_to(field.mass[:, np.newaxis], field.energy.shape))
    y = _inches(limits[1], size[1], field.energy)
    inside = (x >= 0) & (x <= size[0]) & (y >= 0) & (y <= size[1]) & (field.values > 0)
    if not inside.any():
        return []
    made = contour_generator(x, y, np.ma.masked_invalid(np.log(np.where(field.values > 0, field.values, np.nan))))
    taken: list[Box] = []
    for level in _round_numbers(scale * field.values[inside].min(), scale * field.values[inside].max()):
        for line in made.lines(math.log(level / scale)):
            whole = np.asarray(line)
            points = _clipped(whole, size)
            words = f"{level:g} {shown_unit(unit)}"
            wide = text_width([words])
            if len(points) < 2 or np.ptp(points[:, 0]) < 2 * wide:
                continue
            at_x = points[0, 0] + 0.04 + wide / 2
            at_y = float(np.interp(at_x, points[:, 0], points[:, 1]))
            box = (at_x - wide / 2, at_y - HIGH / 2, at_x + wide / 2, at_y + HIGH / 2)
            if box[1] < 0 or box[3] > size[1] or any(box[1] < other[3] + 0.04 and box[3] > other[1] - 0.04
                                                     and box[0] < other[2] and box[2] > other[0] for other in taken):
                continue
            taken.append(box)
            panel.plot(whole[:, 0] / size[0], whole[:, 1] / size[1], transform=panel.transAxes, zorder=1,
                       gid=f"{level:g}-throw", **_throw_line(look))
            panel.text(at_x / size[0], at_y / size[1], words, transform=panel.transAxes, ha="center",
                       va="center_baseline", fontsize=SMALL, color=look.good, zorder=3,
                       bbox={"facecolor": look.page, "edgecolor": "none", "pad": 0.5})
    return taken


def _clipped(points: Array, size: tuple[float, float]) -> Array:
    """The points of a line from left to right that lie on the panel."""
    inside = ((points >= 0) & (points <= np.array(size))).all(axis=1)
    found = points[inside]
    return np.asarray(found[np.argsort(found[:, 0])])


def _limit(panel: Axes, study: Study, look: Look) -> None:
    if study.limited:
        panel.axvline(study.brief.allowed_mass, color=look.ink, linewidth=1.1, linestyle=(0, (3, 2)), zorder=1)


def _candidates(panel: Axes, share: Share, look: Look) -> None:
    for reached, gid in ((True, "options"), (False, "options-hollow")):
        here = share.reached == reached
        if here.any():
            mark = _candidate(look) | ({} if reached else {
                "marker": "o", "markersize": 2.4, "markerfacecolor": look.page, "markeredgewidth": 0.5,
                "markeredgecolor": look.rule})
            panel.plot(share.mass[here], share.energy[here], gid=gid, zorder=2, **mark)


def _front(panel: Axes, study: Study, share: Share, look: Look) -> None:
    """Draw what nothing within reach and within the mass allowed beats in energy without more mass."""
    points = [(port.variables["mass"], port.quantities[ENERGY].value) for port in study.ports
              if ENERGY in port.quantities and not port.quantities[ENERGY].if_reached]
    points += [*zip(share.mass[share.reached], share.energy[share.reached], strict=True)]
    best: list[tuple[float, float]] = []
    for mass, energy in sorted(points, key=lambda point: (told_apart(point[0]), -told_apart(point[1]))):
        if mass <= study.brief.allowed_mass * (1 + 1e-9) and (not best or energy > best[-1][1]):
            best.append((float(mass), float(energy)))
    if best:
        masses, energies = np.array([*best, (study.brief.allowed_mass, best[-1][1])]).T
        panel.step(masses, energies, where="post", color=look.soft, linewidth=1.2, zorder=2, gid="front")


def _marks(
    panel: Axes, study: Study, limits: Limits, size: tuple[float, float], taken: list[Box], look: Look
) -> None:
    spots = []
    for port, sign in port_signs(study, look):
        if ENERGY in port.quantities and port.quantities[ENERGY].value > 0:
            entry = port.quantities[ENERGY]
            x = float(_inches(limits[0], size[0], port.variables["mass"]))
            spots.append(Spot(x, float(_inches(limits[1], size[1], entry.value)), (sign,), entry.if_reached))
    found = gathered(spots)
    for spot in found:
        panel.plot([spot.x / size[0]], [spot.y / size[1]], transform=panel.transAxes, gid=spot.gid, zorder=4,
                   **spot.mark(5.4))
    if study.reference.get(ENERGY, 0.0) > 0:
        mass, energy = study.design.variables["mass"], study.reference[ENERGY]
        panel.plot([mass], [energy], zorder=4, gid="reference", **_reference(look))
        x, y = _inches(limits[0], size[0], mass), _inches(limits[1], size[1], energy)
        taken = [*taken, (float(x) - MARK, float(y) - MARK, float(x) + MARK, float(y) + MARK)]
    line = float(_inches(limits[0], size[0], study.brief.allowed_mass))
    lettered(panel, found, size, look, [(line - 0.015, 0.0, line + 0.015, size[1])] if study.limited else [], taken)


def _axes(panel: Axes, limits: Limits) -> None:
    for axis, (low, high), scale, words in (
        (panel.xaxis, limits[0], to_shown(1.0, "kg"), "mass, g (log scale)"),
        (panel.yaxis, limits[1], 1.0, "rotor energy, J (log scale)"),
    ):
        steps: tuple[float, ...] = (1, 2, 5)
        if high / low < 5:
            steps = (1, 1.2, 1.4, 1.6, 1.8, 2, 2.5, 3, 3.5, 4, 5, 6, 7, 8, 9)
        elif high / low < 12:
            steps = (1, 1.5, 2, 3, 4, 5, 6, 8)
        ticks = [tick for tick in _round_numbers(low * scale, high * scale, steps) if tick < 0.96 * high * scale]
        axis.set_ticks([tick / scale for tick in ticks], [f"{tick:g}" for tick in ticks])
        axis.set_ticks([], minor=True)
        axis.set_label_text(words)
