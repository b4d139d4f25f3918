"""Parts that differ from one combination of candidates to the next, so that many combinations pass at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from scaling.book.entry import Array
from scaling.formulas import book
from scaling.robot.derived import MATERIAL_PROPERTIES
from scaling.robot.parts import Part, with_material
from scaling.shop import materials, shelves


@dataclass(frozen=True)
class VariedPart(Part):
    """A part whose mass, thickness, material and snapping are arrays over combinations.

    ``which`` says by combination which of ``made_of`` it is made of, each with its own of ``sold``, the thicknesses
    (m) that it is sold in, and ``how`` is the word of the snap. ``material`` stays that of the part as it was.
    """

    which: Any = 0
    made_of: tuple[str, ...] = ()
    sold: tuple[tuple[float, ...], ...] = ()
    how: Any = ""

    def ideal_thickness(self, factor: Any) -> Any:
        """Thickness in m that the part's rule asks for at ``factor``."""
        own = 0.0 if self.thickness is None else self.thickness
        return own * (factor if self.thickness_rule == "scale" else factor**0)

    def thickness_at(self, factor: Any) -> Any:
        """Thickness in m at ``factor``, as each combination's shelf has it."""
        ideal, which, how = np.broadcast_arrays(self.ideal_thickness(factor), self.which, self.how)
        found = np.array(ideal, dtype=float)
        for shelf in dict.fromkeys(self.sold):
            of_it = np.isin(which, [place for place, sizes in enumerate(self.sold) if sizes == shelf])
            for word in shelves.HOWS if shelf else ():
                here = of_it & (how == word)
                if here.any():
                    found[here] = shelves.snapped(ideal[here], shelf, word)
        return found

    def densities(self) -> Any:
        """Typical density in kg/m^3 of each combination's material."""
        return np.asarray([materials.material(name).density.typical for name in self.made_of])[self.which]


def varied(part: Part) -> VariedPart:
    """Return ``part`` as one that may differ by combination and does not yet."""
    if isinstance(part, VariedPart):
        return part
    own = {entry.name: getattr(part, entry.name) for entry in fields(Part)}
    made_of = (part.material,) if part.material else ()
    return VariedPart(**own | {"on_shelf": ()}, made_of=made_of, sold=(part.on_shelf,), how=part.snap or "")


def made_of(part: Part, names: Sequence[str], place: Any, files: shelves.Files | None) -> VariedPart:
    """Return ``part`` cut from ``names[place]`` at the same size, each with the shelf of its family.

    ``files`` are the builder's own shelves, None where nothing is snapped.
    """
    masses: Any = np.asarray([with_material(part, name, None).mass for name in names])
    sold = tuple(_shelf(part, name, files) for name in names)
    return replace(varied(part), mass=masses[place], which=place, made_of=tuple(names), sold=sold)


def swapped(part: VariedPart, name: str, here: Any, files: shelves.Files | None) -> VariedPart:
    """Return ``part`` cut from the material ``name`` where ``here`` says so, and as it was elsewhere."""
    if not part.made_of:
        return part
    mass: Any = np.where(here, part.mass * materials.material(name).density.typical / part.densities(), part.mass)
    return replace(
        part,
        mass=mass,
        which=np.where(here, len(part.made_of), part.which),
        made_of=(*part.made_of, name),
        sold=(*part.sold, _shelf(part, name, files)),
    )


def _shelf(part: Part, name: str, files: shelves.Files | None) -> tuple[float, ...]:
    """Thicknesses that ``part`` of the material ``name`` is sold in, none where it does not come from a shelf."""
    family = shelves.family_of(name)
    if files is None or part.snap is None or part.kind != "sheet" or family is None:
        return ()
    return shelves.sizes("sheet", family, files)


def properties(part: VariedPart, table: str) -> dict[str, Array]:
    """Return the material properties of the table that is ``part``, by dotted key, over combinations."""
    found: dict[str, Array] = {}
    for quality in MATERIAL_PROPERTIES:
        key = f"{table}.{quality}"
        if key in book.variables and part.made_of:
            values = [getattr(materials.material(name), quality) for name in part.made_of]
            typical = [value if isinstance(value, float) else value.typical for value in values]
            found[key] = np.asarray(typical)[part.which]
    return found
