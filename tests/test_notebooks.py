"""Every notebook's code runs, cell by cell, as it stands."""

from __future__ import annotations

import ast
import json
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
TOLD = {"limit_to_shopping_list": "rotor motor", "rush_gyro_belt": "belt slip margin", "bench_day": "measured over"}
"""Words of what each notebook is about, which it prints."""


@pytest.mark.no_cover
@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_notebook_runs_and_is_short(
    path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Run the cells, show what each ends with, and count their words and the seconds of one core."""
    monkeypatch.chdir(path.parent)
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    sources = ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "code"]
    scope: dict[str, object] = {}
    start = time.process_time()
    for number, source in enumerate(sources):
        tree, last = ast.parse(source), None
        if isinstance(tree.body[-1], ast.Expr):
            last = ast.Expression(tree.body.pop().value)
        exec(compile(tree, f"{path.name}, cell {number}", "exec"), scope)  # noqa: S102 - our own notebook
        if last is not None:
            print(repr(eval(compile(last, f"{path.name}, cell {number}", "eval"), scope)))  # noqa: S307 - as above
    assert time.process_time() - start < 10
    assert TOLD[path.stem] in capsys.readouterr().out
    words = " ".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown").split()
    assert len(words) < 450  # two minutes at a reader's 230 words a minute (Brysbaert 2019, from memory)


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


def test_every_notebook_is_told_of_in_the_readme() -> None:
    assert {path.stem for path in NOTEBOOKS} == set(TOLD)
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    for path in NOTEBOOKS:
        assert f"notebooks/{path.name}" in text
