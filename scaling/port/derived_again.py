"""What a design file's derived keys become where the port's brief changes what they follow from."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar

import numpy as np

from scaling.files.errors import Mistakes
from scaling.formulas import book
from scaling.port.freed import keys_moved
from scaling.port.scaled import Inputs, Scaled, first
from scaling.port.terms import Terms, tables_of
from scaling.robot.derived import MATERIAL_PROPERTIES, derive, derive_rotor, derive_windage, table_of
from scaling.robot.design import Design
from scaling.robot.row_by_row import row_by_row
from scaling.shop.shelves import Shelves

Value = TypeVar("Value")
Items = tuple[tuple[str, Value], ...]
"""A table that does not change: keys with their values."""

MOVED = 1.03
"""By what a free dimension is changed to see what follows from it: by so little that nothing else changes."""

VECTORISED = ("rotor.motor", "drive.motor", "battery", "drive")
"""Tables whose derived values other steps work out for whole arrays."""


def derived_again(inputs: Inputs, terms: Terms) -> Inputs:
    """Work out again what follows from keys and words that are others at the port.

    Which derived keys those are shows at the reference's size.
    """
    design, words = terms.design, port_words(terms)
    changed = _changed(inputs, terms)
    if words == design.choices and not changed:
        return inputs
    file = terms.brief.file or design.file
    said = tuple(words.items())
    before = _of_reference(design, tuple(design.choices.items()), (), file)
    after = _of_reference(design, said, tuple(changed.items()), file)
    given = {*design.stated, *terms.numbers, *terms.variation.held, *_of_parts(terms)}
    affected = [
        key for key, value in after.items() if key in inputs and key not in given and before.get(key) != value
    ]
    if not affected:
        return inputs
    alone = _last_steps_do(design, said, tuple(changed.items()), tuple((key, after[key]) for key in affected), file)
    anew = _by_the_last_steps if alone else _derived
    needed = inputs.table if anew is _by_the_last_steps else given
    known = {key: inputs[key].value for key in inputs.table if key in needed and key not in affected}
    values = row_by_row(lambda numbers: anew(numbers, words, design.shelves, file), known, affected)
    return inputs.having({
        key: Scaled(value, Fraction(0) if book.variables[key].length_power == 0 else None)
        for key, value in values.items()
    })


@lru_cache(maxsize=64)
def _of_reference(design: Design, words: Items[str], changed: Items[float], file: Path) -> Mapping[str, float]:
    """What follows of the reference with other ``words`` and ``changed`` numbers; a search asks for the same again."""
    own = {key: design.variables[key] for key in design.stated if key in design.variables}
    return MappingProxyType(_derived(own | dict(changed), dict(words), design.shelves, file))


@lru_cache(maxsize=64)
def _last_steps_do(
    design: Design, words: Items[str], changed: Items[float], wanted: Items[float], file: Path
) -> bool:
    """Whether the last steps alone, which are by much the quicker, give the same of the reference's ``wanted`` keys.

    They look up no material, and need what one gives.
    """
    if any(key.rpartition(".")[2] in MATERIAL_PROPERTIES for key, _ in wanted):
        return False
    known = {key: value for key, value in design.variables.items() if key not in dict(wanted)} | dict(changed)
    alone = _by_the_last_steps(known, dict(words), design.shelves, file)
    return all(key in alone and np.isclose(alone[key], value, rtol=1e-12, atol=0.0) for key, value in wanted)


def _by_the_last_steps(
    given: Mapping[str, float], words: Mapping[str, str], shelves: Shelves, file: Path
) -> dict[str, float]:
    """The given numbers with what follows from the rotor's, and in each branch; raises InputError where they cannot."""
    numbers, mistakes = dict(given), Mistakes(file)
    mistakes.attempt(derive_windage, numbers, words)
    mistakes.attempt(derive_rotor, numbers, words, [])
    book.derive(numbers, words, shelves, mistakes)
    mistakes.settle()
    return numbers


def _derived(given: Mapping[str, float], words: Mapping[str, str], shelves: Shelves, file: Path) -> dict[str, float]:
    """The given numbers with everything that follows from them; raises InputError where they cannot be."""
    numbers, mistakes = dict(given), Mistakes(file)
    derive(numbers, words, shelves, mistakes, [])
    mistakes.settle()
    return numbers


def _changed(inputs: Inputs, terms: Terms) -> dict[str, float]:
    """The keys that are others at the port and from which more may follow, at the first of the factors.

    A free dimension counts as another one even where its lever happens to stand at 1.
    """
    numbers = {key: first(value) for key, value in terms.numbers.items() if table_of(key) not in VECTORISED}
    own = terms.design.variables
    materials = {key: value for key in _of_parts(terms) if (value := first(inputs[key].value)) != own[key]}
    moved = {key: own[key] * MOVED for key in keys_moved(terms.variation.levers) if key in terms.design.stated}
    return {key: value for key, value in moved.items() if table_of(key) not in VECTORISED} | materials | numbers


def _of_parts(terms: Terms) -> list[str]:
    """Keys of the material properties of tables that are parts, which have them from there."""
    tables = [table for table, part in terms.tables_of_parts.items() if part.materials]
    keys = [f"{table}.{quality}" for table in tables for quality in MATERIAL_PROPERTIES]
    return [key for key in keys if key in terms.design.variables and key not in terms.design.stated]


def port_words(terms: Terms) -> dict[str, str]:
    """The design's words as they are at the port: swaps of material, the brief's own, and those of named parts."""
    own, brief = terms.design.choices, terms.brief
    words = {key: brief.swaps.get(word, word) if key.endswith("material") else word for key, word in own.items()}
    tables = tables_of(terms.design)
    words |= {key: word for key, word in brief.words.items() if key in words or table_of(key) in tables}
    for table, part in terms.tables_of_parts.items():
        key = f"{table}.material"
        if key in words and not part.others:
            words[key] = part.material or words[key]
    return words
