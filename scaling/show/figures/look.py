"""How every picture looks: colours on a light and on a dark page, marks, dashes, letters, and the size of the sheet.

Colour never speaks alone: a port has its mark and its dash as well. The colours are our own. On both pages every colour
of a mark stands at least 3 to 1 against the page and every word at least 4.5 to 1 (W3C, WCAG 2.1), and the colours stay
apart for eyes without green or red receptors; the tests work that out.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any

from scaling.files.errors import InputError

WIDTH = 7.2
"""Inches across where nobody says otherwise: a page of A4 or Letter between its margins."""

INCH = 0.0254
"""Metres an inch."""

NARROWEST, WIDEST = 4.5, 24.0
"""Inches across within which words and panels find their places."""

TEXT, SMALL, TITLE = 7.5, 7.0, 10.0
"""Points of words in panels, of labels and notes, and of a picture's title."""

UNUSED = {f"font.{family}": ["DejaVu Sans"] for family in ("serif", "cursive", "fantasy", "monospace")}
"""Families that no picture uses: the library goes through their long lists at every word."""

MARKERS = ("o", "s", "^", "D", "v", "P", "X", "<", ">", "p", "*", "h")
DASHES: tuple[Any, ...] = (
    "-", (0, (5, 1.6)), (0, (1.2, 1.4)), (0, (6, 1.5, 1.2, 1.5)), (0, (9, 2)), (0, (6, 1.5, 1.2, 1.5, 1.2, 1.5)),
    (0, (2.6, 1.2)), (0, (9, 1.5, 3, 1.5)),
)  # fmt: skip


@dataclass(frozen=True)
class Look:
    """The colours of a page and the size of the sheet; ``height`` (inches) stretches a picture that else sets its own.

    ``ink`` is for words and for the reference, ``soft`` for words that stand back, ``rule`` for axes, ``grid`` for what
    only guides the eye, ``wash`` for a side of a panel, ``tint`` for a band or a filled body. ``colours`` are the
    ports', ``good`` and ``bad`` say which way is better, ``fills`` are areas beside each other.
    """

    page: str
    ink: str
    soft: str
    rule: str
    grid: str
    wash: str
    tint: str
    good: str
    bad: str
    colours: tuple[str, ...]
    fills: tuple[str, ...]
    dark: bool = False
    width: float = WIDTH
    height: float | None = None

    def sized(self, width: float | None, height: float | None) -> Look:
        """Return the look on a sheet of other inches; raises InputError for a width that no picture has room on."""
        wide = self.width if width is None else width
        if not NARROWEST <= wide <= WIDEST:
            allowed = f"from {NARROWEST * 25.4:.0f} mm to {WIDEST * 25.4:.0f} mm"
            raise InputError("a picture cannot be this wide", None, "width", f"{wide * 25.4:.4g} mm", allowed)
        return replace(self, width=wide, height=height)

    def settings(self) -> dict[str, Any]:
        """Return the drawing library's settings."""
        return {
            "font.family": "sans-serif",
            "font.sans-serif": ["DejaVu Sans"],
            **UNUSED,
            "font.size": TEXT,
            "text.color": self.ink,
            "text.parse_math": False,
            "text.hinting": "none",
            "figure.facecolor": self.page,
            "axes.facecolor": "none",
            "axes.labelcolor": self.ink,
            "axes.labelsize": SMALL,
            "axes.titlesize": TEXT,
            "axes.edgecolor": self.rule,
            "axes.linewidth": 0.6,
            "axes.spines.top": False,
            "axes.spines.right": False,
            "axes.axisbelow": True,
            "axes.grid": False,
            "grid.color": self.grid,
            "grid.linewidth": 0.5,
            "xtick.labelsize": SMALL,
            "ytick.labelsize": SMALL,
            "xtick.color": self.rule,
            "ytick.color": self.rule,
            "xtick.labelcolor": self.ink,
            "ytick.labelcolor": self.ink,
            "xtick.major.size": 2.5,
            "ytick.major.size": 2.5,
            "lines.linewidth": 1.4,
            "hatch.linewidth": 0.6,
            "legend.fontsize": SMALL,
            "legend.frameon": False,
            "svg.fonttype": "none",
            "svg.hashsalt": "scaling study",
        }


LIGHT = Look(
    page="#FFFFFF", ink="#16202C", soft="#56616E", rule="#87919C", grid="#D5DADF", wash="#EDF0F3", tint="#C9DBF5",
    good="#1C6B45", bad="#A33A1E",
    colours=("#2F6FD6", "#A33A1E", "#2CA266", "#8A3A70", "#A58504", "#4796AE", "#5A1298"),
    fills=("#2F6FD6", "#E2A33B", "#C6CDD4", "#4FA8C0", "#2CA266"),
)  # fmt: skip

DARK = Look(
    page="#121821", ink="#E9EDF2", soft="#A6B0BC", rule="#74808D", grid="#2F3945", wash="#1D2630", tint="#24436F",
    good="#8FE3B3", bad="#F89318",
    colours=("#7FA6F2", "#F89318", "#AAFCB5", "#E79CC8", "#A89E55", "#4FA0A4", "#9A7CF5"),
    fills=("#5C8AE6", "#D9973A", "#C6CDD4", "#3F9DB5", "#5FCB8F"),
    dark=True,
)  # fmt: skip


@contextmanager
def drawing(look: Look) -> Iterator[None]:
    """Draw and save within: our own settings on top of the library's defaults, whatever a user's are.

    Garbage waits until it is done: a picture makes thousands of small objects, and the collector would go through the
    whole book of formulas again for every few hundred of them.
    """
    import matplotlib as mpl

    collects = gc.isenabled()
    gc.disable()
    try:
        with mpl.rc_context():
            mpl.rcdefaults()
            mpl.rcParams.update(look.settings())  # type: ignore[arg-type]
            yield
    finally:
        if collects:
            gc.enable()


@dataclass(frozen=True)
class Sign:
    """How a port shows in every picture; shape and colour each tell neighbours apart without the other."""

    letter: str
    factor: float
    label: str
    colour: str
    page: str
    marker: str
    dash: Any

    def mark(self, size: float = 4.6, hollow: bool = False) -> dict[str, Any]:
        """Options of a line that shows the port's mark alone, ``hollow`` for what no motor reaches."""
        return {
            "marker": self.marker, "markersize": size, "markeredgecolor": self.colour, "markeredgewidth": 1.0,
            "markerfacecolor": self.page if hollow else self.colour, "linestyle": "none",
        }  # fmt: skip


def sign_of(place: int, letter: str, factor: float, label: str, look: Look) -> Sign:
    """Return the sign of the port at a place among those that have a factor."""
    return Sign(
        letter, factor, label, look.colours[place % len(look.colours)], look.page, MARKERS[place % len(MARKERS)],
        DASHES[place % len(DASHES)],
    )  # fmt: skip
