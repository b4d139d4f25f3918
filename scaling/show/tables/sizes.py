"""Sizes from the shelf: holes and fasteners for the port's load, and what the shelves did to dimensions and drift."""

from __future__ import annotations

from scaling.book.told_apart import told_apart
from scaling.formulas import book
from scaling.show.table import Cell, Column, Table, columns
from scaling.study.drifts import judged
from scaling.study.fasteners import fastener_lines
from scaling.study.results import Study


def holes_table(study: Study) -> Table:
    """Holes and fasteners at each port, mm: holes do not scale, the load decides."""
    rows: list[tuple[Cell, ...]] = []
    for letter, port in zip(study.letters, study.ports, strict=True):
        for line in fastener_lines(study, port):
            rows.append(
                (
                    letter,
                    line.name,
                    line.reference,
                    line.scaled_diameter * 1e3,
                    line.scaled_hole * 1e3,
                    line.load_ratio,
                    line.size or "none on the shelf",
                    None if line.hole is None else line.hole * 1e3,
                    None if line.edge is None else line.edge * 1e3,
                    line.kept_count,
                )
            )
    heads = columns(
        "port", "joint", "reference", Column("scaled_bolt", "bolt if scaled", "mm"),
        Column("scaled_hole", "hole if scaled", "mm"), "load_ratio", Column("bolt", "bolt that carries it"),
        Column("hole", "its clearance hole", "mm"), Column("edge_distance", unit="mm"),
        Column("kept_count", "count if the size is kept"),
    )
    return Table("holes", "Holes and fasteners for the port's load", heads, tuple(rows))


def stock_table(study: Study) -> Table:
    """What the shelf did to each dimension that comes from one, mm."""
    rows = tuple(
        (
            letter,
            snap.name,
            snap.shelf,
            snap.how,
            snap.ideal * 1e3,
            snap.snapped * 1e3,
            100 * (snap.snapped / snap.ideal - 1),
        )
        for letter, port in zip(study.letters, study.ports, strict=True)
        for snap in port.snaps
    )
    heads = columns(
        "port", "dimension", "shelf", "snap", Column("ideal", unit="mm"), Column("snapped", unit="mm"),
        Column("change", unit="%"),
    )
    return Table("stock", "What the shelves did to the dimensions", heads, rows)


def stock_effect_table(study: Study, least: float = 0.01) -> Table:
    """What the shelves did to drift: quantities that changed by more than ``least``, largest change first."""
    rows: list[tuple[Cell, ...]] = []
    for letter, port in zip(study.letters, study.ports, strict=True):
        changes: list[tuple[float, tuple[Cell, ...]]] = []
        for name, ideal in port.ideal.items():
            entry, drift = port.quantities.get(name), judged(port, name)
            if entry is None or drift is None or not ideal or abs(entry.value / ideal - 1) <= least:
                continue
            label = book.quantities[name].label
            drifts = (port.marked(name, each) for each in (drift * ideal / entry.value, drift))
            changes.append((abs(entry.value / ideal - 1), (letter, label, *drifts)))
        rows += [row for _, row in sorted(changes, key=lambda change: -told_apart(change[0]))]
    heads = columns(
        "port", "quantity", Column("ideal_drift", "drift, ideal sizes"), Column("drift", "drift, snapped sizes")
    )
    return Table("stock_effect", "What the shelves did to drift (same factor)", heads, tuple(rows))
