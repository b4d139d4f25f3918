"""Which quantities a picture or a short table shows: by what they are to the builder, role by role."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from scaling.book.entry import Role
from scaling.book.told_apart import told_apart
from scaling.formulas import book
from scaling.study.drifts import counting, judged
from scaling.study.results import Study

MANY: tuple[Role, ...] = ("survival",)
"""Roles of which there are so many that what drifts just as one that is there already has nothing to add."""


def picked(
    study: Study, ranked: Sequence[str], most: Mapping[Role, int], rows: int, many: Collection[Role] = MANY
) -> list[str]:
    """Return up to ``rows`` of the ``ranked`` names: up to ``most`` of each role, role by role, then the next ranked.

    Of the ``many`` and of the rest, what drifts just as one that is there already is passed over.
    """
    found: list[str] = []
    for role, count in most.items():
        names = book.of_role(role, among=ranked)
        if role == "survival":  # it is a margin that falls that ends something
            names = sorted(names, key=lambda name: _least(study, name))
        if role in many:
            found = _unlike(study, names, found, min(rows, len(found) + count))
        else:
            found = [*found, *names[:count]][:rows]
    # A number that is better neither way tells a builder less, so it comes last.
    rest = sorted(ranked, key=lambda name: book.quantities[name].better == "same")
    return _unlike(study, [name for name in rest if name not in found], found, rows)


def steady(names: Sequence[str]) -> list[str]:
    """Return ``names`` in the book's order, the same in every study."""
    order = {name: place for place, name in enumerate(book.quantities)}
    return sorted(names, key=lambda name: order[name])


def _least(study: Study, name: str) -> float:
    """The least drift of a quantity at any port, to as many digits as tell two of them apart."""
    drifts = [drift for port in study.ports if (drift := counting(port, name)) is not None]
    return told_apart(min(drifts, default=1.0), 3)


def _unlike(study: Study, names: Sequence[str], there: list[str], most: int) -> list[str]:
    """Add to those that are ``there`` of ``names`` those that drift unlike all of them, until there are ``most``."""
    found = list(there)
    seen = {_signature(study, name) for name in found}
    for name in names:
        if len(found) < most and _signature(study, name) not in seen:
            found.append(name)
            seen.add(_signature(study, name))
    return found


def _signature(study: Study, name: str) -> tuple[object, ...]:
    """Which way is better, and each port's drift to three digits."""
    drifts = (judged(port, name) for port in study.ports)
    return (book.quantities[name].better, *(None if drift is None else float(f"{drift:.3g}") for drift in drifts))
