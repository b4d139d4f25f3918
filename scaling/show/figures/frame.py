"""What every figure shares: the plain style, the mark of each port, and the words around the panels."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from scaling.files.units import format_number, shown_unit, to_shown

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from scaling.study.results import Port, Study

WIDTH = 7.2
"""Width of every figure in inches: a page of A4 or Letter between its margins."""

TEXT = 7.5
SMALL = 7.0
LINE = SMALL * 1.3 / 72
"""Point sizes of the words, and the height in inches of a line of the small ones."""

EDGE = 0.1
"""Inches left free at the edges."""

BOLD = 1.18
"""Width of bold words over that of plain ones, on the wide side."""

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
    "text.hinting": "none",
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
        mpl.rcParams.update(STYLE)  # type: ignore[arg-type]
        yield


@dataclass(frozen=True)
class PortStyle:
    """How a port looks in every figure; shape and colour each tell neighbours apart without the other."""

    letter: str
    factor: float
    label: str
    colour: str
    marker: str
    dash: Any

    def mark(self, size: float = 4.6, hollow: bool = False) -> dict[str, Any]:
        """Options of a line that shows the port's mark alone, ``hollow`` for what no motor reaches."""
        return {
            "marker": self.marker, "markersize": size, "markeredgecolor": self.colour, "markeredgewidth": 1.0,
            "markerfacecolor": "white" if hollow else self.colour, "linestyle": "none",
        }


def port_styles(study: Study) -> list[tuple[Port, PortStyle]]:
    """Return the ports that have a factor, each with its style; letters are those of the tables."""
    styles: list[tuple[Port, PortStyle]] = []
    for letter, port in zip(study.letters, study.ports, strict=True):
        if port.factor is None:
            continue
        place = len(styles)
        styles.append((port, PortStyle(
            letter, port.factor, f"{letter}: {port_words(port)}, factor\u00a0{format_number(port.factor, 4)}",
            COLOURS[place % len(COLOURS)], MARKERS[place % len(MARKERS)],
            DASHES[place % len(DASHES)],
        )))
    return styles


def port_words(port: Port) -> str:
    """Law and rules of a port, with the length that the law was given where it is not the robot's own."""
    key = port.request.key
    return port.label if key is None else f"{port.label} ({key})"


def hollow_key(study: Study, names: Iterable[str]) -> list[Any]:
    """Make the key's handle of hollow marks; none where no port has one among ``names``."""
    from matplotlib.lines import Line2D

    wanted = list(names)
    if not any(name in port.quantities and port.quantities[name].if_reached for port in study.ports for name in wanted):
        return []
    look = PortStyle("", 1.0, "", INK, "o", "-").mark(hollow=True)
    return [Line2D([], [], **look, label="hollow: only if the motor reached that speed")]


def missing_note(study: Study) -> list[str]:
    """Name, in a sentence, the ports without a factor; none where all have one."""
    names = [f"{letter} ({port_words(port)})" for letter, port in zip(study.letters, study.ports, strict=True)
             if port.factor is None]
    return [f"No factor meets the limit, so nothing to show: {'; '.join(names)}."] if names else []


def unit_text(unit: str) -> str:
    """Return the shown name of an SI unit for an axis, in words where there is none."""
    return shown_unit(unit) or "no unit"


def grams_text(mass: float) -> str:
    """Return a mass (kg) as whole grams, or to three digits where it is below a hundred of them."""
    grams = to_shown(mass, "kg")
    return f"{grams:.0f} g" if grams >= 100 else f"{grams:.3g} g"


def title_name(study: Study) -> str:
    """Return the design's name as far as the font has its letters, and no longer than a title has room for."""
    name = "".join(sign if sign.isprintable() and ord(sign) < 0x500 else "?" for sign in study.design.name)
    return textwrap.shorten(name, 40, placeholder=" ...")


@dataclass(frozen=True)
class Sheet:
    """A figure with its words in place, and the band of it that is free for panels: inches from below, and height."""

    figure: Figure
    bottom: float
    height: float

    def panel(self, left: float, bottom: float, width: float, height: float) -> Axes:
        """Add a panel at a place given in inches from the sheet's left edge and from the foot of the band."""
        across, tall = self.figure.get_size_inches()
        return self.figure.add_axes((left / across, (self.bottom + bottom) / tall, width / across, height / tall))


Columns = tuple[Sequence[Any], Sequence[Any]]


def two_lines(words: str, letters: int) -> str:
    """Wrap words to two lines at most, with an ellipsis where they are cut."""
    return textwrap.fill(words, letters, max_lines=2, placeholder=" ...", break_on_hyphens=False)


@cache
def lines(words: str, letters: int) -> tuple[str, ...]:
    """Wrap words to as many lines as they need, about equally long.

    None is cut: a label that is may lose what tells it from the next one.
    """
    count = len(textwrap.wrap(words, letters, break_on_hyphens=False))
    return next(
        tuple(found) for width in range(len(words) // max(count, 1), letters + 1)
        if len(found := textwrap.wrap(words, width, break_on_hyphens=False, break_long_words=width == letters)) <= count
    )


def word_key(ports: list[tuple[Port, PortStyle]]) -> list[Any]:
    """Make key handles that have the ports' words but no mark."""
    from matplotlib.lines import Line2D

    return [Line2D([], [], linestyle="none", label=look.label) for _, look in ports]


def halves(handles: Sequence[Any]) -> Columns:
    """Share out a key's handles to two columns."""
    half = (len(handles) + 1) // 2
    return handles[:half], handles[half:]


def text_width(lines: Sequence[str], size: float = SMALL) -> float:
    """Width in inches of the widest of ``lines`` at ``size`` points."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import text_to_path

    font = FontProperties(size=size)
    return float(max(text_to_path.get_text_width_height_descent(line, font, ismath=False)[0] for line in lines)) / 72


def sheet(
    title: str, lead: str, height: float, key: Columns, notes: Sequence[str], *, marked: bool = True
) -> Sheet:
    """Make a figure with a title and ``lead`` above, the ``key`` and notes below a band for panels.

    ``key`` holds the legend handles of its left and of its right column, and ``marked`` is False where
    they are only words. The band is ``height`` inches tall. Panels are placed by measured widths of their
    words and fixed heights of their lines: a layout engine would cost more than the drawing.
    """
    from matplotlib.figure import Figure

    letters = int((WIDTH - 0.2) / SMALL_WIDTH)
    lead_lines = textwrap.wrap(lead, letters)
    note_lines = [line for note in notes for line in textwrap.wrap(note, letters, break_on_hyphens=False)]
    handles, key_lines = _laid_key(key, letters // 2 - 10)
    top = 0.32 + LINE * len(lead_lines) + 0.1
    key_height = LINE * key_lines + 0.14
    below = key_height + LINE * len(note_lines) + 0.08
    total = top + height + below
    made = Figure(figsize=(WIDTH, total), facecolor="white")
    made.text(EDGE / WIDTH, 1 - 0.09 / total, title, fontsize=10, fontweight="bold", va="top")
    made.text(EDGE / WIDTH, 1 - 0.32 / total, "\n".join(lead_lines), fontsize=SMALL, va="top")
    made.legend(
        handles=handles, loc="upper left", ncols=2, bbox_to_anchor=(EDGE / WIDTH, (below - 0.05) / total),
        borderaxespad=0, borderpad=0, labelspacing=0.25, handlelength=3.2 if marked else 0,
        handletextpad=0.8 if marked else 0, columnspacing=2.5,
    )
    if note_lines:
        made.text(EDGE / WIDTH, 0.08 / total, "\n".join(note_lines), fontsize=SMALL, va="bottom")
    return Sheet(made, below, height)


def _laid_key(key: Columns, letters: int) -> tuple[list[Any], int]:
    """Wrap the key's labels and fill the shorter column up; returns all handles and the lines of the longer column."""
    from matplotlib.lines import Line2D

    most = max(len(column) for column in key)
    handles: list[Any] = []
    lines: list[int] = []
    for column in key:
        wrapped = [textwrap.wrap(handle.get_label(), letters, break_on_hyphens=False) for handle in column]
        for handle, words in zip(column, wrapped, strict=True):
            handle.set_label("\n".join(words))
        blanks = most - len(column) if column else 0
        handles += [*column, *(Line2D([], [], linestyle="none", label=" ") for _ in range(blanks))]
        lines.append(sum(map(len, wrapped)) + blanks)
    return handles, max(lines)
