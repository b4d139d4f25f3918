"""Files that are no design, folders that cannot be written, flags that mean nothing, and random input."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

# Files that are not TOML at all: bytes of the file, words of the sentence.
FILES = {
    "empty": (b"", ["empty"]),
    "blank": (b" \n\t\n", ["empty"]),
    "not UTF-8": (b'name = "\xff\xfe"\n', ["UTF-8"]),
    "UTF-16": ('name = "x"\n'.encode("utf-16"), ["UTF-8"]),
    "binary": (bytes(range(256)), ["design.toml"]),
    "null bytes": (b'name = "a\x00b"\n', ["TOML"]),
    "no quotes": (b"length = 165 mm\n", ["TOML", "line 1"]),
    "open string": (b'name = "a\n', ["TOML"]),
    "open table": (b"[rotor\n", ["TOML"]),
    "twice": (b'name = "a"\nname = "b"\n', ["TOML"]),
    "JSON": (b'{"name": "a"}\n', ["TOML"]),
    "deep list": (b"length = " + b"[" * 50_000 + b"]" * 50_000 + b"\n", ["design.toml"]),
    "deep tables": (b"a" + b".a" * 3_000 + b" = 1\n", ["design.toml"]),
    "deep inline": (b"length = " + b"{a=" * 3_000 + b"1" + b"}" * 3_000 + b"\n", ["design.toml"]),
    "long integer": (b"length = " + b"9" * 100_000 + b"\n", ["design.toml"]),
    "huge": (b"# " + b"x" * 4_000_000, ["too large"]),
    "parts table": (b'name = "a"\n[parts]\nx = 1\n', ["parts"]),
    "parts words": (b'name = "a"\nparts = ["x"]\n', ["parts"]),
    "table for a value": (b'[length]\nx = "1 mm"\n', ["length"]),
    "value for a table": (b'rotor = "yes"\n', ["rotor"]),
    "list for a table": (b'[[rotor]]\ndiameter = "1 mm"\n', ["rotor"]),
    "nothing known": (b"a = 1\n", ["unknown key"]),
    "parts flag": (b"parts = true\n", ["parts"]),
}


@pytest.mark.parametrize("data", FILES)
def test_a_file_that_is_no_design(
    edit: Callable[..., Path], main_folder: Path, study_refused: Callable[..., str], data: str
) -> None:
    brief = edit(main_folder)
    brief.with_name("design.toml").write_bytes(FILES[data][0])
    is_toml = data in ("parts table", "parts words", "table for a value", "value for a table", "list for a table",
                       "parts flag", "nothing known")  # which then lacks nearly everything
    text = study_refused(brief, "design.toml", *FILES[data][1], lines=None if is_toml else 1)
    assert len(text.split("\n")[0]) < 1000


@pytest.mark.parametrize("data", ["empty", "not UTF-8", "no quotes", "deep list", "huge", "JSON"])
def test_a_file_that_is_no_brief(
    edit: Callable[..., Path], main_folder: Path, study_refused: Callable[..., str], data: str
) -> None:
    brief = edit(main_folder)
    brief.write_bytes(FILES[data][0])
    study_refused(brief, "brief.toml")


def test_a_directory(refused: Callable[..., str], command: Callable[..., Any], tmp_path: Path) -> None:
    refused(command("study", tmp_path, "-o", tmp_path / "OUT"), str(tmp_path), "directory")
    refused(command("check", tmp_path), "directory")
    refused(command("groups", tmp_path), "directory")
    assert not any(tmp_path.iterdir())


def test_a_file_that_is_not_there(refused: Callable[..., str], command: Callable[..., Any], tmp_path: Path) -> None:
    refused(command("study", tmp_path / "none.toml"), "none.toml", "no such file")
    refused(command("check", tmp_path / "none.toml"), "none.toml", "no such file")


ENDLESS = """
import resource, runpy, sys
resource.setrlimit(resource.RLIMIT_AS, (2 << 30, 2 << 30))
sys.argv = ["scaling", "check", "/dev/zero"]
runpy.run_module("scaling", run_name="__main__")
"""


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="no endless file here")
def test_a_file_without_end_is_not_read_to_its_end(refused: Callable[..., str], process: Callable[..., Any]) -> None:
    refused(process(ENDLESS, before=("-c",)), "/dev/zero")


# What -o is given.


def test_a_folder_that_holds_files_is_refused_and_kept(
    refused: Callable[..., str],
    contents: Callable[[Path], Any],
    command: Callable[..., Any],
    main_folder: Path,
    tmp_path: Path,
) -> None:
    (tmp_path / "OUT").mkdir()
    (tmp_path / "OUT" / "notes.txt").write_text("mine", encoding="utf-8")
    refused(command("study", main_folder / "brief.toml", "-o", tmp_path / "OUT"), "OUT", "--force")
    assert contents(tmp_path) == {str(Path("OUT", "notes.txt")): b"mine"}


def test_a_file_in_the_place_of_the_folder(
    refused: Callable[..., str],
    contents: Callable[[Path], Any],
    command: Callable[..., Any],
    main_folder: Path,
    tmp_path: Path,
) -> None:
    (tmp_path / "OUT").write_text("mine", encoding="utf-8")
    for force in ([], ["--force"]):
        refused(command("study", main_folder / "brief.toml", "-o", tmp_path / "OUT", *force), "OUT", "file")
    assert contents(tmp_path) == {"OUT": b"mine"}


def test_a_folder_that_cannot_be_made(
    contents: Callable[[Path], Any], command: Callable[..., Any], pusher_demo: Any, tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    result = command("study", pusher_demo.folder / "brief.toml", "-o", tmp_path / "file" / "OUT")
    assert result.status == 2
    assert result.err.count("\n") == 1
    assert "OUT" in result.err
    assert contents(tmp_path) == {"file": b"mine"}


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the superuser may write anywhere")
def test_a_folder_without_leave_to_write(command: Callable[..., Any], pusher_demo: Any, tmp_path: Path) -> None:
    (tmp_path / "kept").mkdir(mode=0o500)
    result = command("study", pusher_demo.folder / "brief.toml", "-o", tmp_path / "kept" / "OUT")
    assert result.status == 2
    assert "OUT" in result.err
    assert not any((tmp_path / "kept").iterdir())


def test_json_writes_nothing_and_refuses_a_folder(
    refused: Callable[..., str], command: Callable[..., Any], main_folder: Path, tmp_path: Path
) -> None:
    refused(command("study", main_folder / "brief.toml", "--json", "-o", tmp_path / "OUT"), "--out", "--json")
    assert not any(tmp_path.iterdir())


# Flags.


@pytest.mark.parametrize(
    ("flags", "words"),
    [
        ([], ["--mass"]),
        (["--mass", "1.36"], ["--mass", "unit"]),
        (["--mass", "1.36 m"], ["--mass", "wrong dimension"]),
        (["--mass", "-1 kg"], ["--mass", "above zero"]),
        (["--mass", "nan kg"], ["--mass"]),
        (["--mass", "1 kg", "--margin", "2 kg"], ["--margin"]),
        (["--mass", "1 kg", "--margin", "-2 g"], ["--margin"]),
        (["--mass", "1 kg", "--length", "200"], ["--length", "unit"]),
        (["--mass", "1 kg", "--length", "0 mm"], ["--length", "above zero"]),
        (["--mass", "1 kg", "--motor-diameter", "5 kg"], ["--motor-diameter", "wrong dimension"]),
        (["--mass", "1 kg", "--speed-rule", "hold"], ["--speed-rule", "hold-rpm"]),
        (["--mass", "1 kg", "--drive-rule", "hold"], ["--drive-rule", "hold-speed"]),
        (["--mass", "1 kg", "--clock", "wall"], ["--clock", "gravity"]),
    ],
    ids=" ".join,
)
def test_bad_flags(
    refused: Callable[..., str], command: Callable[..., Any], main_folder: Path, flags: list[str], words: list[str]
) -> None:
    refused(command("study", main_folder / "design.toml", *flags), *words)


def test_a_flag_that_the_brief_says_already(
    refused: Callable[..., str], command: Callable[..., Any], main_folder: Path
) -> None:
    refused(command("study", main_folder / "brief.toml", "--mass", "2 kg"), "--mass", "brief")


@pytest.mark.parametrize(
    "arguments",
    [["stdy"], ["study"], ["study", "--nope"], ["check"], ["laws", "extra"], ["init", "--kind"]],
    ids=" ".join,
)
def test_bad_usage(command: Callable[..., Any], arguments: list[str]) -> None:
    result = command(*arguments)
    assert result.status == 2
    assert result.out == ""
    assert result.err.strip()
    assert "Traceback" not in result.err


def test_unknown_starter_and_drive_rule(
    refused: Callable[..., str], command: Callable[..., Any], tmp_path: Path
) -> None:
    refused(command("init", tmp_path / "new", "--kind", "spiner"), "--kind", '"spinner"')
    refused(command("laws", "--drive-rule", "as-bougt"), "--drive-rule", "as-bought")
    assert not any(tmp_path.iterdir())


# Anything at all for a value: never a traceback, always status 0 or 2.

ROOT_KEYS = ("mass", "length", "width", "height", "track", "wheelbase", "cg_height", "cg_ahead")
units = st.sampled_from(
    ["mm", "m", "g", "kg", "inch", "", "mm^2", "%", "µm", "degC", "rpm/V", "dB", "m/", "m^", "/m", "(m", "m)"]
)
numbers = st.one_of(
    st.floats().map(str), st.integers().map(str), st.sampled_from(["1e5", "1e-300", "1e308", ".5", "+3", "--3"])
)
texts = st.one_of(
    st.text(max_size=30),
    st.text(alphabet="0123456789.eE+-*/^() mgk²·µΩ°%", max_size=24),
    st.builds("{} {}".format, numbers, units),
)
values = st.one_of(texts, st.booleans(), st.integers(), st.floats(), st.lists(st.integers(), max_size=2), st.none())


def toml_text(value: object) -> str:
    """A value as TOML: text with every character escaped, so that the file itself is sound."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return '"' + "".join(f"\\U{ord(mark):08X}" for mark in value if not 0xD800 <= ord(mark) < 0xE000) + '"'
    return "{}" if value is None else str(value)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(key=st.sampled_from(ROOT_KEYS), value=values)
@example(key="length", value="5 mm/")
@example(key="length", value="5 m^")
@example(key="length", value="1e-300 mm")
@example(key="length", value="1e-200 m")
@example(key="length", value="1e14 m")
@example(key="length", value="1e300 m")
@example(key="width", value="1e308 m")
@example(key="height", value="1e-14 m")
@example(key="track", value="1e-300 mm")
@example(key="track", value="1e14 m")
def test_any_value_of_a_root_key(
    refused: Callable[..., str],
    edit: Callable[..., Path],
    pusher_demo: Any,
    command: Callable[..., Any],
    key: str,
    value: object,
) -> None:
    brief = edit(pusher_demo.folder, {key: toml_text(value)})
    result = command("study", brief, "--json")
    assert result.status in (0, 2), result.err
    assert "Traceback" not in result.err
    if result.status == 2:
        assert key in refused(result, "design.toml")


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.one_of(st.binary(max_size=200), st.text(max_size=100).map(lambda text: text.encode("utf-8", "replace"))))
def test_any_bytes_for_a_design(
    refused: Callable[..., str], edit: Callable[..., Path], pusher_demo: Any, command: Callable[..., Any], data: bytes
) -> None:
    brief = edit(pusher_demo.folder)
    brief.with_name("design.toml").write_bytes(data)
    refused(command("check", brief), "design.toml", lines=None)


def test_a_message_is_one_printable_line_whatever_was_given(
    refused: Callable[..., str], edit: Callable[..., Path], main_folder: Path, command: Callable[..., Any]
) -> None:
    for code in [*range(1, 32), 0x7F, 0x85, 0x2028, 0x202E]:
        brief = edit(main_folder, {f'"k\\u{code:04X}y"': '"1 mm"', "length": f'"5\\u{code:04X}mm"'})
        text = refused(command("check", brief), lines=None)
        assert re.search(r"[\x00-\x09\x0b-\x1f\x7f\x85\u2028\u202e]", text) is None


TOWERS = (
    "5 m^(9^9^9)",
    "5 m**9**9**9",
    "5 m^9^9^9^9",
    "5 (m^9)^9^9",
    "5 (((m^9)^9)^9)^9",
    "5 m9²²²²²²",
    "5 m^9²³²³²³²³",
)
TOWER = """
import sys
from scaling.files.errors import InputError
from scaling.files.units import parse
for text in sys.argv[1:]:
    try:
        parse(text, "m")
    except InputError:
        print("refused")
"""


def test_a_tower_of_powers_is_not_worked_out(process: Callable[..., Any]) -> None:
    result = process(*TOWERS, before=("-c", TOWER), timeout=20)
    assert (result.status, result.err) == (0, "")
    assert result.out.split() == ["refused"] * len(TOWERS)
