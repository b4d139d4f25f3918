"""Changes to a belt drive that has to stand a dead stop: a pulley that bears the heat, a belt that slips."""

from __future__ import annotations

import math
from collections.abc import Iterator

from scaling.book.told_apart import told_apart
from scaling.decide.proposals import Bench, Change, Proposal, told
from scaling.decide.risks import Risk
from scaling.shop.materials import material

PULLEY = "aluminium-6082-t6"

MODULUS = 25e6
"""Modulus of a polyurethane cord in Pa: common practice, no source."""

STRENGTH = 32e6
"""Strength of a welded polyurethane cord in Pa: common practice, no source."""

DENSITY = 1200.0
"""Density of polyurethane in kg/m^3: common practice, no source."""

STRETCH = (0.04, 0.06, 0.08, 0.1)
"""Stretch at rest with which such a belt is put on: common practice, no source."""

SLENDER = (0.2, 0.5)
"""Least and most of such a belt's diameter over that of its pulley: common practice, no source."""

FRICTION, GROOVE = 0.6, math.radians(60)
"""Friction of polyurethane on a pulley, and the angle of its groove: common practice, no source."""


def metal_pulley(bench: Bench, _risk: Risk | None) -> Iterator[Proposal]:
    """A pulley of metal in place of one that softens."""
    own = bench.choices.get("rotor.belt.pulley.material")
    if own is not None and material(own).kind != "metal":
        key = bench.key("rotor.belt.pulley.material")
        yield [Change(f"make the pulleys of {PULLEY}", {key: PULLEY})]


def round_belt(bench: Bench, _risk: Risk | None) -> Iterator[Proposal]:
    """A round belt, which slips when the rotor stops dead, in place of a toothed one, which cannot.

    Offered to machines with files of their own: what a brief's ports are of they have from the reference.
    """
    if bench.port.machine is None or bench.choices.get("rotor.belt.kind") != "toothed":
        return
    shelves = bench.study.design.shelves | bench.study.brief.shelves
    pulley = bench.values["rotor.belt.pulley_diameter"]
    sizes = [size for size in shelves.sizes("round-belt") if SLENDER[0] <= size / pulley <= SLENDER[1]]
    pulls = sorted((told_apart(size**2 * stretch), size, stretch) for size in sizes for stretch in STRETCH)
    yield [_round(bench, size, stretch) for _, size, stretch in pulls]


def _round(bench: Bench, diameter: float, stretch: float) -> Change:
    """A round belt on pulleys of the same pitch diameters."""
    area = math.pi / 4 * diameter**2
    numbers = {
        "width": diameter,
        "stiffness": MODULUS * area,
        "breaking_tension": STRENGTH * area,
        "mass_per_length": DENSITY * area,
        "tension": MODULUS * area * stretch,
        "pulley_diameter": bench.values["rotor.belt.pulley_diameter"],
        "friction": FRICTION,
        "groove_angle": GROOVE,
    }
    keys = {bench.key(f"rotor.belt.{name}"): told(f"rotor.belt.{name}", value) for name, value in numbers.items()}
    text = (
        f"take a round belt of {told('rotor.belt.width', diameter)} that slips, at "
        f"{told('rotor.belt.tension', numbers['tension'])} at rest"
    )
    return Change(text, {bench.key("rotor.belt.kind"): "round"} | keys)
