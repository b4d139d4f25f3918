"""What every figure shares beside its look: the signs of the ports, and the words around the panels."""

from __future__ import annotations

import operator
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache, partial
from typing import TYPE_CHECKING, Any

from scaling.files.errors import InputError
from scaling.files.units import format_number, shown_unit, to_shown
from scaling.formulas import book
from scaling.show.figures.look import SMALL, TITLE, Look, Sign, sign_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from scaling.study.results import Port, Study

LINE = SMALL * 1.3 / 72
"""Height in inches of a line of small words."""

EDGE = 0.1
"""Inches left free at the edges."""

BOLD = 1.18
"""Width of bold words over that of plain ones, on the wide side."""

SMALL_WIDTH = 0.052
"""Inches that a small character takes in running text, on the wide side."""

FONT = "DejaVu Sans"
"""The font of all words; it comes with the drawing library."""

Signed = list[tuple["Port", Sign]]


def port_signs(study: Study, look: Look) -> Signed:
    """Return the ports that have a factor, each with its sign; letters are those of the tables."""
    signs: Signed = []
    for letter, port in zip(study.letters, study.ports, strict=True):
        if port.factor is None:
            continue
        label = f"{letter}: {port_words(port)}, factor\u00a0{format_number(port.factor, 4)}"
        signs.append((port, sign_of(len(signs), letter, port.factor, label, look)))
    return signs


def port_words(port: Port) -> str:
    """Law and rules of a port, with the length that the law was given where it is not the robot's own."""
    key = port.request.key
    return port.label if key is None else f"{port.label} ({key})"


def hollow_key(study: Study, names: Iterable[str], look: Look) -> list[Any]:
    """Make the key's handle of hollow marks; none where no port has one among ``names``."""
    from matplotlib.lines import Line2D

    wanted = list(names)
    if not any(name in port.quantities and port.quantities[name].if_reached for port in study.ports for name in wanted):
        return []
    mark = Sign("", 1.0, "", look.ink, look.page, "o", "-").mark(hollow=True)
    return [Line2D([], [], **mark, label="hollow: only if the motor reached that speed")]


def missing_note(study: Study) -> list[str]:
    """Name, in a sentence, the ports without a factor; none where all have one."""
    names = [f"{letter} ({port_words(port)})" for letter, port in zip(study.letters, study.ports, strict=True)
             if port.factor is None]
    return [f"No factor meets the limit, so nothing to show: {'; '.join(names)}."] if names else []


def unit_text(unit: str) -> str:
    """Return the shown name of an SI unit for an axis, in words where there is none."""
    return shown_unit(unit) or "no unit"


def within(name: str) -> str:
    """Return a quantity's label as it stands within a sentence."""
    label = book.quantities[name].label
    return f"{label[0].lower()}{label[1:]}"


def grams_text(mass: float) -> str:
    """Return a mass (kg) as whole grams, or to three digits where it is below a hundred of them."""
    grams = to_shown(mass, "kg")
    return f"{grams:.0f} g" if grams >= 100 else f"{grams:.3g} g"


def title_name(study: Study) -> str:
    """Return the design's name as far as the font has its letters, and no longer than a title has room for."""
    return plain_name(study.design.name)


def plain_name(name: str, letters: int = 40) -> str:
    """Return a name as far as the font has its letters, and no longer than so many letters."""
    plain = "".join(sign if sign.isprintable() and ord(sign) < 0x500 else "?" for sign in name)
    return textwrap.shorten(plain, letters, placeholder=" ...")


@dataclass(frozen=True)
class Sheet:
    """A figure with its words in place, and the band of it that is free for panels: inches from below, and height."""

    figure: Figure
    bottom: float
    height: float
    width: float

    def panel(self, left: float, bottom: float, width: float, height: float) -> Axes:
        """Add a panel at a place given in inches from the sheet's left edge and from the foot of the band."""
        across, tall = self.figure.get_size_inches()
        return self.figure.add_axes((left / across, (self.bottom + bottom) / tall, width / across, height / tall))


def right_axis(panel: Axes, scale: float, words: str) -> None:
    """Give a panel a second upright axis, whose numbers are ``scale`` times those of the first."""
    to_it: Any = partial(operator.mul, scale)
    back: Any = partial(operator.mul, 1 / scale)
    side = panel.secondary_yaxis("right", functions=(to_it, back))
    side.set_ylabel(words)
    side.spines["right"].set_visible(True)


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


def word_key(ports: Signed) -> list[Any]:
    """Make key handles that have the ports' words but no mark."""
    from matplotlib.lines import Line2D

    return [Line2D([], [], linestyle="none", label=sign.label) for _, sign in ports]


def halves(handles: Sequence[Any]) -> Columns:
    """Share out a key's handles to two columns."""
    half = (len(handles) + 1) // 2
    return handles[:half], handles[half:]


def text_width(lines: Sequence[str], size: float = SMALL) -> float:
    """Width in inches of the widest of ``lines`` at ``size`` points."""
    return max(_line_width(line, size) for line in lines)


@cache
def _line_width(line: str, size: float) -> float:
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import text_to_path

    font = FontProperties(family=FONT, size=size)
    return float(text_to_path.get_text_width_height_descent(line, font, ismath=False)[0]) / 72


def sheet(
    look: Look, title: str, lead: str, height: float, key: Columns, notes: Sequence[str], *, marked: bool = True
) -> Sheet:
    """Make a figure with a title and ``lead`` above, the ``key`` and notes below a band for panels.

    ``key`` holds the legend handles of its left and of its right column, and ``marked`` is False where
    they are only words. The band is ``height`` inches tall, or what the look's height leaves of it. Panels
    are placed by measured widths of their words and fixed heights of their lines: a layout engine would cost more than
    the drawing.
    """
    from matplotlib.figure import Figure

    letters = int((look.width - 0.2) / SMALL_WIDTH)
    lead_lines = textwrap.wrap(lead, letters)
    note_lines = [line for note in notes for line in textwrap.wrap(note, letters, break_on_hyphens=False)]
    handles, key_lines = _laid_key(key, letters // 2 - 10)
    title_lines = _title_lines(title, look.width - 2 * EDGE)
    head = 0.32 + TITLE_LINE * (len(title_lines) - 1)
    top = head + LINE * len(lead_lines) + 0.1
    key_height = LINE * key_lines + 0.14
    below = key_height + LINE * len(note_lines) + 0.08
    height = _stretched(look, height, top + below)
    total = top + height + below
    made = Figure(figsize=(look.width, total), facecolor=look.page)
    made.text(EDGE / look.width, 1 - 0.09 / total, "\n".join(title_lines), fontsize=TITLE, fontweight="bold", va="top")
    made.text(EDGE / look.width, 1 - head / total, "\n".join(lead_lines), fontsize=SMALL, color=look.soft, va="top")
    made.legend(
        handles=handles, loc="upper left", ncols=2, bbox_to_anchor=(EDGE / look.width, (below - 0.05) / total),
        borderaxespad=0, borderpad=0, labelspacing=0.25, handlelength=3.2 if marked else 0,
        handletextpad=0.8 if marked else 0, columnspacing=2.5,
    )
    if note_lines:
        made.text(EDGE / look.width, 0.08 / total, "\n".join(note_lines), fontsize=SMALL, color=look.soft, va="bottom")
    return Sheet(made, below, height, look.width)


TITLE_LINE = TITLE * 1.25 / 72
"""Height in inches of a line of a title."""


def _title_lines(title: str, room: float) -> list[str]:
    """A title in as few lines as ``room`` inches take."""
    letters = len(title)
    while True:
        found = textwrap.wrap(title, letters, break_on_hyphens=False)
        wide = BOLD * text_width(found, TITLE)
        if wide <= room or letters < 12:
            return found
        letters = min(letters - 1, int(letters * room / wide) + 1)


LOWEST = 0.8
"""Share of the height that a picture's band sets itself down to which it may be pressed."""


def _stretched(look: Look, height: float, around: float) -> float:
    """Inches of the band where the look says how high the sheet is; raises InputError where that is too low."""
    if look.height is None:
        return height
    least = around + LOWEST * height
    if look.height < least:
        raise InputError(
            "the picture has no room", None, "height", f"{look.height * 25.4:.4g} mm", f"{least * 25.4:.0f} mm or more"
        )
    return look.height - around


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
