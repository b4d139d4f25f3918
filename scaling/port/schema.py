"""The schema of the brief: what may be said of a port."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from scaling.files.bounds import COUNTED
from scaling.files.schema import FileSchema, Key, Table
from scaling.formulas import book
from scaling.port.laws import ASKED, LAWS, LEAST_DRIFT
from scaling.port.levers import KINDS as LEVERS
from scaling.port.presets import PRESETS, USUAL_PRESET
from scaling.port.rules import DRIVE_RULES, SPEED_RULES, USUAL_DRIVE_RULE, USUAL_SPEED_RULE
from scaling.robot.kinds import KINDS
from scaling.robot.parts import THICKNESS_RULES
from scaling.robot.schema import DESIGN, known_material
from scaling.shop.shelves import FILES

ROOT = Table(
    "",
    "the port: the keys before the first table",
    (
        Key("name", "text", "name of the port"),
        Key("reference", "path", "path of the design file", needed=True),
        Key("mass_limit", "number", "mass limit of the class", "kg", needed=True),
        Key("mass_margin", "number", "mass margin, less than mass_limit", "kg", allowed="any", default=0.0),
        Key("snap", "flag", "whether the sizes that come from a shelf are snapped to it", default=True),
    ),
    required="always",
)

SIZE_LIMIT = Table(
    "size_limit",
    "the box of the class, where it has one",
    tuple(Key(name, "number", f"most {name} of the port", "m") for name in ("length", "width", "height")),
)

_TARGETS = tuple(f"law={law.name}" for law in LAWS.values() if law.target == "required")

LAW_ROWS = Table(
    "laws",
    "the laws to try, each with what it needs",
    (
        Key("law", "word", "the law that fixes the factor", words=ASKED, needed=True),
        Key(
            "speed_rules",
            "word",
            "what the rotor speed does",
            words=tuple(SPEED_RULES),
            default=(USUAL_SPEED_RULE,),
            many=True,
        ),
        Key("drive_rule", "word", "what the drive does", words=tuple(DRIVE_RULES), default=USUAL_DRIVE_RULE),
        Key("free", "text", f"what the law {LEAST_DRIFT.name} may change beside the factor", many=True),
        Key("target", "number", "port's length that the law needs", "m", when=_TARGETS),
        Key("key", "text", "dotted key of the length that is given"),
    ),
    "rows",
    required="always",
    named_by="law",
)

HELD = Table(
    "held",
    f"where the law {LEAST_DRIFT.name} stands still in place of searching, such as a mend of its port says",
    (
        Key(
            "KEY",
            "number",
            "of what the law frees its ratio to the similar machine's; under factor the most that it may be, under "
            "battery.cells their count",
        ),
    ),
    "map",
)

SWAPS = Table(
    "swaps",
    "one material for another, everywhere",
    (Key("MATERIAL", "material", "the material that takes its place", check=known_material),),
    "map",
)

PART_CHANGES = Table(
    "parts",
    "a part at the port, under its name",
    (
        Key("mass", "number", "mass of one piece", "kg"),
        Key("material", "material", "material of the part", check=known_material),
        Key("kind", "word", "how the part follows the scale factor", words=tuple(KINDS)),
        Key("count", "whole number", "count of pieces"),
        Key("thickness", "number", "thickness of the sheet", "m"),
        Key("thickness_rule", "word", "what a sheet's thickness does", words=THICKNESS_RULES),
    ),
    "named",
)

SHELF_FILES = Table(
    "stock",
    "your own shelves, a CSV file each",
    tuple(Key(name, "path", f"CSV file of your own {name.replace('_', ' ')}") for name in FILES),
)

CLOSURE = Table(
    "closure",
    "where the factor is given: what may bring the mass to the limit, in this order",
    (
        Key("lever", "word", "lever", words=LEVERS, needed=True),
        Key("parts", "part", "parts that the lever acts on", needed=True, many=True),
        Key("least", "number", "least share that the lever keeps or takes", allowed="any"),
        Key("most", "number", "most share that the lever keeps or takes", allowed="any"),
        Key("material", "material", "material that the parts are made of instead", when=("lever=material",),
            check=known_material),
    ),
    "rows",
)  # fmt: skip

OPTIONS = Table(
    "options",
    "what scaling options tries, in every combination",
    (
        Key("rotor_motors", "path", "CSV file of motors for the rotor"),
        Key("drive_motors", "path", "CSV file of motors for the drive"),
        Key("cells", "whole number", "counts of the pack's cells", many=True, most=COUNTED.most),
        Key("rotor_ratios", "number", "ratios of the rotor's transmission", many=True),
        Key("drive_ratios", "number", "ratios of the drive", many=True),
        Key("fits", "word", "how each combination is fitted", words=("mass", "motor-diameter"), many=True),
        Key("speed_rule", "word", "what the rotor speed does", words=tuple(SPEED_RULES), default="as-motored"),
        Key("drive_rule", "word", "what the drive does", words=tuple(DRIVE_RULES), default="as-bought"),
    ),
)

OPTION_MATERIALS = Table(
    "options.materials",
    "other materials for a part, under its name",
    (Key("PART", "material", "materials to try", many=True, check=known_material),),
    "map",
)

OBJECTIVE = Table(
    "objective",
    "what the ports are scored by: how far they drift from the like of the reference",
    (
        Key(
            "preset",
            "word",
            "; ".join(f"{name}: {preset.meaning}" for name, preset in PRESETS.items()),
            words=tuple(PRESETS),
            default=USUAL_PRESET,
        ),
    ),
)

OBJECTIVE_WEIGHTS = Table(
    "objective.weights",
    "weights of your own, by quantity, in place of the preset's; 0 leaves a quantity out",
    tuple(
        Key(name, "number", f"weight of the drift of: {entry.label}", allowed="not negative")
        for name, entry in book.quantities.items()
    ),
)


def _bounds(side: str, meaning: str) -> Table:
    known = book.variables | book.quantities
    keys = tuple(Key(name, "number", bound_meaning(name), known[name].unit) for name in known)
    return Table(f"limits.{side}", meaning, keys)


def bound_meaning(name: str) -> str:
    """Return what a bound is on: the meaning of a variable, the label of a quantity."""
    return book.variables[name].meaning if name in book.variables else book.quantities[name].label


DECIDED = {
    "mass": "the mass is the sum of the parts: change a part",
    "mass_limit": "state mass_limit before the first table",
    "rotor.speed": "the speed rule of each law sets it",
}
"""Keys of the design that something else decides at a port, and what."""


@cache
def _deciding() -> frozenset[str]:
    """Keys of the words that decide which formulas apply."""
    return frozenset(trait.partition("=")[0] for entry in book.entries for trait in entry.when if "=" in trait)


def fixed_at_the_port(key: str) -> bool:
    """Whether a word of the design cannot change at a port: what decides which formulas apply is another robot."""
    return key in _deciding() or key in ("name", "rotor.transmission") or key.endswith((".part", ".kind"))


DRAWN = Key("design", "path", "design file of a machine that is drawn already, judged beside the laws' ports")
"""The key of ``[port]`` that is no key of the design file."""


def _at_the_port(table: Table) -> Table:
    """A table of the design as the brief may state it: nothing is needed, nothing has a default."""
    keys = tuple(
        replace(key, default=None, needed=False, unless=None, when=())
        for key in table.keys
        if not fixed_at_the_port(table.dotted(key)) and table.dotted(key) not in DECIDED
    )
    if not table.name:
        return Table("port", "at the port: the whole robot", (DRAWN, *keys))
    return Table(f"port.{table.name}", f"at the port: {table.meaning.partition(': ')[0]}", keys)


BRIEF = FileSchema(
    "brief",
    "where the reference is to go",
    (
        ROOT,
        SIZE_LIMIT,
        LAW_ROWS,
        HELD,
        PART_CHANGES,
        SWAPS,
        CLOSURE,
        _bounds("at_most", "bounds of your own: the most that a quantity or a key of the design may be"),
        _bounds("at_least", "bounds of your own: the least that a quantity or a key of the design may be"),
        OPTIONS,
        OPTION_MATERIALS,
        OBJECTIVE,
        OBJECTIVE_WEIGHTS,
        SHELF_FILES,
        *(_at_the_port(table) for table in DESIGN.tables if table.shape == "table" and table.name != "stock_files"),
    ),
)
"""Everything that a brief may hold."""
