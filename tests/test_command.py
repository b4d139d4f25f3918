"""The command as a builder meets it: help, verbs, JSON, what is printed and what is written."""

from __future__ import annotations

import importlib
import json
import re
import shlex
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from scaling.command.cli import found_verbs
from scaling.command.streams import PLAINER
from scaling.shop.materials import materials

ROOT = Path(__file__).parent.parent
NUMERICAL = {
    "numpy", "scipy", "sympy", "pandas", "matplotlib", "pint", "jinja2", "trimesh", "ezdxf", "highspy", "pydantic",
}  # fmt: skip
VERBS = found_verbs()

LOADED = """
import runpy, sys
sys.argv = ["scaling", *sys.argv[1:]]
try:
    runpy.run_module("scaling", run_name="__main__")
except SystemExit as end:
    assert not end.code, end.code
print("loaded:", *sorted({name.partition(".")[0] for name in sys.modules}), file=sys.stderr)
"""


@pytest.mark.parametrize("arguments", [["--help"], ["--version"], ["study", "--help"]], ids=" ".join)
def test_help_imports_no_numerical_library(process: Callable[..., Any], arguments: list[str]) -> None:
    result = process(*arguments, before=("-c", LOADED))
    assert result.status == 0
    loaded = set(result.err.rpartition("loaded:")[2].split())
    assert "scaling" in loaded
    assert not loaded & NUMERICAL


# Every verb that the folder of verbs holds.


def test_a_file_in_the_folder_of_verbs_is_a_verb(command: Callable[..., Any]) -> None:
    files = {path.stem for path in (ROOT / "scaling" / "command" / "verbs").glob("*.py")} - {"__init__"}
    assert files == set(VERBS)
    shown = command("--help").out
    assert re.findall(r"(?m)^  (\w[\w-]*) {2,}[A-Z]", shown) == [verb.replace("_", "-") for verb in VERBS]


@pytest.fixture
def in_a_demo(main_folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The current folder is a copy of the main demo's; the others' designs go by their names, with their meshes."""
    others = [path for kind in ("stl", "dxf") for path in main_folder.parent.glob(f"*/*.{kind}")]
    for path in [*others, *main_folder.iterdir()]:
        if path.is_file():
            (tmp_path / path.name).write_bytes(path.read_bytes())
    for path in main_folder.parent.glob("*/design.toml"):
        (tmp_path / f"{path.parent.name}.toml").write_bytes(path.read_bytes())
    monkeypatch.chdir(tmp_path)
    return tmp_path


def example(verb: str) -> list[str]:
    """The arguments of the example that a verb's help shows."""
    return shlex.split(getattr(VERBS[verb], "EXAMPLE", verb.replace("_", "-")))


def without_out(arguments: list[str]) -> list[str]:
    """The arguments without a place to write to, which --json refuses."""
    at = arguments.index("-o") if "-o" in arguments else len(arguments)
    return arguments[:at] + arguments[at + 2 :]


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_has_help_json_and_an_example_that_runs(
    command: Callable[..., Any], in_a_demo: Path, contents: Callable[[Path], dict[str, bytes]], verb: str
) -> None:
    arguments = example(verb)
    about = command(arguments[0], "--help")
    assert (about.status, about.err) == (0, "")
    assert "Usage" in about.out
    assert "--json" in about.out
    assert arguments[0] in about.out.partition("For example:")[2]
    before = contents(in_a_demo)
    as_json = command(*without_out(arguments), "--json")
    assert (as_json.status, as_json.err) == (0, "")
    assert strictly(as_json.out)
    assert contents(in_a_demo) == before
    shown = command(*arguments)
    assert (shown.status, shown.err) == (0, "")
    assert shown.out.strip()
    for page in ("ascii", "cp437", "cp850", "cp932", "cp1251"):  # what one lacks has a plainer sign, none is lost
        assert shown.out.encode(page, PLAINER).decode(page).count("?") == shown.out.count("?"), page


NEEDS = {
    "groups": {"highspy", "scipy"},  # --hold searches, and so does a study
    "mesh": {"scipy", "trimesh"},
    "outline": {"ezdxf"},
    "plot": {"highspy", "matplotlib"},
    "sources": {"highspy"},
    "study": {"highspy"},
}
"""What a verb loads beside numpy, which all but the empty one do."""


@pytest.mark.parametrize("verb", VERBS)
def test_a_verb_loads_only_what_it_uses(process: Callable[..., Any], in_a_demo: Path, verb: str) -> None:
    """No verb derives anything new from the book or meets an unusual unit here: neither SymPy nor pint is there."""
    name, *rest = without_out(example(verb))
    paths = [str(in_a_demo / each) if "." in each and (in_a_demo / each).exists() else each for each in rest]
    result = process(name, *paths, "--json", before=("-c", LOADED))
    assert result.status == 0, result.err
    loaded = set(result.err.rpartition("loaded:")[2].split())
    assert "scaling" in loaded
    assert loaded & NUMERICAL <= NEEDS.get(verb, set()) | {"numpy"}
    assert ("numpy" in loaded) == (verb != "init")


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_refuses_bad_input(command: Callable[..., Any], in_a_demo: Path, verb: str) -> None:
    name, *rest = example(verb)
    assert command(name, *rest, "--no-such-flag").status == 2
    files = [place for place, word in enumerate(rest) if (in_a_demo / word).is_file()]
    for place in files:
        missing = [*rest[:place], f"missing_{rest[place]}", *rest[place + 1 :]]
        result = command(name, *missing)
        assert result.status == 2
        assert f"missing_{rest[place]}" in result.err
        assert result.err.count("\n") == 1


WITH_ANOTHER_FOLDER = """
import sys
from scaling.command import verbs
verbs.__path__.append(sys.argv.pop(1))
from scaling.command.cli import main
main()
"""


def test_the_guide_s_command_works_as_one_file(process: Callable[..., Any], tmp_path: Path) -> None:
    """The worked change of DEVELOPERS.md, put in as one file and nothing else touched."""
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").partition("## Add a command")[2]
    (tmp_path / "steel.py").write_text(guide.partition("```python\n")[2].partition("```")[0], encoding="utf-8")
    shown = process("--help", before=("-c", WITH_ANOTHER_FOLDER, tmp_path))
    assert "  steel  " in shown.out
    found = process("steel", "--json", before=("-c", WITH_ANOTHER_FOLDER, tmp_path))
    assert (found.status, found.err) == (0, "")
    assert 1.5e-3 in strictly(found.out)
    assert "1.5" in process("steel", before=("-c", WITH_ANOTHER_FOLDER, tmp_path)).out


def test_the_script_and_the_module_are_the_same(process: Callable[..., Any]) -> None:
    """``scaling`` calls what ``python -m scaling`` calls; the distribution's table says so."""
    table = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    module, _, name = table["project"]["scripts"]["scaling"].partition(":")
    assert callable(getattr(importlib.import_module(module), name))
    script = f"import sys; sys.argv[0] = 'scaling'; from {module} import {name}; sys.exit({name}())"
    for arguments in (["--help"], ["study", "none.toml"]):
        as_script = process(*arguments, before=("-c", script))
        as_module = process(*arguments)
        assert as_script.status == as_module.status
        assert as_script.out.replace("python -m scaling", "scaling") == as_module.out.replace(
            "python -m scaling", "scaling"
        )
        assert as_script.err.replace("python -m scaling", "scaling") == as_module.err.replace(
            "python -m scaling", "scaling"
        )


def test_version_is_that_of_the_distribution(command: Callable[..., Any]) -> None:
    table = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    result = command("--version")
    assert result.status == 0
    assert table["project"]["version"] in result.out


# Output without escape codes.


@pytest.mark.parametrize("changes", [{}, {"FORCE_COLOR": "1", "NO_COLOR": "1"}], ids=str)
def test_piped_output_has_no_escape_codes(
    process: Callable[..., Any], main_folder: Path, changes: dict[str, str]
) -> None:
    for arguments in (["study", main_folder / "brief.toml"], ["study", "--help"], ["nonsense"]):
        result = process(*arguments, **changes)
        assert "\x1b" not in result.out + result.err
        assert "\r" not in result.out + result.err


# JSON: one document on standard output, nothing else, nothing written.


def strictly(text: str) -> Any:
    """Parsed JSON; NaN and Infinity, which JSON does not have, are refused."""

    def refuse(name: str) -> None:
        raise AssertionError(f"{name} is not JSON")

    return json.loads(text, parse_constant=refuse)


def test_json_of_every_verb(
    command: Callable[..., Any], main_folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    brief, design = main_folder / "brief.toml", main_folder / "design.toml"
    calls: list[list[Any]] = [
        ["study", brief, "--json"],
        ["study", design, "--mass", "1.4 kg", "--json"],
        ["check", brief, design, "--json"],
        ["laws", "--json"],
        ["groups", "--json"],
        ["groups", brief, "--json"],
        ["init", "--json"],
        ["init", "--kind", "pusher", "--json"],
    ]
    for arguments in calls:
        result = command(*arguments)
        assert (result.status, result.err) == (0, ""), arguments
        assert strictly(result.out), arguments
        assert not any(tmp_path.iterdir()), arguments


def test_check_prints_what_was_found(command: Callable[..., Any], main_folder: Path, main_demo: Any) -> None:
    brief, design = main_folder / "brief.toml", main_folder / "design.toml"
    found = strictly(command("check", brief, design, "--json").out)
    assert [Path(row["file"]) for row in found] == [brief, design]
    assert found[0]["variables"] == found[1]["variables"] == dict(main_demo.design.variables)
    shown = command("check", design)
    assert shown.status == 0
    assert "Rotor energy" in shown.out
    assert main_demo.design.name in shown.out


def test_groups_of_a_design_and_of_a_brief(command: Callable[..., Any], main_folder: Path, main_demo: Any) -> None:
    for path in (main_folder / "brief.toml", main_folder / "design.toml", None):
        shown = command("groups", *([path] if path else []))
        assert shown.status == 0
        for name in ("gyro margin", "rush margin", "bite over tooth height", "specific energy over g L"):
            assert name in shown.out, name


# init


@pytest.mark.parametrize("kind", ["spinner", "pusher"])
def test_init_writes_files_that_check_and_study_accept(command: Callable[..., Any], tmp_path: Path, kind: str) -> None:
    folder = tmp_path / "new" / "robot"
    result = command("init", folder, "--kind", kind)
    assert (result.status, result.err) == (0, "")
    assert sorted(path.name for path in folder.iterdir()) == ["brief.toml", "design.toml"]
    checked = command("check", folder / "design.toml", folder / "brief.toml")
    assert (checked.status, checked.err) == (0, "")
    studied = command("study", folder / "brief.toml", "--json")
    assert (studied.status, studied.err) == (0, "")
    found = strictly(studied.out)
    assert ("rotor_energy" in found["reference"]["quantities"]) == (kind == "spinner")
    for name, least in (("design.toml", 8), ("brief.toml", 3)):  # commented, to be filled in by hand
        assert (folder / name).read_text(encoding="utf-8").count("#") >= least
    design = tomllib.loads((folder / "design.toml").read_text(encoding="utf-8"))
    assert {"length", "width", "height", "track", "wheelbase", "cg_height"} <= set(design)
    again = command("init", folder, "--kind", kind)
    assert again.status == 2
    assert "--force" in again.err
    assert command("init", folder, "--kind", kind, "--force").status == 0


@pytest.mark.parametrize("kind", ["spinner", "pusher"])
def test_what_a_starter_brief_shows_may_be_uncommented(command: Callable[..., Any], tmp_path: Path, kind: str) -> None:
    folder = tmp_path / "new"
    command("init", folder, "--kind", kind, "--short")
    brief = folder / "brief.toml"
    text = brief.read_text(encoding="utf-8")
    said = {word for word in re.split(r"[\s,.#]+", text) if word}
    assert set(materials()) <= said
    shown = ["port.battery", "port.attacker", "swaps", *(["port.rotor"] if kind == "spinner" else [])]
    for table in shown:
        block = re.search(rf"^(# )?\[{table}\].*\n(.+\n)+", text, re.MULTILINE)
        assert block is not None, table
        plain = re.sub(r"^# ", "", block.group(), flags=re.MULTILINE)
        text = text.replace(block.group(), plain)
    brief.write_text(text, encoding="utf-8")
    assert tomllib.loads(text)["port"]["battery"]["capacity"]
    checked = command("check", brief, "--json")
    assert (checked.status, checked.err) == (0, "")


# Study: files written.


@pytest.fixture(scope="module")
def written(process: Callable[..., Any], main_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("study") / "OUT"
    result = process("study", main_folder / "brief.toml", "-o", out)
    assert (result.status, result.err) == (0, "")
    return out


def test_a_study_writes_what_it_says(written: Path) -> None:
    names = {path.name for path in written.iterdir()}
    assert {"report.html", "formulas.html", "build_log.md", "figures", "tables", "study.json", "manifest.json"} <= names
    assert not [path for path in written.parent.iterdir() if path != written]  # no temporary folder left
    png, svg = ({path.stem for path in (written / "figures").glob(f"*.{kind}")} for kind in ("png", "svg"))
    assert png == svg
    assert len(png) >= 4
    assert len(list((written / "tables").glob("*.csv"))) >= 4
    for path in written.rglob("*"):
        assert not path.name.startswith(".")
        if path.is_file():
            assert path.stat().st_size > 0
    for path in (written / "figures").glob("*.png"):
        assert path.read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"  # PNG specification (W3C), sec. 5.2


def test_the_report_is_one_file_of_its_own(written: Path) -> None:
    text = (written / "report.html").read_text(encoding="utf-8")
    # Whatever a page may load: nothing but data of its own. Links lead to places in it or in the file beside it.
    for source in re.findall(r"""(?<![-\w])(?:src|srcset|data|action)\s*=\s*["']([^"']+)["']""", text):
        assert source.startswith("data:"), source[:80]
    for source in re.findall(r"""href\s*=\s*["']([^"']+)["']""", text):
        assert source.startswith(("data:", "#", "formulas.html")), source[:80]
    for source in re.findall(r"url\(([^)]+)\)", text):
        assert source.strip("\"' ").startswith(("data:", "#")), source[:80]
    assert "@import" not in text


def test_the_build_log_s_figures_are_there(written: Path) -> None:
    text = (written / "build_log.md").read_text(encoding="utf-8")
    figures = re.findall(r"!\[[^\]]*\]\(([^)\s]+)", text)
    assert figures
    for name in figures:
        assert (written / name).is_file(), name


def test_written_json_is_what_json_prints(written: Path, command: Callable[..., Any], main_folder: Path) -> None:
    stored = strictly((written / "study.json").read_text(encoding="utf-8"))
    assert stored == strictly(command("study", main_folder / "brief.toml", "--json").out)
    assert (written / stored["manifest"]).is_file()


def test_a_folder_that_holds_a_study_is_kept_unless_forced(
    written: Path, command: Callable[..., Any], main_folder: Path
) -> None:
    before = (written / "study.json").stat().st_mtime_ns
    result = command("study", main_folder / "brief.toml", "-o", written)
    assert result.status == 2
    assert (written / "study.json").stat().st_mtime_ns == before


def test_without_out_nothing_is_written(
    command: Callable[..., Any], main_folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    before = {path: path.stat().st_mtime_ns for path in main_folder.rglob("*")}
    result = command("study", main_folder / "brief.toml")
    assert (result.status, result.err) == (0, "")
    assert not any(tmp_path.iterdir())
    assert {path: path.stat().st_mtime_ns for path in main_folder.rglob("*")} == before


def test_the_study_s_table_shows_what_a_builder_asks(command: Callable[..., Any], demo: Any) -> None:
    text = command("study", demo.folder / "brief.toml").out
    whole = command("study", demo.folder / "brief.toml", "--all").out
    assert whole.startswith(text.rstrip("\n"))
    for port in demo.study.ports:
        assert f"{port.factor:.3f}"[:4] in text
        assert port.request.law in whole
        assert all(problem.code[:12] in whole for problem in port.problems)  # a narrow column wraps it
    assert max(map(len, text.splitlines())) <= 400
    assert "safe" not in re.sub(r"fail-?safe", "", text, flags=re.IGNORECASE).lower().replace("safety", "")
    if demo.design.has_rotor:
        assert "maim or kill" in text
        assert "maims or kills" in whole
        assert "creep" in text  # the first power-up


def test_flags_without_a_brief_say_the_same(
    command: Callable[..., Any], main_folder: Path, edit: Callable[..., Path]
) -> None:
    """The mass law by flags is the mass law by a brief that says no more."""
    path = edit(main_folder)
    path.write_text(
        'reference = "design.toml"\nmass_limit = "1.4 kg"\nmass_margin = "20 g"\n[[laws]]\nlaw = "mass"\n'
        'speed_rules = ["hold-rpm", "as-motored"]\n[[laws]]\nlaw = "length"\ntarget = "9 inch"\n'
        'speed_rules = ["hold-rpm", "as-motored"]\n',
        encoding="utf-8",
    )
    by_brief = strictly(command("study", path, "--json").out)
    by_flags = strictly(
        command(
            "study",
            path.with_name("design.toml"),
            "--mass",
            "1.4 kg",
            "--margin",
            "20 g",
            "--length",
            "9 inch",
            "--speed-rule",
            "hold-rpm",
            "--speed-rule",
            "as-motored",
            "--json",
        ).out
    )
    assert by_flags == by_brief
    assert [(port["law"], port["speed_rule"]) for port in by_flags["ports"]] == [
        ("mass", "hold-rpm"),
        ("mass", "as-motored"),
        ("length", "hold-rpm"),
        ("length", "as-motored"),
    ]
