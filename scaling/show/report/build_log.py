"""The study as Markdown with its figures beside it, to paste into a build log."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from urllib.parse import quote

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from scaling.book.similarity import CLOCKS
from scaling.files.write import write_text
from scaling.formulas import book
from scaling.show.report.content import Content, content, plain
from scaling.show.report.formula_text import ATOM, Text, symbol_text, write
from scaling.show.report.formulas import FormulaLine
from scaling.show.report.quantities import Branch
from scaling.show.report.sheet import Sheet, Shown
from scaling.study.results import Study

SPECIAL = re.compile(r"[\\`*_{}\[\]#|~$]")
LIST_MARK = re.compile(r"\A(\d*)([-+.)])(?=\s)")
ENTITIES = {"&": "&amp;", "<": "&lt;", ">": "&gt;", "@": "&#64;", "://": "&#58;//", "www.": "www&#46;"}


class Markdown(str):
    """Text that is Markdown already; all other text is escaped on its way into the template."""

    __slots__ = ()


def write_build_log(study: Study, folder: Path, figures: dict[str, Path]) -> Path:
    """Write ``folder``/build_log.md and return its path.

    ``figures`` maps a figure's name to its PNG; links to them are relative to ``folder``. Raises
    InputError where the file cannot be written.
    """
    told = content(study, figures)
    text = _environment().get_template("build_log.md").render(
        content=told, section=lambda name: heading(told, name, folder)
    )
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
    made.filters["drift"] = drift_sheet
    made.filters["formulas"] = formula_sheet
    return made


def escape(value: object) -> Markdown:
    r"""Return text that Markdown shows as it stands: no emphasis, links, tags, headings or table cells from it.

    >>> escape("2 * <b>_x_</b> | y")
    '2 \\* &lt;b&gt;\\_x\\_&lt;/b&gt; \\| y'
    """
    if isinstance(value, Markdown):
        return value
    text = SPECIAL.sub(r"\\\g<0>", plain(str(value)))
    text = LIST_MARK.sub(r"\1\\\2", text)
    for mark, entity in ENTITIES.items():
        text = text.replace(mark, entity)
    return Markdown(text)


def heading(told: Content, section: str, folder: Path) -> Markdown:
    """Write the heading of a section, and its pictures by their paths from ``folder``."""
    links = [
        f"![{escape(picture.alt)}]({quote(Path(os.path.relpath(picture.path, folder)).as_posix())})"
        for picture in told.pictures.get(section, ())
    ]
    return Markdown("\n\n".join([f"## {escape(told.sections[section])}", *links]))


def sheet(table: Sheet) -> Markdown:
    """Write a table; headings that span columns join those under them."""
    if not table.rows:
        return Markdown("None.")
    above = [""] * table.before_spans + [text for text, width in table.spans for _ in range(width)]
    headers = [f"{header} ({over})" if over else header for header, over in zip(table.headers, above, strict=True)]
    return _table(headers, table.numeric, table.rows)


def drift_sheet(branch: Branch) -> Markdown:
    """Write a branch's drift with both clocks in one cell, which keeps the table narrow enough for a log."""
    table = branch.drift
    headers = [*table.headers[:table.before_spans],
               *(f"{text}: {' / '.join(CLOCKS)}" for text, _ in table.spans)]
    numeric = [False] * table.before_spans + [True] * len(table.spans)
    rows = []
    for row in table.rows:
        cells = list(row[:table.before_spans])
        for place in range(table.before_spans, len(row), len(CLOCKS)):
            pair = row[place:place + len(CLOCKS)]
            cells.append(Shown(Markdown(" / ".join(_text(cell) for cell in pair))))
        rows.append(tuple(cells))
    return _table(headers, numeric, rows)


def formula_sheet(lines: tuple[FormulaLine, ...]) -> Markdown:
    """List quantities with formula, SI unit, source and assumptions."""
    rows = []
    for line in lines:
        symbols = {used.name: used.symbol for used in line.inputs}
        if line.formula is None:
            names = ", ".join(used.name for used in line.inputs)
            said = escape(f"{line.words} From {names}." if names else line.words)
        else:
            left = f"{symbol_text(line.entry.symbol)} = " if ATOM.match(line.entry.symbol) else ""
            said = Markdown(f"`{left}{write(line.formula, symbols, Text())}`")
        ranges = "".join(f"; {book.range_text(valid)}" for valid in line.entry.valid)
        assumed = f"{line.entry.assumes}{ranges}".removeprefix("; ") or "-"
        source = book.cite(line.entry.source)
        cells = (line.entry.label, symbol_text(line.entry.symbol), line.unit, said, source, assumed)
        rows.append(tuple(map(Shown, cells)))
    headers = ("quantity", "symbol", "SI unit", "formula", "source", "assumes")
    return _table(headers, [False] * len(headers), rows)


def _table(headers: Sequence[str], numeric: Sequence[bool], rows: Sequence[Sequence[Shown]]) -> Markdown:
    lines: list[list[str]] = [[escape(header) for header in headers], ["---:" if right else "---" for right in numeric]]
    lines += [[_text(cell) for cell in row] for row in rows]
    return Markdown("\n".join(f"| {' | '.join(line)} |" for line in lines))


def _text(cell: Shown) -> str:
    text = escape(cell.text)
    return f"**{text}**" if cell.worse else text
