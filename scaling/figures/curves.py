"""Small multiples: what the main quantities do as the factor grows, along each port's rules."""

from __future__ import annotations

import math
import textwrap
from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.figures.frame import (
    DASHES,
    FAINT,
    INK,
    SMALL,
    PortStyle,
    framed,
    missing_note,
    panel_grid,
    port_styles,
    title_name,
    unit_text,
)
from scaling.formulas import book
from scaling.tables import worst_first
from scaling.units import format_value, to_shown
from scaling.verdicts import margins

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from scaling.study import Port, Study

FIRST = (
    "total_mass", "tip_speed", "rotor_energy", "energy_lift_lengths", "gyro_margin", "rush_margin", "spin_up_time",
    "top_speed", "bite_ratio", "throw_height", "traction_force", "drive_push_margin", "arena_crossing_time",
    "match_energy_margin", "top_yaw_rate", "froude_speed", "reaction_distance", "brown_out_margin",
)
"""What is drawn first, with the survival margin that falls most in third place; the worst drifts fill what is left."""

MOST, LEAST, COLUMNS = 12, 9, 3
ROW_HEIGHT = 1.72


def figure(study: Study) -> Figure | None:
    """A panel a quantity against the factor; None where no port has a factor."""
    ports = port_styles(study)
    names = chosen(study)
    if not ports or not names:
        return None
    dashes = _dashes(ports)
    rows = math.ceil(len(names) / COLUMNS)
    made = framed(
        f"What {title_name(study)} becomes along each law", _lead(), rows * ROW_HEIGHT, _key(ports, dashes),
        missing_note(study),
    )
    panels = panel_grid(made, rows * ROW_HEIGHT, rows, COLUMNS, len(names))
    for panel, name in zip(panels, names, strict=True):
        _draw(panel, study, ports, name, dashes)
    return made


def _lead() -> str:
    return ("A curve follows one port's rules at every factor; its mark is the port itself, the black dot the reference "
            "at factor 1. Grey upright lines stand at the ports' factors. Of curves that coincide only the first is drawn.")


def chosen(study: Study) -> list[str]:
    """Names of the panels: a fixed list as far as the design has it, the weakest margin, then the worst drifts."""
    drawn = [name for name in worst_first(study) if _has_curve(study, name)]
    picked = [name for name in FIRST if name in drawn]
    weakest = _weakest_margin(study, drawn)
    if weakest is not None:
        picked.insert(3, weakest)
    return [*picked, *(name for name in drawn if name not in picked)][: MOST if len(picked) >= MOST else max(LEAST, len(picked))]


def _has_curve(study: Study, name: str) -> bool:
    return any(port.curve is not None and name in port.curve.values and np.isfinite(port.curve.values[name]).sum() > 1
               for port in study.ports)


def _weakest_margin(study: Study, names: list[str]) -> str | None:
    """The survival margin that falls most in any port."""
    found = [(entry.ratio, name) for port in study.ports for name in margins(names)
             if (entry := port.quantities.get(name)) is not None and entry.ratio is not None]
    return min(found)[1] if found else None


def _dashes(ports: list[tuple[Port, PortStyle]]) -> list[tuple[str, Any]]:
    """Colour and dash of each port's curve: ports under the same rules share one."""
    shared: dict[tuple[str | None, str], tuple[str, Any]] = {}
    for port, look in ports:
        rules = (port.request.speed_rule, port.request.drive_rule)
        shared.setdefault(rules, (look.colour, DASHES[len(shared) % len(DASHES)]))
    return [shared[port.request.speed_rule, port.request.drive_rule] for port, _ in ports]


def _key(ports: list[tuple[Port, PortStyle]], dashes: list[tuple[str, Any]]) -> list[Any]:
    from matplotlib.lines import Line2D

    key = [Line2D([], [], **look.mark() | {"linestyle": dash, "color": colour}, label=look.label)
           for (_, look), (colour, dash) in zip(ports, dashes, strict=True)]
    key.append(Line2D([], [], marker="o", color=INK, markersize=4, linestyle="none", label="reference, factor 1"))
    return key


def _draw(
    panel: Axes, study: Study, ports: list[tuple[Port, PortStyle]], name: str, dashes: list[tuple[str, Any]]
) -> None:
    from matplotlib.ticker import MaxNLocator

    entry = book.quantities()[name]
    panel.vlines([port.factor for port, _ in ports], 0, 1, transform=panel.get_xaxis_transform(), colors="#C8C8C8",
                 linewidths=0.6)
    drawn: list[Any] = []
    for (port, look), (colour, dash) in zip(ports, dashes, strict=True):
        if port.curve is not None and name in port.curve.values:
            values = to_shown(1.0, entry.unit) * port.curve.values[name]
            if np.isfinite(values).any() and not any(np.allclose(values, other, rtol=1e-3, equal_nan=True) for other in drawn):
                drawn.append(values)
                panel.plot(port.curve.factors, values, color=colour, linestyle=dash, gid=f"{name}-{look.letter}-curve")
    for port, look in ports:
        if name in port.quantities:
            panel.plot([port.factor], [to_shown(port.quantities[name].value, entry.unit)], **look.mark(4.2),
                       gid=f"{name}-{look.letter}")
    if name in study.reference:
        panel.plot([1.0], [to_shown(study.reference[name], entry.unit)], "o", color=INK, markersize=4, gid=f"{name}-reference")
    if name == "total_mass":
        _limit_line(panel, study)
    panel.xaxis.set_major_locator(MaxNLocator(4))
    panel.yaxis.set_major_locator(MaxNLocator(4))
    panel.xaxis.set_major_formatter("{x:g}")
    panel.yaxis.set_major_formatter("{x:g}")
    panel.set_title(textwrap.fill(entry.label, 32), loc="left", fontsize=SMALL, fontweight="bold", pad=4)
    panel.set_xlabel("factor, no unit", labelpad=2)
    panel.set_ylabel(unit_text(entry.unit), labelpad=2)


def _limit_line(panel: Axes, study: Study) -> None:
    limit = study.brief.mass_limit
    panel.axhline(to_shown(limit, "kg"), color=INK, linewidth=0.8, linestyle=(0, (4, 2)))
    panel.annotate(f"limit {format_value(limit, 'kg', 4)}", (0, to_shown(limit, "kg")), xytext=(3, 2),
                   xycoords=("axes fraction", "data"), textcoords="offset points", fontsize=6.5, color=INK)
