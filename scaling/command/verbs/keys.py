"""The verb ``keys``: what a design file or a brief may say."""

from __future__ import annotations

from typing import Annotated

import typer

from scaling.command.console import JsonFlag, print_json, print_table, say, wrapped
from scaling.files.errors import InputError, nearest

ORDER = 15
EXAMPLE = "keys rotor.motor"


def keys(
    table: Annotated[
        str | None, typer.Argument(metavar="[TABLE]", help="Table to list, such as rotor.motor; root is the top.")
    ] = None,
    file: Annotated[str, typer.Option("--file", metavar="KIND", help="Which file: design or brief.")] = "design",
    json_schema: Annotated[
        bool, typer.Option("--json-schema", help="Print the JSON Schema (2020-12), by which editors complete it.")
    ] = False,
    as_json: JsonFlag = False,
) -> None:
    """Print the tables of a design file or a brief, or the keys of one: meaning, what it may be, default, required."""
    from scaling.port.schema import BRIEF
    from scaling.robot.schema import DESIGN
    from scaling.show.key_tables import key_rows, keys_table, table_rows, tables_table

    files = {schema.name: schema for schema in (DESIGN, BRIEF)}
    if file not in files:
        raise InputError("there is no such file", None, "--file", file, " or ".join(files), nearest(file, files))
    schema = files[file]
    if json_schema:
        if table is not None:
            raise InputError("the schema is of the whole file", None, "TABLE", table, hint="leave out one of the two")
        from scaling.files.json_schema import json_schema as as_schema

        print_json(as_schema(schema))
        return
    if table is None:
        if as_json:
            print_json(table_rows(schema))
            return
        print_table(tables_table(schema))
        say("")
        wrapped(f"scaling keys TABLE --file {file} lists the keys of one; with --json-schema editors know them.", "")
        return
    by_name = {each.name or "root": each for each in schema.tables}
    name = table.strip("[] ")
    if name not in by_name:
        raise InputError(
            f"the {file} has no such table", None, "TABLE", table, "a table that scaling keys lists",
            nearest(name, by_name),
        )  # fmt: skip
    if as_json:
        print_json(key_rows(by_name[name]))
        return
    print_table(keys_table(by_name[name]))
