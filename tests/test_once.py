"""A model that works out each distinct set of inputs once gives what it gives row by row."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from scaling.book.distinct import distinct
from scaling.book.once import BLOCK, LEAST, each_once
from scaling.formulas.drive.turning import turn_on_the_spot
from scaling.formulas.rotor.spin_up import as_motored_speed, spin_up


def calls() -> tuple[Any, list[int]]:
    seen: list[int] = []

    @each_once
    def model(first: Any, second: Any) -> dict[str, Any]:
        seen.append(int(np.broadcast(first, second).size))
        return {"sum": np.asarray(first) + second, "none": np.float64(1.0)}

    return model, seen


@pytest.mark.parametrize(("kinds", "worked_out"), [(1, 1), (7, 7), (100, 100), (900, 1000)])
def test_rows_of_one_kind_are_worked_out_once(kinds: int, worked_out: int) -> None:
    model, seen = calls()
    rows = np.random.default_rng(1).permutation(np.arange(1000) % kinds) * 0.1
    found = model(rows, 3.0)
    assert found["sum"] == pytest.approx(rows + 3.0, rel=1e-15)
    assert found["none"].shape in ((), rows.shape)
    assert sum(seen) == worked_out
    assert max(seen) <= BLOCK


def test_kinds_are_of_all_inputs_together_and_nan_is_one() -> None:
    model, seen = calls()
    first, second = np.repeat([1.0, np.nan], 500), np.tile([2.0, 5.0], 500)
    found = model(first, second)
    assert np.array_equal(found["sum"], first + second, equal_nan=True)
    assert seen == [4]


@pytest.mark.parametrize("shape", [(), (LEAST - 1,), (40, 40)])
def test_few_rows_and_grids_are_left_as_they_are(shape: tuple[int, ...]) -> None:
    model, seen = calls()
    assert model(np.ones(shape), 1.0)["sum"].shape == shape
    assert seen == [int(np.prod(shape))]


@pytest.mark.parametrize("model", [turn_on_the_spot, spin_up, as_motored_speed])
def test_models_of_the_book_give_what_they_give_row_by_row(model: Any, main_demo: Any) -> None:
    """Ports of the main demo with inputs scattered in few steps, so that rows come again."""
    from scaling.book.entry import Model
    from scaling.formulas import book

    port = main_demo.study.ports[0]
    had = {**port.variables, **{name: entry.value for name, entry in port.quantities.items()}}
    names = next(entry.formula.inputs for entry in book.entries
                 if isinstance(entry.formula, Model) and entry.formula.function is model
                 and set(entry.formula.inputs) <= had.keys())  # fmt: skip
    rng = np.random.default_rng(3)
    step = rng.choice([0.9, 1.0], size=(600, 3))
    inputs = [had[name] * (step[:, place % 3] if place % 2 else 1.0) for place, name in enumerate(names)]
    found = model(*inputs)
    for row in range(0, 600, 61):
        alone = model(*(value[row] if np.ndim(value) else value for value in inputs))
        for name, value in alone.items():
            assert found[name][row] == pytest.approx(float(value), rel=1e-12, nan_ok=True)


@pytest.mark.parametrize("values", [[], [3], [2.0, 1.0, 2.0, np.inf], [[4, 4], [-1, 0]], np.arange(50) % 7 / 3])
def test_distinct_numbers_are_those_that_numpy_finds(values: Any) -> None:
    assert distinct(values).tolist() == np.unique(np.asarray(values)).tolist()
