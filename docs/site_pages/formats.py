"""A file's format, from the declared schema that its reader reads by."""

from __future__ import annotations

import re
from dataclasses import replace

from docutils import nodes
from docutils.parsers.rst import Directive

from scaling.files.schema import FileSchema, Key, Table
from scaling.port.schema import BRIEF
from scaling.robot.schema import DESIGN
from scaling.show.key_tables import keys_table, table_rows
from scaling.show.report.formula_text import unit_text
from site_pages.parts import Row, code, html, key_anchor, link, paragraph, section, table

FILES = {schema.name: schema for schema in (DESIGN, BRIEF)}
UNIT_POWER = re.compile(r"(?<=[A-Za-z])\^-?\d+")
MOST_LISTED = 100
"""Keys beyond which a table takes the names of a whole list that stands elsewhere."""


class FormatDirective(Directive):
    """``.. file-format:: design``: the tables of a file and their keys."""

    required_arguments = 1

    def run(self) -> list[nodes.Node]:
        """Return the list of tables, and each of them as a section."""
        schema = FILES[self.arguments[0]]
        return [_tables(schema), *(_section(schema, each) for each in schema.tables)]


def _anchor(name: str) -> str:
    return "table-" + (name or "root").replace(".", "-").replace("_", "-")


def _tables(schema: FileSchema) -> nodes.container:
    rows: list[Row] = [
        (None, (link(row["heading"] or "before the first table", f"#{_anchor(each.name)}"), row["meaning"],
                row["required"]))
        for row, each in zip(table_rows(schema), schema.tables, strict=True)
    ]  # fmt: skip
    return table(("table", "what it is for", "required"), rows)


def _section(schema: FileSchema, each: Table) -> nodes.section:
    heading = each.heading if each.name else "Before the first table"
    return section(heading, _anchor(each.name), paragraph(f"{each.meaning[0].upper()}{each.meaning[1:]}."),
                   *_keys(schema, each))  # fmt: skip


def _keys(schema: FileSchema, each: Table) -> list[nodes.Node]:
    if len(each.keys) > MOST_LISTED:
        dotted = any("." in key.name for key in each.keys)
        keys = ', or <a href="design.html">key of the design file</a>' if dotted else ""
        return [html(f'<p>The name of any <a href="../formulas/index.html">quantity</a>{keys}, with its number.</p>')]
    if schema is not BRIEF or each.name.partition(".")[0] != "port":
        return [_listed(each, each.keys)]
    within = each.name.partition(".")[2]
    told = {key: name for key in each.keys if (name := f"{within}.{key.name}".lstrip(".")) in DESIGN.keys}
    own = tuple(key for key in each.keys if key not in told)
    return [_told_elsewhere(told), *([_listed(each, own)] if own else [])]


def _told_elsewhere(keys: dict[Key, str]) -> nodes.paragraph:
    """The keys that the design file has as well, each with its link."""
    parts: list[str | nodes.Node] = ["As in the design file: "]
    for place, (key, name) in enumerate(keys.items()):
        parts += [", " if place else "", link(key.name, f"design.html#{key_anchor(name)}")]
    return paragraph(*parts, ".")


def _listed(each: Table, keys: tuple[Key, ...]) -> nodes.container:
    """Keys with their meaning, unit, what they may be, default and when they must be there."""
    shown = keys_table(replace(each, keys=keys))
    rows: list[Row] = [
        (key_anchor(each.dotted(key)), (code(key.name), str(meaning), _plain(unit), *map(str, rest)))
        for key, (_, meaning, unit, *rest) in zip(keys, shown.rows, strict=True)
    ]
    return table(shown.headings, rows, "keys")


def _plain(cell: object) -> str:
    """A unit as people write it; what may be typed stays as it is."""
    return UNIT_POWER.sub(lambda found: unit_text(found[0]), str(cell))
