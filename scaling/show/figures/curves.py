"""Small multiples: what the main quantities do as the factor grows, along each port's rules."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.book.entry import Role
from scaling.book.told_apart import told_apart
from scaling.files.units import format_number, format_value, to_shown
from scaling.formulas import book
from scaling.show.choosing import picked, steady
from scaling.show.figures.frame import (
    BOLD,
    EDGE,
    LINE,
    SMALL_WIDTH,
    Sheet,
    Signed,
    grams_text,
    halves,
    hollow_key,
    lines,
    missing_note,
    port_signs,
    sheet,
    text_width,
    title_name,
    unit_text,
    within,
)
from scaling.show.figures.look import SMALL, Look
from scaling.show.figures.shared import HIGH, Box, Spot, along, gathered, in_a_corner, joined, lettered
from scaling.show.figures.told import told_port
from scaling.show.tables.drift import worst_first
from scaling.study.kept import kept

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure as Drawing

    from scaling.study.results import Port, Study

FIRST: dict[Role, int] = {"handling": 4, "survival": 1, "yardstick": 3, "budget": 1}
"""How many panels go to what a driver feels, to survival, to headline figures and to what must close."""

MOST, COLUMNS = 9, 3
ROW_HEIGHT = 1.72
FLAT = 0.1
"""Share of its largest value by which a quantity must change along some curve to be worth a panel."""

NAMED = 5
"""Most flat quantities that are named under the panels."""

SUPERSCRIPTS = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")

LEFT, ABOVE, BELOW = 0.6, 0.32, 0.36
"""Inches beside, above and below each panel: numbers of five places, a title of two lines, a label."""

TITLE_LETTERS = 32

SEEN = 2e-3
"""Share by which a curve must pass beside a dot for an eye to see it: a tenth of a millimetre on a panel."""


def figure(study: Study, look: Look) -> Drawing:
    """Draw a panel a quantity against the factor."""
    ports = port_signs(study, look)
    names = chosen(study)
    rows = math.ceil(len(names) / COLUMNS)
    wide = (look.width - EDGE - COLUMNS * LEFT) / COLUMNS
    above = ABOVE + LINE * max(0, max(len(_title(name, wide)) for name in names) - 2)
    height = ROW_HEIGHT + above - ABOVE
    page = sheet(
        look,
        _title_of(study, names), _lead(), rows * height, halves(_key(ports, look) + hollow_key(study, names, look)),
        [*_flat_note(study, names), *missed(study, names), *missing_note(study)],
    )
    size = (wide, page.height / rows - above - BELOW)
    for panel, name in zip(_panels(page, size, len(names)), names, strict=True):
        _draw(panel, study, ports, name, size, look)
    return page.figure


def _title(name: str, wide: float) -> tuple[str, ...]:
    """A quantity's label in bold lines that fit on a panel of so many inches."""
    return lines(book.quantities[name].label, min(TITLE_LETTERS, int(wide / (BOLD * SMALL_WIDTH))))


def _title_of(study: Study, names: list[str]) -> str:
    """What grows and what falls most of what is drawn, at the port to build."""
    told = told_port(study)
    who = f"{title_name(study)}, {told.words}"
    ratios = {name: ratio for name in names if name in told.port.quantities and name != "total_mass"
              and (ratio := told.port.quantities[name].ratio) is not None and ratio > 0}
    if not ratios:
        return f"{who}: along each law"
    sizes = {name: told_apart(ratio) for name, ratio in ratios.items()}
    most, least = max(sizes, key=sizes.__getitem__), min(sizes, key=sizes.__getitem__)
    said = [f"{within(name)} × {format_number(ratios[name], 2)}"
            for name in dict.fromkeys([most, least])]
    return f"{who}: {', '.join(said)}"


def _flat_note(study: Study, names: list[str]) -> list[str]:
    """Name what a driver feels and that no panel shows, since it stays as it is along every curve."""
    flat = [name for name in book.of_role("handling", among=list(study.reference))
            if name not in names and _has_curve(study, name) and not _varies(study, name)]
    if not flat:
        return []
    said = [f"{within(name)} {format_value(study.reference[name], book.quantities[name].unit)}"
            for name in flat[:NAMED]]
    more = f", and {len(flat) - NAMED} more" if len(flat) > NAMED else ""
    return [f"Much the same along every law, so without a panel: {'; '.join(said)}{more}."]


def _panels(page: Sheet, size: tuple[float, float], count: int) -> list[Axes]:
    rows = math.ceil(count / COLUMNS)
    height = page.height / rows
    return [
        page.panel(LEFT + place % COLUMNS * (LEFT + size[0]), BELOW + (rows - 1 - place // COLUMNS) * height, *size)
        for place in range(count)
    ]


def _lead() -> str:
    return ("A curve follows one port's rules at every factor; its mark is the port itself. The class and its opponent "
            "grow along it, from the reference's own to the port's. The ring is the reference. Grey upright lines "
            "stand at the ports' factors. Curves that coincide lie on one another; ports that agree share a mark.")


def missed(study: Study, names: list[str]) -> list[str]:
    """Say what else the ports change whose curves miss the ring in a panel of ``names``, ports alike together."""
    found: dict[tuple[str, ...], list[str]] = {}
    for letter, port in zip(study.letters, study.ports, strict=True):
        if any(_misses(study, port, name) for name in names):
            found.setdefault(port.curve.also if port.curve else (), []).append(letter)
    said = [f"{' '.join(letters)} {', '.join(also)}" for also, letters in found.items()]
    return [f"Curves that miss the ring change more than the size: {'; '.join(said)}."] if said else []


def _misses(study: Study, port: Port, name: str) -> bool:
    """Whether a curve misses the reference by what an eye could see."""
    own = study.reference.get(name)
    if port.curve is None or name not in port.curve.values or own is None:
        return False
    return not math.isclose(port.curve.at_one(name), own, rel_tol=SEEN)


@kept
def chosen(study: Study) -> list[str]:
    """Names of the panels, role by role."""
    drawn = [name for name in worst_first(study) if _has_curve(study, name) and _varies(study, name)]
    found = picked(study, steady(drawn), FIRST, MOST)
    if len(found) >= MOST:
        return found[:MOST]
    return found[: max(COLUMNS, len(found) // COLUMNS * COLUMNS)]


def _has_curve(study: Study, name: str) -> bool:
    return any(port.curve is not None and name in port.curve.values and np.isfinite(port.curve.values[name]).sum() > 1
               for port in study.ports)


def _varies(study: Study, name: str) -> bool:
    """Whether a quantity changes along some curve by more than an eye would take for flat."""
    for port in study.ports:
        if port.curve is not None and name in port.curve.values:
            values = port.curve.values[name][np.isfinite(port.curve.values[name])]
            if values.size > 1 and np.ptp(values) > FLAT * np.abs(values).max():
                return True
    return False


def _key(ports: Signed, look: Look) -> list[Any]:
    from matplotlib.lines import Line2D

    key = [Line2D([], [], **sign.mark() | {"linestyle": sign.dash, "color": sign.colour}, label=sign.label)
           for _, sign in ports]
    key.append(Line2D([], [], marker="o", color=look.ink, markersize=4.4, markerfacecolor=look.page,
                      markeredgewidth=1.2, linestyle="none", label="reference, factor 1"))
    return key


def _draw(panel: Axes, study: Study, ports: Signed, name: str, size: tuple[float, float], look: Look) -> None:
    from matplotlib.ticker import MaxNLocator

    unit = book.quantities[name].unit
    power = _power_of_ten(study, name)
    shown = to_shown(1.0, unit) / 10.0**power
    panel.vlines([sign.factor for _, sign in ports], 0, 1, transform=panel.get_xaxis_transform(), colors=look.grid,
                 linewidths=0.6)
    for port, sign in ports:
        if port.curve is not None and name in port.curve.values:
            values = shown * port.curve.values[name]
            if np.isfinite(values).any():
                panel.plot(port.curve.factors, values, color=sign.colour, linestyle=sign.dash,
                           gid=f"{name}-{sign.letter}-curve")
    panel.set_xlim(*_factor_limits(ports))
    own = [study.reference[name]] if name in study.reference else []
    marks = [*(port.quantities[name].value for port, _ in ports if name in port.quantities), *own]
    _value_limits(panel, [shown * mark for mark in marks])
    written = _limit_line(panel, study, shown, size, look) if name == "total_mass" and study.limited else []
    _marks(panel, ports, name, shown, size, written, look)
    for value in own:
        panel.plot([1.0], [shown * value], "o", color=look.ink, markersize=4.4, zorder=4,
                   markerfacecolor=look.page, markeredgewidth=1.2, gid=f"{name}-reference")
    panel.xaxis.set_major_locator(MaxNLocator(3, steps=[1, 2.5, 5, 10]))  # so that 1 has a tick
    panel.yaxis.set_major_locator(MaxNLocator(4, steps=[1, 2, 5, 10]))
    panel.xaxis.set_major_formatter("{x:g}")
    panel.yaxis.set_major_formatter("{x:g}")
    panel.set_title("\n".join(_title(name, size[0])), loc="left", fontsize=SMALL, fontweight="bold", pad=4, y=1.0)
    panel.set_xlabel("factor, no unit")
    panel.set_ylabel(_unit_words(unit, power))
    # Places of their own: the library would measure every number of the axes to find some.
    panel.xaxis.set_label_coords(0.5, -0.185 / size[1])
    panel.yaxis.set_label_coords(-0.42 / size[0], 0.5)


def _marks(
    panel: Axes, ports: Signed, name: str, shown: float, size: tuple[float, float], written: list[Box], look: Look
) -> None:
    """Draw each port's mark, one with their letters where several agree, and say which have none."""
    (left, right), (low, high) = panel.get_xlim(), panel.get_ylim()
    spots, none = [], []
    for port, sign in ports:
        if name in port.quantities:
            entry = port.quantities[name]
            x = (sign.factor - left) / (right - left) * size[0]
            y = (shown * entry.value - low) / (high - low) * size[1]
            spots.append(Spot(x, y, (sign,), entry.if_reached))
        else:
            none.append(sign.letter)
    found = gathered(spots)
    for spot in found:
        panel.plot([left + spot.x / size[0] * (right - left)], [low + spot.y / size[1] * (high - low)], zorder=4,
                   gid=f"{name}-{spot.gid}", **spot.mark(4.2))
    curves = [box for curve in panel.lines for box in along(
        (np.asarray(curve.get_xdata(), dtype=float) - left) / (right - left) * size[0],
        (np.asarray(curve.get_ydata(), dtype=float) - low) / (high - low) * size[1], size)]
    others = [spot.box for spot in found if len(spot.signs) == 1]
    if none:
        words = f"none: {joined(none)}"
        written = [*written, in_a_corner(panel, words, size, look, [*curves, *written, *(spot.box for spot in found)])]
    lettered(panel, [spot for spot in found if len(spot.signs) > 1], size, look, curves, [*written, *others])


def _factor_limits(ports: Signed) -> tuple[float, float]:
    """Limits of the factor's axis, the same in all panels, since some curves hold over a part of it only."""
    ends = [end for port, _ in ports if port.curve is not None for end in port.curve.factors[[0, -1]]]
    pad = 0.04 * (max(ends) - min(ends))
    return min(ends) - pad, max(ends) + pad


def _value_limits(panel: Axes, marks: list[float]) -> None:
    """Give a panel the limits that hold its curves and ``marks``, with air for letters."""
    values = np.concatenate([*(np.asarray(curve.get_ydata(), dtype=float) for curve in panel.lines), marks])
    low, high = float(np.nanmin(values)), float(np.nanmax(values))
    pad = 0.08 * (high - low)
    panel.set_ylim(low - pad, high + pad)


def _power_of_ten(study: Study, name: str) -> int:
    """Power of ten, a multiple of 3, that keeps the numbers on an axis short; mostly 0."""
    unit = book.quantities[name].unit
    largest = max(float(np.nanmax(np.abs(port.curve.values[name]))) for port in study.ports
                  if port.curve is not None and np.isfinite(port.curve.values.get(name, np.nan)).any())
    size = to_shown(largest, unit)
    return 0 if size == 0 or 0.01 <= size < 1e5 else 3 * math.floor(math.log10(size) / 3)


def _unit_words(unit: str, power: int) -> str:
    scale = f"10{str(power).translate(SUPERSCRIPTS)}"
    return unit_text(unit) if power == 0 else f"{scale} {unit_text(unit)}" if unit != "1" else f"{scale}, no unit"


def _limit_line(panel: Axes, study: Study, shown: float, size: tuple[float, float], look: Look) -> list[Box]:
    """Draw the mass limit with its number; returns what the number covers, in inches."""
    limit = study.brief.mass_limit
    panel.axhline(shown * limit, color=look.ink, linewidth=0.8, linestyle=(0, (4, 2)))
    low, high = panel.get_ylim()
    at, words = (shown * limit - low) / (high - low) * size[1], f"limit {grams_text(limit)}"
    # The curve rises: a high line is free of it at the left, a low one at the right.
    wide = text_width([words])
    left = size[0] - wide - 0.04 if at < 0.4 * size[1] else 0.04
    panel.text(left / size[0], (at + 0.03) / size[1], words, transform=panel.transAxes, fontsize=SMALL, va="bottom")
    return [(left, at + 0.02, left + wide, at + 0.04 + HIGH)]


def alt(study: Study) -> str:
    """Say what grows and falls most at the port to build, and what stays."""
    names = chosen(study)
    flat = " ".join(_flat_note(study, names))
    return (f"{_title_of(study, names)}. Small curves show {len(names)} quantities as the factor grows, along the "
            f"rules of each port; marks show the ports. {flat} The tables of values hold the ports' numbers.")
