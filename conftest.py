"""Doctests run in the main demo's folder, so that an example reads as a builder would type it."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def _in_the_main_demo(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    if isinstance(request.node, pytest.DoctestItem):
        monkeypatch.chdir(Path(__file__).parent / "demo_designs" / "tarvindle")
