"""Where the shop's numbers come from: a bibliography, and citations of it by key, place and status.

The bibliography is ``data/sources.toml``. A citation is a text, 'KEY PLACE; STATUS; WHAT', as materials and the head
lines of shelf files hold it. A builder's own files say in free words where a number comes from; that is a citation of
no work, with a status of its own.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from scaling.book.sources import STATED, STATUSES, Source, Use
from scaling.files.errors import InputError, nearest
from scaling.files.sentence import listed
from scaling.files.text import read_text
from scaling.shop import shelf_file

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

FILE = Path(__file__).parent / "data" / "sources.toml"

FORM = "KEY PLACE; STATUS; WHAT, the place and what it gives may be left out"

_CITATION = re.compile(r"(?P<key>[a-z0-9.-]+)(?: (?P<place>[^;]+))?; (?P<status>[a-z]+)(?:; (?P<what>.+))?")
_HEAD_LINE = re.compile(r"#\s*source:\s*(?P<text>.*\S)", re.IGNORECASE)


@dataclass(frozen=True)
class Citation:
    """Where a number was found: key of the work, place in it, a status, and what stands there.

    ``key`` is empty for what a builder states; the builder's words are the ``place`` then.
    """

    key: str
    place: str
    status: str
    what: str = ""


@cache
def bibliography() -> Mapping[str, Source]:
    """Return the works that the shop's numbers cite, by key."""
    with FILE.open("rb") as stream:
        return {key: Source(key=key, **entry) for key, entry in tomllib.load(stream).items()}


def stated(words: str) -> Citation:
    """Return a builder's own words on where a number comes from; what would steer a terminal becomes a space."""
    return Citation("", "".join(letter if letter.isprintable() else " " for letter in words), STATED)


def citation(text: str, file: Path | str | None = None, key: str | None = None) -> Citation:
    """Return the citation that ``text`` is; ``file`` and ``key`` say where it was written.

    Raises InputError for a text of another form, a work that the bibliography has not, or no such status.

    >>> citation("iso4762; secondary; head")
    Citation(key='iso4762', place='', status='secondary', what='head')
    """
    found = _CITATION.fullmatch(text)
    if found is None:
        raise InputError("not a citation", file, key, text, FORM, "a text without a list is taken as it is")
    for part, allowed in (("key", bibliography()), ("status", STATUSES)):
        if found[part] not in allowed:
            raise InputError(f"unknown {part} of a source", file, key, found[part], listed(allowed),
                             nearest(found[part], allowed))
    return Citation(found["key"], found["place"] or "", found["status"], found["what"] or "")


def uses(found: Iterable[tuple[Citation, str]]) -> tuple[Use, ...]:
    """Return the works of these citations, the first met first; each comes with what was found there.

    A work appears once for each status that its citations have.
    """
    works: dict[tuple[str, str, str], tuple[list[str], list[str]]] = {}
    for cited, quantity in found:
        text = bibliography()[cited.key].text if cited.key else cited.place
        places, quantities = works.setdefault((cited.key, text, cited.status), ([], []))
        places += [cited.place] if cited.key and cited.place else []
        quantities.append(quantity)
    return tuple(
        Use(*work, tuple(dict.fromkeys(places)), tuple(dict.fromkeys(quantities)))
        for work, (places, quantities) in works.items()
    )


def of_shelves(shelves: Iterable[str], own: Mapping[str, Path] | None = None) -> tuple[Use, ...]:
    """Return the works that the rows of ``shelves`` rest on, each with the names of those shelves.

    A shelf is named as its file is, without the ending; ``own`` are a builder's files by shelf, whose rows are added
    to ours or, where the file says so, stand in their place. Raises InputError for a file that cannot be read.
    """
    found: list[tuple[Citation, str]] = []
    for shelf in shelves:
        file = (own or {}).get(shelf)
        lines = [] if file is None else read_text(file, shelf_file.LARGEST_FILE, "a CSV file").split("\n")
        if not (lines and shelf_file.says_replace(lines[0])):
            ours = shelf_file.FOLDER / f"{shelf}.csv"
            texts = _head_lines(shelf_file.text_of(ours).split("\n"))
            found += [(citation(text, ours), shelf) for text in texts]
        if file is not None:
            found += [(stated(text), shelf) for text in _head_lines(lines) or [file.name]]
    return uses(found)


def _head_lines(lines: Iterable[str]) -> list[str]:
    """Return what the '# source:' lines say."""
    return [found["text"] for line in lines if (found := _HEAD_LINE.fullmatch(line.strip(shelf_file.PADDING)))]
