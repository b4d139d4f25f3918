"""The parts of the mass sum that have tables of their own in the design file, and every word of that file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from scaling.files.schema import Choice
from scaling.formulas import book
from scaling.robot.kinds import KINDS
from scaling.robot.parts import Part


@dataclass(frozen=True)
class OwnPart:
    """A part with a table of its own: its name, table and group, its usual kind, and whose mass that is.

    ``count_key`` is the design's key that holds how many there are, None for one.
    """

    name: str
    table: str
    group: str
    kind: str
    whose: str
    count_key: str | None = None

    @property
    def mass_key(self) -> str:
        """The design's key that holds the mass of one piece."""
        return f"{self.table}.mass"

    @property
    def kind_key(self) -> str:
        """The design's key that holds how the mass follows the factor."""
        return f"{self.table}.kind"

    @property
    def material_key(self) -> str:
        """The design's key that holds the material, for a table that has one."""
        return f"{self.table}.material"


OWN_PARTS = (
    OwnPart("rotor", "rotor", "rotor", "solid", "the rotor's"),
    OwnPart("rotor motor", "rotor.motor", "rotor", "bought", "the motor's"),
    OwnPart("drive motors", "drive.motor", "drive", "bought", "the motors'", "drive.motors"),
    OwnPart("wheels", "wheel", "drive", "solid", "the wheels'", "wheel.count"),
    OwnPart("pack", "battery", "electronics", "bought", "the pack's"),
)

COUNT_KEYS = {own.mass_key: own.count_key for own in OWN_PARTS if own.count_key is not None}
"""Key of the number of pieces by the key of the mass of one, for parts of which there may be several."""

WORDS: dict[str, Choice] = book.choices | {
    own.kind_key: Choice(tuple(KINDS), f"how {own.whose} mass follows the factor", default=own.kind)
    for own in OWN_PARTS
}
"""Every key of the design file that is a word: those of the book, and the kinds of parts with tables of their own."""


def _pieces(count: Any) -> Any:
    """A count as a whole number, those of many designs as they are."""
    return int(count) if np.ndim(count) == 0 else count


def own_parts(numbers: Mapping[str, Any], words: Mapping[str, str]) -> tuple[Part, ...]:
    """Return the parts that have tables of their own, of those whose mass is known."""
    return tuple(
        Part(
            own.name,
            words[own.kind_key],
            numbers[own.mass_key],
            _pieces(numbers.get(own.count_key or "", 1.0)),
            own.group,
            words.get(own.material_key),
            key=own.mass_key,
        )
        for own in OWN_PARTS
        if own.mass_key in numbers
    )
