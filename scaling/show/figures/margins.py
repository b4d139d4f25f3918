"""The margin ladder: what gives way first, each survival margin of the reference and of the port to build."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.book.told_apart import told_apart
from scaling.decide.chance import SURVIVED_KEY, scatter_of, survived_of
from scaling.decide.risk_kinds import KINDS
from scaling.files.units import format_number
from scaling.formulas import book
from scaling.show.figures.frame import EDGE, LINE, halves, lines, sheet, text_width, title_name
from scaling.show.figures.look import SMALL, Look
from scaling.show.figures.told import Told, told_port
from scaling.study.drifts import ALIKE

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from scaling.study.results import Study

ROWS = 25
ROW, ABOVE, BELOW = 0.205, 0.24, 0.42
"""Inches a row, and above and below the rows."""

LETTERS = 34
"""Most letters in a line of a row's label."""

FARTHEST = 30.0
"""Margin at which the axis ends: what holds thirty times its load is no worry."""

PROVEN = "\N{CHECK MARK}"


@dataclass(frozen=True)
class Rung:
    """One margin: the reference's and the port's, None where there is none.

    ``band`` is between which values two in three parts and hits leave the port's, ``hollow`` says that it counts only
    if the motor reached its speed, ``proven`` that the reference came through its matches with no more.
    """

    name: str
    reference: float | None
    port: float | None
    band: tuple[float, float] | None
    hollow: bool
    proven: bool

    @property
    def label(self) -> tuple[str, ...]:
        """What it is a margin of, in lines."""
        words = book.quantities[self.name].label
        return lines(words.replace(" margin", "") if words.endswith(" margin") else words, LETTERS)

    @property
    def counts(self) -> float:
        """What it is sorted by: the port's, else the reference's."""
        found = self.reference if self.port is None else self.port
        return np.inf if found is None else found

    @property
    def numbers(self) -> str:
        """The port's number, and what it was."""
        now, own = ("none" if value is None else _number(value) for value in (self.port, self.reference))
        return f"{f'({now})' if self.hollow else now}, was {own}"


def figure(study: Study, look: Look) -> Figure:
    """Draw a row a margin on a log axis, the least first."""
    told = told_port(study)
    ladder = rungs(study, told)
    shown = ladder[:ROWS]
    heights = np.array([max(ROW, LINE * len(rung.label) + 0.04) for rung in shown])
    page = sheet(look, _title(study, told, ladder), _lead(study, told), float(heights.sum()) + ABOVE + BELOW,
                 halves(_key(told, shown, look)), _notes(study, ladder))
    left = EDGE + text_width([line for rung in shown for line in rung.label]) + 0.3
    right = EDGE + text_width([rung.numbers for rung in shown]) + 0.1
    panel = page.panel(left, BELOW, page.width - left - right, page.height - ABOVE - BELOW)
    edges = np.concatenate([[0.0], np.cumsum(heights)])
    _draw(panel, look, shown, (edges[1:] + edges[:-1]) / 2, float(edges[-1]), page.width - left - right)
    return page.figure


def alt(study: Study) -> str:
    """Say what gives way first, and how many margins are below 1."""
    told = told_port(study)
    ladder = rungs(study, told)
    below = [rung for rung in ladder if rung.port is not None and rung.port < 1]
    count = f"{len(below) or 'none'} of {len(ladder)} margins {'is' if len(below) < 2 else 'are'} below 1"
    return f"{_title(study, told, ladder)}; {count}. The table of values holds every number."


def rungs(study: Study, told: Told) -> list[Rung]:
    """Return every survival margin that the reference or the port has, what gives way first at the top."""
    found = []
    for name in book.of_role("survival", among=study.names):
        entry, own = told.port.quantities.get(name), study.reference.get(name)
        if entry is None and own is None:
            continue
        value = None if entry is None else entry.value
        band = None
        if value is not None and value > 0:
            spread = float(np.exp(scatter_of(name)))
            band = (value / spread, value * spread)
        proven = own is not None and value is not None and value * (1 + ALIKE) >= own
        found.append(Rung(name, own, value, band, entry is not None and entry.if_reached, proven))
    return sorted(found, key=lambda rung: told_apart(rung.counts))


def _number(value: float) -> str:
    fine = value >= 10 or abs(value - 1) < 0.05
    return "0" if value == 0 else format_number(value, 3 if fine else 2)


def _title(study: Study, told: Told, ladder: list[Rung]) -> str:
    first = ladder[0]
    says = next((kind.says for kind in KINDS if first.name in kind.among([first.name])), None)
    said = says if says is not None else f"{' '.join(first.label)} gives way"
    was = "" if first.reference is None or first.port is None else f", was {_number(first.reference)}"
    return f"{title_name(study)}, {told.words}: {said[0].lower()}{said[1:]} first, margin {_number(first.counts)}{was}"


def _lead(study: Study, told: Told) -> str:
    matches = survived_of(study.design.variables)
    assumed = "" if SURVIVED_KEY in study.design.variables else " (assumed: the design file does not say)"
    return (
        f"Strength over load of what a hit, a fall or a stall tries: below 1 it gives way, as computed. {PROVEN}: "
        f"{told.words} is no weaker there than the reference, which came through {matches:.0f} matches{assumed}."
    )


def _notes(study: Study, ladder: list[Rung]) -> list[str]:
    notes = []
    if len(ladder) > ROWS:
        notes.append(f"And {len(ladder) - ROWS} more, the least of them at {_number(ladder[ROWS].counts)}.")
    if any(rung.hollow for rung in ladder):
        notes.append("In brackets: only if the motor reached the speed that is asked of it.")
    if any(value is not None and value > FARTHEST for rung in ladder[:ROWS] for value in (rung.port, rung.reference)):
        notes.append("A mark at the right edge lies beyond it.")
    return notes


def _key(told: Told, shown: list[Rung], look: Look) -> list[Any]:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    key: list[Any] = [
        Line2D([], [], **_mark(look.ink, look.page), label="reference"),
        Line2D([], [], **_mark(look.colours[0], look.colours[0]), label=told.words),
        Patch(facecolor=look.tint, label="where two of three parts and hits lie"),
    ]
    if any(rung.hollow for rung in shown):
        mark = _mark(look.colours[0], look.page, "D")
        key.append(Line2D([], [], **mark, label="only if the motor reached that speed"))
    return [*key, Patch(facecolor=look.wash, label="gives way, as computed")]


def _mark(edge: str, fill: str, marker: str = "o") -> dict[str, Any]:
    size = 7.4 if fill != edge and marker == "o" else 4.6  # a ring round a dot, where both agree
    return {"marker": marker, "markersize": size, "markeredgecolor": edge,
            "markeredgewidth": 1.2, "markerfacecolor": fill, "linestyle": "none"}  # fmt: skip


def _draw(panel: Axes, look: Look, shown: list[Rung], rows: Any, tall: float, wide: float) -> None:
    from matplotlib.collections import LineCollection

    low, high = _limits(shown)

    def at(value: float) -> float:
        return float(np.clip(value, low, high))

    panel.set_xscale("log")
    panel.set_xlim(low, high)
    panel.set_ylim(tall, 0)
    panel.axvspan(low, min(1.0, high), color=look.wash, linewidth=0, zorder=0)
    bands = [([at(rung.band[0]), at(rung.band[1])], row) for rung, row in zip(shown, rows, strict=True) if rung.band]
    panel.add_collection(LineCollection([[(x, row) for x in ends] for ends, row in bands], colors=look.tint,
                                        linewidths=6.5, capstyle="butt", gid="bands", zorder=1))  # fmt: skip
    joins = [(rung.reference, rung.port, row) for rung, row in zip(shown, rows, strict=True)
             if rung.reference is not None and rung.port is not None]  # fmt: skip
    panel.add_collection(LineCollection(
        [[(at(own), row), (at(port), row)] for own, port, row in joins], linewidths=1.3, zorder=2, gid="joins",
        colors=[look.bad if port < own else look.good for own, port, _ in joins],
    ))
    panel.axvline(1, color=look.ink, linewidth=1.1, zorder=2)
    accent = look.colours[0]
    for gid, mark, chosen in (
        ("own", _mark(look.ink, look.page), [rung.reference for rung in shown]),
        ("port", _mark(accent, accent), [None if rung.hollow else rung.port for rung in shown]),
        ("port-hollow", _mark(accent, look.page, "D"), [rung.port if rung.hollow else None for rung in shown]),
    ):
        points = [(at(value), row) for value, row in zip(chosen, rows, strict=True) if value is not None]
        if points:
            panel.plot(*zip(*points, strict=True), **mark, clip_on=False, zorder=3, gid=gid)
    ticks = [tick for tick in (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20) if low * 1.05 < tick < high / 1.05]
    panel.set_xticks(ticks, [f"{tick:g}" for tick in ticks])
    panel.set_xticks([], minor=True)
    panel.grid(axis="x", zorder=0)
    panel.set_xlabel("margin: strength over load, no unit (log scale)")
    panel.set_yticks([])
    panel.spines["left"].set_visible(False)
    _words(panel, look, shown, rows, wide)
    for place, words, side in ((1 / 1.06, "gives way", "right"), (1.06, "holds", "left")):
        panel.text(place, 1.0, words, transform=panel.get_xaxis_transform(), ha=side, va="bottom", fontsize=SMALL,
                   color=look.soft)


def _words(panel: Axes, look: Look, shown: list[Rung], rows: Any, wide: float) -> None:
    """Each row's label, its check mark and its numbers; ``wide`` is the panel's width in inches."""
    beside = panel.get_yaxis_transform()
    for rung, row in zip(shown, rows, strict=True):
        weak = rung.counts < 1
        panel.text(-0.2 / wide, row, "\n".join(rung.label), transform=beside, ha="right", va="center",
                   fontsize=SMALL, multialignment="right")
        panel.text(1 + 0.08 / wide, row, rung.numbers, transform=beside, va="center_baseline", fontsize=SMALL,
                   color=look.bad if weak else look.soft, fontweight="bold" if weak else "normal")
        if rung.proven:
            panel.text(-0.06 / wide, row, PROVEN, transform=beside, ha="right", va="center_baseline", fontsize=SMALL,
                       color=look.good)


def _limits(shown: list[Rung]) -> tuple[float, float]:
    values = [value for rung in shown for value in (rung.port, rung.reference) if value is not None and value > 0]
    low, high = min([*values, 0.5]), max([*values, 3.0])
    return max(low / 1.6, 0.01), min(high * 1.25, FARTHEST)
