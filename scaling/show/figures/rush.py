"""The rush race: the rotor spins up while an opponent like the robot itself comes from half the arena away."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from scaling.files.units import format_value
from scaling.show.figures.frame import halves, right_axis, sheet, title_name
from scaling.show.figures.look import SMALL, Look
from scaling.show.figures.told import REFERENCE, Beside, both, told_port
from scaling.study.courses import READY, Rush, rush_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from scaling.study.results import Study

UPPER, LOWER, GAP, BELOW = 2.0, 1.2, 0.16, 0.42
"""Inches of the panel of the energy, of that of the distance, between them, and below them."""

LEFT, RIGHT = 0.62, 0.72
"""Inches beside the panels for their axes' words."""


@dataclass(frozen=True)
class Racer(Beside):
    """One robot with its race."""

    race: Rush

    @property
    def ring(self) -> float:
        """Points across the ring where it meets its opponent: one ring within the other where both agree."""
        return 7.5 if self.words == REFERENCE else 10.5


def figure(study: Study, look: Look) -> Figure:
    """Draw the share of the rotor's energy over the opponent's distance, one time for both."""
    racers = races(study, look)
    page = sheet(look, _title(study, racers), _lead(), UPPER + GAP + LOWER + BELOW, halves(_key(racers)),
                 _notes(study, racers))
    wide, spare = page.width - LEFT - RIGHT, page.height - (UPPER + GAP + LOWER + BELOW)
    lower = page.panel(LEFT, BELOW, wide, LOWER + spare / 3)
    upper = page.panel(LEFT, BELOW + LOWER + spare / 3 + GAP, wide, UPPER + 2 * spare / 3)
    end = 1.08 * max(max(racer.race.arrival, racer.race.ready) for racer in racers)
    _energy(upper, look, racers, end)
    _distance(lower, racers, end)
    return page.figure


def alt(study: Study) -> str:
    """Say who is ready first, reference and port."""
    from scaling.show.figures.look import LIGHT

    racers = races(study, LIGHT)
    return f"{_title(study, racers)}. " + " ".join(f"{_told(racer)}." for racer in racers)


def races(study: Study, look: Look) -> list[Racer]:
    """Return the reference's race and that of the port to build, as far as there are such."""
    told = told_port(study)
    own, port = both(told, look)
    quantities = {name: entry.value for name, entry in told.port.quantities.items()}
    robots = (
        (own, {**study.design.variables, **study.reference}, study.design.traits),
        (port, {**told.port.variables, **quantities}, (told.port.machine or study.design).traits),
    )
    return [Racer(**vars(beside), race=race) for beside, values, traits in robots
            if (race := rush_of(values, traits)) is not None]  # fmt: skip


def _title(study: Study, racers: list[Racer]) -> str:
    race = racers[-1].race
    who = f"{title_name(study)}, {racers[-1].name}"
    if race.ready <= race.arrival:
        return f"{who}: ready {format_value(race.arrival - race.ready, 's', 2)} before the opponent is there"
    return f"{who}: the opponent is there {format_value(race.ready - race.arrival, 's', 2)} too soon"


def _told(racer: Racer) -> str:
    race = racer.race
    full = format_value(race.energy, "J")
    return (f"{racer.words}: {_percent(READY)} of {full} after {format_value(race.ready, 's')}, opponent there after "
            f"{format_value(race.arrival, 's')}, when the rotor has {_percent(race.share_met)}")


def _lead() -> str:
    return ("An opponent like the robot itself starts half the arena away, flat out, as the rotor starts from rest. A "
            f"ring marks where they meet; from {_percent(READY)} of its energy the rotor counts as ready.")


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _notes(study: Study, racers: list[Racer]) -> list[str]:
    told = told_port(study)
    if any(racer.words != REFERENCE for racer in racers):
        return []
    return [f"The motor of {told.words} does not reach the speed that is asked of it, so that it has no such race."]


def _key(racers: list[Racer]) -> list[object]:
    from matplotlib.lines import Line2D

    return [Line2D([], [], color=racer.colour, linestyle=racer.dash, linewidth=racer.wide, marker="o",
                   markersize=racer.ring - 4, markerfacecolor=racer.fill, label=_told(racer)) for racer in racers]


def _energy(panel: Axes, look: Look, racers: list[Racer], end: float) -> None:
    panel.set_xlim(0, end)
    panel.set_ylim(0, 104)
    panel.axhline(100 * READY, color=look.rule, linewidth=0.8, linestyle=(0, (4, 2)))
    panel.text(0.005 * end, 100 * READY + 1.2, "ready", fontsize=SMALL, color=look.soft)
    for racer in reversed(racers):  # the reference on top: where both agree its dashes show on the port's line
        race = racer.race
        times, share = np.append(race.spin_times, max(end, race.spin_times[-1])), np.append(race.share, race.share[-1])
        panel.plot(times, 100 * share, color=racer.colour, linestyle=racer.dash, linewidth=racer.wide,
                   gid=f"{racer.gid}-energy")
        panel.vlines([race.arrival], 0, 100 * race.share_met, colors=racer.colour, linewidths=0.8, linestyles=":")
        panel.plot([race.arrival], [100 * race.share_met], "o", markersize=racer.ring, markerfacecolor="none",
                   markeredgecolor=racer.colour, markeredgewidth=1.3, clip_on=False, gid=f"{racer.gid}-meet")
        panel.plot([race.ready], [100 * READY], "o", color=racer.colour, markersize=racer.ring - 4,
                   markerfacecolor=racer.fill, gid=f"{racer.gid}-ready")
    panel.set_yticks([0, 20, 40, 60, 80, 100])
    panel.set_ylabel("rotor energy, % of full")
    panel.tick_params(labelbottom=False)
    panel.grid(axis="y")
    last = racers[-1]
    right_axis(panel, last.race.energy / 100, f"rotor energy of {last.name}, J")


def _distance(panel: Axes, racers: list[Racer], end: float) -> None:
    panel.set_xlim(0, end)
    most = max(float(racer.race.left[0]) for racer in racers)
    panel.set_ylim(0, 1.06 * most)
    for racer in reversed(racers):
        panel.plot(racer.race.run_times, racer.race.left, color=racer.colour, linestyle=racer.dash, clip_on=False,
                   linewidth=racer.wide, gid=f"{racer.gid}-distance")
        panel.vlines([racer.race.arrival], 0, 1.06 * most, colors=racer.colour, linewidths=0.8, linestyles=":")
        panel.plot([racer.race.arrival], [0], "o", markersize=racer.ring, markerfacecolor="none",
                   markeredgecolor=racer.colour, markeredgewidth=1.3, clip_on=False)
    panel.set_xlabel("time from the start, s")
    panel.set_ylabel("opponent away, m")
    panel.grid(axis="y")
