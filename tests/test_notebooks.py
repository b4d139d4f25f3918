"""Every notebook's code runs, cell by cell, as it stands."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

NOTEBOOKS = sorted((Path(__file__).parent.parent / "notebooks").glob("*.ipynb"))


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


def test_there_is_a_notebook() -> None:
    assert NOTEBOOKS
