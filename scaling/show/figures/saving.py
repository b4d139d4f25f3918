"""Pictures as files: PNG and SVG."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from scaling.files.write import write_bytes
from scaling.show.figures.look import LIGHT, drawing

if TYPE_CHECKING:
    from matplotlib.figure import Figure

DOTS_PER_INCH = 150
FORMATS = ("png", "svg")
NAMELESS: dict[str, Any] = {"metadata": {"Date": None, "Creator": None}}
"""Neither date nor program is written, so that the same study gives the same bytes."""


def save_figure(made: Figure, stem: Path, progress: Callable[[str], None] | None = None) -> list[Path]:
    """Write one figure as PNG and SVG beside each other, ``stem`` without an ending; returns the paths.

    ``progress`` is called with each file's name. The folder is one that appears only when it is whole.
    """
    paths = [stem.with_name(f"{stem.name}.{kind}") for kind in FORMATS]
    for path, content in zip(paths, _in_both(made), strict=True):
        if progress is not None:
            progress(path.name)
        path.write_bytes(content)
    return paths


def save_as(made: Figure, path: Path, dots: int = DOTS_PER_INCH, force: bool = True, key: str | None = None) -> Path:
    """Write a figure as what the ending of ``path`` says, at so many dots an inch; returns the path.

    The file appears under its name only when it is whole. Raises InputError as ``write_bytes`` does.
    """
    write_bytes(path, svg(made) if path.suffix.lower() == ".svg" else in_dots(made, dots), force, key)
    return path


def _in_both(made: Figure) -> tuple[bytes, bytes]:
    """Return a figure as PNG and as SVG, from one drawing where it holds no image."""
    from scaling.show.figures.both import both
    from scaling.show.figures.palette import png

    try:
        with drawing(LIGHT):
            lines, dots = both(made, DOTS_PER_INCH, NAMELESS["metadata"])
    except NotImplementedError:
        return in_dots(made), svg(made)
    return png(dots, DOTS_PER_INCH), lines


def svg(made: Figure) -> bytes:
    """Return a figure as SVG."""
    out = io.BytesIO()
    with drawing(LIGHT):  # colours are in the figure already; how it is written hangs on no page
        made.savefig(out, format="svg", **NAMELESS)
    return out.getvalue()


def in_dots(made: Figure, dots: int = DOTS_PER_INCH) -> bytes:
    """Return a figure as PNG, at so many dots an inch."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    from scaling.show.figures.palette import png

    own, before = made.canvas, made.dpi
    made.set_dpi(dots)
    canvas: Any = FigureCanvasAgg(made)
    try:
        with drawing(LIGHT):
            canvas.draw()
    finally:
        made.set_dpi(before)
        made.set_canvas(own)
    return png(canvas.buffer_rgba(), dots)
