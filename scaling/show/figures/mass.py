"""Where the mass goes: the reference's and each port's by part group, against the limit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.files.units import to_shown
from scaling.robot.parts import GROUPS
from scaling.show.figures.frame import (
    BOLD,
    EDGE,
    Signed,
    grams_text,
    missing_note,
    port_signs,
    sheet,
    text_width,
    title_name,
    word_key,
)
from scaling.show.figures.look import SMALL, Look

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure as Drawing

    from scaling.book.entry import Array
    from scaling.study.results import Study

HATCHES = {"frame": "", "armour": "////", "rotor": "", "drive": "||||", "electronics": "\\\\\\\\"}
"""Hatch of each group: neighbours differ in lightness and in hatch, so that a grey print still tells."""


def figure(study: Study, look: Look) -> Drawing:
    """Stacked bars in grams, the reference first, with the limit and the limit less the margin."""
    ports = port_signs(study, look)
    sums = group_sums(study, ports)
    page = sheet(
        look,
        f"Mass of {title_name(study)} by part group", "Grams of all parts of a group; the sum stands at the bar's end.",
        0.34 * sums.shape[0] + 0.5, (_groups_key(study, sums, look), word_key(ports)),
        missing_note(study),
    )
    left = EDGE + 0.2 + text_width(["reference"]) + 0.06
    panel = page.panel(left, 0.4, page.width - left - EDGE, page.height - 0.45)
    limits = (study.brief.mass_limit, study.brief.allowed_mass) if study.limited else (0.0, np.inf)
    limit, allowed = (to_shown(mass, "kg") for mass in limits)
    _draw_sums(panel, sums.sum(axis=1), limit, allowed, page.width)
    _draw_bars(panel, sums, look)
    for line in _limits(study):
        panel.axvline(to_shown(line.mass, "kg"), color=look.ink, linewidth=1.1, linestyle=line.dash, zorder=3)
    panel.set_yticks(range(sums.shape[0]), ["reference", *(sign.letter for _, sign in ports)])
    panel.set_ylim(sums.shape[0] - 0.45, -0.55)
    panel.tick_params(axis="y", length=0)
    panel.set_xlabel("mass, g")
    panel.set_ylabel("port")
    return page.figure


def group_sums(study: Study, ports: Signed) -> Array:
    """Grams of each group, shape (1 + ports, groups): the reference first, then the ports."""
    own = [sum(part.total for part in study.design.parts if part.group == group) for group in GROUPS]
    rows = [[sum(line.port for line in port.parts if line.group == group) for group in GROUPS] for port, _ in ports]
    return np.array([own, *rows], dtype=float) * to_shown(1.0, "kg")


@dataclass(frozen=True)
class Line:
    """An upright line over the bars, at so many kilograms."""

    words: str
    mass: float
    dash: Any

    @property
    def label(self) -> str:
        """What the key says."""
        return f"{self.words}, {grams_text(self.mass)}"


def _limits(study: Study) -> list[Line]:
    if not study.limited:
        return []
    limit, allowed = study.brief.mass_limit, study.brief.allowed_mass
    less = [Line("limit less margin", allowed, (0, (3, 2)))] if allowed < limit else []
    return [Line("mass limit", limit, "-"), *less]


def _groups_key(study: Study, sums: Array, look: Look) -> list[Any]:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    key: list[Any] = [Patch(facecolor=colour, hatch=hatch, edgecolor=look.page, label=group)
                      for (group, hatch), colour in zip(HATCHES.items(), look.fills, strict=True)
                      if sums[:, GROUPS.index(group)].any()]
    return key + [Line2D([], [], color=look.ink, linewidth=1.1, linestyle=line.dash, label=line.label)
                  for line in _limits(study)]


def _draw_bars(panel: Axes, sums: Array, look: Look) -> None:
    left = np.zeros(sums.shape[0])
    for group, grams in zip(GROUPS, sums.T, strict=True):
        hatch, colour = HATCHES[group], look.fills[list(HATCHES).index(group)]
        panel.barh(range(sums.shape[0]), grams, 0.7, left=left, color=colour, hatch=hatch, edgecolor=look.page,
                   linewidth=0.6, label=group)
        for row, gram in enumerate(grams):
            if gram / panel.get_xlim()[1] > 0.011 + 0.011 * len(f"{gram:.0f}"):
                panel.text(left[row] + gram / 2, row, f"{gram:.0f}", ha="center", va="center_baseline", fontsize=SMALL,
                           color=look.ink, bbox={"facecolor": look.page, "edgecolor": "none", "pad": 0.8}, zorder=4)
        left = left + grams


def _draw_sums(panel: Axes, totals: Array, limit: float, allowed: float, across: float) -> None:
    """Write each bar's sum beyond its end, or beyond a limit line that would cross it; the axis makes room."""
    # Over is over the limit less the margin, as in the tables; a rounding of the closed mass is not.
    words = [
        f"{total:.0f} g" + (f", {total - allowed:.0f} g over" if total > allowed + 0.5 else "") for total in totals
    ]
    starts = [max(total, limit if total > 0.75 * limit else 0.0) for total in totals]
    width = panel.get_position().width * across - 0.12
    panel.set_xlim(0, max([1.05 * limit] + [
        start / (1 - BOLD * text_width([word]) / width) for start, word in zip(starts, words, strict=True)
    ]))
    right = panel.get_xlim()[1]
    panel.set_xticks([tick for tick in panel.get_xticks() if 0 <= tick <= 0.97 * right])  # the last would hang over
    panel.set_xlim(0, right)
    for row, (start, word) in enumerate(zip(starts, words, strict=True)):
        panel.annotate(word, (start, row), xytext=(4, 0), textcoords="offset points", va="center_baseline",
                       fontsize=SMALL, fontweight="bold" if "over" in word else "normal")


def alt(study: Study) -> str:
    """Say what is to be seen."""
    return (f"Bars show the mass of {study.design.name} and of each port by group of parts, against the mass limit. "
            "The table of mass holds every part.")
