"""The package as a stranger gets it: built, installed in a fresh environment and tried away from the checkout.

    python tests/installed.py wheel     with the newest dependencies: the verbs of a first hour, every data file
    python tests/installed.py oldest    with the lowest versions that pyproject allows: tests that use each of them
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
import tomllib
import zipfile
from pathlib import Path

ROOT = Path(__file__).parent.parent
WRITTEN = ("report.html", "formulas.html", "build_log.md", "study.json", "figures", "tables")
QUICK = ("test_units", "test_outline", "test_mesh", "test_geometry", "test_report", "test_workshop", "test_face",
         "test_book", "test_palette", "sources/test_linear_program")
"""Test files that together use every dependency of the package, and little else."""
TOOLS = ("html5lib", "hypothesis", "jsonschema", "markdown-it-py", "pytest", "pytest-xdist", "scipy")

IMPORTED = """
import sys
import scaling
assert scaling.__file__.startswith(sys.prefix), scaling.__file__
heavy = {"numpy", "sympy", "pandas", "matplotlib"} & set(sys.modules)
assert not heavy, heavy
"""
FACE = """
import scaling
study = scaling.study("robot/brief.toml")
assert study["A"].factor > 1
assert len(study.drift()) > 100
"""


def run(*command: str | Path, cwd: Path = ROOT) -> str:
    """Run a command to its end without this environment's own paths; returns what it printed."""
    clean = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "VIRTUAL_ENV"))}
    done = subprocess.run([*map(str, command)], cwd=cwd, env=clean | {"PYTHONUTF8": "1"}, capture_output=True,
                          encoding="utf-8", check=False)
    if done.returncode:
        raise SystemExit(f"{' '.join(map(str, command))}\n{done.stdout}{done.stderr}")
    return done.stdout


def build(folder: Path) -> Path:
    """Build the wheel from a copy of the package, so that nothing built before can get into it."""
    source = folder / "source"
    shutil.copytree(ROOT / "scaling", source / "scaling", ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, source)
    run(sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--wheel-dir", folder, source)
    (wheel,) = folder.glob("*.whl")
    own = {path.relative_to(source).as_posix() for path in (source / "scaling").rglob("*") if path.is_file()}
    missing = own - set(zipfile.ZipFile(wheel).namelist())
    if missing:
        raise SystemExit(f"not in the wheel: {', '.join(sorted(missing))}")
    return wheel


def environment(folder: Path, *packages: str | Path) -> Path:
    """Make a fresh environment with these packages; returns the folder of its programs."""
    run(sys.executable, "-m", "venv", "--without-pip", folder)
    programs = folder / ("Scripts" if os.name == "nt" else "bin")
    run(sys.executable, "-m", "pip", "--python", programs / "python", "install", "--quiet", "--no-compile", *packages)
    run(programs / "python", "-P", "-c", IMPORTED)
    return programs


def wheel(folder: Path) -> None:
    """Do what somebody does in the first hour: help, starters, a study, the public face."""
    programs = environment(folder / "venv", build(folder))
    scaling, away = programs / "scaling", folder / "away"
    away.mkdir()
    version = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]
    assert version in run(scaling, "--version", cwd=away)
    assert "study" in run(scaling, "--help", cwd=away)
    for kind, name in (("spinner", "robot"), ("pusher", "pusher")):
        run(scaling, "init", name, "--kind", kind, cwd=away)
        run(scaling, "check", f"{name}/brief.toml", cwd=away)
    run(scaling, "study", "robot/brief.toml", "-o", "out", cwd=away)
    absent = [name for name in WRITTEN if not (away / "out" / name).exists()]
    assert not absent, absent
    assert json.loads((away / "out" / "study.json").read_text(encoding="utf-8"))["ports"]
    run(programs / "python", "-P", "-c", FACE, cwd=away)


def oldest(folder: Path) -> None:
    """Run some tests of the built package with each dependency at its lower bound."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert all(">=" in bound for bound in project["dependencies"]), "every dependency has a lower bound"
    pins = [bound.replace(">=", "==") for bound in project["dependencies"]]
    programs = environment(folder / "venv", build(folder), *pins, *TOOLS)
    options = ("-n", "2", "-p", "no:cacheprovider", "-W", "ignore", "-k", "not type_checker and not window")
    print(run(programs / "python", "-P", "-m", "pytest", *options, *(f"tests/{name}.py" for name in QUICK)))


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as temporary:
        {"wheel": wheel, "oldest": oldest}[sys.argv[1]](Path(temporary))
    print(f"{sys.argv[1]}: as it should be")
