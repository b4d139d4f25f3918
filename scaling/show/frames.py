"""Results as tidy pandas frames: plain column names, SI units, one fact a row."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from scaling.decide.window import sentences
from scaling.formulas import book
from scaling.study.drifts import clock_of, judged, told_clock

if TYPE_CHECKING:
    from pandas import DataFrame

    from scaling.decide.option import Option
    from scaling.decide.window import Window
    from scaling.study.results import Study


def drift_frame(study: Study, clock: str | None) -> DataFrame:
    """Return every quantity of every port beside the reference's, its similarity ratio and drift by a clock.

    That is each quantity's own where none is given.
    """
    import pandas

    columns = ("port", "quantity", "label", "branch", "role", "clock", "better", "unit", "reference", "value", "ratio",
               "exponent", "exponent_kind", "similarity_ratio", "drift", "if_reached", "outside")  # fmt: skip
    rows: list[tuple[Any, ...]] = []
    for letter, port in zip(study.letters, study.ports, strict=True):
        for name, found in port.quantities.items():
            entry, power = book.quantities[name], found.exponent
            kind = None if power is None else "exact" if isinstance(power, Fraction) else "local"
            whose = told_clock(name) if clock is None else clock
            rows.append(
                (letter, name, entry.label, entry.branch, entry.role, whose, entry.better, found.unit,
                 study.reference.get(name), found.value, found.ratio, None if power is None else float(power), kind,
                 found.similarity.get(clock_of(name, clock)), judged(port, name, clock),
                 found.if_reached, name in port.outside)
            )  # fmt: skip
    frame = pandas.DataFrame(rows, columns=list(columns))
    numbers = ["reference", "value", "ratio", "exponent", "similarity_ratio", "drift"]
    frame[numbers] = frame[numbers].astype(float)
    return frame


def window_frame(found: list[Window]) -> DataFrame:
    """Return where each limit holds, a row a band of factors, NaN where it holds nowhere; ``window`` is all together.

    What each window says in words is in ``attrs["sentences"]``, by its rules.
    """
    import pandas

    rows: list[tuple[Any, ...]] = []
    for window in found:
        bands = [(band.name, band.label, band.intervals) for band in window.bands]
        for name, label, intervals in [("window", "Every limit", window.intervals), *bands]:
            for low, high in intervals or ((float("nan"), float("nan")),):
                rows.append((window.speed_rule, window.drive_rule, name, label, low, high))
    frame = pandas.DataFrame(rows, columns=["speed_rule", "drive_rule", "limit", "label", "low", "high"])
    rules = [f"{window.speed_rule or 'no rotor'}, drive {window.drive_rule}" for window in found]
    frame.attrs["sentences"] = {each: sentences(window) for each, window in zip(rules, found, strict=True)}
    return frame


def options_frame(found: list[Option], tried: int) -> DataFrame:
    """Return ranked options: what was chosen, how each is judged, then its values; a row an option.

    ``attrs`` holds the units by column and the number of combinations tried.
    """
    import pandas

    rows = [
        {
            "rank": option.rank,
            **{_column(axis): name for axis, name in option.chosen.items()},
            "fit": option.fit,
            "status": option.status,
            "misses": " ".join(option.misses),
            "unbeaten": option.unbeaten,
            "factor": option.factor,
            "mass": option.mass,
            "mass_left": option.left,
            "score": option.score,
            **option.aims,
            "price": option.price,
            **{_column(name): value for name, value in option.values.items()},
            "text": option.text,
        }
        for option in found
    ]
    frame = pandas.DataFrame(rows)
    units = dict.fromkeys(("factor", "score", "hit", "handling", "survival"), "1") | {"mass": "kg", "mass_left": "kg"}
    units |= {name: book.quantities[name].unit for name in frame.columns if name in book.quantities}
    units |= {_column(key): entry.unit for key, entry in book.variables.items() if _column(key) in frame.columns}
    frame.attrs.update(units={name: unit for name, unit in units.items() if name in frame.columns}, tried=tried)
    return frame


def _column(name: str) -> str:
    """A column's plain name."""
    return re.sub(r"\W+", "_", name).strip("_").lower()
