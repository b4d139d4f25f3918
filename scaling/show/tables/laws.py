"""The factor of each port, and where it came from."""

from __future__ import annotations

from scaling.decide.verdicts import factor_source
from scaling.files.units import to_shown
from scaling.show.table import Cell, Column, Table, columns
from scaling.study.results import Study


def laws_table(study: Study) -> Table:
    """The factor of each port and where it came from, mass and what is left under the limit less the margin."""
    rows: list[tuple[Cell, ...]] = []
    for name, port in zip(study.letters, study.ports, strict=True):
        mass = round(to_shown(port.variables["mass"], "kg"), 6) if port.factor is not None else None
        allowed = round(to_shown(port.mass_limit - study.brief.mass_margin, "kg"), 6)
        rows.append(
            (
                name,
                port.request.law,
                port.request.speed_rule or "-",
                port.request.drive_rule or "-",
                port.factor,
                port.continuous_factor,
                port.naive_factor,
                mass,
                None if mass is None or not study.limited else allowed - mass,
                ", ".join(port.misses) or port.status,
                factor_source(port),
            )
        )
    heads = columns(
        "port", "law", "speed_rule", "drive_rule", "factor", Column("continuous_factor", "unsnapped"),
        Column("naive_factor", "cube root"), Column("mass", unit="g"), Column("left", unit="g"),
        Column("status", "fits, or misses by"),
        "factor_from",
    )
    of = "machine" if study.compares else "law"
    return Table("laws", f"Factor of each {of} and where it comes from", heads, tuple(rows))
