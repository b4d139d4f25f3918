"""What a module of this folder hands on of its picture."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

    from scaling.study.results import Study


@dataclass(frozen=True)
class Figure:
    """One picture of a study: what it is called, what it shows in words, and what draws it.

    ``name`` is the name of its files. ``alt`` says what is to be seen for who cannot see it: text in which {name} is
    the design's name, or a function of the study. ``draw`` returns None where there is nothing to show. ``section`` is
    the part of the reports in which it stands, by its id; one that they do not have puts it under 'Further pictures'.
    ``order`` is its place among all.
    """

    name: str
    title: str
    alt: str | Callable[[Study], str]
    draw: Callable[[Study], Drawing | None]
    section: str = "pictures"
    order: int = 100

    def words(self, study: Study) -> str:
        """Return the alternative text for a study; raises ValueError for a figure that has none."""
        words = self.alt(study) if callable(self.alt) else self.alt.format(name=study.design.name)
        if not words.strip():
            raise ValueError(f"the figure {self.name} does not say in words what it shows")
        return words
