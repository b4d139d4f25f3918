"""A brief or a design with changes: dotted keys with their text, read as a file is, so that trying is no guess."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

from scaling.files import toml as tomlfile
from scaling.files.errors import InputError, Mistakes, nearest
from scaling.files.reading import named_of
from scaling.files.sentence import listed
from scaling.port.asked import Brief, PartChange
from scaling.port.brief import read_port
from scaling.port.schema import PART_CHANGES
from scaling.robot.design import Design, read_design


def changed(brief: Brief, changes: Mapping[str, str]) -> Brief:
    """Return the brief as it would be with ``changes`` written into it: keys below ``port`` and ``parts``.

    A change stands in place of what the brief says under its key. Raises InputErrors where one is no brief's.
    """
    tables = tables_of_changes(changes)
    mistakes = Mistakes(brief.file)
    file = brief.file or brief.design_file
    numbers, words = read_port(tables, file, mistakes)
    parts = named_of(PART_CHANGES, tables, file, mistakes, lambda row: PartChange(**row.values))
    mistakes.settle()
    merged = {**brief.parts, **{name: _over(brief.parts.get(name), new) for name, new in parts.items()}}
    return replace(brief, numbers=brief.numbers | numbers, words=brief.words | words, parts=merged)


def _over(old: PartChange | None, new: PartChange) -> PartChange:
    """What the brief says of a part, with what is new in place of what was."""
    said = {each.name: value for each in fields(new) if (value := getattr(new, each.name)) is not None}
    return replace(old or PartChange(), **said)


def changed_design(file: Path, changes: Mapping[str, str]) -> Design:
    """Return the design of ``file`` as it would be with ``changes`` written into it.

    What stands in rows goes by its name there, as in 'parts."side walls".mass'. Raises InputErrors where the file
    would be none.
    """
    tables = tomlfile.read(file)
    for key, text in changes.items():
        at, path = tables, path_of(key)
        if len(path) > 2 and isinstance(tables.get(path[0]), list):
            at, path = _row(tables[path[0]], path[1], file, key), path[2:]
        written(at, path, value_of(text))
    return read_design(tables, file)


def _row(rows: list[dict[str, Any]], name: str, file: Path, key: str) -> dict[str, Any]:
    """The row of a list that bears a name."""
    named = {str(row.get("name")): row for row in rows}
    if name not in named:
        raise InputError("there is no row of this name", file, key, name, listed(named), nearest(name, named))
    return named[name]


def tables_of_changes(changes: Mapping[str, str]) -> dict[str, Any]:
    """Return the tables of a file that says only the ``changes``: a text that is a number becomes one.

    >>> tables_of_changes({'parts."side walls".thickness': "12 mm", "port.joint.bolts": "6"})
    {'parts': {'side walls': {'thickness': '12 mm'}}, 'port': {'joint': {'bolts': 6}}}
    """
    found: dict[str, Any] = {}
    for key, text in changes.items():
        written(found, path_of(key), value_of(text))
    return found


def path_of(key: str) -> tuple[str, ...]:
    """Return the names of a dotted key, as TOML reads it."""
    try:
        tables: Any = tomllib.loads(f"{key} = 0")
    except tomllib.TOMLDecodeError:
        raise InputError("this is no dotted key", None, key, allowed='rotor.mass or parts."side walls".mass') from None
    names: list[str] = []
    while isinstance(tables, dict):
        ((name, tables),) = tables.items()
        names.append(name)
    return tuple(names)


def written(tables: dict[str, Any], path: tuple[str, ...], value: Any) -> None:
    """Put a value under a path of names into nested tables, making those that are not there."""
    *tops, last = path
    for name in tops:
        tables = tables.setdefault(name, {})
        if not isinstance(tables, dict):
            problem, mend = "this is no table, so it has no keys", "name a table before the last dot"
            raise InputError(problem, None, ".".join(path), name, hint=mend)
    tables[last] = value


def value_of(text: str) -> int | float | str:
    """Return a whole number or a number where the text is one, else the text."""
    for kind in (int, float):
        try:
            return kind(text)
        except ValueError:
            continue
    return text
