"""Turning with the rotor up: how the gyro takes the load off one side, and how fast the driver may turn."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from scaling.files.units import format_number, format_value, to_shown
from scaling.show.figures.frame import halves, right_axis, sheet, title_name
from scaling.show.figures.look import LIGHT, SMALL, Look
from scaling.show.figures.told import REFERENCE, Beside, both, told_port
from scaling.study.courses import Turning, turning_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from scaling.study.results import Study

HEIGHT, LEFT, RIGHT, BELOW, ABOVE = 2.5, 0.62, 0.72, 0.44, 0.06
"""Inches of the panel, and beside, below and above it for its words."""
BEYOND = 2.0
"""How many times the lift-off rate the axis reaches where the driver's fastest turn lies beyond."""


@dataclass(frozen=True)
class Turner(Beside):
    """One robot with its ground loads and its weight, N."""

    loads: Turning
    weight: float


def figure(study: Study, look: Look) -> Figure:
    """Draw the ground load of either side over the turn rate."""
    turners = turners_of(study, look)
    page = sheet(look, _title(study, turners), _lead(turners), HEIGHT + BELOW + ABOVE, halves(_key(turners)),
                 _notes(study, turners))
    panel = page.panel(LEFT, BELOW, page.width - LEFT - RIGHT, page.height - BELOW - ABOVE)
    _draw(panel, look, turners)
    return page.figure


def alt(study: Study) -> str:
    """Say at which rate a side lifts, reference and port."""
    turners = turners_of(study, LIGHT)
    return f"{_title(study, turners)}. " + " ".join(f"{_told(turner)}." for turner in turners)


def turners_of(study: Study, look: Look) -> list[Turner]:
    """Return the reference and the port to build, as far as turning lifts a side of them."""
    told = told_port(study)
    own, port = both(told, look)
    values = {name: entry.value for name, entry in told.port.quantities.items()}
    robots = ((own, {**study.design.variables, **study.reference}), (port, {**told.port.variables, **values}))
    ends = [_farthest(found) for _, each in robots if (found := turning_of(each, 1.0)) is not None]
    return [
        Turner(**vars(beside), loads=found, weight=each["mass"] * each["gravity"])
        for beside, each in robots if (found := turning_of(each, max(ends, default=1.0))) is not None
    ]  # fmt: skip


def _farthest(found: Turning) -> float:
    return min(max(1.15 * found.fastest, 1.3 * found.lifts_at), BEYOND * found.lifts_at)


def _title(study: Study, turners: list[Turner]) -> str:
    last = turners[-1]
    who = f"{title_name(study)}, {last.name}"
    share = last.loads.fastest / last.loads.lifts_at
    if share <= 1:
        return f"{who}: the fastest turn leaves {100 * (1 - share):.0f} % to lift-off"
    return f"{who}: a side lifts at 1/{format_number(share, 2)} of the fastest turn"


def _told(turner: Turner) -> str:
    loads = turner.loads
    return (f"{turner.words}: lifts a side at {format_value(loads.lifts_at, 'rad/s')}, so half a turn takes at least "
            f"{format_value(math.pi / loads.lifts_at, 's', 2)}; the drive could turn at "
            f"{format_value(loads.fastest, 'rad/s')}")


def _lead(turners: list[Turner]) -> str:
    return (f"Load of each side on the floor, as share of the weight, in a {turners[-1].loads.way} turn on the spot at "
            "full rotor speed: the gyro takes from one side what it gives the other. It is the mean load; that of a "
            "bar swings about it twice a turn of the bar.")


def _notes(study: Study, turners: list[Turner]) -> list[str]:
    if len(turners) > 1:
        return []
    missing = "the reference" if turners[0].words != REFERENCE else told_port(study).words
    return [f"Of {missing} there is no such curve: a number for it is lacking or its motor does not reach its speed."]


def _key(turners: list[Turner]) -> list[Any]:
    from matplotlib.lines import Line2D

    return [Line2D([], [], color=turner.colour, marker="o", markersize=5.5, markerfacecolor=turner.fill,
                   linestyle=turner.dash, linewidth=turner.wide, label=_told(turner)) for turner in turners]


def _draw(panel: Axes, look: Look, turners: list[Turner]) -> None:
    pace = to_shown(1.0, "rad/s")
    end = pace * float(turners[0].loads.rates[-1])
    panel.set_xlim(0, end)
    panel.set_ylim(0, 104)
    for turner in reversed(turners):  # the reference on top: where both agree its dashes show on the port's line
        loads, gid = turner.loads, turner.gid
        down = loads.rates <= loads.lifts_at * (1 + 1e-9)
        rates, lift = pace * loads.rates[down], pace * loads.lifts_at
        look_of = {"color": turner.colour, "linestyle": turner.dash, "linewidth": turner.wide, "clip_on": False}
        panel.plot(rates, 100 * loads.lifting[down] / turner.weight, gid=f"{gid}-lifting", **look_of)
        panel.plot(rates, 100 * loads.other[down] / turner.weight, gid=f"{gid}-other", **look_of)
        panel.vlines([lift], 0, 100, colors=turner.colour, linewidths=0.8, linestyles=":")
        panel.plot([lift], [0], "o", color=turner.colour, markerfacecolor=turner.fill, markersize=6.5, clip_on=False,
                   zorder=4, gid=f"{gid}-lift-off")
    lift = pace * min(turner.loads.lifts_at for turner in turners)
    panel.axvspan(lift, end, color=look.wash, linewidth=0, zorder=0)
    _fastest(panel, look, turners, pace, end)
    for share, words in ((0.28, "the side that lifts"), (0.78, "the other side")):
        panel.annotate(words, (0.04 * lift, 100 * share), fontsize=SMALL, color=look.soft, va="center")
    panel.set_yticks([0, 25, 50, 75, 100])
    panel.set_xlabel("turn rate, rpm")
    panel.set_ylabel("load of a side, % of the weight")
    panel.grid(axis="y")
    last = turners[-1]
    right_axis(panel, last.weight / 100, f"load of a side of {last.name}, N")


def _fastest(panel: Axes, look: Look, turners: list[Turner], pace: float, end: float) -> None:
    """Mark what the drive can turn at, or say how far beyond the axis it lies."""
    for place, turner in enumerate(turners):
        fastest, height = pace * turner.loads.fastest, 58 - 14 * place
        if fastest <= end:
            panel.plot([fastest], [height], "d", color=turner.colour, markerfacecolor=turner.fill, markersize=6,
                       gid=f"{turner.gid}-fastest")
            words = "the driver's fastest turn"
        else:
            panel.annotate("", (end, height), xytext=(-34, 0), textcoords="offset points", annotation_clip=False,
                           arrowprops={"arrowstyle": "-|>", "color": turner.colour, "linewidth": 1.2, "shrinkA": 0,
                                       "shrinkB": 0})  # fmt: skip
            words = f"fastest turn of {turner.name}, {fastest:.0f} rpm"
        panel.annotate(words, (min(fastest, end), height), xytext=(-38 if fastest > end else -7, 0), ha="right",
                       textcoords="offset points", va="center", fontsize=SMALL, color=turner.colour)
