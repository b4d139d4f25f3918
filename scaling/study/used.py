"""What a design's or a study's quantities rest on: entries of the book, works behind those and the shop's numbers."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from scaling.book.entry import Quantity
from scaling.book.sources import Use, worst_first
from scaling.formulas import book
from scaling.robot.design import Design
from scaling.shop import materials
from scaling.shop.sources import of_shelves
from scaling.study.beside import reference_values
from scaling.study.results import Study


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


def works_of_design(design: Design) -> list[Use]:
    """Return the works that a design's own numbers rest on, its materials' and shelves' too, the least known first."""
    return _works(design_entries(design), [design], [])


def works_of_study(study: Study) -> list[Use]:
    """Return the works that a study rests on, its materials' and shelves' too, the least known first."""
    machines = [study.design, *(port.machine for port in study.ports if port.machine is not None)]
    brief = study.brief
    tried = [*brief.swaps.values(), *(change.material for change in brief.parts.values())]
    tried += [word for key, word in brief.words.items() if key.endswith("material")]
    return _works(used_entries(study), machines, [name for name in tried if name is not None])


def _works(entries: list[Quantity], designs: Sequence[Design], names: Sequence[str]) -> list[Use]:
    cut = {word for design in designs for key, word in design.choices.items() if key.endswith("material")}
    cut |= {part.material for design in designs for part in design.parts if part.material is not None} | set(names)
    shelves = {shelf for design in designs for shelf in _shelves(design)}
    estimated = {each.key: each.source for design in designs for each in design.estimates}
    uses = [*book.uses(entries, estimated), *materials.sources(sorted(cut))]
    return worst_first([*uses, *of_shelves(sorted(shelves))])


def _shelves(design: Design) -> set[str]:
    """Names of the shelves that a design's numbers come from or are snapped to."""
    found = {row.shelf for row in design.stock} | ({"sheet"} if any(part.snap for part in design.parts) else set())
    files = {
        "sheet": "sheets", "bolt": "bolts", "bearing-bore": "bearings", "bearing-outside": "bearings",
        "round-belt": "round_belts", "toothed-belt-width": "toothed_belts",
    }  # fmt: skip
    looked_up = {"bolt": "bolts", "bolt_class": "bolt_classes", "cell": "cells"}
    named = {looked_up[last] for key in design.choices if (last := key.rpartition(".")[2]) in looked_up}
    return {files[shelf] for shelf in found} | named
