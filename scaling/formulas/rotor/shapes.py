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

from scaling.book.alike import alike
from scaling.book.entry import Array
from scaling.files.errors import InputError

SHAPES = ("disc", "ring", "bar", "drum")


@dataclass(frozen=True)
class Inertias:
    """Inertias in kg m^2: about the spin axis, and the larger and smaller one across it; one body's or many."""

    spin: Any
    transverse: Any
    transverse_small: Any


@dataclass(frozen=True)
class Body:
    """A rigid body in axes fixed in the rotor: the spin axis, along a bar, and across both.

    ``mass`` in kg, negative for a hole; ``centre`` of mass in m from the rotor's middle; ``tensor`` of inertia
    in kg m^2 about that centre, 3 x 3, the products with the minus sign. Many bodies at once have a mass each, and
    their centres and tensors as rows of an array.
    """

    mass: Any
    centre: Array
    tensor: Array

    def moved(self, axial: Any = 0.0, along: Any = 0.0, across: Any = 0.0) -> Body:
        """Return the body shifted by so many metres, without turning."""
        return replace(self, centre=self.centre + np.stack(np.broadcast_arrays(axial, along, across), axis=-1))

    def turned(self, angle: Any) -> Body:
        """Return the body turned about the spin axis by ``angle`` in rad."""
        sine, cosine = np.sin(angle), np.cos(angle)
        turn = np.zeros((*np.shape(angle), 3, 3))
        turn[..., 0, 0], turn[..., 1, 1], turn[..., 2, 2] = 1.0, cosine, cosine
        turn[..., 1, 2], turn[..., 2, 1] = -sine, sine
        centre = (turn @ self.centre[..., None])[..., 0]
        return replace(self, centre=centre, tensor=turn @ self.tensor @ turn.swapaxes(-1, -2))

    def __add__(self, other: Body) -> Body:
        """Join both bodies into one: I = sum of I_c + m (d.d - d d^T), d from the common centre."""
        mass = self.mass + other.mass
        first, second, both = (np.asarray(each)[..., None] for each in (self.mass, other.mass, mass))
        centre = (first * self.centre + second * other.centre) / both
        tensor = np.zeros((3, 3))
        for body, weight in ((self, first), (other, second)):
            away = body.centre - centre
            squares = (away * away).sum(axis=-1)[..., None, None] * np.eye(3)
            tensor = tensor + body.tensor + weight[..., None] * (squares - away[..., :, None] * away[..., None, :])
        return Body(mass, centre, tensor)

    def __sub__(self, other: Body) -> Body:
        """Take the material of ``other`` out of the body."""
        return self + Body(-other.mass, other.centre, -other.tensor)

    @property
    def unbalance(self) -> Any:
        """Static unbalance in kg m: the mass times its centre's distance from the spin axis."""
        return single(self.mass * np.hypot(self.centre[..., 1], self.centre[..., 2]))

    def inertias(self) -> Inertias:
        """Return the inertia about the spin axis itself, and the principal ones across it through the mass centre."""
        spin = self.tensor[..., 0, 0] + self.mass * (self.centre[..., 1:] ** 2).sum(axis=-1)
        across = np.linalg.eigvalsh(self.tensor[..., 1:, 1:])
        return Inertias(single(spin), single(across[..., 1]), single(across[..., 0]))


def single(value: Any) -> Any:
    """Return one number as a float, many as the array that they are."""
    return float(value) if np.ndim(value) == 0 else value


def _body(mass: Any, *about: Any) -> Body:
    """A body by its inertias about the spin axis, along and across."""
    diagonal = np.stack(np.broadcast_arrays(mass, *about)[1:], axis=-1)
    return Body(mass, np.zeros(diagonal.shape), diagonal[..., None] * np.eye(3))


def point(mass: Any) -> Body:
    """Return a mass without size."""
    return _body(mass, 0.0, 0.0, 0.0)


def ring(mass: Any, outer: Any, inner: Any, width: Any) -> Body:
    """Return a disc with a hole, or a tube; mass in kg, diameters and width in m.

    m (r_o^2 + r_i^2) / 2 about its axis and m [3 (r_o^2 + r_i^2) + w^2] / 12 across it.
    """
    squares = (outer / 2) ** 2 + (inner / 2) ** 2
    transverse = mass * (3 * squares + width**2) / 12
    return _body(mass, mass * squares / 2, transverse, transverse)


def disc(mass: Any, diameter: Any, width: Any) -> Body:
    """Return a solid disc or cylinder, as ``ring`` without the hole."""
    return ring(mass, diameter, 0.0, width)


def bar(mass: Any, length: Any, chord: Any, width: Any, bore: Any = 0.0) -> Body:
    """Return a bar that spins about its middle, with a round hole there; lengths in m.

    ``width`` is along the spin axis, ``mass`` (kg) that of what the hole leaves. m (l^2 + c^2) / 12,
    m (c^2 + w^2) / 12, m (l^2 + w^2) / 12 of the whole bar, less the hole's disc. Raises InputError for a bore
    that cuts the bar in two.
    """
    hole = math.pi * bore**2 / 4 / (length * chord)
    if alike((bore > 0) & (bore >= chord)):
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
    return solid - disc(whole * hole, bore, width) if np.any(bore > 0) else solid


def inner_radius(shape: str, diameter: Any, bore: Any, chord: Any) -> Any:
    """Return the radius in m inside which the body has no material: the bore, or what a ring's wall leaves."""
    if shape in ("ring", "drum") and chord is not None:
        return np.maximum(diameter / 2 - chord, 0.0)
    return bore / 2


def section(shape: str, diameter: Any, bore: Any, chord: Any) -> Any:
    """Return the area in m^2 of a plain rotor's body across the spin axis; ``diameter`` may be an array."""
    if shape == "bar":
        return diameter * _stated(chord) - math.pi / 4 * bore**2
    inner = np.maximum(diameter - 2 * chord, 0.0) if shape in ("ring", "drum") and chord is not None else bore
    return math.pi / 4 * (diameter**2 - inner**2)


def _stated(chord: Any) -> Any:
    if chord is None:
        raise InputError("a bar needs its chord (its width across its length)", key="rotor.chord")
    return chord


def plain(shape: str, mass: Any, *, diameter: Any, width: Any, bore: Any, chord: Any) -> Body:
    """Return the body of a plain rotor of ``shape``; lengths in m, mass in kg, ``chord`` a bar's or wall's width."""
    if shape == "bar":
        return bar(mass, diameter, _stated(chord), width, bore)
    return ring(mass, diameter, 2 * inner_radius(shape, diameter, bore, chord), width)


def rotor_inertias(shape: str, numbers: Mapping[str, Any]) -> Inertias:
    """Return the inertias of a rotor from its design-file numbers, floats or arrays.

    The plain ``shape``, with a hub and bolted-in teeth where they are stated; ``rotor.mass`` is the sum of them
    all. Raises InputError where hub and teeth leave no mass for the body.
    """
    width, bore = numbers["rotor.width"], numbers["rotor.bore"]
    extra: list[Body] = []
    if "rotor.hub.mass" in numbers:
        extra.append(ring(numbers["rotor.hub.mass"], numbers["rotor.hub.diameter"], bore, numbers["rotor.hub.width"]))
    if "rotor.tooth.mass" in numbers:
        teeth = np.rint(numbers["rotor.teeth"])
        for place in range(int(np.max(teeth))):
            tooth = point(numbers["rotor.tooth.mass"] * (place < teeth)).moved(along=numbers["rotor.tooth.radius"])
            extra.append(tooth.turned(2 * math.pi * place / teeth))
    left = numbers["rotor.mass"] - sum(body.mass for body in extra)
    if alike(left <= 0):
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

    Diameter, bore and chord (m; None where the shape has none) and Poisson's ratio are floats, or arrays of one size.

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
        return np.where(bore == 0, 0.5, bar_bore_factor(share) * pull / (1 - share))[()]
    hole = (2 * inner_radius(shape, diameter, bore, chord) / diameter) ** 2
    solid, holed = 3 + poisson, 1 - poisson
    if shape == "drum":  # plane strain: nu / (1 - nu) in the place of nu
        solid, holed = (3 - 2 * poisson) / (1 - poisson), (1 - 2 * poisson) / (1 - poisson)
    return np.where(hole == 0, solid / 8, (solid + holed * hole) / 4)[()]
