"""What a design file's derived keys become where the port's brief changes what they follow from."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from pathlib import Path

import numpy as np

from scaling.files.errors import Mistakes
from scaling.formulas import book
from scaling.port.freed import keys_moved
from scaling.port.scaled import Inputs, Scaled, first
from scaling.port.terms import Terms, tables_of
from scaling.robot.derived import MATERIAL_PROPERTIES, derive, derive_rotor, derive_windage, table_of
from scaling.shop.shelves import Shelves

MOVED = 1.03
"""By what a free dimension is changed to see what follows from it: by so little that nothing else changes."""

VECTORISED = ("rotor.motor", "drive.motor", "battery", "drive")
"""Tables whose derived values other steps work out for whole arrays."""


def derived_again(inputs: Inputs, terms: Terms) -> Inputs:
    """Work out again what follows from keys and words that are others at the port.

    Which derived keys those are shows at the reference's size; then each place is derived by itself, since the
    derivations of a design file take single numbers, places that have the same of it once.
    """
    design, words = terms.design, port_words(terms)
    changed = _changed(inputs, terms)
    if words == design.choices and not changed:
        return inputs
    file = terms.brief.file or design.file
    own = {key: design.variables[key] for key in design.stated if key in design.variables}
    before = _derived(own, design.choices, design.shelves, file)
    after = _derived(own | changed, words, design.shelves, file)
    given = {*design.stated, *terms.numbers, *terms.variation.held, *_of_parts(terms)}
    affected = [
        key for key, value in after.items() if key in inputs and key not in given and before.get(key) != value
    ]
    if not affected:
        return inputs
    shape = np.broadcast_shapes(*(np.shape(value) for value in inputs.variables.values()))
    anew = _anew(terms, words, changed, {key: after[key] for key in affected}, file)
    needed = inputs.table if anew is _by_the_last_steps else given
    keys = [key for key in inputs.table if key in needed and key not in affected]
    flat = np.stack([np.broadcast_to(inputs[key].value, shape).ravel() for key in keys])
    once, again = np.unique(flat, axis=1, return_inverse=True)
    each = [anew(dict(zip(keys, column, strict=True)), words, design.shelves, file) for column in once.T.tolist()]
    places = [each[place] for place in again.ravel()]
    found: dict[str, Scaled] = {}
    for key in affected:
        power = Fraction(0) if book.variables[key].length_power == 0 else None
        found[key] = Scaled(np.asarray([numbers[key] for numbers in places]).reshape(shape), power)
    return inputs.having(found)


def _anew(
    terms: Terms, words: Mapping[str, str], changed: Mapping[str, float], wanted: Mapping[str, float], file: Path
) -> Callable[..., dict[str, float]]:
    """What works out the ``wanted`` keys: the last steps alone, where they give the same of the reference.

    They are by much the quicker, and a search over the rotor's size asks for them at every point.
    """
    known = {key: value for key, value in terms.design.variables.items() if key not in wanted} | dict(changed)
    alone = _by_the_last_steps(known, words, terms.design.shelves, file)
    same = all(key in alone and np.isclose(alone[key], value, rtol=1e-12, atol=0.0) for key, value in wanted.items())
    return _by_the_last_steps if same else _derived


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
