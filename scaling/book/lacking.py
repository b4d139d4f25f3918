"""What a design's quantities are absent for want of: the fewest keys of a file that would bring each.

The book knows what each entry works from and for which designs it is; what a file may say is the caller's to know.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass

from scaling.book.book import Book
from scaling.book.entry import Quantity

Keys = frozenset[str]
"""Keys of a file, and words that keys among them must then have, as 'key=word'."""

Ways = Callable[[str], Keys | None]
"""From an input or a trait that a design lacks to the keys that would bring it, None where none can."""


@dataclass(frozen=True)
class _Way:
    """Keys that would bring an entry, and how many of its inputs and traits the design has by its own words."""

    keys: Keys
    near: int

    @property
    def rank(self) -> tuple[int, int]:
        return sum("=" not in key for key in self.keys), -self.near


def lacking(
    book: Book, traits: frozenset[str], known: Collection[str], own: Collection[str], of_input: Ways, of_trait: Ways
) -> dict[str, Keys]:
    """Return the keys that would bring each quantity that a design of these ``traits`` does not have, where some can.

    ``known`` are its variables, ``own`` the keys that its file states itself. Of several entries of a name the one
    that needs the fewest keys counts, and of equals the one of whose inputs the file states the most.
    """
    counted = book.counted(traits, known)
    own = frozenset(own)
    found: dict[str, _Way] = {}
    for entry in book.entries:
        if entry.name in counted:
            continue
        way = _way(entry, found, {*known, *counted}, traits, own, of_input, of_trait, book)
        if way is not None and (entry.name not in found or way.rank < found[entry.name].rank):
            found[entry.name] = way
    return {name: way.keys for name, way in found.items() if way.keys}


def better_ways(
    book: Book, traits: frozenset[str], known: Collection[str], own: Collection[str], of_input: Ways
) -> dict[str, Keys]:
    """Return, of the quantities that a design has, the fewest keys that would bring an entry that goes before.

    They are keys of numbers: with other words it would be another design.
    """
    counted = book.counted(traits, known)
    missing = lacking(book, traits, known, own, of_input, _no_way)
    reached = {name: _Way(keys, 0) for name, keys in missing.items()}
    found: dict[str, _Way] = {}
    for entry in book.entries:
        if counted.get(entry.name) is entry:
            reached[entry.name] = _Way(frozenset(), 0)
        if entry.name not in counted or entry.name in reached:
            continue
        way = _way(entry, reached, {*known, *counted}, traits, frozenset(own), of_input, _no_way, book)
        if way is not None and way.keys and (entry.name not in found or way.rank < found[entry.name].rank):
            found[entry.name] = way
    return {name: way.keys for name, way in found.items()}


def _no_way(_name: str) -> None:
    return None


def _way(
    entry: Quantity, found: dict[str, _Way], had: Collection[str], traits: frozenset[str], own: frozenset[str],
    of_input: Ways, of_trait: Ways, book: Book,
) -> _Way | None:
    """The keys that would bring an entry; None where one of its inputs or traits cannot be had."""
    keys: set[str] = set()
    near = 0
    for name in entry.inputs:
        if name in had:
            near += name in own
            continue
        way = found.get(name)
        more = (way.keys if way is not None else None) if name in book.quantities else of_input(name)
        if more is None:
            return None
        keys |= more
    for trait in entry.when:
        if trait in traits:
            near += trait.partition("=")[0] in own
            continue
        more = of_trait(trait)
        if more is None:
            return None
        keys |= more
    words = [key for key in keys if "=" in key]
    if len({word.partition("=")[0] for word in words}) < len(words):
        return None
    return _Way(frozenset(keys), near)
