"""The table of usual units says what pint, an independent library of units, says; and usual files need no more."""

from __future__ import annotations

from pathlib import Path

import pint
import pytest

from scaling.files.units import parse
from scaling.files.usual_units import USUAL

REGISTRY = pint.UnitRegistry()


@pytest.mark.parametrize(("unit", "text"), [(unit, text) for unit, row in USUAL.items() for text in row])
def test_a_usual_unit_is_what_pint_says(unit: str, text: str) -> None:
    expected = REGISTRY.Quantity(12.5, text).to(REGISTRY.parse_units(unit.replace(" ", "*"))).magnitude
    assert parse(f"12.5 {text}", unit) == pytest.approx(expected, rel=1e-15)


def test_an_unusual_unit_is_asked_of_pint() -> None:
    assert "furlong" not in USUAL["m"]
    assert parse("2 furlong", "m") == pytest.approx(REGISTRY.Quantity(2, "furlong").to("m").magnitude, rel=1e-15)


def test_files_of_ours_state_usual_units_only(monkeypatch: pytest.MonkeyPatch) -> None:
    from scaling.files import units
    from scaling.robot.design import load_design

    monkeypatch.setattr(units, "_converted", None)
    for path in sorted((Path(__file__).parent.parent / "demo_designs").glob("*/design.toml")):
        load_design(path)
