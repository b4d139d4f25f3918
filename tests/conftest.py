"""What several test files share: the demo designs, their studies, edited copies of their files, and the command."""

from __future__ import annotations

import os
import subprocess
import sys
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import hypothesis
import pytest

import scaling
from scaling.command.cli import main
from scaling.decide.whole import whole_study
from scaling.files.errors import MOST_SAID
from scaling.port.brief import Brief, load_brief
from scaling.robot.design import Design, load_design
from scaling.study.results import Study

ROOT = Path(__file__).parent.parent
BRIEFS = sorted({path.resolve() for path in ROOT.glob("demo_designs/*/brief.toml")})

# A first call imports pint or compiles formulas, which no deadline should judge. The gate says the same of the same
# code every time; HYPOTHESIS_PROFILE=search looks for new cases.
hypothesis.settings.register_profile("gate", deadline=None, derandomize=True)
hypothesis.settings.register_profile("search", deadline=None)
hypothesis.settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "gate"))


@dataclass(frozen=True, repr=False)
class Demo:
    """One of the demo designs with its brief and the study of it."""

    folder: Path
    brief: Brief
    design: Design
    study: Study

    def __repr__(self) -> str:
        return f"Demo({self.folder.name})"  # the fields fill pages where a test fails


@cache
def _demo(path: Path) -> Demo:
    brief = load_brief(path)
    design = load_design(brief.design_file)
    return Demo(path.parent, brief, design, whole_study(design, brief))


@pytest.fixture(scope="session", params=BRIEFS, ids=[path.parent.name for path in BRIEFS])
def demo(request: pytest.FixtureRequest) -> Demo:
    """Each of the demo designs in turn."""
    return _demo(request.param)


@pytest.fixture(scope="session")
def demos() -> tuple[Demo, ...]:
    """All the demo designs."""
    return tuple(map(_demo, BRIEFS))


@pytest.fixture(scope="session")
def main_folder() -> Path:
    """The folder of the main demo: the one whose rotor lies across the machine."""
    return next(path.parent for path in BRIEFS if _axis(path) == "across")


def _axis(path: Path) -> str | None:
    design = tomllib.loads((path.parent / "design.toml").read_text(encoding="utf-8"))
    axis = design.get("rotor", {}).get("axis")
    return None if axis is None else str(axis)


@pytest.fixture(scope="session")
def main_demo(main_folder: Path) -> Demo:
    """The main demo."""
    return _demo(main_folder / "brief.toml")


@pytest.fixture(scope="session")
def pusher_demo(demos: tuple[Demo, ...]) -> Demo:
    """The demo without a rotor."""
    return next(demo for demo in demos if not demo.design.has_rotor)


@dataclass(frozen=True)
class Result:
    """What a run of the command left: exit status and both streams."""

    status: int
    out: str
    err: str


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Callable[..., Result]:
    """Run the command in this process, with its own handling of errors."""

    def run(*arguments: str | Path) -> Result:
        monkeypatch.setattr(sys, "argv", ["scaling", *map(str, arguments)])
        capsys.readouterr()
        try:
            main()
            status: object = 0
        except SystemExit as end:
            status = end.code
        streams = capsys.readouterr()
        return Result(0 if status is None else int(str(status)), streams.out, streams.err)

    return run


@pytest.fixture(scope="session")
def process(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Result]:
    """Run this interpreter in a process of its own, in an empty folder, with the package on its path."""

    def run(
        *arguments: str | Path, before: Sequence[str] = ("-m", "scaling"), timeout: float = 120, **changes: str
    ) -> Result:
        path = os.pathsep.join([str(Path(scaling.__file__).parent.parent), os.environ.get("PYTHONPATH", "")])
        done = subprocess.run(
            [sys.executable, *before, *map(str, arguments)],
            cwd=tmp_path_factory.mktemp("run"),
            env=os.environ | {"PYTHONPATH": path, "PYTHONUTF8": "1"} | changes,
            capture_output=True,
            encoding="utf-8",
            timeout=timeout,
            check=False,
        )
        return Result(done.returncode, done.stdout, done.stderr)

    return run


@pytest.fixture
def edit(tmp_path: Path) -> Callable[..., Path]:
    """Copy a demo's files with some keys set to other TOML text; returns the path of the copied brief.

    ``design`` and ``brief`` map dotted keys to the text after the equals sign, None to take the line out; a
    key that is not there is added to its table. ``parts[2].mass`` is a key of the second table headed [[parts]].
    """

    def copy(
        folder: Path, design: dict[str, str | None] | None = None, brief: dict[str, str | None] | None = None
    ) -> Path:
        for path in folder.iterdir():
            if path.is_file():
                (tmp_path / path.name).write_bytes(path.read_bytes())
        for name, changes in (("design.toml", design or {}), ("brief.toml", brief or {})):
            text = (folder / name).read_text(encoding="utf-8")
            for key, value in changes.items():
                text = _set(text, key, value)
            (tmp_path / name).write_text(text, encoding="utf-8")
        return tmp_path / "brief.toml"

    return copy


def _refused(result: Result, *words: str, lines: int | None = 1) -> str:
    """The ``lines`` sentences of a refusal, after their form has been checked; ``words`` must be in them.

    None for ``lines`` takes any number of mistakes up to the most that are said at once.
    """
    assert result.status == 2, result.err or result.out
    assert result.out == ""
    text = str(result.err).rstrip("\n")
    found = text.split("\n")
    assert len(found) == lines or (lines is None and len(found) <= MOST_SAID + 1), text
    for line in found:
        assert line.startswith("scaling: ")
        assert line[-1] in ".?"
    assert "Traceback" not in text
    assert "\x1b" not in text
    for word in words:
        assert word in text
    return text


def _contents(folder: Path) -> dict[str, bytes]:
    """Every file under ``folder``."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture(scope="session")
def refused() -> Callable[..., str]:
    """Check that a run of the command refused its input as it must, with these words; returns its sentence."""
    return _refused


@pytest.fixture(scope="session")
def contents() -> Callable[[Path], dict[str, bytes]]:
    """Read every file under a folder."""
    return _contents


@pytest.fixture
def study_refused(command: Callable[..., Result], tmp_path: Path) -> Callable[..., str]:
    """Run the study of a bad file into a folder OUT; returns its sentences, after nothing was written."""

    def run(path: Path, *words: str, lines: int | None = 1) -> str:
        before = _contents(tmp_path)
        text = _refused(command("study", path, "-o", tmp_path / "OUT"), *words, lines=lines)
        assert _contents(tmp_path) == before
        assert not (tmp_path / "OUT").exists()
        assert _refused(command("check", path), lines=lines) == text
        assert _refused(command("study", path, "--json"), lines=lines) == text
        return text

    return run


def _set(text: str, key: str, value: str | None) -> str:
    table, _, last = key.rpartition(".")
    header, place = (
        (f"[[{table.partition('[')[0]}]]", int(table[table.index("[") + 1 : -1]))
        if table.endswith("]")
        else (f"[{table}]", 1)
    )
    lines = text.splitlines()
    starts = [number for number, line in enumerate(lines) if line.split("#")[0].strip() == header]
    if not table:
        start = -1
    elif len(starts) >= place:
        start = starts[place - 1]
    else:
        lines.append(header)
        start = len(lines) - 1
    end = next((n for n in range(start + 1, len(lines)) if lines[n].startswith("[")), len(lines))
    at = next((n for n in range(start + 1, end) if lines[n].split("=")[0].strip() == last), None)
    if at is not None:
        del lines[at]
    if value is not None:
        lines.insert(start + 1, f"{last} = {value}")
    return "\n".join(lines) + "\n"
