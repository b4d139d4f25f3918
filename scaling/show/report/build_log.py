"""The study as a short Markdown text with three figures beside it, to paste into a build log."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from functools import cache, partial
from pathlib import Path
from urllib.parse import quote

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from scaling.files.write import write_text
from scaling.show.report.answer import Answer
from scaling.show.report.log_text import first_sentence, log_of
from scaling.show.report.pictures import Picture, Placed
from scaling.show.report.plain import plain
from scaling.show.report.sheet import Sheet, Shown

SPECIAL = re.compile(r"[\\`*_{}\[\]#|~$]")
START = re.compile(r"\A(\d*)([-+.)](?=\s)|>)")
ENTITIES = {"&": "&amp;", "<": "&lt;", "@": "&#64;", "://": "&#58;//", "www.": "www&#46;"}


class Markdown(str):
    """Text that is Markdown already; all other text is escaped on its way into the template."""

    __slots__ = ()


def write_build_log(answer: Answer, folder: Path, pictures: Placed) -> Path:
    """Write ``folder``/build_log.md and return its path.

    ``pictures`` are those that stand in each section of the page; links to them are relative to ``folder``. Raises
    InputError where the file cannot be written.
    """
    template = _environment().get_template("build_log.md")
    text = template.render(log=log_of(answer, pictures), link=partial(link, folder=folder))
    path = folder / "build_log.md"
    write_text(path, text.strip() + "\n")
    return path


@cache
def _environment() -> Environment:
    made = Environment(
        loader=FileSystemLoader(Path(__file__).parent), undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True,
        autoescape=False, finalize=escape,  # noqa: S701 - HTML's escapes are not Markdown's: escape does that work
    )
    made.filters["sheet"] = sheet
    made.filters["code"] = code
    return made


def escape(value: object) -> Markdown:
    r"""Return text that Markdown shows as it stands: no emphasis, links, tags, headings or table cells from it.

    >>> escape("2 * <b>_x_</b> | y")
    '2 \\* &lt;b>\\_x\\_&lt;/b> \\| y'
    """
    if isinstance(value, Markdown):
        return value
    text = SPECIAL.sub(r"\\\g<0>", plain(str(value)))
    text = START.sub(r"\1\\\2", text)
    for mark, entity in ENTITIES.items():
        text = text.replace(mark, entity)
    return Markdown(text)


def code(text: str) -> Markdown:
    """Return text as code; what would end it is escaped in place of it."""
    return escape(text) if "`" in text else Markdown(f"`{plain(text)}`")


def link(picture: Picture, folder: Path) -> Markdown:
    """Return a picture's link by its path from ``folder``."""
    path = quote(Path(os.path.relpath(picture.path, folder)).as_posix())
    return Markdown(f"![{escape(first_sentence(picture.alt))}]({path})")


def sheet(table: Sheet) -> Markdown:
    """Write a table; nothing for one without rows."""
    return _table(table.headers, table.numeric, table.rows) if table.rows else Markdown("None.")


def _table(headers: Sequence[str], numeric: Sequence[bool], rows: Sequence[Sequence[Shown]]) -> Markdown:
    lines: list[list[str]] = [[escape(header) for header in headers], ["---:" if right else "---" for right in numeric]]
    lines += [[_text(cell) for cell in row] for row in rows]
    return Markdown("\n".join(f"| {' | '.join(line)} |" for line in lines))


def _text(cell: Shown) -> str:
    text = escape(cell.text)
    return f"**{text}**" if cell.worse else text
