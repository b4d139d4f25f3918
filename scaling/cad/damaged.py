"""What a damaged file leads a library into, as one sentence: one that reads leniently fails late, anywhere."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from pathlib import Path
from traceback import walk_tb
from typing import Concatenate, ParamSpec, TypeVar

from scaling.files.errors import InputError

HERE = __name__.partition(".")[0]
WHY = "it is damaged, or of another kind than its name says"

Given = ParamSpec("Given")
Result = TypeVar("Result")
Work = Callable[Concatenate[Path | str, Given], Result]


def damage_told(library: str, kind: str, hint: str) -> Callable[[Work[Given, Result]], Work[Given, Result]]:
    """Make a function of a file raise InputError where an error arises within the ``library`` that reads the file.

    An error of our own stays what it is.
    """

    def of(work: Work[Given, Result]) -> Work[Given, Result]:
        @wraps(work)
        def told(path: Path | str, /, *given: Given.args, **named: Given.kwargs) -> Result:
            try:
                return work(path, *given, **named)
            except InputError:
                raise
            except Exception as error:
                if not arose_in(library, error):
                    raise
                raise damaged(Path(path), kind, hint) from error

        return told

    return of


def damaged(path: Path, kind: str, hint: str) -> InputError:
    """Return the error for a file that is not what its name says."""
    return InputError(f"cannot be read as {kind}: {WHY}", path, hint=hint)


def arose_in(library: str, error: BaseException) -> bool:
    """Return whether an error arose in what a library did when it was called from here last."""
    called = [str(frame.f_globals.get("__name__", "")).partition(".")[0] for frame, _ in walk_tb(error.__traceback__)]
    ours = max((place for place, name in enumerate(called) if name == HERE), default=-1)
    return library in called[ours + 1 : ours + 2]
