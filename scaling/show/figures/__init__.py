"""The pictures of a study, a module each: one that hands on a ``FIGURE`` is drawn, written and shown in the reports."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules
from typing import TYPE_CHECKING

from scaling.show.figures.frame import style
from scaling.show.figures.record import Figure
from scaling.show.figures.saving import save_figure

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

    from scaling.study.results import Study


def records() -> tuple[Figure, ...]:
    """Return the record of every picture that a module of this folder hands on, in order."""
    modules = [import_module(f"{__name__}.{module.name}") for module in iter_modules(__path__)]
    found = [module.FIGURE for module in modules if hasattr(module, "FIGURE")]
    return tuple(sorted(found, key=lambda figure: (figure.order, figure.name)))


def figures(study: Study, only: str | None = None) -> dict[str, Drawing]:
    """Return the drawn figures by name, or ``only`` the one of a name.

    One that would be empty, since no port has a factor, is left out.
    """
    with style():
        made = {figure.name: figure.draw(study) for figure in records() if only in (None, figure.name)}
    return {name: found for name, found in made.items() if found is not None}


def write_figures(study: Study, folder: Path, progress: Callable[[str], None] | None = None) -> list[Path]:
    """Write every figure into ``folder``, which exists, as PNG and SVG; returns the paths.

    ``progress`` is called with each file's name.
    """
    written: list[Path] = []
    for name, made in figures(study).items():
        written += save_figure(made, folder / name, progress)
    return written
