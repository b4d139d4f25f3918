"""One drawing for both files: the lines are the library's own SVG to the byte, the dots what it draws by itself.

Both are held to the drawing library drawing the same figure alone, once for each file.
"""

from __future__ import annotations

import io
from collections.abc import Iterator

import matplotlib
import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Circle

from scaling.show.figures.both import both
from scaling.show.figures.kinds import KINDS, kind_named
from scaling.show.figures.look import LIGHT, drawing
from scaling.show.figures.saving import NAMELESS, save_figure, svg

FINE = tuple(map(int, matplotlib.__version__.split(".")[:2])) >= (3, 11)
"""Whether the library puts letters at any part of a dot; an earlier one puts each word on whole dots."""

FAR, MEAN = (5e-4, 0.2) if FINE else (0.012, 2.0)
"""Share of the dots that may be off by what an eye sees, and by how much of 255 all are on the mean."""

DRAWN = tuple(kind.name for kind in KINDS if not kind.alone)


def dots_alone(made: Figure, per_inch: int) -> np.ndarray:
    made.set_dpi(per_inch)
    canvas = FigureCanvasAgg(made)
    with drawing(LIGHT):
        canvas.draw()
    return np.asarray(canvas.buffer_rgba())


def softened(dots: np.ndarray) -> np.ndarray:
    """Means over three by three dots, by which a letter that lies half a dot farther on is much the same."""
    dots = dots.astype(float)
    rows = sum(dots[place : len(dots) - 2 + place] for place in range(3))
    return sum(rows[:, place : rows.shape[1] - 2 + place] for place in range(3)) / 9


@pytest.mark.parametrize("name", DRAWN)
def test_every_picture_is_the_same_as_drawn_alone(main_demo, name: str) -> None:
    made = kind_named(name).figure(main_demo.study)
    alone = svg(made)
    with drawing(LIGHT):
        lines, dots = both(made, 100, NAMELESS["metadata"])
    assert lines == alone
    expected = dots_alone(made, 100)
    assert dots.shape == expected.shape
    assert (dots[..., 3] == 255).all()
    off = np.abs(softened(dots) - softened(expected)).max(axis=-1)
    assert np.mean(off > 48) < FAR, "letters and marks may lie half a dot elsewhere, nothing else"
    assert off.mean() < MEAN


def strokes(panel: Axes) -> Iterator[None]:
    """One after the other, every kind of stroke that the library hands on by itself."""
    yield panel.plot([0, 1, 2], [0, 2, 1], "s--", clip_on=True)
    yield panel.scatter([0.2, 1.1, 1.7], [1, 0.5, 1.5], s=[40, 90, 160], c=["r", "g", "b"])
    yield panel.pcolormesh([0, 1, 2], [0, 1, 2], [[1, 2], [3, 4]], edgecolors="w")
    yield panel.fill_between([0, 2], [0, 1], [2, 1.5], hatch="//")
    yield panel.add_patch(Circle((1, 1), 0.7, clip_path=Circle((1.3, 1), 0.6, transform=panel.transData)))
    yield panel.text(1, 1, "Half\na word", rotation=30, ha="center", bbox={"facecolor": "y", "pad": 3})
    yield panel.vlines([0.5, 1.5], 0, 2, linestyles=":")


@pytest.mark.parametrize("which", range(7))
def test_every_kind_of_stroke_lies_where_it_lies_alone(which: int) -> None:
    with drawing(LIGHT):
        made = Figure(figsize=(3, 2))
        panel = made.add_axes((0.2, 0.2, 0.7, 0.7), xlim=(0, 2), ylim=(0, 2))
        for place, _ in enumerate(strokes(panel)):
            if place == which:
                break
        alone = svg(made)
        lines, dots = both(made, 200, NAMELESS["metadata"])
    assert lines == alone
    off = np.abs(softened(dots) - softened(dots_alone(made, 200))).max(axis=-1)
    assert np.mean(off > 48) < FAR
    assert off.mean() < MEAN


def test_a_figure_keeps_its_resolution_and_one_with_an_image_is_drawn_twice(tmp_path) -> None:
    made = Figure(figsize=(2, 2), dpi=77)
    made.add_axes((0, 0, 1, 1)).imshow(np.arange(16).reshape(4, 4))
    with pytest.raises(NotImplementedError), drawing(LIGHT):
        both(made, 100, NAMELESS["metadata"])
    assert made.dpi == 77
    dotted, lined = save_figure(made, tmp_path / "image")
    assert b"<image" in lined.read_bytes()
    assert dotted.read_bytes()[:4] == b"\x89PNG"
    assert made.dpi == 77
    out = io.BytesIO()
    made.savefig(out, format="png")  # and may still be saved as its owner likes
    assert out.getvalue()[:4] == b"\x89PNG"
