"""The picture of a feasible window: a bar for each limit over the factor, the window, the laws' factors."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scaling.window import Band, Window

if TYPE_CHECKING:
    from pathlib import Path

    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

BAR, BINDING, WINDOW, LAW = "#8fa3b8", "#3b5773", "#f0c36b", "#9c2f2f"
STYLES = ("-", "--", ":", "-.")


def window_figure(window: Window, title: str) -> Figure:
    """Return the figure of one window: limits that never change on the axis are named under it, not drawn."""
    from matplotlib.figure import Figure

    low, high = window.axis
    drawn = [band for band in window.bands if band.intervals != ((low, high),)]
    quiet = len(window.bands) - len(drawn)
    figure = Figure(figsize=(9.0, 2.0 + 0.34 * max(1, len(drawn))), layout="constrained")
    axes = figure.add_subplot()
    binding = {name for pair in window.binding for name in pair} | set(window.colliding)
    for row, band in enumerate(drawn):
        _draw(axes, row, band, band.name in binding)
    for start, end in window.intervals:
        axes.axvspan(start, end, color=WINDOW, alpha=0.45, zorder=0, label=f"window {start:.3f} to {end:.3f}")
    for place, (law, factor) in enumerate(window.laws.items()):
        axes.axvline(factor, color=LAW, linestyle=STYLES[place % len(STYLES)], label=f"{law} law, {factor:.3f}")
    axes.axvline(1.0, color="black", linewidth=0.8, label="reference")
    axes.set_xscale("log")
    _ticks(axes, low, high)
    axes.set_yticks(range(len(drawn)), [band.label for band in drawn], fontsize=8)
    axes.set_ylim(len(drawn) - 0.4, -0.6)
    note = f"; {quiet} more limits hold over the whole axis" if quiet else ""
    state = "" if window.intervals else "; no factor meets every limit"
    axes.set_xlabel(f"scale factor λ = L_port / L_reference (1){note}", fontsize=9)
    axes.set_title(f"{title}{state}", fontsize=10, loc="left")
    axes.legend(loc="upper left", bbox_to_anchor=(0.0, -0.14 - 0.5 / max(3, len(drawn))), ncols=3, fontsize=8, frameon=False)
    return figure


def _draw(axes: Axes, row: int, band: Band, binds: bool) -> None:
    bars = [(start, end - start) for start, end in band.intervals]
    axes.broken_barh(bars, (row - 0.3, 0.6), facecolors=BINDING if binds else BAR, hatch="///" if binds else None,
                     edgecolor="white", linewidth=0.5)
    if not band.intervals:
        axes.annotate("never holds here", (0.5, row), xycoords=("axes fraction", "data"), ha="center", va="center",
                      fontsize=8, color=BINDING)


def _ticks(axes: Axes, low: float, high: float) -> None:
    from matplotlib.ticker import FixedLocator, NullLocator

    step = 0.1 if high / low < 3 else 0.2
    ticks = [round(step * place, 1) for place in range(int(low / step) + 1, int(high / step) + 1)]
    axes.set_xlim(low, high)
    axes.xaxis.set_major_locator(FixedLocator(ticks))
    axes.xaxis.set_minor_locator(NullLocator())
    axes.set_xticklabels([f"{tick:g}" for tick in ticks], fontsize=8)


def window_name(window: Window) -> str:
    """Return the file name, without ending, of a window's picture."""
    return "-".join(["window", window.speed_rule or "pusher", window.drive_rule])


def write_windows(windows: list[Window], title: str, folder: Path) -> list[str]:
    """Write each window as PNG and SVG to ``folder``, each by way of a temporary name; returns the file names."""
    from scaling.figures import save_figure

    return [
        path.name
        for window in windows
        for path in save_figure(window_figure(window, f"{title}: {window.speed_rule or 'no rotor'}, {window.drive_rule}"),
                                folder / window_name(window))
    ]
