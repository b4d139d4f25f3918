"""Ports, their slopes and what they would be without shelves are rows of one reading of the book, their curves of one
more: what a row says does not hang on its neighbours, and more ports are no more readings.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import product
from typing import Any

import numpy as np
import pytest

from scaling.book.book import Book
from scaling.formulas import book
from scaling.port.asked import LawRequest
from scaling.port.inputs import inputs_at
from scaling.port.rules import DRIVE_RULES, SPEED_RULES
from scaling.study.machine import STEP
from scaling.study.rows import read_together
from scaling.study.run import run_study

EACH = tuple(
    LawRequest("mass", speed, drive) for speed, drive in product(SPEED_RULES, DRIVE_RULES)
) + tuple(LawRequest("length", "hold-tip-speed", target=target) for target in (0.19, 0.21, 0.24))
"""Every pair of rules, and a law whose closing levers make another machine at each of its lengths."""


@pytest.fixture
def whole(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many rows each reading of the whole book had."""
    readings: list[int] = []
    plain = Book.evaluate

    def counted(self: Book, given: Any, traits: Any, only: Any = None) -> Any:
        if only is None:
            readings.append(max(np.size(value) for value in given.values()))
        return plain(self, given, traits, only)

    monkeypatch.setattr(Book, "evaluate", counted)
    return readings


@pytest.mark.parametrize("count", [1, 4, len(EACH)])
def test_more_ports_are_more_rows_and_no_more_readings(main_demo: Any, whole: list[int], count: int) -> None:
    study = run_study(main_demo.design, replace(main_demo.brief, requests=EACH[:count]))
    assert len(study.ports) == count
    unsnapped = sum(bool(port.snaps) for port in study.ports)
    assert whole == [1, 3 * count + unsnapped], "the reference; each port with a step to either side, and unsnapped"
    along = [port.curve for port in study.ports]
    assert len(whole) == 2, "no curve was looked at"
    assert all(curve is not None and curve.values for curve in along)
    assert whole[2:] == [sum(curve.factors.size for curve in along if curve is not None)]


def test_a_port_among_others_is_what_it_is_alone(main_demo: Any) -> None:
    design, brief = main_demo.design, replace(main_demo.brief, requests=EACH)
    ports = run_study(design, brief).ports
    for request, port in zip(EACH, ports, strict=True):
        assert port.request == request
        alone = book.evaluate(port.variables, design.traits)
        assert {name for name, value in alone.items() if math.isfinite(value)} == set(port.quantities)
        for name, entry in port.quantities.items():
            assert entry.value == pytest.approx(float(alone[name]), rel=1e-9), (port.label, name)


def test_a_curve_among_others_is_what_it_is_alone(main_demo: Any) -> None:
    design, brief = main_demo.design, main_demo.brief
    for port in main_demo.study.ports:
        place = int(np.searchsorted(port.curve.factors, port.factor))
        assert port.curve.factors[place] == port.factor
        assert {1.0, port.factor} <= set(port.curve.factors.tolist())
        inputs = inputs_at(design, brief, port.request, port.carried, np.array([port.factor]), port.variation)
        for name, value in book.evaluate(inputs.variables, design.traits).items():
            if np.isfinite(value[0]):
                assert port.curve.values[name][place] == pytest.approx(value[0], rel=1e-9), name


def test_a_slope_is_that_of_a_wider_step(main_demo: Any) -> None:
    """Without shelves, ln q over a step thirty times as wide: the same but for an error that goes as its square."""
    request = LawRequest("mass", "as-motored")
    design, brief = main_demo.design, replace(main_demo.brief, requests=(request,), snap=False)
    (port,) = run_study(design, brief).ports
    step = 30 * STEP
    around = port.factor * np.exp([step, -step])
    inputs = inputs_at(design, brief, port.request, port.carried, around, port.variation)
    found, checked = book.evaluate(inputs.variables, design.traits), 0
    for name in ("top_speed", "rotor_energy", "gyro_margin", "spin_up_time", "throw_height", "total_mass"):
        exponent = port.quantities[name].exponent
        wide = np.log(found[name][0] / found[name][1]) / (2 * step)
        assert float(exponent) == pytest.approx(wide, abs=1e-3), name
        checked += isinstance(exponent, float)
    assert checked > 3, "most follow no single power: sheets that are held, air, resistances"


def test_robots_of_several_kinds_are_read_each_by_its_own_formulas(demo: Any, main_demo: Any) -> None:
    """Two kinds in turn, with other keys and traits: none of a neighbour's formulas, and each in its own place."""
    kinds = [(each.design.variables, each.design.traits) for each in (demo, main_demo, demo)]
    tables = [{key: np.full(rows, value) for key, value in own.items()} for rows, (own, _) in enumerate(kinds, 1)]
    found = read_together(tables, [traits for _, traits in kinds])
    for rows, (read, (own, traits)) in enumerate(zip(found, kinds, strict=True), 1):
        alone = book.evaluate(own, traits)
        assert set(read.names) == set(alone)
        for name, values in read.by_name.items():
            assert values == pytest.approx(np.full(rows, float(alone[name])), rel=1e-9, nan_ok=True), name
