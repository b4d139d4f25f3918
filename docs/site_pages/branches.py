"""A page a branch of the physics: every entry with its formula, inputs, source, assumptions and range."""

from __future__ import annotations

from collections import Counter
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING

from docutils import nodes
from docutils.parsers.rst import Directive

from scaling.book.entry import Branch, Quantity
from scaling.formulas import book
from scaling.robot.schema import DESIGN
from scaling.show.report.formula_text import unit_text
from scaling.show.report.formulas import FormulaLine, Input, formula_line
from scaling.show.report.html import formula_math, symbol_math
from site_pages.parts import code, html, key_anchor, paragraph, quantity_anchor, section

if TYPE_CHECKING:
    from sphinx.application import Sphinx

ROLES = {
    "handling": "a driver feels it",
    "survival": "something ends by it",
    "budget": "a budget that must close",
    "yardstick": "a headline figure",
    "detail": "a step on the way to others",
}
CLOCKS = {"gravity": "gravity's clock", "driver": "the driver's clock", "match": "the match's clock"}
BETTER = {"higher": "higher is better", "lower": "lower is better", "same": "like the reference is best"}


def write_pages(app: Sphinx) -> None:
    """Write a page a branch, and the list of them, into the folder of formulas."""
    folder = Path(app.srcdir) / "formulas"
    for branch in book.branches:
        _write(folder / f"{branch.name}.rst", f"{_title(branch.title)}\n.. branch:: {branch.name}\n")
    works = sum(len(branch.quantities) for branch in book.branches)
    text = (
        f"{_title('Formulas')}\n"
        f"The book holds {works} entries for {len(book.quantities)} quantities. Where a quantity has several, the "
        "first whose conditions a design meets and whose inputs are known is the one that counts. Each entry is "
        "written once, and read as numbers, as dimensions and as powers of the factor.\n\n"
        ".. toctree::\n   :maxdepth: 1\n\n"
    )
    _write(folder / "index.rst", text + "".join(f"   {branch.name}\n" for branch in book.branches))


def _title(text: str) -> str:
    return f"{text}\n{'=' * len(text)}\n"


def _write(path: Path, text: str) -> None:
    """Write a page unless it stands there already, so that it need not be read again."""
    if not path.is_file() or path.read_text(encoding="utf-8") != text:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


class BranchDirective(Directive):
    """``.. branch:: NAME``: all entries of a branch."""

    required_arguments = 1

    def run(self) -> list[nodes.Node]:
        """Return the list of entries, and each of them as a section."""
        branch = next(branch for branch in book.branches if branch.name == self.arguments[0])
        told: dict[tuple[object, tuple[str, ...]], str] = {}
        met: Counter[str] = Counter()
        sections = []
        for entry in branch.quantities:
            sections.append(_entry(entry, met[entry.name], formula_line(entry, told)))
            met[entry.name] += 1
        return [_listing(branch), *sections]


def _listing(branch: Branch) -> nodes.raw:
    names = {entry.name: entry.label for entry in branch.quantities}
    items = "".join(f'<li><a href="#{quantity_anchor(name)}">{escape(label)}</a></li>' for name, label in names.items())
    return html(f'<ul class="columns">{items}</ul>')


def _entry(entry: Quantity, place: int, line: FormulaLine) -> nodes.section:
    unit = "no unit" if entry.unit == "1" else line.unit
    about = [unit, BETTER[entry.better], ROLES[entry.role]]
    about += [f"by {CLOCKS[entry.clock]}"] if entry.clock else []
    head = paragraph(code(entry.name), f", {'; '.join(about)}.")
    where = [paragraph("For a design with ", *_listed(entry.when), ".")] if entry.when else []
    return section(entry.label, quantity_anchor(entry.name, place), head, *where, html(_facts(entry, line)))


def _listed(words: tuple[str, ...]) -> list[str | nodes.Node]:
    found: list[str | nodes.Node] = []
    for word in words:
        found += [", ", code(word)] if found else [code(word)]
    return found


def _facts(entry: Quantity, line: FormulaLine) -> str:
    """The formula and what it rests on, as HTML."""
    formula = f'<div class="equation">{formula_math(line)}</div>' if line.formula is not None else ""
    words = f"<p>{escape(line.words)}</p>" if line.words else ""
    rows = [("Inputs", f"<ul>{''.join(map(_input, line.inputs))}</ul>")] if line.inputs else []
    rows.append(("Source", f"<p>{escape(book.cite(entry.source))}</p>"))
    if entry.assumes:
        rows.append(("Assumes", f"<p>{escape(entry.assumes)}</p>"))
    if entry.valid:
        rows.append(("Range", "".join(f"<p>{escape(book.range_text(valid))}</p>" for valid in entry.valid)))
    facts = "".join(f"<dt>{name}</dt><dd>{inside}</dd>" for name, inside in rows)
    return f'{formula}{words}<dl class="facts">{facts}</dl>'


def _input(used: Input) -> str:
    name, unit = escape(used.name), _unit(used.name)
    address, shown = _address(used.name), f"<code>{name}</code>"
    shown = f'<a href="{address}">{shown}</a>' if address else shown
    return f"<li>{symbol_math(used.symbol)} {escape(used.meaning)}{unit}, {shown}</li>"


def _unit(name: str) -> str:
    unit = book.variables[name].unit if name in book.variables else book.quantities[name].unit
    return "" if unit == "1" else f", {escape(unit_text(unit))}"


def _address(name: str) -> str | None:
    """Where an input is told of: its own entry, or its key in the design file; None where it is no file's."""
    if name in book.quantities:
        return f"{book.quantities[name].branch}.html#{quantity_anchor(name)}"
    return f"../files/design.html#{key_anchor(name)}" if name in DESIGN.keys else None
