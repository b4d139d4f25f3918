"""What a brief asks: where the reference is to go, by which laws and with what parts, as the user said it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import prod
from pathlib import Path
from typing import Any, Literal

from scaling.port.levers import ClosureRow
from scaling.port.presets import USUAL_PRESET
from scaling.robot.design import Design
from scaling.shop.motors import Motor
from scaling.shop.shelves import Shelves

AXES = ("rotor_motors", "drive_motors", "cells", "rotor_ratios", "drive_ratios")
FITS = ("mass", "motor-diameter")


@dataclass(frozen=True)
class LawRequest:
    """One law to try with one speed rule (None without a rotor) and one drive rule.

    ``key`` and ``target`` (m): the length that is given, for the laws that need one. A machine that is drawn and a law
    that frees dimensions have neither rule; ``free`` are the keys that the brief frees, None where it leaves that to
    the law.
    """

    law: str
    speed_rule: str | None
    drive_rule: str | None = "as-bought"
    key: str | None = None
    target: float | None = None
    free: tuple[str, ...] | None = None


@dataclass(frozen=True)
class PartChange:
    """What the brief says of one part at the port; None where it says nothing."""

    mass: float | None = None
    material: str | None = None
    kind: str | None = None
    count: int | None = None
    thickness: float | None = None
    thickness_rule: str | None = None


@dataclass(frozen=True)
class Bound:
    """The most or the least that the brief allows of a quantity or variable: SI, with the text that the user wrote."""

    name: str
    value: float
    side: Literal["at most", "at least"]
    text: str

    def level(self, value: Any) -> Any:
        """How well a value (float or array) holds the bound: 1 at it, more within."""
        return self.value / value if self.side == "at most" else value / self.value

    def holds(self, value: float) -> bool:
        """Whether a value is within the bound; what is at it counts as within."""
        slack = 1e-9 * self.value
        return value <= self.value + slack if self.side == "at most" else value >= self.value - slack


@dataclass(frozen=True)
class OptionSpace:
    """What may vary: each axis a list of alternatives, None or empty where the brief does not say."""

    rotor_motors: tuple[Motor, ...] = ()
    drive_motors: tuple[Motor, ...] = ()
    cells: tuple[int, ...] = ()
    rotor_ratios: tuple[float, ...] = ()
    drive_ratios: tuple[float, ...] = ()
    materials: dict[str, tuple[str, ...]] = field(default_factory=dict)
    fits: tuple[str, ...] = FITS
    speed_rule: str | None = "as-motored"
    drive_rule: str = "as-bought"

    def axes(self) -> dict[str, tuple[Any, ...]]:
        """Return the axes that have alternatives, by name; those of materials by 'material of PART'."""
        named = {name: getattr(self, name) for name in AXES}
        found = {name: values for name, values in named.items() if values}
        return found | {f"material of {part}": names for part, names in self.materials.items()}

    @property
    def combinations(self) -> int:
        """How many combinations there are, each fitted in every way."""
        return prod(map(len, self.axes().values())) * max(len(self.fits), 1)


@dataclass(frozen=True)
class ObjectiveRequest:
    """What ports are scored by: a preset's weights, and the brief's ``weights`` by quantity in place of them."""

    preset: str = USUAL_PRESET
    weights: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Brief:
    """Where the reference is to go, in SI units: what the user said, and nothing else.

    ``numbers`` and ``words`` are values of the design file's keys as they are at the port (a bought
    motor, another pack); ``swaps`` maps a material to the one that takes its place; ``size_limit``
    holds the class's box by key. ``snap`` says whether the dimensions that come from a shelf are snapped to
    it, and ``shelves`` are those with the builder's own. ``limits`` holds bounds on quantities or variables by
    name. ``closure`` lists the levers that close the mass where the factor is given. ``options`` is what may vary
    in a ranking of real parts, None without a table of it. ``objective`` is what the ports are scored by. ``held`` is
    where the law that frees dimensions stands still: the factor, each lever's ratio to the similar machine's, cells.
    ``drawn`` is a machine with a design file of its own that is judged beside the laws' ports.
    """

    name: str
    design_file: Path
    file: Path | None
    mass_limit: float
    mass_margin: float = 0.0
    requests: tuple[LawRequest, ...] = ()
    size_limit: dict[str, float] = field(default_factory=dict)
    numbers: dict[str, float] = field(default_factory=dict)
    words: dict[str, str] = field(default_factory=dict)
    swaps: dict[str, str] = field(default_factory=dict)
    parts: dict[str, PartChange] = field(default_factory=dict)
    snap: bool = True
    limits: dict[str, Bound] = field(default_factory=dict)
    shelves: Shelves = field(default_factory=Shelves)
    closure: tuple[ClosureRow, ...] = ()
    options: OptionSpace | None = None
    objective: ObjectiveRequest = field(default_factory=ObjectiveRequest)
    held: Mapping[str, float] = field(default_factory=dict)
    drawn: Design | None = None

    @property
    def allowed_mass(self) -> float:
        """The mass limit less the margin, kg."""
        return self.mass_limit - self.mass_margin


def with_cells(numbers: Mapping[str, Any], cells: Any, own: float) -> dict[str, Any]:
    """Return the brief's ``numbers`` with another count of cells, ``own`` being the reference's.

    What the brief says of its pack is said of its own cells: more of the same weigh and resist more.
    """
    share = cells / numbers.get("battery.cells", own)
    found = {key: value for key, value in numbers.items() if key != "battery.voltage"}
    found |= {key: numbers[key] * share for key in ("battery.mass", "battery.resistance") if key in numbers}
    return found | {"battery.cells": cells}


@dataclass(frozen=True)
class Variation:
    """What is tried of a port beside the brief, which stays what the user said.

    ``numbers`` stand in place of the brief's where they are given, and may be arrays over combinations; ``materials``
    are what parts are made of by their name: the materials that are tried, and each combination's place among them.
    ``held`` are sizes (m) that are kept at every factor, and without ``snapped`` no size comes from a shelf.
    ``levers`` are free dimensions, each as its ratio to the similar machine's at the same factor. ``cells`` is a
    count that is tried, and the reference's. ``wound_for`` is the
    pack voltage over the reference's for which similar motors are wound, None for the port's own.
    ``mass_limit`` (kg) is that of another class than the brief's.
    """

    numbers: Mapping[str, Any] | None = None
    materials: Mapping[str, tuple[tuple[str, ...], Any]] = field(default_factory=dict)
    held: Mapping[str, float] = field(default_factory=dict)
    snapped: bool = True
    levers: Mapping[str, Any] = field(default_factory=dict)
    cells: tuple[float, float] | None = None
    wound_for: float | None = None
    mass_limit: Any = None

    def numbers_of(self, brief: Brief) -> Mapping[str, Any]:
        """The numbers of the design's keys at the port."""
        numbers = brief.numbers if self.numbers is None else self.numbers
        return numbers if self.cells is None else with_cells(numbers, *self.cells)

    def shelves_of(self, design: Design, brief: Brief) -> Shelves | None:
        """The shelves that sizes come from, the brief's own before the design's; None where no size does."""
        return design.shelves | brief.shelves if brief.snap and self.snapped else None


AS_BRIEFED = Variation()
"""Nothing beside the brief."""
