"""Result rows as data: the terminal, the CSV files and the reports only render them."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from scaling.design import Design
from scaling.explain import FULL_TRAITS
from scaling.fasteners import fastener_lines
from scaling.formulas import book
from scaling.groups import SETS, expression_text, group_value, groups_of
from scaling.laws import SPEED_RULES
from scaling.mesh import MassProperties
from scaling.options import Option
from scaling.outline import HOLE_TOLERANCE, Change, Outline
from scaling.port import pure_inputs
from scaling.problems import Problem
from scaling.study import PartLine, Port, PortQuantity, Study, group_values, reference_values
from scaling.units import format_number, shown_unit, to_shown
from scaling.verdicts import drift_size, factor_source
from scaling.window import Window

if TYPE_CHECKING:
    import pandas

Cell = str | float | int | None


@dataclass(frozen=True)
class Table:
    """A table: ``headers`` with units in them, and rows of text, numbers or None for what is absent."""

    name: str
    title: str
    headers: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def port_names(study: Study) -> tuple[str, ...]:
    """Short names of the ports for column heads: letters, explained in the table of laws."""
    return tuple(_letters(place) for place in range(len(study.ports)))


def _letters(place: int) -> str:
    first, second = divmod(place, 26)
    return (chr(64 + first) if first else "") + chr(65 + second)


def laws_table(study: Study) -> Table:
    """The factor of each port and where it came from, mass and what is left under the limit less the margin."""
    rows: list[tuple[Cell, ...]] = []
    for name, port in zip(port_names(study), study.ports, strict=True):
        mass = round(to_shown(port.variables["mass"], "kg"), 6) if port.factor is not None else None
        allowed = round(to_shown(port.mass_limit - study.brief.mass_margin, "kg"), 6)
        rows.append(
            (
                name,
                port.request.law,
                port.request.speed_rule or "-",
                port.request.drive_rule,
                port.factor,
                port.continuous_factor,
                port.naive_factor,
                mass,
                None if mass is None else allowed - mass,
                len(port.problems),
                factor_source(port),
            )
        )
    return Table(
        "laws",
        "Factor of each law and where it comes from",
        (
            "port",
            "law",
            "speed rule",
            "drive rule",
            "factor",
            "unsnapped",
            "cube root",
            "mass, g",
            "left, g",
            "problems",
            "factor from",
        ),
        tuple(rows),
    )


def worst_first(study: Study, clock: str = "gravity") -> list[str]:
    """Names of the quantities, those that drift most in any port first."""
    worst: dict[str, float] = {}
    for port in study.ports:
        for name, entry in port.quantities.items():
            worst[name] = max(worst.get(name, 0.0), drift_size(entry.drift.get(clock)))
    return sorted(worst, key=lambda name: -worst[name])


def drift_table(study: Study, names: list[str], clock: str = "gravity") -> Table:
    """Reference value and each port's drift of the named quantities."""
    rows: list[tuple[Cell, ...]] = []
    for name in names:
        entry = book.quantities()[name]
        own = study.reference.get(name)
        rows.append(
            (
                entry.branch,
                entry.label,
                entry.better,
                None if own is None else to_shown(own, entry.unit),
                shown_unit(entry.unit),
                *(_drift(port.quantities.get(name), clock) for port in study.ports),
            )
        )
    return Table(
        "drift",
        f"Drift by the {clock}'s clock: 1 is like the reference",
        ("branch", "quantity", "better", "reference", "unit", *port_names(study)),
        tuple(rows),
    )


def _drift(entry: PortQuantity | None, clock: str) -> float | None:
    return None if entry is None else entry.drift.get(clock)


def quantities_table(study: Study) -> Table:
    """Every quantity of every port in long form, SI units: for the builder's own sums."""
    rows: list[tuple[Cell, ...]] = []
    for letter, port in zip(port_names(study), study.ports, strict=True):
        for name, found in port.quantities.items():
            rows.append(
                (
                    letter,
                    book.quantities()[name].branch,
                    name,
                    found.unit,
                    study.reference.get(name),
                    found.value,
                    found.ratio,
                    exponent_text(found.exponent),
                    found.similarity.get("gravity"),
                    found.drift.get("gravity"),
                    found.similarity.get("driver"),
                    found.drift.get("driver"),
                )
            )
    return Table(
        "quantities",
        "Every quantity of every port",
        (
            "port",
            "branch",
            "quantity",
            "SI unit",
            "reference",
            "value",
            "ratio",
            "exponent",
            "similarity ratio, gravity's clock",
            "drift, gravity's clock",
            "similarity ratio, driver's clock",
            "drift, driver's clock",
        ),
        tuple(rows),
    )


def exponent_text(exponent: Fraction | float | None) -> str:
    """An exact exponent as 'p/q', a local one as a number with a tilde, nothing as a dash."""
    if exponent is None:
        return "-"
    return str(exponent) if isinstance(exponent, Fraction) else f"{exponent:.2f}~"


def mass_table(study: Study) -> Table:
    """Mass of each part, g of all pieces: the reference's and each port's.

    Ideal is the part's own rule, closed is after the levers that close the mass, snapped with the thickness that
    the shelf has; a port without steps has one column, and ports with equal masses share theirs.
    """
    alike: dict[tuple[PartLine, ...], list[str]] = {}
    for name, port in zip(port_names(study), study.ports, strict=True):
        alike.setdefault(port.parts, []).append(name)
    shown = [
        (" ".join(names), port) for names in alike.values() for port in [study.ports[port_names(study).index(names[0])]]
    ]
    headers = ["part", "group", "kind", "reference, g"]
    for name, port in shown:
        headers += [f"{name} {column}".strip() + ", g" for column in _mass_columns(port)]
    rows: list[tuple[Cell, ...]] = []
    for part in study.design.parts:
        cells: list[Cell] = []
        for _, port in shown:
            line = next((line for line in port.parts if line.name == part.name), None)
            cells += [_grams(line, column) for column in _mass_columns(port)]
        rows.append((part.name, part.group, part.kind, to_shown(part.total, "kg"), *cells))
    sums: list[Cell] = []
    for _, port in shown:
        for column in _mass_columns(port):
            grams = [_grams(line, column) for line in port.parts]
            sums.append(sum(value for value in grams if value is not None) if grams else None)
    rows.append(("sum", "", "", to_shown(study.design.variables["mass"], "kg"), *sums))
    return Table("mass", "Mass of each part", tuple(headers), tuple(rows))


def _mass_columns(port: Port) -> list[str]:
    return [
        *(["ideal"] if port.snaps or port.closure else []),
        *(["closed"] if port.closure else []),
        "snapped" if port.snaps else "",
    ]


def _grams(line: PartLine | None, column: str) -> float | None:
    if line is None:
        return None
    return to_shown({"ideal": line.ideal, "closed": line.closed}.get(column, line.port), "kg")


def closure_table(study: Study) -> Table:
    """What closed the mass where the factor is given, and what is left or missing."""
    rows: list[tuple[Cell, ...]] = []
    for letter, port in zip(port_names(study), study.ports, strict=True):
        if not port.closure:
            continue
        allowed = port.mass_limit - study.brief.mass_margin
        rows += [
            (letter, step.lever, ", ".join(step.parts), step.setting, 1e3 * step.removed, None) for step in port.closure
        ]
        left = allowed - port.variables["mass"]
        rows.append(
            (letter, "sum", "", "left" if left >= 0 else "too heavy", 1e3 * abs(left), 100 * abs(left) / allowed)
        )
    return Table(
        "closure",
        "What closed the mass at a given factor",
        ("port", "lever", "parts", "setting", "mass taken out or left, g", "share of the limit, %"),
        tuple(rows),
    )


def holes_table(study: Study) -> Table:
    """Holes and fasteners at each port, mm: holes do not scale, the load decides."""
    rows: list[tuple[Cell, ...]] = []
    for letter, port in zip(port_names(study), study.ports, strict=True):
        for line in fastener_lines(study, port):
            rows.append(
                (
                    letter,
                    line.name,
                    line.reference,
                    line.scaled_diameter * 1e3,
                    line.scaled_hole * 1e3,
                    line.load_ratio,
                    line.size or "none on the shelf",
                    None if line.hole is None else line.hole * 1e3,
                    None if line.edge is None else line.edge * 1e3,
                    line.kept_count,
                )
            )
    return Table(
        "holes",
        "Holes and fasteners for the port's load",
        (
            "port",
            "joint",
            "reference",
            "bolt if scaled, mm",
            "hole if scaled, mm",
            "load ratio",
            "bolt that carries it",
            "its clearance hole, mm",
            "edge distance, mm",
            "count if the size is kept",
        ),
        tuple(rows),
    )


def stock_table(study: Study) -> Table:
    """What the shelf did to each dimension that comes from one, mm."""
    rows = tuple(
        (
            letter,
            snap.name,
            snap.shelf,
            snap.how,
            snap.ideal * 1e3,
            snap.snapped * 1e3,
            100 * (snap.snapped / snap.ideal - 1),
        )
        for letter, port in zip(port_names(study), study.ports, strict=True)
        for snap in port.snaps
    )
    return Table(
        "stock",
        "What the shelves did to the dimensions",
        ("port", "dimension", "shelf", "snap", "ideal, mm", "snapped, mm", "change, %"),
        rows,
    )


def stock_effect_table(study: Study, least: float = 0.01) -> Table:
    """What the shelves did to drift: quantities that changed by more than ``least``, largest change first."""
    rows: list[tuple[Cell, ...]] = []
    for letter, port in zip(port_names(study), study.ports, strict=True):
        changes: list[tuple[float, tuple[Cell, ...]]] = []
        for name, ideal in port.ideal.items():
            entry, drift = port.quantities.get(name), _drift(port.quantities.get(name), "gravity")
            if entry is None or drift is None or not ideal or abs(entry.value / ideal - 1) <= least:
                continue
            label = book.quantities()[name].label
            changes.append((abs(entry.value / ideal - 1), (letter, label, drift * ideal / entry.value, drift)))
        rows += [row for _, row in sorted(changes, key=lambda change: -change[0])]
    return Table(
        "stock_effect",
        "What the shelves did to drift (gravity's clock, same factor)",
        ("port", "quantity", "drift, ideal sizes", "drift, snapped sizes"),
        tuple(rows),
    )


def groups_table(study: Study) -> Table:
    """Every dimensionless group: its set, reference value and each port's."""
    rows: list[tuple[Cell, ...]] = []
    for group in study.groups:
        own, ports = group_values(study, group)
        rows.append((group.set_name, group.name, expression_text(group.expression), own, *ports))
    return Table(
        "groups", "Dimensionless groups", ("set", "group", "expression", "reference", *port_names(study)), tuple(rows)
    )


def problems_table(study: Study, brief: bool = False) -> Table:
    """Every problem with the ports that have it: equal sentences, or ones about one quantity, are one row.

    ``brief`` leaves out what rests on a broken range.
    """
    found: dict[tuple[str, str], list[tuple[str, Problem]]] = {}
    for letter, port in zip(port_names(study), study.ports, strict=True):
        for problem in port.problems:
            found.setdefault((problem.code, problem.about or problem.text), []).append((letter, problem))
    rows = tuple(
        (" ".join(letter for letter, _ in those), code, _joint_text(those).split(" Rests on it:" if brief else "\0")[0])
        for (code, _), those in found.items()
    )
    return Table("problems", "Problems", ("ports", "code", "problem"), rows)


def _joint_text(those: list[tuple[str, Problem]]) -> str:
    """The first port's sentence, and the numbers of the others where they differ."""
    text = those[0][1].text
    differing = [
        (letter, problem.value) for letter, problem in those if problem.text != text and problem.value is not None
    ]
    if not differing:
        return text
    others = ", ".join(f"{letter} {format_number(value)}" for letter, value in differing)
    return f"{text} That is port {those[0][0]}; {others}."


def reference_table(design: Design, values: dict[str, float]) -> Table:
    """The reference's own numbers, by branch."""
    rows = tuple(
        (
            book.quantities()[name].branch,
            book.quantities()[name].label,
            to_shown(value, book.quantities()[name].unit),
            shown_unit(book.quantities()[name].unit),
        )
        for name, value in values.items()
    )
    return Table(
        "reference", f"{design.name}: the reference's own numbers", ("branch", "quantity", "value", "unit"), rows
    )


def pure_exponents(drive_rule: str) -> dict[str, dict[str, Fraction]]:
    """Exact powers of the factor by speed rule and quantity, for parts all solid, of one density, under a pure law.

    Taken for a belt-driven rotor across the machine, which has every quantity that a design can have.
    Quantities that follow no single power are left out.
    """
    found: dict[str, dict[str, Fraction]] = {}
    for rule in SPEED_RULES:
        powers = book.powers(pure_inputs(rule, drive_rule, FULL_TRAITS), FULL_TRAITS)
        found[rule] = {name: power for name, power in powers.items() if power is not None}
    return found


def exponents_table(found: dict[str, dict[str, Fraction]]) -> Table:
    """Exact exponents: a row a quantity, a column a speed rule."""
    names = [name for name in book.quantities() if any(name in row for row in found.values())]
    rows = tuple(
        (book.quantities()[name].branch, name, *(str(row[name]) if name in row else "-" for row in found.values()))
        for name in names
    )
    return Table(
        "exponents", "Powers of the factor, all parts solid and of one density", ("branch", "quantity", *found), rows
    )


def sets_table() -> Table:
    """The named groups of every stated set, without values."""
    rows: list[tuple[Cell, ...]] = []
    for group_set in SETS:
        for name, expression in group_set.named.items():
            text = expression_text({member: Fraction(power) for member, power in expression.items()})
            rows.append((group_set.name, name, text))
    return Table(
        "groups", "Dimensionless groups that the trade has names for", ("set", "group", "expression"), tuple(rows)
    )


def design_groups_table(design: Design) -> Table:
    """Every dimensionless group of one design, with its value."""
    values = {**design.variables, **reference_values(design)}
    rows = tuple(
        (group.set_name, group.name, expression_text(group.expression), float(group_value(group.expression, values)))
        for group in groups_of(values)
    )
    return Table("groups", f"{design.name}: dimensionless groups", ("set", "group", "expression", "value"), rows)


def options_table(found: list[Option]) -> Table:
    """Ranked options: what was chosen, the fit, factor, mass and score; a star marks what nothing beats."""
    axes = tuple(found[0].chosen) if found else ()
    rows = tuple(
        (
            option.rank,
            "*" if option.unbeaten else "",
            *option.chosen.values(),
            option.fit,
            option.factor,
            round(option.mass * 1e3, 3),
            round(option.left * 1e3, 3),
            option.score,
            option.drift,
            option.shortfall,
        )
        for option in found
    )
    heads = tuple(axis.replace("_", " ") for axis in axes)
    return Table(
        "options",
        "Options, best first; * where nothing beats it in drift, margins and mass at once",
        ("rank", "", *heads, "fitted by", "factor", "mass, g", "left, g", "score", "drift part", "margin part"),
        rows,
    )


def mesh_table(name: str, before: MassProperties, after: MassProperties) -> Table:
    """A part's mass properties before and after scaling."""
    rows: list[tuple[Cell, ...]] = [
        ("mass, g", before.mass * 1e3, after.mass * 1e3),
        ("volume, cm³", before.volume * 1e6, after.volume * 1e6),
        ("surface, cm²", before.area * 1e4, after.area * 1e4),
    ]
    for axis, letter in enumerate("xyz"):
        rows.append((f"extent along {letter}, mm", before.extents[axis] * 1e3, after.extents[axis] * 1e3))
        rows.append(
            (f"centre of gravity {letter}, mm", round(before.centre[axis] * 1e3, 9), round(after.centre[axis] * 1e3, 9))
        )
        rows.append(
            (f"inertia about {letter}, kg mm²", before.inertia[axis][axis] * 1e6, after.inertia[axis][axis] * 1e6)
        )
    return Table("mesh", f"{name}: mass properties", ("property", "reference", "scaled"), tuple(rows))


def outline_table(name: str, found: Outline, factor: float, holes: dict[float, float]) -> Table:
    """A drawing's full circles and what would become of them."""
    rows: list[tuple[Cell, ...]] = []
    for circle in found.circles:
        new = next((size for old, size in holes.items() if abs(old - circle.diameter) <= HOLE_TOLERANCE), None)
        rows.append(
            (circle.layer, circle.diameter * 1e3, circle.diameter * factor * 1e3, None if new is None else new * 1e3)
        )
    return Table(
        "outline",
        f"{name}: holes at factor {factor:.4g} (nothing written: name a file with -o)",
        ("layer", "diameter, mm", "if scaled, mm", "re-cut to, mm"),
        tuple(rows),
    )


def changes_table(changes: list[Change]) -> Table:
    """What was changed in a drawing."""
    rows = tuple(
        (
            change.kind,
            change.layer,
            change.count,
            None if change.old_diameter is None else change.old_diameter * 1e3,
            None if change.new_diameter is None else change.new_diameter * 1e3,
            change.reason,
        )
        for change in changes
    )
    return Table(
        "changes",
        "What was changed in the drawing",
        ("kind", "layer", "count", "old diameter, mm", "new diameter, mm", "why"),
        rows,
    )


def window_table(window: Window) -> Table:
    """The bands of a feasible window."""
    rows = tuple(
        (band.label, ", ".join(f"{low:.4g} to {high:.4g}" for low, high in band.intervals) or "nowhere")
        for band in window.bands
    )
    title = (
        f"Feasible window, {window.speed_rule or 'no rotor'}, drive {window.drive_rule} "
        f"(factors from {window.axis[0]:.3g} to {window.axis[1]:.3g})"
    )
    return Table("window", title, ("limit", "holds at factors"), rows)


def groups_json(table: Table) -> list[dict[str, Cell]]:
    """A table of groups as plain rows by column head."""
    return [dict(zip(table.headers, row, strict=True)) for row in table.rows]


def all_tables(study: Study) -> list[Table]:
    """Every table that a study writes as CSV."""
    return [
        laws_table(study),
        drift_table(study, worst_first(study)),
        quantities_table(study),
        mass_table(study),
        closure_table(study),
        holes_table(study),
        stock_table(study),
        stock_effect_table(study),
        groups_table(study),
        problems_table(study),
    ]


def as_csv(table: Table) -> str:
    """The table as CSV text at full precision; absent cells are empty."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(table.headers)
    writer.writerows([["" if cell is None else cell for cell in row] for row in table.rows])
    return out.getvalue()


def as_frame(table: Table) -> pandas.DataFrame:
    """The table as a pandas frame, for notebooks."""
    import pandas

    return pandas.DataFrame(list(table.rows), columns=list(table.headers))


def cell_text(cell: Cell, digits: int = 3) -> str:
    """A cell as people are shown it."""
    if cell is None:
        return "-"
    if isinstance(cell, float):
        return format_number(cell, digits)
    return str(cell)


def as_text(table: Table, digits: int = 3, width: int = 0) -> str:
    """The table as aligned plain text under its title; ``width`` wraps the last column (0: no wrap)."""
    import textwrap

    body = [[cell_text(cell, digits) for cell in row] for row in table.rows]
    columns = list(zip(table.headers, *body, strict=True)) if body else [(header,) for header in table.headers]
    widths = [max(map(len, column)) for column in columns]
    numeric = [
        bool(table.rows) and all(isinstance(row[place], int | float | None) for row in table.rows)
        for place in range(len(table.headers))
    ]
    if width and not numeric[-1] and sum(widths) + 2 * (len(widths) - 1) > width:
        widths[-1] = max(24, width - sum(widths[:-1]) - 2 * (len(widths) - 1))
    lines: list[str] = []
    for row in [list(table.headers), *body]:
        wrapped = textwrap.wrap(row[-1], widths[-1]) or [""]
        for place, last in enumerate(wrapped):
            cells = [*(row[:-1] if place == 0 else [""] * (len(row) - 1)), last]
            lines.append(
                "  ".join(
                    cell.rjust(size) if right else cell.ljust(size)
                    for cell, size, right in zip(cells, widths, numeric, strict=True)
                ).rstrip()
            )
    rule = "-" * max(map(len, lines))
    head = next(
        place for place in range(1, len(lines) + 1) if place >= len(textwrap.wrap(table.headers[-1], widths[-1]))
    )
    return "\n".join([table.title, "", *lines[:head], rule, *lines[head:]])
