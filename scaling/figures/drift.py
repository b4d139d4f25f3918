"""Drift by quantity, worst first, by the gravity's and by the driver's clock."""

from __future__ import annotations

import math
import textwrap
from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.drift import CLOCKS
from scaling.figures.frame import BAND, FAINT, INK, PALE, PortStyle, framed, missing_note, port_styles, settle
from scaling.formulas import book
from scaling.tables import worst_first
from scaling.units import format_number
from scaling.verdicts import ALIKE, HANDLING, margins

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from scaling.study import Port, Study

ROWS = 20
HANDLING_ROWS, MARGIN_ROWS = 12, 4
"""Most rows; and how many of them go to what a driver notices and to survival before the worst of the rest."""

BETTER = {"higher": "higher is better", "lower": "lower is better", "same": "same is better"}
TINTS = {"higher": "#00527F", "lower": "#9A4400", "same": "#5F5F5F"}

Styled = list[tuple["Port", PortStyle]]


def figure(study: Study) -> Figure | None:
    """A dot plot of drift on a log axis, a panel a clock; None where nothing has a drift."""
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    ports = port_styles(study)
    names = chosen(study)
    if not ports or not names:
        return None
    key = [Line2D([], [], label=look.label, **look.mark()) for _, look in ports]
    key += [Patch(color=BAND, label=f"like the reference, within {ALIKE * 100:.0f} %"),
            Patch(color=PALE, label="the worse side of 1")]
    made = framed(
        f"Drift of {_title(study)}", _lead(), _row_height(len(ports)) * len(names) + 0.75, key,
        [f"{len(names)} of {len(worst_first(study))} quantities, worst first; all stand in the table of drift.",
         *missing_note(study)],
    )
    panels = made.subplots(1, 2, sharey=True)
    limits = _limits(ports, names)
    for panel, clock in zip(panels, CLOCKS, strict=True):
        _draw(panel, ports, names, clock, limits)
    _label_rows(panels, names)
    return settle(made)


def _title(study: Study) -> str:
    from scaling.figures.frame import title_name

    return f"the ports of {title_name(study)}"


def _lead() -> str:
    return ("Drift is a quantity's ratio, port over reference, over the ratio of a port that behaves just like the "
            "reference: 1 is alike. Under the gravity's clock time grows as the square root of the factor, so falls and "
            "bounces look alike; the driver's clock keeps time, since reactions stay as quick.")


def chosen(study: Study) -> list[str]:
    """Names of the rows, the worst first: what a driver notices, survival margins, and the worst of the rest."""
    ranked = [name for name in worst_first(study) if _drifts(study, name)]
    handling = [name for name in HANDLING if name in ranked][:HANDLING_ROWS]
    survival = [name for name in margins(ranked) if name not in handling][:MARGIN_ROWS]
    picked = [*handling, *survival]
    picked += [name for name in ranked if name not in picked][: ROWS - len(picked)]
    return [name for name in ranked if name in picked]


def _drifts(study: Study, name: str) -> bool:
    found = [port.quantities[name].drift for port in study.ports if name in port.quantities]
    return any(0 < value < math.inf for drift in found for value in drift.values())


def _row_height(ports: int) -> float:
    """Inches a row: room for two lines of words, and for the marks of many ports one under the other."""
    return max(0.29, 0.045 * ports)


def _limits(ports: Styled, names: list[str]) -> tuple[float, float]:
    drifts = [value for port, _ in ports for name in names if name in port.quantities
              for value in port.quantities[name].drift.values() if 0 < value < math.inf]
    low, high = min([*drifts, 0.9]), max([*drifts, 1.1])
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
        shown = [(drift, row) for drift, row in found if 0 < drift < math.inf]
        if shown:
            panel.plot(*zip(*shown, strict=True), **look.mark(), gid=f"{clock}-{look.letter}")
    ticks = plain_ticks(*limits)
    panel.set_xticks(ticks, [format_number(tick, 3).rstrip("0").rstrip(".") if tick < 10 else f"{tick:g}" for tick in ticks])
    panel.xaxis.set_minor_locator(NullLocator())
    panel.set_title(f"{clock}'s clock", loc="left", fontweight="bold")
    panel.set_xlabel("drift, no unit (log scale)")


def _worse_sides(names: list[str], limits: tuple[float, float]) -> list[Any]:
    boxes: list[Any] = []
    for row, name in enumerate(names):
        better = book.quantities()[name].better
        sides = [(limits[0], 1.0)] if better != "lower" else []
        sides += [(1.0, limits[1])] if better != "higher" else []
        boxes += [[(left, row - 0.45), (right, row - 0.45), (right, row + 0.45), (left, row + 0.45)]
                  for left, right in sides]
    return boxes


def plain_ticks(low: float, high: float) -> list[float]:
    """Round numbers for a log axis that holds 1: close ones on a short axis, decades on a long one."""
    span = high / low
    if span < 1.8:
        ticks = [0.6 + 0.1 * step for step in range(13)]
    elif span < 12:
        ticks = [0.1, 0.15, 0.2, 0.25, 0.35, 0.5, 0.7, 1, 1.4, 2, 2.8, 4, 5.6, 8, 11]
    elif span < 200:
        ticks = [base * 10.0**power for power in range(-3, 3) for base in (1, 2, 5)]
    else:
        every = math.ceil(math.log10(span) / 6)
        ticks = [10.0**power for power in range(-60 * every, 60 * every + 1, every)]
    return [tick for tick in ticks if low <= tick <= high]


def _label_rows(panels: Any, names: list[str]) -> None:
    entries = [book.quantities()[name] for name in names]
    left, right = panels
    left.set_yticks(range(len(names)), [textwrap.fill(entry.label, 30) for entry in entries])
    left.set_ylabel("quantity, worst drift first")
    right.tick_params(axis="y", left=False, labelleft=False, labelright=True, length=0)
    for panel in panels:
        panel.spines["left"].set_visible(False)
        panel.tick_params(axis="y", length=0, colors=FAINT, labelcolor=INK)
    for row, entry in enumerate(entries):
        right.annotate(
            BETTER[entry.better], (1, row), xycoords=("axes fraction", "data"), xytext=(4, 0),
            textcoords="offset points", va="center", fontsize=6.5, color=TINTS[entry.better],
        )
