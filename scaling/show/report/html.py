"""The report: a page that needs nothing beside it, and a file behind it with every number, formula and source."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from scaling.files.version import VERSION
from scaling.files.write import write_text
from scaling.formulas import book
from scaling.show.explorer.page import Explorer, explorer_of
from scaling.show.report.answer import Answer
from scaling.show.report.formula_text import ATOM, MathML, symbol_mathml, write
from scaling.show.report.formulas import FormulaLine
from scaling.show.report.numbers import numbers_content
from scaling.show.report.page import page_content
from scaling.show.report.pictures import Placed
from scaling.show.report.plain import plain
from scaling.show.report.policy import policy

HERE = Path(__file__).parent

UNIT_GAP = re.compile(r"(?<=\d) (?=%|(?:k?g|k?J|m?m|m/s|s|N|rpm|[AVW])\b)")
"""The gap between a number and its unit, where no line may break."""

NUMBERS_FILE = "formulas.html"


def write_report(answer: Answer, folder: Path, pictures: Placed) -> Path:
    """Write ``folder``/report.html and formulas.html beside it, and return the former's path.

    ``pictures`` are those that stand in each section. Raises InputError where a file cannot be written.
    """
    pages = {
        "report.html": page_content(answer, pictures),
        NUMBERS_FILE: numbers_content(answer, pictures),
    }
    style, script = ((HERE / name).read_text(encoding="utf-8") for name in ("style.css", "page.js"))
    explorers = {"report.html": explorer_of(answer.study)}
    for name, content in pages.items():
        explorer = explorers.get(name, Explorer())
        styles, scripts = style + explorer.style, script + explorer.script
        text = _environment().get_template(name).render(
            content=content,
            explorer=explorer,
            policy=policy([styles], [scripts]),
            style=Markup(styles),  # noqa: S704 - the package's own files
            script=Markup(scripts),  # noqa: S704 - the package's own files
            version=VERSION,
            numbers_file=NUMBERS_FILE,
        )
        write_text(folder / name, text)
    return folder / "report.html"


@cache
def _environment() -> Environment:
    made = Environment(
        loader=FileSystemLoader(HERE), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True,
        finalize=lambda value: UNIT_GAP.sub("\u00a0", plain(value)) if type(value) is str else value,
    )
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
