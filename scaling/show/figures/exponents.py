"""Heat map of the powers of the factor that the quantities follow, port by port."""

from __future__ import annotations

import textwrap
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np

from scaling.book.entry import Role
from scaling.book.told_apart import told_apart
from scaling.formulas import book
from scaling.show.choosing import picked, steady
from scaling.show.figures.frame import (
    BOLD,
    EDGE,
    LINE,
    Signed,
    halves,
    lines,
    missing_note,
    port_signs,
    sheet,
    text_width,
    title_name,
    within,
    word_key,
)
from scaling.show.figures.look import SMALL, Look
from scaling.show.figures.shared import joined
from scaling.show.figures.told import told_port
from scaling.show.tables.drift import worst_first
from scaling.show.tables.exponents import exponent_text
from scaling.study.kept import kept
from scaling.study.marks import hollow

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure as Drawing

    from scaling.book.entry import Array
    from scaling.study.results import Port, Study

FIRST: dict[Role, int] = {"handling": 9, "yardstick": 9, "survival": 4, "budget": 4}
"""How many rows go to what a driver feels, to headline figures, to survival and to what must close."""

ROWS = 26
ROW_HEIGHT, ABOVE, BELOW = 0.185, 0.36, 0.08
"""Inches a row whose label has one line, and above and below the rows."""

MANY = 8
"""Ports beyond which the words beside the rows give room to the columns."""

STEEPEST = 8.0
"""Size of a local slope beyond which its number means nothing: the quantity stands near a limit."""

STRONGEST = 5.0
"""Power of the factor at which the colour is full: that of an inertia."""

FALLS, GROWS = (0.850, 0.430, 0.050), (0.130, 0.400, 0.675)
"""Orange for what falls, blue for what grows: a pair that people with any of the usual deficiencies tell apart."""


DARK = 0.179
"""Luminance under which white words have more contrast than black ones, each at least 4.5 to 1 on its side."""


def figure(study: Study, look: Look) -> Drawing:
    """Rows of quantities by branch, a column a port, the exponent in each cell."""
    names = chosen(study)
    ports, heads = _columns(port_signs(study, look), names)
    labels = [lines(book.quantities[name].label, 52 if len(ports) <= MANY else 40) for name in names]
    heights = [max(ROW_HEIGHT, LINE * len(label) + 0.03) for label in labels]
    edges = np.concatenate([[0.0], np.cumsum(heights)])
    cells = [[_exponent(port, name) for port, _ in ports] for name in names]
    page = sheet(
        look, _title(study, names), _lead(cells), edges[-1] + ABOVE + BELOW,
        halves(word_key(port_signs(study, look))), missing_note(study), marked=False,
    )
    left = EDGE + 0.2 + text_width([line for label in labels for line in label]) + 0.06
    right = EDGE + text_width(list(book.titles)) * BOLD + 0.06
    panel = page.panel(left, BELOW, page.width - left - right, page.height - ABOVE - BELOW)
    only = [[name in port.quantities and port.quantities[name].if_reached for port, _ in ports] for name in names]
    _draw_cells(panel, cells, only, edges, look)
    _label(panel, heads, labels, edges)
    _draw_branches(panel, names, len(ports), edges, look)
    return page.figure


def _lead(cells: list[list[Fraction | float | None]]) -> str:
    steep = any(isinstance(cell, float) and abs(cell) > STEEPEST for row in cells for cell in row)
    return ("Exponents d ln q / d ln factor: a 3 grows as the factor cubed; arena, class and opponent stay as they "
            "are. Upright numbers are exact along the law, slanted ones with ~ slopes that hold near the port. Blue "
            "grows with the factor, orange falls, no colour stays; a dash where the port has none; in brackets only "
            "if the motor reached that speed."
            + (f" Beyond {STEEPEST:g} the quantity stands near a limit and its slope tells nothing." if steep else ""))


def _columns(ports: Signed, names: list[str]) -> tuple[Signed, list[str]]:
    """Return the ports that have a column, one for all whose exponents agree, and the letters above each."""
    alike: dict[tuple[object, ...], Signed] = {}
    for port, sign in ports:
        cells = tuple((cell_words(_exponent(port, name)), name in port.quantities and port.quantities[name].if_reached)
                      for name in names)
        alike.setdefault(cells, []).append((port, sign))
    shared = [[sign.letter for _, sign in group] for group in alike.values()]
    return [group[0] for group in alike.values()], ["\n".join(textwrap.wrap(joined(each), 4)) for each in shared]


def _title(study: Study, names: list[str]) -> str:
    """What grows and what falls most steeply at the port to build."""
    told = told_port(study)
    known = {name: float(power) for name in names if (power := _exponent(told.port, name)) is not None}
    powers = {name: power for name, power in known.items() if abs(power) <= STEEPEST}
    who = f"{title_name(study)}, {told.words}"
    if not powers:
        return f"{who}: no exponent is known"
    told_powers = {name: told_apart(power, 6) for name, power in powers.items()}  # a slope is a difference
    up, down = max(powers, key=told_powers.__getitem__), min(powers, key=told_powers.__getitem__)
    said = [f"{within(name)} {verb} as factor^" + f"{powers[name]:.2g}".replace("-", "−")
            for name, verb, there in ((up, "grows", powers[up] > 0), (down, "falls", powers[down] < 0)) if there]
    return f"{who}: {', '.join(said) or 'nothing follows the factor'}"


@kept
def chosen(study: Study) -> list[str]:
    """Names of the rows, in the order of the branches: so many of each role."""
    known = [name for name in worst_first(study)
             if any(name in port.quantities and port.quantities[name].exponent is not None for port in study.ports)]
    found = picked(study, steady(known), FIRST, ROWS)
    order = list(book.quantities)
    return sorted(found, key=lambda name: (list(book.titles).index(book.quantities[name].branch), order.index(name)))


def _exponent(port: Port, name: str) -> Fraction | float | None:
    return port.quantities[name].exponent if name in port.quantities else None


def colours(table: Array, look: Look) -> Array:
    """Red, green and blue of each cell: the page's at 0 and where there is none, full at ``STRONGEST``."""
    strength = np.clip(np.nan_to_num(np.abs(table)) / STRONGEST, 0, 1)[..., None] ** 0.8
    full = np.where((table > 0)[..., None], np.array(GROWS), np.array(FALLS))
    from matplotlib.colors import to_rgb

    page = np.array(to_rgb(look.page))
    return np.asarray(page + strength * (full - page))


def luminance(colour: Array) -> Array:
    """Relative luminance, 0 to 1, of sRGB colours (last axis), after WCAG 2.1."""
    linear = np.where(colour <= 0.04045, colour / 12.92, ((colour + 0.055) / 1.055) ** 2.4)
    return np.asarray(linear @ np.array([0.2126, 0.7152, 0.0722]))


def _draw_cells(
    panel: Axes, cells: list[list[Fraction | float | None]], if_reached: list[list[bool]], edges: Array, look: Look
) -> None:
    rows, columns = len(cells), len(cells[0])
    middles = (edges[:-1] + edges[1:]) / 2
    shades = colours(np.array([[np.nan if cell is None else float(cell) for cell in row] for row in cells]), look)
    panel.pcolormesh(np.arange(columns + 1) - 0.5, edges, shades, edgecolors=look.page, linewidth=0.8)
    bright = luminance(shades)
    words = [
        [hollow(cell_words(cell)) if only else cell_words(cell) for cell, only in zip(row, those, strict=True)]
        for row, those in zip(cells, if_reached, strict=True)
    ]
    room = 0.94 * panel.get_position().width * look.width / columns
    size = min(SMALL, SMALL * room / text_width([word for row in words for word in row]))
    for row, column in np.ndindex(rows, columns):
        panel.text(
            column, float(middles[row]), words[row][column], ha="center", va="center_baseline", fontsize=size,
            style="italic" if isinstance(cells[row][column], float) else "normal",
            color="white" if bright[row, column] < DARK else "black",
        )


def _label(panel: Axes, heads: list[str], labels: list[tuple[str, ...]], edges: Array) -> None:
    panel.set_ylim(edges[-1], 0)
    panel.set_xticks(range(len(heads)), heads, fontweight="bold")
    panel.set_yticks((edges[:-1] + edges[1:]) / 2, ["\n".join(label) for label in labels])
    panel.tick_params(length=0, labeltop=True, labelbottom=False)
    panel.set_xlabel("port; exponents have no unit")
    panel.xaxis.set_label_position("top")
    panel.set_ylabel("quantity, by branch")
    panel.spines[:].set_visible(False)


def cell_words(exponent: Fraction | float | None) -> str:
    """Write the exponent as in the tables, with a true minus sign, none before a nought, and no absurd size."""
    if isinstance(exponent, float) and abs(exponent) > STEEPEST:
        return f">{STEEPEST:g}~" if exponent > 0 else f"<−{STEEPEST:g}~"
    words = exponent_text(exponent)
    if words == "-":
        return "–"
    if words == "-0.00~":
        return "0.00~"
    return words.replace("-", "−")


def _draw_branches(panel: Axes, names: list[str], ports: int, edges: Array, look: Look) -> None:
    branches = [book.quantities[name].branch for name in names]
    starts: list[float] = []
    for branch in dict.fromkeys(branches):
        first, count = branches.index(branch), branches.count(branch)
        middle = (edges[first] + edges[first + count]) / 2
        panel.annotate(branch, (1, middle), xycoords=("axes fraction", "data"), xytext=(5, 0),
                       textcoords="offset points", va="center", fontsize=SMALL, fontweight="bold")
        starts.append(edges[first])
    panel.hlines(starts[1:], -0.5, ports - 0.5, colors=look.rule, linewidths=0.9)


def alt(study: Study) -> str:
    """Say what grows and falls most steeply."""
    names = chosen(study)
    return (f"{_title(study, names)}. A map shows the power of the factor that each of {len(names)} quantities "
            "follows, a column for each port, one for ports that agree. The table of exponents holds them all.")
