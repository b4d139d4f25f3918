"""The report: a page that needs nothing beside it, and a file behind it with every number, formula and source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from scaling.files.version import VERSION
from scaling.files.write import write_text
from scaling.formulas import book
from scaling.show.explorer.page import Explorer, explorer_of
from scaling.show.report.answer import Answer
from scaling.show.report.cells import cells, fitted
from scaling.show.report.formula_text import ATOM, MathML, symbol_mathml, write
from scaling.show.report.formulas import FormulaLine
from scaling.show.report.numbers import NumbersContent, numbers_content
from scaling.show.report.page import PageContent, page_content
from scaling.show.report.pictures import Placed
from scaling.show.report.policy import policy

HERE = Path(__file__).parent

PAGE_FILE, NUMBERS_FILE = "report.html", "formulas.html"


@dataclass(frozen=True)
class Report:
    """All that the two files say but pictures: what each shows by its name, and what is to be tried on the page."""

    contents: Mapping[str, PageContent | NumbersContent]
    explorer: Explorer


def report_of(answer: Answer) -> Report:
    """Work out all that a report says before its pictures are there; templates are read meanwhile too."""
    contents: dict[str, PageContent | NumbersContent] = {
        PAGE_FILE: page_content(answer), NUMBERS_FILE: numbers_content(answer)
    }  # fmt: skip
    for name in contents:
        _environment().get_template(name)
    return Report(contents, explorer_of(answer.study))


def write_report(report: Report, folder: Path, pictures: Placed) -> Path:
    """Write ``folder``/report.html and formulas.html beside it, and return the former's path.

    ``pictures`` are those that stand in each section. Raises InputError where a file cannot be written.
    """
    style, script = ((HERE / name).read_text(encoding="utf-8") for name in ("style.css", "page.js"))
    for name, content in report.contents.items():
        explorer = report.explorer if name == PAGE_FILE else Explorer()
        styles, scripts = style + explorer.style, script + explorer.script
        text = _environment().get_template(name).render(
            content=replace(content, pictures=pictures),
            explorer=explorer,
            policy=policy([styles], [scripts]),
            style=Markup(styles),  # noqa: S704 - the package's own files
            script=Markup(scripts),  # noqa: S704 - the package's own files
            version=VERSION,
            numbers_file=NUMBERS_FILE,
        )
        write_text(folder / name, text)
    return folder / PAGE_FILE


@cache
def _environment() -> Environment:
    made = Environment(
        loader=FileSystemLoader(HERE), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True,
        finalize=lambda value: fitted(value) if type(value) is str else value,
    )
    made.filters["cells"] = cells
    made.filters["symbol"] = symbol_math
    made.filters["formula"] = formula_math
    made.filters["cite"] = book.cite
    made.filters["range"] = book.range_text
    return made


def symbol_math(symbol: str) -> Markup:
    """Return a symbol as inline MathML; what it is made from is escaped."""
    return Markup(f"<math><mrow>{symbol_mathml(symbol)}</mrow></math>")  # noqa: S704


def formula_math(line: FormulaLine) -> Markup:
    """Return a closed formula as an equation in MathML; names in it are escaped."""
    assert line.formula is not None  # noqa: S101 - for the type checker; models have words
    right = write(line.formula, {used.name: used.symbol for used in line.inputs}, MathML())
    # A symbol such as E/m is a formula already, and an equation would only say it twice.
    left = f"{symbol_mathml(line.entry.symbol)}<mo>=</mo>" if ATOM.match(line.entry.symbol) else ""
    return Markup(f'<math display="block"><mrow>{left}{right}</mrow></math>')  # noqa: S704
