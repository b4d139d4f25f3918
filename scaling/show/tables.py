"""The tables of a study as data: the terminal, the CSV files and the reports only render them."""

from __future__ import annotations

from fractions import Fraction

from scaling.book.groups import expression_text
from scaling.decide.verdicts import drift_size, factor_source
from scaling.files.units import format_number, shown_unit, to_shown
from scaling.formulas import book
from scaling.shop.materials import material, swap_effect
from scaling.show.table import Cell, Table
from scaling.study.fasteners import fastener_lines
from scaling.study.problems import ALIKE_CODE, CODES, Problem
from scaling.study.results import PartLine, Port, PortQuantity, Study
from scaling.study.run import group_values


def laws_table(study: Study) -> Table:
    """The factor of each port and where it came from, mass and what is left under the limit less the margin."""
    rows: list[tuple[Cell, ...]] = []
    for name, port in zip(study.letters, study.ports, strict=True):
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
        entry = book.quantities[name]
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
        ("branch", "quantity", "better", "reference", "unit", *study.letters),
        tuple(rows),
    )


def _drift(entry: PortQuantity | None, clock: str) -> float | None:
    return None if entry is None else entry.drift.get(clock)


def quantities_table(study: Study) -> Table:
    """Every quantity of every port in long form, SI units: for the builder's own sums."""
    rows: list[tuple[Cell, ...]] = []
    for letter, port in zip(study.letters, study.ports, strict=True):
        for name, found in port.quantities.items():
            rows.append(
                (
                    letter,
                    book.quantities[name].branch,
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
    for name, port in zip(study.letters, study.ports, strict=True):
        alike.setdefault(port.parts, []).append(name)
    shown = [
        (" ".join(names), port) for names in alike.values() for port in [study.ports[study.letters.index(names[0])]]
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
    for letter, port in zip(study.letters, study.ports, strict=True):
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


def swaps_table(study: Study) -> Table:
    """What the brief's other materials do to parts of the same size: mass, strength and stiffness, new over old."""
    swaps = dict.fromkeys(study.brief.swaps.items())
    for part in study.design.parts:
        change = study.brief.parts.get(part.name)
        if part.material is not None and change is not None and change.material is not None:
            swaps[part.material, change.material] = None
    rows = []
    for old, new in swaps:
        effect = swap_effect(material(old), material(new))
        rows.append((old, new, effect["mass"], effect["strength"], effect["stiffness"]))
    return Table("swaps", "What other materials do at the same size, new over old",
                 ("from", "to", "mass", "strength", "stiffness"), tuple(rows))


def holes_table(study: Study) -> Table:
    """Holes and fasteners at each port, mm: holes do not scale, the load decides."""
    rows: list[tuple[Cell, ...]] = []
    for letter, port in zip(study.letters, study.ports, strict=True):
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
        for letter, port in zip(study.letters, study.ports, strict=True)
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
    for letter, port in zip(study.letters, study.ports, strict=True):
        changes: list[tuple[float, tuple[Cell, ...]]] = []
        for name, ideal in port.ideal.items():
            entry, drift = port.quantities.get(name), _drift(port.quantities.get(name), "gravity")
            if entry is None or drift is None or not ideal or abs(entry.value / ideal - 1) <= least:
                continue
            label = book.quantities[name].label
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
        "groups", "Dimensionless groups", ("set", "group", "expression", "reference", *study.letters), tuple(rows)
    )


def problems_table(study: Study, brief: bool = False) -> Table:
    """Every problem with the ports that have it: equal sentences, or ones about one quantity, are one row.

    ``brief`` leaves out what rests on a broken range, and only counts what is so on the reference too.
    """
    found: dict[tuple[str, str], list[tuple[str, Problem]]] = {}
    for letter, port in zip(study.letters, study.ports, strict=True):
        for problem in port.problems:
            found.setdefault((problem.code, problem.about or problem.text), []).append((letter, problem))
    order = list(CODES)
    graves_first = sorted(found.items(), key=lambda item: order.index(item[0][0]))
    rows = [
        (" ".join(letter for letter, _ in those), code, _joint_text(those).split(" Rests on it:" if brief else "\0")[0])
        for (code, _), those in graves_first
        if not (brief and code.endswith(ALIKE_CODE))
    ]
    if brief:
        rows += _folded(graves_first)
    return Table("problems", "Problems", ("ports", "code", "problem"), tuple(rows))


def _folded(found: list[tuple[tuple[str, str], list[tuple[str, Problem]]]]) -> list[tuple[str, str, str]]:
    """One row a code for what the reference has as well: what it is about, without the numbers."""
    rows: list[tuple[str, str, str]] = []
    for code in (code for code in CODES if code.endswith(ALIKE_CODE)):
        those = [(about, ports) for (other, about), ports in found if other == code]
        if those:
            labels = [book.quantities[about].label if about in book.quantities else about for about, _ in those]
            letters = dict.fromkeys(letter for _, ports in those for letter, _ in ports)
            text = f"As on the reference: {'; '.join(labels)}. --all prints the numbers."
            rows.append((" ".join(letters), code, text))
    return rows


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


def all_tables(study: Study) -> list[Table]:
    """Every table that a study writes as CSV."""
    return [
        laws_table(study),
        drift_table(study, worst_first(study)),
        quantities_table(study),
        mass_table(study),
        closure_table(study),
        swaps_table(study),
        holes_table(study),
        stock_table(study),
        stock_effect_table(study),
        groups_table(study),
        problems_table(study),
    ]
