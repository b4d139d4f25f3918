"""What a file may say, as tables: its tables, and the keys of one."""

from __future__ import annotations

from typing import Any

from scaling.files.reading import allowed
from scaling.files.schema import FileSchema, Key, Table
from scaling.files.units import format_value
from scaling.show import table as shown


def table_rows(schema: FileSchema) -> list[dict[str, Any]]:
    """The tables of a file as plain data: heading, number of keys, what it is for, when it must be there."""
    return [
        {
            "table": table.name or "root",
            "heading": table.heading if table.name else "",
            "keys": len(table.keys),
            "meaning": table.meaning,
            "required": _table_required(table),
        }
        for table in schema.tables
    ]


def tables_table(schema: FileSchema) -> shown.Table:
    """The tables of a file with their number of keys and what they are for."""
    rows = tuple((row["heading"] or "root", row["keys"], row["required"], row["meaning"]) for row in table_rows(schema))
    heads = shown.columns("table", "keys", "required", shown.Column("meaning", "what it is for"))
    return shown.Table("tables", f"Tables of the {schema.name}", heads, rows)


def key_rows(table: Table) -> list[dict[str, Any]]:
    """The keys of a table as plain data."""
    return [
        {
            "key": key.name,
            "meaning": key.meaning,
            "unit": key.unit if key.kind in ("number", "place") else None,
            "kind": f"list of {key.kind}s" if key.many and not key.alone else key.kind,
            "allowed": allowed(key),
            "bounds": key.allowed if key.kind == "number" else None,
            "default": list(key.default) if isinstance(key.default, tuple) else key.default,
            "worked_out": key.derived,
            "estimated": key.estimated,
            "required": required(key),
        }
        for key in table.keys
    ]


def keys_table(table: Table) -> shown.Table:
    """The keys of a table: what each is, may be, defaults to, and when it must be there."""
    rows = tuple((key.name, key.meaning, _unit(key), allowed(key), _default(key), required(key)) for key in table.keys)
    title = f"{table.heading if table.name else 'Before the first table'}: {table.meaning}"
    heads = shown.columns("key", "meaning", "unit", shown.Column("allowed", "what it may be"), "default", "required")
    return shown.Table("keys", title, heads, rows)


def required(key: Key) -> str:
    """When a key must be there, in words."""
    if key.unless is not None:
        return f"unless {key.unless}"
    if key.needed:
        return "yes"
    return f"with {' or '.join(key.when)}" if key.when else "no"


def _table_required(table: Table) -> str:
    """When a table must be there; one whose keys all have defaults is there by itself."""
    if table.required == "when stated" or not any(key.needed for key in table.keys):
        return "no"
    return table.required + (f", unless {table.unless}" if table.unless else "")


def _unit(key: Key) -> str:
    return key.unit if key.kind in ("number", "place") and key.unit != "1" else ""


def _default(key: Key) -> str:
    if key.default is None:
        return "estimated" if key.estimated else "worked out" if key.derived else ""
    if key.kind == "number":
        return format_value(key.default, key.unit)
    if isinstance(key.default, tuple):
        return ", ".join(key.default)
    return str(key.default).lower() if isinstance(key.default, bool) else str(key.default)
