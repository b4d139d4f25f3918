"""The window strip: a bar a limit over the factor, where all of them hold together, and the laws' factors."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.decide.limits import Band, Interval
from scaling.decide.window import Window, where, windows
from scaling.port.rules import USUAL_DRIVE_RULE
from scaling.show.figures.frame import (
    EDGE,
    halves,
    sheet,
    text_width,
    two_lines,
)
from scaling.show.figures.look import DASHES, LIGHT, Look, drawing
from scaling.show.figures.saving import save_figure
from scaling.show.figures.told import told_port

if TYPE_CHECKING:
    from pathlib import Path

    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from scaling.study.results import Study

ROW_HEIGHT, ABOVE, BELOW = 0.29, 0.06, 0.42
"""Inches a row, above the rows, and below them for the axis and its words."""

LETTERS = 50
"""Letters of a limit's words in a line; they have two lines."""

STEPS = (0.02, 0.05, 0.1, 0.2, 0.5, 1.0)
"""Steps between ticks of the factor, the finest whose numbers have room."""


def figure(study: Study, look: Look) -> Figure:
    """Return the figure of the window by the rules of the port to build."""
    return window_figure(_told_window(study), study.design.name, look)


def alt(study: Study) -> str:
    """Say where the window is, and what binds it."""
    window = _told_window(study)
    held = [band.label for band in window.telling if _binds(window, band)]
    binds = f" What binds it: {'; '.join(held)}." if held else ""
    return f"{_heading(window, study.design.name)}. {_lead(window)}{binds}"


def _told_window(study: Study) -> Window:
    """The window by the rules of the port to build, else the first."""
    request = told_port(study).port.request
    return windows(study.design, study.brief, (request.speed_rule, request.drive_rule or USUAL_DRIVE_RULE))[0]


def window_figure(window: Window, name: str, look: Look = LIGHT) -> Figure:
    """Return the figure of one window; limits that hold over the whole axis are counted under it, not drawn."""
    drawn = window.telling
    quiet = len(window.bands) - len(drawn)
    notes = [f"{quiet} more limit{'s hold' if quiet > 1 else ' holds'} over the whole axis."] if quiet else []
    labels = ["Every limit", *(two_lines(band.label, LETTERS) for band in drawn)]
    tall = ROW_HEIGHT * len(labels) + ABOVE + BELOW
    page = sheet(look, _heading(window, name), _lead(window), tall, halves(_key(window, look)), notes)
    left = EDGE + text_width([line for label in labels for line in label.split("\n")]) + 0.12
    width = page.width - left - EDGE - 0.1
    panel = page.panel(left, BELOW, width, page.height - ABOVE - BELOW)
    _bars(panel, 0, window.intervals, look.colours[2], None, look)
    for row, band in enumerate(drawn, 1):
        binds = _binds(window, band)
        _bars(panel, row, band.intervals, look.colours[0] if binds else look.tint, "////" if binds else None, look)
    _lines(panel, window, look)
    panel.set_ylim(len(labels) - 0.5, -0.5)
    panel.set_yticks(range(len(labels)), labels)
    panel.tick_params(axis="y", length=0)
    panel.get_yticklabels()[0].set_fontweight("bold")
    _factor_axis(panel, window.axis, width, look)
    return page.figure


def _heading(window: Window, name: str) -> str:
    """What is found, in a few words, and by which rules."""
    if window.intervals:
        said = "every limit holds " + " and ".join(f"from {start:.4g} to {end:.4g}" for start, end in window.intervals)
    else:
        said = "no factor meets every limit"
    return f"{_plain(name)}: {said}"


def _plain(name: str) -> str:
    """A design's name as far as the font has its letters, and no longer than a title has room for."""
    letters = "".join(sign if sign.isprintable() and ord(sign) < 0x500 else "?" for sign in name)
    return textwrap.shorten(letters, 32, placeholder=" ...")


def _binds(window: Window, band: Band) -> bool:
    """Whether a limit is at an end of the window, alone or with others, or is one of those that leave none."""
    bounds = [end for pair in window.intervals for end in pair if end not in window.axis]
    ends = np.asarray(band.intervals).ravel()
    return band.name in window.colliding or any(np.isclose(ends, bound, rtol=1e-7).any() for bound in bounds)


def _lead(window: Window) -> str:
    """What the window is, in a sentence; the text output says the rest."""
    if len(window.colliding) > 2:
        words = "leave nothing together" if _holds_somewhere(window) else "hold nowhere on this axis"
        return f"No factor meets every limit: {len(window.colliding)} of them {words}."
    return " ".join(where(window))


def _holds_somewhere(window: Window) -> bool:
    """Whether every limit of a collision holds at some factor."""
    return all(band.intervals for band in window.bands if band.name in window.colliding)


def _bars(panel: Axes, row: int, intervals: tuple[Interval, ...], colour: str, hatch: str | None, look: Look) -> None:
    bars = [(start, end - start) for start, end in intervals]
    panel.broken_barh(bars, (row - 0.32, 0.64), facecolors=colour, hatch=hatch, edgecolor=look.page, linewidth=0.4)
    if not intervals:
        panel.text(
            0.985,
            row,
            "nowhere here",
            transform=panel.get_yaxis_transform(),
            ha="right",
            va="center",
            zorder=5,
            bbox={"facecolor": look.page, "edgecolor": "none", "pad": 0.8},
        )


def _lines(panel: Axes, window: Window, look: Look) -> None:
    for start, end in window.intervals:
        panel.axvspan(start, end, color=look.colours[2], alpha=0.16, zorder=0, linewidth=0)
    panel.axvline(1.0, color=look.ink, linewidth=0.8, zorder=3)
    for place, factor in enumerate(window.laws.values()):
        panel.axvline(factor, **_law_line(place, look), zorder=4)


def _law_line(place: int, look: Look) -> dict[str, Any]:
    return {"color": look.colours[1], "linestyle": DASHES[place % len(DASHES)], "linewidth": 1.2}


def _key(window: Window, look: Look) -> list[Any]:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    lines = [
        Line2D([], [], label=f"{law} law, factor {factor:.4g}", **_law_line(place, look))
        for place, (law, factor) in enumerate(window.laws.items())
    ]
    bars = [Patch(facecolor=look.colours[2], label="every limit holds")] if window.intervals else []
    bars.append(Patch(facecolor=look.tint, label="the limit holds"))
    if any(_binds(window, band) and band.intervals for band in window.bands):
        words = (
            "these limits exclude each other"
            if window.colliding
            else "it holds, and binds the window"
        )
        bars.append(Patch(facecolor=look.colours[0], hatch="////", edgecolor=look.page, linewidth=0.4, label=words))
    return [*lines, Line2D([], [], color=look.ink, linewidth=0.8, label="the reference"), *bars]


def _factor_axis(panel: Axes, axis: Interval, width: float, look: Look) -> None:
    """A logarithmic axis with as many plain numbers as have room on ``width`` inches."""
    low, high = axis
    for step in STEPS:
        ticks = np.arange(np.ceil(low / step), np.floor(high / step) + 1) * step
        numbers = [f"{tick:.2f}".rstrip("0").rstrip(".") for tick in ticks]
        apart = np.diff(np.log(ticks)) / np.log(high / low) * width
        if not apart.size or apart.min() > text_width(numbers) + 0.08:
            break
    panel.set_xscale("log")
    panel.set_xlim(low, high)
    panel.set_xticks(ticks, numbers)
    panel.set_xticks([], minor=True)
    panel.grid(axis="x", color=look.rule, linewidth=0.3, alpha=0.5)
    panel.set_xlabel("scale factor: the port's length over the reference's (no unit)")


def window_name(window: Window) -> str:
    """Return the file name, without ending, of a window's picture."""
    return "-".join(["window", window.speed_rule or "pusher", window.drive_rule])


def write_windows(windows: list[Window], name: str, folder: Path) -> list[str]:
    """Write each window of the design ``name`` as PNG and SVG to ``folder``; returns the file names.

    A file appears under its name only when it is whole.
    """
    written: list[str] = []
    for window in windows:
        with drawing(LIGHT):
            made = window_figure(window, name)
        written += [path.name for path in save_figure(made, folder / window_name(window))]
    return written
