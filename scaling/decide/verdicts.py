"""What each port keeps and gives up, in a sentence, and the cautions that its numbers call for."""

from __future__ import annotations

import math
from collections.abc import Mapping

from scaling.book.similarity import worse
from scaling.files.units import format_number, format_value
from scaling.formulas import book
from scaling.port.laws import LAWS
from scaling.port.rules import DRIVE_RULES, SPEED_RULES
from scaling.study.results import Port, Study

ALIKE = 0.05
"""A drift within five per cent of 1 counts as like the reference."""

def drift_size(value: float | None) -> float:
    """How far a drift is from 1, on a log scale; a missing one counts as none, one of nought as without end."""
    if value is None or value < 0:
        return 0.0
    return abs(math.log(value)) if value > 0 else math.inf


def verdict(port: Port) -> str:
    """One sentence on a port: what it gives up against the reference, what stays, and what it is likeliest to break."""
    if port.factor is None:
        return f"{port.label}: {port.problems[0].text}"
    kept: list[str] = []
    lost: list[tuple[float, str]] = []
    for name in book.of_role("handling"):
        entry = port.quantities.get(name)
        drift = entry.drift.get("gravity") if entry else None
        if drift is None:
            continue
        label = _lower(book.quantities[name].label)
        if drift_size(drift) <= math.log1p(ALIKE):
            kept.append(label)
        elif worse(drift, book.quantities[name].better):
            lost.append((drift_size(drift), f"{label} ({100 * drift:.0f} %)"))
    lost.sort(reverse=True)
    text = "gives up nothing that a driver notices"
    if lost:
        text = "beside a port just like the reference it loses on " + ", ".join(words for _, words in lost[:3])
    if kept:
        text += f"; keeps {', '.join(kept[:3])}"
    return f"{port.label} (factor {format_number(port.factor, 4)}): {text}{_weakest(port)}."


def _weakest(port: Port) -> str:
    """The survival margin that fell most, or a word that none fell."""
    found = [(name, port.quantities[name].ratio) for name in book.of_role("survival", among=port.quantities)]
    fallen = [(ratio, name) for name, ratio in found if ratio is not None and ratio < 1 - ALIKE]
    if not found:
        return ""
    if not fallen:
        return "; no survival margin falls by more than 5 %"
    ratio, name = min(fallen)
    value = port.quantities[name].value
    return (
        f"; {_lower(book.quantities[name].label)} falls most, to {format_number(value)}, {100 * ratio:.0f} % of the "
        f"reference's"
    )


def _lower(label: str) -> str:
    return label[0].lower() + label[1:]


def factor_source(port: Port) -> str:
    """Where a port's factor comes from, in a few words."""
    request = port.request
    if port.factor is None:
        return "no factor: see the problems"
    return LAWS[request.law].origin.format(key=request.key or "length")


def give_way_lines(study: Study) -> list[str]:
    """The order in which a belt drive gives way when the rotor stops dead: the reference's and each port's."""
    from scaling.formulas.transmission.belts import give_way_order

    fuse = study.design.choices.get("rotor.belt.fuse")
    machines: list[tuple[str, Mapping[str, float]]] = [("reference", study.reference)]
    for letter, port in zip(study.letters, study.ports, strict=True):
        machines.append((letter, {name: entry.value for name, entry in port.quantities.items()}))
    found: dict[str, list[str]] = {}
    for name, margins_of in machines:
        order = give_way_order(margins_of)
        if len(order) < 2:
            continue
        text = ", then ".join(f"{link} ({format_number(margin)})" for link, margin in order)
        text += "" if order[0][0] == fuse else f"; meant to go first: {fuse}"
        found.setdefault(text, []).append(name)
    return [f"{' '.join(names)}: {text}" for text, names in found.items()]


def rule_lines(study: Study) -> list[str]:
    """The laws and rules of a study, each in its own sentence."""
    used = [port.request for port in study.ports]
    laws = dict.fromkeys(request.law for request in used)
    speeds = dict.fromkeys(request.speed_rule for request in used if request.speed_rule)
    drives = dict.fromkeys(request.drive_rule for request in used)
    return [
        *(f"law {law}: {LAWS[law]}" for law in laws),
        *(f"speed rule {rule}: {SPEED_RULES[rule]}" for rule in speeds),
        *(f"drive rule {rule}: {DRIVE_RULES[rule]}" for rule in drives),
    ]


def cautions(study: Study) -> list[str]:
    """The usual cautions, with the study's own numbers; they defer to the event and to qualified practice."""
    lines = [
        "These are estimates from the stated inputs, not a release to build or run. The event's rules, local codes "
        "and qualified practice come first.",
    ]
    rotors = [port for port in study.ports if "rotor_energy" in port.quantities]
    if rotors:
        energy = max(port.quantities["rotor_energy"].value for port in rotors)
        tip = max(port.quantities["tip_speed"].value for port in rotors)
        text = (
            f"A rotor at up to {format_value(energy, 'J')} and {format_value(tip, 'm/s')} at the tip maims or kills. "
            "Run it only inside an enclosure rated for that energy, with nobody in line with the rotor."
        )
        down = [port.quantities["spin_down_time"].value for port in rotors if "spin_down_time" in port.quantities]
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
