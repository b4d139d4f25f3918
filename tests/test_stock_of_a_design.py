"""A design's own shelves: bolts, classes and cells of a builder's CSV files count wherever its words name them."""

from __future__ import annotations

from pathlib import Path

import pytest

from scaling.files.errors import InputError
from scaling.robot.design import Design, load_design

MAIN = Path(__file__).parent.parent / "demo_designs" / "tarvindle" / "design.toml"
BOLTS = (
    "size,diameter_mm,pitch_mm,head_diameter_mm,head_height_mm,hex_key_mm,clearance_fine_mm,clearance_medium_mm,"
    "clearance_coarse_mm\nM3.5,3.5,0.6,6,3.5,3,3.7,3.9,4.2\n"
)
CLASSES = "name,ultimate_MPa,yield_strength_MPa,shear_share\nA4-80,800,600,0.5\n"
CELLS = "chemistry,nominal_V,full_V,cut_off_V\nmy cell,3.3,3.7,2.6\n"


def load(folder: Path, changes: dict[str, str], files: dict[str, str]) -> Design:
    text = MAIN.read_text(encoding="utf-8")
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new, 1)
    for shelf, content in files.items():
        (folder / f"{shelf}.csv").write_text(content, encoding="utf-8")
    table = "\n[stock_files]\n" + "".join(f'{shelf} = "{shelf}.csv"\n' for shelf in files)
    text = text.replace("\n[rotor]\n", table + "\n[rotor]\n", 1)
    (folder / "design.toml").write_text(text, encoding="utf-8")
    return load_design(folder / "design.toml")


def test_own_bolts_and_classes(tmp_path: Path) -> None:
    """Stress area of M3.5 x 0.6: 6.78 mm2, ISO 898-1, from memory; strengths are the file's own."""
    changes = {'bolt = "M3"': 'bolt = "M3.5"', 'bolt_class = "12.9"': 'bolt_class = "A4-80"'}
    found = load(tmp_path, changes, {"bolts": BOLTS, "bolt_classes": CLASSES})
    assert found.variables["rotor.mount.bolt_stress_area"] == pytest.approx(6.78e-6, rel=1e-3)
    assert found.variables["rotor.mount.bolt_strength"] == 800e6
    assert found.variables["rotor.mount.hole_diameter"] == pytest.approx(3.9e-3, rel=1e-12)


def test_own_cells(tmp_path: Path) -> None:
    found = load(tmp_path, {"cells = 3\n": 'cell = "my cell"\ncells = 3\n'}, {"cells": CELLS})
    assert found.variables["battery.voltage"] == pytest.approx(9.9, rel=1e-12)
    assert found.variables["battery.cell_cut_off"] == 2.6


def test_a_bolt_that_no_shelf_has(tmp_path: Path) -> None:
    with pytest.raises(InputError) as refused:
        load(tmp_path, {'bolt = "M3"': 'bolt = "M3.5"'}, {"bolt_classes": CLASSES})
    assert refused.value.key in ("rotor.mount.bolt", "fasteners[1].bolt")
    assert "design.toml" in str(refused.value)


@pytest.mark.parametrize(
    ("shelf", "content", "line"),
    [
        ("bolts", BOLTS.replace("3.5,0.6", "3.5,no"), 2),
        ("bolt_classes", CLASSES.replace("800", "no"), 2),
        ("cells", CELLS.replace("3.7", "no"), 2),
    ],
)
def test_a_mistake_in_an_own_file_is_named_by_file_and_line(
    tmp_path: Path, shelf: str, content: str, line: int
) -> None:
    assert content not in (BOLTS, CLASSES, CELLS)
    with pytest.raises(InputError) as refused:
        load(tmp_path, {}, {shelf: content})
    assert str(refused.value).startswith(f"{tmp_path / shelf}.csv, line {line}: ")
