"""A port comes about in one list of steps, each from one table to the next; nothing that is handed on is written into.

A power that stands beside a value is what the word says: the value goes as that power of the factor.
"""

from __future__ import annotations

import ast
import copy
from collections.abc import Iterator
from dataclasses import FrozenInstanceError, fields, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import scaling
from scaling.decide.options import OptionSpace, rank_options
from scaling.decide.window import windows
from scaling.port.asked import Brief, LawRequest, Variation
from scaling.port.inputs import STEPS, inputs_at, on_the_step, port_parts
from scaling.port.levers import close_parts
from scaling.port.scaled import Inputs, Remark, Scaled
from scaling.port.terms import Terms
from scaling.shop.motors import load_motors
from scaling.study.run import run_study

FACTORS = np.array([0.9, 1.2, 1.7])


def tables(demo: Any, variation: Variation) -> Iterator[tuple[Any, Inputs, Inputs]]:
    """Each step of each port of a demo, with the table before and after it."""
    parts = port_parts(demo.design, demo.brief, variation)
    for port in demo.study.ports:
        terms = Terms(demo.design, demo.brief, port.request, parts, FACTORS, variation)
        before = Inputs()
        for step in STEPS:
            after = step(before, terms)
            yield step, before, after
            before = after


def test_no_step_writes_into_its_table(demo: Any) -> None:
    for step, before, _ in tables(demo, Variation()):
        kept = {key: (np.array(value), power) for key, (value, power) in before.table.items()}
        problems, snaps = before.problems, before.snaps
        parts = port_parts(demo.design, demo.brief)
        step(before, Terms(demo.design, demo.brief, demo.study.ports[0].request, parts, FACTORS))
        assert (before.problems, before.snaps) == (problems, snaps)
        assert list(before.table) == list(kept)
        for key, (value, power) in kept.items():
            assert np.array_equal(before[key].value, value, equal_nan=True), (step.__name__, key)
            assert before[key].power == power


def test_a_table_cannot_be_written_into() -> None:
    mine = {"length": Scaled(0.1, None)}
    inputs = Inputs(mine)
    mine["length"] = Scaled(9.0, None)
    assert inputs["length"].value == 0.1
    with pytest.raises(TypeError):
        inputs.table["length"] = Scaled(9.0, None)  # type: ignore[index]
    with pytest.raises(FrozenInstanceError):
        inputs.table = {}  # type: ignore[misc]
    other = inputs.having({"width": Scaled(0.2, None)}).noting(Remark("code", "A sentence."))
    assert set(inputs.variables) == {"length"}
    assert set(other.variables) == {"length", "width"}
    gone = other.without("length", Remark("gone", "Another."))
    assert "length" in other
    assert "length" not in gone
    assert [problem.code for problem in gone.problems] == ["code", "gone"]


def test_the_steps_stand_in_one_list_only(demo: Any) -> None:
    """No other module calls a step of its own accord, and the list is all that a port is made by."""
    names = [step.__name__ for step in STEPS]
    assert len(set(names)) == len(names)
    called = {
        node.func.id
        for path in Path(scaling.__file__).parent.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    assert called.isdisjoint(names)
    parts = port_parts(demo.design, demo.brief)
    by_hand: dict[LawRequest, Inputs] = {}
    for step, _, after in tables(demo, Variation()):
        if step is STEPS[-1]:
            by_hand[demo.study.ports[len(by_hand)].request] = after
    for request, table in by_hand.items():
        found = inputs_at(demo.design, demo.brief, request, parts, FACTORS)
        assert found.powers == table.powers
        for key, value in found.variables.items():
            assert np.array_equal(value, table.variables[key]), key


def test_a_power_is_the_power_of_the_value(demo: Any) -> None:
    """ln(value) rises by the power times ln(factor), by definition; without shelves, whose steps jump."""
    variation = Variation(snapped=False)
    checked = 0
    for step, _, after in tables(demo, variation):
        if step is not STEPS[-1]:
            continue
        for key, (value, power) in after.table.items():
            if power is not None and np.all(value != 0):
                rise = np.log(np.abs(value / value[0]))
                assert rise == pytest.approx(float(power) * np.log(FACTORS / FACTORS[0]), abs=1e-9), key
                checked += 1
    assert checked > 40 * len(demo.study.ports)


def test_within_a_step_every_snapped_size_is_held(main_demo: Any) -> None:
    parts = port_parts(main_demo.design, main_demo.brief)
    request = main_demo.study.ports[0].request
    at = inputs_at(main_demo.design, main_demo.brief, request, parts, 1.44)
    variation, held = on_the_step(parts, at, 1.44)
    near = inputs_at(main_demo.design, main_demo.brief, request, held, 1.44 * np.array([0.99, 1.0, 1.01]), variation)
    assert {snap.name for snap in at.snaps} & set(variation.held)
    assert near.snaps == ()
    for key, size in variation.held.items():
        assert near.variables[key] == pytest.approx(np.full(3, size), rel=1e-12)
    assert near.variables["wall.thickness"] == pytest.approx(np.full(3, float(at.variables["wall.thickness"])))


def test_nothing_is_written_into_a_brief(main_demo: Any) -> None:
    """A study, a window and a ranking leave the brief as the user said it, and it holds no arrays."""
    brief: Brief = main_demo.brief
    before = copy.deepcopy(brief)
    run_study(main_demo.design, brief)
    windows(main_demo.design, replace(brief, requests=brief.requests[:1]))
    motors = load_motors(main_demo.folder / "rotor_motors.csv")
    rank_options(main_demo.design, brief, OptionSpace(rotor_motors=motors[:2], cells=(3, 4)), 3)
    assert brief == before
    assert {each.name for each in fields(Brief)}.isdisjoint({"pinned", "varied"})
    assert all(isinstance(value, float) for value in brief.numbers.values())


def test_one_part_over_floats_and_arrays_alike(demo: Any) -> None:
    """Each demo's parts after its own levers: mass and thickness at many factors are those at each."""
    parts = port_parts(demo.design, demo.brief)
    target = demo.brief.allowed_mass
    many, _ = close_parts(parts, FACTORS, target, demo.brief.closure, demo.brief.shelves)
    for place, factor in enumerate(FACTORS):
        alone, _ = close_parts(parts, float(factor), target, demo.brief.closure, demo.brief.shelves)
        for one, each in zip(alone, many, strict=True):
            mass = np.broadcast_to(each.at(FACTORS), FACTORS.shape)[place]
            assert float(one.at(float(factor))) == pytest.approx(float(mass), rel=1e-12), one.name
            thickness = np.broadcast_to(each.thickness_at(FACTORS), FACTORS.shape)[place]
            assert float(one.thickness_at(float(factor))) == pytest.approx(float(thickness), rel=1e-12), one.name
