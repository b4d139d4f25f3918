"""What a report says, in order, as data: the HTML file and the build log only render it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import sympy

from scaling.drift import CLOCKS, worse
from scaling.formulas import book
from scaling.formulas.book import Model, Quantity
from scaling.groups import SETS
from scaling.laws import SIMILAR_MACHINE
from scaling.report.formula_text import symbols_of, unit_text
from scaling.study import Port, Study, group_values
from scaling.tables import Cell, Table, cell_text, drift_table, laws_table, mass_table, port_names, problems_table, worst_first
from scaling.units import format_value, shown_unit, to_shown
from scaling.verdicts import ALIKE, cautions, drift_size, rule_lines, verdict

WORST = 10

BRANCH_TITLES = {
    "mass": "Mass",
    "rotor": "Rotor",
    "gyro": "Gyroscopic",
    "impact": "Impact",
    "structure": "Structure",
    "joints": "Joints",
    "transmission": "Transmission",
    "drive": "Drive",
    "electrical": "Electrical",
    "thermal": "Thermal",
    "righting": "Righting",
}

READING = (
    "Similarity ratio: what a quantity would be multiplied by if the port behaved exactly like the reference. It follows "
    "from the quantity's dimensions alone: mass ratio, factor, time ratio and current ratio, each to the quantity's own "
    "power. Temperature does not scale.",
    "Drift: the computed ratio over the similarity ratio. 1 is like the reference; 0.8 is a fifth less than "
    "like-the-reference, 1.25 a quarter more. Whether less is a loss stands in the column 'better': higher, lower, or same "
    "as the reference.",
    "Clocks: by gravity's clock time grows as the square root of the factor, so that falls, tips and throws look alike in "
    "body lengths. By the driver's clock time does not scale, since a person's reaction stays as it is. Judge throws, tips "
    "and rolls by gravity's clock, and what the driver must answer in time by the driver's.",
    "Margins: strength over stress. A material's strength does not grow with the factor, so judge survival by the margin's "
    "own value and not by the drift of the stress. A margin below 1 means that the elastic estimate says it yields or "
    "breaks; one above 1 says what was computed from the stated inputs, and no more.",
    "Arena, driver, gravity and materials do not scale, so that no port is like the reference in everything: choose what "
    "to give up.",
    "Exponent: the power of the factor that a quantity follows along a law. It is exact where a fraction stands, and the "
    "local slope at the port's factor where it is marked local.",
)


@dataclass(frozen=True)
class Shown:
    """A cell as text; ``number`` says that it lines up to the right, ``worse`` that it is against the builder."""

    text: str
    number: bool = False
    worse: bool = False


@dataclass(frozen=True)
class Sheet:
    """A table ready to show: ``spans`` are headings over so many of the last columns, or none."""

    title: str
    headers: tuple[str, ...]
    rows: tuple[tuple[Shown, ...], ...]
    spans: tuple[tuple[str, int], ...] = ()

    @property
    def before_spans(self) -> int:
        """Number of columns that stand before those under ``spans``."""
        return len(self.headers) - sum(width for _, width in self.spans)


@dataclass(frozen=True)
class Branch:
    """The quantities of one branch, worst first: their values, and their drift by both clocks."""

    title: str
    values: Sheet
    drift: Sheet


@dataclass(frozen=True)
class Input:
    """A variable or quantity that a formula uses."""

    name: str
    symbol: str
    meaning: str


@dataclass(frozen=True)
class FormulaLine:
    """A quantity as it was computed: a closed ``formula``, or a numeric ``model`` in words."""

    entry: Quantity
    unit: str
    inputs: tuple[Input, ...]
    formula: sympy.Expr | None
    model: str


@dataclass(frozen=True)
class Figure:
    """A figure's heading, what it shows in words, and its file."""

    name: str
    title: str
    alt: str
    path: Path


@dataclass(frozen=True)
class Content:
    """Everything that the report and the build log say."""

    title: str
    answer: str
    verdicts: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
    laws: Sheet
    worst: Sheet
    problems: Sheet
    rules: tuple[str, ...]
    mass: Sheet
    branches: tuple[Branch, ...]
    groups: tuple[tuple[str, Sheet], ...]
    reading: tuple[str, ...]
    formulas: tuple[tuple[str, tuple[FormulaLine, ...]], ...]
    inputs: Sheet
    notes: tuple[str, ...]
    alike: str


def content(study: Study) -> Content:
    """Put a study into the words, tables and formulas of its report."""
    mass, limit = study.design.variables["mass"], study.brief.mass_limit
    return Content(
        title=f"{study.design.name}: {format_value(mass, 'kg', 4)} to a limit of {format_value(limit, 'kg', 4)}",
        answer=answer(study),
        verdicts=tuple(zip(port_names(study), map(verdict, study.ports), strict=True)),
        cautions=tuple(cautions(study)),
        laws=_sheet(laws_table(study), 4),
        worst=_worst(study),
        problems=_problems(study),
        rules=(*rule_lines(study), SIMILAR_MACHINE),
        mass=_sheet(mass_table(study), 4),
        branches=tuple(_branches(study)),
        groups=tuple(_groups(study)),
        reading=READING,
        formulas=tuple(_formulas(study)),
        inputs=_inputs(study),
        notes=study.design.notes,
        alike=f"{ALIKE * 100:.0f} %",
    )


def answer(study: Study) -> str:
    """Which law meets the mass limit, at which factor, and by how much the others miss."""
    allowed = study.brief.mass_limit - study.brief.mass_margin
    text = (f"The limit of {format_value(study.brief.mass_limit, 'kg', 4)} less the margin of "
            f"{format_value(study.brief.mass_margin, 'kg', 3)} leaves {format_value(allowed, 'kg', 4)}. ")
    found: dict[tuple[str, str], list[str]] = {}
    for name, port in zip(port_names(study), study.ports, strict=True):
        found.setdefault((port.request.law, _outcome(port, allowed)), []).append(name)
    return text + " ".join(f"Law {law} (port{'s' if len(names) > 1 else ''} {', '.join(names)}) {outcome}."
                           for (law, outcome), names in found.items())


def _outcome(port: Port, allowed: float) -> str:
    if port.factor is None:
        return "meets it with no factor"
    mass = port.variables["mass"]
    at = f"at factor {cell_text(port.factor, 4)} with {format_value(mass, 'kg', 4)}"
    if any(problem.code == "mass_over_limit" for problem in port.problems):
        return f"misses it {at}, {format_value(mass - allowed, 'kg', 3)} over"
    return f"meets it {at}"


def _cell(cell: Cell, digits: int) -> Shown:
    return Shown(cell_text(cell, digits), number=isinstance(cell, int | float) or cell is None)


def _sheet(table: Table, digits: int = 3) -> Sheet:
    return Sheet(table.title, table.headers, tuple(tuple(_cell(cell, digits) for cell in row) for row in table.rows))


def _unit(unit: str) -> str:
    return shown_unit(unit) or "no unit"


def _worst(study: Study) -> Sheet:
    names = worst_first(study)[:WORST]
    rows = [
        (Shown(row[0].text), *row[1:4], Shown(_unit(book.quantities()[name].unit)),
         *(_drift(port, name, "gravity") for port in study.ports))
        for name, row in zip(names, _sheet(drift_table(study, names)).rows, strict=True)
    ]
    return Sheet(f"The {len(rows)} quantities that drift most", ("branch", "quantity", "better", "reference", "unit",
                 *port_names(study)), tuple(rows), (("drift by gravity's clock, no unit", len(study.ports)),))


def _drift(port: Port, name: str, clock: str) -> Shown:
    entry = port.quantities.get(name)
    drift = None if entry is None else entry.drift.get(clock)
    against = (drift is not None and drift_size(drift) > math.log1p(ALIKE)
               and worse(drift, book.quantities()[name].better))
    return Shown(cell_text(drift), number=True, worse=against)


def _problems(study: Study) -> Sheet:
    table = problems_table(study)
    rows = tuple((Shown(str(ports).replace(" ", ", ")), Shown(str(text))) for ports, _, text in table.rows)
    return Sheet(table.title, ("ports", "problem"), rows)


def _branches(study: Study) -> Iterable[Branch]:
    order = worst_first(study)
    order += [name for name in study.reference if name not in order]
    letters = port_names(study)
    for branch in book.BRANCHES:
        names = [name for name in order if book.quantities()[name].branch == branch]
        if not names:
            continue
        title = BRANCH_TITLES[branch]
        values = Sheet(f"{title}: values", ("quantity", "unit", "reference", *letters),
                       tuple(_values(study, name) for name in names), (("value in that unit", len(letters) + 1),))
        drift = Sheet(
            f"{title}: drift, 1 is like the reference", ("quantity", "better", *CLOCKS * len(letters)),
            tuple(_drifts(study, name) for name in names),
            tuple((f"{letter}: drift by clock, no unit", len(CLOCKS)) for letter in letters),
        )
        yield Branch(title, values, drift)


def _values(study: Study, name: str) -> tuple[Shown, ...]:
    entry = book.quantities()[name]
    found = [study.reference.get(name), *(_value(port, name) for port in study.ports)]
    return (Shown(entry.label), Shown(_unit(entry.unit)),
            *(_cell(None if value is None else to_shown(value, entry.unit), 3) for value in found))


def _value(port: Port, name: str) -> float | None:
    return port.quantities[name].value if name in port.quantities else None


def _drifts(study: Study, name: str) -> tuple[Shown, ...]:
    entry = book.quantities()[name]
    return (Shown(entry.label), Shown(entry.better),
            *(_drift(port, name, clock) for port in study.ports for clock in CLOCKS))


def _groups(study: Study) -> Iterable[tuple[str, Sheet]]:
    from scaling.groups import expression_text

    for group_set in SETS:
        rows: list[tuple[Shown, ...]] = []
        for group in study.groups:
            if group.set_name != group_set.name:
                continue
            own, ports = group_values(study, group)
            text = expression_text(group.expression)
            name = "(no name)" if group.name == text else group.name
            rows.append((Shown(text), Shown(name), *(_cell(value, 3) for value in (own, *ports))))
        if rows:
            title = group_set.label[0].upper() + group_set.label[1:]
            yield title, Sheet(title, ("expression", "group", "reference", *port_names(study)), tuple(rows),
                               (("value, no unit", len(study.ports) + 1),))


def used_entries(study: Study) -> list[Quantity]:
    """The book's entries by which the study's quantities were computed, in the order of the book."""
    known = set(study.design.variables)
    shown = set(study.reference).union(*(port.quantities for port in study.ports))
    found: list[Quantity] = []
    placed: set[str] = set()
    for entry in book.entries():
        # As evaluation does: the first entry that the design's traits and inputs allow is the one that counts.
        if entry.name in placed or not study.design.traits.issuperset(entry.when) or not known.issuperset(entry.inputs):
            continue
        placed.add(entry.name)
        known.add(entry.name)
        if entry.name in shown:
            found.append(entry)
    return found


def _formulas(study: Study) -> Iterable[tuple[str, tuple[FormulaLine, ...]]]:
    entries = used_entries(study)
    for branch in book.BRANCHES:
        lines = tuple(_formula(entry) for entry in entries if entry.branch == branch)
        if lines:
            yield BRANCH_TITLES[branch], lines


def _formula(entry: Quantity) -> FormulaLine:
    symbols = symbols_of(entry.inputs)
    inputs = tuple(Input(name, symbols[name], _meaning(name)) for name in entry.inputs)
    if not isinstance(entry.formula, Model):
        return FormulaLine(entry, unit_text(entry.unit), inputs, entry.formula, "")
    said = " ".join((entry.formula.function.__doc__ or "").split("\n\n")[0].split())
    model = f"numeric model {entry.formula.function.__name__}, result {entry.formula.output}: {said}"
    return FormulaLine(entry, unit_text(entry.unit), inputs, None, model)


def _meaning(name: str) -> str:
    if name in book.variables():
        return book.variables()[name].meaning
    label = book.quantities()[name].label
    return label[0].lower() + label[1:]


def _inputs(study: Study) -> Sheet:
    """The numbers that the formulas were given."""
    rows: list[tuple[Shown, ...]] = []
    for key, value in study.design.variables.items():
        variable = book.variables()[key]
        found = (value, *(port.variables.get(key) for port in study.ports))
        rows.append((Shown(key), Shown(variable.meaning), Shown(_unit(variable.unit)),
                     *(_cell(None if one is None else to_shown(one, variable.unit), 4) for one in found)))
    return Sheet("Inputs", ("key", "meaning", "unit", "reference", *port_names(study)), tuple(rows),
                 (("value in that unit", len(study.ports) + 1),))


FIGURES: dict[str, tuple[str, str]] = {
    "drift": (
        "Drift of the ports",
        "Drift of each port of {name} by quantity; 1 is like the reference. The table below it holds the worst ten, and "
        "the drift table by branch all of them.",
    ),
    "factor_curves": (
        "Against the factor",
        "What quantities of {name} do as the factor changes, by law and rule.",
    ),
    "mass": (
        "Mass by group of parts",
        "Mass of {name} and of each port by group of parts, against the limit; the table above it holds every part.",
    ),
    "exponents": (
        "Exponents along each law",
        "Power of the factor that each quantity of {name} follows, by port.",
    ),
}


def figures_of(study: Study, paths: dict[str, Path], wanted: Sequence[str] = tuple(FIGURES)) -> dict[str, Figure]:
    """The figures that there are, by name, each with its words."""
    return {
        name: Figure(name, FIGURES[name][0], FIGURES[name][1].format(name=study.design.name), paths[name])
        for name in wanted if name in paths
    }
