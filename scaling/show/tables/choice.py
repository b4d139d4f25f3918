"""What helps to choose: ranked options, and the bands of a feasible window."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from scaling.decide.aims import MEANINGS, STEPS, Aims
from scaling.files.units import shown_unit, to_shown
from scaling.formulas import book
from scaling.show.table import Column, Table, columns

if TYPE_CHECKING:
    from scaling.decide.option import Option
    from scaling.decide.window import Window


BOUGHT = (
    ("rotor_speed", Column("rotor_speed", "rpm")),
    ("tip_speed", Column("tip_speed", "m/s")),
    ("rotor_energy", Column("rotor_energy", "J")),
    ("specific_energy", Column("specific_energy", "J/kg")),
    ("spin_up_time", Column("spin_up_time", "up, s")),
    ("rush_margin", Column("rush_margin", "rush")),
    ("gyro_margin", Column("gyro_margin", "gyro")),
    ("peak_current", Column("peak_current", "A")),
)
"""What a buyer reads of an option with a rotor."""

PUSHER = (
    ("top_speed", Column("top_speed", "m/s")),
    ("launch_acceleration", Column("launch_acceleration", "m/s²")),
    ("half_turn_time", Column("half_turn_time", "turn, s")),
    ("match_energy_margin", Column("match_energy_margin", "pack")),
    ("peak_current", Column("peak_current", "A")),
)
"""What a buyer reads of an option without."""

LEGEND = {
    "rotor_energy": "J: rotor energy",
    "spin_up_time": "up: to full speed",
    "rush_margin": "rush: above 1 the rotor is up before an opponent arrives",
    "gyro_margin": "gyro: turn rate at which one side lifts, over the top one",
    "half_turn_time": "turn: half a turn",
    "match_energy_margin": "pack: its energy over what a match needs",
    "peak_current": "A: the pack's peak",
}
"""What the heads mean, of those that do not say it."""


def options_table(found: list[Option], only: Sequence[str] = ()) -> Table:
    """What a buyer reads of ranked options: rank, motor, numbers, what is left of the mass, price or else score.

    ``only`` names the quantities that stand there instead of the usual ones. A star marks what nothing beats, an
    exclamation mark what misses something, a dash what an option does not have or would have only if its motor reached
    its speed.
    """
    shown = _shown(found, only)
    with_price = any(option.price for option in found)
    bought = "rotor_motors" if any("rotor_motors" in option.chosen for option in found) else "drive_motors"
    named = not only and any(bought in option.chosen for option in found)
    rows = tuple(
        (
            f"{option.rank}{' *' if option.unbeaten else ' !' if option.misses else ''}",
            *([_named(option.chosen.get(bought))] if named else []),
            *(_number(option, name) for name, _ in shown),
            round(option.left * 1e3),
            (option.price or "-") if with_price else _short(option.score),
        )
        for option in found
    )
    ends = columns(Column("left", "left" if with_price else "g left"), "price" if with_price else "score")
    motor = [Column(bought, "motor")] if named else []
    heads = (Column("rank", "#"), *motor, *(column for _, column in shown), *ends)
    return Table("options", "Options, best first", heads, rows)


MOST_NAMED = 8
"""Letters of a motor's name that stand in the table."""


def _named(name: str | None) -> str:
    """A motor's name, shortened where it would widen the table; the sentence below has it whole."""
    return "-" if name is None else name if len(name) <= MOST_NAMED else f"{name[: MOST_NAMED - 1]}~"


def _shown(found: list[Option], only: Sequence[str]) -> list[tuple[str, Column]]:
    """The quantities that stand in the table, each with its column."""
    usual = BOUGHT if any("rotor_speed" in option.values for option in found) else PUSHER
    chosen = tuple((name, Column(name, None, shown_unit(book.quantities[name].unit))) for name in only) or usual
    return [(name, column) for name, column in chosen if any(name in option.values for option in found)]


def legend(found: list[Option], only: Sequence[str]) -> str:
    """What the heads and marks of the table mean."""
    said = [] if only else [LEGEND[name] for name, _ in _shown(found, only) if name in LEGEND]
    marks = ["!: it misses what its line says"] if any(option.misses for option in found) else []
    priced = ["left: grams below the limit"] if any(option.price for option in found) else []
    said = [*said, *priced, *marks]
    return f"{'; '.join(said)}." if said else ""


def _number(option: Option, name: str) -> float | None:
    """An option's quantity in the unit that people are shown, to three digits; None where no motor reaches it."""
    value = option.values.get(name)
    if value is None or ("speed_unreachable" in option.misses and name not in _BY_THE_DRIVE):
        return None
    return _short(to_shown(value, book.quantities[name].unit))


_BY_THE_DRIVE = {"top_speed", "launch_acceleration", "half_turn_time", "rotor_speed"}
"""What an option has though its rotor does not reach its speed; that itself is what is asked for."""


def _short(value: float) -> float:
    return float(f"{value:.3g}")


def whole_options_table(found: list[Option]) -> Table:
    """All that is known of ranked options, for a file: what was chosen, judged and computed, a row an option."""
    names = list(dict.fromkeys(name for option in found for name in option.values))
    aims = list(dict.fromkeys(name for option in found for name in option.aims))
    axes = list(found[0].chosen) if found else []
    rows = tuple(
        (
            option.rank, "*" if option.unbeaten else "", *(option.chosen[axis] for axis in axes), option.fit,
            option.status, " ".join(option.misses), option.factor, option.mass, option.left, option.score,
            *(option.aims.get(aim) for aim in aims), option.price, *(option.values.get(name) for name in names),
            option.text,
        )
        for option in found
    )  # fmt: skip
    heads = columns(
        "rank", "unbeaten", *map(_axis, axes), Column("fit", "fitted by"), "status", "misses", "factor",
        Column("mass", unit="kg"), Column("left", unit="kg"), "score", *(Column(aim) for aim in aims), "price",
        *(Column(re.sub(r"\W+", "_", name), name, _unit(name)) for name in names), "text",
    )  # fmt: skip
    return Table("options", "Options, best first", heads, rows)


def _unit(name: str) -> str:
    known = book.quantities.get(name) or book.variables[name]
    return "" if known.unit == "1" else known.unit


def _axis(name: str) -> Column:
    """The column of what was chosen of one kind, such as the material of a part by its name."""
    return Column(re.sub(r"\W+", "_", name).strip("_").lower(), name.replace("_", " "))


def window_table(window: Window, only: Sequence[str] = ()) -> Table:
    """The bands of a feasible window: those that begin, end or fail on the axis, or ``only`` those of these names."""
    bands = [band for band in window.bands if band.name in only] if only else window.telling
    rows = tuple(
        (band.label, ", ".join(f"{low:.4g} to {high:.4g}" for low, high in band.intervals) or "nowhere")
        for band in bands
    )
    title = (
        f"Feasible window, {window.speed_rule or 'no rotor'}, drive {window.drive_rule} "
        f"(factors {window.axis[0]:.3g} to {window.axis[1]:.3g})"
    )
    return Table("window", title, columns("limit", Column("factors", "holds at factors")), rows)


def front_text(aims: Aims) -> str:
    """What the star means: the aims in which nothing beats an option at once, and what counts as alike."""
    said = "; ".join(f"{name}, {MEANINGS[name]}" for name in aims.names)
    steps = " or ".join(dict.fromkeys(_step(name) for name in aims.names))
    return (
        f"* of what fits, nothing beats it in all aims at once: {said}. What differs by less than {steps} is alike, "
        "and the first by rank stands for it."
    )


def _step(name: str) -> str:
    return f"{STEPS[name]:g} of a chance" if name == "survival" else f"{100 * STEPS[name]:.0f} %"
