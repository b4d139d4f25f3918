"""The pictures of a report, each with its words, by the section in which they stand."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path

from scaling.show.figures import kinds
from scaling.study.results import Study

OTHER = "pictures"
"""The section of pictures that belong to none of the others."""


@dataclass(frozen=True)
class Picture:
    """A picture's heading, what it shows in words, and its file."""

    title: str
    alt: str
    path: Path


def placed(study: Study, paths: Mapping[str, Path], sections: Collection[str]) -> dict[str, tuple[Picture, ...]]:
    """Return the pictures that there are, ``paths`` by name, by section; none is left out for want of its section."""
    found: dict[str, list[Picture]] = {}
    for kind in kinds.KINDS:
        if kind.name in paths:
            section = kind.section if kind.section in sections else OTHER
            found.setdefault(section, []).append(Picture(kind.title, kind.words(study), paths[kind.name]))
    return {section: tuple(pictures) for section, pictures in found.items()}
