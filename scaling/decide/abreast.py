"""Searches that ask for trials, run abreast: what all of them wait for is tried at once.

A search is a generator: it yields the list of what it wants tried, is sent the list of what came of that, and returns
what it found.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Sequence
from typing import TypeVar

Ask = TypeVar("Ask")
Answer = TypeVar("Answer")
Found = TypeVar("Found")


def abreast(
    searches: Sequence[Generator[list[Ask], list[Answer], Found]],
) -> Generator[list[Ask], list[Answer], list[Found]]:
    """Return the search that runs all of the ``searches`` abreast and returns what each found."""
    found: dict[int, Found] = {}
    waiting: dict[int, list[Ask]] = {}

    def goes_on(place: int, answers: list[Answer] | None) -> None:
        try:
            waiting[place] = next(searches[place]) if answers is None else searches[place].send(answers)
        except StopIteration as ended:
            found[place] = ended.value

    for place in range(len(searches)):
        goes_on(place, None)
    while waiting:
        asked, waiting = waiting, {}
        answers = iter((yield [each for asks in asked.values() for each in asks]))
        for place, asks in asked.items():
            goes_on(place, [next(answers) for _ in asks])
    return [found[place] for place in range(len(searches))]


def searched(
    search: Generator[list[Ask], list[Answer], Found], tried: Callable[[list[Ask]], list[Answer]]
) -> Found:
    """Run a search to its end: ``tried`` gives what comes of what it asks for.

    >>> def halved(number):
    ...     while number > 1:
    ...         (number,) = yield [number]
    ...     return number
    >>> searched(abreast([halved(8), halved(6)]), lambda asked: print(asked) or [each / 2 for each in asked])
    [8, 6]
    [4.0, 3.0]
    [2.0, 1.5]
    [1.0, 0.75]
    """
    try:
        asked = next(search)
        while True:
            asked = search.send(tried(asked))
    except StopIteration as ended:
        found: Found = ended.value
        return found
