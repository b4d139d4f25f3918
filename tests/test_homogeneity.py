"""Every formula of the book is homogeneous: its terms and its stated unit have the same dimension.

Closed forms are walked exactly. Numeric models cannot be walked, so their inputs are given in other units, and
the results must be the same in those units. The principle: P. W. Bridgman, Dimensional Analysis, 1922, ch. 2
(from memory).
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from typing import Any

import numpy as np
import pytest

from scaling.book.algebra import Expression, absolute, cases, exp, largest, least, log, pi, sin, sqrt, symbols
from scaling.book.dimensions import BASE, NotHomogeneousError, dimension_of, exponents
from scaling.book.entry import Model, Quantity
from scaling.formulas import book

ENTRIES = book.entries
CLOSED = [entry for entry in ENTRIES if not isinstance(entry.formula, Model)]
MODELS = [entry for entry in ENTRIES if isinstance(entry.formula, Model)]
SAMPLES = 400


def numbered(entries: list[Quantity]) -> list[Any]:
    """Entries as test parameters, alternatives of one name told apart by a number."""
    seen: dict[str, itertools.count[int]] = defaultdict(itertools.count)
    return [pytest.param(entry, id=f"{entry.name}-{next(seen[entry.name])}") for entry in entries]


@pytest.mark.parametrize("entry", numbered(CLOSED))
def test_closed_form_has_the_dimension_of_its_unit(entry: Quantity) -> None:
    assert exponents(entry.formula, book.dimensions) == entry.dimension


@pytest.mark.parametrize("entry", numbered(MODELS))
def test_model_gives_the_same_in_other_units(entry: Quantity, demos: tuple[Any, ...]) -> None:
    assert isinstance(entry.formula, Model)
    random = np.random.default_rng(7)
    typical: dict[str, float] = {}
    for demo in demos:
        typical = {**demo.design.variables, **demo.study.reference} | typical
    inputs = []
    for key in entry.inputs:
        # From near a demo's own numbers to far from them, where the other branches of a model lie.
        spread = np.concatenate([random.lognormal(0, width, SAMPLES // 4) for width in (0.1, 0.5, 1.0, 1.5)])
        if key.endswith((".fibre_share", ".strip_drag")):  # laminates, and what has no fibres; bars, and discs
            inputs.append(random.uniform(0.05, 0.95, SAMPLES) * random.integers(0, 2, SAMPLES))
        elif key in book.variables and book.variables[key].allowed == "fraction":
            inputs.append(random.uniform(0.05, 0.95, SAMPLES))
        else:
            inputs.append(typical.get(key, 0.3 if dimension_of_key(key) == dimension_of("1") else 1.0) * spread)
    systems = 10 ** random.uniform(-3, 3, (len(BASE), SAMPLES))
    with np.errstate(all="ignore"):
        plain = entry.formula.function(*inputs)[entry.formula.output]
        other = entry.formula.function(
            *(value * ratio(dimension_of_key(key), systems) for key, value in zip(entry.inputs, inputs, strict=True))
        )[entry.formula.output]
    expected = plain * ratio(entry.dimension, systems)
    finite = np.isfinite(plain)
    assert finite.sum() >= 4
    assert np.array_equal(np.isfinite(other), finite)
    assert other[finite] == pytest.approx(expected[finite], rel=1e-9)


def dimension_of_key(key: str) -> Any:
    return book.dimensions[key]


def ratio(dimension: Any, systems: np.ndarray) -> np.ndarray:
    """What a number of ``dimension`` is multiplied by in each of the unit systems."""
    return np.prod([row ** float(power) for row, power in zip(systems, dimension, strict=True)], axis=0)


def test_alternatives_of_one_name_agree() -> None:
    by_name: dict[str, list[Quantity]] = defaultdict(list)
    for entry in ENTRIES:
        by_name[entry.name].append(entry)
    for name, entries in by_name.items():
        faces = {(entry.unit, entry.branch, entry.label, entry.symbol, entry.better) for entry in entries}
        assert len(faces) == 1, name


A, B, C = symbols("a b c")
KNOWN = {"a": dimension_of("m"), "b": dimension_of("s"), "c": dimension_of("m/s")}


@pytest.mark.parametrize(
    "formula",
    [
        A + B,
        A + 1,
        exp(A),
        A**C,
        2**A,
        least(A, B),
        log(A / B),
        sqrt(A + C),
        cases((A, B < C), (2 * A, True)),
        cases((A, A < 1), (B, True)),
        absolute(A) + B,
    ],
    ids=str,
)
def test_unlike_things_are_refused(formula: Expression) -> None:
    with pytest.raises(NotHomogeneousError):
        exponents(formula, KNOWN)


@pytest.mark.parametrize(
    ("formula", "unit"),
    [
        (A / B + C, "m/s"),
        (sqrt(A * C * B), "m"),
        (A * exp(-A / (B * C)), "m"),
        ((A / (B * C)) ** (A / (B * C)), "1"),
        (largest(A, B * C) ** 2, "m^2"),
        (cases((A, A < B * C), (B * C, True)) / B, "m/s"),
        (absolute(A - B * C), "m"),
        (sin(A / (B * C)) * pi * B, "s"),
    ],
    ids=str,
)
def test_like_things_are_walked(formula: Expression, unit: str) -> None:
    assert exponents(formula, KNOWN) == dimension_of(unit)


@pytest.mark.parametrize(
    ("unit", "base"),
    # SI Brochure, 9th edition, BIPM 2019, table 4: derived units with special names in base units; from memory.
    [
        ("N", "kg m/s^2"),
        ("Pa", "kg/m/s^2"),
        ("J", "kg m^2/s^2"),
        ("W", "kg m^2/s^3"),
        ("C", "A s"),
        ("V", "kg m^2/s^3/A"),
        ("ohm", "kg m^2/s^3/A^2"),
        ("Hz", "1/s"),
        ("rad", "1"),
        ("V A", "W"),
        ("ohm A", "V"),
    ],
)
def test_units_with_names_are_those_of_the_si_brochure(unit: str, base: str) -> None:
    assert dimension_of(unit) == dimension_of(base)


def test_units_of_the_book_agree_with_pint() -> None:
    """Pint is an independent library of units; every unit that the book states has the same dimension there."""
    import pint

    registry = pint.UnitRegistry()
    names = {"[mass]": 0, "[length]": 1, "[time]": 2, "[current]": 3, "[temperature]": 4}
    units = {variable.unit for variable in book.variables.values()} | {entry.unit for entry in ENTRIES}
    for unit in units:
        found = [0.0] * len(BASE)
        for name, power in registry.parse_units(unit.replace(" ", "*")).dimensionality.items():
            found[names[name]] = float(power)
        assert found == [float(power) for power in dimension_of(unit)], unit
