"""What the steps of a port read besides the table that they hand on."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np

from scaling.book.entry import Array
from scaling.formulas import book
from scaling.port.asked import AS_BRIEFED, Brief, LawRequest, Variation
from scaling.port.scaled import Inputs
from scaling.robot.derived import table_of
from scaling.robot.design import Design
from scaling.robot.parts import Part


@dataclass(frozen=True)
class Terms:
    """The reference, what is asked of the port and tried beside that, its parts, and the factor or factors."""

    design: Design
    brief: Brief
    request: LawRequest
    parts: tuple[Part, ...]
    factor: Array
    variation: Variation = AS_BRIEFED

    @property
    def numbers(self) -> Mapping[str, Any]:
        """The numbers of the design's keys that are given for the port."""
        return self.variation.numbers_of(self.brief)

    @cached_property
    def thicknesses(self) -> dict[str, Any]:
        """Thickness (m) of each part that has one at the factor, as the shelf has it, by the part's name."""
        return {part.name: part.thickness_at(self.factor) for part in self.parts if part.thickness is not None}

    @cached_property
    def tables_of_parts(self) -> dict[str, Part]:
        """The part of each table of the design file that says which sheet part of the mass sum it is."""
        by_name = {part.name: part for part in self.parts}
        return {table: by_name[name] for table, name in self.design.ties.items() if not self._set_apart(table)}

    def _set_apart(self, table: str) -> bool:
        """Whether the brief gives a table what the part that it plainly seems to be does not have."""
        if f"{table}.part" in self.design.choices:
            return False
        return f"{table}.thickness" in self.numbers or f"{table}.material" in self.brief.words


Step = Callable[[Inputs, Terms], Inputs]
"""From one table to the next."""


@lru_cache(maxsize=64)
def tables_of(design: Design) -> frozenset[str]:
    """Return every table that the design states something in."""
    return frozenset(table_of(key) for key in (*design.variables, *design.choices))


@lru_cache(maxsize=256)
def of_the_reference(design: Design, name: str) -> float | None:
    """Return a quantity of the reference, None where it has none; each of many ports asks for the same again."""
    found = book.evaluate(design.variables, design.traits, only=[name]).get(name)
    return None if found is None else np.float64(found)
