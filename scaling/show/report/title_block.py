"""The first thing on the page: which port, in a heading, its numbers beside the reference's, and why."""

from __future__ import annotations

from dataclasses import dataclass

from scaling.decide.verdict import mass_left
from scaling.decide.words import label_in_words, what_each_is
from scaling.files.units import format_number, format_short, format_value, shown_unit, to_shown
from scaling.formulas import book
from scaling.port.laws import AS_DRAWN
from scaling.show.report.answer import Answer
from scaling.show.table import cell_text
from scaling.study.marks import Marked
from scaling.study.results import Port, Study

CELLS = 8
"""Numbers of the title block: four rows of two on a phone."""

NUMBERS = (
    "rotor_speed", "tip_speed", "rotor_energy", "spin_up_time", "top_speed", "half_turn_time", "arena_crossing_time",
    "drive_push_margin", "grip_force", "match_energy_margin",
)  # fmt: skip
"""Quantities of the title block, what a builder asks for first; as many as there is room for."""

SHORT = {"spin_up_time": "Spin-up", "arena_crossing_time": "Across the arena", "half_turn_time": "Half a turn"}
"""Labels that would take two lines on a phone."""


@dataclass(frozen=True)
class Cell:
    """One number of the port: what it is, the number, and what is said beside it."""

    label: str
    value: str
    beside: str


@dataclass(frozen=True)
class TitleBlock:
    """The port's ``letter``, empty where there is none; a heading, what the port is, its numbers, and why."""

    letter: str
    heading: str
    what: str
    cells: tuple[Cell, ...]
    why: tuple[str, ...]
    fits: bool


def subject(study: Study) -> str:
    """The design, its mass and where it is to go."""
    own = f"{study.design.name}: {grams(study.design.variables['mass'])}"
    if not study.compares:
        return f"{own} to a limit of {grams(study.brief.mass_limit)}"
    machines = [
        f"{letter} {label_in_words(port)}, {grams(port.variables['mass'])}"
        for letter, port in zip(study.letters, study.ports, strict=True)
    ]
    return f"{own}, and beside it {'; '.join(machines)}"


def grams(mass: float) -> str:
    """Return a mass (kg) as people weigh it."""
    return f"{format_short(to_shown(mass, 'kg'))} {shown_unit('kg')}"


def title_block(answer: Answer) -> TitleBlock:
    """Say which port to build, or which is the nearest where none fits."""
    verdict, told = answer.decision.verdict, answer.told
    if told is None:
        return TitleBlock("", "No port fits", verdict.text, (), (), fits=False)
    cells = title_cells(answer.study, told.port)
    if verdict.port is None:
        what = f"The numbers are those of {told.letter}, {label_in_words(told.port)}."
        none = f"No {what_each_is(answer.study)} fits"
        return TitleBlock(told.letter, none, what, cells, (verdict.text,), fits=False)
    return TitleBlock(
        told.letter, _best(answer.study, told.letter), _capital(f"{label_in_words(told.port)}."), cells,
        answer.why[0], fits=True,
    )  # fmt: skip


def _best(study: Study, letter: str) -> str:
    """What is said of the best: a port is to be built, a machine is there already."""
    if not study.compares:
        return f"Build port {letter}"
    return f"{letter} stands best" if len(study.ports) > 1 else f"{letter} misses nothing"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def title_cells(study: Study, port: Port, most: int = CELLS) -> tuple[Cell, ...]:
    """The port's factor, length and mass, then what else a builder asks for first, each beside the reference's."""
    if port.factor is None:
        return ()
    cells = [
        Cell("Factor", format_number(port.factor, 4), _origin(port)),
        *([_length(study, port)] if "length" in port.variables else []),
        Cell("Mass", grams(port.variables["mass"]), _left(port, study)),
    ]
    for name in NUMBERS:
        entry = port.quantities.get(name)
        if entry is not None and len(cells) < most:
            value = with_unit(port.marked(name, entry.value), entry.unit)
            own = study.marked(name, study.reference.get(name))
            beside = "" if own is None else f"was {with_unit(own, entry.unit)}"
            cells.append(Cell(SHORT.get(name, book.quantities[name].label), value, beside))
    return tuple(cells)


def with_unit(value: float | None, unit: str, digits: int = 3) -> str:
    """Return a number (SI) with its unit and the marks that it bears; a dash where there is none."""
    if value is None:
        return cell_text(None)
    text = format_value(float(value), unit, digits)
    return value.of(text) if isinstance(value, Marked) else text


def _left(port: Port, study: Study) -> str:
    """What is left of the mass, or the reference's where nothing limits it."""
    return mass_left(port, study) if study.limited else f"was {grams(study.design.variables['mass'])}"


def _origin(port: Port) -> str:
    if port.request.law == AS_DRAWN.name:
        return f"by {port.request.key}"
    return f"cube root {format_number(port.naive_factor, 4)}"


def _length(study: Study, port: Port) -> Cell:
    was = format_value(study.design.variables["length"], "m")
    return Cell("Length", format_value(port.variables["length"], "m"), f"was {was}")
