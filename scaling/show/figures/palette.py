"""A picture in a palette: at most 256 colours, a byte a dot, a third of the size, and no loss that an eye sees.

A page, its areas and its lines have few colours; the thousands that a picture counts are edges of letters and curves,
where the one passes into the other. Areas keep their very colours, and of the edges those are taken that leave the
farthest one as near as can be.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Numbers = NDArray[np.integer[Any]]

COLOURS = 256
"""That a byte tells apart."""

AREA = 1 / 5000
"""Share of the dots from which a colour is that of an area, and kept as it is; the most of them come first."""

LEVEL = 6
"""How hard the file is packed, 1 to 9: beyond it takes ten times as long for a few per cent."""


def png(dots: ArrayLike, per_inch: int) -> bytes:
    """Return a PNG in a palette from rows of ``dots``, bytes of red, green, blue and an opacity that is full."""
    from PIL import Image

    drawn = np.ascontiguousarray(dots, dtype=np.uint8)
    found, places, lengths = runs(drawn)
    colours = found.view(np.uint8).reshape(-1, 4)[:, :3]
    chosen, nearest = picked(colours, np.bincount(places, weights=lengths))
    tall, wide, _ = drawn.shape
    made = Image.frombytes("P", (wide, tall), np.repeat(nearest[places], lengths).tobytes())
    made.putpalette(chosen.tobytes())
    out = io.BytesIO()
    made.save(out, "png", compress_level=LEVEL, dpi=(per_inch, per_inch))
    return out.getvalue()


def runs(dots: Numbers) -> tuple[Numbers, Numbers, Numbers]:
    """Return each colour once, and for every run of dots of one colour its place among those, and its length."""
    each = dots.view(np.uint32).ravel()
    starts = np.concatenate([[0], np.flatnonzero(each[1:] != each[:-1]) + 1])
    colours, places = np.unique(each[starts], return_inverse=True)
    return colours, places, np.diff(starts, append=len(each))


def picked(colours: Numbers, counts: Numbers) -> tuple[Numbers, Numbers]:
    """Choose a palette, bytes of red, green and blue; returns it, and for each of the ``colours`` its nearest there.

    ``counts`` are each colour's dots: where all are equally far, what stands in more of the picture comes first.
    """
    red, green, blue = colours.T.astype(np.float32)
    weights = np.asarray(counts, dtype=np.float32) ** 0.25
    order = np.argsort(-np.asarray(counts), kind="stable")
    areas = order[: COLOURS // 2][counts[order[: COLOURS // 2]] >= AREA * counts.sum()]
    far = np.full(len(colours), np.inf, dtype=np.float32)
    nearest = np.zeros(len(colours), dtype=np.uint8)
    chosen: list[int] = []
    while len(chosen) < COLOURS and far.any():
        one = areas[len(chosen)] if len(chosen) < len(areas) else int(np.argmax(far * weights))
        away = (red - red[one]) ** 2 + (green - green[one]) ** 2 + (blue - blue[one]) ** 2
        closer = away < far
        far[closer], nearest[closer] = away[closer], len(chosen)
        chosen.append(int(one))
    return colours[chosen], nearest
