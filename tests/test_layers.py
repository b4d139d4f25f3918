"""Packages import one way: from those of earlier rows, types and imports inside functions included."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import scaling

PACKAGE = Path(scaling.__file__).parent
LAYERS = (
    "files", "book", "shop", "formulas", "cad", "robot", "port", "study", "doubt", "decide", "show", "command",
)
"""The packages, the foundation first: a package imports only packages on earlier rows, and its own modules."""

ABOVE = ("__init__", "__main__", "face", "loaded", "many")
"""Modules above every package: the public face, what it loads, and the doors that lead to it and to the command."""


def imported(tree: ast.AST) -> Iterator[str]:
    """Dotted names of everything of ours that a module imports, wherever in it the import stands."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "relative imports hide where they lead"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)
        elif isinstance(node, ast.Call) and getattr(node.func, "attr", getattr(node.func, "id", "")) == "import_module":
            yield from (str(part.value) for part in ast.walk(node) if isinstance(part, ast.Constant))


def against_direction(path: Path, text: str) -> list[str]:
    """Imports of one module that run against the rows; ``path`` is relative to the package."""
    own = path.parts[0]
    if len(path.parts) == 1:
        return []
    found = []
    for name in imported(ast.parse(text)):
        first, _, rest = name.partition(".")
        package = rest.split(".")[0]
        if first != "scaling" or package == own:
            continue
        if package not in LAYERS or LAYERS.index(package) > LAYERS.index(own):
            found.append(name)
    return found


MODULES = sorted(PACKAGE.rglob("*.py"))


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_no_import_runs_against_the_rows(path: Path) -> None:
    assert against_direction(path.relative_to(PACKAGE), path.read_text(encoding="utf-8")) == []


def test_every_package_has_a_row() -> None:
    assert {path.parent.name for path in PACKAGE.glob("*/__init__.py")} <= set(LAYERS)
    assert {path.stem for path in PACKAGE.glob("*.py")} <= set(ABOVE)


@pytest.mark.parametrize(
    "line",
    [
        "from scaling.show.table import Table",
        "import scaling.command.cli",
        "from scaling import face",
        "def late() -> None:\n    from scaling.study.run import run_study",
        "if TYPE_CHECKING:\n    from scaling.decide.window import Window",
        "importlib.import_module('scaling.port.brief')",
    ],
)
def test_an_import_against_the_rows_is_found(line: str) -> None:
    assert against_direction(Path("robot/design.py"), line) != []


def test_no_modules_import_one_another() -> None:
    """No cycle, lazy or not: the modules can be put in an order in which each comes after those that it imports."""
    names = {".".join(("scaling", *path.relative_to(PACKAGE).with_suffix("").parts)): path for path in MODULES}
    names = {name.removesuffix(".__init__"): path for name, path in names.items()}
    rests = {
        name: {
            found
            for used in imported(ast.parse(path.read_text(encoding="utf-8")))
            for found in (used, used.rpartition(".")[0])
            if found in names and found != name and not name.startswith(f"{found}.")
        }
        for name, path in names.items()
        if name not in ("scaling", "scaling.__main__")
    }
    from graphlib import TopologicalSorter

    TopologicalSorter({name: rest - {"scaling"} for name, rest in rests.items()}).prepare()


def test_the_guide_shows_the_same_rows() -> None:
    guide = (PACKAGE.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    rows = re.findall(r"(?m)^\| `(\w+)/` \|", guide)
    assert tuple(rows) == LAYERS
