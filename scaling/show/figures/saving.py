"""Pictures as files: PNG and SVG, each whole or not there."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from scaling.files.write import write_bytes
from scaling.show.figures.look import LIGHT, drawing

if TYPE_CHECKING:
    from matplotlib.figure import Figure

DOTS_PER_INCH = 150
FORMATS: dict[str, dict[str, Any]] = {
    "png": {"metadata": {"Software": None}, "pil_kwargs": {"compress_level": 3}},
    "svg": {"metadata": {"Date": None, "Creator": None}},
}
"""Neither date nor program is written, so that the same study gives the same bytes."""


def save_figure(made: Figure, stem: Path, progress: Callable[[str], None] | None = None) -> list[Path]:
    """Write one figure as PNG and SVG beside each other, ``stem`` without an ending; returns the paths.

    ``progress`` is called with each file's name. A file appears under its name only when it is whole.
    """
    written: list[Path] = []
    for kind in FORMATS:
        path = stem.with_name(f"{stem.name}.{kind}")
        if progress is not None:
            progress(path.name)
        written.append(save_as(made, path))
    return written


def save_as(
    made: Figure, path: Path, dots: int = DOTS_PER_INCH, force: bool = True, key: str | None = None
) -> Path:
    """Write a figure as what the ending of ``path`` says, at so many dots an inch; returns the path.

    The file appears under its name only when it is whole. Raises InputError as ``write_bytes`` does.
    """
    kind = path.suffix[1:].lower()
    drawn = BytesIO()
    with drawing(LIGHT):  # colours are in the figure already; how a file is written hangs on no page
        made.savefig(drawn, format=kind, dpi=dots, **FORMATS[kind])
    write_bytes(path, drawn.getvalue(), force, key)
    return path
