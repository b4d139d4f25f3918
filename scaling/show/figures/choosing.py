"""Which quantities a picture shows: by what they are to the builder, role by role."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from scaling.book.entry import Role
from scaling.formulas import book
from scaling.study.results import Study


def picked(study: Study, ranked: Sequence[str], most: Mapping[Role, int], rows: int) -> list[str]:
    """Return up to ``rows`` of the ``ranked`` names: up to ``most`` of each role, role by role, then the next ranked.

    Of survival margins and of the rest, what drifts just as one that is there already has nothing to add and is passed
    over; there are too many of them.
    """
    found: list[str] = []
    for role, count in most.items():
        names = book.of_role(role, among=ranked)
        if role == "survival":
            found = _unlike(study, names, found, min(rows, len(found) + count))
        else:
            found = [*found, *names[:count]][:rows]
    # A number that is better neither way tells a builder less, so it comes last.
    rest = sorted(ranked, key=lambda name: book.quantities[name].better == "same")
    return _unlike(study, [name for name in rest if name not in found], found, rows)


def steady(ranked: Sequence[str]) -> list[str]:
    """Return ``ranked`` in the book's order, the same in every study, but the worst survival margin first."""
    order = list(book.quantities)
    survival = book.of_role("survival", among=ranked)
    return [*survival, *sorted(set(ranked) - set(survival), key=order.index)]


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
    """Each port's drifts to three digits."""
    return tuple(
        tuple(float(f"{value:.3g}") for value in port.quantities[name].drift.values())
        if name in port.quantities
        else ()
        for port in study.ports
    )
