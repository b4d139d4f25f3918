"""How much of everything a file may hold: one table of bounds, and the one sentence that refuses more.

Within every bound ``scaling check`` ends in five seconds and half a gigabyte; what is larger is a slip, or no machine.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from scaling.files.errors import InputError

if TYPE_CHECKING:
    from pathlib import Path


@dataclass(frozen=True)
class Bound:
    """The ``most`` that there may be of something, by its ``name``: what is counted, why, and the mend."""

    name: str
    most: int
    counted: str
    why: str
    mend: str = "leave out the rest"

    def refused(self, given: int, file: Path | str | None, key: str | None = None) -> InputError:
        """Return the error for ``given``, which is more."""
        return InputError(f"too many {self.counted} ({self.name})", file, key, given, self.allowed, self.mend)

    @property
    def allowed(self) -> str:
        """The bound for a message."""
        return f"at most {self.most:,}, {self.why}"

    def check(self, given: int, file: Path | str | None, key: str | None = None) -> None:
        """Raise InputError where ``given`` is more than the bound."""
        if given > self.most:
            raise self.refused(given, file, key)


COARSER = "export it coarser"

_BOUNDS = (
    # Files, by their size before they are opened.
    Bound("design or brief file", 3_000_000, "bytes", "ten thousand parts with all their keys"),
    Bound("shelf file", 1_000_000, "bytes", "a whole catalogue of bolts or sheets"),
    Bound("motor catalogue", 5_000_000, "bytes", "twenty thousand motors with long names"),
    Bound("materials file", 3_000_000, "bytes", "thousands of materials"),
    Bound("study file", 20_000_000, "bytes", "the study.json of as many ports as there may be"),
    Bound("manifest", 10_000_000, "bytes", "the list of a hundred thousand written files"),
    Bound("mesh file", 100_000_000, "bytes", "a million facets as binary STL, twice over", COARSER),
    Bound("OBJ, PLY or OFF file", 12_000_000, "bytes", "a body of a hundred thousand facets", "export it as STL"),
    Bound("outline file", 20_000_000, "bytes", "a plate of two hundred thousand corners", COARSER),
    # What any TOML file is made of.
    Bound("values of a file", 400_000, "values", "ten thousand parts with all their keys and places"),
    Bound("keys of a table", 10_000, "keys", "one for each of ten thousand parts"),
    Bound("items of a list", 20_000, "items", "twice the places or parts that a machine has"),
    Bound("dotted key", 32, "names", "ten times as deep as a key goes"),
    Bound("key", 200, "characters", "a part's longest name and the tables around it"),
    Bound("text", 2_000, "characters", "a paragraph"),
    # Rows and tables of a design.
    Bound("[[parts]]", 10_000, "rows", "every piece of a robot down to its washers"),
    Bound("[[stock]]", 500, "rows", "more than a design has dimensions"),
    Bound("[[fasteners]]", 1_000, "rows", "more joints than a robot has"),
    Bound("[[removals]]", 1_000, "rows", "more than comes off a robot"),
    Bound("places", 20_000, "places", "two for each of ten thousand parts"),
    # Rows and tables of a brief.
    Bound("[[laws]]", 64, "rows", "one for each port"),
    Bound("ports", 64, "ports", "twice what one page compares"),
    Bound("[[closure]]", 100, "rows", "more levers than a builder pulls"),
    Bound("[options.materials]", 25, "parts", "more than a builder compares at once"),
    Bound("options", 10_000_000, "combinations", "some minutes of an evening"),
    # Rows of CSV files.
    Bound("rows of a shelf", 10_000, "rows", "a whole catalogue of bolts or sheets"),
    Bound("motors of a catalogue", 20_000, "motors", "more than all makers sell"),
    # Pieces.
    Bound("counted pieces", 100, "pieces", "more cells, teeth, wheels, motors or bolts than a robot has"),
    Bound("pieces of a part", 1_000_000, "pieces", "as many washers as a robot could hold"),
    # Geometry.
    Bound("facets of a mesh", 1_000_000, "facets", "a curved body to a hundredth of a millimetre", COARSER),
    Bound("corners of a face", 10_000, "corners", "a disc's flat side", COARSER),
    Bound("entities of an outline", 20_000, "entities", "a plate of thousands of holes"),
    Bound("vertices of an outline", 200_000, "vertices", "one of a metre to a hundredth of a millimetre", COARSER),
    Bound("points of an outline", 4_000_000, "points", "the curves of two thousand holes", COARSER),
    Bound("loops of an outline", 2_000, "loops", "a plate of thousands of holes"),
    Bound("layers of an outline", 1_000, "layers", "more than a drawing of one part needs"),
    Bound("blocks within blocks", 8, "levels", "deeper than a drawing of a part", "explode them in the CAD program"),
)  # fmt: skip

BOUNDS = {bound.name: bound for bound in _BOUNDS}
"""Every bound by name."""

COUNTED = BOUNDS["counted pieces"]
"""That of what formulas count: cells, teeth, wheels, motors, bolts."""
