"""Drift by quantity, worst first, each by the clock that it is judged by."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.book.entry import Role
from scaling.formulas import book
from scaling.show.choosing import picked
from scaling.show.figures.frame import (
    EDGE,
    LINE,
    Signed,
    halves,
    hollow_key,
    lines,
    missing_note,
    port_signs,
    sheet,
    text_width,
    title_name,
)
from scaling.show.figures.look import LIGHT, SMALL, Look
from scaling.show.tables.drift import worst_first
from scaling.study.drifts import ALIKE, counting, drift_text, is_against, judged, told_clock

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure as Drawing

    from scaling.study.results import Study

ROWS = 20
FIRST: dict[Role, int] = {"handling": 12, "survival": 4, "budget": 4}
"""Most rows; and how many of them go to what a driver feels, to survival and to what must close."""

FARTHEST = (0.1, 10.0)
"""Drifts beyond are drawn at the panel's edge, so that one of them does not press all others together."""

TALLEST = 6.8
"""Inches of all rows together, so that the figure stays on a page."""

LETTERS = 36
"""Most letters in a line of a row's label."""

ABOVE, BELOW = 0.06, 0.38
"""Inches above and below the panel."""

BETTER = {"higher": "higher is better", "lower": "lower is better", "same": "same is better"}


def figure(study: Study, look: Look) -> Drawing:
    """Draw a dot plot of drift on a log axis."""
    ports = port_signs(study, look)
    names = chosen(study)
    page = sheet(
        look,
        f"Drift of the ports of {title_name(study)}",
        _lead(),
        _row_height(len(ports), names) * len(names) + ABOVE + BELOW,
        halves([*_key(ports, look), *hollow_key(study, names, look)]),
        _notes(study, ports, names),
    )
    left = EDGE + 0.2 + text_width([line for name in names for line in _row_label(name)]) + 0.06
    right = EDGE + text_width(list(map(_judgement, names))) + 0.06
    panel = page.panel(left, BELOW, page.width - left - right, page.height - ABOVE - BELOW)
    _draw(panel, ports, names, _limits(_drifts(ports, names)), look)
    _label_rows(panel, names, look)
    return page.figure


def _notes(study: Study, ports: Signed, names: list[str]) -> list[str]:
    notes = [f"{len(names)} of {len(worst_first(study))} quantities, worst first; all stand in the table of drift."]
    drifts = _drifts(ports, names)
    if min(drifts) < FARTHEST[0] or max(drifts) > FARTHEST[1]:
        notes.append("A mark at the very edge of the panel lies beyond it.")
    return notes + missing_note(study)


def _key(ports: Signed, look: Look) -> list[Any]:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    return [
        *(Line2D([], [], label=sign.label, **sign.mark()) for _, sign in ports),
        Patch(color=look.tint, label=f"like the reference, within {ALIKE * 100:.0f} %"),
        Patch(color=look.wash, label="the worse side of 1"),
    ]


def _row_label(name: str) -> tuple[str, ...]:
    return lines(book.quantities[name].label, LETTERS)


def _judgement(name: str) -> str:
    """Which way is better, and whose time counts."""
    return ", ".join(filter(None, (BETTER[book.quantities[name].better], told_clock(name))))


def _lead() -> str:
    return (
        "Drift: a quantity's ratio, port over reference, over that of a port that behaves just like the reference; 1 "
        "is alike. Whose time counts stands at the right, where any does: by gravity's clock time grows as the square "
        "root of the factor, so falls look alike; a driver's and a match's time stays."
    )


def chosen(study: Study) -> list[str]:
    """Names of the rows, the worst first, so many of each role."""
    ports = port_signs(study, LIGHT)
    rows = min(ROWS, int(TALLEST / _row_height(len(ports), [])))
    ranked = [name for name in worst_first(study) if _drifts(ports, [name])]
    found = picked(study, ranked, FIRST, rows)
    # Labels of three lines make rows taller: then those that drift least go, so that the figure stays on a page.
    return [name for name in ranked if name in found][: int(TALLEST / _row_height(len(ports), found))]


def _drifts(ports: Signed, names: list[str]) -> list[float]:
    """Every drift of the named quantities that a log axis can show."""
    drifts = (judged(port, name) for port, _ in ports for name in names)
    return [drift for drift in drifts if drift is not None and 0 < drift < math.inf]


def _row_height(ports: int, names: list[str]) -> float:
    """Inches a row: room for every line of the labels, and for the marks of many ports one under the other."""
    return max(0.3, 0.035 * ports, *(LINE * len(_row_label(name)) + 0.03 for name in names))


def _limits(drifts: list[float]) -> tuple[float, float]:
    low, high = max(FARTHEST[0], min([*drifts, 0.9])), min(FARTHEST[1], max([*drifts, 1.1]))
    pad = (high / low) ** 0.06
    return low / pad, high * pad


def _draw(panel: Axes, ports: Signed, names: list[str], limits: tuple[float, float], look: Look) -> None:
    from matplotlib.collections import PolyCollection
    from matplotlib.ticker import NullLocator

    panel.set_xscale("log")
    panel.set_xlim(*limits)
    panel.set_ylim(len(names) - 0.5, -0.5)
    panel.add_collection(PolyCollection(_worse_sides(names, limits), facecolors=look.wash), autolim=False)
    panel.axvspan(1 / (1 + ALIKE), 1 + ALIKE, color=look.tint, linewidth=0)
    panel.axvline(1, color=look.ink, linewidth=0.8)
    places = np.linspace(-0.32, 0.32, len(ports)) if len(ports) > 1 else np.zeros(1)
    for (port, sign), place in zip(ports, places, strict=True):
        for hollow in (False, True):
            shown = [
                (min(max(drift, limits[0]), limits[1]), row + place)
                for row, name in enumerate(names)
                if 0 < (drift := judged(port, name) or 0.0) < math.inf and port.quantities[name].if_reached == hollow
            ]
            if shown:
                gid = f"{sign.letter}-hollow" if hollow else sign.letter
                panel.plot(*zip(*shown, strict=True), **sign.mark(4.3, hollow), clip_on=False, gid=gid)
    ticks = plain_ticks(*limits)
    panel.set_xticks(ticks, [f"{tick:g}" for tick in ticks])
    panel.xaxis.set_minor_locator(NullLocator())
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


def _label_rows(panel: Axes, names: list[str], look: Look) -> None:
    panel.set_yticks(range(len(names)), ["\n".join(_row_label(name)) for name in names])
    panel.set_ylabel("quantity, worst drift first", labelpad=4)
    panel.spines["left"].set_visible(False)
    panel.tick_params(axis="y", length=0)
    for row, name in enumerate(names):
        panel.annotate(
            _judgement(name),
            (1, row),
            xycoords=("axes fraction", "data"),
            xytext=(4, 0),
            textcoords="offset points",
            va="center",
            fontsize=SMALL,
            color=look.soft,
        )


def alt(study: Study) -> str:
    """Say which of the drawn quantities is farthest off on the worse side at each port."""
    names = chosen(study)
    worst = []
    for port, sign in port_signs(study, LIGHT):
        against = [name for name in names if is_against(counting(port, name), name)]
        if against:
            label, drift = book.quantities[against[0]].label, counting(port, against[0])
            worst.append(f"{sign.letter} {label} {drift_text(drift or 0.0)}")
    said = f" Worst of what is worse: {'; '.join(worst)}." if worst else ""
    return (
        f"Dots on a log scale show how far {len(names)} quantities of {study.design.name} drift at each port; 1 is "
        f"like the reference.{said} The tables of drift hold every number."
    )

