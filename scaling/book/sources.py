"""Sources as data: what a formula rests on, cited by key and place, and how well the source is known.

An entry cites in one line of text, such as 'roark7 table 11.4 case 1b: a square panel; own-derivation: springs in
series': a key of the bibliography, the place in the work, and after a colon what is taken from there. Four words stand
for no work: ``definition``, ``own-derivation``, ``common-practice`` and ``as NAME``, which is the source of another
quantity. A place may end with how it was seen, where that differs from the work's own status: ', from memory'.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, fields
from functools import cache, lru_cache
from pathlib import Path
from typing import Literal, get_args

from scaling.files.toml import read

Status = Literal["unverified", "secondary", "checked"]
"""How well a citation is known, worst first: from memory; seen as quoted by another; opened and compared."""

STATUSES: dict[str, str] = {
    "unverified": "from memory",
    "secondary": "as quoted elsewhere",
    "checked": "opened and compared",
}
"""How well a citation is known, worst first. 'Opened' is the page itself, in the work or in a copy of it."""

STATED = "stated by the builder"
"""Status of what a builder's own file says of its numbers."""

QUALIFIERS: dict[str, Status] = {
    "from memory": "unverified",
    "as quoted by a secondary page": "secondary",
    "as worked in a published companion": "secondary",
    "as seen on a copied page": "checked",
}
"""How a place was seen, in the words that end it."""

NO_WORK = {
    "definition": "definition",
    "own-derivation": "own derivation",
    "common-practice": "common practice, no source",
    "as": "as",
}
"""Keys that stand for no work of the bibliography, as people read them."""

CITATION = re.compile(r"(?P<key>[a-z][a-z0-9-]*)(?: (?P<place>(?:(?!: ).)+?))?(?:: (?P<says>.+))?")


@dataclass(frozen=True)
class Source:
    """One work of the bibliography; what is not known of it is empty. ``number`` is a report's, or the publisher."""

    key: str
    title: str
    status: Status
    author: str = ""
    edition: str = ""
    year: str = ""
    number: str = ""
    note: str = ""

    @property
    def text(self) -> str:
        """The work as people read it: author, title, number, edition, year."""
        return ", ".join(part for part in (self.author, self.title, self.number, self.edition, self.year) if part)


@dataclass(frozen=True)
class Citation:
    """One work at one place, and what is taken from there; ``place`` is a quantity's name where the key is 'as'."""

    key: str
    place: str = ""
    says: str = ""

    @property
    def seen(self) -> Status | None:
        """How this place was seen, where it says so."""
        return next((status for words, status in QUALIFIERS.items() if self.place.endswith(words)), None)


@dataclass(frozen=True)
class Use:
    """A work as far as it is known in one way, with what rests on it so and the places in it.

    ``status`` is a Status, or STATED for a builder's own words, which are the ``text`` then and have no ``key``.
    """

    key: str
    text: str
    status: str
    places: tuple[str, ...]
    quantities: tuple[str, ...]


@lru_cache(maxsize=4096)
def citations(text: str) -> tuple[Citation, ...]:
    """Return the citations of an entry's ``source``; raises ValueError for text that is none.

    >>> citations("roark7 table 11.4 case 1b: a square panel; own-derivation")
    (Citation(key='roark7', place='table 11.4 case 1b', says='a square panel'), Citation(key='own-derivation', \
place='', says=''))
    """
    found: list[Citation] = []
    for part in text.split("; "):
        match = CITATION.fullmatch(part)
        if match is None:
            raise ValueError(f"not a citation: {part!r} in {text!r}")
        found.append(Citation(match["key"], match["place"] or "", match["says"] or ""))
    return tuple(found)


@cache
def bibliography() -> dict[str, Source]:
    """Return the works that the book cites, by key."""
    known = {field.name for field in fields(Source)} - {"key"}
    found: dict[str, Source] = {}
    for key, row in read(Path(__file__).with_name("sources.toml")).items():
        if not set(row) <= known or row["status"] not in get_args(Status):
            raise ValueError(f"sources.toml: {key} holds {row}")
        found[key] = Source(key, **row)
    return found


def worst_first(uses: Iterable[Use]) -> list[Use]:
    """Return ``uses`` with the least known first; those that most rests on first among equals."""
    order = [*get_args(Status), STATED]
    return sorted(uses, key=lambda use: (order.index(use.status), -len(use.quantities), use.text))
