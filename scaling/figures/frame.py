"""What every figure shares: the plain style, the mark of each port, and the words around the panels."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from scaling.tables import port_names
from scaling.units import format_number, shown_unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from scaling.study import Port, Study

WIDTH = 7.2
"""Width of every figure in inches: a page of A4 or Letter between its margins."""

TEXT = 7.5
SMALL = 7.0
LINE = SMALL * 1.3 / 72
"""Point sizes of the words, and the height in inches of a line of the small ones."""

LEFT, ABOVE, BELOW = 0.58, 0.32, 0.36
"""Inches beside, above and below each panel of a grid."""

SMALL_WIDTH = 0.052
"""Inches that a small character takes in running text, on the wide side."""

INK, FAINT, PALE, BAND = "#222222", "#8C8C8C", "#E9E9E9", "#BFD9EC"

COLOURS = ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#E69F00", "#56B4E9", "#5F5F5F")
"""Six colours of M. Okabe & K. Ito, Color Universal Design (from memory), which people with any of the usual
colour deficiencies tell apart, and a grey; their yellow is too light for lines."""

MARKERS = ("o", "s", "^", "D", "v", "P", "X", "<", ">", "p", "*", "h")
DASHES: tuple[Any, ...] = (
    "-", (0, (5, 1.6)), (0, (1.2, 1.4)), (0, (6, 1.5, 1.2, 1.5)), (0, (9, 2)), (0, (6, 1.5, 1.2, 1.5, 1.2, 1.5)),
    (0, (2.6, 1.2)), (0, (9, 1.5, 3, 1.5)),
)

STYLE: dict[str, Any] = {
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans"],
    "font.size": TEXT,
    "text.color": INK,
    "text.parse_math": False,
    "axes.labelcolor": INK,
    "axes.labelsize": SMALL,
    "axes.titlesize": TEXT,
    "axes.edgecolor": FAINT,
    "axes.linewidth": 0.6,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.axisbelow": True,
    "axes.grid": False,
    "xtick.labelsize": SMALL,
    "ytick.labelsize": SMALL,
    "xtick.color": FAINT,
    "ytick.color": FAINT,
    "xtick.labelcolor": INK,
    "ytick.labelcolor": INK,
    "xtick.major.size": 2.5,
    "ytick.major.size": 2.5,
    "lines.linewidth": 1.3,
    "hatch.linewidth": 0.6,
    "legend.fontsize": SMALL,
    "legend.frameon": False,
    "svg.fonttype": "none",
    "svg.hashsalt": "scaling study",
}


@contextmanager
def style() -> Iterator[None]:
    """Draw and save within: our own settings on top of the library's defaults, whatever a user's are."""
    import matplotlib as mpl

    with mpl.rc_context():
        mpl.rcdefaults()
        mpl.rcParams.update(STYLE)
        yield


@dataclass(frozen=True)
class PortStyle:
    """How a port looks in every figure; shape, colour and fill each tell neighbours apart without the others."""

    letter: str
    label: str
    colour: str
    marker: str
    filled: bool

    def mark(self, size: float = 4.6) -> dict[str, Any]:
        """Options of a line that shows the port's mark alone."""
        return {
            "marker": self.marker, "markersize": size, "markeredgecolor": self.colour, "markeredgewidth": 1.0,
            "markerfacecolor": self.colour if self.filled else "white", "linestyle": "none",
        }


def port_styles(study: Study) -> list[tuple[Port, PortStyle]]:
    """The ports that have a factor, each with its style; letters are those of the tables."""
    styles: list[tuple[Port, PortStyle]] = []
    for letter, port in zip(port_names(study), study.ports, strict=True):
        if port.factor is None:
            continue
        place = len(styles)
        styles.append((port, PortStyle(
            letter, f"{letter}: {port_words(port)}, factor {format_number(port.factor, 4)}",
            COLOURS[place % len(COLOURS)], MARKERS[place % len(MARKERS)], place % 2 == 0,
        )))
    return styles


def port_words(port: Port) -> str:
    """Law and rules of a port, with the length that the law was given where it is not the robot's own."""
    key = port.request.key
    return port.label if key is None else f"{port.label} ({key})"


def missing_note(study: Study) -> list[str]:
    """A sentence that names the ports without a factor; none where all have one."""
    names = [f"{letter} ({port_words(port)})" for letter, port in zip(port_names(study), study.ports, strict=True)
             if port.factor is None]
    return [f"No factor meets the limit, so nothing to show: {'; '.join(names)}."] if names else []


def unit_text(unit: str) -> str:
    """The shown name of an SI unit for an axis, in words where there is none."""
    return shown_unit(unit) or "no unit"


def title_name(study: Study) -> str:
    """The design's name as far as the font has its letters, and no longer than a title has room for."""
    name = "".join(sign if sign.isprintable() and ord(sign) < 0x500 else "?" for sign in study.design.name)
    return textwrap.shorten(name, 40, placeholder=" ...")


def framed(title: str, lead: str, height: float, key: Sequence[Any], notes: Sequence[str]) -> Figure:
    """A figure with a title and ``lead`` above, the ``key`` (legend handles) and notes below the panels.

    The panels get ``height`` inches of the full width, to which constrained layout keeps.
    """
    from matplotlib.figure import Figure

    letters = int((WIDTH - 0.2) / SMALL_WIDTH)
    lead_lines = textwrap.wrap(lead, letters)
    note_lines = [line for note in notes for line in textwrap.wrap(note, letters)]
    rows = _wrap_key(key, letters // 2 - 10)
    top = 0.30 + LINE * len(lead_lines) + 0.08
    key_height = LINE * 1.12 * rows + 0.12
    total = top + height + key_height + LINE * len(note_lines) + 0.06
    made = Figure(figsize=(WIDTH, total), facecolor="white")
    made.set_layout_engine(
        "constrained", w_pad=0.05, h_pad=0.03, rect=(0, 1 - (top + height) / total, 1, height / total)
    )
    made.text(0.1 / WIDTH, 1 - 0.09 / total, title, fontsize=10, fontweight="bold", va="top", in_layout=False)
    made.text(0.1 / WIDTH, 1 - 0.30 / total, "\n".join(lead_lines), fontsize=SMALL, va="top", in_layout=False)
    legend = made.legend(
        handles=list(key), loc="upper left", ncols=2, bbox_to_anchor=(0, 1 - (top + height) / total),
        borderaxespad=0.4, borderpad=0.2, labelspacing=0.25, handlelength=3.2, columnspacing=1.5,
    )
    legend.set_in_layout(False)
    made.text(0.1 / WIDTH, 0.06 / total, "\n".join(note_lines), fontsize=SMALL, va="bottom", in_layout=False)
    return made


def panel_grid(made: Figure, height: float, rows: int, columns: int, count: int) -> list[Axes]:
    """The first ``count`` panels of a grid within the figure's ``height`` inches for them, laid out by fixed margins.

    Many panels cost more to lay out by their words than to draw, so these have room for a title of two
    lines, a label below and numbers of five places at the left.
    """
    engine = made.get_layout_engine()
    _, bottom, _, share = engine.get()["rect"]
    inch = share / height
    made.set_layout_engine("none")
    panel = (WIDTH - 0.12 - columns * LEFT) / columns
    tall = height / rows - ABOVE - BELOW
    return [
        made.add_axes((
            (LEFT + place % columns * (LEFT + panel)) / WIDTH,
            bottom + (BELOW + (rows - 1 - place // columns) * (height / rows)) * inch,
            panel / WIDTH,
            tall * inch,
        ))
        for place in range(count)
    ]


def _wrap_key(key: Sequence[Any], letters: int) -> int:
    """Wrap the key's labels in place; returns the lines of the longer of its two columns."""
    lines: list[int] = []
    for handle in key:
        wrapped = textwrap.wrap(handle.get_label(), letters)
        handle.set_label("\n".join(wrapped))
        lines.append(len(wrapped))
    half = (len(lines) + 1) // 2
    return max(sum(lines[:half]), sum(lines[half:]))


def settle(made: Figure) -> Figure:
    """Lay the figure out now and for good, so that saving it twice does not do it four times more."""
    engine = made.get_layout_engine()
    if engine is not None:
        engine.execute(made)
    made.set_layout_engine("none")
    return made
