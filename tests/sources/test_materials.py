"""The materials table against published values, and its file format against what builders get wrong.

The numbers are typed here from the sources named beside them, in the sources' own units; none comes from
the table under test. Status of a source: 'secondary' is the published work as quoted by another, 'copy' a copied page
of the work itself, 'seen' the page itself, 'memory' from memory. Cited shortly: W. D. Callister and D. G. Rethwisch,
Fundamentals of Materials Science and Engineering, 3rd ed.; N. E. Dowling, Mechanical Behavior of Materials;
P. A. Schweitzer, Mechanical and Corrosion-Resistant Properties of Plastics and Elastomers, 2000; Heliyon 9 (4), 2023,
e15023; 'data sheets' are values that are typical of makers' data sheets.
"""

from __future__ import annotations

import itertools
import math
import subprocess
import sys
from pathlib import Path

import periodictable
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scaling.book.sources import STATUSES
from scaling.files.errors import InputError
from scaling.shop.materials import (
    KINDS,
    NO_RISE,
    STRENGTH_KINDS,
    TOUGHNESS_KINDS,
    Material,
    Range,
    material,
    materials,
    swap_effect,
)
from scaling.shop.sources import Citation, bibliography, stated

MPA, GPA = 1e6, 1e9
TABLE = materials()

# Published ranges: material, property, low, high, unit, source and status.
PUBLISHED_RANGES = [
    ("hdpe", "density", 950, 970, 1, "Encyclopaedia Britannica, table of commercial plastics, secondary"),
    ("hdpe", "strength", 20, 30, MPA, "Encyclopaedia Britannica, table of commercial plastics, secondary"),
    ("hdpe", "modulus", 1.0, 1.5, GPA, "Encyclopaedia Britannica, table of commercial plastics, in bending, secondary"),
    ("hdpe", "elongation", 0.1, 10, 1, "Encyclopaedia Britannica, table of commercial plastics, secondary"),
    ("uhmwpe", "density", 930, 945, 1, "memory"),
    ("uhmwpe", "strength", 20, 24, MPA, "memory"),
    ("uhmwpe", "modulus", 0.5, 0.8, GPA, "memory"),
    ("polycarbonate", "density", 1190, 1200, 1, "Machinery's Handbook (1190) and Encyclopaedia Britannica, secondary"),
    ("polycarbonate", "strength", 60, 70, MPA, "memory"),
    ("pa12", "density", 880, 1010, 1, "data sheets, secondary"),
    ("pa12", "strength", 43, 54, MPA, "Heliyon e15023, table 6, sintered nylon 12 and fused polyamide, seen"),
    ("pa12", "modulus", 1.5, 1.8, GPA, "Heliyon e15023, table 6, sintered nylon 12, seen"),
    ("pla", "density", 1210, 1250, 1, "S. Farah et al., Advanced Drug Delivery Reviews 107 (2016), memory"),
    ("pla", "strength", 50, 89, MPA, "Heliyon e15023, table 6, seen"),
    ("pla", "modulus", 3, 4, GPA, "Heliyon e15023, table 6, seen"),
    ("pla", "elongation", 0.02, 0.09, 1, "Heliyon e15023, table 6, seen"),
    ("petg", "density", 1200, 1300, 1, "data sheets, moulded copolyester, secondary"),
    ("petg", "strength", 38, 50, MPA, "Heliyon e15023, table 6 (38 to 40), seen; data sheets, secondary"),
    ("petg", "modulus", 2.01, 2.11, GPA, "Heliyon e15023, table 6, seen"),
    ("tpu95a", "density", 1100, 1250, 1, "memory"),
    ("tpu95a", "strength", 30, 50, MPA, "memory"),
    ("tpu95a", "modulus", 0.03, 0.15, GPA, "memory"),
    ("abs", "strength", 34, 50, MPA, "Dowling, Mechanical Behavior of Materials, table 4.3, copy"),
    ("abs", "modulus", 2.1, 2.8, GPA, "Dowling, table 4.3, copy"),
    ("acetal", "strength", 65, 72, MPA, "Engineering Plastics Handbook, table 5.5, copy"),
    ("acetal", "modulus", 2.5, 3.0, GPA, "Engineering Plastics Handbook, table 5.5, copy"),
    ("rubber-chloroprene", "strength", 6.9, 17.2, MPA,
     "Schweitzer, Properties of Plastics and Elastomers (2000) p. 283, 1000 to 2500 psi, secondary"),
    ("titanium-6al-4v", "density", 4420, 4430, 1, "data sheets, seen; MIL-HDBK-5J, 0.160 lb/in^3, memory"),
    ("titanium-6al-4v", "strength", 828, 980, MPA, "data sheets, minimum and typical, seen"),
    ("titanium-6al-4v", "modulus", 105, 120, GPA, "data sheets, seen"),
    ("titanium-6al-4v", "toughness", 44, 66, 1e6, "Callister & Rethwisch, table B.5, copy"),
    ("steel-mild", "strength", 235, 355, MPA, "EN 10025-2 table 7, S235 to S355 to 16 mm, secondary"),
    ("steel-4140-qt", "toughness", 75, 93, 1e6, "Callister & Rethwisch, table B.5, tempered at 482 C, copy"),
    ("wear-steel-450", "strength", 1100, 1300, MPA, "data sheets of 2014, secondary"),
    ("wear-steel-450", "modulus", 205, 210, GPA, "memory"),
    ("wear-steel-500", "strength", 1250, 1400, MPA, "data sheets, secondary"),
    ("tool-steel-s7", "density", 7760, 7830, 1, "ASM Handbook vol. 1 (7760), secondary; 7830 memory"),
    ("tool-steel-s7", "strength", 1380, 1585, MPA, "ASM Handbook vol. 1, tempers to 540 C, secondary"),
    ("brass", "modulus", 96, 110, GPA, "Gere, Mechanics of Materials, table H-2, copy"),
    ("brass", "strength", 140, 320, MPA, "EN 12164, CuZn36Pb3 by temper, secondary"),
    ("brass", "elongation", 0.05, 0.40, 1, "EN 12164, CuZn36Pb3 by temper, secondary"),
    ("copper", "strength", 69, 310, MPA, "Callister & Rethwisch, table B.4, hot rolled and H04, copy"),
    ("carbon-fibre-plate", "density", 1550, 1600, 1, "memory"),
    ("carbon-fibre-plate", "strength", 400, 650, MPA, "memory"),
    ("carbon-fibre-plate", "modulus", 45, 70, GPA, "memory"),
    ("carbon-fibre-ud", "density", 1550, 1600, 1, "memory"),
    ("carbon-fibre-ud", "strength", 1500, 2000, MPA, "memory"),
    ("carbon-fibre-ud", "modulus", 120, 145, GPA, "memory"),
    ("glass-fibre-plate", "strength", 35, 50, 6.894757e6, "NEMA LI 1, G-10 and FR-4, minima in ksi, secondary"),
]

# Published single values: material, property, value, unit, tolerance, source and status.
PUBLISHED_VALUES = [
    ("hdpe", "modulus", 1.08, GPA, 0.15, "Callister & Rethwisch, table B.2, copy"),
    ("uhmwpe", "density", 940, 1, 0.005, "Callister & Rethwisch, table B.1, copy"),
    ("uhmwpe", "modulus", 0.76, GPA, 0.15, "Machinery's Handbook, secondary"),
    ("uhmwpe", "modulus", 0.69, GPA, 0.15, "Callister & Rethwisch, table B.2, copy"),
    ("polycarbonate", "modulus", 2.38, GPA, 0.15, "Machinery's Handbook, secondary"),
    ("polycarbonate", "strength", 62.1, MPA, 0.15, "Callister & Rethwisch, An Introduction, 8th ed., table 8.1, copy"),
    ("polycarbonate", "elongation", 1.1, 1, 0.15, "Encyclopaedia Britannica (1.1 to 1.2), secondary"),
    ("polycarbonate", "toughness", 2.2, 1e6, 0.15, "Dowling, table 8.2, copy"),
    ("abs", "toughness", 3.0, 1e6, 0.15, "Dowling, table 8.2, copy"),
    ("abs", "density", 1050, 1, 0.02, "Machinery's Handbook, extrusion grade, secondary"),
    ("acetal", "density", 1410, 1, 0.01, "Engineering Plastics Handbook, table 5.5, copy"),
    ("aluminium-6082-t6", "density", 2700, 1, 0.005, "prEN 1999-1-1:2004, 3.2.5, copy"),
    ("aluminium-6082-t6", "strength", 260, MPA, 0.05, "EN 755-2, minimum above 5 mm, secondary"),
    ("aluminium-6082-t6", "modulus", 70, GPA, 0.01, "prEN 1999-1-1:2004, 3.2.5, copy"),
    ("aluminium-6061-t6", "density", 2700, 1, 0.005, "Callister & Rethwisch, table B.1, copy"),
    ("aluminium-6061-t6", "strength", 276, MPA, 0.01, "Callister & Rethwisch, table B.4, copy"),
    ("aluminium-6061-t6", "modulus", 69, GPA, 0.01, "Callister & Rethwisch, table B.2, copy"),
    ("aluminium-7075-t6", "density", 2810, 1, 0.005, "memory"),
    ("aluminium-7075-t6", "strength", 73, 6.894757e6, 0.01, "Callister & Rethwisch, table B.4, in ksi, copy"),
    ("aluminium-7075-t6", "modulus", 71.7, GPA, 0.01, "memory"),
    ("aluminium-7075-t6", "toughness", 24, 1e6, 0.01, "Callister & Rethwisch, table B.5, copy"),
    ("titanium-6al-4v", "modulus", 114, GPA, 0.01, "data sheets, seen"),
    ("titanium-6al-4v", "strength", 910, MPA, 0.02, "data sheets, typical, seen"),
    ("steel-mild", "density", 7850, 1, 0.005, "EN 1993-1-1, secondary"),
    ("steel-mild", "modulus", 210, GPA, 0.01, "EN 1993-1-1 clause 3.2.6, secondary"),
    ("steel-4140-qt", "density", 7850, 1, 0.005, "Callister & Rethwisch, table B.1, copy"),
    ("steel-4140-qt", "strength", 152, 6.894757e6, 0.01,
     "R. L. Mott, Machine Elements in Mechanical Design, AISI 4140 OQT 1000, in ksi, secondary"),
    ("steel-4140-qt", "modulus", 207, GPA, 0.01, "Callister & Rethwisch, table B.2, copy"),
    ("steel-stainless-304", "density", 8000, 1, 0.005, "Callister & Rethwisch, table B.1, copy"),
    ("steel-stainless-304", "modulus", 193, GPA, 0.01, "Callister & Rethwisch, table B.2, copy"),
    ("wear-steel-450", "density", 7850, 1, 0.005, "memory"),
    ("wear-steel-450", "strength", 1250, MPA, 0.01, "data sheets of 2021, secondary"),
    ("wear-steel-500", "strength", 1300, MPA, 0.01, "data sheets, secondary"),
    ("tool-steel-s7", "density", 7760, 1, 0.01, "ASM Handbook vol. 1, secondary"),
    ("tool-steel-s7", "strength", 1450, MPA, 0.01, "ASM Handbook vol. 1, tempered at 205 C, secondary"),
    ("tool-steel-s7", "elongation", 0.07, 1, 0.01, "ASM Handbook vol. 1, tempered at 205 C, secondary"),
    ("tool-steel-s7", "modulus", 207, GPA, 0.01, "memory"),
    ("tool-steel-s7", "toughness", 244, 1, 0.01, "ASM Handbook vol. 1, tempered at 205 C, secondary"),
    ("brass", "density", 8500, 1, 0.005, "Callister & Rethwisch, table B.1, C36000, memory"),
    ("brass", "density", 8470, 1, 0.005, "data sheets, CuZn39Pb3, seen"),
    ("copper", "density", 8890, 1, 0.01, "Callister & Rethwisch, table B.1, C11000, memory"),
    ("copper", "modulus", 115, GPA, 0.02, "Callister & Rethwisch, table B.2, C11000, copy"),
    ("carbon-fibre-ud", "modulus", 138, GPA, 0.03, "Tsai & Hahn, Introduction to Composite Materials, secondary"),
    ("carbon-fibre-ud", "strength", 1500, MPA, 0.07, "Tsai & Hahn, Introduction to Composite Materials, secondary"),
    ("glass-fibre-plate", "density", 1820, 1, 0.01, "data sheets of G-10 and FR-4, seen"),
    ("glass-fibre-plate", "strength", 40, 6.894757e6, 0.01, "NEMA LI 1, G-10 and FR-4, lengthwise in ksi, secondary"),
]

# Yield minima of standards: what the table calls its minimum must be at least as low as a standard allows.
STANDARD_MINIMA = [
    ("aluminium-6082-t6", 250, "EN 755-2, T6 to 5 mm, secondary"),
    ("steel-mild", 235, "EN 10025-2 table 7, S235 to 16 mm, secondary"),
    ("titanium-6al-4v", 828, "data sheets, seen"),
    ("steel-stainless-304", 205, "ASTM A240, memory"),
    ("spring-steel", 1200, "data sheets, 52CrMoV4 after DIN 17221, hardened and tempered, seen"),
    ("steel-4140-qt", 900, "EN 10083-3, 42CrMo4 to 16 mm, memory"),
]


@pytest.mark.parametrize(("name", "key", "low", "high", "unit", "source"), PUBLISHED_RANGES)
def test_typical_value_lies_in_the_published_range(
    name: str, key: str, low: float, high: float, unit: float, source: str
) -> None:
    found: Range = getattr(TABLE[name], key)
    assert low * unit <= found.typical <= high * unit, source
    # The table's own spread may not wander from the published one: within 15 %, the scatter of a polymer.
    assert 0.85 * low * unit <= found.minimum, source
    assert found.maximum <= 1.15 * high * unit, source


@pytest.mark.parametrize(("name", "key", "value", "unit", "tolerance", "source"), PUBLISHED_VALUES)
def test_typical_value_is_the_published_one(
    name: str, key: str, value: float, unit: float, tolerance: float, source: str
) -> None:
    assert getattr(TABLE[name], key).typical == pytest.approx(value * unit, rel=tolerance), source


@pytest.mark.parametrize(("name", "minimum", "source"), STANDARD_MINIMA)
def test_minimum_is_the_standards_minimum(name: str, minimum: float, source: str) -> None:
    assert TABLE[name].strength.minimum == pytest.approx(minimum * MPA, rel=1e-9), source


# Nominal compositions in mass per cent, from the grades' standard ranges, from memory; balance first.
COMPOSITIONS = {
    "aluminium-6082-t6": {"Al": 97.5, "Si": 1.0, "Mg": 0.9, "Mn": 0.6},
    "aluminium-6061-t6": {"Al": 98.1, "Mg": 1.0, "Si": 0.6, "Cu": 0.3},
    "aluminium-7075-t6": {"Al": 90.3, "Zn": 5.6, "Mg": 2.5, "Cu": 1.6},
    "titanium-6al-4v": {"Ti": 90.0, "Al": 6.0, "V": 4.0},
    "steel-mild": {"Fe": 98.6, "Mn": 1.2, "C": 0.2},
    "steel-4140-qt": {"Fe": 97.3, "Cr": 1.0, "Mn": 0.85, "C": 0.4, "Si": 0.25, "Mo": 0.2},
    "steel-stainless-304": {"Fe": 70.0, "Cr": 19.0, "Ni": 9.0, "Mn": 2.0},
    "spring-steel": {"Fe": 97.0, "Cr": 1.1, "Mn": 0.9, "C": 0.5, "Si": 0.25, "Mo": 0.25},
    "wear-steel-450": {"Fe": 98.0, "Mn": 1.6, "C": 0.2, "Mo": 0.2},
    "wear-steel-500": {"Fe": 98.0, "Mn": 1.5, "C": 0.3, "Mo": 0.2},
    "tool-steel-s7": {"Fe": 94.0, "Cr": 3.25, "Mo": 1.4, "Mn": 0.7, "C": 0.5, "Si": 0.15},
    "brass": {"Cu": 61.5, "Zn": 35.5, "Pb": 3.0},
    "copper": {"Cu": 100.0},
}


@pytest.mark.parametrize("name", sorted(name for name, entry in TABLE.items() if entry.kind == "metal"))
def test_alloy_density_against_its_elements(name: str) -> None:
    """Elements' densities of the periodictable package, volumes added; alloys differ by a few per cent."""
    shares = COMPOSITIONS[name]
    assert sum(shares.values()) == pytest.approx(100.0, abs=0.1)
    volume = sum(share / 100 / (1000 * getattr(periodictable, symbol).density) for symbol, share in shares.items())
    assert TABLE[name].density.typical == pytest.approx(1 / volume, rel=0.04)


# Speed of sound in a thin rod, m/s: Kinsler, Frey et al., Fundamentals of Acoustics, table of solids, from memory.
ROD_SPEEDS = {"aluminium-6082-t6": 5150, "brass": 3500, "copper": 3700, "steel-mild": 5050, "wear-steel-450": 5050}


@pytest.mark.parametrize("name", ROD_SPEEDS)
def test_modulus_and_density_give_the_speed_of_sound(name: str) -> None:
    entry = TABLE[name]
    assert math.sqrt(entry.modulus.typical / entry.density.typical) == pytest.approx(ROD_SPEEDS[name], rel=0.04)


# Shear moduli, GPa.
SHEAR_MODULI = [
    ("steel-mild", 81, "EN 1993-1-1 clause 3.2.6, secondary"),
    ("aluminium-6082-t6", 27.0, "prEN 1999-1-1:2004, 3.2.5, copy"),
    ("aluminium-7075-t6", 26.2, "Shigley, Mechanical Engineering Design, table A-5, secondary"),
    ("steel-4140-qt", 79.3, "Shigley, table A-5, carbon steel, secondary"),
    ("steel-stainless-304", 73.1, "Shigley, table A-5, stainless steel, secondary"),
    ("copper", 44.7, "Shigley, table A-5, secondary"),
    ("titanium-6al-4v", 42.7, "MIL-HDBK-5J, annealed, 6.2 million psi, memory"),
]


@pytest.mark.parametrize(("name", "expected", "source"), SHEAR_MODULI)
def test_poisson_gives_the_shear_modulus(name: str, expected: float, source: str) -> None:
    entry = TABLE[name]
    assert entry.modulus.typical / (2 * (1 + entry.poisson)) == pytest.approx(expected * GPA, rel=0.03), source


def test_metals_shear_as_von_mises_says() -> None:
    """Von Mises criterion, shear yield = yield / sqrt(3): Shigley ch. 5, from memory."""
    for entry in TABLE.values():
        if entry.kind == "metal":
            assert entry.shear_strength_ratio == pytest.approx(1 / math.sqrt(3), rel=2e-3), entry.name


@pytest.mark.parametrize("entry", TABLE.values(), ids=list(TABLE))
class TestEveryEntry:
    def test_ranges_are_ordered(self, entry: Material) -> None:
        for key in ("density", "strength", "modulus", "elongation", "toughness"):
            found: Range | None = getattr(entry, key)
            if found is not None:
                assert 0 < found.minimum <= found.typical <= found.maximum, key

    def test_units_are_si(self, entry: Material) -> None:
        """Solids have some hundred kg/m^3 and more, MPa of strength and GPa of modulus, foams and rubbers less."""
        soft = entry.kind in {"foam", "elastomer"}
        assert entry.density.minimum > (50 if soft else 800)
        assert entry.density.maximum < 9000
        assert 1e6 < entry.strength.typical < 2e9
        assert (1e6 if soft else 5e8) < entry.modulus.typical < 2.2e11
        assert entry.elongation is None or entry.elongation.maximum <= (10 if entry.kind == "polymer" or soft else 0.6)

    def test_every_property_has_a_source(self, entry: Material) -> None:
        needed = {"density", "strength", "modulus", "poisson", "shear_strength_ratio"}
        needed |= {key for key in ("elongation", "toughness", "conductivity") if getattr(entry, key) is not None}
        needed |= {"rate_doubling", "rate_power"} if entry.rate_doubling < NO_RISE[0] else set()
        assert set(entry.sources) == needed
        assert all(entry.sources.values())
        for cited in itertools.chain(*entry.sources.values()):
            assert cited.key in bibliography()
            assert cited.status in STATUSES

    def test_strain_at_strength_is_possible(self, entry: Material) -> None:
        """Hooke: what has broken has stretched at least strength / modulus, give or take the ranges."""
        assert entry.elongation is not None
        assert entry.elongation.maximum > entry.strength.minimum / entry.modulus.maximum

    def test_choices(self, entry: Material) -> None:
        assert entry.kind in KINDS
        assert entry.strength_kind in STRENGTH_KINDS
        assert (entry.strength_kind == "yield") == (entry.kind == "metal")
        assert (entry.toughness is None) == (entry.toughness_kind is None)
        assert entry.toughness_kind is None or entry.toughness_kind in TOUGHNESS_KINDS
        assert entry.name == entry.name.lower()
        assert entry.note


def test_swap_effect_from_published_values() -> None:
    """A plate of 6082-T6 for one of HDPE, from the published values above: 2700 and 960 kg/m^3, 70 and 1.08 GPa."""
    effect = swap_effect(TABLE["hdpe"], TABLE["aluminium-6082-t6"])
    assert effect["mass"] == pytest.approx(2700 / 960, rel=0.015)
    assert effect["stiffness"] == pytest.approx(70 / 1.08, rel=0.02)
    assert 250 / 31 < effect["strength"] < 290 / 20
    back = swap_effect(TABLE["aluminium-6082-t6"], TABLE["hdpe"])
    for key, ratio in effect.items():
        assert ratio * back[key] == pytest.approx(1.0, rel=1e-12)


def test_unknown_name_says_where_and_what_is_near() -> None:
    with pytest.raises(InputError) as caught:
        material("Aluminum 6082 T6", file="design.toml", key="parts.wall.material")
    error = caught.value
    assert (error.file, error.key, error.given) == ("design.toml", "parts.wall.material", "Aluminum 6082 T6")
    assert error.hint is not None
    assert "aluminium-6082-t6" in error.hint
    assert error.allowed is not None
    *first, last = error.allowed.split(", ")
    assert [*first, last.split(" and ")[0]] == sorted(TABLE)[:10]
    assert last.endswith(f" and {len(TABLE) - 10} more")


def test_table_cannot_be_spoilt_by_a_caller() -> None:
    materials().clear()
    assert material("hdpe") == TABLE["hdpe"]


def test_import_is_light() -> None:
    code = (
        "import sys, scaling.shop.materials as m; m.material('hdpe');"
        "print(sorted({'numpy', 'sympy', 'pandas', 'scipy', 'matplotlib', 'pint', 'pydantic'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert done.stdout.strip() == "[]"


OAK = """
[oak]
kind = "composite"
density = [600, 650, 700]
strength = [80e6, 100e6, 120e6]
strength_kind = "tensile-strength"
modulus = [10e9, 11e9, 12e9]
poisson = 0.35
shear_strength_ratio = 0.1
sources = "own bending tests"
"""


def write(folder: Path, text: str) -> Path:
    path = folder / "extra.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_extra_file_adds_and_replaces(tmp_path: Path) -> None:
    path = write(tmp_path, OAK + OAK.replace("[oak]", "[hdpe]"))
    found = materials(path)
    assert set(found) == set(TABLE) | {"oak"}
    assert found["oak"].density == Range(600.0, 650.0, 700.0)
    assert found["oak"].elongation is None
    assert found["oak"].note == ""
    assert found["oak"].sources["poisson"] == (stated("own bending tests"),)
    assert found["hdpe"].strength.typical == 100e6
    assert material("oak", extra=path) == found["oak"]
    assert material("hdpe").strength.typical < 50e6  # the built-in table is as it was
    with pytest.raises(InputError):
        material("oak")


def test_extra_file_may_cite_the_bibliography(tmp_path: Path) -> None:
    cited = '["dowling4 table 5.2; unverified; of oak", "memory; unverified"]'
    path = write(tmp_path, OAK.replace('"own bending tests"', cited))
    expected = (Citation("dowling4", "table 5.2", "unverified", "of oak"), Citation("memory", "", "unverified"))
    assert set(materials(path)["oak"].sources.values()) == {expected}


def test_extra_file_in_the_format_of_the_table_itself() -> None:
    own = Path(sys.modules["scaling.shop.materials"].__file__ or "").parent / "data" / "materials.toml"
    assert materials(own) == TABLE


def test_byte_order_mark_is_no_obstacle(tmp_path: Path) -> None:
    path = tmp_path / "extra.toml"
    path.write_bytes(b"\xef\xbb\xbf" + OAK.encode())
    assert "oak" in materials(path)


SPOILT = [
    ("unknown key", "poisson = 0.35", "poisson = 0.35\npoison = 0.3", "oak.poison"),
    ("missing key", "modulus = [10e9, 11e9, 12e9]\n", "", "oak.modulus"),
    ("missing strength kind", 'strength_kind = "tensile-strength"\n', "", "oak.strength_kind"),
    ("missing sources", 'sources = "own bending tests"', "", "oak.sources"),
    ("negative density", "[600, 650, 700]", "[-600, 650, 700]", "oak.density"),
    ("density in g/cm^3", "[600, 650, 700]", "[0.6, 0.65, 0.7]", "oak.density"),
    ("strength in MPa", "[80e6, 100e6, 120e6]", "[80, 100, 120]", "oak.strength"),
    ("modulus in GPa", "[10e9, 11e9, 12e9]", "[10, 11, 12]", "oak.modulus"),
    ("NaN in a range", "[80e6, 100e6, 120e6]", "[80e6, nan, 120e6]", "oak.strength"),
    ("NaN", "poisson = 0.35", "poisson = nan", "oak.poisson"),
    ("infinity", "[10e9, 11e9, 12e9]", "[10e9, 11e9, inf]", "oak.modulus"),
    ("overflow", "[600, 650, 700]", f"[600, 650, {10**400}]", "oak.density[3]"),
    ("order", "[600, 650, 700]", "[700, 650, 600]", "oak.density"),
    ("two numbers", "[600, 650, 700]", "[600, 700]", "oak.density"),
    ("one number", "[600, 650, 700]", "650", "oak.density"),
    ("text for a number", "[600, 650, 700]", '[600, "650", 700]', "oak.density"),
    ("truth for a number", "poisson = 0.35", "poisson = true", "oak.poisson"),
    ("date for a number", "poisson = 0.35", "poisson = 2024-01-01", "oak.poisson"),
    ("incompressible and beyond", "poisson = 0.35", "poisson = 0.6", "oak.poisson"),
    ("ratio of nothing", "ratio = 0.1", "ratio = 0", "oak.shear_strength_ratio"),
    ("ratio above one", "ratio = 0.1", "ratio = 1.5", "oak.shear_strength_ratio"),
    ("elongation in per cent", "poisson = 0.35", "poisson = 0.35\nelongation = [20, 25, 30]", "oak.elongation"),
    ("unknown kind", '"composite"', '"wood"', "oak.kind"),
    ("kind of the wrong type", '"composite"', "[1]", "oak.kind"),
    ("unknown strength kind", '"tensile-strength"', '"ultimate"', "oak.strength_kind"),
    ("toughness without kind", "poisson = 0.35", "poisson = 0.35\ntoughness = [1e6, 2e6, 3e6]", "oak.toughness_kind"),
    ("kind without toughness", "poisson = 0.35", 'poisson = 0.35\ntoughness_kind = "k-ic"', "oak.toughness"),
    ("toughness in MPa", "poisson = 0.35", 'poisson = 0.35\ntoughness = [1, 2, 3]\ntoughness_kind = "k-ic"',
     "oak.toughness"),
    ("empty source", '"own bending tests"', '" "', "oak.sources"),
    ("source of the wrong type", '"own bending tests"', "7", "oak.sources"),
    ("source missing for one", 'sources = "own bending tests"', 'sources.density = "a"', "oak.sources.strength"),
    ("source for no property", 'sources = "own bending tests"', 'sources.colour = "a"', "oak.sources.colour"),
    ("no source in the list", 'sources = "own bending tests"', "sources = []", "oak.sources"),
    ("list of numbers", 'sources = "own bending tests"', "sources = [7]", "oak.sources"),
    ("not a citation", 'sources = "own bending tests"', 'sources = ["own bending tests"]', "oak.sources"),
    ("unknown work", 'sources = "own bending tests"', 'sources = ["dowling9 p. 1; checked"]', "oak.sources"),
    ("unknown status", 'sources = "own bending tests"', 'sources = ["dowling4 p. 1; sure"]', "oak.sources"),
    ("control characters", '"own bending tests"', r'"\u001b[2J"', "oak.sources"),
    ("note of the wrong type", "poisson = 0.35", "poisson = 0.35\nnote = 3", "oak.note"),
    ("capitals in the name", "[oak]", "[Oak]", "Oak"),
    ("space in the name", "[oak]", '["oak wood"]', "oak wood"),
    ("not a table", "[oak]", "oak = 650\n[ash]", "oak"),
    ("a list of tables", "[oak]", "[[oak]]", "oak"),
]


@pytest.mark.parametrize(("old", "new", "key"), [row[1:] for row in SPOILT], ids=[row[0] for row in SPOILT])
def test_mistakes_name_file_and_key(tmp_path: Path, old: str, new: str, key: str) -> None:
    assert old in OAK
    path = write(tmp_path, OAK.replace(old, new, 1))
    with pytest.raises(InputError) as caught:
        materials(path)
    assert caught.value.file == path
    assert caught.value.key == key
    assert_one_sentence(caught.value, path)


UNREADABLE = {
    "not TOML": b"[oak\ndensity 650",
    "key given twice": OAK.encode() + b"poisson = 0.3\n",
    "not UTF-8": OAK.encode().replace(b"own", b"\xff\xfewn"),
    "endless integer": b"[oak]\npoisson = " + b"9" * 5000,
    "nested too deep": b"oak = " + b"[" * 100_000,
}


@pytest.mark.parametrize("content", UNREADABLE.values(), ids=list(UNREADABLE))
def test_unreadable_file_is_one_sentence(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "extra.toml"
    path.write_bytes(content)
    with pytest.raises(InputError) as caught:
        materials(path)
    assert caught.value.file == path
    assert_one_sentence(caught.value, path)


def test_directory_and_missing_file(tmp_path: Path) -> None:
    for path in (tmp_path, tmp_path / "nowhere.toml"):
        with pytest.raises(InputError) as caught:
            materials(path)
        assert caught.value.file == path
        assert_one_sentence(caught.value, path)


def assert_one_sentence(error: InputError, path: Path) -> None:
    text = str(error)
    assert str(path) in text
    assert "\n" not in text
    assert "Traceback" not in text
    assert text.endswith((".", "?"))
    assert ". " not in text.replace(str(path), "")


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    key=st.sampled_from(["kind", "density", "strength", "strength_kind", "modulus", "poisson", "sources", "note", "x"]),
    value=st.one_of(
        st.floats().map(repr),
        st.integers().map(str),
        st.lists(st.floats(), max_size=4).map(repr),
        st.sampled_from(["true", "[]", "{}", '""', "[[1]]", "1979-05-27", '{density = ""}', "''''''"]),
        st.text(max_size=8),
    ),
)
def test_whatever_the_value_only_input_errors_come_out(tmp_path: Path, key: str, value: str) -> None:
    lines = [line for line in OAK.splitlines() if not line.startswith(f"{key} =")]
    path = write(tmp_path, "\n".join([*lines, f"{key} = {value}"]).encode("utf-8", "replace").decode())
    try:
        found = materials(path)["oak"]
    except InputError as error:
        assert error.file == path
    else:
        for entry in (found.density, found.strength, found.modulus):
            assert 0 < entry.minimum <= entry.typical <= entry.maximum < math.inf
        assert 0 <= found.poisson <= 0.5
