"""Where the mass goes: the reference's and each port's by part group, against the limit."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.figures.frame import FAINT, INK, SMALL, PortStyle, framed, missing_note, port_styles, settle, title_name
from scaling.parts import GROUPS
from scaling.units import format_value, to_shown

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from scaling.formulas.book import Array
    from scaling.study import Port, Study

FILLS = {
    "frame": ("#0072B2", ""),
    "armour": ("#E69F00", "////"),
    "rotor": ("#CFCFCF", ""),
    "drive": ("#56B4E9", "...."),
    "electronics": ("#009E73", "\\\\\\\\"),
}
"""Colour and hatch of each group: neighbours differ in lightness and in hatch, so that a grey print still tells."""


def figure(study: Study) -> Figure:
    """Stacked bars in grams, the reference first, with the limit and the limit less the margin."""
    ports = port_styles(study)
    sums = group_sums(study, ports)
    made = framed(
        f"Mass of {title_name(study)} by part group", "Grams of all parts of a group; the sum stands at the bar's end.",
        0.36 * sums.shape[0] + 0.62, _key(study, ports), missing_note(study),
    )
    panel = made.subplots()
    _draw_bars(panel, sums)
    _draw_sums(panel, sums.sum(axis=1), to_shown(study.brief.mass_limit, "kg"))
    for line in _limits(study):
        panel.axvline(line["at"], color=INK, linewidth=1.1, linestyle=line["dash"], zorder=3)
    panel.set_yticks(range(sums.shape[0]), ["reference", *(look.letter for _, look in ports)])
    panel.set_ylim(sums.shape[0] - 0.45, -0.55)
    panel.tick_params(axis="y", length=0)
    panel.set_xlabel("mass, g")
    panel.set_ylabel("port")
    return settle(made)


def group_sums(study: Study, ports: list[tuple[Port, PortStyle]]) -> Array:
    """Grams of each group, shape (1 + ports, groups): the reference first, then the ports."""
    own = [sum(part.total for part in study.design.parts if part.group == group) for group in GROUPS]
    rows = [[sum(line.port for line in port.parts if line.group == group) for group in GROUPS] for port, _ in ports]
    return np.array([own, *rows], dtype=float) * to_shown(1.0, "kg")


def _limits(study: Study) -> list[dict[str, Any]]:
    limit, margin = study.brief.mass_limit, study.brief.mass_margin
    lines = [{"at": to_shown(limit, "kg"), "dash": "-", "label": f"mass limit, {format_value(limit, 'kg', 4)}"}]
    if margin > 0:
        lines.append({"at": to_shown(limit - margin, "kg"), "dash": (0, (3, 2)),
                      "label": f"limit less margin, {format_value(limit - margin, 'kg', 4)}"})
    return lines


def _key(study: Study, ports: list[tuple[Port, PortStyle]]) -> list[Any]:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    key: list[Any] = [Patch(facecolor=colour, hatch=hatch, edgecolor="white", label=group)
                      for group, (colour, hatch) in FILLS.items()]
    key += [Line2D([], [], color=INK, linewidth=1.1, linestyle=line["dash"], label=line["label"])
            for line in _limits(study)]
    return key + [Line2D([], [], linestyle="none", label=look.label) for _, look in ports]


def _draw_bars(panel: Axes, sums: Array) -> None:
    widest = sums.sum(axis=1).max()
    left = np.zeros(sums.shape[0])
    for group, grams in zip(GROUPS, sums.T, strict=True):
        colour, hatch = FILLS[group]
        panel.barh(range(sums.shape[0]), grams, 0.7, left=left, color=colour, hatch=hatch, edgecolor="white", linewidth=0.6,
                   label=group)
        for row, gram in enumerate(grams):
            if gram > 0.06 * widest:
                panel.text(left[row] + gram / 2, row, f"{gram:.0f}", ha="center", va="center_baseline", fontsize=SMALL,
                           color=INK, bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.8}, zorder=4)
        left = left + grams


def _draw_sums(panel: Axes, totals: Array, limit: float) -> None:
    panel.set_xlim(0, 1.32 * max(totals.max(), limit))
    panel.spines["left"].set_color(FAINT)
    for row, total in enumerate(totals):
        over = f", {total - limit:.0f} g over" if total > limit else ""
        panel.text(max(total, limit if total > 0.8 * limit else 0), row, f"  {total:.0f} g{over}", va="center_baseline",
                   fontsize=SMALL, fontweight="bold" if over else "normal", zorder=4)
