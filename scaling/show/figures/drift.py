"""Drift by quantity: what a driver feels, survival, what must close; worst first, by each quantity's own clock."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.book.entry import Role
from scaling.book.similarity import CLOCKS
from scaling.book.told_apart import told_apart
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
    within,
)
from scaling.show.figures.look import LIGHT, SMALL, Look
from scaling.show.figures.shared import Laned, Spot, extent, gathered, in_lanes, joined, on_the_left
from scaling.show.figures.told import Told, told_port
from scaling.show.tables.drift import worst_first
from scaling.study.drifts import ALIKE, clock_of, counting, drift_size, drift_text, is_against, judged, told_clock
from scaling.study.kept import kept

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure as Drawing

    from scaling.study.results import Port, Study

ROWS = 20
FIRST: dict[Role, int] = {"handling": 10, "survival": 6, "budget": 4}
"""Most rows; and how many of them go to what a driver feels, to survival and to what must close."""

GROUPS = {"handling": "what a driver feels", "survival": "what gives way", "budget": "what must close"}
REST = "what else drifts"
"""Words above the rows of a role, and above those of all others."""

FARTHEST = (0.1, 10.0)
"""Drifts beyond are drawn at the panel's edge, so that one of them does not press all others together."""

TALLEST = 6.8
"""Inches of all rows together, so that the figure stays on a page."""

LETTERS = 36
"""Most letters in a line of a row's label."""

ROW, LANE, HEAD = 0.25, 0.125, 0.22
"""Inches of a row at least, of each lane of marks in it, and of the words above a group."""

ABOVE, BELOW = 0.02, 0.38
"""Inches above and below the panel."""

BETTER = {"higher": "higher is better", "lower": "lower is better", "same": "same is better"}


@dataclass(frozen=True)
class Row:
    """A quantity's row: its marks in their lanes, and from where (inches from above) to where it reaches."""

    name: str
    marks: tuple[Laned, ...]
    top: float
    height: float

    @property
    def lanes(self) -> int:
        """How many lanes its marks take."""
        return max((mark.lane for mark in self.marks), default=0) + 1

    def middle(self, lane: int) -> float:
        """Inches from above to the middle of one of its lanes."""
        return self.top + self.height / 2 + (lane - (self.lanes - 1) / 2) * LANE


def figure(study: Study, look: Look) -> Drawing:
    """Draw a dot plot of drift on a log axis, role by role."""
    ports, told = port_signs(study, look), told_port(study)
    names = chosen(study)
    left = EDGE + text_width([line for name in names for line in _label(name)]) + 0.1
    right = EDGE + text_width([line for name in names for line in _judgement(study, name)]) + 0.08
    wide = look.width - left - right
    limits = _limits(_drifts(ports, names))
    rows = _rows(ports, names, limits, wide, study)
    tall = rows[-1].top + rows[-1].height
    page = sheet(look, _title(study, told, names), _lead(told.words), tall + ABOVE + BELOW,
                 halves([*_key(ports, look), *hollow_key(study, [row.name for row in rows], look)]),
                 _notes(study, ports, rows))
    panel = page.panel(left, BELOW, wide, page.height - ABOVE - BELOW)
    _draw(panel, rows, limits, wide, look)
    _tails(panel, told, rows, limits, wide, look)
    _label_rows(panel, study, rows, tall, look)
    return page.figure


def alt(study: Study) -> str:
    """Say which of the drawn quantities is farthest off on the worse side at each port."""
    names = chosen(study)
    worst = [f"{sign.letter} {book.quantities[name].label} {drift_text(drift)}"
             for port, sign in port_signs(study, LIGHT) if (found := _worst(port, names)) is not None
             for name, drift in [found]]
    said = f" Worst of what is worse: {'; '.join(worst)}." if worst else ""
    return (f"{_title(study, told_port(study), names)}. Dots on a log scale show how far {len(names)} quantities drift "
            f"at each port; 1 is like the reference.{said} The tables of drift hold every number.")


@kept
def chosen(study: Study) -> list[str]:
    """Names of the rows, group by group, in each the worst first; so many of each role, as a page has room for."""
    ports = port_signs(study, LIGHT)
    ranked = [name for name in worst_first(study) if _drifts(ports, [name])]
    found = picked(study, ranked, FIRST, ROWS)
    found = [name for group in (*GROUPS, None) for name in ranked if name in found and _group(name) == group]
    # Labels of many lines and ports apart make rows taller: then those that drift least go.
    while len(found) > 1 and _height(ports, found, study) > TALLEST:
        found.remove(max(found, key=ranked.index))
    return found


def _group(name: str) -> str | None:
    role = book.quantities[name].role
    return role if role in GROUPS else None


def _height(ports: Signed, names: list[str], study: Study) -> float:
    rows = _rows(ports, names, _limits(_drifts(ports, names)), 3.0, study)
    return rows[-1].top + rows[-1].height


def _rows(
    ports: Signed, names: list[str], limits: tuple[float, float], wide: float, study: Study
) -> list[Row]:
    rows: list[Row] = []
    top, group = 0.0, "none yet"
    for name in names:
        if _group(name) != group:
            top, group = top + HEAD, _group(name)  # type: ignore[assignment]
        marks = tuple(in_lanes(gathered(_spots(ports, name, limits, wide)), wide))
        high = max((mark.lane for mark in marks), default=0) + 1
        words = max(len(_label(name)), len(_judgement(study, name)))
        rows.append(Row(name, marks, top, max(ROW, LANE * high + 0.1, LINE * words + 0.03)))
        top += rows[-1].height
    return rows


def _spots(ports: Signed, name: str, limits: tuple[float, float], wide: float) -> list[Spot]:
    found = []
    for port, sign in ports:
        drift = judged(port, name)
        if drift is not None and 0 <= drift < math.inf:
            found.append(Spot(_inches(drift, limits, wide), 0.0, (sign,), port.quantities[name].if_reached))
    return found


def _inches(drift: float, limits: tuple[float, float], wide: float) -> float:
    """Where a drift stands on a row of so many inches: at its edge where it lies beyond, or is nought."""
    inside = min(max(drift, limits[0]), limits[1])
    return math.log(inside / limits[0]) / math.log(limits[1] / limits[0]) * wide


def _worst(port: Port, names: list[str]) -> tuple[str, float] | None:
    """The drawn quantity that is farthest off on the worse side, with its drift; None where none is.

    What a driver feels and what gives way come first.
    """
    found = [(name, drift) for name in names if (drift := counting(port, name)) is not None and is_against(drift, name)]
    first = [each for each in found if _group(each[0]) in ("handling", "survival")]
    return max(first or found, key=lambda each: told_apart(drift_size(each[1])), default=None)


def _title(study: Study, told: Told, names: list[str]) -> str:
    who = f"{title_name(study)}, {told.words}"
    found = _worst(told.port, names)
    if found is None:
        return f"{who}: nothing drawn drifts for the worse"
    return f"{who}: {within(found[0])} is worst, {drift_text(found[1])}"


def _lead(words: str) -> str:
    return (
        "Drift: a quantity's ratio, port over reference, over that of a port that behaves just like the reference; 1 "
        "is alike. Whose time counts stands at the right, where any does: by gravity's clock time grows as the square "
        f"root of the factor, so falls look alike; a driver's and a match's time stays. From {words} a thin line leads "
        "to its drift by the other clock."
    )


def _notes(study: Study, ports: Signed, rows: list[Row]) -> list[str]:
    notes = [f"{len(rows)} of {len(worst_first(study))} quantities, worst first; all stand in the table of drift."]
    drifts = _drifts(ports, [row.name for row in rows])
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


def _label(name: str) -> tuple[str, ...]:
    return lines(book.quantities[name].label, LETTERS)


def _judgement(study: Study, name: str) -> list[str]:
    """Which way is better and whose time counts; and which ports have no drift to show, or one of nought."""
    found = [", ".join(filter(None, (BETTER[book.quantities[name].better], told_clock(name))))]
    none, zero = [], []
    for letter, port in zip(study.letters, study.ports, strict=True):
        if port.factor is not None:
            drift = judged(port, name)
            none += [letter] if drift is None or not 0 <= drift < math.inf else []
            zero += [letter] if drift == 0 else []
    found += [f"none: {joined(none)}"] if none else []
    return found + ([f"zero: {joined(zero)}"] if zero else [])


def _drifts(ports: Signed, names: list[str]) -> list[float]:
    """Every drift of the named quantities that a log axis can show."""
    drifts = (judged(port, name) for port, _ in ports for name in names)
    return [drift for drift in drifts if drift is not None and 0 < drift < math.inf]


def _limits(drifts: list[float]) -> tuple[float, float]:
    low, high = max(FARTHEST[0], min([*drifts, 0.9])), min(FARTHEST[1], max([*drifts, 1.1]))
    pad = (high / low) ** 0.06
    return low / pad, high * pad


def _draw(panel: Axes, rows: list[Row], limits: tuple[float, float], wide: float, look: Look) -> None:
    from matplotlib.collections import PolyCollection
    from matplotlib.ticker import NullLocator

    panel.set_xscale("log")
    panel.set_xlim(*limits)
    panel.set_ylim(rows[-1].top + rows[-1].height, 0)
    panel.add_collection(PolyCollection(_worse_sides(rows, limits), facecolors=look.wash), autolim=False)
    panel.axvspan(1 / (1 + ALIKE), 1 + ALIKE, color=look.tint, linewidth=0)
    panel.axvline(1, color=look.ink, linewidth=0.8)

    def at(spot: Spot) -> float:
        return float(limits[0] * (limits[1] / limits[0]) ** (spot.x / wide))

    shown: dict[str, list[tuple[Spot, float]]] = {}
    for row in rows:
        for mark in row.marks:
            key = mark.spot.signs[0].letter + ("-hollow" if mark.spot.hollow else "")
            shown.setdefault(key, []).append((mark.spot, row.middle(mark.lane)))
            if len(mark.spot.signs) > 1:
                side = -1 if on_the_left(mark.spot, wide) else 1
                panel.annotate(mark.spot.letters, (at(mark.spot), row.middle(mark.lane)), xytext=(side * 4.2, 0),
                               textcoords="offset points", ha="left" if side > 0 else "right", fontsize=SMALL,
                               va="center_baseline", annotation_clip=False)
    for gid, marks in shown.items():
        panel.plot([at(spot) for spot, _ in marks], [place for _, place in marks], clip_on=False, gid=gid, zorder=3,
                   **marks[0][0].mark(4.3))
    ticks = plain_ticks(*limits)
    panel.set_xticks(ticks, [f"{tick:g}" for tick in ticks])
    panel.xaxis.set_minor_locator(NullLocator())
    panel.set_xlabel("drift, no unit (log scale)")


def _tails(
    panel: Axes, told: Told, rows: list[Row], limits: tuple[float, float], wide: float, look: Look
) -> None:
    """Draw a line from the mark of the port to build to its drift by the clock that is not the row's own."""
    from matplotlib.collections import LineCollection

    found = []
    for row in rows:
        own, other = (judged(told.port, row.name, clock) for clock in (None, _other(row.name)))
        mark = next((mark for mark in row.marks if told.letter in [sign.letter for sign in mark.spot.signs]), None)
        if mark is None or own is None or other is None or not (0 < own < math.inf and 0 < other < math.inf):
            continue
        start, end = extent(mark.spot, wide)[other > own], _inches(other, limits, wide)
        if (end - start) * (other - own) > 0:
            found.append([(place / wide, row.middle(mark.lane)) for place in (start, end)])
    panel.add_collection(LineCollection(found, colors=look.ink, linewidths=0.7, gid="tails",
                                        transform=panel.get_yaxis_transform()), autolim=False)


def _other(name: str) -> str:
    """The clock by which a quantity is not judged."""
    return next(clock for clock in CLOCKS if clock != clock_of(name))


def _worse_sides(rows: list[Row], limits: tuple[float, float]) -> list[Any]:
    boxes: list[Any] = []
    for row in rows:
        better = book.quantities[row.name].better
        sides = [(limits[0], 1.0)] if better != "lower" else []
        sides += [(1.0, limits[1])] if better != "higher" else []
        top, foot = row.top + 0.012, row.top + row.height - 0.012
        boxes += [[(left, top), (right, top), (right, foot), (left, foot)] for left, right in sides]
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


def _label_rows(panel: Axes, study: Study, rows: list[Row], tall: float, look: Look) -> None:
    panel.set_yticks([row.middle(0) if row.lanes == 1 else row.top + row.height / 2 for row in rows],
                     ["\n".join(_label(row.name)) for row in rows])
    panel.spines["left"].set_visible(False)
    panel.tick_params(axis="y", length=0)
    edges = np.array([0.0, *(row.top + row.height for row in rows)])
    for row, above in zip(rows, edges, strict=False):
        panel.annotate("\n".join(_judgement(study, row.name)), (1, row.top + row.height / 2), xytext=(5, 0),
                       xycoords=("axes fraction", "data"), textcoords="offset points", va="center", fontsize=SMALL,
                       color=look.soft, linespacing=1.15)
        if row.top > above:
            panel.annotate(GROUPS.get(_group(row.name) or "", REST), (0, row.top - 0.03), xytext=(3, 0),
                           xycoords=("axes fraction", "data"), textcoords="offset points", va="bottom", ha="left",
                           fontsize=SMALL, fontweight="bold",
                           bbox={"facecolor": look.page, "edgecolor": "none", "pad": 0.8})
