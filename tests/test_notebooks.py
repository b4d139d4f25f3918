"""Every notebook's code runs, cell by cell, as it stands."""

from __future__ import annotations

import ast
import json
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_notebook_runs(path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(path.parent)
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    sources = ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "code"]
    assert sources
    scope: dict[str, object] = {}
    for number, source in enumerate(sources):
        exec(compile(source, f"{path.name}, cell {number}", "exec"), scope)  # noqa: S102 - our own notebook
    assert "gyro_lift_yaw_rate" in capsys.readouterr().out


ALLOWED = {"scaling", "numpy", "matplotlib.pyplot", "pathlib"}


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_notebook_uses_the_public_face_alone(path: Path) -> None:
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    code = "\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "code")
    used = set()
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.Import):
            used |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            used.add(node.module or "")
        elif isinstance(node, ast.Attribute):
            assert not node.attr.startswith("_"), node.attr
    assert "scaling" in used
    assert used <= ALLOWED


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_notebook_has_no_output_that_goes_stale(path: Path) -> None:
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    assert not any(cell.get("outputs") or cell.get("execution_count") for cell in cells)


def test_the_readme_s_python_runs_and_shows_what_it_says(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The README's lines as they stand, from the repository's root, save that the study is written elsewhere."""
    text = (ROOT / "README.md").read_text(encoding="utf-8").partition("## From Python")[2].partition("\n## ")[0]
    code = text.partition("```python\n")[2].partition("```")[0]
    assert "sc.study(" in code
    monkeypatch.chdir(ROOT)
    exec(compile(code.replace('"my-study"', repr(str(tmp_path / "out"))), "README.md", "exec"), {})  # noqa: S102 - ours
    assert (tmp_path / "out" / "report.html").is_file()


def test_there_is_a_notebook() -> None:
    assert NOTEBOOKS
