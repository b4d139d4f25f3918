"""Sizes on a shop's shelves, and what becomes of a dimension there."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any, Literal

import numpy as np

from scaling.book.entry import Array
from scaling.files.errors import InputError, Mistakes
from scaling.files.known import Known
from scaling.shop import stock

How = Literal["nearest", "up", "down"]
HOWS = ("nearest", "up", "down")
SHELVES = ("sheet", "bolt", "bearing-bore", "bearing-outside", "round-belt", "toothed-belt-width")
FILES = ("bolts", "sheets", "bearings", "toothed_belts", "round_belts")
"""Shelves that a port's sizes are snapped to, and that a builder's own CSV file may extend or replace, by the key of
the brief's [stock] table; classes of bolts and cells are a design's own words (its [stock_files])."""

SHEET_FAMILIES = {
    "aluminium": "aluminium",
    "steel": "steel",
    "wear-steel": "steel",
    "tool-steel": "steel",
    "spring-steel": "steel",
    "titanium": "titanium",
    "polycarbonate": "polycarbonate",
    "hdpe": "polyethylene",
    "uhmwpe": "polyethylene",
    "carbon-fibre": "carbon fibre",
}
"""Family of sheets by the first words of a material's name."""


READERS: Mapping[str, Callable[[Path], tuple[Any, ...]]] = {
    "bolts": stock.bolts,
    "bolt_classes": stock.bolt_classes,
    "sheets": stock.sheets,
    "bearings": stock.bearings,
    "cells": stock.cells,
    "toothed_belts": stock.toothed_belts,
    "round_belts": stock.round_belts,
}
"""What reads a builder's own file of each shelf, with the built-in rows that it extends or replaces."""


@dataclass(frozen=True)
class Shelves:
    """What can be bought: the rows of every shelf, those in ``own`` with a builder's own file in them.

    >>> Shelves().sizes("round-belt")[0]
    0.002
    """

    own: Mapping[str, tuple[Any, ...]] = field(default_factory=dict)

    @classmethod
    def read(cls, files: Mapping[str, Path], mistakes: Mistakes | None = None) -> Shelves:
        """Read a builder's own files, by the key of READERS.

        A file that is bad is kept among ``mistakes``, with its line, and stays unread; without them it raises.
        """
        kept = Mistakes() if mistakes is None else mistakes
        found = {key: kept.attempt(READERS[key], path) for key, path in files.items()}
        if mistakes is None:
            kept.settle()
        rows = {key: each for key, each in found.items() if each is not None}
        return cls(Known(rows, found.keys() - rows.keys()))

    def __or__(self, other: Shelves) -> Shelves:
        """Return these shelves with those that ``other`` has of its own in their place."""
        if not (self.own and other.own):
            return other if other.own else self
        return Shelves({**self.own, **other.own})

    @property
    def bolts(self) -> tuple[stock.Bolt, ...]:
        """The bolts by rising diameter."""
        return self.own.get("bolts") or stock.bolts()

    @property
    def bolt_classes(self) -> tuple[stock.BoltClass, ...]:
        """The property classes of bolts by rising strength."""
        return self.own.get("bolt_classes") or stock.bolt_classes()

    @property
    def sheets(self) -> tuple[stock.Sheet, ...]:
        """The sheets by family and rising thickness."""
        return self.own.get("sheets") or stock.sheets()

    @property
    def bearings(self) -> tuple[stock.Bearing, ...]:
        """The bearings by rising bore and outside."""
        return self.own.get("bearings") or stock.bearings()

    @property
    def cells(self) -> tuple[stock.Cell, ...]:
        """The cells by rising full voltage."""
        return self.own.get("cells") or stock.cells()

    @property
    def toothed_belts(self) -> tuple[stock.ToothedBelt, ...]:
        """The toothed belts by rising pitch and width."""
        return self.own.get("toothed_belts") or stock.toothed_belts()

    @property
    def round_belts(self) -> tuple[stock.RoundBelt, ...]:
        """The round belts by rising diameter."""
        return self.own.get("round_belts") or stock.round_belts()

    def bolt(self, size: str) -> stock.Bolt:
        """Return the bolt ``size``; raises InputError where the shelf has none."""
        return stock.bolt(size, self.bolts)

    def bolt_class(self, name: str) -> stock.BoltClass:
        """Return the property class ``name``; raises InputError where the shelf has none."""
        return stock.bolt_class(name, self.bolt_classes)

    def bearing(self, designation: str) -> stock.Bearing:
        """Return the bearing of this designation; raises InputError where the shelf has none."""
        return stock.bearing(designation, self.bearings)

    def cell(self, chemistry: str) -> stock.Cell:
        """Return the cell of this chemistry; raises InputError where the shelf has none."""
        return stock.cell(chemistry, self.cells)

    def checked(self, key: str, word: str, place: str) -> str:
        """Return ``word``, looked up on its shelf where ``key`` ends in bolt, bolt_class, designation or cell.

        Raises InputError, naming ``place``, for one that is not there.
        """
        look_up: Callable[[str], object] | None = {
            "bolt": self.bolt, "bolt_class": self.bolt_class, "designation": self.bearing, "cell": self.cell,
        }.get(key.rpartition(".")[2])  # fmt: skip
        try:
            if look_up is not None:
                look_up(word)
        except InputError as error:
            error.key = place
            raise
        return word

    def sizes(self, shelf: str, family: str | None = None) -> tuple[float, ...]:
        """Return the rising sizes in m on one of SHELVES, of a ``family`` of sheets; InputError for an unknown one."""
        if (shelf, family) not in self._sizes:
            self._sizes[shelf, family] = self._sizes_on(shelf, family)
        return self._sizes[shelf, family]

    @cached_property
    def _sizes(self) -> dict[tuple[str, str | None], tuple[float, ...]]:
        """Sizes that were asked for, which every port asks for again."""
        return {}

    def _sizes_on(self, shelf: str, family: str | None) -> tuple[float, ...]:
        if shelf == "sheet":
            return stock.thicknesses(family or "", self.sheets)
        found = {
            "bolt": lambda: {row.diameter for row in self.bolts},  # one pitch or several
            "bearing-bore": lambda: {row.bore for row in self.bearings},
            "bearing-outside": lambda: {row.outside for row in self.bearings},
            "round-belt": lambda: {row.diameter for row in self.round_belts},
            "toothed-belt-width": lambda: {row.width for row in self.toothed_belts},
        }
        return tuple(sorted(found[shelf]()))


def family_of(material: str | None) -> str | None:
    """Return the family of sheets that a material is sold as, or None."""
    for start, family in SHEET_FAMILIES.items():
        if material is not None and (material == start or material.startswith(f"{start}-")):
            return family
    return None


def snapped(ideal: Any, on_shelf: tuple[float, ...], how: str) -> Array:
    """Return ``ideal`` (m, float or array) as the shelf has it; where the shelf ends it stays as it is."""
    found = stock.snap(ideal, on_shelf, how)  # type: ignore[arg-type]
    return np.where(_off(ideal, on_shelf, how, found), ideal, found)


def jumps(on_shelf: tuple[float, ...], how: str) -> tuple[float, ...]:
    """Return the sizes in m at which what the shelf gives for a rising size changes.

    >>> [round(size * 1e3, 3) for size in jumps((0.002, 0.003, 0.005), "nearest")]
    [1.5, 2.5, 4.0, 6.0]
    """
    if how != "nearest":
        return on_shelf
    half = np.diff(on_shelf) / 2 if len(on_shelf) > 1 else np.asarray([on_shelf[0] / 2])
    middles = [on_shelf[0] - half[0], *(np.asarray(on_shelf[:-1]) + half), on_shelf[-1] + half[-1]]
    return tuple(float(size) for size in middles)


def beyond(ideal: float, on_shelf: tuple[float, ...], how: str) -> bool:
    """Whether the shelf has no size for ``ideal`` in the direction asked for, or no near one."""
    return bool(_off(ideal, on_shelf, how, stock.snap(ideal, on_shelf, how)))  # type: ignore[arg-type]


def _off(ideal: Any, on_shelf: tuple[float, ...], how: str, found: Array) -> Any:
    """Where the shelf has nothing for ``ideal``: none up or down, or its end is farther off than half its last step.

    On the shelf the nearest size is never farther than half a step; past its end it could be any distance.
    """
    if how != "nearest":
        return np.isnan(found)
    steps = on_shelf if len(on_shelf) == 1 else (on_shelf[1] - on_shelf[0], on_shelf[-1] - on_shelf[-2])
    wanted = np.asarray(ideal, dtype=float)
    return (wanted < on_shelf[0] - steps[0] / 2) | (wanted > on_shelf[-1] + steps[-1] / 2)
