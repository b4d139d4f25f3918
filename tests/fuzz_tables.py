"""Spoiling the tables of a TOML file: each change a small function of a random source, the tables and their schema.

A value may be ``Raw``: what stands after the equals sign as it is, so that a file can say what no value of Python does.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from copy import deepcopy
from functools import cache
from random import Random
from typing import Any

from scaling.files.schema import FileSchema, Key
from scaling.shop.materials import materials


class Raw(str):
    """TOML text of a value, right or wrong."""

    __slots__ = ()


Tables = dict[str, Any]
Place = tuple[Any, Any]
"""A table or a list, and a key or an index in it."""

PATHS = ("scoop.stl", "drive_motors.csv", "bolts.csv", "design.toml", "none.csv", "", ".", "/dev/null", "a/b", "~")
EDGES = (
    "0", "-0.0", "-1", "1", "1e-300", "5e-324", "1e-15", "1e15", "1e100", "1e300", "1.7976931348623157e308", "-1e308",
    "1e400", "nan", "-nan", "inf", "-inf", "9" * 30, "9" * 400, "-" + "9" * 5000, "0x10", "1_000", "1e", "+.5", "true",
    "1000000000", "2147483648", "9223372036854775808", "0.1e-7", "1e5", "99999", "3", "1.5", "1e-6", "0.999999999",
)  # fmt: skip
UNITS = (
    "mm", "m", "km", "in", "inch", "thou", "ft", "µm", "g", "kg", "lb", "oz", "rpm", "rpm/V", "KV", "mohm", "ohm", "Ω",
    "mAh", "Ah", "MPa", "GPa", "psi", "V", "A", "W", "s", "min", "h", "deg", "rad", "N", "kN", "lbf", "J", "J/kg",
    "K", "degC", "°F", "%", "kg m^2", "g cm^2", "g mm**2", "mm^2", "m/s", "mph", "N m", "m^9", "mm**999999999", "mm/",
    "parsec", "Mm", "ym", "", "m m", "1", "dimensionless", "kg/m^3", "((m))", "m;import os", "eV", "e", "nan", "x",
)  # fmt: skip
SIGNS = (
    "é", "ß", "水", "🤖", "\u200b", "\u202e", "\u2066", "\ufeff", "\x00", "\x07", "\x1b[31m", "\x7f", "\x85", "\u2028",
    "a\u0301\u0301\u0301", "\ud800", "\U0010ffff", "٣", "½", "－1", "\t", "\n", "\r", '"', "'", "\\", "=", "#", "[",
    "{{7*7}}", "<script>", "%s", "{0}", "$(x)", "../", "C:\\", "=1+1", "@SUM", ",", "µ", "μ", "−5", "\xa0",
)  # fmt: skip
SIZES = {"m": "mm", "kg": "g", "Pa": "MPa", "N": "N", "K": "K", "rad": "deg", "s": "s", "A": "A", "V": "V", "J": "J"}
"""Unit in which something of a robot's size has a number from one to some hundreds."""


def places(node: Any) -> list[Place]:
    """Return every place of the tables, inner ones too."""
    found: list[Place] = []
    waiting = [node]
    while waiting and len(found) < 5000:
        here = waiting.pop()
        for key in here if isinstance(here, dict) else range(len(here)):
            found.append((here, key))
            if isinstance(here[key], dict | list):
                waiting.append(here[key])
    return found


def _place(rng: Random, tables: Tables, *kinds: type) -> Place | None:
    found = [(at, key) for at, key in places(tables) if not kinds or isinstance(at[key], kinds)]
    return rng.choice(found) if found else None


def _spelled(rng: Random, word: str) -> str:
    """A word with a slip of the pen, or another one."""
    at = rng.randrange(len(word) + 1)
    return rng.choice(
        [
            word[:at] + word[at + 1 :],
            word[:at] + rng.choice("abcxyz_-. 1") + word[at:],
            word[:at] + word[at : at + 2][::-1] + word[at + 2 :],
            word.upper(),
            word[:at] + rng.choice(SIGNS) + word[at:],
            rng.choice(["", "name", "mass", "__class__", "port", "1", "a" * 300, word * 2, word + "s", word[:3]]),
        ]
    )


def delete(rng: Random, tables: Tables, schema: FileSchema) -> None:
    """A key or a table is not there."""
    if place := _place(rng, tables):
        del place[0][place[1]]


def rename(rng: Random, tables: Tables, schema: FileSchema) -> None:
    """A key or a table bears another name."""
    found = [(at, key) for at, key in places(tables) if isinstance(at, dict)]
    if found:
        at, key = rng.choice(found)
        at[_spelled(rng, key)] = at.pop(key)


def respell(rng: Random, tables: Tables, schema: FileSchema) -> None:
    """A text has a slip."""
    if place := _place(rng, tables, str):
        place[0][place[1]] = _spelled(rng, place[0][place[1]])


def retype(rng: Random, tables: Tables, schema: FileSchema) -> None:
    """A value is of another type."""
    if place := _place(rng, tables):
        at, key = place
        other = [True, False, 0, 1, 2.5, "", " ", "a", [], {}, [1], ["a", 1], [[]], {"a": 1}, [{}], [at[key]]]
        at[key] = rng.choice([*other, {"x": at[key]}, *map(Raw, ("1979-05-27", "07:32:00", "1979-05-27T07:32:00Z"))])


def edge(rng: Random, tables: Tables, schema: FileSchema) -> None:
    """A number is at the edge of what there is, with its unit or without."""
    if place := _place(rng, tables, int, float, str):
        at, key = place
        number = rng.choice(EDGES)
        unit = at[key].partition(" ")[2] if isinstance(at[key], str) else ""
        at[key] = f"{number} {unit}" if unit else Raw(number)


def _factor(rng: Random, tables: Tables, factor: float) -> None:
    numbers = []
    for at, key in places(tables):
        head, _, unit = at[key].partition(" ") if isinstance(at[key], str) else (at[key], "", "")
        try:
            numbers.append((at, key, float(head), unit))
        except (TypeError, ValueError, OverflowError):
            continue
    if numbers:
        at, key, number, unit = rng.choice(numbers)
        value = number * factor
        whole = isinstance(at[key], int)
        at[key] = f"{value:.6g} {unit}" if unit else round(min(value, 1e6)) if whole and value == value else value


def nudge(rng: Random, tables: Tables, schema: FileSchema) -> None:
    """A number is another of about its size."""
    _factor(rng, tables, rng.lognormvariate(0, 0.4))


def throw(rng: Random, tables: Tables, schema: FileSchema) -> None:
    """A number is far from its size."""
    _factor(rng, tables, rng.choice([-1, 1]) * 10 ** rng.uniform(-6, 6))


def unit(rng: Random, tables: Tables, schema: FileSchema) -> None:
    """A number has another unit, or none."""
    if place := _place(rng, tables, str, int, float):
        number = str(place[0][place[1]]).partition(" ")[0]
        other = rng.choice(UNITS)
        place[0][place[1]] = rng.choice([f"{number} {other}", f"{number}{other}", f" {number} "])


def nest(rng: Random, tables: Tables, schema: FileSchema) -> None:
    """A value lies deep within lists or tables."""
    if place := _place(rng, tables):
        at, key = place
        for _ in range(rng.choice([1, 1, 2, 3, 10, 90])):
            at[key] = rng.choice([[at[key]], {"a": at[key]}])


def copies(rng: Random, tables: Tables, schema: FileSchema, most: int = 30_000) -> None:
    """A row of a list is there many times, under a name of its own or not."""
    if place := _place(rng, tables, list):
        rows = place[0][place[1]]
        if rows:
            count = min(most, rng.choice([1, 1, 2, 3, 10, 100, 600, 10_000, 30_000]))
            first, named = rng.choice(rows), rng.random() < 0.7
            name = first.get("name") if isinstance(first, dict) else None
            rows += [first | {"name": f"{name} {n}"} if named and name else deepcopy(first) for n in range(count)]


def known(rng: Random, tables: Tables, schema: FileSchema) -> None:
    """A key that the schema knows is there, with something likely, as rows or named where its table is."""
    table = rng.choice([each for each in schema.tables if each.keys])
    at: Any = tables
    for name in table.name.split(".") if table.name else []:
        if not isinstance(at, dict):
            return
        at = at.setdefault(name, [] if table.shape == "rows" and name == table.name else {})
    if table.shape in ("rows", "named"):
        row = {key.name: _likely(rng, key, tables) for key in table.keys if key.needed or rng.random() < 0.4}
        if isinstance(at, list):
            at.append(row)
        elif isinstance(at, dict):
            at[_part(rng, tables)] = row
    elif isinstance(at, dict):
        key = rng.choice(table.keys)
        at[_part(rng, tables) if table.shape == "map" else key.name] = _likely(rng, key, tables)


def whole_table(rng: Random, tables: Tables, schema: FileSchema) -> None:
    """A table that the schema knows is there with all its keys."""
    table = rng.choice([each for each in schema.tables if each.name and each.shape == "table" and len(each.keys) < 60])
    at: Any = tables
    for name in table.name.split("."):
        if not isinstance(at, dict):
            return
        at = at.setdefault(name, {})
    if isinstance(at, dict):
        at.update({key.name: _likely(rng, key, tables) for key in table.keys if key.name not in at})


def word(rng: Random, tables: Tables, schema: FileSchema) -> None:
    """A word is another of those allowed."""
    found = []
    for table in schema.tables:
        at: Any = tables
        for name in table.name.split(".") if table.name else []:
            at = at.get(name) if isinstance(at, dict) else None
        for row in at if isinstance(at, list) else [at]:
            if isinstance(row, dict):
                found += [(row, key) for key in table.keys if key.name in row and (key.words or key.kind == "material")]
    if found:
        row, key = rng.choice(found)
        row[key.name] = _likely(rng, key, tables)


def swap(rng: Random, tables: Tables, schema: FileSchema) -> None:
    """Two values stand in each other's place."""
    values = [(at, key) for at, key in places(tables) if not isinstance(at[key], dict | list)]
    if len(values) > 1:
        (one, a), (other, b) = rng.sample(values, 2)
        one[a], other[b] = other[b], one[a]


def lengthen(rng: Random, tables: Tables, schema: FileSchema) -> None:
    """A text is long."""
    if place := _place(rng, tables, str):
        filler = rng.choice(["x", "ab ", "é", *SIGNS])
        place[0][place[1]] += filler * rng.choice([61, 300, 1000, 20_000])


def crowd(rng: Random, tables: Tables, schema: FileSchema) -> None:
    """A table holds many keys that nobody asked for."""
    place = _place(rng, tables, dict)
    at = place[0][place[1]] if place else tables
    value = rng.choice([1, "1 mm", {}, ["1 mm", "2 mm", "3 mm"]])
    at.update({f"key {n}": deepcopy(value) for n in range(rng.choice([1, 5, 25, 300, 12_000]))})


def _part(rng: Random, tables: Tables) -> str:
    rows = tables.get("parts")
    names = [row["name"] for row in rows if isinstance(row, dict) and "name" in row] if isinstance(rows, list) else []
    known_parts = ["rotor", "battery", "frame block", "scoop", "drive.motor", "side walls", "wheel"]
    return str(rng.choice([*known_parts, *names, "factor", "wedge.thickness"]))


def _likely(rng: Random, key: Key, tables: Tables) -> Any:
    """Something that the key could hold."""
    likely: dict[str, Callable[[], Any]] = {
        "number": lambda: _number(rng, key.unit),
        "whole number": lambda: rng.choice([1, 2, 3, 4, 6, 12]),
        "word": lambda: rng.choice(key.words or ("a",)),
        "material": lambda: rng.choice(_materials()),
        "part": lambda: _part(rng, tables),
        "path": lambda: rng.choice(PATHS),
        "flag": lambda: rng.choice([True, False]),
        "place": lambda: [f"{rng.uniform(-90, 90):.1f} mm" for _ in range(3)],
        "date": lambda: rng.choice([Raw("2025-04-12"), "2025-04-12", "12 April"]),
        "text": lambda: rng.choice(["M3", "M4", "8.8", "a", "drive_stall_force", "wall.thickness", "lithium polymer"]),
    }
    value = likely[key.kind]()
    return [value, likely[key.kind]()] if key.many else value


def _number(rng: Random, unit: str) -> Any:
    if unit == "1":
        return rng.choice([rng.uniform(0, 1), rng.uniform(0, 5), rng.randint(1, 12)])
    return f"{10 ** rng.uniform(-0.5, 2.5):.4g} {SIZES.get(unit, unit)}"


@cache
def _materials() -> tuple[str, ...]:
    return tuple(materials())


CHANGES = {
    change.__name__: (change, share)
    for change, share in (
        (delete, 10), (rename, 4), (respell, 4), (retype, 6), (edge, 8), (nudge, 40), (throw, 8), (unit, 5), (nest, 2),
        (copies, 3), (known, 14), (whole_table, 4), (word, 12), (swap, 4), (lengthen, 3), (crowd, 2),
    )
}  # fmt: skip
"""Every change of tables, and how often it comes beside the others."""


def toml(tables: Tables) -> str:
    """Return the tables as TOML."""
    lines: list[str] = []
    _table(lines, "", tables)
    return "\n".join(lines) + "\n"


def _table(lines: list[str], path: str, tables: Tables) -> None:
    inner = {}
    for key, value in tables.items():
        if isinstance(value, dict) or (isinstance(value, list) and value and all(isinstance(e, dict) for e in value)):
            inner[key] = value
        else:
            lines.append(f"{_key(key)} = {_value(value)}")
    for key, value in inner.items():
        name = f"{path}.{_key(key)}" if path else _key(key)
        for each in value if isinstance(value, list) else [value]:
            lines.append(f"[[{name}]]" if isinstance(value, list) else f"[{name}]")
            _table(lines, name, each)


def _key(key: str) -> str:
    return key if key and key.isascii() and key.replace("_", "").replace("-", "").isalnum() else json.dumps(key)


def _value(value: Any) -> str:
    if isinstance(value, Raw):
        return str(value)
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, dict):
        return f"{{{', '.join(f'{_key(key)} = {_value(each)}' for key, each in value.items())}}}"
    if isinstance(value, list):
        return f"[{', '.join(map(_value, value))}]"
    return str(value).lower() if isinstance(value, bool) else str(value)
