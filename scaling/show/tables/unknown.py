"""What a builder left out: the numbers that were estimated for it, and the quantities that are absent without it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from scaling.files.units import shown_unit, to_shown
from scaling.formulas import book
from scaling.robot.estimates import unit_of
from scaling.show.table import Table, columns
from scaling.study.absent import absent_of_port, absent_of_reference
from scaling.study.only import only_one

if TYPE_CHECKING:
    from scaling.robot.design import Design
    from scaling.robot.estimates import Estimate
    from scaling.study.absent import Absent
    from scaling.study.results import Study

ESTIMATES = "Estimated, since the design file does not say"
ONLY = "What only one has of the reference and a machine of another kind"
ABSENT = "Absent for want of an input, and the keys that would bring it"


def estimates_table(designs: Iterable[Design]) -> Table:
    """Every estimate of some designs with its band and rule; the same in several stands once."""
    rows = dict.fromkeys(_estimate_row(estimate) for design in designs for estimate in design.estimates)
    return Table("estimates", ESTIMATES, columns("key", "value", "from", "to", "unit", "rule", "source"), tuple(rows))


def _estimate_row(estimate: Estimate) -> tuple[str | float, ...]:
    unit = unit_of(estimate)
    numbers = (to_shown(value, unit) for value in (estimate.value, estimate.low, estimate.high))
    return (estimate.key, *numbers, shown_unit(unit), estimate.rule, book.cite(estimate.source))


def estimate_rows(design: Design) -> list[dict[str, Any]]:
    """The estimates of a design as plain data, SI."""
    return [
        {
            "key": each.key, "value": each.value, "low": each.low, "high": each.high, "unit": unit_of(each),
            "rule": each.rule, "source": book.cite(each.source),
        }
        for each in design.estimates
    ]  # fmt: skip


def absent_rows(rows: Iterable[Absent]) -> list[dict[str, Any]]:
    """What is absent as plain data."""
    return [{"quantity": row.quantity, "needs": list(row.needs)} for row in rows]


def absent_table(found: Iterable[tuple[str, Iterable[Absent]]]) -> Table:
    """What each of some robots lacks, by the keys that would bring it; robots that lack the same share a row."""
    grouped: dict[tuple[tuple[str, ...], tuple[str, ...]], list[str]] = {}
    for who, rows in found:
        by_needs: dict[tuple[str, ...], list[str]] = {}
        for row in rows:
            by_needs.setdefault(row.needs, []).append(row.quantity)
        for needs, names in by_needs.items():
            grouped.setdefault((needs, tuple(names)), []).append(who)
    rows_of = tuple(
        (" ".join(who), ", ".join(needs), "; ".join(book.quantities[name].label for name in names))
        for (needs, names), who in grouped.items()
    )
    return Table("absent", ABSENT, columns("of", "needs", "absent"), rows_of)


def study_absent_table(study: Study) -> Table:
    """What a study's reference and ports lack."""
    ports = zip(study.letters, study.ports, strict=True)
    return absent_table(
        [("reference", absent_of_reference(study)), *((letter, absent_of_port(study, port)) for letter, port in ports)]
    )


def only_table(study: Study) -> Table:
    """The quantities that only one has of a reference and a machine with a file of its own, with their numbers."""
    rows: list[tuple[str | float, ...]] = []
    for letter, port in zip(study.letters, study.ports, strict=True):
        if port.machine is None:
            continue
        only = only_one(study, port)
        sides = [("reference only", name, study.reference[name]) for name in only.reference]
        sides += [(f"{letter} only", name, port.quantities[name].value) for name in only.port]
        for side, name, value in sides:
            entry = book.quantities[name]
            rows.append((letter, side, entry.label, to_shown(value, entry.unit), shown_unit(entry.unit)))
    return Table("only", ONLY, columns("port", "who_has_it", "quantity", "value", "unit"), tuple(rows))


def designs_of(study: Study) -> list[Design]:
    """The reference of a study and the machines that have files of their own."""
    return [study.design, *(port.machine for port in study.ports if port.machine is not None)]


def absent_summary(table: Table, every: str) -> str:
    """How many quantities are absent, in a sentence that says where they are listed."""
    count = len({name for row in table.rows for name in str(row[2]).split("; ")})
    said = "1 quantity is" if count == 1 else f"{count} quantities are"
    return f"{said} absent for want of an input; {every} says which key would bring each."
