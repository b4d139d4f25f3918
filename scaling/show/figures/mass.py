"""The mass waterfall: from the reference over the factor's cube to the port to build, and where the grams go."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.book.told_apart import told_apart
from scaling.files.units import format_number, to_shown
from scaling.robot.kinds import STATED
from scaling.robot.parts import GROUPS
from scaling.show.figures.frame import (
    BOLD,
    EDGE,
    LINE,
    Sheet,
    grams_text,
    halves,
    lines,
    missing_note,
    plain_name,
    port_signs,
    sheet,
    text_width,
    title_name,
)
from scaling.show.figures.look import LIGHT, SMALL, Look
from scaling.show.figures.shared import Spot, gathered, lettered
from scaling.show.figures.told import Told, told_port

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure as Drawing

    from scaling.book.entry import Array
    from scaling.robot.parts import Part
    from scaling.study.results import PartLine, Study

HATCHES = {"frame": "", "armour": "////", "rotor": "", "drive": "||||", "electronics": "\\\\\\\\"}
"""Hatch of each group: neighbours differ in lightness and in hatch, so that a grey print still tells."""

BAR, ROW = 0.27, 0.2
"""Inches of a bar of groups with the air round it, and of a step of the waterfall."""

AXIS, GAP, PORTS = 0.4, 0.14, 0.36
"""Inches below each panel for its axis, between the two, and of the row of all ports."""

STEPS = 16
"""Most steps; the smallest of more stand together."""

LEAST = 0.05e-3
"""Kilograms below which a step is a rounding."""

BEYOND = 2.0
"""How many times the steps' own span another port may stretch the closer axis."""

ROUNDING = 0.5e-3
"""Kilograms by which a closed mass may miss the limit."""

LETTERS = 34
"""Most letters in a line of a step's label."""


@dataclass(frozen=True)
class Step:
    """One step of the waterfall: what of, why, and how many kilograms it adds."""

    words: str
    why: str
    change: float

    @property
    def label(self) -> tuple[str, ...]:
        """What of, in lines."""
        return lines(self.words, LETTERS)

    @property
    def numbers(self) -> str:
        """How much and why."""
        grams = to_shown(self.change, "kg")
        size = f"{abs(grams):.0f}" if abs(grams) >= 100 else f"{abs(grams):.1f}"
        return f"{'+' if grams > 0 else '−'}{size} g, {self.why}"


def figure(study: Study, look: Look) -> Drawing:
    """Draw the groups' bars of reference and port, and below them, on a closer axis, the steps between."""
    told = told_port(study)
    steps = steps_of(study, told)
    rows = np.array([ROW, *(max(ROW, LINE * len(step.label) + 0.03) for step in steps), ROW])
    tall = 3 * BAR + AXIS + GAP + float(rows.sum()) + PORTS + AXIS
    sums = group_sums(study, told)
    key = [*_groups_key(sums, look), *_lines_key(study, look), *_steps_key(look), *_ports_key(study, look)]
    notes = [*_beyond_note(study, _closer(study, told, steps)), *missing_note(study)]
    page = sheet(look, _title(study, told), _lead(told), tall, halves(key), notes)
    words = [*_bar_words(told), *(line for step in steps for line in step.label), *_ends(told), "all ports"]
    left = EDGE + text_width(words) + 0.1
    right = EDGE + max(text_width([step.numbers for step in steps] or [""]),
                       BOLD * text_width([_end_words(study, told, sums)]))
    wide = page.width - left - right - 0.06
    upper = page.panel(left, page.height - 3 * BAR, wide, 3 * BAR)
    size = (wide, page.height - 3 * BAR - AXIS - GAP - AXIS)
    lower = page.panel(left, AXIS, *size)
    _draw_bars(upper, study, told, sums, look)
    _draw_steps(lower, study, told, steps, rows, size, look)
    _zoom(page, upper, lower, look)
    return page.figure


def alt(study: Study) -> str:
    """Say what the cube asks for, what the port weighs, and the largest step between."""
    told = told_port(study)
    steps = sorted(steps_of(study, told), key=lambda step: -told_apart(abs(step.change)))
    largest = f" The largest step is {steps[0].words}, {steps[0].numbers}." if steps else ""
    cube = grams_text(cubed(study, told))
    return (f"{_title(study, told)}. By the cube of its factor it would weigh {cube}.{largest} The table of mass holds "
            "every part.")


def cubed(study: Study, told: Told) -> float:
    """Return the mass (kg) that the reference would have if all of it followed the factor's cube."""
    return float(study.design.variables["mass"] * (told.port.factor or 1.0) ** 3)


def steps_of(study: Study, told: Told) -> list[Step]:
    """Return the steps from the cube to the port: by each part's own rule, by the levers, by the shelf."""
    port, factor = told.port, told.port.factor or 1.0
    own = {part.name: part for part in study.design.parts}
    found = [
        *_largest_first([Step(line.name, _rule(line, own.get(line.name), told),
                              line.ideal - line.reference * factor**3) for line in port.parts]),
        *_largest_first([Step(line.name, _lever(line, study), line.closed - line.ideal) for line in port.parts]),
        *_largest_first([Step(line.name, "as the shelf has it", line.port - line.closed) for line in port.parts]),
    ]
    if len(found) <= STEPS:
        return found
    places = sorted(range(len(found)), key=lambda place: told_apart(abs(found[place].change)))
    small = set(places[: len(found) - STEPS + 1])
    rest = Step(f"{len(small)} smaller steps", "together", sum(found[place].change for place in sorted(small)))
    return [*(step for place, step in enumerate(found) if place not in small), rest]


def _largest_first(steps: list[Step]) -> list[Step]:
    return sorted([step for step in steps if abs(step.change) > LEAST], key=lambda step: -told_apart(abs(step.change)))


def _rule(line: PartLine, own: Part | None, told: Told) -> str:
    """Why a part does not follow the cube."""
    if own is None or told.port.machine is not None:
        return "as drawn"
    if line.kind == STATED:
        return "stays as it is" if own.kind == STATED else "as the brief says"
    if told.port.solved is not None:
        return "as the law found best"
    return "its thickness stays" if own.held else "as the brief says"


def _lever(line: PartLine, study: Study) -> str:
    levers = [row.lever for row in study.brief.closure if line.name in row.parts]
    return " and ".join(dict.fromkeys(levers)) or "closed"


def group_sums(study: Study, told: Told) -> Array:
    """Grams of each group, shape (3, groups): the reference, its cube, the port."""
    own = np.array([sum(part.total for part in study.design.parts if part.group == group) for group in GROUPS])
    new = [sum(line.port for line in told.port.parts if line.group == group) for group in GROUPS]
    return np.array([own, own * (told.port.factor or 1.0) ** 3, new], dtype=float) * to_shown(1.0, "kg")


def _beyond_note(study: Study, limits: tuple[float, float]) -> list[str]:
    """Name the ports whose mass lies beyond the closer axis."""
    low, high = limits
    far = [f"{sign.letter} {grams_text(mass)}" for port, sign in port_signs(study, LIGHT)
           if not low <= to_shown(mass := port.variables["mass"], "kg") <= high]
    return [f"At the edge of the closer axis, and beyond it: {', '.join(far)}."] if far else []


def _title(study: Study, told: Told) -> str:
    over = told.port.variables["mass"] - study.brief.allowed_mass
    mass = grams_text(told.port.variables["mass"])
    who = f"{title_name(study)}, {told.words}: {mass}"
    if not study.limited:
        return f"{who}, was {grams_text(study.design.variables['mass'])}"
    if abs(over) < ROUNDING:
        return f"{who}, all that the limit leaves"
    return f"{who}, {grams_text(abs(over))} {'too heavy' if over > 0 else 'to spare'}"


def _over(study: Study, told: Told) -> float:
    """Kilograms over what the limit leaves, 0 for a rounding."""
    over = told.port.variables["mass"] - study.brief.allowed_mass
    return float(over) if study.limited and over > ROUNDING else 0.0


def _end_words(study: Study, told: Told, sums: Array) -> str:
    over = _over(study, told)
    return f"{sums[2].sum():.0f} g" + (f", {grams_text(over)} over" if over else "")


def _lead(told: Told) -> str:
    return (f"Above: mass by part group, the sum at the bar's end. Below, on a closer axis: from the reference times "
            f"the cube of the factor, {format_number(told.port.factor or 1.0, 4)}, to {told.words}: what stays as it "
            "is or is stated, then levers, then the shelf.")


def _bar_words(told: Told) -> list[str]:
    return ["reference", *_ends(told)]


def _ends(told: Told) -> list[str]:
    name = f"port {told.letter}" if told.port.machine is None else told.port.machine.name
    return ["reference × factor³", plain_name(name, 24)]


def _limits(study: Study) -> list[tuple[str, float, Any]]:
    if not study.limited:
        return []
    limit, allowed = study.brief.mass_limit, study.brief.allowed_mass
    less = [("limit less margin", allowed, (0, (3, 2)))] if allowed < limit else []
    return [("mass limit", limit, "-"), *less]


def _groups_key(sums: Array, look: Look) -> list[Any]:
    from matplotlib.patches import Patch

    return [Patch(facecolor=colour, hatch=hatch, edgecolor=look.page, label=group)
            for (group, hatch), colour in zip(HATCHES.items(), look.fills, strict=True)
            if sums[:, GROUPS.index(group)].any()]


def _lines_key(study: Study, look: Look) -> list[Any]:
    from matplotlib.lines import Line2D

    return [Line2D([], [], color=look.ink, linewidth=1.1, linestyle=dash, label=f"{words}, {grams_text(mass)}")
            for words, mass, dash in _limits(study)]


def _steps_key(look: Look) -> list[Any]:
    from matplotlib.patches import Patch

    return [Patch(facecolor=look.bad, label="a step that adds"),
            Patch(facecolor=look.page, edgecolor=look.good, hatch="////", label="a step that takes away")]


def _ports_key(study: Study, look: Look) -> list[Any]:
    from matplotlib.lines import Line2D

    return [Line2D([], [], label=sign.label, **sign.mark()) for _, sign in port_signs(study, look)]


def _draw_bars(panel: Axes, study: Study, told: Told, sums: Array, look: Look) -> None:
    totals = sums.sum(axis=1)
    panel.set_xlim(0, 1.03 * max([float(totals.max()), *(to_shown(mass, "kg") for _, mass, _ in _limits(study))]))
    panel.set_ylim(2.5, -0.5)
    left = np.zeros(3)
    room = panel.get_xlim()[1] / (panel.get_position().width * look.width)
    for group, grams in zip(GROUPS, sums.T, strict=True):
        colour = look.fills[list(HATCHES).index(group)]
        panel.barh(range(3), grams, 0.72, left=left, color=colour, hatch=HATCHES[group], edgecolor=look.page,
                   linewidth=0.6, label=group)
        for row, gram in enumerate(grams):
            if gram > room * (text_width([f"{gram:.0f}"]) + 0.09):
                panel.text(left[row] + gram / 2, row, f"{gram:.0f}", ha="center", va="center_baseline", fontsize=SMALL,
                           color=look.ink, bbox={"facecolor": look.page, "edgecolor": "none", "pad": 0.8}, zorder=4)
        left = left + grams
    _draw_limits(panel, study, look)
    heavy = _over(study, told) > 0
    for row, total in enumerate(totals[:2]):
        _beside(panel, row, f"{total:.0f} g", look.ink)
    _beside(panel, 2, _end_words(study, told, sums), look.bad if heavy else look.ink, heavy)
    panel.set_yticks(range(3), _bar_words(told))
    panel.tick_params(axis="y", length=0)
    panel.set_xlabel("mass, g", labelpad=1)


def _draw_limits(panel: Axes, study: Study, look: Look) -> None:
    for _, mass, dash in _limits(study):
        panel.axvline(to_shown(mass, "kg"), color=look.ink, linewidth=1.1, linestyle=dash, zorder=3)


def _beside(panel: Axes, row: float, words: str, colour: str, bold: bool = False) -> None:
    panel.annotate(words, (1, row), xycoords=("axes fraction", "data"), xytext=(5, 0), textcoords="offset points",
                   va="center_baseline", fontsize=SMALL, color=colour, fontweight="bold" if bold else "normal")


def _draw_steps(
    panel: Axes, study: Study, told: Told, steps: list[Step], rows: Array, size: tuple[float, float], look: Look
) -> None:
    edges = np.concatenate([[0.0], np.cumsum(rows)])
    middles = (edges[:-1] + edges[1:]) / 2
    tall = float(edges[-1]) + PORTS
    grams = to_shown(1.0, "kg")
    start = cubed(study, told) * grams
    at = start + np.concatenate([[0.0], np.cumsum([step.change * grams for step in steps])])
    ports = [(port.variables["mass"] * grams, sign) for port, sign in port_signs(study, look)]
    low, high = _closer(study, told, steps)
    panel.set_xlim(low, high)
    panel.set_ylim(tall, 0)
    for middle, before, after in zip(middles[1:-1], at[:-1], at[1:], strict=True):
        adds = after > before
        panel.barh([middle], [after - before], 0.12, left=[before], facecolor=look.bad if adds else look.page,
                   edgecolor=look.bad if adds else look.good, hatch="" if adds else "//////", linewidth=0.8, zorder=3)
    panel.vlines(at, middles[:-1], middles[1:], colors=look.rule, linewidths=0.7, zorder=2, gid="steps")
    panel.plot([at[0], at[-1]], [middles[0], middles[-1]], "D", color=look.ink, markersize=4, zorder=4, gid="ends")
    _draw_limits(panel, study, look)
    panel.set_yticks([*middles, tall - PORTS / 2],
                     [_ends(told)[0], *("\n".join(step.label) for step in steps), _ends(told)[1], "all ports"])
    panel.tick_params(axis="y", length=0)
    panel.axhline(tall - PORTS, color=look.grid, linewidth=0.6)
    for middle, step in zip(middles[1:-1], steps, strict=True):
        _beside(panel, middle, step.numbers, look.soft)
    for middle, mass in ((middles[0], at[0]), (middles[-1], at[-1])):
        _beside(panel, middle, f"{mass:.0f} g", look.ink, bold=True)
    stretch = size[1] / tall

    def across(mass: float) -> float:
        return (min(max(mass, low), high) - low) / (high - low) * size[0]

    spots = gathered(Spot(across(mass), PORTS / 2 * stretch, (sign,)) for mass, sign in ports)
    for spot in spots:
        panel.plot([low + spot.x / size[0] * (high - low)], [tall - PORTS / 2], gid=spot.gid, zorder=4, clip_on=False,
                   **spot.mark())
    limits = [across(mass * grams) for _, mass, _ in _limits(study)]
    lettered(panel, spots, size, look, [(place - 0.015, 0.0, place + 0.015, size[1]) for place in limits])
    panel.set_xlabel("mass, g (closer axis)", labelpad=1)


def _closer(study: Study, told: Told, steps: list[Step]) -> tuple[float, float]:
    """Limits (g) of an axis that holds all steps, the limits and the ports that are not far beyond, with some air."""
    at = cubed(study, told) + np.concatenate([[0.0], np.cumsum([step.change for step in steps])])
    marks = [*at.tolist(), *(mass for _, mass, _ in _limits(study))]
    span = max(max(marks) - min(marks), 0.05 * max(marks))
    masses = [port.variables["mass"] for port in study.ports if port.factor is not None]
    marks += [mass for mass in masses if min(marks) - BEYOND * span <= mass <= max(marks) + BEYOND * span]
    low, high = (to_shown(end, "kg") for end in (min(marks), max(marks)))
    pad = max(0.06 * (high - low), 0.01 * high)
    return max(low - pad, 0.0), high + pad


def _zoom(page: Sheet, upper: Axes, lower: Axes, look: Look) -> None:
    """Show with a wash which stretch of the upper axis the lower one is."""
    from matplotlib.patches import Polygon

    above, below = upper.get_position(), lower.get_position()
    share = [end / upper.get_xlim()[1] for end in lower.get_xlim()]
    ends = [above.x0 + part * above.width for part in share]
    corners = [(ends[0], above.y0), (ends[1], above.y0), (below.x1, below.y1), (below.x0, below.y1)]
    page.figure.add_artist(Polygon(corners, closed=True, facecolor=look.wash, edgecolor="none",
                                   transform=page.figure.transFigure, zorder=-1))
    upper.axvspan(*lower.get_xlim(), color=look.wash, linewidth=0, zorder=0)
