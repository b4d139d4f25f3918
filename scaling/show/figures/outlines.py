"""The reference and the port to build from the side and from above, both to one scale, beside a hand's width."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.files.units import format_number, format_value, to_shown
from scaling.show.figures.frame import EDGE, Sheet, grams_text, sheet, text_width, title_name
from scaling.show.figures.look import SMALL, TEXT, Look
from scaling.show.figures.silhouette import Machine, View, side_view, top_view
from scaling.show.figures.told import Told, told_port

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from scaling.book.entry import Array
    from scaling.robot.design import Design
    from scaling.study.results import Study

HAND = 0.085
"""A hand's breadth across the palm, m: the median of British men of 19 to 65, of women 75 mm (a table of anthropometry
on the web, which quotes it)."""

FINGERS = 4

TALLEST = 4.9
"""Inches of the whole band at most, so that the picture stays on a page."""

SIDE, BETWEEN, HEAD, FOOT, HAND_ROW = 0.5, 0.34, 0.62, 0.42, 0.42
"""Inches left of a machine for its dimensions, between two machines, above them for their words, below the floor for
the length, and for the hand."""

LEAST_WORDS = 1.35
"""Inches that the words above a machine need at least."""

SYMBOL = 0.058
"""Inches of the radius of the mark of the centre of gravity."""


@dataclass(frozen=True)
class Cell:
    """One machine of the picture: its views, its dimensions, the box of its class, and its words."""

    side: View
    top: View
    numbers: Mapping[str, float]
    box: Mapping[str, float]
    heading: str
    words: tuple[str, ...]
    letter: str
    rear: float

    @property
    def box_from(self) -> float:
        """Where the class's box begins along the machine, which stands in its middle."""
        return self.rear + (self.numbers["length"] - self.box.get("length", self.numbers["length"])) / 2

    @property
    def low(self) -> Array:
        """Rearmost place, lowest place of the side view and of the top view, m."""
        return np.array([
            min(self.side.low[0], self.top.low[0], self.box_from), min(0.0, self.side.low[1]),
            min(self.top.low[1], -self.box.get("width", 0.0) / 2),
        ])

    @property
    def high(self) -> Array:
        """Foremost place, highest place of the side view and of the top view, m."""
        return np.array([
            max(self.side.high[0], self.top.high[0], self.box_from + self.box.get("length", 0.0)),
            max(self.side.high[1], self.box.get("height", 0.0)),
            max(self.top.high[1], self.box.get("width", 0.0) / 2),
        ])

    @property
    def size(self) -> Array:
        """Length, height and width of what is drawn, m."""
        return np.asarray(self.high - self.low)


def figure(study: Study, look: Look) -> Figure:
    """Draw both machines, the side views on one floor and the top views below them."""
    told = told_port(study)
    cells = (_reference(study), _port(study, told))
    scale = _scale(cells, look)
    tall = [max(cell.size[place] for cell in cells) * scale for place in (1, 2)]
    band = HEAD + tall[0] + FOOT + tall[1] + HAND_ROW + 0.1
    page = sheet(look, _title(study, told), _lead(), band, ((), ()), _notes(cells))
    spare = page.height - band
    panel = _canvas(page)
    floor, middle = HAND_ROW + tall[1] + FOOT + 0.1 + 0.6 * spare, HAND_ROW + 0.3 * spare
    widths = [max(cell.size[0] * scale, LEAST_WORDS) for cell in cells]
    air = (page.width - 2 * EDGE - len(cells) * SIDE - sum(widths)) / len(cells)
    left = start = EDGE + SIDE + 0.4 * air
    for cell, filled in zip(cells, (False, True), strict=True):
        origin = (left - cell.low[0] * scale, floor)
        _floor(panel, look, left, left + cell.size[0] * scale, floor)
        _draw(panel, look, cell.side, origin, scale, filled, f"{cell.letter}-side")
        above = (left - cell.low[0] * scale, middle + tall[1] / 2)
        _draw(panel, look, cell.top, above, scale, filled, f"{cell.letter}-top")
        _dimensions(panel, look, cell, origin, above, scale)
        _class_box(panel, look, cell, origin, above, scale)
        _words(panel, look, cell, left, floor + tall[0] + HEAD - 0.06, filled)
        left += widths[0] + air + SIDE
    _hand(panel, look, scale, start)
    return page.figure


def alt(study: Study) -> str:
    """Say how much larger the port is than the reference."""
    told = told_port(study)
    own, port = study.design.variables, told.port.variables
    return (
        f"{_title(study, told)}. Side and top outlines to one scale: {_millimetres(own['length'])} long and "
        f"{_millimetres(own['width'])} wide against {_millimetres(port['length'])} and {_millimetres(port['width'])}, "
        f"beside a hand's width of {_millimetres(HAND)}."
    )


def _title(study: Study, told: Told) -> str:
    factor = told.port.factor or 1.0
    said = f"{title_name(study)} and {told.words}: {format_number(factor, 3)} times as long"
    energy = told.port.quantities.get("rotor_energy")
    if energy is not None and energy.ratio is not None:
        return f"{said}, {format_number(energy.ratio, 2)} times the energy"
    mass = told.port.variables["mass"] / study.design.variables["mass"]
    return f"{said}, {format_number(mass, 2)} times the mass"


def _lead() -> str:
    return ("Both to one scale, from the side and from above, as far as the design file's dimensions and places tell; "
            "where it says nothing the outline is schematic.")


def _notes(cells: Sequence[Cell]) -> list[str]:
    dash = " A dashed circle is what the teeth cut." if any(cell.side.sweep is not None or cell.top.sweep is not None
                                                         for cell in cells) else ""
    sizes = [f"{key} {_millimetres(size)}" for cell in cells for key, size in cell.box.items()]
    boxed = f" The dashed box is what the class allows: {', '.join(sizes)}." if sizes else ""
    return [f"A quartered disc marks the centre of gravity, a cross an axle.{dash}{boxed}"]


def machine_of(design: Design, numbers: Mapping[str, float], factor: float) -> Machine:
    """Return a machine's shape: a design's words and places, these carried by a factor, with numbers of its own."""
    places = {name: tuple((x * factor, y * factor, z * factor) for x, y, z in rows)
              for name, rows in design.places.items()}
    counts = {part.name: part.count for part in design.parts}
    return Machine(numbers, design.choices, places, design.ties, counts)


def _reference(study: Study) -> Cell:
    design = study.design
    machine = machine_of(design, design.variables, 1.0)
    words = _told_numbers(design.variables, study.reference)
    return Cell(side_view(machine), top_view(machine), design.variables, {}, "Reference", words, "reference",
                machine.rear)


def _port(study: Study, told: Told) -> Cell:
    port = told.port
    design = port.machine or study.design
    machine = machine_of(design, port.variables, 1.0 if port.machine else port.factor or 1.0)
    values = {name: entry.value for name, entry in port.quantities.items()}
    heading = f"{told.words[0].upper()}{told.words[1:]}"
    return Cell(side_view(machine), top_view(machine), port.variables, study.brief.size_limit, heading,
                _told_numbers(port.variables, values), told.letter, machine.rear)


def _told_numbers(numbers: Mapping[str, float], values: Mapping[str, float]) -> tuple[str, ...]:
    """Mass, and what a builder asks for first."""
    mass = grams_text(numbers["mass"])
    if "rotor_energy" in values:
        tips = format_value(values["tip_speed"], "m/s")
        return (mass, f"{format_value(values['rotor_energy'], 'J')}, {tips} at the tips")
    return (mass, f"{format_value(values['top_speed'], 'm/s')} flat out" if "top_speed" in values else "")


def _millimetres(length: float) -> str:
    """A length as a drawing has it: whole millimetres, finer below twenty."""
    found = to_shown(length, "m")
    return f"{found:.0f} mm" if found >= 20 else f"{found:.3g} mm"


def _scale(cells: Sequence[Cell], look: Look) -> float:
    """Inches a metre: both machines beside each other fill the sheet, or its height."""
    room = look.width - 2 * EDGE - len(cells) * SIDE - (len(cells) - 1) * BETWEEN - 0.12
    sizes = sorted(cell.size[0] for cell in cells)
    across = room / sum(sizes)
    if sizes[0] * across < LEAST_WORDS:
        across = (room - LEAST_WORDS) / sizes[-1]
    tall = sum(max(cell.size[place] for cell in cells) for place in (1, 2))
    most = TALLEST if look.height is None else max(2.5, look.height - 1.2)
    return float(min(across, (most - HEAD - FOOT - HAND_ROW - 0.1) / tall))


def _canvas(page: Sheet) -> Axes:
    """A panel over the whole band whose units are inches."""
    panel = page.panel(0.0, 0.0, page.width, page.height)
    panel.set_xlim(0, page.width)
    panel.set_ylim(0, page.height)
    panel.axis("off")
    return panel


@dataclass(frozen=True)
class Paint:
    """How a role is filled and drawn round."""

    fill: str
    edge: str
    line: float
    dash: Any = "-"


def _paints(look: Look, filled: bool) -> dict[str, Paint]:
    edge = look.colours[0] if filled else look.ink
    body = look.tint if filled else look.page
    rotor = look.colours[0] if filled else look.page
    return {
        "body": Paint(body, edge, 1.2),
        "wall": Paint(body, edge, 0.8),
        "wheel": Paint(look.grid, edge, 0.9),
        "wedge": Paint(look.page if not filled else look.tint, edge, 0.9),
        "motor": Paint("none", edge, 0.7, (0, (2.5, 1.6))),
        "belt": Paint("none", edge, 0.7, (0, (2.5, 1.6))),
        "rotor": Paint(rotor, edge, 1.2),
        "bore": Paint(look.page, edge, 0.7),
    }


def _draw(panel: Axes, look: Look, view: View, origin: Any, scale: float, filled: bool, gid: str) -> None:
    from matplotlib.collections import LineCollection, PolyCollection

    paints, start = _paints(look, filled), np.asarray(origin)
    painted = [paints[shape.role] for shape in view.shapes]
    panel.add_collection(PolyCollection(
        [shape.points * scale + start for shape in view.shapes], facecolors=[paint.fill for paint in painted],
        edgecolors=[paint.edge for paint in painted], linewidths=[paint.line for paint in painted],
        linestyles=[paint.dash for paint in painted], joinstyle="round", gid=gid,
    ))
    edge = paints["body"].edge
    if view.sweep is not None:
        _turning(panel, view, start, scale, edge)
        panel.add_collection(LineCollection([view.sweep * scale + start], colors=edge, linewidths=0.7,
                                            linestyles=[(0, (4, 2.2))], gid=f"{gid}-sweep"))
    arm = np.array([[[-0.045, 0], [0.045, 0]], [[0, -0.045], [0, 0.045]]])
    crosses = [line + np.array(axle) * scale + start for axle in view.axles for line in arm]
    panel.add_collection(LineCollection(crosses, colors=edge, linewidths=0.6))
    _centre(panel, look, np.array(view.centre) * scale + start, f"{gid}-centre")


def _turning(panel: Axes, view: View, start: Array, scale: float, colour: str) -> None:
    """An arrow outside the cutting circle that says which way the rotor turns."""
    assert view.sweep is not None  # noqa: S101 - there is one where this is called
    middle = (view.sweep.min(axis=0) + view.sweep.max(axis=0)) / 2
    reach = np.ptp(view.sweep[:, 0]) / 2 * scale + 0.06
    angles = np.radians(np.linspace(42, 68, 12)[:: view.turn])
    arc = reach * np.stack([np.cos(angles), np.sin(angles)], axis=1) + middle * scale + start
    panel.annotate("", arc[-1], arc[0], arrowprops={
        "arrowstyle": "-|>,head_width=0.16,head_length=0.3", "color": colour, "linewidth": 0.9, "shrinkA": 0,
        "shrinkB": 0, "connectionstyle": f"arc3,rad={0.12 * view.turn}",
    })


def _centre(panel: Axes, look: Look, place: Array, gid: str) -> None:
    """The quartered disc of a centre of gravity."""
    from matplotlib.collections import PolyCollection

    def quarter(number: int) -> Array:
        angles = np.linspace(0, np.pi / 2, 8) + number * np.pi / 2
        arc = SYMBOL * np.stack([np.cos(angles), np.sin(angles)], axis=1)
        return np.asarray(np.concatenate([[[0.0, 0.0]], arc]) + place)

    panel.add_collection(PolyCollection([quarter(n) for n in range(4)], edgecolors=look.ink, linewidths=0.6, gid=gid,
                                        facecolors=[look.ink, look.page, look.ink, look.page], zorder=5))


def _floor(panel: Axes, look: Look, left: float, right: float, height: float) -> None:
    ends = (left - 0.1, right + 0.1)
    ticks = np.arange(ends[0] + 0.04, ends[1], 0.07)
    across = np.stack([ticks, ticks - 0.04, np.full_like(ticks, np.nan)], axis=1).ravel()
    panel.plot(ends, (height, height), color=look.rule, linewidth=0.9)
    panel.plot(across, np.tile([height, height - 0.04, np.nan], len(ticks)), color=look.rule, linewidth=0.45)


def _dimensions(panel: Axes, look: Look, cell: Cell, side: Any, top: Any, scale: float) -> None:
    """Length below the floor, height beside the side view, width beside the top view."""
    long, wide, tall = (cell.numbers[key] for key in ("length", "width", "height"))
    rear, reach = side[0] + cell.rear * scale, long * scale
    below, beside = side[1] - 0.2, side[0] + cell.low[0] * scale - 0.14
    _dimension(panel, look, (rear, below), (rear + reach, below), _millimetres(long))
    _dimension(panel, look, (beside, side[1]), (beside, side[1] + tall * scale), _millimetres(tall))
    _dimension(panel, look, (beside, top[1] - wide / 2 * scale), (beside, top[1] + wide / 2 * scale),
               _millimetres(wide))


def _dimension(panel: Axes, look: Look, start: tuple[float, float], end: tuple[float, float], words: str) -> None:
    """A dimension line with slanted ends, its words on the page's colour in the middle, beside it where it is short."""
    from matplotlib.collections import LineCollection

    slash = np.array([[-0.03, -0.03], [0.03, 0.03]])
    panel.add_collection(LineCollection([[start, end], slash + np.array(start), slash + np.array(end)],
                                        colors=look.soft, linewidths=[0.5, 0.9, 0.9]))
    upright = start[0] == end[0]
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    length = end[1] - start[1] if upright else end[0] - start[0]
    if text_width([words]) + 0.12 > length:
        middle = (middle[0] - 0.08, middle[1]) if upright else (middle[0], middle[1] - 0.09)
    panel.text(*middle, words, rotation=90 if upright else 0, ha="center", va="center", fontsize=SMALL,
               color=look.soft, bbox={"facecolor": look.page, "edgecolor": "none", "pad": 1.2})


def _class_box(panel: Axes, look: Look, cell: Cell, side: Any, top: Any, scale: float) -> None:
    from matplotlib.collections import LineCollection

    if not cell.box:
        return
    left = side[0] + cell.box_from * scale
    long = left + cell.box.get("length", cell.numbers["length"]) * scale
    tall = side[1] + cell.box.get("height", cell.numbers["height"]) * scale
    half = cell.box.get("width", cell.numbers["width"]) / 2 * scale
    lines = []
    if "length" in cell.box or "height" in cell.box:
        ends = [[(left, side[1]), (left, tall)], [(long, side[1]), (long, tall)]] if "length" in cell.box else []
        lines += [*ends, *([[(left, tall), (long, tall)]] if "height" in cell.box else [])]
    lines.append([(left, top[1] - half), (long, top[1] - half), (long, top[1] + half), (left, top[1] + half),
                  (left, top[1] - half)])  # fmt: skip
    panel.add_collection(LineCollection(lines, colors=look.bad, linewidths=1.0, linestyles=[(0, (5, 3))], gid="class"))


def _words(panel: Axes, look: Look, cell: Cell, left: float, height: float, filled: bool) -> None:
    panel.text(left, height, cell.heading, fontsize=TEXT + 1, fontweight="bold", va="top",
               color=look.colours[0] if filled else look.ink)
    panel.text(left, height - 0.16, "\n".join(cell.words), fontsize=SMALL, va="top", color=look.soft)


def _hand(panel: Axes, look: Look, scale: float, start: float) -> None:
    """A bar as wide as a hand, in four fingers."""
    from matplotlib.collections import PolyCollection

    from scaling.show.figures.silhouette import box

    left, low, wide = start, 0.06, HAND * scale / FINGERS
    fingers = [box(left + n * wide, left + (n + 1) * wide, low, low + 0.16, 0.07) for n in range(FINGERS)]
    panel.add_collection(PolyCollection(fingers, facecolors=look.wash, edgecolors=look.ink, linewidths=0.8, gid="hand"))
    panel.text(left + FINGERS * wide + 0.1, low + 0.08, f"{_millimetres(HAND)}, a hand's width, to the same scale",
               fontsize=SMALL, va="center", color=look.ink)
