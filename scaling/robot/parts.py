"""What the robot's mass is made of, and how each part follows the scale factor."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from scaling.book.entry import KINDS
from scaling.cad.part_mesh import mesh_properties
from scaling.files import toml as tomlfile
from scaling.files import units
from scaling.files.errors import InputError
from scaling.files.schema import Choice
from scaling.shop import materials, shelves

if TYPE_CHECKING:
    from pathlib import Path

    from scaling.cad.mesh import MassProperties

GROUPS = ("frame", "armour", "rotor", "drive", "electronics")
THICKNESS_RULES = ("scale", "hold")

CHOICES = {
    "name": Choice(None, "name of the part"),
    "kind": Choice(KINDS, "how the part follows the scale factor"),
    "group": Choice(GROUPS, "which bar of the mass figure the part belongs to", default="frame"),
    "material": Choice(None, "material of the part", optional=True),
    "thickness_rule": Choice(THICKNESS_RULES, "what a sheet's thickness does", default="scale"),
    "mesh": Choice(None, "path of an STL, OFF, PLY or OBJ file of one piece", optional=True),
    "mesh_unit": Choice(("mm", "cm", "m", "in"), "unit of length of the mesh file", default="mm"),
    "snap": Choice(shelves.HOWS, "how a sheet's thickness is snapped to the shelf", optional=True),
}
NUMBERS = ("mass", "count", "thickness")


@dataclass(frozen=True)
class Part:
    """One line of the mass sum: ``count`` pieces of ``mass`` kg each.

    Kinds: solid follows factor^3; sheet factor^2 times its thickness, which scales or is held; bought
    comes at the mass that the brief gives, else that of a similar product, factor^3; fixed stays.
    ``key`` names the design variable that holds the mass, for parts that have tables of their own.
    ``snap`` says how a sheet's thickness comes from the shelf, whose thicknesses (m) are ``on_shelf``;
    without them it stays as it is. ``body`` is what a mesh says of one piece, and ``doubts`` what is doubtful
    about the mesh.
    """

    name: str
    kind: str
    mass: float
    count: int = 1
    group: str = "frame"
    material: str | None = None
    thickness: float | None = None
    thickness_rule: str = "scale"
    key: str | None = None
    snap: str | None = None
    on_shelf: tuple[float, ...] = ()
    body: MassProperties | None = None
    doubts: tuple[str, ...] = ()

    @property
    def total(self) -> float:
        """Mass in kg of all the pieces."""
        return self.mass * self.count

    @property
    def power(self) -> Fraction | None:
        """Power of the scale factor that the part's mass follows; None for a thickness in steps."""
        if self.kind == "fixed":
            return Fraction(0)
        if self.kind != "sheet":
            return Fraction(3)
        if self.on_shelf and self.thickness_rule == "scale":
            return None
        return Fraction(2 if self.thickness_rule == "hold" else 3)

    def ideal_thickness(self, factor: Any) -> Any:
        """Thickness in m that the part's rule asks for at ``factor``."""
        held = self.kind == "fixed" or (self.kind == "sheet" and self.thickness_rule == "hold")
        return (self.thickness or 0.0) * (factor**0 if held else factor)

    def thickness_at(self, factor: Any) -> Any:
        """Thickness in m at ``factor``, as the shelf has it."""
        ideal = self.ideal_thickness(factor)
        return shelves.snapped(ideal, self.on_shelf, self.snap) if self.on_shelf and self.snap else ideal

    def at(self, factor: Any) -> Any:
        """Mass in kg of all the pieces at ``factor`` (a float or an array)."""
        if self.kind == "sheet" and self.thickness is not None:
            return self.total * factor**2 * self.thickness_at(factor) / self.thickness
        return self.total * factor ** float(self.power or 0)


def mass_at(parts: tuple[Part, ...], factor: Any) -> Any:
    """Sum of the parts' masses (kg) at ``factor`` (float or array)."""
    return sum(part.at(factor) for part in parts)


def read_parts(rows: object, file: Path) -> tuple[Part, ...]:
    """Return the parts of a design file's ``[[parts]]``; raises InputError with the part's number."""
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise InputError("parts must be a list", file, "parts", allowed="tables headed [[parts]]")
    parts: list[Part] = []
    for place, row in enumerate(rows, 1):
        where = f"parts[{place}]"
        part = _read_part(row, where, file)
        if part.name in (other.name for other in parts):
            raise InputError(
                "two parts have the same name",
                file,
                f"{where}.name",
                part.name,
                hint="name each part once and state a count",
            )
        parts.append(part)
    return tuple(parts)


def _read_part(row: dict[str, Any], where: str, file: Path) -> Part:
    for key in row:
        if key not in CHOICES and key not in NUMBERS:
            raise tomlfile.unknown(f"{where}.{key}", [f"{where}.{known}" for known in (*CHOICES, *NUMBERS)], file)
    words: dict[str, Any] = {}
    for key, options in CHOICES.items():
        if key in row:
            words[key] = tomlfile.choice(options, row[key], file, f"{where}.{key}")
        elif options.default is None and not options.optional:
            raise InputError(f"missing key: {options.meaning}", file, f"{where}.{key}")
    mesh, unit = words.pop("mesh", None), words.pop("mesh_unit", "mm")
    if "mass" not in row and mesh is None:
        raise InputError(
            "missing key: mass of one piece", file, f"{where}.mass", allowed='text such as "12 g", or a mesh'
        )
    mass = positive(row["mass"], "kg", file, f"{where}.mass") if "mass" in row else None
    body, doubts = None, list[str]()
    if mesh is not None:
        if "material" not in words:
            raise InputError("missing key: a part with a mesh needs its material", file, f"{where}.material")
        body, doubts = mesh_properties(file.parent / mesh, unit, words["material"], mass, file, where)
    if "material" in words:
        materials.material(words["material"], file, f"{where}.material")
    thickness = positive(row["thickness"], "m", file, f"{where}.thickness") if "thickness" in row else None
    if words["kind"] == "sheet" and thickness is None:
        raise InputError(
            "missing key: a sheet part needs its thickness", file, f"{where}.thickness", allowed='text such as "3 mm"'
        )
    if "snap" in words and (words["kind"] != "sheet" or shelves.family_of(words.get("material")) is None):
        raise InputError(
            "only a sheet of a material that is sold as sheet can be snapped",
            file,
            f"{where}.snap",
            allowed=f"kind sheet and a material of {', '.join(sorted(set(shelves.SHEET_FAMILIES.values())))}",
        )
    return Part(
        mass=mass or (body.mass if body else 0.0),
        count=count(row.get("count", 1), file, where),
        thickness=thickness,
        body=body,
        doubts=tuple(doubts),
        **words,
    )


def positive(value: object, unit: str, file: Path, key: str) -> float:
    """Return a value above zero in SI; raises InputError otherwise."""
    result = units.check_plausible(units.parse(value, unit, file, key), value, file, key)
    if result <= 0:
        raise InputError("the value must be above zero", file, key, value, "a value above zero")
    return result


def count(value: object, file: Path, where: str) -> int:
    """Return a whole number of pieces from 1; raises InputError otherwise."""
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 1_000_000:
        raise InputError("the count cannot be this", file, f"{where}.count", value, "a whole number from 1")
    return value


def reconcile(parts: tuple[Part, ...], stated: float | None, file: Path) -> tuple[Part, ...]:
    """Make the parts' sum equal a stated total: a small difference becomes a part called unlisted.

    Raises InputError where the sum and the stated total differ by 2 % or more.
    """
    summed = sum(part.total for part in parts)
    if stated is None:
        return parts
    if abs(summed - stated) > 0.02 * stated:
        raise InputError(
            f"the parts' masses add up to {units.format_value(summed, 'kg', 4)}",
            file,
            "mass",
            units.format_value(stated, "kg", 4),
            "a total within 2 % of the sum",
            "mend the total, or list what is missing or doubled (rotor, motors, wheels and pack count from their "
            "own tables)",
        )
    if abs(summed - stated) < 1e-9 * stated:
        return parts
    return (*parts, Part("unlisted", "solid", stated - summed))


def with_material(part: Part, material: str, file: Path | None) -> Part:
    """Return ``part`` cut from another material at the same size: mass by the ratio of densities."""
    if part.material is None:
        return replace(part, material=material)
    ratio = materials.material(material, file).density.typical / materials.material(part.material).density.typical
    return replace(part, material=material, mass=part.mass * ratio)


def on_the_shelf(part: Part, files: shelves.Files) -> Part:
    """Return ``part`` with the thicknesses that its shelf has, where it is snapped and its material has a shelf."""
    family = shelves.family_of(part.material)
    if part.snap is None or part.kind != "sheet" or family is None:
        return part
    return replace(part, on_shelf=shelves.sizes("sheet", family, files))
