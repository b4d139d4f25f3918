"""What each port keeps and gives up, in a sentence, and the cautions that its numbers call for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from scaling.book.told_apart import told_apart
from scaling.decide.throws import doubt_text, throws
from scaling.files.units import format_number, format_value
from scaling.formulas import book
from scaling.port.laws import law_of
from scaling.port.rules import DRIVE_RULES, SPEED_RULES
from scaling.study.drifts import ALIKE, counting, drift_size, drift_text, is_against, is_alike
from scaling.study.marks import Marked
from scaling.study.problem import in_sentence
from scaling.study.reach import beyond_reach
from scaling.study.results import Port, Study

NONE: Mapping[str, str] = {}

TOLD = 3
"""Most quantities that a verdict names of each kind."""


@dataclass(frozen=True)
class Weakest:
    """The survival margin that fell most from the reference to a port."""

    name: str
    reference: float
    value: float


@dataclass(frozen=True)
class Change:
    """What a driver notices of a port beside the like of the reference: quantities, what drifts most first.

    ``weakest`` is the survival margin that fell by more than what counts as alike, and most; None where none did.
    """

    worse: Mapping[str, float]
    better: Mapping[str, float]
    alike: tuple[str, ...]
    weakest: Weakest | None


def change_of(port: Port) -> Change:
    """Sort what a driver notices by whether it is worse, better or alike, each by its own clock.

    What would be so only if the motor reached its speed is not in it.
    """
    drifts = {name: drift for name in book.of_role("handling") if (drift := counting(port, name)) is not None}
    order = sorted(drifts, key=lambda name: -told_apart(drift_size(drifts[name])))
    unlike = [name for name in order if not is_alike(drifts[name])]
    return Change(
        {name: drifts[name] for name in unlike if is_against(drifts[name], name)},
        {name: drifts[name] for name in unlike if not is_against(drifts[name], name)},
        tuple(name for name in drifts if is_alike(drifts[name])),
        _weakest(port),
    )


def _weakest(port: Port) -> Weakest | None:
    margins = [
        (ratio, name)
        for name in book.of_role("survival", among=port.quantities)
        if (ratio := port.quantities[name].ratio) is not None and not port.quantities[name].if_reached
    ]
    ratio, name = min(margins, key=lambda each: (told_apart(each[0]), each[1]), default=(1.0, ""))
    if ratio >= 1 - ALIKE:
        return None
    return Weakest(name, port.quantities[name].value / ratio, port.quantities[name].value)


def verdicts(study: Study) -> list[str]:
    """The verdict on every port, its throw with the doubt of it."""
    doubts = {throw.whose: {throw.name: doubt_text(throw)} for throw in throws(study) if throw.drift}
    ports = zip(study.letters, study.ports, strict=True)
    return [verdict(port, doubts.get(letter, {})) for letter, port in ports]


def verdict(port: Port, doubts: Mapping[str, str] = NONE) -> str:
    """What a port is worse, better and alike in beside the like of the reference, and which margin fell most.

    ``doubts`` are what the drifts of quantities may be, in words, by name.
    """
    if port.factor is None:
        return f"{port.label}. {port.problems[0].text}"
    change = change_of(port)
    lines = [f"{port.label}, factor {format_number(port.factor, 4)}"]
    lines += [problem.text.rstrip(".") for problem in port.problems if problem.code == "speed_unreachable"]
    for word, drifts in (("Worse", change.worse), ("Better", change.better)):
        if drifts:
            named = [_change(port, name, drift, doubts.get(name)) for name, drift in drifts.items()]
            lines.append(f"{word}: {_listed(named)}")
    if change.alike:
        lines.append(f"Stays: {_listed([in_sentence(name) for name in change.alike])}")
    if change.weakest is not None:
        name, own, value = change.weakest.name, change.weakest.reference, change.weakest.value
        fell = f"{format_number(own)} -> {_marked(port, name, format_number(value))}"
        lines.append(f"Fell most: {in_sentence(name)} {fell}")
    elif book.of_role("survival", among=port.quantities):
        lines.append(f"No survival margin fell by more than {100 * ALIKE:.0f} %")
    return ". ".join(lines) + "."


def _change(port: Port, name: str, drift: float, doubt: str | None) -> str:
    """What has become of a quantity, with what it may be where that is in doubt."""
    text = f"{in_sentence(name)} {_marked(port, name, drift_text(drift))}"
    return text if doubt is None else f"{text} ({doubt})"


def _marked(port: Port, name: str, text: str) -> str:
    """A number of a port's quantity with a star where its formula is used outside its range."""
    number = port.marked(name, 0.0)
    return number.of(text) if isinstance(number, Marked) else text


def _listed(named: list[str]) -> str:
    more = [f"{len(named) - TOLD} more"] if len(named) > TOLD else []
    return "; ".join([*named[:TOLD], *more])


def factor_source(port: Port) -> str:
    """Where a port's factor comes from, in a few words."""
    request = port.request
    if port.factor is None:
        return "no factor: see the problems"
    return law_of(request.law).origin.format(key=request.key or "length")


def give_way_lines(study: Study) -> list[str]:
    """The order in which belt drive or hub motor give way when the rotor stops dead: the reference's and each port's.

    A port whose speed is out of reach has none: it does not turn at that speed.
    """
    from scaling.formulas.transmission.belts import give_way_order

    fuse = study.design.choices.get("rotor.belt.fuse")
    machines: list[tuple[str, Mapping[str, float]]] = [("reference", study.reference)]
    for letter, port in zip(study.letters, study.ports, strict=True):
        margins = {name: entry.value for name, entry in port.quantities.items() if not entry.if_reached}
        machines.append((letter, margins))
    found: dict[str, list[str]] = {}
    for name, margins_of in machines:
        order = give_way_order(margins_of)
        if len(order) < 2:
            continue
        text = ", then ".join(f"{link} ({format_number(margin)})" for link, margin in order)
        text += "" if fuse in (None, order[0][0]) else f"; meant to go first: {fuse}"
        found.setdefault(text, []).append(name)
    return [f"{' '.join(names)}: {text}" for text, names in found.items()]


def rule_lines(study: Study) -> list[str]:
    """The laws and rules of a study, each in its own sentence."""
    used = [port.request for port in study.ports]
    laws = dict.fromkeys(request.law for request in used)
    speeds = dict.fromkeys(request.speed_rule for request in used if request.speed_rule)
    drives = dict.fromkeys(request.drive_rule for request in used if request.drive_rule)
    return [
        *(f"law {law}: {law_of(law)}" for law in laws),
        *(f"speed rule {rule}: {SPEED_RULES[rule]}" for rule in speeds),
        *(f"drive rule {rule}: {DRIVE_RULES[rule]}" for rule in drives),
    ]


def _fastest(rotors: list[Port], reference: Mapping[str, float]) -> tuple[float, float]:
    """Return the most rotor energy (J) and tip speed (m/s) of any port at a speed that its motor reaches."""
    energies, tips = [], []
    for port in rotors:
        values = {name: entry.value for name, entry in port.quantities.items()}
        reached = beyond_reach(values, reference)
        share = 1.0 if reached is None else reached / values["rotor_speed"]
        energies.append(share**2 * values["rotor_energy"])
        tips.append(share * values["tip_speed"])
    return max(energies), max(tips)


def cautions(study: Study) -> list[str]:
    """The usual cautions, with the study's own numbers; they defer to the event and to qualified practice."""
    lines = [
        "These are estimates from the stated inputs, not a release to build or run. The event's rules, local codes "
        "and qualified practice come first.",
    ]
    rotors = [port for port in study.ports if "rotor_energy" in port.quantities]
    if rotors:
        energy, tip = _fastest(rotors, study.reference)
        text = (
            f"A rotor at up to {format_value(energy, 'J')} and {format_value(tip, 'm/s')} at the tip maims or kills. "
            "Run it only inside an enclosure rated for that energy, with nobody in line with the rotor."
        )
        coasts = (port.quantities.get("spin_down_time") for port in rotors)
        down = [entry.value for entry in coasts if entry is not None and not entry.if_reached]
        if down:
            text += (
                f" It coasts for up to {format_value(max(down), 's')} after power off (to 5 % speed, by computation): "
                "wait until it has stopped, then lock it."
            )
        lines.append(text)
        lines.append(
            "First power-up: the rotor's cutting parts off, the robot restrained, drive at full, then radio off: "
            "the rotor must not creep and everything must stop. Only then teeth, only inside a rated enclosure."
        )
    packs = [port.quantities["pack_energy"].value for port in study.ports if "pack_energy" in port.quantities]
    if packs:
        lines.append(
            f"A lithium pack of up to {format_value(max(packs) / 1e3, '')} kJ burns when crushed, shorted or "
            "overcharged: charge it watched, in a fire-resistant place, and never use a damaged one."
        )
    lines.append("A radio link can fail: test the fail-safe with the wheels off the floor before every run.")
    return lines
