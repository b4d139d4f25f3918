"""The one error that bad input raises, kept as facts and rendered as one sentence."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable


@dataclass
class InputError(ValueError):
    """Something in a file or on the command line that the builder can mend.

    The fields are the facts; ``str()`` makes one sentence of them: where (file and dotted key), what
    is wrong, what was given, what is allowed and how to mend it.
    """

    problem: str
    file: Path | str | None = None
    key: str | None = None
    given: object = None
    allowed: str | None = None
    hint: str | None = None

    def __str__(self) -> str:
        """Render the facts as one sentence."""
        place = ": ".join(str(part) for part in (self.file, self.key) if part is not None)
        text = f"{place}: {self.problem}" if place else self.problem
        if self.given is not None:
            text += f", given {shown(self.given)}"
        if self.allowed is not None:
            text += f", allowed: {self.allowed}"
        if self.hint is not None:
            text += f"; {self.hint}"
        text = "".join(mark if mark.isprintable() else " " for mark in text)
        text = " ".join(text.split()).rstrip(".")
        return text if text.endswith("?") else f"{text}."


class UnknownNameError(InputError, KeyError):
    """Raised for a name or letter that is not there; a KeyError, as of any mapping, that says what is near.

    >>> import scaling as sc
    >>> try:
    ...     sc.Design.load("design.toml")["rotor.mas"]
    ... except KeyError as error:
    ...     print(error)
    design.toml: rotor.mas: the design has no such number; did you mean "rotor.mass"?
    """


def shown(value: object, most: int = 60) -> str:
    """Quote ``value`` for a message, cut to ``most`` characters."""
    text = f'"{value}"' if isinstance(value, str) else repr(value)
    return text if len(text) <= most else text[: most - 3] + "..."


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return a 'did you mean' hint for ``word``, or None when nothing is near."""
    found = get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f'did you mean "{found[0]}"?' if found else None
