"""Reading tables by their schema: every value in SI, defaults filled in, all mistakes of a row together."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, TypeVar

from scaling.files import toml, units
from scaling.files.bounds import BOUNDS
from scaling.files.errors import InputError, Mistakes
from scaling.files.opener import fault
from scaling.files.schema import ALLOWED, Choice, Key, Number, Table

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping
    from pathlib import Path

Made = TypeVar("Made")

LONGEST_NAME = 60
"""Characters of the longest name by which a message calls a row."""

LONGEST_TEXT = 200
"""Characters of the longest name or other text in a file: it stands in tables, titles and figures."""


@dataclass(frozen=True)
class Row:
    """One table of a list or under a name: ``where`` it stands, its ``name`` if it is under one, and its values."""

    where: str
    name: str
    values: Mapping[str, Any]


def read_value(key: Key, value: object, file: Path, where: str) -> Any:
    """Return what a file gives to ``key`` under ``where``: SI, word, path, list; raises InputError."""
    if not key.many:
        return _single(key, value, file, where)
    listed = [value] if key.alone and not isinstance(value, list) else value
    if not isinstance(listed, list) or not listed:
        raise InputError(f"this must be a list with something in it ({key.meaning})", file, where, value, allowed(key))
    return tuple(_single(key, each, file, where) for each in listed)


def _single(key: Key, value: object, file: Path, where: str) -> Any:
    if key.kind == "number":
        return toml.number(Number(where, "", key.unit, key.meaning, allowed=key.allowed), value, file)
    if key.kind == "whole number":
        if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= key.most:
            allows = f"{ALLOWED['count']} to {key.most}"
            raise InputError(f"the {key.meaning} cannot be this", file, where, value, allows)
        return value
    if key.kind == "flag":
        if not isinstance(value, bool):
            raise InputError("this must be true or false", file, where, value, "true or false without quotes")
        return value
    if key.kind == "date":
        return _day(value, file, where)
    if key.kind == "place":
        if not isinstance(value, list) or len(value) != 3:
            raise InputError("a position has three lengths", file, where, value, '["12 mm", "0 mm", "20 mm"]')
        return tuple(units.read(each, key.unit, file, where) for each in value)
    word = toml.choice(Choice(key.words, key.meaning), value, file, where)
    if key.kind == "path" and (problem := fault(file.parent / word)) is not None:
        raise InputError(problem, file, where, value, allowed(key))
    if key.kind == "text" and len(word) > LONGEST_TEXT:
        raise InputError(f"this is too long ({key.meaning})", file, where, word, f"{LONGEST_TEXT} characters at most")
    if key.check is not None:
        key.check(word, file, where)
    return word


DAY = r"\d{4}-\d{2}-\d{2}"
"""How a day is written: the extended calendar date of ISO 8601."""

ALLOWED_DAY = 'year, month and day as in "2026-03-01"'


def _day(value: object, file: Path, where: str) -> str:
    """Return a day as text; raises InputError for what is no date of the calendar."""
    if isinstance(value, date) and not isinstance(value, datetime):
        raise InputError("a day stands in quotes", file, where, value, ALLOWED_DAY,
                         f'write "{value.isoformat()}"')  # fmt: skip
    written = value if isinstance(value, str) else ""
    try:
        if re.fullmatch(DAY, written, re.ASCII):
            return date.fromisoformat(written).isoformat()
        problem, mend = "this is no day", "write the year first, then month and day, each with all its digits"
    except ValueError:  # a thirteenth month or a thirtieth of February
        problem, mend = "the calendar has no such day", "look at month and day"
    raise InputError(problem, file, where, value, ALLOWED_DAY, mend)


def read_row(
    table: Table, row: Mapping[str, Any], where: str, file: Path, meant: Collection[str | None] = ()
) -> dict[str, Any]:
    """Return the values of one table by key, defaults among them; raises InputError with all that is wrong in it.

    Keys that are ``meant`` by misspelt ones are not missing.
    """
    mistakes = Mistakes()
    found: dict[str, Any] = {}
    spared = {*row, *meant}
    for name, value in row.items():
        place = f"{where}.{name}" if where else name
        with mistakes.kept():
            if name not in table.by_name:
                spared.add(toml.meant_by(name, table.by_name))
                prefix = place.removesuffix(name)
                raise toml.unknown(place, [prefix + known for known in table.by_name], file)
            found[name] = read_value(table.by_name[name], value, file, place)
    for key in table.keys:
        if key.name not in spared and (key.unless is None or key.unless not in row) and is_missing(key, found):
            mistakes.add(missing(key, where, file, table.name))
        elif key.default is not None:
            found.setdefault(key.name, key.default)
    mistakes.settle()
    return found


def is_missing(key: Key, stated: Mapping[str, Any]) -> bool:
    """Whether ``key``, which a table does not state, must be there beside what it does state."""
    if key.unless is not None and key.unless in stated:
        return False
    return key.needed or any(_holds(condition, stated) for condition in key.when)


def _holds(condition: str, stated: Mapping[str, Any]) -> bool:
    name, is_word, word = condition.partition("=")
    return name in stated and (not is_word or stated[name] == word)


def missing(key: Key, where: str, file: Path, table: str) -> InputError:
    """Return the error for a key that must be in ``table`` and is not."""
    why = f" (needed with {' or '.join(key.when)})" if key.when and not key.needed and not key.why else ""
    what = allowed(key) + (f", or {key.unless}" if key.unless else "")
    hint = key.why or None  # of a row or a named table the place says where to add it
    if where == table and not hint:
        hint = f"add it to [{table}]" if table else "add it before the first table"
    place = f"{where}.{key.name}" if where else key.name
    return InputError(f"missing key: {key.meaning}{why}", file, place, allowed=what, hint=hint)


def allowed(key: Key) -> str:
    """Return what a file may give to ``key``, for a message and for a listing."""
    if key.kind == "number" and key.unit == "1":
        text = ALLOWED[key.allowed] or "a plain number"
    elif key.kind == "number":
        example = units.EXAMPLES.get(key.unit)
        text = f"text such as {example}" if example else f"text with a unit of {key.unit}"
        text += "" if key.allowed in ("positive", "any") else f", {ALLOWED[key.allowed]}"
    elif key.words is not None:
        text = f"one of {', '.join(key.words)}"
    else:
        text = {
            "whole number": f"{ALLOWED['count']} to {key.most}",
            "flag": "true or false",
            "place": '["12 mm", "0 mm", "20 mm"]',
            "date": ALLOWED_DAY,
            "material": "name of a material",
            "part": "name of a part",
            "path": "path of a file, relative to this one",
        }.get(key.kind, "text in quotes")
    if not key.many:
        return text
    return f"a list of these: {text}" if not key.alone else f"{text}, or a list of these"


def table_at(tables: Mapping[str, Any], name: str, file: Path) -> Mapping[str, Any]:
    """Return the table ``name``, empty where there is none; raises InputError for what is no table."""
    table = tables.get(name, {})
    if not isinstance(table, dict):
        raise InputError("this must be a table", file, name, table, f"a table headed [{name}]")
    return table


def rows_of(
    table: Table, tables: Mapping[str, Any], file: Path, mistakes: Mistakes, make: Callable[[Row], Made]
) -> tuple[Made, ...]:
    """Return what ``make`` makes of each row of a list of tables; mistakes are kept, and the other rows read."""
    rows = tables.get(table.name, [])
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        mistakes.add(
            InputError("this must be a list of tables", file, table.name, allowed=f"tables headed {table.heading}")
        )
        return ()
    made: list[Made] = []
    bound = BOUNDS[table.heading]
    if len(rows) > bound.most:
        mistakes.add(bound.refused(len(rows), file, table.name))
        return ()
    names = Counter(row_name(table, row) for row in rows)
    for place, row in enumerate(rows, 1):
        name = row_name(table, row)
        only = name is not None and names[name] == 1
        where = f"{table.name}.{toml.quoted(name)}" if name is not None and only else f"{table.name}[{place}]"
        with mistakes.kept():
            made.append(make(Row(where, name or "", read_row(table, row, where, file))))
    return tuple(made)


def row_name(table: Table, row: Mapping[str, Any]) -> str | None:
    """Return the name by which a message may call a row, None where it has none that can be read."""
    name = row.get(table.named_by) if table.named_by is not None else None
    readable = isinstance(name, str) and name.strip() and name.isprintable() and len(name) <= LONGEST_NAME
    return str(name) if readable else None


def named_of(
    table: Table, tables: Mapping[str, Any], file: Path, mistakes: Mistakes, make: Callable[[Row], Made]
) -> dict[str, Made]:
    """Return what ``make`` makes of each table under a name of the builder's, by that name; mistakes are kept."""
    made: dict[str, Made] = {}
    named: Mapping[str, Any] = {}
    with mistakes.kept():
        named = table_at(tables, table.name, file)
    for name, row in named.items():
        where = f"{table.name}.{toml.quoted(name)}"
        with mistakes.kept():
            if not isinstance(row, dict):
                raise InputError("this must be a table", file, where, row, f"a table headed [{where}]")
            made[name] = make(Row(where, name, read_row(table, row, where, file)))
    return made


def plain(table: Table, tables: Mapping[str, Any], file: Path, mistakes: Mistakes) -> dict[str, Any]:
    """Return the values of a plain table of a file by key; its mistakes are kept, and nothing is then in it."""
    with mistakes.kept():
        return read_row(table, table_at(tables, table.name, file), table.name, file)
    return {}
