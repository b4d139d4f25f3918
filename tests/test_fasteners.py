"""The table of holes and fasteners: what a port's rows say, its CSV file, and rows that cannot be.

What a bolt must carry is checked against ISO 898-1 and EN 1993-1-8 in sources/test_edge_distance_and_bolt_load.py.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from scaling.files.errors import InputError
from scaling.robot.design import load_design
from scaling.show.output import write_study
from scaling.show.study_json import as_json
from scaling.study.fasteners import fastener_lines

# Diameter, stress area (ISO 898-1) and medium hole (ISO 273) in mm, mm^2 and mm, as quoted by secondary pages; M1.6
# from memory.
SHELF = {
    "M1.6": (1.6, 1.27, 1.8),
    "M2": (2, 2.073, 2.4),
    "M2.5": (2.5, 3.391, 2.9),
    "M3": (3, 5.031, 3.4),
    "M4": (4, 8.779, 4.5),
    "M5": (5, 14.183, 5.5),
    "M6": (6, 20.123, 6.6),
    "M8": (8, 36.609, 9.0),
    "M10": (10, 57.990, 11.0),
    "M12": (12, 84.267, 13.5),
}


def test_every_row_of_the_demos_against_the_shelf(demo: Any) -> None:
    """Load ratio from study.json, the smallest sufficient bolt, hole, edge and count by own code."""
    data = as_json(demo.study)
    for port, plain in zip(demo.study.ports, data["ports"], strict=True):
        lines = fastener_lines(demo.study, port)
        assert len(lines) == len(demo.design.fasteners)
        for joint, line in zip(demo.design.fasteners, lines, strict=True):
            diameter, area, hole = SHELF[joint.size]
            assert line.scaled_diameter == pytest.approx(diameter * port.factor / 1e3, rel=1e-12)
            assert line.scaled_hole == pytest.approx(hole * port.factor / 1e3, rel=1e-12)
            load = plain["quantities"][joint.carries]
            ratio = load["value"] / data["reference"]["quantities"][joint.carries]["value"]
            assert line.load_ratio == pytest.approx(ratio, rel=1e-12)
            enough = [size for size, row in SHELF.items() if row[1] >= area * ratio * (1 - 1e-3)]
            strictly = [size for size, row in SHELF.items() if row[1] >= area * ratio * (1 + 1e-3)]
            assert line.size in {*enough[:1], *strictly[:1]}
            assert line.hole == pytest.approx(SHELF[line.size][2] / 1e3, rel=1e-12)
            grown = (joint.edge_distance or 0.0) * ratio / port.factor
            assert line.edge == pytest.approx(max(1.2 * line.hole, grown), rel=1e-12)
            assert joint.count * ratio <= line.kept_count * (1 + 1e-9) < joint.count * ratio + 1.001


def test_the_main_demo_has_its_mount_and_a_joint_of_its_own(main_demo: Any) -> None:
    names = [joint.name for joint in main_demo.design.fasteners]
    assert names[0] == "rotor mount"
    assert len(names) >= 2
    mount = main_demo.design.fasteners[0]
    assert mount.count == main_demo.design.variables["rotor.mount.bolts"]


def test_holes_for_the_bench_as_csv(main_demo: Any, tmp_path: Path) -> None:
    write_study(main_demo.study, tmp_path / "out", force=False)
    with (tmp_path / "out" / "tables" / "holes.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert len(rows) == len(main_demo.study.ports) * len(main_demo.design.fasteners)
    lines = [line for port in main_demo.study.ports for line in fastener_lines(main_demo.study, port)]
    for row, line in zip(rows, lines, strict=True):
        assert row["joint"] == line.name
        assert row["bolt that carries it"] == line.size
        assert float(row["its clearance hole, mm"]) == pytest.approx(line.hole * 1e3, rel=1e-12)
        assert float(row["edge distance, mm"]) == pytest.approx(line.edge * 1e3, rel=1e-12)
        assert float(row["hole if scaled, mm"]) == pytest.approx(line.scaled_hole * 1e3, rel=1e-12)
        assert int(row["count if the size is kept"]) == line.kept_count


JOINT = {"name": '"top"', "bolt": '"M3"', "bolt_class": '"8.8"', "count": "8", "carries": '"hit_force"'}


def design_with(folder: Path, main_folder: Path, joint: dict[str, str]) -> Path:
    """The main demo's design with one joint in place of its own."""
    text = (main_folder / "design.toml").read_text(encoding="utf-8")
    kept = [block for block in text.split("\n[[") if not block.startswith("fasteners]]")]
    rows = "\n".join(f"{key} = {value}" for key, value in joint.items())
    path = folder / "design.toml"
    path.write_text("\n[[".join([*kept[:-1], f"fasteners]]\n{rows}\n", kept[-1]]), encoding="utf-8")
    return path


def test_a_joint_is_read(tmp_path: Path, main_folder: Path) -> None:
    joint = load_design(design_with(tmp_path, main_folder, JOINT | {"edge_distance": '"6 mm"'})).fasteners[-1]
    assert (joint.name, joint.size, joint.bolt_class, joint.count, joint.carries, joint.edge_distance) == (
        "top",
        "M3",
        "8.8",
        8,
        "hit_force",
        0.006,
    )


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"bolt": '"M33"'}, "fasteners.top.bolt"),
        ({"bolt": "3"}, "fasteners.top.bolt"),
        ({"bolt_class": '"8.9"'}, "fasteners.top.bolt_class"),
        ({"count": "0"}, "fasteners.top.count"),
        ({"count": "2.5"}, "fasteners.top.count"),
        ({"carries": '"tip_speed"'}, "fasteners.top.carries"),
        ({"carries": '"luck"'}, "fasteners.top.carries"),
        ({"edge_distance": '"-6 mm"'}, "fasteners.top.edge_distance"),
        ({"edge_distance": '"6 N"'}, "fasteners.top.edge_distance"),
        ({"edge": '"6 mm"'}, "fasteners.top.edge"),
        ({"name": None}, "fasteners[1].name"),
        ({"carries": None}, "fasteners.top.carries"),
    ],
)
def test_a_joint_that_cannot_be_is_refused_by_key(
    tmp_path: Path, main_folder: Path, changes: dict[str, Any], key: str
) -> None:
    joint = {name: value for name, value in (JOINT | changes).items() if value is not None}
    with pytest.raises(InputError) as refused:
        load_design(design_with(tmp_path, main_folder, joint))
    assert refused.value.key == key
    assert str(refused.value.file).endswith("design.toml")


def test_a_load_too_great_for_every_bolt_says_so(
    tmp_path: Path, main_folder: Path, command: Callable[..., Any]
) -> None:
    """M12 is the largest on the shelf: at three times the length the hit asks for more than that."""
    design_with(tmp_path, main_folder, JOINT | {"bolt": '"M10"'})
    (tmp_path / "brief.toml").write_text(
        'reference = "design.toml"\nmass_limit = "14 kg"\n[[laws]]\nlaw = "length"\ntarget = "500 mm"\n'
        'speed_rules = ["hold-tip-speed"]\n',
        encoding="utf-8",
    )
    shown = command("study", tmp_path / "brief.toml", "-o", tmp_path / "out")
    assert shown.status == 0
    with (tmp_path / "out" / "tables" / "holes.csv").open(encoding="utf-8", newline="") as stream:
        row = list(csv.DictReader(stream))[-1]
    ratio = float(row["load ratio"])
    assert ratio * 57.99 > 84.267
    assert row["bolt that carries it"] == "none on the shelf"
    assert row["its clearance hole, mm"] == ""
    assert int(row["count if the size is kept"]) == pytest.approx(8 * ratio, abs=1)
    data = json.loads((tmp_path / "out" / "study.json").read_text(encoding="utf-8"))
    assert ratio == pytest.approx(data["ports"][0]["quantities"]["hit_force"]["ratio"], rel=1e-12)
