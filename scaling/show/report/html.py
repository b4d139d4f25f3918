"""The report: one HTML file that needs nothing beside it."""

from __future__ import annotations

import base64
import re
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from scaling.files.version import VERSION
from scaling.files.write import write_text
from scaling.formulas import book
from scaling.show.explorer.page import explorer_of
from scaling.show.report.content import content, plain
from scaling.show.report.formula_text import ATOM, MathML, symbol_mathml, write
from scaling.show.report.formulas import FormulaLine
from scaling.study.results import Study

HERE = Path(__file__).parent

UNIT_GAP = re.compile(r"(?<=\d) (?=%|(?:k?g|k?J|m?m|m/s|s|N|rpm|[AVW])\b)")
"""The gap between a number and its unit, where no line may break."""


def write_report(study: Study, folder: Path, figures: dict[str, Path]) -> Path:
    """Write ``folder``/report.html and return its path.

    ``figures`` maps a figure's name to its PNG, beside which an SVG of the same stem may lie. Raises
    InputError where the file cannot be written.
    """
    explorer = explorer_of(study)
    text = _environment().get_template("report.html").render(
        content=content(study, figures),
        explorer=explorer,
        style=Markup((HERE / "style.css").read_text(encoding="utf-8") + explorer.style),  # noqa: S704 - our own files
        version=VERSION,
    )
    path = folder / "report.html"
    write_text(path, text)
    return path


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
    made.filters["data_uri"] = data_uri
    return made


def data_uri(figure: Path) -> str:
    """Return a figure's PNG, or the SVG beside it, as a data URI.

    An image of its own keeps ids and scripts in it to itself. The smaller of both is taken, which keeps the file small
    enough to send by mail.
    """
    kinds = {figure: "png", figure.with_suffix(".svg"): "svg+xml"}
    path = min((path for path in kinds if path.exists()), key=lambda path: path.stat().st_size)
    kind = kinds[path]
    return f"data:image/{kind};base64,{base64.b64encode(path.read_bytes()).decode('ascii')}"


def symbol_math(symbol: str) -> Markup:
    """Return a symbol as inline MathML; what it is made from is escaped."""
    return Markup(f"<math><mrow>{symbol_mathml(symbol)}</mrow></math>")  # noqa: S704


def formula_math(line: FormulaLine) -> Markup:
    """Return a closed formula as an equation in MathML; names in it are escaped."""
    right = write(line.formula, {used.name: used.symbol for used in line.inputs}, MathML())
    # A symbol such as E/m is a formula already, and an equation would only say it twice.
    left = f"{symbol_mathml(line.entry.symbol)}<mo>=</mo>" if ATOM.match(line.entry.symbol) else ""
    return Markup(f'<math display="block"><mrow>{left}{right}</mrow></math>')  # noqa: S704
