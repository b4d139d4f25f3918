"""Pictures as files: PNG and SVG beside each other, each whole or not there."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from scaling.show.figures.frame import style

if TYPE_CHECKING:
    from matplotlib.figure import Figure

DOTS_PER_INCH = 150
FORMATS: dict[str, dict[str, Any]] = {
    "png": {"dpi": DOTS_PER_INCH, "metadata": {"Software": None}, "pil_kwargs": {"compress_level": 3}},
    "svg": {"metadata": {"Date": None, "Creator": None}},
}
"""Neither date nor program is written, so that the same study gives the same bytes."""


def save_figure(made: Figure, stem: Path, progress: Callable[[str], None] | None = None) -> list[Path]:
    """Write one figure as PNG and SVG beside each other, ``stem`` without an ending; returns the paths.

    ``progress`` is called with each file's name. A file appears under its name only when it is whole.
    """
    written: list[Path] = []
    for kind, options in FORMATS.items():
        path = stem.with_name(f"{stem.name}.{kind}")
        if progress is not None:
            progress(path.name)
        part = path.with_name(f".{path.name}.part")
        try:
            with style():
                made.savefig(part, format=kind, **options)
            part.replace(path)
        finally:
            part.unlink(missing_ok=True)
        written.append(path)
    return written
