"""What ``explain`` says of a quantity is what was computed, of whichever of several entries counts."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.port.explain import Explanation, explain

PLAIN = {**vars(math), "min": min, "max": max, "abs": abs}
"""What Python's own words in a formula mean."""


def worked_out(found: Explanation) -> float:
    """The formula as it is printed, with the numbers that are printed beside it."""
    text = found.formula.removeprefix(f"{found.name} = ")
    names = {row.name: f"x{place}" for place, row in enumerate(found.inputs)}
    for name in sorted(names, key=len, reverse=True):
        text = re.sub(rf"(?<![\w.]){re.escape(name)}(?![\w.])", names[name], text)
    values = {names[row.name]: row.value for row in found.inputs}
    return float(eval(text, {"__builtins__": {}}, {**PLAIN, **values}))  # noqa: S307 - the book's own formula


def test_what_is_explained_is_what_was_computed(demo: Any) -> None:
    had = {**demo.design.variables, **demo.study.reference}
    assert len(demo.study.reference) > 100
    for name, value in demo.study.reference.items():
        found = explain(name, demo.design)
        assert found.name == name
        assert found.value == value
        assert {row.name: row.value for row in found.inputs} == {row.name: had[row.name] for row in found.inputs}, name
        if not found.formula.startswith("numeric model"):
            assert worked_out(found) == pytest.approx(value, rel=1e-9, abs=1e-12), name


def test_an_entry_that_lacks_an_input_is_not_the_one_explained(demos: tuple[Any, ...]) -> None:
    """Where the first entry by kind of robot is not the one that counts, the two differ; each demo has some."""
    for demo in demos:
        first = {
            entry.name: entry for entry in reversed(book.entries) if demo.design.traits.issuperset(entry.when)
        }
        others = [
            name for name in demo.study.reference
            if first[name].inputs != tuple(row.name for row in explain(name, demo.design).inputs)
        ]
        assert others


def test_a_label_will_do(main_demo: Any, command: Callable[..., Any], main_folder: Path) -> None:
    for name in ("gyro_margin", "rotor_energy", "throw_height"):
        label = book.quantities[name].label
        assert str(explain(label.upper(), main_demo.design)) == str(explain(name, main_demo.design))
        shown = command("explain", label, main_folder / "design.toml")
        assert (shown.status, label in shown.out) == (0, True)


def test_what_is_not_there_is_said(
    pusher_demo: Any, command: Callable[..., Any], refused: Callable[..., str], main_folder: Path
) -> None:
    refused(command("explain", "gyro margn"), "gyro margin", "did you mean")
    with pytest.raises(InputError, match=r"another kind of robot: rotor\.axis=across"):
        explain("gyro_margin", pusher_demo.design)
    text = refused(command("explain", "throw_height", pusher_demo.folder / "design.toml"))
    assert pusher_demo.design.name in text


def test_every_quantity_is_explained_without_a_design() -> None:
    for name in book.quantities:
        found = explain(name)
        assert found.value is None
        assert found.source
        assert name in str(found)
