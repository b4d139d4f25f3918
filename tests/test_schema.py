"""A file's declared schema: the listing of its keys, its JSON Schema, and the reader that goes by it.

The JSON Schema is held against the package jsonschema, which has the 2020-12 dialect's own schema and validates by it.
"""

from __future__ import annotations

import copy
import json
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from scaling.files.json_schema import json_schema
from scaling.files.schema import FileSchema
from scaling.port.schema import BRIEF
from scaling.robot.schema import DESIGN

ROOT = Path(__file__).parent.parent
DESIGNS = sorted([*ROOT.glob("demo_designs/*/design.toml"), *ROOT.glob("scaling/robot/starter/*_design.toml")])
SHORT = sorted(ROOT.glob("scaling/robot/starter/*_short.toml"))
FILES = [(DESIGN, path) for path in (*DESIGNS, *SHORT)] + [
    (BRIEF, path.with_name(path.name.replace("design", "brief"))) for path in DESIGNS
]
FILE_IDS = [f"{path.parent.name}/{path.name}" for _, path in FILES]


def document(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


def wrong(schema: FileSchema, tables: dict[str, Any]) -> list[str]:
    """Where a file does not fit its JSON Schema: the path of each mistake."""
    found = Draft202012Validator(json_schema(schema)).iter_errors(tables)
    return [".".join(map(str, error.absolute_path)) for error in found]


def changed(tables: dict[str, Any], key: str, value: object) -> dict[str, Any]:
    """A copy with one dotted key set, or taken out where the value is None."""
    found = copy.deepcopy(tables)
    at: Any = found
    *path, last = key.split(".")
    for name in path:
        at = at[int(name)] if isinstance(at, list) else at[name]
    if value is None:
        del at[last]
    else:
        at[last] = value
    return found


@pytest.mark.parametrize("schema", [DESIGN, BRIEF], ids=lambda schema: schema.name)
def test_the_json_schema_is_one(schema: FileSchema) -> None:
    Draft202012Validator.check_schema(json_schema(schema))


@pytest.mark.parametrize(("schema", "path"), FILES, ids=FILE_IDS)
def test_the_files_that_the_reader_takes_fit(schema: FileSchema, path: Path) -> None:
    assert wrong(schema, document(path)) == []


# A slip in the main demo's files: the schema, dotted key, its value (None takes it out), where the mistake is.
SLIPS = [
    (DESIGN, "lenght", "165 mm", ""),
    (DESIGN, "rotor.diametre", "84 mm", "rotor"),
    (DESIGN, "rotor.motor.k_v", "1900 rpm/V", "rotor.motor"),
    (DESIGN, "parts.0.weight", "1 g", "parts.0"),
    (DESIGN, "length", None, ""),
    (DESIGN, "rotor.axis", None, "rotor"),
    (DESIGN, "rotor.motor", None, "rotor"),
    (DESIGN, "drive.motor.kv", None, "drive.motor"),
    (DESIGN, "wheel", None, ""),
    (DESIGN, "parts.0.name", None, "parts.0"),
    (DESIGN, "parts.0.mass", None, "parts.0"),
    (DESIGN, "parts.0.thickness", None, "parts.0"),
    (DESIGN, "rotor.axis", "acros", "rotor.axis"),
    (DESIGN, "parts.0.kind", "solide", "parts.0.kind"),
    (DESIGN, "length", 165, "length"),
    (DESIGN, "length", "165", "length"),
    (DESIGN, "wheel.load_share", 1.5, "wheel.load_share"),
    (DESIGN, "parts.0.count", 1.5, "parts.0.count"),
    (DESIGN, "positions.pack", ["1 mm", "2 mm"], "positions.pack"),
    (DESIGN, "stock.0.shelf", "screws", "stock.0.shelf"),
    (DESIGN, "fasteners.0.carries", "tip_speed", "fasteners.0.carries"),
    (DESIGN, "date", "1 March 2026", "date"),
    (DESIGN, "rotor.creep_test", "yesterday", "rotor.creep_test"),
    (BRIEF, "mass_limt", "1 kg", ""),
    (BRIEF, "mass_limit", None, ""),
    (BRIEF, "laws", [], "laws"),
    (BRIEF, "laws.0.law", "masses", "laws.0.law"),
    (BRIEF, "laws.2.target", None, "laws.2"),
    (BRIEF, "laws.0.speed_rules", ["hold-rmp"], "laws.0.speed_rules.0"),
    (BRIEF, "limits.at_most.tip_sped", "90 m/s", "limits.at_most"),
    (BRIEF, "closure.0.parts", None, "closure.0"),
    (BRIEF, "options.cells", ["three"], "options.cells.0"),
    (BRIEF, "snap", "no", "snap"),
    (BRIEF, "port", {"battery": {"sells": 3}}, "port.battery"),
    (BRIEF, "port", {"rotor": {"axis": "along"}}, "port.rotor"),
    (BRIEF, "port", {"design": 3}, "port.design"),
    (BRIEF, "parts", {"side walls": {"weight": "1 g"}}, "parts.side walls"),
]


@pytest.mark.parametrize(
    ("schema", "key", "value", "place"), SLIPS, ids=[f"{schema.name}: {key}={value}" for schema, key, value, _ in SLIPS]
)
def test_a_slip_does_not_fit(
    main_folder: Path, schema: FileSchema, key: str, value: object, place: str
) -> None:
    tables = changed(document(main_folder / f"{schema.name}.toml"), key, value)
    assert set(wrong(schema, tables)) == {place}


@pytest.mark.parametrize(
    ("key", "value"),
    [("port", {"design": "port.toml"}), ("port", {"battery": {"cells": 4}, "rotor": {"motor": {"kv": "900 rpm/V"}}}),
     ("parts", {"side walls": {"mass": "30 g", "count": 2}}), ("swaps", {"uhmwpe": "hdpe"}),
     ("limits", {"at_least": {"rotor.mass": "30 g", "gyro_margin": 1}}), ("size_limit", {"length": "300 mm"}),
     ("limits", {"at_most": {"rotor": {"mass": "30 g"}}}), ("stock", {"sheets": "mine.csv"}), ("snap", False)],
    ids=str,
)  # fmt: skip
def test_what_a_brief_may_say_besides_fits(main_folder: Path, key: str, value: object) -> None:
    assert wrong(BRIEF, changed(document(main_folder / "brief.toml"), key, value)) == []


def test_a_speed_stands_in_for_the_motor_and_what_is_estimated_may_be_left_out(main_folder: Path) -> None:
    tables = document(main_folder / "design.toml")
    assert wrong(DESIGN, changed(changed(tables, "rotor.motor", None), "rotor.speed", "9000 rpm")) == []
    assert wrong(DESIGN, changed(tables, "rotor.motor.kv", None)) == ["rotor.motor"]
    for key in ("cg_height", "rotor.motor.resistance", "rotor.motor.no_load_current", "battery.resistance", "opponent"):
        assert wrong(DESIGN, changed(tables, key, None)) == [], key


# The verb.


def test_the_tables_of_both_files(command: Callable[..., Any]) -> None:
    found = {row["table"]: row for row in json.loads(command("keys", "--json").out)}
    assert found["rotor.motor"]["required"] == "with a rotor, unless rotor.speed"
    assert found["drive"]["keys"] == 4  # motors, ratio, efficiency, gearbox_torque
    assert found["parts"]["heading"] == "[[parts]]"
    shown = command("keys")
    assert all(f"[{name}]"[:20] in shown.out for name in found if name != "root")  # a long name may wrap
    in_brief = command("keys", "--file", "brief").out
    assert "[[closure]]" in in_brief
    assert "[port.rotor.motor]" in in_brief


@pytest.mark.parametrize("schema", [DESIGN, BRIEF], ids=lambda schema: schema.name)
def test_every_table_can_be_listed(command: Callable[..., Any], schema: FileSchema) -> None:
    for table in schema.tables:
        arguments = ("keys", table.name or "root", "--file", schema.name)
        assert [row["key"] for row in json.loads(command(*arguments, "--json").out)] == [key.name for key in table.keys]
        result = command(*arguments)
        assert (result.status, result.err) == (0, "")
        assert len(result.out.splitlines()) >= len(table.keys) + 3


def test_the_keys_of_a_table_say_what_they_may_be(command: Callable[..., Any]) -> None:
    found = {row["key"]: row for row in json.loads(command("keys", "parts", "--json").out)}
    assert found["mass"]["required"] == "unless mesh"
    assert found["thickness"]["required"] == "with kind=sheet"
    assert found["group"]["default"] == "frame"
    assert "bought" in found["kind"]["allowed"]
    assert found["mass"]["unit"] == "kg"


def test_an_unknown_table_or_file_has_its_nearest(command: Callable[..., Any], refused: Callable[..., str]) -> None:
    refused(command("keys", "rotor.moter"), '"rotor.motor"')
    refused(command("keys", "laws"), "no such table")
    refused(command("keys", "--file", "breif"), '"brief"')


def test_the_json_schema_is_printed(command: Callable[..., Any]) -> None:
    assert json.loads(command("keys", "--json-schema").out) == json_schema(DESIGN)
    assert json.loads(command("keys", "--json-schema", "--file", "brief").out) == json_schema(BRIEF)


# All mistakes of a file in one run.

SIX = {
    "lenght": '"165 mm"',  # nearest: length, whose own line stays
    "width": '"150 g"',
    "rotor.axis": '"acros"',
    "wheel.diameter": None,
    "parts[1].mass": '"-1 g"',
    "fasteners[1].count": "0",
}


def test_six_mistakes_in_a_design_are_six_lines(
    edit: Callable[..., Path], main_folder: Path, study_refused: Callable[..., str]
) -> None:
    text = study_refused(edit(main_folder, SIX), lines=6)
    places = ["lenght", "width", "rotor.axis", "wheel.diameter", 'parts."side walls".mass',
              'fasteners."top plate to side walls".count']  # fmt: skip
    for place in places:
        assert sum(f"design.toml: {place}: " in line for line in text.splitlines()) == 1


def test_two_mistakes_in_a_brief_are_two_lines(
    edit: Callable[..., Path], main_folder: Path, study_refused: Callable[..., str]
) -> None:
    brief = edit(main_folder, None, {"mass_limit": '"1 m"', "laws[1].drive_rule": '"held"'})
    text = study_refused(brief, "brief.toml: mass_limit: ", "brief.toml: laws.mass.drive_rule: ", lines=2)
    assert "mass_margin" not in text


def test_two_mistakes_in_one_row_are_two_lines(
    edit: Callable[..., Path], main_folder: Path, study_refused: Callable[..., str]
) -> None:
    brief = edit(main_folder, {"parts[2].kind": '"solide"', "parts[2].count": "0"})
    study_refused(brief, 'parts."cross members".kind', 'parts."cross members".count', lines=2)


def test_of_twenty_five_mistakes_twenty_are_said(
    edit: Callable[..., Path], main_folder: Path, study_refused: Callable[..., str]
) -> None:
    text = study_refused(edit(main_folder, {f"zzz{number}": "1" for number in range(25)}), lines=21)
    assert text.splitlines()[-1].startswith("scaling: and 5 more")


@pytest.mark.parametrize(
    "changes",
    [
        {"length": None, "lenght": '"165 mm"'},
        {"drive.motor.kv": None, "drive.motor.k_v": '"2450 rpm/V"'},
        {"parts[1].mass": None, "parts[1].mas": '"34 g"'},
    ],
    ids=str,
)
def test_a_misspelt_key_is_not_missing_as_well(
    edit: Callable[..., Path], main_folder: Path, study_refused: Callable[..., str], changes: dict[str, str | None]
) -> None:
    study_refused(edit(main_folder, changes), "unknown key", "did you mean", lines=1)


def test_a_misspelt_table_is_one_mistake(
    edit: Callable[..., Path], main_folder: Path, study_refused: Callable[..., str]
) -> None:
    brief = edit(main_folder)
    design = brief.with_name("design.toml")
    design.write_text(design.read_text(encoding="utf-8").replace("[wheel]", "[weel]"), encoding="utf-8")
    study_refused(brief, "weel", "wheel", lines=1)


def test_a_table_that_is_not_there_is_one_mistake(
    edit: Callable[..., Path], pusher_demo: Any, study_refused: Callable[..., str]
) -> None:
    brief = edit(pusher_demo.folder)
    design = brief.with_name("design.toml")
    blocks = design.read_text(encoding="utf-8").split("\n[")
    design.write_text("\n[".join(block for block in blocks if not block.startswith("wheel]")), encoding="utf-8")
    study_refused(brief, "design.toml: wheel: missing table", "diameter", lines=1)
