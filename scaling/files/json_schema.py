"""A file's schema as JSON Schema 2020-12, by which editors complete and check a TOML file."""

from __future__ import annotations

from typing import Any

from scaling.files import units
from scaling.files.bounds import BOUNDS as MOST
from scaling.files.bounds import COUNTED
from scaling.files.reading import DAY, allowed
from scaling.files.schema import FileSchema, Key, Table

DIALECT = "https://json-schema.org/draft/2020-12/schema"

BOUNDS: dict[str, dict[str, Any]] = {
    "positive": {"exclusiveMinimum": 0},
    "not negative": {"minimum": 0},
    "fraction": {"minimum": 0, "maximum": 1},
    "share": {"exclusiveMinimum": 0, "maximum": 1},
    "count": {"minimum": 1, "multipleOf": 1, "maximum": COUNTED.most},
    "any": {},
}
"""What each bound of a number is, of a plain one; what a text with a unit amounts to only the reader knows."""

WITH_A_UNIT = r"^\s*[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?\s*[A-Za-zµΩ°%(/]"
"""How the text of a number with a unit begins."""

Json = dict[str, Any]


def json_schema(schema: FileSchema) -> Json:
    """Return the JSON Schema of a kind of file; keys that are not in it are not allowed."""
    root = _object(f"{schema.name}: {schema.meaning}")
    for table in sorted(schema.tables, key=lambda each: each.name.count(".") + bool(each.name)):
        at = root
        for name in table.name.split(".") if table.name else ():
            at = at["properties"].setdefault(name, _object(f"tables under [{name}]"))
            at = at.get("items", at)
        _fill(at, table)
    for table in schema.tables:
        _require(root, table)
    return {"$schema": DIALECT, "title": f"{schema.name} file", **root}


def _object(meaning: str) -> Json:
    return {"type": "object", "description": meaning, "properties": {}, "additionalProperties": False}


def _fill(at: Json, table: Table) -> None:
    """Write a table into the empty object that stands where it belongs."""
    at["description"] = table.meaning
    if table.shape == "table":
        at |= _keys_of(at, table)
        return
    inner = _keys_of(_object(""), table) if table.shape != "map" else _value(table.keys[0])
    if table.shape == "rows":
        at.clear()
        most = MOST[table.heading].most
        at |= {"type": "array", "description": table.meaning, "items": inner, "maxItems": most}
        if table.required == "always":
            at["minItems"] = 1
    else:
        at["additionalProperties"] = inner


def _keys_of(at: Json, table: Table) -> Json:
    """An object with the keys of a table: what each may be, and which must be there."""
    properties = at["properties"]
    for key in table.keys:
        _place(properties, key.name, _value(key))
    found = at | {"required": [key.name for key in table.keys if key.needed and key.unless is None]}
    rules = [
        {"anyOf": [{"required": [key.name]}, {"required": [key.unless]}]}
        for key in table.keys
        if key.needed and key.unless is not None
    ]
    rules += [_when(condition, key.name) for key in table.keys for condition in key.when]
    found["allOf"] = rules
    return {name: part for name, part in found.items() if part or name not in ("required", "allOf")}


def _place(properties: Json, name: str, value: Json) -> None:
    """Put a value under its name; a dotted one may be written as one key in quotes, or as tables."""
    properties[name] = value
    first, dot, rest = name.partition(".")
    if dot:
        _place(properties.setdefault(first, _object(""))["properties"], rest, value)


def _when(condition: str, needed: str) -> Json:
    name, is_word, word = condition.partition("=")
    holds: Json = {"required": [name]}
    if is_word:
        holds["properties"] = {name: {"const": word}}
    return {"if": holds, "then": {"required": [needed]}}


def _value(key: Key) -> Json:
    """What one key may be."""
    single = _single(key)
    if key.many:
        listed: Json = {"type": "array", "items": single, "minItems": 1}
        single = {"anyOf": [single, listed]} if key.alone else listed
    unit = f", {key.unit} or any unit of its dimension" if key.kind == "number" and key.unit != "1" else ""
    found = {"description": f"{key.meaning}{unit} ({allowed(key)})", **single}
    if key.default is not None:
        found["default"] = _as_written(key)
    return found


def _as_written(key: Key) -> Any:
    """A default as a file would state it."""
    if key.kind == "number" and key.unit != "1":
        return f"{key.default:g} {key.unit}"
    return list(key.default) if isinstance(key.default, tuple) else key.default


def _single(key: Key) -> Json:
    text: Json = {"type": "string", "minLength": 1}
    if key.kind == "number":
        if key.unit == "1":  # a number in quotes is read as well
            return {"type": ["number", "string"], **BOUNDS[key.allowed]}
        return {**text, "pattern": WITH_A_UNIT, "examples": [_example(key.unit)]}
    if key.kind == "whole number":
        return {"type": "integer", "minimum": 1, "maximum": key.most}
    if key.kind == "flag":
        return {"type": "boolean"}
    if key.kind == "date":
        return {"type": "string", "format": "date", "pattern": f"^{DAY}$", "examples": ["2026-03-01"]}
    if key.kind == "place":
        length: Json = {**text, "pattern": WITH_A_UNIT, "examples": [_example(key.unit)]}
        return {"type": "array", "items": length, "minItems": 3, "maxItems": 3}
    return {"enum": list(key.words)} if key.words is not None else text


def _example(unit: str) -> str:
    return units.EXAMPLES.get(unit, f"1 {unit}").strip('"')


def _require(root: Json, table: Table) -> None:
    """Say that a table must be there, in the table around it, where the file cannot do without it."""
    if not table.name or table.required == "when stated":
        return
    if table.shape == "table" and not any(key.needed for key in table.keys):
        return
    around, _, last = table.name.rpartition(".")
    at = root
    for name in around.split(".") if around else ():
        at = at["properties"][name]
    if table.required == "with a rotor" and not around:
        if last != "rotor":
            root.setdefault("dependentRequired", {}).setdefault("rotor", []).append(last)
    elif table.unless is not None:
        stands_in = table.unless.rpartition(".")[2]
        at.setdefault("allOf", []).append({"anyOf": [{"required": [last]}, {"required": [stands_in]}]})
    else:
        at.setdefault("required", []).append(last)
