"""Tables over the rotor's speed: as few speeds of each quantity as let the others be read between them."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from scaling.book.entry import Array

Columns = Callable[[Collection[str], Array], Mapping[str, Array]]
"""Quantities by name at every factor, a row each, and at the shares of the base speed that are asked for."""

NEAR = 1.5e-3
"""How far what is read between two speeds may be off before a speed between them is added, as a share."""

SAME = 6e-4
"""A speed without which its value is read this nearly is left out again."""

FINEST = 0.016
"""Speeds nearer to each other than this, in ln, get none between them."""

DIGITS = 9
"""Digits after the point that a share has."""

SMALL = 0.02
"""Share of a quantity's largest value below which what it is off counts against that share."""


@dataclass(frozen=True)
class Table:
    """A quantity's ``values`` by factor, a row each, and by the ``shares`` of the base speed; one column without.

    ``plain`` says that it is zero or changes sign somewhere, so that it is read on a plain scale and not in logarithms.
    """

    shares: tuple[float, ...]
    values: Array
    plain: bool


def table(values: Array, shares: Sequence[float] = ()) -> Table:
    """Return the table of a quantity by factor, or by factor and share."""
    columns = values.reshape(len(values), -1)
    return Table(tuple(shares), columns, bool(np.any(columns <= 0)))


def between(low: Array, high: Array, weight: Array | float, plain: bool) -> Array:
    """Return what is read between two columns or rows, at ``weight`` of the way."""
    if plain:
        return low + (high - low) * weight
    return np.exp(np.log(low) + (np.log(high) - np.log(low)) * weight)


def missed(read: Array, true: Array, scale: float) -> float:
    """Return how far what was ``read`` is off at most, as a share; what is missing on one side alone is far off.

    ``scale`` is the quantity's largest value.
    """
    with np.errstate(all="ignore"):
        off = np.abs(read - true) / np.maximum(np.abs(true), SMALL * scale)
    off = np.where(np.isnan(read) & np.isnan(true), 0.0, off)
    return float(np.max(np.where(np.isnan(off), np.inf, off)))


def refined(columns: Columns, names: Collection[str], start: Array) -> dict[str, Table]:
    """Return the table of each quantity, over the ``start`` shares and those that are wanted between them."""
    found = {name: dict(zip(start.tolist(), values.T, strict=True)) for name, values in columns(names, start).items()}
    pending = [(name, low, high) for name in found for low, high in pairwise(start.tolist())]
    plain = {name: any(bool(np.any(column <= 0)) for column in by_share.values()) for name, by_share in found.items()}
    while pending := [each for each in pending if np.log(each[2] / each[1]) > FINEST]:
        middles = np.unique([_middle(low, high) for _, low, high in pending])
        more = columns({name for name, _, _ in pending}, middles)
        place = {share: at for at, share in enumerate(middles.tolist())}
        halves: list[tuple[str, float, float]] = []
        for name, low, high in pending:
            middle = _middle(low, high)
            own, true = found[name], more[name][:, place[middle]]
            if _off(own[low], true, own[high], 0.5, plain[name]) > NEAR:
                own[middle] = true
                halves += [(name, low, middle), (name, middle, high)]
        pending = halves
    return {name: _thinned(by_share, plain[name]) for name, by_share in found.items()}


def _middle(low: float, high: float) -> float:
    return round(math.sqrt(low * high), DIGITS)


def _off(low: Array, true: Array, high: Array, weight: float, plain: bool) -> float:
    with np.errstate(all="ignore"):
        read = between(low, high, weight, plain)
    scale = float(np.nanmax(np.abs([low, true, high]), initial=0.0))
    return missed(read, true, scale)


def _thinned(by_share: Mapping[float, Array], plain: bool) -> Table:
    """The table without the columns that are read from their neighbours as well."""
    shares = sorted(by_share)
    kept = shares[:1]
    for place, share in enumerate(shares[1:-1], 1):
        ahead = shares[place + 1]
        skipped = [each for each in shares[: place + 1] if each > kept[-1]]
        weights = [float(np.log(each / kept[-1]) / np.log(ahead / kept[-1])) for each in skipped]
        offs = [
            _off(by_share[kept[-1]], by_share[each], by_share[ahead], weight, plain)
            for each, weight in zip(skipped, weights, strict=True)
        ]
        if max(offs) > SAME:
            kept.append(share)
    kept += shares[-1:]
    return Table(tuple(kept), np.stack([by_share[share] for share in kept], axis=1), plain)
