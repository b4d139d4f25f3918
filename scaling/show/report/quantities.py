"""What a report says of quantities and groups: the worst drifts, and every branch's values and drift."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from scaling.book.groups import SETS, expression_text
from scaling.book.similarity import CLOCKS
from scaling.files.units import shown_unit, to_shown
from scaling.formulas import book
from scaling.show.report.formula_text import unit_text
from scaling.show.report.sheet import Sheet, Shown, shown
from scaling.show.table import cell_text
from scaling.show.tables.drift import headline, worst_first
from scaling.study.drifts import is_against, judged, told_clock
from scaling.study.results import Port, Study
from scaling.study.run import group_values


@dataclass(frozen=True)
class Branch:
    """The quantities of one branch, worst first: their values, and their drift by both clocks."""

    title: str
    values: Sheet
    drift: Sheet


def shown_in(unit: str) -> str:
    """Return the unit in which people are shown a value of an SI unit, in words where there is none."""
    return unit_text(shown_unit(unit) or "1")


def worst_sheet(study: Study) -> Sheet:
    """Return the quantities that drift most, each by its own clock."""
    rows: list[tuple[Shown, ...]] = []
    for name in headline(study):
        entry = book.quantities[name]
        drifts = (_drift(port.marked(name, judged(port, name)), name) for port in study.ports)
        texts = (entry.label, entry.better, told_clock(name) or "-")
        rows.append((*map(Shown, texts), _own(study, name), Shown(shown_in(entry.unit)), *drifts))
    headers = ("quantity", "better", "clock", "reference", "unit", *study.letters)
    spans = (("drift, no unit", len(study.ports)),)
    title = "What drifts most of handling, survival and budget, each by its own clock"
    return Sheet(title, headers, tuple(rows), spans)


def branches(study: Study) -> Iterable[Branch]:
    """Return the values of every branch and their drift by either clock, worst first."""
    order = worst_first(study)
    order += [name for name in study.reference if name not in order]
    letters = study.letters
    for branch, title in book.titles.items():
        names = [name for name in order if book.quantities[name].branch == branch]
        if not names:
            continue
        values = Sheet(
            f"{title}: values",
            ("quantity", "unit", "reference", *letters),
            tuple(_values(study, name) for name in names),
            (("in that unit", len(letters) + 1),),
        )
        drift = Sheet(
            f"{title}: drift by either clock, 1 is like the reference",
            ("quantity", "better", *CLOCKS * len(letters)),
            tuple(_drifts(study, name) for name in names),
            tuple((f"{letter}, no unit", len(CLOCKS)) for letter in letters),
        )
        yield Branch(title, values, drift)


def _values(study: Study, name: str) -> tuple[Shown, ...]:
    entry = book.quantities[name]
    found = (_value_at(port, name) for port in study.ports)
    return (Shown(entry.label), Shown(shown_in(entry.unit)), _own(study, name), *found)


def _own(study: Study, name: str) -> Shown:
    return _value(study.marked(name, _people_see(study.reference.get(name), name)), name)


def _value_at(port: Port, name: str) -> Shown:
    value = port.quantities[name].value if name in port.quantities else None
    return _value(port.marked(name, _people_see(value, name)), name)


def _people_see(value: float | None, name: str) -> float | None:
    return None if value is None else to_shown(value, book.quantities[name].unit)


def _value(value: float | None, name: str) -> Shown:
    return shown(value, 4 if book.quantities[name].unit == "kg" else 3)


def _drifts(study: Study, name: str) -> tuple[Shown, ...]:
    entry = book.quantities[name]
    drifts = (port.marked(name, judged(port, name, clock)) for port in study.ports for clock in CLOCKS)
    return (Shown(entry.label), Shown(entry.better), *(_drift(drift, name) for drift in drifts))


def _drift(drift: float | None, name: str) -> Shown:
    return Shown(cell_text(drift), number=True, worse=is_against(drift, name))


def groups(study: Study) -> Iterable[tuple[str, Sheet]]:
    """Return the dimensionless groups of each stated set."""
    for group_set in SETS:
        rows: list[tuple[Shown, ...]] = []
        for group in study.groups:
            if group.set_name != group_set.name:
                continue
            own, ports = group_values(study, group)
            text = expression_text(group.expression)
            name = "(no name)" if group.name == text else group.name
            rows.append((Shown(text), Shown(name), *(shown(value) for value in (own, *ports))))
        if rows:
            title = group_set.label[0].upper() + group_set.label[1:]
            headers = ("expression", "group", "reference", *study.letters)
            yield title, Sheet(title, headers, tuple(rows), (("no unit", len(study.ports) + 1),))
