"""Each file is read once a run: the brief, its design, catalogues and meshes, the shelves and the materials.

Python itself tells of every file that it opens (sys.addaudithook, event 'open'), whichever way it is done.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import scaling

DATA = Path(scaling.__file__).parent / "shop" / "data"
WITNESS = """
import atexit, json, os, sys
opened = []
def note(event, details):
    if event == "open" and isinstance(details[0], (str, bytes, os.PathLike)):
        opened.append(os.path.realpath(os.fsdecode(details[0])))
sys.addaudithook(note)
out = sys.argv.pop(1)
def tell():
    found = list(opened)
    with open(out, "w") as stream:
        json.dump(found, stream)
atexit.register(tell)
from scaling.command.cli import main
main()
"""

OWN_BOLTS = (
    "size,diameter_mm,pitch_mm,head_diameter_mm,head_height_mm,hex_key_mm,clearance_fine_mm,clearance_medium_mm,"
    "clearance_coarse_mm\nM3.5,3.5,0.6,6.2,3.5,3,3.7,3.9,4.2\n"
)
OWN = {
    "my_bolts.csv": OWN_BOLTS,
    "my_sheets.csv": "family,thickness_mm\naluminium,2.7\n",
    "my_cells.csv": "chemistry,nominal_V,full_V,cut_off_V\nmy cell,3.3,3.6,2.6\n",
}
"""A builder's own shelves; made up."""


@pytest.fixture
def opened(process: Callable[..., Any], tmp_path: Path) -> Callable[..., list[str]]:
    """Run the command, and return the names of the files that it opened in ``folder`` or among the shop's data."""

    def run(folder: Path, *arguments: str | Path) -> list[str]:
        told = tmp_path / "opened.json"
        result = process(*arguments, "--json", before=("-c", WITNESS, told))
        assert (result.status, result.err) == (0, "")
        homes = (folder.resolve(), DATA.resolve())
        return sorted(
            Path(name).name
            for name in json.loads(told.read_text(encoding="utf-8"))
            if any(home in Path(name).parents for home in homes) and Path(name).is_file()
        )

    return run


@pytest.mark.parametrize("verb", ["study", "window", "options", "check", "groups", "sources"])
def test_each_file_of_a_demo_once(demo: Any, opened: Callable[..., list[str]], verb: str) -> None:
    if verb == "window" and demo.design.has_rotor:
        pytest.skip("a builder's own shelves below have a window with a rotor, which takes its time")
    found = opened(demo.folder, verb, demo.folder / "brief.toml")
    assert {"brief.toml", "design.toml", "materials.toml"} <= set(found)
    assert found == sorted(set(found))


def test_a_design_and_its_brief_together_once(main_folder: Path, opened: Callable[..., list[str]]) -> None:
    for order in (("design.toml", "brief.toml"), ("brief.toml", "design.toml")):
        found = opened(main_folder, "check", *(main_folder / name for name in order))
        assert {"brief.toml", "design.toml"} <= set(found)
        assert found == sorted(set(found))


@pytest.mark.parametrize("verb", ["study", "window", "options"])
def test_a_builders_own_shelves_once(
    main_folder: Path, tmp_path: Path, opened: Callable[..., list[str]], verb: str
) -> None:
    folder = tmp_path / "own"
    shutil.copytree(main_folder, folder)
    for name, text in OWN.items():
        (folder / name).write_text(text, encoding="utf-8")
    for name, text in (
        ("brief.toml", '\n[stock]\nsheets = "my_sheets.csv"\n'),
        ("design.toml", '\n[stock_files]\nbolts = "my_bolts.csv"\ncells = "my_cells.csv"\n'),
    ):
        with (folder / name).open("a", encoding="utf-8") as stream:
            stream.write(text)
    brief = (folder / "brief.toml").read_text(encoding="utf-8")
    assert 'drive_motors = "drive_motors.csv"' in brief  # both motors from one catalogue
    (folder / "brief.toml").write_text(brief.replace('"drive_motors.csv"', '"rotor_motors.csv"'), encoding="utf-8")
    found = opened(folder, verb, folder / "brief.toml")
    assert {"rotor_motors.csv", *OWN, "brief.toml", "design.toml"} <= set(found)
    assert found == sorted(set(found))
