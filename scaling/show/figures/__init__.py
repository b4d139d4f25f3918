"""The pictures of a study: a table of kinds, a module each, drawn in one look, written and shown in the reports."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from scaling.show.figures import kinds
from scaling.show.figures.look import LIGHT, Look
from scaling.show.figures.saving import save_figure

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from scaling.study.results import Study


def figures(study: Study, look: Look = LIGHT) -> dict[str, Figure]:
    """Return the drawn figures of a study by name, less those that stand alone.

    One that does not apply, such as a rotor's where there is none, is left out.
    """
    return {kind.name: kind.figure(study, look) for kind in applying(study)}


def absences(study: Study) -> dict[str, str]:
    """Return why each kind that is left out of a study's figures is, a sentence each."""
    reasons = {kind.name: kind.why_absent(study) for kind in _own()}
    return {name: why for name, why in reasons.items() if why is not None}


def _own() -> list[kinds.Kind]:
    return [kind for kind in kinds.KINDS if not kind.alone]


def applying(study: Study) -> list[kinds.Kind]:
    """Return the kinds of a study's figures, less those that stand alone."""
    return [kind for kind in _own() if kind.why_absent(study) is None]


def write_figure(
    study: Study, kind: kinds.Kind, folder: Path, progress: Callable[[str], None] | None = None
) -> list[Path]:
    """Write a figure into ``folder``, which exists, as PNG and SVG; returns the paths.

    ``progress`` is called with each file's name.
    """
    return save_figure(kind.figure(study), folder / kind.name, progress)
