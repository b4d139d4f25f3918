"""What helps to choose: ranked options, and the bands of a feasible window."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from scaling.show.table import Column, Table, columns

if TYPE_CHECKING:
    from scaling.decide.options import Option
    from scaling.decide.window import Window


def options_table(found: list[Option]) -> Table:
    """Ranked options: what was chosen, the fit, factor, mass and score; a star marks what nothing beats."""
    rows = tuple(
        (
            option.rank,
            "*" if option.unbeaten else "",
            *option.chosen.values(),
            option.fit,
            option.factor,
            round(option.mass * 1e3, 3),
            round(option.left * 1e3, 3),
            option.score,
            option.drift,
            option.shortfall,
        )
        for option in found
    )
    heads = columns(
        "rank", Column("unbeaten", ""), *map(_axis, found[0].chosen if found else ()), Column("fit", "fitted by"),
        "factor", Column("mass", unit="g"), Column("left", unit="g"), "score", Column("drift", "drift part"),
        Column("shortfall", "margin part"),
    )
    return Table("options", "Options, best first; * nothing beats it in drift, margins and mass", heads, rows)


def _axis(name: str) -> Column:
    """The column of what was chosen of one kind, such as the material of a part by its name."""
    return Column(re.sub(r"\W+", "_", name).strip("_").lower(), name.replace("_", " "))


def window_table(window: Window) -> Table:
    """The bands of a feasible window."""
    rows = tuple(
        (band.label, ", ".join(f"{low:.4g} to {high:.4g}" for low, high in band.intervals) or "nowhere")
        for band in window.bands
    )
    title = (
        f"Feasible window, {window.speed_rule or 'no rotor'}, drive {window.drive_rule} "
        f"(factors from {window.axis[0]:.3g} to {window.axis[1]:.3g})"
    )
    return Table("window", title, columns("limit", Column("factors", "holds at factors")), rows)
