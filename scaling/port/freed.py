"""What the law that frees dimensions may change of a port, how far, and what moves along with each dimension.

A lever is free as a ratio to the similar machine's value at the same factor: 1 is the plain scaling.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from scaling.files.errors import InputError, Mistakes, nearest
from scaling.files.sentence import listed
from scaling.formulas.rotor.shapes import section
from scaling.port.asked import Brief, LawRequest
from scaling.port.laws import LEAST_DRIFT
from scaling.port.scaled import Inputs, Scaled
from scaling.port.terms import Terms
from scaling.robot.derived import table_of
from scaling.robot.design import Design
from scaling.robot.kinds import KINDS
from scaling.robot.parts import Part

FACTOR = "factor"

DIMENSIONS = ("rotor.speed", "rotor.diameter", "rotor.width", "track", "drive.ratio")
"""What is free of a machine where the brief does not say: these, and the thickness of each sheet that a table is."""

MORE = ("rotor.ratio",)
"""What is free only where the brief says so."""

CELLS = "battery.cells"

WHERE = f"laws.{LEAST_DRIFT.name}.free"
"""Where a brief says what is free."""

WIDEST = 2.0
"""How far a lever goes from the similar machine, as a ratio either way: beyond it is another machine. Choice of this
project."""

AROUND_THE_BORE = 1.1
"""Least diameter of a rotor over its bore."""

SIZES_THE_ROTOR = ("rotor.mass", "rotor.diameter", "rotor.width", "rotor.chord", "rotor.bore", "rotor.inertia")
"""Keys of the brief with which the rotor's mass no longer follows from its size."""


@dataclass(frozen=True)
class Tie:
    """Another variable that grows by ``share`` of what a lever adds to its own, beyond the similar machine."""

    lever: str
    key: str
    share: float


TIES = (
    Tie("rotor.diameter", "rotor.axle_height", 0.5),  # the teeth stay as far off the floor
    Tie("rotor.diameter", "rotor.tooth.radius", 0.5),
    Tie("rotor.width", "rotor.tooth_width", 1.0),
    Tie("rotor.width", "rotor.shaft.span", 1.0),  # the supports stay as far from the rotor
    Tie("track", "width", 1.0),  # the wheels stay as far inside
    Tie("track", "lid.width", 1.0),
)

GROWS_WITH_THE_WIDTH = ("frame", "armour")
"""Groups whose parts weigh more by the share by which the body is wider: all of them, since the design does not say
which go across. Choice of this project."""


@dataclass(frozen=True)
class Lever:
    """A dimension that is free between ``least`` and ``most`` times the similar machine's; ``part`` of a sheet's."""

    key: str
    least: float = 1 / WIDEST
    most: float = WIDEST
    part: str | None = None


@dataclass(frozen=True)
class Choices:
    """What comes in whole steps: counts of cells, and materials by part; empty where the brief does not free them."""

    cells: tuple[int, ...] = ()
    materials: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


def thickness_key(part: str) -> str:
    """Return the key of a sheet part's thickness."""
    return f"parts.{part}.thickness"


def material_key(part: str) -> str:
    """Return the key of a part's material."""
    return f"parts.{part}.material"


def levers_of(design: Design, brief: Brief, request: LawRequest) -> tuple[tuple[Lever, ...], Choices]:
    """Return what a request frees beside the factor: dimensions, and what comes in steps.

    Raises InputErrors for what the design does not have, the brief states, or nothing speaks for.
    """
    tied = _tied_sheets(design)
    free = _usual(design, brief, tied) if request.free is None else request.free
    mistakes = Mistakes(brief.file)
    levers: list[Lever] = []
    cells: tuple[int, ...] = ()
    materials: dict[str, tuple[str, ...]] = {}
    for key in dict.fromkeys(free):
        with mistakes.kept():
            if key == FACTOR:
                continue
            part, _, quality = key.removeprefix("parts.").rpartition(".")
            if key == CELLS:
                cells = _cells(design, brief)
            elif not key.startswith("parts."):
                levers.append(_dimension(key, design, brief))
            elif quality == "thickness":
                levers.append(_sheet(part, design, brief, tied))
            else:
                materials[part] = _materials(part, design, brief)
    mistakes.settle()
    return tuple(levers), Choices(cells, materials)


def held_levers(design: Design, brief: Brief) -> tuple[Lever, ...]:
    """Return the levers that a brief holds; raises InputErrors where the design has not what they move."""
    sheets = {thickness_key(part.name): part.name for part in design.parts if part.is_sheet}
    mistakes = Mistakes(brief.file)
    levers: list[Lever] = []
    for key in brief.held:
        with mistakes.kept():
            if key not in sheets and key not in (FACTOR, *design.variables):
                raise InputError("the design does not have this, so it cannot be held", None, f"held.{key}",
                                 hint=nearest(key, [*sheets, *DIMENSIONS, *MORE]))  # fmt: skip
            if key not in (FACTOR, CELLS):
                levers.append(Lever(key, part=sheets.get(key)))
    mistakes.settle()
    return tuple(levers)


def check_free(keys: Iterable[str], file: Path, where: str) -> tuple[str, ...]:
    """Return the keys of a request's list without quotes; raises InputError for what nothing can free."""
    known = (FACTOR, *DIMENSIONS, *MORE, CELLS)
    found = tuple(key.replace('"', "") for key in keys)
    for key in found:
        if key not in known and not (key.startswith("parts.") and key.endswith((".thickness", ".material"))):
            allowed = f"{listed(known)}, parts.NAME.thickness or parts.NAME.material"
            raise InputError("this cannot be free", file, where, key, allowed, nearest(key, known))
    return found


def _usual(design: Design, brief: Brief, tied: Mapping[str, str]) -> tuple[str, ...]:
    stated = _stated(brief)
    sheets = [thickness_key(part.name) for part in design.parts if part.name in tied and _is_free_sheet(part, brief)]
    return (*(key for key in DIMENSIONS if key in design.variables and key not in stated), *sheets)


def _stated(brief: Brief) -> set[str]:
    """The levers that follow from what the brief states."""
    found = set(brief.numbers)
    if found.intersection(SIZES_THE_ROTOR):
        found |= {"rotor.diameter", "rotor.width"}
    return found | ({"track"} if "width" in found else set())


def _is_free_sheet(part: Part, brief: Brief) -> bool:
    change = brief.parts.get(part.name)
    return part.is_sheet and (change is None or (change.thickness is None and change.mass is None))


def _tied_sheets(design: Design) -> dict[str, str]:
    """The table of each part that one says it is: what such a sheet bears is computed, so that thinner is no gift."""
    return {word: table_of(key) for key, word in design.choices.items() if key.endswith(".part")}


_LEAVE = "take it off the list"


def _dimension(key: str, design: Design, brief: Brief) -> Lever:
    if key not in design.variables:
        raise InputError("the design does not have this, so it cannot be free", None, WHERE, key, hint=_LEAVE)
    if key in _stated(brief):
        raise InputError("the brief states this, or what it follows from, so it cannot be free", None, WHERE, key,
                         hint=_LEAVE)
    if key != "rotor.diameter":
        return Lever(key)
    # where the class has a box a rotor that outgrows the plain one would leave it unseen
    own, most = design.variables, 1.0 if brief.size_limit else WIDEST
    return Lever(key, least=max(1 / WIDEST, AROUND_THE_BORE * own["rotor.bore"] / own[key]), most=most)


def _sheet(name: str, design: Design, brief: Brief, tied: Mapping[str, str]) -> Lever:
    part = next((part for part in design.parts if part.name == name), None)
    if part is None or not _is_free_sheet(part, brief):
        sheets = listed(each.name for each in design.parts if _is_free_sheet(each, brief))
        raise InputError("no sheet part whose thickness the brief leaves open has this name", None, WHERE, name,
                         sheets or None)
    if name not in tied:
        raise InputError("no table is this part, so nothing would speak against the thinnest sheet", None, WHERE,
                         name, hint=f'say part = "{name}" in the table that describes it, such as [lid] or [wall]')
    rows = [row for row in brief.closure if row.lever == "thickness" and name in row.parts]
    least = max((row.least for row in rows), default=1 / WIDEST)
    return Lever(thickness_key(name), least=least, part=name)


def _cells(design: Design, brief: Brief) -> tuple[int, ...]:
    if CELLS not in design.variables:
        raise InputError("the design does not have this, so it cannot be free", None, WHERE, CELLS, hint=_LEAVE)
    if brief.options is None or not brief.options.cells:
        raise InputError("the brief does not say which counts of cells to try", None, "options.cells",
                         hint="list them there")
    return brief.options.cells


def _materials(name: str, design: Design, brief: Brief) -> tuple[str, ...]:
    if not any(part.name == name and part.material is not None for part in design.parts):
        named = listed(part.name for part in design.parts if part.material is not None)
        raise InputError("the design has no such part of one material", None, WHERE, name, named)
    found = () if brief.options is None else brief.options.materials.get(name, ())
    if not found:
        raise InputError("the brief does not say which materials to try", None, f'options.materials."{name}"',
                         hint="list them there")
    return found


def keys_moved(levers: Iterable[str]) -> list[str]:
    """Return the keys that free dimensions change: their own, and what moves along."""
    pulled = set(levers)
    return [*pulled, *(tie.key for tie in TIES if tie.lever in pulled)]


def levers_pulled(inputs: Inputs, terms: Terms) -> Inputs:
    """Every free dimension at its ratio to the similar machine's, with what moves along."""
    for key, ratio in terms.variation.levers.items():
        if key not in inputs or key == "rotor.speed" or key in terms.numbers:
            continue  # the speed comes by its rule, and what the brief states stays
        value, power = inputs[key]
        added = value * (ratio - 1)
        found = {key: Scaled(value + added, power)}
        for tie in TIES:
            if tie.lever == key and tie.key in inputs and tie.key not in terms.numbers:
                own = inputs[tie.key]
                found[tie.key] = Scaled(own.value + tie.share * added, power if power == own.power else None)
        inputs = inputs.having(found)
    return inputs


def parts_pulled(
    parts: tuple[Part, ...], design: Design, brief: Brief, levers: Mapping[str, Any]
) -> tuple[Part, ...]:
    """Return the parts as the free dimensions make them: sheets by thickness, the rotor by its size, the body's width.

    Their masses and thicknesses are arrays where the levers are. What the brief states of a part stays.
    """
    if not levers:
        return parts
    stated = {name for name, change in brief.parts.items() if change.mass is not None or change.thickness is not None}
    wider = 1 + (levers.get("track", 1.0) - 1) * design.variables["track"] / design.variables["width"]
    rotor = rotor_mass_ratio(design, levers.get("rotor.diameter", 1.0), levers.get("rotor.width", 1.0))
    return tuple(
        part if part.name in stated else _pulled(part, levers.get(thickness_key(part.name), 1.0), wider, rotor)
        for part in parts
    )


def _pulled(part: Part, thicker: Any, wider: Any, rotor: Any) -> Part:
    grows = part.group in GROWS_WITH_THE_WIDTH and part.key is None and (KINDS[part.kind].solid or part.is_sheet)
    mass = part.mass * (wider if grows else 1.0) * (rotor if part.key == "rotor.mass" else 1.0)
    return replace(part, mass=mass) if not part.is_sheet else replace(
        part, mass=mass * thicker, thickness=part.thickness * thicker
    )


def rotor_mass_ratio(design: Design, diameter: Any, width: Any) -> Any:
    """Return the rotor's mass over the similar one's where its diameter and width are so many times the similar ones.

    Hub and teeth that the design states stay as they are; chord and bore follow the factor.
    """
    own = design.variables
    if "rotor.mass" not in own:
        return 1.0
    shape = design.choices.get("rotor.shape", "disc")
    areas = [
        section(shape, own["rotor.diameter"] * ratio, own["rotor.bore"], own.get("rotor.chord"))
        for ratio in (diameter, 1.0)
    ]
    teeth = own.get("rotor.tooth.mass", 0.0) * own["rotor.teeth"]
    body = 1 - (own.get("rotor.hub.mass", 0.0) + teeth) / own["rotor.mass"]
    return 1 + body * (areas[0] / areas[1] * width - 1)
