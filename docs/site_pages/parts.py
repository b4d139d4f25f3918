"""Pieces of pages that several directives put together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from docutils import nodes

ROOT = Path(__file__).parent.parent.parent
"""The repository."""


def html(text: str) -> nodes.raw:
    """Return HTML as it stands."""
    return nodes.raw("", text, format="html")


def section(title: str, anchor: str, *inside: nodes.Node) -> nodes.section:
    """Return a section under its heading, with the id by which others link to it."""
    return nodes.section("", nodes.title("", title), *inside, ids=[anchor], names=[])


def paragraph(*parts: str | nodes.Node, classes: Sequence[str] = ()) -> nodes.paragraph:
    """Return a paragraph of text and of pieces that stand in a line."""
    inline = [nodes.Text(part) if isinstance(part, str) else part for part in parts]
    return nodes.paragraph("", "", *inline, classes=list(classes))


def code(text: str) -> nodes.literal:
    """Return a name as a program writes it."""
    return nodes.literal("", text)


def link(text: str, uri: str) -> nodes.reference:
    """Return a link within the site."""
    return nodes.reference("", text, refuri=uri, internal=True)


def block(text: str) -> nodes.literal_block:
    """Return lines as a terminal has them."""
    return nodes.literal_block("", text, language="none")


Row = tuple[str | None, Sequence[str | nodes.Node]]
"""A row of a table: the id by which others link to it, and its cells."""


def table(heads: Sequence[str], rows: Iterable[Row], *classes: str) -> nodes.container:
    """Return a table that scrolls by itself where it is wider than the page."""
    group = nodes.tgroup("", *(nodes.colspec("", colwidth=1) for _ in heads), cols=len(heads))
    group += nodes.thead("", nodes.row("", *(_cell(head) for head in heads)))
    group += nodes.tbody("", *(nodes.row("", *map(_cell, cells), ids=[anchor] if anchor else [])
                               for anchor, cells in rows))  # fmt: skip
    return nodes.container("", nodes.table("", group, classes=["colwidths-auto"]), classes=["wide", *classes])


def _cell(content: str | nodes.Node) -> nodes.entry:
    return nodes.entry("", paragraph(content))


def quantity_anchor(name: str, place: int = 0) -> str:
    """Return the id of a quantity's entry on the page of its branch; ``place`` among the entries of its name."""
    return f"q-{name.replace('_', '-')}" + (f"-{place + 1}" if place else "")


def key_anchor(key: str) -> str:
    """Return the id of a key's row on the page of its file."""
    return "key-" + key.replace(".", "-").replace("_", "-").replace(" ", "-").lower()
