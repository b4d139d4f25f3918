"""Every dot of the reference lies on the curves at factor 1, or its figure says what else the curves change."""

from __future__ import annotations

import math

import numpy as np
import pytest

from conftest import Demo
from scaling.show.figures import figures
from scaling.study.beside import reference_values
from scaling.study.curve import class_along


def gids(figure) -> dict[str, tuple[np.ndarray, np.ndarray]]:
    return {
        child.get_gid(): (np.asarray(child.get_xdata(), float), np.asarray(child.get_ydata(), float))
        for panel in figure.axes
        for child in panel.lines
        if child.get_gid()
    }


def test_dots_lie_on_the_curves_or_the_figure_says_what_else_changes(demo: Demo) -> None:
    figure, dots = figures(demo.study)["factor_curves"], 0
    drawn = gids(figure)
    note = " ".join(text.get_text().replace("\n", " ") for text in figure.texts)
    told = note.partition("Curves that miss the ring change more than the size: ")[2]
    for gid, (at, value) in drawn.items():
        if not gid.endswith("-reference"):
            continue
        dots += 1
        assert at == [1.0]
        name = gid.removesuffix("-reference")
        for letter, port in zip(demo.study.letters, demo.study.ports, strict=True):
            if f"{name}-{letter}-curve" not in drawn:
                continue
            factors, values = drawn[f"{name}-{letter}-curve"]
            assert 1.0 in factors, "so that the curve goes through its own point there"
            if values[list(factors).index(1.0)] != pytest.approx(value[0], rel=2.1e-3):
                clause = next(part for part in told.split(";") if letter in part.split())
                assert port.curve is not None and port.curve.also
                assert all(word in clause for word in port.curve.also)
    assert dots >= 9


def test_a_port_that_changes_its_size_alone_passes_through_the_reference(main_demo: Demo) -> None:
    """Every quantity, the hits taken among them: at the reference's size the class's opponent is the reference's."""
    port = main_demo.study.ports[0]
    assert port.curve is not None and port.curve.also == ()
    own = reference_values(main_demo.design)
    assert {"taken_hit_energy", "wall_collapse_margin", "throw_height"} <= set(own)
    for name, value in own.items():
        if name in port.curve.values and not math.isnan(port.curve.at_one(name)):
            assert port.curve.at_one(name) == pytest.approx(value, rel=1e-9), name


def test_the_class_grows_from_the_reference_s_to_the_port_s() -> None:
    """A power of the factor: at the geometric mean of both sizes it is the geometric mean of both limits."""
    found = class_along(0.454, 1.36, 1.44, np.array([1.0, 1.2, 1.44]))
    assert found == pytest.approx([0.454, math.sqrt(0.454 * 1.36), 1.36])
    for factor in (1.0, 0.9, 1.0001):  # no power of the size makes a class of these
        assert class_along(0.454, 1.36, factor, np.array([0.9, 1.0, factor])) == pytest.approx([1.36] * 3)
