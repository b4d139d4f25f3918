"""What would make a port fit that misses: the least change of each kind, of those that were tried and clear all."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from scaling.book.told_apart import told_apart
from scaling.decide.proposals import Bench, Change, Offer, Proposal, motor, times
from scaling.files.units import format_number, format_value
from scaling.port.asked import LawRequest
from scaling.port.inputs import port_parts
from scaling.port.laws import law_factor
from scaling.study.problem import MISSES
from scaling.study.results import Port, Study
from scaling.study.tried import tried

UP = (1.05, 1.1, 1.15, 1.2, 1.3, 1.4, 1.6, 2.0, 2.5)
DOWN = (0.95, 0.9, 0.85, 0.8, 0.7, 0.6, 0.5, 0.4)


def more_cells(bench: Bench) -> Iterator[Proposal]:
    """A pack of more cells, with the resistance and the mass that they bring."""
    values = bench.values
    if bench.port.machine is not None or not {"battery.cells", "battery.resistance", "battery.mass"} <= values.keys():
        return
    cells = values["battery.cells"]
    yield [
        Change(
            f"take a pack of {cells + more:.0f} cells",
            {
                "port.battery.cells": f"{cells + more:.0f}",
                "port.battery.resistance": format_value(values["battery.resistance"] * (cells + more) / cells, "ohm"),
                "port.battery.mass": format_value(values["battery.mass"] * (cells + more) / cells, "kg"),
            },
        )
        for more in (1, 2, 3)
    ]


REMEDIES: Mapping[str, tuple[Offer, ...]] = {
    "speed_unreachable": (times("rotor.ratio", DOWN, "gear the rotor up to {size} to 1"), motor("rotor.motor")),
    "limit_passed": (times("rotor.ratio", UP, "gear the rotor down to {size} to 1"),),
}
"""What is offered against each miss, by its code."""


def remedy(study: Study, port: Port) -> str | None:
    """Return what makes a port fit, in a clause; None where nothing that was tried does."""
    size = _smaller(study, port)
    words, sized = ([], port) if size is None else ([size[0]], size[1])
    codes = list(port.misses) if size is None else sorted(missed(study, sized, {}) or ())
    if size is not None and not codes:
        return words[0]
    bench = Bench(study, sized)
    for code in codes:
        proposals = [each for offer in REMEDIES.get(code, ()) for each in offer(bench, None)]
        if code == "speed_unreachable":
            proposals += list(more_cells(bench))
        for change in (change for proposal in proposals for change in proposal):
            if missed(study, sized, change.keys) == frozenset():
                return ", and ".join([*words, change.text])
    return _lighter(study, port) if port.machine is not None else None


HEAVIEST = 3
"""Parts that are named where a machine is to lose mass."""


def _lighter(study: Study, port: Port) -> str | None:
    """The grams that a machine as drawn must lose, and where most are; None where it misses something else as well."""
    if set(port.misses) != {"mass_over_limit"}:
        return None
    over = port.variables["mass"] - port.mass_limit + study.brief.mass_margin
    heaviest = sorted(port.parts, key=lambda part: -told_apart(part.port))[:HEAVIEST]
    named = ", ".join(f"{part.name} {1e3 * part.port:.0f} g" for part in heaviest)
    return f"take {1e3 * over:.0f} g out of it (heaviest: {named})"


def missed(study: Study, port: Port, changes: Mapping[str, str]) -> frozenset[str] | None:
    """The codes of what a port misses with changes; None where they are not allowed."""
    found = tried(study, port, changes, ["rotor_speed"])
    return None if found is None else found.missed & MISSES


TOO_LARGE = ("mass_over_limit", "size_over_limit")


def _smaller(study: Study, port: Port) -> tuple[str, Port] | None:
    """The size at which the mass closes and the box holds it, and the port at that size; None where it is no matter."""
    own, request = study.design.variables, port.request
    if port.machine is not None or port.factor is None or not set(TOO_LARGE) & set(port.misses) or "length" not in own:
        return None
    factors = {}
    if "mass_over_limit" in port.misses:
        parts = port_parts(study.design, study.brief)
        closed = law_factor(study.design, study.brief, LawRequest("mass", request.speed_rule), parts).factor
        if closed is None:
            return None
        factors["where the mass closes"] = closed
    if "size_over_limit" in port.misses:
        over = max(port.variables[side] / most for side, most in study.brief.size_limit.items())
        factors["which the box takes"] = port.factor / over
    why, factor = min(factors.items(), key=lambda each: told_apart(each[1]))
    if factor >= port.factor:
        return None
    length = factor * own["length"]
    given = LawRequest("length", request.speed_rule, request.drive_rule, "length", length)
    text = f"make it {format_value(length, 'm')} long (factor {format_number(factor, 4)}), {why}"
    return text, replace(port, request=given, factor=factor)
