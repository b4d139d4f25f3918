"""What the verbs print, and the options that they share."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from scaling.command.streams import in_any_script, steerable
from scaling.files.sentence import escaped

if TYPE_CHECKING:
    from scaling.show.table import Table

JsonFlag = Annotated[bool, typer.Option("--json", help="Print the result as JSON to standard output; write nothing.")]
OutFlag = Annotated[Path | None, typer.Option("-o", "--out", metavar="FOLDER", help="Folder to write to.")]
ForceFlag = Annotated[bool, typer.Option("--force", help="Replace what is there, of a folder only what a run wrote.")]
ClockFlag = Annotated[
    str | None,
    typer.Option(
        metavar="CLOCK", help="Whose time counts in the printed drift: gravity or driver. Default: each quantity's own."
    ),
]
AllFlag = Annotated[bool, typer.Option("--all", help="Print every quantity's drift, by branch, and what is absent.")]
AllAbsentFlag = Annotated[bool, typer.Option("--all", help="Print which key would bring each absent quantity.")]
OnlyFlag = Annotated[
    list[str] | None,
    typer.Option("--only", metavar="QUANTITY", help="Quantity to show, by its name or label; may be repeated."),
]


def say(text: str) -> None:
    """Print lines; what of a file's name or of a drawing would steer the terminal is spelled out."""
    typer.echo("\n".join(escaped(line) for line in text.split("\n")))


def print_json(data: object) -> None:
    """Print plain data as JSON, in escapes what would steer the terminal; raises as ``json_text``."""
    from scaling.files.json_text import json_text

    text = json_text(data, indent=1, ensure_ascii=not in_any_script())
    lines = (line if line.isprintable() else "".join(map(_json_mark, line)) for line in text.split("\n"))
    typer.echo("\n".join(lines))


def _json_mark(mark: str) -> str:
    import json

    return mark if mark.isprintable() else json.dumps(mark)[1:-1]


def print_table(table: Table, digits: int = 3) -> None:
    """Print a table under its title, fitted to the terminal."""
    from scaling.show.table import as_text

    heading, _, rest = as_text(table, digits, width()).partition("\n")
    title(heading)
    say(rest.strip("\n"))


def title(text: str) -> None:
    """Print a heading, bold on a terminal unless NO_COLOR is set."""
    bold = steerable(sys.stdout) and not os.environ.get("NO_COLOR")
    plain = escaped(text)
    typer.echo("\n" + (typer.style(plain, bold=True) if bold else plain))


def wrapped(text: str, indent: str) -> None:
    """Print a paragraph wrapped to the terminal, never within a number and its unit, lines after the first indented."""
    import textwrap

    from scaling.show.unbroken import NO_BREAK, solid

    if text:
        filled = textwrap.fill(solid(text), width(), subsequent_indent=indent, break_on_hyphens=False)
        say(filled.replace(NO_BREAK, " "))


PIPED = 80
"""Columns where nobody's terminal says how many there are."""


def width() -> int:
    """Columns to print in: the terminal's, 60 at least; 80 where the output is piped."""
    import shutil

    return max(60, shutil.get_terminal_size((PIPED, 40)).columns) if sys.stdout.isatty() else PIPED


def progress() -> Any:
    """Return a callback that shows what is being done on a terminal's standard error, and is quiet elsewhere."""
    if not steerable(sys.stderr):
        return None

    def show(text: str) -> None:
        sys.stderr.write(f"\r\033[K{text}" if text else "\r\033[K")
        sys.stderr.flush()

    return show
