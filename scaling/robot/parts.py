"""What the robot's mass is made of, and how each part follows the scale factor."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from scaling.files import units
from scaling.files.errors import InputError
from scaling.robot.kinds import KINDS
from scaling.shop import materials, shelves

if TYPE_CHECKING:
    from pathlib import Path

    from scaling.cad.mesh import MassProperties

GROUPS = ("frame", "armour", "rotor", "drive", "electronics")
THICKNESS_RULES = ("scale", "hold")
MANY = 50
"""Parts from which it pays to look for those whose mass follows the factor alike."""


@dataclass(frozen=True)
class Part:
    """One line of the mass sum: ``count`` pieces of ``mass`` kg each, of one of the KINDS.

    ``mass``, ``thickness``, ``snap`` and ``which`` are single values, or arrays over combinations that are tried at
    once. ``material`` is what the part is made of; where that differs by combination, ``which`` is the place of each
    one's in ``materials``: the part's own, then the ``others``. ``snap`` says how a sheet's thickness comes from the
    shelf, and ``sold`` the thicknesses (m) that each material is sold in; without them it stays as it is.
    ``key`` names the design variable that holds the mass, for parts that have tables of their own. ``body`` is what a
    mesh says of one piece, and ``doubts`` what is doubtful about the mesh.
    """

    name: str
    kind: str
    mass: Any
    count: int = 1
    group: str = "frame"
    material: str | None = None
    thickness: Any = None
    thickness_rule: str = "scale"
    key: str | None = None
    snap: Any = None
    sold: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    others: tuple[str, ...] = ()
    which: Any = 0
    body: MassProperties | None = None
    doubts: tuple[str, ...] = ()

    @property
    def total(self) -> Any:
        """Mass in kg of all the pieces."""
        return self.mass * self.count

    @property
    def is_sheet(self) -> bool:
        """Whether the mass goes with a thickness of its own."""
        return KINDS[self.kind].sheet and self.thickness is not None

    @property
    def held(self) -> bool:
        """Whether the thickness stays whatever the factor."""
        kind = KINDS[self.kind]
        return kind.holds_thickness or (kind.sheet and self.thickness_rule == "hold")

    @property
    def power(self) -> Fraction | None:
        """Power of the scale factor that the part's mass follows; None for a thickness in steps."""
        kind = KINDS[self.kind]
        if not kind.sheet or self.held:
            return kind.power
        return None if self.sold else kind.power + 1

    @cached_property
    def way(self) -> tuple[Any, ...] | None:
        """What the ratio of the part's mass to the reference's goes by; None where its own values are arrays."""
        if any(map(np.ndim, (self.mass, self.thickness, self.snap, self.which))) or not self.mass:
            return None
        if not self.is_sheet:
            return (float(self.power or 0),)
        sizes = self.sold.get(self.materials[int(self.which)]) if self.sold else None
        return self.kind, self.thickness if sizes else 0.0, self.held, str(self.snap), sizes

    @property
    def materials(self) -> tuple[str, ...]:
        """Every material that the part may be made of, its own first."""
        return (self.material, *self.others) if self.material is not None else ()

    @property
    def densities(self) -> Any:
        """Typical density in kg/m^3 of the part's material, by combination where it differs."""
        return np.asarray([materials.material(name).density.typical for name in self.materials])[self.which]

    def ideal_thickness(self, factor: Any) -> Any:
        """Thickness in m that the part's rule asks for at ``factor``."""
        return (0.0 if self.thickness is None else self.thickness) * (factor**0 if self.held else factor)

    def thickness_at(self, factor: Any) -> Any:
        """Thickness in m at ``factor``, as the shelf of each combination's material has it."""
        ideal = self.ideal_thickness(factor)
        if not self.sold:
            return ideal
        if np.ndim(self.which) == 0 and (isinstance(self.snap, str) or np.ndim(self.snap) == 0):
            sizes = self.sold.get(self.materials[self.which]) if self.materials else None
            return shelves.snapped(ideal, sizes, str(self.snap)) if sizes else ideal
        shape = np.broadcast_shapes(np.shape(ideal), np.shape(self.which), np.shape(self.snap))
        ideal = np.broadcast_to(np.asarray(ideal, dtype=float), shape)
        found = ideal.copy()
        for place, name in enumerate(self.materials):
            for word in shelves.HOWS if self.sold.get(name) else ():
                here = np.broadcast_to((self.which == place) & (np.asarray(self.snap) == word), shape)
                if here.any():
                    found[here] = shelves.snapped(ideal[here], self.sold[name], word)
        return found

    def at(self, factor: Any, thickness: Any = None) -> Any:
        """Mass in kg of all the pieces at ``factor`` (a float or an array); ``thickness`` (m) where it is known."""
        kind = KINDS[self.kind]
        if not kind.sheet:
            return self.total * factor**kind.exponent
        if self.thickness is not None:
            now = self.thickness_at(factor) if thickness is None else thickness
            return self.total * factor**kind.exponent * now / self.thickness
        return self.total * factor ** float(self.power or 0)


def mass_at(parts: tuple[Part, ...], factor: Any) -> Any:
    """Sum of the parts' masses (kg) at ``factor`` (float or array); of very ``MANY``, those that go alike go as one."""
    if len(parts) < MANY:
        return sum(part.at(factor) for part in parts)
    alike: dict[Any, list[Part]] = {}
    for place, part in enumerate(parts):
        alike.setdefault(part.way or place, []).append(part)
    return sum(
        first.at(factor) * (sum(part.total for part in (first, *others)) / first.total) if others else first.at(factor)
        for first, *others in alike.values()
    )


def cut_from(part: Part, name: str, here: Any = True) -> Part:
    """Return ``part`` cut from the material ``name`` at the same size, where ``here`` says so by combination.

    The mass goes by the ratio of densities; a part whose material is not known keeps it.
    """
    if part.material is None:
        return replace(part, material=name)
    weighed = part.mass * materials.material(name).density.typical / part.densities
    if np.ndim(here) == 0 and not part.others:
        return replace(part, mass=weighed, material=name) if here else part
    return replace(
        part,
        mass=np.where(here, weighed, part.mass),
        others=(*part.others, name),
        which=np.where(here, len(part.materials), part.which),
    )


def cut_from_each(part: Part, names: Sequence[str], which: Any) -> Part:
    """Return ``part`` cut from one of the materials ``names`` by combination, the one at the place ``which``."""
    for place, name in enumerate(names):
        part = cut_from(part, name, np.asarray(which) == place)
    return part


def on_the_shelf(part: Part, stocked: shelves.Shelves) -> Part:
    """Return ``part`` with the thicknesses that its materials are sold in, where it is a sheet that is snapped."""
    if part.snap is None or not KINDS[part.kind].sheet:
        return part
    families = {name: family for name in part.materials if (family := shelves.family_of(name)) is not None}
    return replace(part, sold={name: stocked.sizes("sheet", family) for name, family in families.items()})


def off_the_shelf(part: Part) -> Part:
    """Return ``part`` with the thickness that its rule asks for, whatever is sold."""
    return replace(part, sold={})


def positive(value: object, unit: str, file: Path | None, key: str) -> float:
    """Return a value above zero in SI; raises InputError otherwise."""
    result = units.read(value, unit, file, key)
    if result <= 0:
        raise InputError("the value must be above zero", file, key, value, "a value above zero")
    return result
