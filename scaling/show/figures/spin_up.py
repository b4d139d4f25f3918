"""Spin-up: rotor speed and energy against time, of the reference and of every port."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.book.told_apart import told_apart
from scaling.files.units import format_value, to_shown
from scaling.show.figures.frame import (
    EDGE,
    Signed,
    halves,
    hollow_key,
    missing_note,
    port_signs,
    sheet,
    title_name,
)
from scaling.show.figures.look import LIGHT, SMALL, Look, Sign
from scaling.show.figures.shared import Spot, along, gathered, lettered
from scaling.show.figures.told import told_port
from scaling.study.courses import READY, Spin, spin_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure as Drawing

    from scaling.study.results import Study

HEIGHT, LEFT, ABOVE, BELOW = 2.6, 0.66, 0.26, 0.42

BEYOND = 2.5
"""How many times the highest that is reached what is only asked for may stretch an axis."""

GOAL = 0.95
"""Share of its speed at which a rotor counts as spun up, as in the spin-up time."""


@dataclass(frozen=True)
class Course:
    """A port's spin-up, None where its motor does not reach ``asked`` (rad/s), and the ``energy`` (J) that has then."""

    sign: Sign
    spin: Spin | None
    asked: float
    energy: float


@dataclass(frozen=True)
class Side:
    """One of the two panels: what it shows of a spin-up, and where a spin-up's mark stands."""

    words: str
    scale: float
    values: Callable[[Spin], Any]
    mark: Callable[[Spin], tuple[float, float]]
    asked: Callable[[Course], float]
    title: str
    gid: str


SPEED = Side(
    "rotor speed, rpm", to_shown(1.0, "rad/s"), lambda spin: spin.speeds, lambda spin: (spin.goal, GOAL * spin.full),
    lambda course: course.asked, f"mark: {100 * GOAL:.0f} % of the speed", "speed",
)  # fmt: skip
ENERGY = Side(
    "rotor energy, J", 1.0, lambda spin: spin.energies,
    lambda spin: (spin.ready, READY * spin.energies[-1] * (spin.full / spin.speeds[-1]) ** 2),
    lambda course: course.energy, f"mark: {100 * READY:.0f} % of the energy", "energy",
)  # fmt: skip


def figure(study: Study, look: Look) -> Drawing:
    """Draw speed and energy side by side over one time."""
    own, courses = courses_of(study, look)
    page = sheet(look, _title(study), _lead(courses), HEIGHT + ABOVE + BELOW,
                 halves([*_key(own, port_signs(study, look), look), *hollow_key(study, ["rotor_speed"], look)]),
                 [*_notes(study, own, courses), *missing_note(study)])
    wide = (page.width - 2 * LEFT - EDGE - 0.1) / 2
    tall = page.height - ABOVE - BELOW
    spins = [spin for spin in (own, *(course.spin for course in courses)) if spin is not None]
    end = 1.12 * max((spin.goal for spin in spins), default=1.0)
    for place, side in enumerate((SPEED, ENERGY)):
        panel = page.panel(LEFT + place * (LEFT + wide), BELOW, wide, tall)
        _draw(panel, side, own, courses, end, (wide, tall), look)
    return page.figure


def alt(study: Study) -> str:
    """Say how long the port to build takes, which port takes least and most, and which never gets there."""
    own, courses = courses_of(study, LIGHT)
    there = sorted((told_apart(course.spin.goal), course.sign.letter) for course in courses if course.spin is not None)
    said = f" Of the ports {there[0][1]} is quickest with {format_value(there[0][0], 's')}" if there else ""
    said += f", {there[-1][1]} slowest with {format_value(there[-1][0], 's')}." if len(there) > 1 else "." * bool(there)
    return f"{_title(study)}.{said} {' '.join(_notes(study, own, courses))}".strip()


def courses_of(study: Study, look: Look) -> tuple[Spin | None, list[Course]]:
    """Return the reference's spin-up and every port's, in the order of the ports."""
    own = spin_of({**study.design.variables, **study.reference}, study.design.traits)
    found = []
    for port, sign in port_signs(study, look):
        values = {name: entry.value for name, entry in port.quantities.items()}
        spin = spin_of({**port.variables, **values}, (port.machine or study.design).traits)
        found.append(Course(sign, spin, values.get("rotor_speed", math.nan), values.get("rotor_energy", math.nan)))
    return own, found


def _title(study: Study) -> str:
    told = told_port(study)
    who = f"{title_name(study)}, {told.words}"
    entry = told.port.quantities.get("spin_up_time")
    if entry is None:
        return f"{who}: its motor does not reach the speed that is asked of it"
    own = study.reference.get("spin_up_time")
    was = "" if own is None else f", was {format_value(own, 's', 2)}"
    return f"{who}: spun up in {format_value(entry.value, 's', 2)}{was}"


def _lead(courses: list[Course]) -> str:
    hollow = any(course.spin is None for course in courses)
    return ("From rest at full throttle, with motor, pack and air as they are at each size. Curves that coincide lie "
            "on one another; ports whose marks agree share one, with their letters."
            + (" A hollow mark at the right edge is a speed that is asked for and never reached." if hollow else ""))


def _notes(study: Study, own: Spin | None, courses: list[Course]) -> list[str]:
    never = [course.sign.letter for course in courses if course.spin is None and course.asked > 0]
    beyond = [course.sign.letter for course in courses for side in (SPEED, ENERGY)
              if course.spin is None and side.asked(course) > _top(side, own, courses)]
    lacking = [course.sign.letter for course in courses if course.spin is None and not course.asked > 0]
    notes = [f"The motor does not reach the speed that is asked of it: {', '.join(never)}."] if never else []
    notes += [f"At the upper edge, and beyond it: {', '.join(dict.fromkeys(beyond))}."] if beyond else []
    notes += [f"No rotor speed is known of {', '.join(lacking)}."] if lacking else []
    if "spin_up_time" not in study.reference:
        notes.append("The reference has no spin-up: a number for it is lacking.")
    return notes


def _key(own: Spin | None, ports: Signed, look: Look) -> list[Any]:
    from matplotlib.lines import Line2D

    key = [] if own is None else [Line2D([], [], label="reference", **_reference(look))]
    return key + [Line2D([], [], **sign.mark() | {"linestyle": sign.dash, "color": sign.colour}, label=sign.label)
                  for _, sign in ports]


def _reference(look: Look) -> dict[str, Any]:
    return {"color": look.ink, "linewidth": 1.1, "linestyle": (0, (4, 2)), "marker": "o", "markersize": 5.6,
            "markerfacecolor": look.page, "markeredgewidth": 1.3}


def _top(side: Side, own: Spin | None, courses: list[Course]) -> float:
    """Return where a panel ends: above all that is reached, and above what is not unless that is far beyond."""
    there = [side.values(spin)[-1] for spin in (own, *(course.spin for course in courses)) if spin is not None]
    asked = [side.asked(course) for course in courses if math.isfinite(side.asked(course))]
    highest = max(there, default=max(asked, default=1.0))
    return float(1.08 * max([highest, *(value for value in asked if value <= BEYOND * highest)]))


def _draw(
    panel: Axes, side: Side, own: Spin | None, courses: list[Course], end: float, size: tuple[float, float], look: Look
) -> None:
    from matplotlib.ticker import MaxNLocator

    top = side.scale * _top(side, own, courses)
    panel.set_xlim(0, end)
    panel.set_ylim(0, top)
    spots, taken = [], []

    def draw(spin: Spin, **options: Any) -> None:
        """A rotor that is there holds its speed."""
        times, values = np.append(spin.times, max(end, spin.times[-1])), side.scale * side.values(spin)
        values = np.append(values, values[-1])
        panel.plot(times, values, **options)
        taken.extend(along(times / end * size[0], values / top * size[1], size))

    for course in courses:
        sign, spin = course.sign, course.spin
        if spin is not None:
            draw(spin, color=sign.colour, linestyle=sign.dash, gid=f"{side.gid}-{sign.letter}-curve")
            x, y = side.mark(spin)
        else:
            x, y = end, min(side.asked(course), top / side.scale)
        if math.isfinite(y):
            at = (x / end * size[0], side.scale * y / top * size[1])
            spots.append(Spot(*at, (sign,), hollow=spin is None))
    if own is not None:
        line = _reference(look) | {"marker": "", "zorder": 3}
        draw(own, gid=f"{side.gid}-reference-curve", **line)
        x, y = side.mark(own)
        panel.plot([x], [side.scale * y], zorder=4, gid=f"{side.gid}-reference", **_reference(look))
    found = gathered(spots)
    for spot in found:
        panel.plot([spot.x / size[0] * end], [spot.y / size[1] * top], clip_on=False, zorder=5,
                   gid=f"{side.gid}-{spot.gid}", **spot.mark())
    lettered(panel, found, size, look, taken)
    panel.set_title(side.title, loc="left", fontsize=SMALL, color=look.soft, pad=4)
    panel.set_xlabel("time from rest, s")
    panel.set_ylabel(side.words)
    panel.xaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 2.5, 5, 10], prune="upper"))
    panel.yaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 2.5, 5, 10]))
    panel.xaxis.set_major_formatter("{x:g}")
    panel.yaxis.set_major_formatter("{x:g}")
    panel.grid(axis="y")
