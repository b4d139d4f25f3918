"""The table that a port's steps hand on: each variable's value with the power of the factor that it follows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from types import MappingProxyType
from typing import Any, NamedTuple

import numpy as np

from scaling.port.snapping import Snap


class Scaled(NamedTuple):
    """A variable at the port: a float or an array over factors, and its power, None where no single one holds."""

    value: Any
    power: Fraction | None


class Remark(NamedTuple):
    """What went wrong on the way to a port: for programs and for people."""

    code: str
    text: str


@dataclass(frozen=True)
class Inputs:
    """The variables of a port by key, what went wrong, and what the shelf did at the first of the factors.

    Nothing can be written into it: a step returns another one.
    """

    table: Mapping[str, Scaled] = field(default_factory=dict)
    problems: tuple[Remark, ...] = ()
    snaps: tuple[Snap, ...] = ()

    def __post_init__(self) -> None:
        if not isinstance(self.table, MappingProxyType):
            object.__setattr__(self, "table", MappingProxyType(dict(self.table)))

    def __getitem__(self, key: str) -> Scaled:
        return self.table[key]

    def __contains__(self, key: str) -> bool:
        return key in self.table

    @cached_property
    def variables(self) -> Mapping[str, Any]:
        """Value of every variable by key: what the formulas are given."""
        return MappingProxyType({key: entry.value for key, entry in self.table.items()})

    @cached_property
    def powers(self) -> Mapping[str, Fraction | None]:
        """Power of the factor that every variable follows by key."""
        return MappingProxyType({key: entry.power for key, entry in self.table.items()})

    def having(self, found: Mapping[str, Scaled]) -> Inputs:
        """Return the table with what a step ``found`` in place of what stood there."""
        # a search asks for thousands: this joins two tables in a tenth of the time of unpacking both
        table = self.table | dict(found)  # type: ignore[operator]
        return Inputs(MappingProxyType(table), self.problems, self.snaps)

    def without(self, key: str, problem: Remark) -> Inputs:
        """Return the table without a variable that cannot be had, and with the reason."""
        rest = {name: entry for name, entry in self.table.items() if name != key}
        return Inputs(rest, (*self.problems, problem), self.snaps)

    def noting(self, *problems: Remark) -> Inputs:
        """Return the table with more problems."""
        return Inputs(self.table, (*self.problems, *problems), self.snaps)

    def snapping(self, *snaps: Snap) -> Inputs:
        """Return the table with more of what the shelf did."""
        return Inputs(self.table, self.problems, (*self.snaps, *snaps))


def product(*factors: tuple[Fraction | None, int]) -> Fraction | None:
    """Return the power of a product of variables, each by its own power and exponent; None where one has none."""
    total = Fraction(0)
    for power, exponent in factors:
        if power is None:
            return None
        total += power * exponent
    return total


def first(value: Any) -> float:
    """Return the first of an array's numbers, or the number itself."""
    return float(np.asarray(value, dtype=float).flat[0])
