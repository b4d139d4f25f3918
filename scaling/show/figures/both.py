"""A picture as lines and as dots from one drawing: what is placed for the SVG is drawn in dots as well, only larger.

To find the place of every word, number and mark costs most of a picture. Both files take it from the SVG's drawing,
so that nothing stands in the one otherwise than in the other.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.backend_bases import GraphicsContextBase
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.backends.backend_svg import RendererSVG
from matplotlib.transforms import Affine2D, TransformedBbox, TransformedPath

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from scaling.book.entry import Array

POINTS = 72
"""Of an SVG, an inch."""


def both(made: Figure, per_inch: int, metadata: dict[str, None]) -> tuple[bytes, Array]:
    """Return a figure as SVG, and as rows of dots of four bytes each, so many an inch.

    Raises NotImplementedError for one that holds an image, which has its own size in dots.
    """
    wide, tall = made.get_size_inches()
    out, before = io.StringIO(), made.dpi
    dots = _Dots(wide * per_inch, tall * per_inch, per_inch)
    both: Any = _Both(dots, per_inch / POINTS, wide * POINTS, tall * POINTS, out, image_dpi=before, metadata=metadata)
    made.set_dpi(POINTS)
    try:
        made.draw(both)
    finally:
        made.set_dpi(before)
    both.finalize()
    return out.getvalue().encode("utf-8"), np.asarray(dots.buffer_rgba())


_Lines: Any = RendererSVG
_Dots: Any = RendererAgg


class _Both(_Lines):  # type: ignore[misc]
    """Draws an SVG, and each of its strokes and words ``larger`` in ``dots``."""

    def __init__(self, dots: Any, larger: float, *given: Any, **named: Any) -> None:
        self._dots, self._larger = dots, larger
        self._scale = np.diag([larger, larger, 1.0])
        self._within = False
        super().__init__(*given, **named)

    def draw_path(self, gc: Any, path: Any, transform: Any, rgbFace: Any = None) -> None:  # noqa: N803 - the library's
        super().draw_path(gc, path, transform, rgbFace)
        if not self._within:
            self._dots.draw_path(self._grown(gc), path, self._placed(transform), rgbFace)

    def draw_markers(self, gc: Any, mark: Any, shape: Any, path: Any, trans: Any, *face: Any, **named: Any) -> None:
        with self._alone():
            super().draw_markers(gc, mark, shape, path, trans, *face, **named)
        self._dots.draw_markers(self._grown(gc), mark, self._placed(shape), path, self._placed(trans), *face, **named)

    def draw_path_collection(
        self, gc: Any, master: Any, paths: Any, each: Any, offsets: Any, trans: Any, *rest: Any, **named: Any
    ) -> None:
        with self._alone():
            super().draw_path_collection(gc, master, paths, each, offsets, trans, *rest, **named)
        if not self._within:
            grown, placed = self._grown(gc), (self._placed(master), self._placed(trans))
            self._dots.draw_path_collection(grown, placed[0], paths, each, offsets, placed[1], *rest, **named)

    def draw_quad_mesh(
        self, gc: Any, master: Any, wide: int, tall: int, corners: Any, offsets: Any, trans: Any, *rest: Any
    ) -> None:
        with self._alone():
            super().draw_quad_mesh(gc, master, wide, tall, corners, offsets, trans, *rest)
        grown, placed = self._grown(gc), (self._placed(master), self._placed(trans))
        self._dots.draw_quad_mesh(grown, placed[0], wide, tall, corners, offsets, placed[1], *rest)

    def draw_text(self, gc: Any, x: float, y: float, *words: Any, **named: Any) -> None:
        super().draw_text(gc, x, y, *words, **named)
        self._dots.draw_text(self._grown(gc), x * self._larger, y * self._larger, *words, **named)

    def draw_image(self, *_: Any, **__: Any) -> None:
        raise NotImplementedError("an image has its own size in dots")

    draw_gouraud_triangles = draw_image

    @contextmanager
    def _alone(self) -> Iterator[None]:
        """Within, strokes that make up another one are drawn in the SVG only."""
        before, self._within = self._within, True
        try:
            yield
        finally:
            self._within = before

    def _placed(self, transform: Any) -> Any:
        return Affine2D(self._scale @ transform.get_matrix())

    def _grown(self, gc: Any) -> Any:
        """What a stroke looks like, its clip as large as the dots' sheet; widths and dashes are in points in both."""
        found: Any = GraphicsContextBase()
        found.copy_properties(gc)
        scale = Affine2D(self._scale)
        if (box := gc.get_clip_rectangle()) is not None:
            found.set_clip_rectangle(TransformedBbox(box, scale))
        path, trans = gc.get_clip_path()
        if path is not None:
            found.set_clip_path(TransformedPath(path, trans + scale))
        return found
