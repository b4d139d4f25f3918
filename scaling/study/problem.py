"""A problem of a port: a code, the numbers, and the sentence that they make, of one port or of several together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from scaling.files.units import format_short, format_value, shown_unit, to_shown
from scaling.formulas import book
from scaling.study.marks import hollow


@dataclass(frozen=True)
class Kind:
    """What a code means, and what a sentence says of the quantity that passed its limit.

    ``excess`` adds by how much, ``alike`` marks what the reference has as well, ``misses`` that for which a port is
    none that can be built and entered, and ``range`` a formula used where it is not good.
    """

    meaning: str
    words: str = ""
    excess: bool = False
    alike: bool = False
    misses: bool = False
    range: bool = False


CODES: dict[str, Kind] = {
    "no_factor": Kind("no factor meets the mass limit", misses=True),
    "mass_over_limit": Kind(
        "the port is heavier than the limit less the margin",
        "over the limit less margin of {limit}",
        excess=True,
        misses=True,
    ),
    "size_over_limit": Kind(
        "a dimension is beyond the size limit", "over the size limit of {limit}", excess=True, misses=True
    ),
    "limit_passed": Kind("a bound that the brief sets is passed", "{side} the brief's limit of {limit}", misses=True),
    "does_not_fit": Kind(
        "two dimensions of the port contradict each other", "{side} {limit}, which does not fit", misses=True
    ),
    "target_lighter": Kind("the mass limit is below the reference's mass", "below the reference's mass of {limit}"),
    "speed_unreachable": Kind(
        "the motor does not reach the speed that the rule asks for",
        "out of reach, the motor gives {limit}",
        misses=True,
    ),
    "gyro_margin_undefined": Kind("there is no gyro margin to hold"),
    "motor_over_current": Kind("a motor needs more than its current limit", "over the current limit of {limit}"),
    "pack_brown_out": Kind("the pack sags below its cut-off", "below {limit}"),
    "pack_over_current": Kind("the pack is asked for more than its rated current", "below {limit}"),
    "pack_too_small": Kind("a match of the stated duty needs more than the pack holds", "below {limit}"),
    "off_the_shelf": Kind("a shelf has no size in the direction asked for"),
    "strength_passed": Kind("a stress is above the material's strength", "fails"),
    "strength_passed_alike": Kind("a strength passed, as on the reference", "fails", alike=True),
    "margin_passed": Kind("a margin that the reference has is below 1 at the port", "falls below {limit}"),
    "not_computed": Kind("a quantity of the reference cannot be computed for the port", "not computed"),
    "doubtful_input": Kind("what the brief says is unlikely, or contradicts something else"),
    "bought_part_assumed": Kind("a bought part's mass at the port is not stated"),
    "outside_valid_range": Kind(
        "a formula is used outside the range where it is good", "{side} {limit}", range=True
    ),
    "outside_valid_range_alike": Kind(
        "a formula is used outside its range, as on the reference", "{side} {limit}", alike=True, range=True
    ),
}
"""Every code, the gravest first: the order in which a port's problems stand."""

MISSES = frozenset(code for code, kind in CODES.items() if kind.misses)
"""Codes of what keeps a port from fitting."""

NAMED = 6
"""Quantities named in a sentence before the rest is only counted."""


@dataclass(frozen=True)
class Problem:
    """One thing that the builder should know of a port.

    ``about`` is the quantity or variable that passed ``limit`` with its ``value``, the ``reference``'s beside it;
    ``said`` is why that matters, or all that there is to say where it is about no number. ``rests_on`` names the
    quantities that it spoils. ``if_reached`` marks a value that follows from a speed out of reach. Numbers are SI.
    """

    code: str
    said: str = ""
    about: str | None = None
    value: float | None = None
    reference: float | None = None
    limit: float | None = None
    rests_on: tuple[str, ...] = ()
    if_reached: bool = False

    @property
    def kind(self) -> Kind:
        """What the code means."""
        return CODES[self.code]

    @property
    def quantity(self) -> str | None:
        """The quantity that it is about, where it is about one."""
        return self.about if self.about in book.quantities else None

    @property
    def text(self) -> str:
        """The problem as a sentence."""
        return _sentence([("", self)])


@dataclass(frozen=True)
class Shared:
    """A problem that several ports have, told in one sentence with the number of each."""

    ports: tuple[str, ...]
    problem: Problem
    text: str
    rests_on: tuple[str, ...]


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Return ``problems`` with the gravest codes first."""
    order = list(CODES)
    return tuple(sorted(problems, key=lambda problem: order.index(problem.code)))


def shared(found: Iterable[tuple[str, Problem]]) -> list[Shared]:
    """Put together what ports, each by its letter, have alike: the same code, quantity and limit; the gravest first."""
    alike: dict[tuple[object, ...], list[tuple[str, Problem]]] = {}
    for letter, problem in found:
        names = () if problem.about else problem.rests_on
        same = (problem.code, problem.about, problem.said, _limit(problem), names)
        alike.setdefault(same, []).append((letter, problem))
    order = list(CODES)
    return [
        Shared(
            tuple(letter for letter, _ in those),
            those[0][1],
            _sentence(those),
            tuple(dict.fromkeys(name for _, problem in those for name in problem.rests_on)),
        )
        for those in sorted(alike.values(), key=lambda those: order.index(those[0][1].code))
    ]


def label_of(name: str) -> str:
    """What people call a quantity; a variable goes by its key."""
    return book.quantities[name].label if name in book.quantities else name


NAMES = ("Froude",)
"""First words of labels that are names, so that they keep their capital."""


def in_sentence(name: str) -> str:
    """What people call a quantity or variable in the middle of a sentence.

    >>> in_sentence("throw_height"), in_sentence("froude_speed"), in_sentence("wheel.diameter")
    ('throw height', 'Froude number', 'wheel.diameter')
    """
    label = label_of(name)
    return label if label.startswith(NAMES) else label[0].lower() + label[1:]


def _sentence(those: Sequence[tuple[str, Problem]]) -> str:
    first = those[0][1]
    if first.about is None:
        return f"{(first.said or _names(first)).rstrip('.')}."
    words = first.kind.words
    if first.limit is not None and first.value is not None:
        side = "above" if first.value > first.limit else "below"
        words = words.format(side=side, limit=_limit(first))
    text = f"{label_of(first.about)} {words}: {_numbers(those)}"
    if first.reference is not None:
        text += f" (reference {_number(first.about, first.reference)})"
    return _capital(f"{text}; {first.said}." if first.said else f"{text}.")


def _numbers(those: Sequence[tuple[str, Problem]]) -> str:
    """The number of each port behind its letter; one number alone where all have the same."""
    texts: dict[str, list[str]] = {}
    for letter, problem in those:
        if problem.value is not None:
            number = _number(problem.about, problem.value)
            if problem.kind.excess and problem.limit is not None:
                number += f" (+{_number(problem.about, problem.value - problem.limit, 3)})"
            if problem.if_reached:
                number = hollow(number)
            texts.setdefault(number, []).append(letter)
    if len(texts) == 1:
        return next(iter(texts))
    return ", ".join(f"{' '.join(letters)} {number}" for number, letters in texts.items())


def _number(about: str | None, value: float, digits: int | None = None) -> str:
    """A value as people are shown it: quantities with a unit to four digits, ratios to three."""
    unit = _unit(about)
    return format_value(value, unit, digits or (3 if unit == "1" else 4))


def _limit(problem: Problem) -> str:
    """The limit as people would write it; nothing where there is none."""
    if problem.limit is None:
        return ""
    unit = _unit(problem.about)
    return f"{format_short(to_shown(problem.limit, unit))} {shown_unit(unit)}".strip()


def _unit(about: str | None) -> str:
    entry = book.quantities.get(about or "") or book.variables[about or ""]
    return entry.unit


def _names(problem: Problem) -> str:
    labels = "; ".join(label_of(name) for name in problem.rests_on[:NAMED])
    more = f"; {len(problem.rests_on) - NAMED} more" if len(problem.rests_on) > NAMED else ""
    return _capital(f"{problem.kind.words}: {labels}{more}")


def _capital(text: str) -> str:
    """The sentence with a capital, save where it starts with a dotted key."""
    first = text.split(maxsplit=1)[0]
    return text if "." in first or "_" in first else text[0].upper() + text[1:]
