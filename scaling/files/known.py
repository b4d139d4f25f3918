"""Values by key, of which some could not be read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, TypeVar

from scaling.files.errors import UnreadError

Value = TypeVar("Value")


class Known(dict[str, Value]):
    """Values by key; asking for one that is ``unread`` raises UnreadError, whichever way one asks.

    So whatever rests on a value that the file states wrongly ends there, and is not told as a mistake of its own.
    """

    def __init__(self, values: Mapping[str, Value], unread: Iterable[str] = ()) -> None:
        super().__init__(values)
        self.unread = frozenset(unread)

    def but(self, unread: Iterable[str]) -> Known[Value]:
        """Return the same values with more of them unread."""
        more = frozenset(unread)
        return Known({key: value for key, value in self.items() if key not in more}, self.unread | more)

    def _ask(self, key: object) -> None:
        if key in self.unread:
            raise UnreadError(key)

    def __getitem__(self, key: str) -> Value:
        self._ask(key)
        return super().__getitem__(key)

    def __contains__(self, key: object) -> bool:
        self._ask(key)
        return super().__contains__(key)

    def get(self, key: str, default: Any = None) -> Any:
        """Return the value under ``key``, ``default`` where the file says nothing."""
        self._ask(key)
        return super().get(key, default)

    def setdefault(self, key: str, default: Any = None) -> Any:
        """Return the value under ``key``, first set to ``default`` where the file says nothing."""
        self._ask(key)
        return super().setdefault(key, default)

    def pop(self, key: str, *default: Any) -> Any:
        """Take the value under ``key`` out and return it, ``default`` where the file says nothing."""
        self._ask(key)
        return super().pop(key, *default)
