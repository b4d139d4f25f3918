"""The known materials, and what a gram of each takes as armour."""

from __future__ import annotations

import numpy as np

from scaling.book.told_apart import told_apart
from scaling.formulas.structure.energy_per_mass import dug, is_drawn_out, sprung, torn
from scaling.shop.materials import Material, materials
from scaling.show.table import Column, Table, columns

NOTE = (
    "Typical values. Energy that a gram takes: cut away by a tooth; sprung, which it gives back; torn, pulled slowly "
    "and evenly to its elongation at break. Each is the most that a gram in the way can take: a blow, a notch, a neck "
    "or the layers of a print leave less of the last."
)

Rows = list[dict[str, str | float | None]]


def material_rows() -> Rows:
    """Every known material with its typical values in SI units, what takes most to tear a gram of first."""
    rows: Rows = []
    known = materials()
    for name, each in known.items():
        strength, modulus, density = each.strength.typical, each.modulus.typical, each.density.typical
        cut = float(dug(strength, density)) if is_drawn_out(strength, modulus, each.break_strain) else None
        rows.append({
            "material": name, "kind": each.kind, "density": density, "strength": strength, "modulus": modulus,
            "break_strain": each.break_strain, "cut_energy_per_mass": cut,
            "spring_energy_per_mass": sprung(strength, modulus, density), "tear_energy_per_mass": _torn(each),
        })  # fmt: skip
    return sorted(rows, key=lambda row: -told_apart(_torn(known[str(row["material"])])))


def _torn(material: Material) -> float:
    numbers = (material.strength.typical, material.modulus.typical, material.break_strain, material.density.typical)
    return float(torn(*map(np.asarray, numbers))["energy"])


SHOWN = {
    "density": (Column("density", unit="kg/m³"), 1.0),
    "strength": (Column("strength", unit="MPa"), 1e6),
    "modulus": (Column("modulus", unit="GPa"), 1e9),
    "break_strain": (Column("break_strain", "elongation", "%"), 0.01),
    "cut_energy_per_mass": (Column("cut", unit="J/g"), 1e3),
    "spring_energy_per_mass": (Column("sprung", unit="J/g"), 1e3),
    "tear_energy_per_mass": (Column("torn", unit="J/g"), 1e3),
}
"""The numbers of a row: their column, and the SI value of its unit."""


def materials_table() -> Table:
    """Return the materials for people."""
    rows = tuple(
        (row["material"], row["kind"], *(_in_unit(row[key], unit) for key, (_, unit) in SHOWN.items()))
        for row in material_rows()
    )
    shown = columns("material", "kind", *(column for column, _ in SHOWN.values()))
    return Table("materials", "Materials, and the energy that a gram takes", shown, rows)


def _in_unit(value: str | float | None, unit: float) -> float | None:
    return None if value is None else float(value) / unit
