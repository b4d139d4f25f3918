"""What the explorer follows: sizes, yardsticks, handling, and the margins that come nearest to 1."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scaling.book.entry import Role
from scaling.book.told_apart import told_apart
from scaling.formulas import book
from scaling.study.results import Study

SIZES = (
    "length", "width", "height", "wheelbase", "wheel.diameter", "rotor.diameter", "rotor.width", "rotor.axle_height",
    "rotor.axle_lever", "cg_ahead", "cg_height",
)  # fmt: skip
"""What the outlines are drawn from, of what a design states."""

MOST: dict[Role, int] = {"survival": 14, "budget": 8}
"""How many margins of a role are followed at most, those that come nearest to 1."""

NEAR, LEAST = 3.0, 4
"""A margin that is nowhere in the study below the first is followed only where fewer than the second come nearer."""

ABRUPT = "rotor.radial_share"
"""What rests on this changes abruptly, as teeth of an engagement get in or do not, and is not read between nodes."""

BOUNDS = ("throw_height_bound", "throw_slide_bound")
"""What is followed of a throw instead: the most that it can be."""


@dataclass(frozen=True)
class Followed:
    """Names of what is followed: ``sizes`` are keys of the design, ``quantities`` names of the book."""

    sizes: tuple[str, ...]
    quantities: tuple[str, ...]


def followed(study: Study) -> Followed:
    """Return what the explorer follows of a study, in the book's order."""
    own = study.reference
    bounded = [name for name in study.brief.limits if name in own]
    wanted = {"total_mass", "pack_energy", *bounded, *book.of_role("yardstick", "handling", among=own)}
    wanted |= {name for name in BOUNDS if name in own}
    for role, most in MOST.items():
        wanted |= set(_nearest(study, role, most))
    wanted -= book.resting_on(ABRUPT, study.design.traits, study.design.variables)
    stated = [key for key in (*SIZES, *study.brief.limits, *study.brief.size_limit) if key in study.design.variables]
    names = tuple(name for name in book.quantities if name in wanted and name in own)
    return Followed(tuple(dict.fromkeys(["mass", *stated])), names)


def _nearest(study: Study, role: Role, most: int) -> list[str]:
    """The margins of a role that are least at the reference or at any port, the least first."""
    margins = [name for name in book.of_role(role, among=study.reference) if name in book.margins]
    least = {name: _least(study, name) for name in margins}
    ranked = sorted(margins, key=lambda name: told_apart(least[name]))
    return [name for place, name in enumerate(ranked[:most]) if place < LEAST or least[name] < NEAR]


def _least(study: Study, name: str) -> float:
    """The least of a margin at the reference and at every port whose motor reaches the speed that it needs."""
    found = [port.quantities[name] for port in study.ports if name in port.quantities]
    return float(np.min([study.reference[name], *(entry.value for entry in found if not entry.if_reached)]))
