"""Drawings whose damage shows only after they have been read: one sentence, and nothing written."""

from __future__ import annotations

from pathlib import Path

import pytest

from scaling.cad.damaged import damage_told
from scaling.cad.outline import read_outline, rescale_outline
from scaling.files.errors import InputError

PLATE = Path(__file__).parent.parent / "demo_designs" / "tarvindle" / "top_plate.dxf"

DAMAGED = {
    "a block reference without a name": {"\nCIRCLE\n": "\nINSERT\n"},
    "an entity of no kind": {"100\nAcDbCircle\n": "0\nAcDbCircle\n"},
    "a layout under another name": {"AcDbLayout\n  1\nLayout1\n": "AcDbLayout\n  1\nLayout\n"},
    "a dictionary without a handle, and what is none": {
        "\nDICTIONARY\n  5\n10\n": "\nDICTIONARY\n",
        "+00:00\n  0\nDICTIONARYVAR\n": "+00:00\n  0\n\n",
    },
}


@pytest.mark.parametrize("damage", DAMAGED)
def test_damage_that_shows_late(damage: str, tmp_path: Path) -> None:
    text = PLATE.read_text(encoding="utf-8")
    for old, new in DAMAGED[damage].items():
        assert old in text
        text = text.replace(old, new, 1)
    (tmp_path / "in.dxf").write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as told:
        read_outline(tmp_path / "in.dxf")
        rescale_outline(tmp_path / "in.dxf", tmp_path / "out.dxf", 1.5, {})
    assert told.value.file == tmp_path / "in.dxf"
    assert not (tmp_path / "out.dxf").exists()


def test_an_error_of_our_own_is_not_told_as_damage(tmp_path: Path) -> None:
    @damage_told("ezdxf", "DXF", "save it again")
    def wrong(path: Path | str) -> float:
        return 1 / len(Path(path).name[:0])

    with pytest.raises(ZeroDivisionError):
        wrong(tmp_path)
