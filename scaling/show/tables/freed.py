"""What the law that frees dimensions found: what to change on the drawing, what that restores, what limits cost."""

from __future__ import annotations

import math
from collections.abc import Iterator

from scaling.book.told_apart import told_apart
from scaling.decide.objective import ABSENT
from scaling.files.units import format_value
from scaling.formulas import book
from scaling.port.freed import FACTOR
from scaling.show.table import Cell, Column, Table, columns
from scaling.study.drifts import drift_text
from scaling.study.problem import label_of
from scaling.study.results import FreedLever, Solved, Study

ALIKE = 5e-4
"""A dimension within this share of the plain scaling's is no change on the drawing."""


def solved_ports(study: Study) -> Iterator[tuple[str, Solved]]:
    """Yield the ports of the law that frees dimensions, each with its letter."""
    for letter, port in zip(study.letters, study.ports, strict=True):
        if port.solved is not None:
            yield letter, port.solved


def changes_table(study: Study) -> Table:
    """What to change on the drawing against the plain scaling to the same factor; of the factor, against its own."""
    rows = [
        (letter, name_of(lever.key), *(_shown(lever, value) for value in (lever.reference, lever.similar, lever.value)),
         _change(lever))
        for letter, solved in solved_ports(study)
        for lever in (*solved.freed, *solved.along)
        if _differs(lever)
    ]  # fmt: skip
    heads = columns("port", "dimension", "reference", "plain_scaling", "change_to", Column("change", unit="%"))
    return Table("changes", "What to change against the plain scaling", heads, tuple(rows))


def restored_table(study: Study) -> Table:
    """What the port restores and gives up beside the plain scaling by the mass law, what changes most first."""
    rows: list[tuple[Cell, ...]] = []
    for letter, solved in solved_ports(study):
        gain = {name: _cost(solved.before[name]) - _cost(solved.after[name]) for name in solved.after}
        for name in sorted(gain, key=lambda name: -told_apart(abs(gain[name]), 9)):
            word = "restores" if gain[name] > ALIKE else "gives up" if gain[name] < -ALIKE else "stays"
            rows.append((letter, word, label_of(name), _drift(solved.before[name]), _drift(solved.after[name])))
    heads = columns("port", "what", "quantity", Column("plain_scaling", "drift, plain scaling"), Column("port_drift",
                    "drift, this port"))  # fmt: skip
    return Table("restored", "What the free dimensions restore and give up", heads, tuple(rows))


def prices_table(study: Study) -> Table:
    """What each limit costs, the dearest first."""
    rows: list[tuple[Cell, ...]] = [
        (letter, price.limit, price.price, price.text) for letter, solved in solved_ports(study)
        for price in solved.prices
    ]  # fmt: skip
    rows += [
        (letter, name, None, "No setting of the free dimensions holds this: it is kept at the plain scaling's.")
        for letter, solved in solved_ports(study)
        for name in solved.unheld
    ]
    return Table("prices", "What more room in each limit would buy", columns("port", "limit", "price", "text"),
                 tuple(rows))  # fmt: skip


def name_of(key: str) -> str:
    """Return what people call a lever, or what moves along with one."""
    if key == FACTOR:
        return "scale factor"
    if key.startswith("parts."):
        part, _, quality = key.removeprefix("parts.").rpartition(".")
        return f"{quality} of {part}"
    return f"{key}: {book.variables[key].meaning}"


def _shown(lever: FreedLever, value: float | str) -> str:
    if isinstance(value, str):
        return value
    unit = book.variables[lever.key].unit if lever.key in book.variables else "1" if lever.key == FACTOR else "m"
    return format_value(value, unit, 4)


def _differs(lever: FreedLever) -> bool:
    if isinstance(lever.value, str) or isinstance(lever.similar, str):
        return lever.value != lever.similar
    return abs(lever.value / lever.similar - 1) > ALIKE


def _change(lever: FreedLever) -> float | None:
    if isinstance(lever.value, str) or isinstance(lever.similar, str):
        return None
    return 100 * (lever.value / lever.similar - 1)


def _cost(drift: float) -> float:
    return ABSENT if math.isnan(drift) else abs(drift)


def _drift(drift: float) -> str:
    return "absent" if math.isnan(drift) else drift_text(math.exp(drift))
