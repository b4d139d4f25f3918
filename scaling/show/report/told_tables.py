"""The tables of the page: all ports side by side, and of the port that is told of its drift, mass and sizes."""

from __future__ import annotations

from scaling.book.entry import Role
from scaling.book.similarity import CLOCKS
from scaling.book.told_apart import told_apart
from scaling.decide.verdict import why_not
from scaling.decide.words import label_in_words
from scaling.files.units import to_shown
from scaling.formulas import book
from scaling.robot.parts import Part
from scaling.show.report.answer import Answer
from scaling.show.report.sheet import Sheet, Shown, of_port, sheet_of, shown
from scaling.show.report.title_block import with_unit
from scaling.show.table import cell_text
from scaling.show.tables.freed import changes_table, prices_table
from scaling.show.tables.mass import closure_table
from scaling.show.tables.sizes import holes_table, stock_table
from scaling.study.drifts import clock_of, counting, drift_size, is_against, judged, told_clock
from scaling.study.results import Port, Study

COLUMNS = (
    ("rotor_speed", "rotor, rpm"), ("rotor_energy", "energy, J"), ("spin_up_time", "spin-up, s"),
    ("top_speed", "speed, m/s"),
)  # fmt: skip

SHOWN: dict[Role, int] = {"handling": 20, "survival": 10, "budget": 6}
"""How many quantities of each role stand in the table of drift, role by role."""


def ports_sheet(answer: Answer) -> Sheet:
    """Every port with the numbers that tell them apart, and why it is not the one to build."""
    study, decision = answer.study, answer.decision
    columns = [(name, head) for name, head in COLUMNS if any(name in port.quantities for port in study.ports)]
    rows = []
    for letter, port in answer.letters.items():
        mass = None if port.factor is None else to_shown(port.variables["mass"], "kg")
        values = (_shown_value(port, name) for name, _ in columns)
        best = letter == decision.verdict.port
        why = "the one to build" if best else why_not(decision.ports[letter], decision.best)
        if best and study.compares:
            why = "stands best"
        texts = (Shown(letter), Shown(port.status), Shown(why), shown(port.factor, 4), shown(mass, 4))
        rows.append((*texts, *values, Shown(label_in_words(port))))
    heads = ("port", "status", "why, or why not", "factor", "mass, g", *(head for _, head in columns), "by")
    heads = ("machine" if study.compares else "port", *heads[1:])
    return Sheet(f"{heads[0].capitalize()}s side by side", heads, tuple(rows), picked=decision.verdict.port or "")


def _shown_value(port: Port, name: str) -> Shown:
    entry = port.quantities.get(name)
    return shown(None if entry is None else port.marked(name, to_shown(entry.value, entry.unit)))


def drift_sheet(answer: Answer, port: Port, letter: str) -> Sheet:
    """What a driver feels, what survives and what must close: the port beside the reference, drift by either clock."""
    rows = []
    for role, most in SHOWN.items():
        names = book.of_role(role, among=port.quantities)
        for name in sorted(names, key=lambda name: _rank(port, name, role))[:most]:
            rows.append(_drift_row(answer.study, port, name, role))
    clocks = (f"drift, {clock}'s clock" for clock in CLOCKS)
    heads = ("quantity", "reference", f"port {letter}", *clocks, "counts", "better", "kind")
    return Sheet(f"Drift of port {letter} by either clock", heads, tuple(rows), mixed=(1, 2))


def _rank(port: Port, name: str, role: Role) -> float:
    """Survival margins that fell most come first, else what drifts most."""
    drift = counting(port, name)
    if role == "survival":
        return 1.0 if drift is None else told_apart(drift, 4)
    return -told_apart(drift_size(drift), 4)


def _drift_row(study: Study, port: Port, name: str, role: Role) -> tuple[Shown, ...]:
    entry, clock = book.quantities[name], told_clock(name)
    own = study.marked(name, study.reference.get(name))
    value = port.marked(name, port.quantities[name].value)
    drifts = []
    for each in CLOCKS:
        drift = port.marked(name, judged(port, name, each))
        counts = clock is None or clock_of(name) == each
        drifts.append(Shown(cell_text(drift), number=True, worse=counts and is_against(drift, name), faint=not counts))
    values = (Shown(with_unit(each, entry.unit), number=True) for each in (own, value))
    return (Shown(entry.label), *values, *drifts, Shown(clock or "either"), Shown(entry.better), Shown(role))


def mass_sheet(study: Study, port: Port, letter: str) -> Sheet:
    """Each part at the reference and at the port, beside what the cube of the factor would make of it, g."""
    had = {part.name: part for part in study.design.parts}
    cube = (port.factor or 0.0) ** 3
    rows = [
        (Shown(line.name), Shown(_kind(line.kind, had.get(line.name))), *map(_grams, (line.reference,
         cube * line.reference, line.port)), shown(100 * line.port / port.variables["mass"], 2))
        for line in port.parts
    ]  # fmt: skip
    own = study.design.variables["mass"]
    sums = tuple(map(_grams, (own, cube * own, port.variables["mass"])))
    foot = ((Shown("sum"), Shown(""), *sums, shown(100.0)),)
    heads = ("part", "follows", "reference, g", "by factor³, g", f"port {letter}, g", "share, %")
    return Sheet(f"Mass of each part of port {letter}", heads, tuple(rows), foot=foot)


def _kind(kind: str, part: Part | None) -> str:
    return kind if part is None or part.material is None else f"{kind}, {part.material}"


def _grams(mass: float) -> Shown:
    return shown(to_shown(mass, "kg"))


def size_sheets(study: Study, letter: str) -> tuple[Sheet, ...]:
    """What to change on a port's drawing, what its limits cost, sizes, holes with bolts; none that would be empty."""
    holes = () if study.compares else (holes_table(study),)  # a machine that is there has its holes
    tables = (changes_table(study), prices_table(study), stock_table(study), *holes)
    sheets = (of_port(sheet_of(table), letter) for table in tables)
    return tuple(sheet for sheet in sheets if sheet.rows)


def closure_sheet(study: Study, letter: str) -> Sheet:
    """What closed a port's mass."""
    return of_port(sheet_of(closure_table(study), 4), letter)
