"""Which entries of the book a design's or a study's quantities were computed by."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from scaling.book.entry import Quantity
from scaling.formulas import book
from scaling.robot.design import Design
from scaling.study.results import Study
from scaling.study.run import reference_values


def design_entries(design: Design) -> list[Quantity]:
    """Return the entries by which a design's own numbers are computed, in the order of the book."""
    return _in_order(_counted(design, design.variables, reference_values(design)))


def used_entries(study: Study) -> list[Quantity]:
    """Return the entries by which the reference or any port was computed, in the order of the book.

    A port may know what the reference does not, and then goes by another entry of the same name.
    """
    found = _counted(study.design, study.design.variables, study.reference)
    for port in study.ports:
        found += _counted(port.machine or study.design, port.variables, port.quantities)
    return _in_order(found)


def _counted(design: Design, known: Mapping[str, float], shown: Collection[str]) -> list[Quantity]:
    return [entry for name, entry in book.counted(design.traits, known).items() if name in shown]


def _in_order(entries: list[Quantity]) -> list[Quantity]:
    wanted = {id(entry) for entry in entries}
    return [entry for entry in book.entries if id(entry) in wanted]
