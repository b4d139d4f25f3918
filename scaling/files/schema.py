"""What a file may hold, as data: its tables, their keys, and what each key may be.

The reader of a file, its 'did you mean', the listing of its keys and the JSON Schema for editors all read this.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any, Literal

from scaling.files.bounds import BOUNDS

Allowed = Literal["positive", "not negative", "fraction", "share", "any", "count"]
ALLOWED: dict[Allowed, str] = {
    "positive": "a value above zero",
    "not negative": "zero or above",
    "fraction": "0 to 1",
    "share": "above 0 to 1",
    "count": "a whole number from 1",
    "any": "",
}
"""What each bound of a number is called."""


@dataclass(frozen=True)
class Number:
    """A key of a file that is a number: its dotted key, symbol, SI unit, meaning and what it may be.

    A key with a ``default`` or that is ``optional`` may be left out; one that is ``derived`` follows from others. With
    ``when`` and ``unless`` it is as a ``Key`` is.
    """

    key: str
    symbol: str
    unit: str
    meaning: str
    allowed: Allowed = field(default="positive", kw_only=True)
    default: float | None = field(default=None, kw_only=True)
    optional: bool = field(default=False, kw_only=True)
    derived: bool = field(default=False, kw_only=True)
    when: tuple[str, ...] = field(default=(), kw_only=True)
    unless: str | None = field(default=None, kw_only=True)


@dataclass(frozen=True)
class Choice:
    """A key of a file that is not a number: free text, or one of a few words.

    A word out of ``allowed`` becomes a trait of the design, 'key=word', by which formulas know
    whether they apply. A key that ends in ``material`` names a material, whose density, strength, modulus and
    poisson become variables of the same table where the book knows them. One that is a ``day`` is a date. With ``when``
    and ``unless`` it is as a ``Key`` is.
    """

    allowed: tuple[str, ...] | None
    meaning: str
    default: str | None = None
    optional: bool = False
    when: tuple[str, ...] = ()
    unless: str | None = None
    day: bool = False


Kind = Literal["number", "whole number", "word", "text", "material", "part", "path", "flag", "place", "date"]
"""What a key holds: a number with its unit; a whole number of pieces; one of a few words; free text; the name of a
material or of a part; the path of a file; true or false; three lengths along x, y and z; a day."""

When = Literal["always", "when stated", "with a rotor"]
"""When a table must be there: in every file, only where the builder states it, or where the robot has a rotor."""

Shape = Literal["table", "rows", "named", "map"]
"""What a table looks like: one table; a list of them under [[name]]; one under each name, [table.name]; or names that
the builder chooses with one value each."""


@dataclass(frozen=True)
class Key:
    """One key of a table.

    One that is ``needed`` must be there when its table is, save where the key ``unless`` is; one that has an ``unless``
    and is not needed stands in for that key. One with ``when`` must be where any of these is, each a key beside it or
    'key=word', and ``why`` tells people the reason. ``many`` says that it holds a list, and ``alone`` that a single
    value may stand for a list of one; one that is ``derived`` is worked out where it is not stated, one that is
    ``estimated`` estimated by a rule. ``check`` says more of a text than its form does: it raises InputError.
    ``most`` is that of a whole number.
    """

    name: str
    kind: Kind
    meaning: str
    unit: str = "1"
    allowed: Allowed = "positive"
    words: tuple[str, ...] | None = None
    default: Any = None
    needed: bool = False
    unless: str | None = None
    when: tuple[str, ...] = ()
    why: str = ""
    many: bool = False
    alone: bool = False
    derived: bool = False
    estimated: bool = False
    check: Callable[[str, Path, str], object] | None = None
    most: int = BOUNDS["pieces of a part"].most


@dataclass(frozen=True)
class Table:
    """One table of a file under its dotted ``name``, empty for the keys before the first table.

    ``keys`` are those of the table, or of each row or named table; of a map, whose names the builder chooses,
    ``keys`` holds the one that each value is read by. ``named_by`` is the key by which a message names a row. A table
    that is ``required`` may be left out where the key ``unless`` is stated; one of rows then needs one at least.
    """

    name: str
    meaning: str
    keys: tuple[Key, ...]
    shape: Shape = "table"
    required: When = "when stated"
    unless: str | None = None
    named_by: str | None = None

    @cached_property
    def by_name(self) -> dict[str, Key]:
        """The keys by name."""
        return {key.name: key for key in self.keys}

    @property
    def heading(self) -> str:
        """How the table is headed in a file."""
        return {"rows": f"[[{self.name}]]", "named": f"[{self.name}.NAME]"}.get(self.shape, f"[{self.name}]")

    def dotted(self, key: Key) -> str:
        """Return the dotted key under which a file states ``key``."""
        return f"{self.name}.{key.name}" if self.name else key.name


@dataclass(frozen=True)
class FileSchema:
    """Everything that one kind of file may hold: its tables, the one before the first heading among them."""

    name: str
    meaning: str
    tables: tuple[Table, ...]

    @cached_property
    def by_name(self) -> dict[str, Table]:
        """The tables by dotted name."""
        return {table.name: table for table in self.tables}

    @cached_property
    def keys(self) -> dict[str, Key]:
        """The keys of the plain tables by dotted key."""
        return {table.dotted(key): key for table in self.tables if table.shape == "table" for key in table.keys}

    @cached_property
    def top(self) -> tuple[str, ...]:
        """What may stand before the first dot of any key of the file."""
        names = [table.name.partition(".")[0] for table in self.tables if table.name]
        return tuple(dict.fromkeys([*(key.name for key in self.by_name[""].keys), *names]))
