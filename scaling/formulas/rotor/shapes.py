"""Inertia and spinning stress of rotors: plain shapes, and bodies put together from them.

A ``Body`` can be moved, turned about the spin axis, added to another and taken away from it; the parallel
axes are seen to. Source of the inertias: J. L. Meriam & L. G. Kraige, Engineering Mechanics: Dynamics,
appendix B (products and parallel axes) and D (shapes), from memory.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import reduce
from typing import Any

import numpy as np

from scaling.book.entry import Array
from scaling.files.errors import InputError

SHAPES = ("disc", "ring", "bar", "drum")


@dataclass(frozen=True)
class Inertias:
    """Inertias in kg m^2: about the spin axis, and the larger and smaller one across it."""

    spin: float
    transverse: float
    transverse_small: float


@dataclass(frozen=True)
class Body:
    """A rigid body in axes fixed in the rotor: the spin axis, along a bar, and across both.

    ``mass`` in kg, negative for a hole; ``centre`` of mass in m from the rotor's middle; ``tensor`` of inertia
    in kg m^2 about that centre, 3 x 3, the products with the minus sign.
    """

    mass: float
    centre: Array
    tensor: Array

    def moved(self, axial: float = 0.0, along: float = 0.0, across: float = 0.0) -> Body:
        """Return the body shifted by so many metres, without turning."""
        return replace(self, centre=self.centre + np.array([axial, along, across]))

    def turned(self, angle: float) -> Body:
        """Return the body turned about the spin axis by ``angle`` in rad."""
        sine, cosine = math.sin(angle), math.cos(angle)
        turn = np.array([[1.0, 0.0, 0.0], [0.0, cosine, -sine], [0.0, sine, cosine]])
        return replace(self, centre=turn @ self.centre, tensor=turn @ self.tensor @ turn.T)

    def __add__(self, other: Body) -> Body:
        """Join both bodies into one: I = sum of I_c + m (d.d - d d^T), d from the common centre."""
        mass = self.mass + other.mass
        centre = (self.mass * self.centre + other.mass * other.centre) / mass
        tensor = np.zeros((3, 3))
        for body in (self, other):
            away = body.centre - centre
            tensor = tensor + body.tensor + body.mass * (away @ away * np.eye(3) - np.outer(away, away))
        return Body(mass, centre, tensor)

    def __sub__(self, other: Body) -> Body:
        """Take the material of ``other`` out of the body."""
        return self + Body(-other.mass, other.centre, -other.tensor)

    @property
    def unbalance(self) -> float:
        """Static unbalance in kg m: the mass times its centre's distance from the spin axis."""
        return self.mass * float(np.hypot(*self.centre[1:]))

    def inertias(self) -> Inertias:
        """Return the inertia about the spin axis itself, and the principal ones across it through the mass centre."""
        off = self.centre[1:]
        small, large = np.linalg.eigvalsh(self.tensor[1:, 1:])
        return Inertias(float(self.tensor[0, 0] + self.mass * off @ off), float(large), float(small))


def _body(mass: float, spin: float, about_along: float, about_across: float) -> Body:
    return Body(mass, np.zeros(3), np.diag([spin, about_along, about_across]))


def point(mass: float) -> Body:
    """Return a mass without size."""
    return _body(mass, 0.0, 0.0, 0.0)


def ring(mass: float, outer: float, inner: float, width: float) -> Body:
    """Return a disc with a hole, or a tube; mass in kg, diameters and width in m.

    m (r_o^2 + r_i^2) / 2 about its axis and m [3 (r_o^2 + r_i^2) + w^2] / 12 across it.
    """
    squares = (outer / 2) ** 2 + (inner / 2) ** 2
    transverse = mass * (3 * squares + width**2) / 12
    return _body(mass, mass * squares / 2, transverse, transverse)


def disc(mass: float, diameter: float, width: float) -> Body:
    """Return a solid disc or cylinder, as ``ring`` without the hole."""
    return ring(mass, diameter, 0.0, width)


def bar(mass: float, length: float, chord: float, width: float, bore: float = 0.0) -> Body:
    """Return a bar that spins about its middle, with a round hole there; lengths in m.

    ``width`` is along the spin axis, ``mass`` (kg) that of what the hole leaves. m (l^2 + c^2) / 12,
    m (c^2 + w^2) / 12, m (l^2 + w^2) / 12 of the whole bar, less the hole's disc. Raises InputError for a bore
    that cuts the bar in two.
    """
    hole = math.pi * bore**2 / 4 / (length * chord)
    if bore > 0 and bore >= chord:
        raise InputError("the bore is as wide as the bar", key="rotor.bore", given=f"{bore * 1e3:g} mm",
                         allowed=f"below the chord of {chord * 1e3:g} mm",
                         hint="state rotor.chord where the bar is bored, or rotor.inertia and no shape")
    whole = mass / (1 - hole)
    solid = _body(
        whole,
        whole * (length**2 + chord**2) / 12,
        whole * (chord**2 + width**2) / 12,
        whole * (length**2 + width**2) / 12,
    )
    return solid - disc(whole * hole, bore, width) if bore > 0 else solid


def inner_radius(shape: str, diameter: float, bore: float, chord: float | None) -> float:
    """Return the radius in m inside which the body has no material: the bore, or what a ring's wall leaves."""
    if shape in ("ring", "drum") and chord is not None:
        return max(diameter / 2 - chord, 0.0)
    return bore / 2


def section(shape: str, diameter: Any, bore: float, chord: float | None) -> Any:
    """Return the area in m^2 of a plain rotor's body across the spin axis; ``diameter`` may be an array."""
    if shape == "bar":
        return diameter * _stated(chord) - math.pi / 4 * bore**2
    inner = np.maximum(diameter - 2 * chord, 0.0) if shape in ("ring", "drum") and chord is not None else bore
    return math.pi / 4 * (diameter**2 - inner**2)


def _stated(chord: float | None) -> float:
    if chord is None:
        raise InputError("a bar needs its chord (its width across its length)", key="rotor.chord")
    return chord


def plain(shape: str, mass: float, *, diameter: float, width: float, bore: float, chord: float | None) -> Body:
    """Return the body of a plain rotor of ``shape``; lengths in m, mass in kg, ``chord`` a bar's or wall's width."""
    if shape == "bar":
        return bar(mass, diameter, _stated(chord), width, bore)
    return ring(mass, diameter, 2 * inner_radius(shape, diameter, bore, chord), width)


def rotor_inertias(shape: str, numbers: Mapping[str, float]) -> Inertias:
    """Return the inertias of a rotor from its design-file numbers.

    The plain ``shape``, with a hub and bolted-in teeth where they are stated; ``rotor.mass`` is the sum of them
    all. Raises InputError where hub and teeth leave no mass for the body.
    """
    width, bore = numbers["rotor.width"], numbers["rotor.bore"]
    extra: list[Body] = []
    if "rotor.hub.mass" in numbers:
        extra.append(ring(numbers["rotor.hub.mass"], numbers["rotor.hub.diameter"], bore, numbers["rotor.hub.width"]))
    if "rotor.tooth.mass" in numbers:
        teeth = round(numbers["rotor.teeth"])
        tooth = point(numbers["rotor.tooth.mass"]).moved(along=numbers["rotor.tooth.radius"])
        extra += [tooth.turned(2 * math.pi * place / teeth) for place in range(teeth)]
    left = numbers["rotor.mass"] - sum(body.mass for body in extra)
    if left <= 0:
        raise InputError("hub and teeth weigh as much as the whole rotor", key="rotor.mass",
                         given=f"{numbers['rotor.mass'] * 1e3:g} g",
                         hint="rotor.mass is the sum of body, hub and teeth")
    body = plain(shape, left, diameter=numbers["rotor.diameter"], width=width, bore=bore,
                 chord=numbers.get("rotor.chord"))
    return reduce(Body.__add__, extra, body).inertias()


def bar_bore_factor(share: float) -> float:
    """Return the stress beside a round hole over the mean of what the hole leaves; ``share`` = bore / chord.

    3 - 3.13 s + 3.66 s^2 - 1.53 s^3: W. C. Young & R. G. Budynas, Roark's Formulas for Stress and Strain,
    7th ed., table 17.1, as quoted by a secondary page.
    """
    return 3 - 3.13 * share + 3.66 * share**2 - 1.53 * share**3


def stress_factor(shape: str, diameter: Any, bore: Any, chord: Any, poisson: Any) -> Any:
    """Return the peak stress of the spinning body over rho v^2, with v the tip speed.

    Diameter, bore and chord (m; None where the shape has none) and Poisson's ratio are floats, or arrays of one size of
    which all or none have a bore.

    Disc, thin: (3 + nu) / 8 at the centre; with a hole, and a ring, [(3 + nu) + (1 - nu) x^2] / 4 at its edge,
    x = r_i / r_o: E. J. Hearn, Mechanics of Materials 2, sec. 4.2-4.3, as quoted by a secondary page.
    Drum, a long cylinder with free ends: [(3 - 2 nu) + (1 - 2 nu) x^2] / [4 (1 - nu)], solid half of it: J. E.
    Shigley & C. R. Mischke, Mechanical Engineering Design, 5th ed., and K. Lingaiah, Machine Design Handbook,
    2nd ed., both as quoted by a secondary page.
    Bar: 1/2 at the middle, by integrating rho omega^2 r from the tip; with a bore the pull of either half,
    less the half hole's, over what the hole leaves, times ``bar_bore_factor``.
    Raises InputError for a bar that its bore cuts in two.
    """
    if shape == "bar":
        if np.all(bore == 0):
            return 0.5
        across = _stated(chord)
        share = bore / across
        if np.any(share >= 1):
            raise InputError("the bore is as wide as the bar", key="rotor.bore", given=f"{bore * 1e3:g} mm",
                             allowed=f"below the chord of {across * 1e3:g} mm")
        pull = 0.5 - bore**3 / (3 * across * diameter**2)
        return bar_bore_factor(share) * pull / (1 - share)
    hole = (2 * inner_radius(shape, diameter, bore, chord) / diameter) ** 2
    solid, holed = 3 + poisson, 1 - poisson
    if shape == "drum":  # plane strain: nu / (1 - nu) in the place of nu
        solid, holed = (3 - 2 * poisson) / (1 - poisson), (1 - 2 * poisson) / (1 - poisson)
    return solid / 8 if np.all(hole == 0) else (solid + holed * hole) / 4
