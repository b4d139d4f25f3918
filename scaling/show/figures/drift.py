"""Drift by quantity, worst first, by the gravity's and by the driver's clock."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.book.similarity import CLOCKS
from scaling.decide.verdicts import ALIKE
from scaling.formulas import book
from scaling.show.figures.frame import (
    BAND,
    EDGE,
    INK,
    LINE,
    PALE,
    SMALL,
    WIDTH,
    PortStyle,
    Sheet,
    halves,
    lines,
    missing_note,
    port_styles,
    sheet,
    text_width,
    title_name,
)
from scaling.show.tables import worst_first

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from scaling.study.results import Port, Study

ROWS = 20
HANDLING_ROWS, MARGIN_ROWS = 12, 4
"""Most rows; and how many of them go to what a driver notices and to survival before the worst of the rest."""

FARTHEST = (0.1, 10.0)
"""Drifts beyond are drawn at the panel's edge, so that one of them does not press all others together."""

TALLEST = 6.8
"""Inches of all rows together, so that the figure stays on a page."""

TWINS = ("rotor_rim_stress_margin", "rotor_mean_stress_margin")
"""Margins that rise and fall just as that of the rotor's peak stress, which stands for them."""

LETTERS = 36
"""Most letters in a line of a row's label."""

ABOVE, BELOW, GAP = 0.22, 0.38, 0.16
"""Inches above, below and between the panels."""

BETTER = {"higher": "higher is better", "lower": "lower is better", "same": "same is better"}
TINTS = {"higher": "#00527F", "lower": "#9A4400", "same": "#5F5F5F"}

Styled = list[tuple["Port", PortStyle]]


def figure(study: Study) -> Figure | None:
    """Draw a dot plot of drift on a log axis, a panel a clock; None where nothing has a drift."""
    ports = port_styles(study)
    names = chosen(study)
    if not ports or not names:
        return None
    limits = _limits(_drifts(ports, names))
    page = sheet(
        f"Drift of the ports of {title_name(study)}", _lead(),
        _row_height(len(ports), names) * len(names) + ABOVE + BELOW, halves(_key(ports)), _notes(study, ports, names),
    )
    panels = _panels(page, names)
    for panel, clock in zip(panels, CLOCKS, strict=True):
        _draw(panel, ports, names, clock, limits)
    _label_rows(panels, names)
    return page.figure


def _notes(study: Study, ports: Styled, names: list[str]) -> list[str]:
    notes = [f"{len(names)} of {len(worst_first(study))} quantities, worst first; all stand in the table of drift."]
    drifts = _drifts(ports, names)
    if min(drifts) < FARTHEST[0] or max(drifts) > FARTHEST[1]:
        notes.append("A mark at the very edge of a panel lies beyond it.")
    return notes + missing_note(study)


def _key(ports: Styled) -> list[Any]:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    return [
        *(Line2D([], [], label=look.label, **look.mark()) for _, look in ports),
        Patch(color=BAND, label=f"like the reference, within {ALIKE * 100:.0f} %"),
        Patch(color=PALE, label="the worse side of 1"),
    ]


def _panels(page: Sheet, names: list[str]) -> list[Axes]:
    """Two panels side by side between the names of the rows and the words on which way is better."""
    left = EDGE + 0.2 + text_width([line for name in names for line in _row_label(name)]) + 0.06
    right = EDGE + text_width(list(BETTER.values())) + 0.06
    width = (WIDTH - left - right - GAP) / 2
    return [page.panel(left + place * (width + GAP), BELOW, width, page.height - ABOVE - BELOW) for place in range(2)]


def _row_label(name: str) -> tuple[str, ...]:
    return lines(book.quantities[name].label, LETTERS)


def _lead() -> str:
    return ("Drift is a quantity's ratio, port over reference, over the ratio of a port that behaves just like the "
            "reference: 1 is alike. Under the gravity's clock time grows as the square root of the factor, so falls "
            "and bounces look alike; the driver's clock keeps time, since reactions stay as quick.")


def chosen(study: Study) -> list[str]:
    """Names of the rows, the worst first: what a driver notices, survival margins, and the worst of the rest."""
    ports = port_styles(study)
    rows = min(ROWS, int(TALLEST / _row_height(len(ports), [])))
    ranked = [name for name in worst_first(study) if _drifts(ports, [name])]
    handling = [name for name in book.of_role("handling") if name in ranked][:HANDLING_ROWS]
    picked = _unlike(study, book.of_role("survival", among=ranked), handling, len(handling) + MARGIN_ROWS)
    # A number that is better neither way tells a builder less, so it comes last.
    rest = sorted(ranked, key=lambda name: book.quantities[name].better == "same")
    picked = _unlike(study, rest, picked, rows)
    # Labels of three lines make rows taller: then those that drift least go, so that the figure stays on a page.
    return [name for name in ranked if name in picked][: int(TALLEST / _row_height(len(ports), picked))]


def _unlike(study: Study, names: list[str], picked: list[str], most: int) -> list[str]:
    """Add to ``picked`` of ``names`` those that drift unlike all that are there, until there are ``most``."""
    found = list(picked)
    seen = {_signature(study, name) for name in picked}
    for name in names:
        if len(found) < most and name not in TWINS and _signature(study, name) not in seen:
            found.append(name)
            seen.add(_signature(study, name))
    return found


def _signature(study: Study, name: str) -> tuple[tuple[float, ...], ...]:
    """Round the drifts of a quantity to three digits: another with the same ones has nothing to add."""
    return tuple(tuple(float(f"{value:.3g}") for value in port.quantities[name].drift.values())
                 if name in port.quantities else () for port in study.ports)


def _drifts(ports: Styled, names: list[str]) -> list[float]:
    """Every drift of the named quantities that a log axis can show."""
    return [value for port, _ in ports for name in names if name in port.quantities
            for value in port.quantities[name].drift.values() if 0 < value < math.inf]


def _row_height(ports: int, names: list[str]) -> float:
    """Inches a row: room for every line of the labels, and for the marks of many ports one under the other."""
    return max(0.3, 0.035 * ports, *(LINE * len(_row_label(name)) + 0.03 for name in names))


def _limits(drifts: list[float]) -> tuple[float, float]:
    low, high = max(FARTHEST[0], min([*drifts, 0.9])), min(FARTHEST[1], max([*drifts, 1.1]))
    pad = (high / low) ** 0.06
    return low / pad, high * pad


def _draw(panel: Axes, ports: Styled, names: list[str], clock: str, limits: tuple[float, float]) -> None:
    from matplotlib.collections import PolyCollection
    from matplotlib.ticker import NullLocator

    panel.set_xscale("log")
    panel.set_xlim(*limits)
    panel.set_ylim(len(names) - 0.5, -0.5)
    panel.add_collection(PolyCollection(_worse_sides(names, limits), facecolors=PALE), autolim=False)
    panel.axvspan(1 / (1 + ALIKE), 1 + ALIKE, color=BAND, linewidth=0)
    panel.axvline(1, color=INK, linewidth=0.8)
    places = np.linspace(-0.32, 0.32, len(ports)) if len(ports) > 1 else np.zeros(1)
    for (port, look), place in zip(ports, places, strict=True):
        found = [(port.quantities[name].drift.get(clock, 0.0), row + place) for row, name in enumerate(names)
                 if name in port.quantities]
        shown = [(min(max(drift, limits[0]), limits[1]), row) for drift, row in found if 0 < drift < math.inf]
        if shown:
            panel.plot(*zip(*shown, strict=True), **look.mark(4.3), clip_on=False, gid=f"{clock}-{look.letter}")
    ticks = plain_ticks(*limits)
    panel.set_xticks(ticks, [f"{tick:g}" for tick in ticks])
    panel.xaxis.set_minor_locator(NullLocator())
    panel.set_title(f"{clock}'s clock", loc="left", fontweight="bold")
    panel.set_xlabel("drift, no unit (log scale)")


def _worse_sides(names: list[str], limits: tuple[float, float]) -> list[Any]:
    boxes: list[Any] = []
    for row, name in enumerate(names):
        better = book.quantities[name].better
        sides = [(limits[0], 1.0)] if better != "lower" else []
        sides += [(1.0, limits[1])] if better != "higher" else []
        boxes += [[(left, row - 0.45), (right, row - 0.45), (right, row + 0.45), (left, row + 0.45)]
                  for left, right in sides]
    return boxes


def plain_ticks(low: float, high: float) -> list[float]:
    """Round numbers for a log axis that holds 1, the closer together the shorter the axis."""
    span = high / low
    if span < 1.8:
        ticks = [0.6 + 0.1 * step for step in range(13)]
    elif span < 12:
        ticks = [0.1, 0.15, 0.2, 0.25, 0.35, 0.5, 0.7, 1, 1.4, 2, 2.8, 4, 5.6, 8, 11]
    else:
        ticks = [base * 10.0**power for power in range(-2, 2) for base in (1, 2, 5)]
    edge = span**0.04  # a label at the very end would run into the next panel's
    return [tick for tick in ticks if low * edge <= tick <= high / edge]


def _label_rows(panels: list[Axes], names: list[str]) -> None:
    left, right = panels
    left.set_yticks(range(len(names)), ["\n".join(_row_label(name)) for name in names])
    left.set_ylabel("quantity, worst drift first", labelpad=4)
    right.set_yticks([])
    for panel in panels:
        panel.spines["left"].set_visible(False)
        panel.tick_params(axis="y", length=0)
    for row, name in enumerate(names):
        better = book.quantities[name].better
        right.annotate(
            BETTER[better], (1, row), xycoords=("axes fraction", "data"), xytext=(4, 0), textcoords="offset points",
            va="center", fontsize=SMALL, color=TINTS[better],
        )
