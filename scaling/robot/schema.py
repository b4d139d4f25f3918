"""The schema of the design file: the formulas' inputs and words by table, and the tables that are the file's own."""

from __future__ import annotations

from pathlib import Path

from scaling.files.bounds import COUNTED
from scaling.files.schema import Choice, FileSchema, Key, Kind, Number, Table, When
from scaling.formulas import book
from scaling.robot.derived import table_of
from scaling.robot.estimates import ESTIMATED
from scaling.robot.kinds import KINDS
from scaling.robot.own_parts import WORDS
from scaling.robot.parts import GROUPS, THICKNESS_RULES
from scaling.shop import materials, shelves

MEANINGS = {
    "": "the whole robot: the keys before the first table",
    "battery": "the pack",
    "wire": "the pack's leads",
    "drive": "the drive",
    "drive.motor": "one motor of the drive",
    "drive.controller": "the speed controller of one drive motor",
    "wheel": "the wheels",
    "wheel.shaft": "the gearbox's shaft that a wheel hangs on",
    "wheel.tyre": "the tyre of a wheel, which a tooth cuts first",
    "rotor": "the spinning weapon",
    "rotor.motor": "the motor that spins it",
    "rotor.controller": "the speed controller of the rotor's motor",
    "rotor.motor.shaft": "the motor's own shaft",
    "rotor.motor_mount": "the bolts that carry the motor",
    "rotor.motor_mount.thread": "what the bolts of the motor's mount are screwed into",
    "rotor.belt": "the belt between motor and rotor",
    "rotor.belt.pulley": "the pulleys of that belt",
    "rotor.shaft": "the shaft that it turns on or with",
    "rotor.bearing": "its two bearings",
    "rotor.mount": "the bolts that carry the rotor's supports",
    "rotor.mount.thread": "what the bolts of the rotor's mount are screwed into",
    "rotor.hub": "its hub, where that is another piece",
    "rotor.can": "the can of a hub motor, which turns with it",
    "rotor.hub_bolts": "the bolts that hold it on the can of a hub motor",
    "rotor.tooth": "its teeth, where they are other pieces",
    "wall": "one side wall",
    "lid": "the top plate",
    "rail": "one side rail as a beam",
    "wedge": "one wedge or fork as a cantilever",
    "joint": "one more bolted joint to watch",
    "joint.thread": "what the bolts of that joint are screwed into",
    "righting.arm": "the arm that rights the robot",
    "landing": "how stiffly it lands after a fall",
    "opponent": "what the robot usually hits",
    "attacker": "the rotor that hits the robot",
    "arena": "the floor that the robot fights on",
    "match": "how long a match is, and how hard it is driven",
    "history": "what the robot has come through",
    "service": "how what wears out is swapped between matches",
    "driver": "how fast the driver is",
    "air": "the air",
    "stock_files": "your own shelves, a CSV file each",
}
"""What each table is for, in the order of the listing; one that is not here comes last, by its branch's title."""

ALWAYS = ("", "drive", "drive.motor", "wheel", "arena", "match", "air", "driver")
WITH_A_ROTOR = ("rotor", "rotor.motor", "opponent")
"""Tables that a design must have, and those that one with a rotor must have; every other is whole when it is there.

Where every key of such a table has a default the file need not say anything of it.
"""

UNLESS = {"rotor.motor": "rotor.speed"}
"""What stands in for a table or a key: a stated speed for the motor."""

ONLY_WITH = {"rotor.belt": "rotor.transmission=belt", "rotor.can": "rotor.transmission=hub"}
"""The trait without which a table, and those under it, say nothing of a robot."""


COMPARED = "reference"
"""The table of what a port is compared with, which no file states."""


def _of_number(number: Number) -> Key:
    return Key(
        number.key.rpartition(".")[2],
        "number",
        number.meaning,
        number.unit,
        number.allowed,
        default=number.default,
        needed=number.default is None and not number.optional and not number.derived and number.key not in ESTIMATED,
        unless=number.unless or UNLESS.get(number.key),
        when=number.when,
        derived=number.derived,
        estimated=number.key in ESTIMATED,
    )


def _of_word(key: str, choice: Choice) -> Key:
    last = key.rpartition(".")[2]
    return Key(
        last,
        _kind_of(key, choice),
        choice.meaning,
        words=choice.allowed,
        default=choice.default,
        needed=choice.default is None and not choice.optional,
        unless=choice.unless,
        when=choice.when,
        check=known_material if last == "material" else None,
    )


def _kind_of(key: str, choice: Choice) -> Kind:
    if choice.allowed is not None:
        return "word"
    if choice.day:
        return "date"
    if table_of(key) == "stock_files":
        return "path"
    last: dict[str, Kind] = {"material": "material", "part": "part"}
    return last.get(key.rpartition(".")[2], "text")


def known_material(name: str, file: Path, key: str) -> None:
    """Raise InputError for a material that the shop does not have."""
    materials.material(name, file, key)


def _book_tables() -> tuple[Table, ...]:
    """The tables of the formulas' inputs and words, words first."""
    keys: dict[str, list[Key]] = {"": []}
    branch = {key.key: each.title for each in (book.common, *book.branches) for key in each.variables}
    titles: dict[str, str] = {}
    for word, choice in WORDS.items():
        keys.setdefault(table_of(word), []).append(_of_word(word, choice))
    for dotted, number in book.variables.items():
        if table_of(dotted) == COMPARED:
            continue
        keys.setdefault(table_of(dotted), []).append(_of_number(number))
        titles.setdefault(table_of(dotted), branch[dotted])
    order = {name: place for place, name in enumerate(MEANINGS)}
    return tuple(
        Table(
            name,
            MEANINGS.get(name, titles.get(name, name)),
            tuple(rows),
            required=_when(name),
            unless=UNLESS.get(name),
        )
        for name, rows in sorted(keys.items(), key=lambda named: order.get(named[0], len(order)))
    )


def _when(table: str) -> When:
    if table in ALWAYS:
        return "always"
    return "with a rotor" if table in WITH_A_ROTOR else "when stated"


SHEET_KINDS = tuple(f"kind={kind.name}" for kind in KINDS.values() if kind.sheet)
LOADS = tuple(name for name, entry in book.quantities.items() if entry.unit == "N")

PARTS = Table(
    "parts",
    "the parts that have no table of their own; with those that have one they make up the mass",
    (
        Key("name", "text", "name of the part", needed=True),
        Key("kind", "word", "how the part follows the scale factor", words=tuple(KINDS), needed=True),
        Key("mass", "number", "mass of one piece", "kg", needed=True, unless="mesh"),
        Key("count", "whole number", "count of pieces", default=1),
        Key("group", "word", "which bar of the mass figure the part belongs to", words=GROUPS, default="frame"),
        Key("material", "material", "material of the part", when=("mesh", "snap"), check=known_material),
        Key("thickness", "number", "thickness of a sheet part", "m", when=SHEET_KINDS),
        Key("thickness_rule", "word", "what a sheet's thickness does", words=THICKNESS_RULES, default="scale"),
        Key("snap", "word", "how a sheet's thickness is snapped to the shelf", words=shelves.HOWS),
        Key("mesh", "path", "path of an STL, OFF, PLY or OBJ file of one piece", unless="mass"),
        Key("mesh_unit", "word", "unit of length of the mesh file", words=("mm", "cm", "m", "in"), default="mm"),
    ),
    "rows",
    named_by="name",
)

STOCK = Table(
    "stock",
    "the dimensions that come from a shelf: the port takes a size that is sold",
    (
        Key("key", "text", "dotted key of the dimension", needed=True),
        Key("shelf", "word", "shelf that it comes from", words=shelves.SHELVES, needed=True),
        Key("snap", "word", "how it is snapped to the shelf", words=shelves.HOWS, default="nearest"),
        Key(
            "family",
            "word",
            "family of sheets",
            words=tuple(sorted(set(shelves.SHEET_FAMILIES.values()))),
            when=("shelf=sheet",),
        ),
    ),
    "rows",
    named_by="key",
)

FASTENERS = Table(
    "fasteners",
    "the joints of the table of holes; the rotor's mount is in it by itself",
    (
        Key("name", "text", "name of the joint", needed=True),
        Key("bolt", "text", "size of the bolts, such as M3", needed=True),
        Key("bolt_class", "text", "strength class of the bolts, such as 8.8", needed=True),
        Key("count", "whole number", "count of bolts", needed=True, most=COUNTED.most),
        Key("carries", "word", "quantity that the fastener carries", words=LOADS, needed=True),
        Key("edge_distance", "number", "distance from the holes' middle to the edge", "m"),
    ),
    "rows",
    named_by="name",
)

REMOVALS = Table(
    "removals",
    "what comes off to reach what is swapped between matches, and that itself",
    (
        Key("name", "text", "name of what comes off", needed=True),
        Key("screws", "whole number", "screws that hold it", default=0, most=COUNTED.most),
        Key("tool", "text", "tool for these screws, such as a hex key of 2 mm"),
        Key("behind", "text", "names of what must come off first", many=True, alone=True),
    ),
    "rows",
    named_by="name",
)

POSITIONS = Table(
    "positions",
    "where the parts are: one place, or one a piece",
    (Key("PART", "place", "x ahead of the rear contact, y left of the middle, z above the floor", "m", many=True,
         alone=True),),
    "map",
)  # fmt: skip

DESIGN = FileSchema("design", "the reference robot", (*_book_tables(), PARTS, STOCK, FASTENERS, REMOVALS, POSITIONS))
"""Everything that a design file may hold."""
