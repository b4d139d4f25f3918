"""The one error that bad input raises, kept as facts and rendered as one sentence, and several of them together."""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING, ParamSpec, TypeVar

from scaling.files.sentence import sentence

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

Given = ParamSpec("Given")
Result = TypeVar("Result")

MOST_SAID = 20
"""Mistakes of one file that are said at once; of more only the number."""

MOST_KEPT = 100
"""Mistakes of one file at which reading it ends: nobody wants more, and each costs a search for what was meant."""


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
        """Render the facts as one sentence of LONGEST characters at most."""
        return sentence(self.file, self.key, self.problem, self.given, self.allowed, self.hint)

    def lines(self) -> list[str]:
        """Return what is wrong, a sentence a line."""
        return [str(self)]


@dataclass
class InputErrors(InputError):  # noqa: N818 - several errors
    """Several mistakes of one file, in the order in which they were met."""

    errors: tuple[InputError, ...] = ()

    def __str__(self) -> str:
        """Render every mistake, a sentence a line."""
        return "\n".join(self.lines())

    def lines(self) -> list[str]:
        """Return a sentence for each mistake, at most MOST_SAID of them and how many more there are."""
        said = [str(error) for error in self.errors[:MOST_SAID]]
        more = len(self.errors) - len(said)
        least = "at least " if len(self.errors) >= MOST_KEPT else ""
        return [*said, f"and {least}{more} more mistake{'s' if more > 1 else ''}."] if more else said


class UnreadError(LookupError):
    """A value was asked for that a file states and that could not be read; what is wrong with it is said already."""


class Mistakes:
    """What is wrong with a ``file`` so far: values, rows and rules are each taken under ``kept``, whatever the others.

    What only fails because of an earlier mistake is not said: it ends where it asks for what that mistake left out.
    """

    def __init__(self, file: Path | None = None) -> None:
        self.file = file
        self.found: list[InputError] = []

    def __bool__(self) -> bool:
        return bool(self.found)

    def add(self, error: InputError) -> None:
        """Keep a mistake, or each of several; one that knows no file is of this one, and the same twice is one.

        Raises InputErrors where there are then as many as are kept, as every reader around does in turn.
        """
        for each in error.errors if isinstance(error, InputErrors) else (error,):
            each.file = each.file or self.file
            if each not in self.found:
                self.found.append(each)
        if len(self.found) >= MOST_KEPT:
            self.settle()

    @contextmanager
    def kept(self) -> Iterator[None]:
        """Keep the InputError that the block raises, and go on.

        Where there are mistakes already, a value that is not there ends the block in silence: one of them left it out.
        """
        try:
            yield
        except InputError as error:
            self.add(error)
        except LookupError:
            if not self.found:
                raise

    def attempt(self, work: Callable[Given, Result], *given: Given.args, **named: Given.kwargs) -> Result | None:
        """Return what ``work`` returns, None where it ends as a block under ``kept`` may."""
        with self.kept():
            return work(*given, **named)
        return None

    def settle(self) -> None:
        """Raise what was kept: a single mistake as it is, several together; nothing where there are none."""
        if len(self.found) == 1:
            raise self.found[0]
        if self.found:
            raise InputErrors("several mistakes", self.found[0].file, errors=tuple(self.found))


class UnknownNameError(InputError, KeyError):
    """Raised for a name or letter that is not there; a KeyError, as of any mapping, that says what is near.

    >>> import scaling as sc
    >>> try:
    ...     sc.Design.load("design.toml")["rotor.mas"]
    ... except KeyError as error:
    ...     print(error)
    design.toml: rotor.mas: the design has no such number; did you mean "rotor.mass"?
    """


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return a 'did you mean' hint for ``word``, or None when nothing is near."""
    found = nearest_of(word, known)
    return None if found is None else f'did you mean "{found}"?'


def nearest_of(word: str, known: Iterable[str]) -> str | None:
    """Return the one of ``known`` that is nearest to ``word``, or None when nothing is near."""
    found = get_close_matches(word, list(known), n=1, cutoff=0.6)
    return found[0] if found else None
