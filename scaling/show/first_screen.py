"""The first screen of a study: at most thirty lines that answer which port, why, what breaks and what to do."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from scaling.book.told_apart import told_apart
from scaling.decide.feel import felt, handling
from scaling.decide.risks import Mend, Risk
from scaling.decide.shopping import shopping
from scaling.decide.verdict import Decision, Judged, mass_left, why_not
from scaling.decide.words import label_in_words
from scaling.files.units import format_number, format_value, to_shown
from scaling.formulas import book
from scaling.robot.likely import Doubt
from scaling.show.unbroken import NO_BREAK, solid
from scaling.study.as_drawn import DATE
from scaling.study.only import kind_changes, only_one
from scaling.study.results import Port, PortQuantity, Study

LINES = 30
MARGIN = 7
"""Width of the words at the left that say what a paragraph is about."""


@dataclass(frozen=True)
class Paragraph:
    """What a few lines are about, and its items, each on lines of its own, what matters most first.

    Where there is no room the last items go, down to ``least`` of them. Where an item takes work, ``items`` hold its
    beginning until ``whole`` gives all of it by its place; the first ``done`` of them stand in full.
    """

    head: str
    items: tuple[str, ...]
    least: int = 1
    joined: bool = False
    dropped: int = 0
    whole: Callable[[int], str] | None = None
    done: int = 0

    @property
    def begun(self) -> bool:
        """Whether some items are only begun."""
        return self.whole is not None and self.done < len(self.items)

    @property
    def fuller(self) -> Paragraph:
        """The paragraph with the first item that is only begun in full."""
        assert self.whole is not None  # noqa: S101 - asked for such a paragraph only
        items = (*self.items[: self.done], self.whole(self.done), *self.items[self.done + 1 :])
        return replace(self, items=items, done=self.done + 1)

    @property
    def shorter(self) -> Paragraph:
        """The paragraph without its last item."""
        return replace(self, items=self.items[:-1], dropped=self.dropped + 1)

    @property
    def texts(self) -> tuple[str, ...]:
        """What stands on lines of its own; ``joined`` items follow each other, and say how many were dropped."""
        if not self.joined:
            return self.items
        more = [f"{self.dropped} more"] if self.dropped else []
        return ("; ".join([*self.items, *more]),) if self.items else ()


def first_screen(study: Study, decision: Decision, mended: Sequence[Risk], ask: Sequence[str], width: int) -> list[str]:
    """Return the lines of the first screen, none wider than ``width`` and no number broken.

    ``mended`` are the risks of the port that the screen is about, with their mends, looked at only where they are
    shown; ``ask`` what to ask next.
    """
    told = decision.told
    title = _title(study, width)
    if told is None:
        return [title, *_set(Paragraph("build", (decision.verdict.text,)), width)]
    head = "best" if study.compares and len(study.ports) > 1 else "build"
    above = [
        Paragraph("builds", _machines(study), 2, joined=True),
        Paragraph(head, _answer(study, decision, told), 3),
        Paragraph("not", (others := _others(decision)), min(len(others), MOST_OTHERS), joined=True),
    ]
    below = [
        Paragraph("kind", (kind := _kind(study, told)), max(1, len(kind) - 1), joined=True),
        Paragraph("feels", _feels(study, told.port), 2),
        _breaks(told.risks, mended),
        Paragraph("buy", () if study.compares else tuple(shopping(study, told.port)), 3),
        Paragraph("doubt", tuple(f"{doubt.sentence}" for doubt in _doubts(study, told.port))),
        Paragraph("care", _care(told.port), 2),
        Paragraph("ask", tuple(ask), len(ask)),
    ]
    table = _table(study, decision, width)
    above, below = ([each for each in half if each.items] for half in (above, below))
    first, second = fitted(above, below, LINES - 1 - len(table), width)
    return [title, *first, *table, *second]


def fitted(
    above: Sequence[Paragraph], below: Sequence[Paragraph], room: int, width: int
) -> tuple[list[str], list[str]]:
    """Both sets of paragraphs in ``room`` lines: the longest gives up its last item until they fit.

    What is only begun takes no fewer lines in full. So where it is too long as it is its end is never asked for.
    """
    kept = [*above, *below]
    while True:
        blocks = [_set(each, width) for each in kept]
        spare = [place for place, each in enumerate(kept) if len(each.items) > each.least]
        spare = spare or [place for place, each in enumerate(kept) if len(each.items) > 1]
        longest = max(spare, key=lambda place: len(blocks[place]), default=-1)
        begun = [place for place, each in enumerate(kept) if each.begun]
        over = bool(spare) and sum(map(len, blocks)) > room
        if over and begun in ([], [longest]):
            kept[longest] = kept[longest].shorter
        elif begun:
            kept[begun[0]] = kept[begun[0]].fuller
        else:
            break
    halves = (blocks[: len(above)], blocks[len(above) :])
    first, second = ([line for block in half for line in block] for half in halves)
    return first, second


def _title(study: Study, width: int) -> str:
    brief = study.brief
    text = f"{study.design.name}, {format_value(study.design.variables['mass'], 'kg', 3)}, "
    limit = format_value(brief.mass_limit, "kg", 3)
    if study.compares:
        beside = label_in_words(study.ports[0]) if len(study.ports) == 1 else f"{len(study.ports)} machines"
        text += f"and beside it {beside}{f', limit {limit}' if study.limited else ''}"
    else:
        text += f"to {limit}"
    if brief.mass_margin:
        text += f", {format_value(brief.mass_margin, 'kg', 2)} kept back"
    return textwrap.shorten(solid(text), width, placeholder="...").replace(NO_BREAK, " ")


MOST_TOLD = 40
"""Letters of a machine's name that stand in a list."""


def _machines(study: Study) -> tuple[str, ...]:
    """The machines that stand side by side, each with its letter and its day; none where there is only one."""
    if not study.compares or len(study.ports) == 1:
        return ()
    found = []
    for letter, port in zip(study.letters, study.ports, strict=True):
        day = port.machine.choices.get(DATE) if port.machine is not None else None
        name = textwrap.shorten(label_in_words(port), MOST_TOLD, placeholder="...")
        found.append(f"{letter} {name}{f', {day}' if day else ''}")
    return tuple(found)


def _kind(study: Study, told: Judged) -> tuple[str, ...]:
    """In what a machine is of another kind than the reference, and how much only one of the two has."""
    changes = kind_changes(study.design, told.port)
    if not changes:
        return ()
    only = only_one(study, told.port)
    counted = f"{len(only.reference)} quantities only the reference has, {len(only.port)} only {told.letter}: see --all"
    return (*changes, counted)


def _doubts(study: Study, port: Port) -> tuple[Doubt, ...]:
    """What is doubted of the reference, and of a machine with a file of its own."""
    return (*study.design.doubts, *(port.machine.doubts if port.machine is not None else ()))


def _answer(study: Study, decision: Decision, told: Judged) -> tuple[str, ...]:
    port = told.port
    if decision.verdict.port is None or port.factor is None:
        return (decision.verdict.text,)
    numbers = [f"{format_value(port.variables['length'], 'm')} long"]
    for name, words in (("rotor_speed", ""), ("tip_speed", " at the tips"), ("rotor_energy", "")):
        if name in port.quantities:
            numbers.append(format_value(port.quantities[name].value, port.quantities[name].unit) + words)
    if "specific_energy" in port.quantities:
        numbers[-1] += f" ({format_value(port.quantities['specific_energy'].value, 'J/kg')})"
    chosen, _, risk, *_ = decision.verdict.reasons
    return (
        f"{told.letter}, factor {format_number(port.factor, 4)}: {label_in_words(port)}",
        ", ".join([*numbers, mass_left(port, study)]),
        _lower(chosen),
        _lower(risk),
    )


def _lower(sentence: str) -> str:
    return sentence[0].lower() + sentence[1:].rstrip(".")


def _others(decision: Decision) -> tuple[str, ...]:
    """Why not the others: what misses first, and those that miss or fall short alike in one clause."""
    alike: dict[str, tuple[list[str], list[str]]] = {}
    for letter in sorted(decision.order, key=lambda each: not decision.ports[each].port.misses):
        if letter != decision.verdict.port:
            why = why_not(decision.ports[letter], decision.best)
            letters, texts = alike.setdefault(NUMBER.sub("#", why), ([], []))
            letters.append(letter)
            texts.append(why)
    return tuple(f"{NO_BREAK.join(sorted(letters))}: {spanned(texts)}" for letters, texts in alike.values())


NUMBER = re.compile(r"\d+(?:\.\d+)?")


def spanned(texts: Sequence[str]) -> str:
    """One text for several that differ in their numbers alone, each number as the span of them.

    >>> spanned(["motor 30 % short", "motor 16 % short"])
    'motor 16 to 30 % short'
    """
    columns = iter(list(zip(*(NUMBER.findall(text) for text in texts), strict=True)))

    def span(_found: re.Match[str]) -> str:
        numbers = sorted(next(columns), key=float)
        return numbers[0] if numbers[0] == numbers[-1] else f"{numbers[0]} to {numbers[-1]}"

    return NUMBER.sub(span, texts[0])


MOST_ROWS, MOST_OTHERS = 7, 6

COLUMNS = (("rotor_speed", "rpm"), ("rotor_energy", "J"), ("spin_up_time", "up, s"), ("top_speed", "m/s"))


def _table(study: Study, decision: Decision, width: int) -> list[str]:
    """The ports side by side, the best few where there are many; those whose rows read alike share one."""
    shown = [(name, head) for name, head in COLUMNS if any(name in port.quantities for port in study.ports)]
    rows: dict[tuple[str, ...], list[str]] = {}
    shown_ports = decision.order[:MOST_ROWS] if len(decision.ports) > MOST_ROWS else tuple(decision.ports)
    for letter in shown_ports:
        rows.setdefault(_row(decision.ports[letter], [name for name, _ in shown]), []).append(letter)
    kind = "build" if study.compares else "port"
    heads = (kind, "factor", "g", *(head for _, head in shown), "status", "margins lost")
    cells = [heads, *((" ".join(letters), *row) for row, letters in rows.items())]
    widths = [max(len(row[place]) for row in cells) for place in range(len(heads))]
    if sum(widths) + len(widths) - 1 > width:
        cells[0], widths[-1] = (*heads[:-1], "lost"), len("lost")
    gap = "  " if sum(widths) + 2 * (len(widths) - 1) <= width else " "
    return [
        gap.join(cell.ljust(size) if place in (0, len(heads) - 2) else cell.rjust(size)
                 for place, (cell, size) in enumerate(zip(row, widths, strict=True))).rstrip()
        for row in cells
    ]  # fmt: skip


def _row(each: Judged, names: Sequence[str]) -> tuple[str, ...]:
    port = each.port
    if port.factor is None:
        return ("-", "-", *("-" for _ in names), "misses", "-")
    values = [port.quantities.get(name) for name in names]
    numbers = ("-" if one is None else _number(one) for one in values)
    lost = sum(one.limit == 1 and told_apart(one.value or 0) < 1 <= told_apart(one.reference or 0)
               for one in port.problems)  # fmt: skip
    status = "misses" if port.misses else "fits"
    return (format_number(port.factor, 4), f"{1e3 * port.variables['mass']:.0f}", *numbers, status, str(lost))


def _number(entry: PortQuantity) -> str:
    """A number, in brackets where the motor does not reach the speed that it needs."""
    text = format_number(to_shown(entry.value, entry.unit))
    return f"({text})" if entry.if_reached else text


def _feels(study: Study, port: Port) -> tuple[str, ...]:
    first = handling(study, port)
    unlike, alike = felt(study, port)
    same = [f"much the same for its size: {', '.join(map(_lower, alike[:3]))}"] if alike else []
    return (*first, *unlike[: max(1, 4 - len(first))], *same) or ("like the reference",)


def _breaks(risks: Sequence[Risk], mended: Sequence[Risk]) -> Paragraph:
    """What stands of the ``risks``, which begins what is said of it, and its mend, which is sought where it is told."""
    places = [place for place in range(len(mended)) if risks[place].stands]
    if not places:
        return Paragraph("breaks", ("nothing that was looked at is nearer to its limit than on the reference",))
    begun = tuple(_risk(risks[place]) for place in places)
    return Paragraph("breaks", begun, 2, whole=lambda place: begun[place] + _mend(mended[places[place]].mend))


def _risk(risk: Risk) -> str:
    if risk.value is None or risk.quantity is None:
        return risk.says
    entry = book.quantities[risk.quantity]
    called = "margin " if risk.quantity.endswith("_margin") else "" if entry.unit else f"{_lower(entry.label)} "
    now = format_value(risk.value, entry.unit)
    was = None if risk.reference is None else format_value(risk.reference, entry.unit)
    own = "" if was is None else ", as before" if was == now else f", was {was}"
    return f"{risk.says} ({called}{now}{own})"


def _mend(mend: Mend | None) -> str:
    if mend is None:
        return ""
    grams = f", {mend.mass * 1e3:+.0f} g" if abs(mend.mass) >= 0.0005 else ""
    costs = f", {mend.costs}" if mend.costs else ""
    return f": {mend.text}{grams}{costs}"


def _care(port: Port) -> tuple[str, ...]:
    energy = port.quantities.get("rotor_energy")
    if energy is None:
        return ("estimates from the stated inputs; the event's rules and qualified practice come first",)
    down = port.quantities.get("spin_down_time")
    coasts = f", {format_value(down.value, 's')} to coast" if down is not None and not down.if_reached else ""
    joules = "joules as of this rotor" if energy.if_reached else f"{format_value(energy.value, 'J')} (estimated)"
    return (
        f"{joules} maim or kill{coasts}: rated enclosure only",
        "first run toothless, at full drive: no creep; the event's rules go first",
    )


def _set(paragraph: Paragraph, width: int) -> list[str]:
    """A paragraph under its word at the left, each item on lines of its own, a longer one's further lines set in."""
    rows = [
        row
        for item in paragraph.texts
        for row in textwrap.wrap(solid(item), width - MARGIN, break_on_hyphens=False, subsequent_indent="  ")
    ]
    heads = [paragraph.head.ljust(MARGIN), *(" " * MARGIN for _ in rows[1:])]
    return [(head + row).replace(NO_BREAK, " ") for head, row in zip(heads, rows, strict=False)]
