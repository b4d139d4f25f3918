"""What drifts, and by how much: worst first, and every quantity in long form."""

from __future__ import annotations

from fractions import Fraction

from scaling.book.entry import Role
from scaling.book.told_apart import told_apart
from scaling.files.units import shown_unit, to_shown
from scaling.formulas import book
from scaling.show.choosing import picked
from scaling.show.table import Cell, Column, Table, columns, port_columns
from scaling.show.tables.exponents import exponent_text
from scaling.study.drifts import counting, drift_size, judged, told_clock
from scaling.study.kept import kept
from scaling.study.results import Study

FIRST: dict[Role, int] = {"handling": 5, "survival": 3, "budget": 2}
"""How many of each role stand in the short table."""

EQUAL = 4
"""Digits after the point of a drift's size that count: equal ones stand in the order of the book."""


def worst_first(study: Study, clock: str | None = None) -> list[str]:
    """Names of the quantities, those that drift most in any port first, each by its own clock or by ``clock``."""
    return list(_by_own_clocks(study)) if clock is None else _by(study, clock)


@kept
def _by_own_clocks(study: Study) -> tuple[str, ...]:
    return tuple(_by(study, None))


def _by(study: Study, clock: str | None) -> list[str]:
    worst: dict[str, float] = {}
    for port in study.ports:
        for name in port.quantities:
            worst[name] = max(worst.get(name, 0.0), drift_size(counting(port, name, clock)))
    order = {name: place for place, name in enumerate(book.quantities)}
    return sorted(worst, key=lambda name: (-told_apart(worst[name], EQUAL), order[name]))


def headline(study: Study, clock: str | None = None) -> list[str]:
    """Names of the ten to look at first: what drifts most of each role, nothing that drifts just as another."""
    return picked(study, worst_first(study, clock), FIRST, sum(FIRST.values()), tuple(FIRST))


def drift_table(study: Study, names: list[str], clock: str | None = None) -> Table:
    """Reference value and each port's drift of the named quantities, each by its own clock or by ``clock``."""
    rows: list[tuple[Cell, ...]] = []
    for name in names:
        entry = book.quantities[name]
        own = study.reference.get(name)
        rows.append(
            (
                entry.branch,
                entry.label,
                entry.better,
                told_clock(name) if clock is None else clock,
                study.marked(name, None if own is None else to_shown(own, entry.unit)),
                shown_unit(entry.unit),
                *(port.marked(name, judged(port, name, clock)) for port in study.ports),
            )
        )
    whose = "each quantity's own clock" if clock is None else f"the {clock}'s clock"
    heads = columns("branch", "quantity", "better", "clock", "reference", "unit", *port_columns(study.letters))
    return Table("drift", f"Drift by {whose}: 1 is like the reference", heads, tuple(rows))


def quantities_table(study: Study) -> Table:
    """Every quantity of every port in long form, SI units: for the builder's own sums."""
    rows: list[tuple[Cell, ...]] = []
    for letter, port in zip(study.letters, study.ports, strict=True):
        for name, found in port.quantities.items():
            rows.append(
                (
                    letter,
                    book.quantities[name].branch,
                    name,
                    found.unit,
                    study.reference.get(name),
                    found.value,
                    found.ratio,
                    found.exponent if isinstance(found.exponent, Fraction) else exponent_text(found.exponent),
                    found.similarity.get("gravity"),
                    found.drift.get("gravity"),
                    found.similarity.get("driver"),
                    found.drift.get("driver"),
                    "yes" if found.if_reached else "",
                    "yes" if name in port.outside else "",
                )
            )
    heads = columns(
        "port", "branch", "quantity", Column("unit", "SI unit"), "reference", "value", "ratio", "exponent",
        Column("similarity_ratio_gravity", "similarity ratio, gravity's clock"),
        Column("drift_gravity", "drift, gravity's clock"),
        Column("similarity_ratio_driver", "similarity ratio, driver's clock"),
        Column("drift_driver", "drift, driver's clock"),
        Column("if_reached", "only if the speed were reached"), Column("outside_range", "outside its formula's range"),
    )
    return Table("quantities", "Every quantity of every port", heads, tuple(rows))
