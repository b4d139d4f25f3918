"""What a spreadsheet, a terminal or a page could take for more than text: cells that compute, names that steer."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from scaling.show.table import Table, as_csv, columns
from scaling.show.tables import all_tables

STEERING = "\x1b[2J\u202e"


def read(table: Table) -> list[list[str]]:
    return list(csv.reader(io.StringIO(as_csv(table))))


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\n", "＝"])
def test_text_that_begins_a_formula_is_plain_text(start: str) -> None:
    """The signs are those that OWASP names under 'CSV Injection', from memory; a quote before them makes text."""
    ((_,), (cell,)) = read(Table("t", "T", columns("name"), ((f"{start}1+1",),)))
    assert cell.startswith("'")


def test_numbers_stay_numbers_and_powers_are_no_days() -> None:
    row = (-1.5, -2, Fraction(-1, 2), Fraction(3), None, "-", "2.99~", "3/4", "10-12", "a-b", "1e5")
    _, cells = read(Table("t", "T", columns(*"abcdefghijk"), (row,)))
    assert cells == ["-1.5", "-2", "-0.5", "3", "", "", "2.99~", "'3/4", "'10-12", "a-b", "1e5"]


def test_no_cell_of_a_study_is_a_formula_or_a_day(demo: Any) -> None:
    import re

    for table in all_tables(demo.study):
        for row in read(table):
            for cell in row:
                assert not re.match(r"[=+@\t\r]|-(?!\d)|-?\d+/\d+$", cell), (table.name, cell)


def test_a_part_s_name_cannot_compute(
    edit: Callable[..., Path], main_folder: Path, command: Callable[..., Any]
) -> None:
    text = '"=HYPERLINK(1)"'
    brief = edit(main_folder, {"parts[8].name": text, 'positions."screws"': None})
    found = command("check", brief)
    assert (found.status, found.err) == (0, "")
    from scaling.decide.whole import whole_study
    from scaling.port.brief import load_both
    from scaling.show.tables.mass import mass_table

    design, loaded = load_both(brief)
    assert loaded is not None
    cells = [cell for row in read(mass_table(whole_study(design, loaded))) for cell in row]
    assert "'=HYPERLINK(1)" in cells
    assert "=HYPERLINK(1)" not in cells


@pytest.mark.parametrize("key", ["name", "parts[1].name"])
def test_a_long_name_is_refused(
    edit: Callable[..., Path], main_folder: Path, study_refused: Callable[..., str], key: str
) -> None:
    study_refused(edit(main_folder, {key: f'"{"x" * 201}"'}), key, "too long", "200 characters", lines=None)


def test_a_file_s_name_steers_nothing(edit: Callable[..., Path], pusher_demo: Any, command: Callable[..., Any]) -> None:
    brief = edit(pusher_demo.folder, None, {"name": None})
    odd = brief.with_name(f"odd{STEERING}.toml")
    brief.rename(odd)
    shown = command("check", odd)
    assert shown.status == 0
    assert all(line.isprintable() for line in shown.out.splitlines())
    assert "odd\\u001b[2J\\u202e.toml" in shown.out
    told = command("check", odd, "--json").out
    assert all(line.isprintable() for line in told.splitlines())
    assert json.loads(told)[0]["file"] == str(odd)
    missing = command("check", odd.with_name(f"none{STEERING}.toml"))
    assert missing.status == 2
    assert missing.err.strip().isprintable()
    from scaling.port.brief import load_brief

    assert load_brief(odd).name.isprintable()


def test_a_layer_s_name_steers_nothing(command: Callable[..., Any], tmp_path: Path) -> None:
    import ezdxf

    drawing = ezdxf.new()  # type: ignore[attr-defined]
    layer = "evil\u202e" + "x" * 200
    drawing.modelspace().add_circle((0, 0), 3, dxfattribs={"layer": layer})
    drawing.modelspace().add_point((0, 0), dxfattribs={"layer": layer})
    drawing.saveas(tmp_path / "a.dxf")
    for more in (["-o", tmp_path / "b.dxf"], [], ["--json"]):
        shown = command("outline", tmp_path / "a.dxf", "--factor", "2", *more)
        assert (shown.status, shown.err) == (0, "")
        assert all(line.isprintable() for line in shown.out.splitlines())
        assert "x" * 100 not in shown.out.replace("\n", "").replace(" ", "")
