"""What follows from a study, worked out once and kept as long as the study lives, whoever asks for it."""

from __future__ import annotations

import weakref
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

Given = ParamSpec("Given")
Found = TypeVar("Found")


def kept(work: Callable[Given, Found]) -> Callable[Given, Found]:
    """Let a function of things that never change, such as a study and a port, work once for each of them.

    They are told apart by which they are, not by what they hold, which would cost more than many an answer. What is
    found is everybody's, so that nobody may write into it, and must not hold what was given: both would live for ever.

    >>> class Thing: ...
    >>> @kept
    ... def worked_out(thing):
    ...     print("at work")
    ...     return 2.0
    >>> thing = Thing()
    >>> worked_out(thing) + worked_out(thing)
    at work
    4.0
    """
    found: dict[tuple[int, ...], Found] = {}

    @wraps(work)
    def once(*given: Given.args, **named: Given.kwargs) -> Found:
        assert not named  # noqa: S101 - what is given by a name would not be told apart
        key = tuple(map(id, given))
        if key not in found:
            found[key] = work(*given, **named)
            for each in given:
                weakref.finalize(each, found.pop, key, None).atexit = False
        return found[key]

    return once
