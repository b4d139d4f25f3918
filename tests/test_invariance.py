"""Units are a convention: other base units change no dimensionless group and no drift.

The principle is that of dimensional homogeneity (P. W. Bridgman, Dimensional Analysis, Yale University Press,
1922, ch. 2; from memory): it needs no expected values of our own. A formula that hides a constant with a
dimension, or a quantity whose stated unit is wrong, fails here.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scaling.book.dimensions import BASE, Dimension
from scaling.book.groups import group_value
from scaling.book.similarity import CLOCKS, similarity_ratio
from scaling.formulas import book
from scaling.study.run import group_values

SYSTEMS = 24
TOLERANCE = 1e-9

decades = st.floats(-3, 3)


def in_other_units(values: Mapping[str, Any], systems: np.ndarray) -> dict[str, Any]:
    """Numbers in systems whose base units are smaller by the factors ``systems``, a row a base unit."""
    stated = book.dimensions
    return {key: value * unit_ratio(stated[key], systems) for key, value in values.items()}


def unit_ratio(dimension: Dimension, systems: np.ndarray) -> np.ndarray:
    """What a number of ``dimension`` is multiplied by."""
    return np.prod([row ** float(power) for row, power in zip(systems, dimension, strict=True)], axis=0)


@pytest.fixture(scope="module")
def systems() -> np.ndarray:
    """Random factors for each base unit, over six decades, always the same ones."""
    return 10 ** np.random.default_rng(20240229).uniform(-3, 3, (len(BASE), SYSTEMS))


def test_every_quantity_of_the_reference_converts_like_its_unit(demo: Any, systems: np.ndarray) -> None:
    values = book.evaluate(demo.design.variables, demo.design.traits)
    other = book.evaluate(in_other_units(demo.design.variables, systems), demo.design.traits)
    assert set(other) == set(values)
    for name, value in values.items():
        expected = value * unit_ratio(book.quantities[name].dimension, systems)
        assert other[name] == pytest.approx(
            np.broadcast_to(expected, np.shape(other[name])), rel=TOLERANCE, nan_ok=True
        ), name


def test_every_drift_of_every_port_stays_put(demo: Any, systems: np.ndarray) -> None:
    design = demo.design
    reference = in_other_units(design.variables, systems)
    own = book.evaluate(reference, design.traits)
    compared = 0
    for port in demo.study.ports:
        variables = in_other_units(port.variables, systems)
        values = book.evaluate(variables, design.traits)
        mass_ratio = variables["mass"] / reference["mass"]
        volts = variables["battery.voltage"] / reference["battery.voltage"]
        for name, entry in port.quantities.items():
            for clock in CLOCKS:
                if clock not in entry.drift:
                    continue
                alike = similarity_ratio(entry_dimension(name), mass_ratio, port.factor, clock, volts)
                drift = values[name] / own[name] / alike
                assert np.allclose(drift, entry.drift[clock], rtol=TOLERANCE, atol=0), (name, clock)
                compared += 1
    assert compared > 20 * len(demo.study.ports)


def entry_dimension(name: str) -> Dimension:
    return book.quantities[name].dimension


def test_every_group_stays_put(demo: Any, systems: np.ndarray) -> None:
    design = demo.design
    numbers = [design.variables, *(port.variables for port in demo.study.ports)]
    other = [in_other_units(variables, systems) for variables in numbers]
    full = [values | book.evaluate(values, design.traits) for values in other]
    assert demo.study.groups
    for group in demo.study.groups:
        reference, ports = group_values(demo.study, group)
        for before, after in zip([reference, *ports], full, strict=True):
            if before is None:
                continue
            found = np.broadcast_to(group_value(group.expression, after), SYSTEMS)
            assert found == pytest.approx(np.full(SYSTEMS, before), rel=TOLERANCE), group.name


@settings(max_examples=20)
@given(st.tuples(*[decades] * len(BASE)))
def test_dimensionless_quantities_of_the_main_demo_have_no_unit(main_demo: Any, powers: tuple[float, ...]) -> None:
    one = 10 ** np.array(powers)
    before = book.evaluate(main_demo.design.variables, main_demo.design.traits)
    after = book.evaluate(in_other_units(main_demo.design.variables, one), main_demo.design.traits)
    pure = [name for name in before if book.quantities[name].unit == "1"]
    assert {"gyro_margin", "rush_margin"} <= set(pure)
    for name in pure:
        assert after[name] == pytest.approx(before[name], rel=TOLERANCE, nan_ok=True), name


def test_a_hidden_constant_with_a_dimension_would_be_seen(main_demo: Any, systems: np.ndarray) -> None:
    """The check itself can fail: air drag with the viscosity of SI units in every system is caught."""
    reference = in_other_units(main_demo.design.variables, systems)
    reference["air.viscosity"] = main_demo.design.variables["air.viscosity"]
    before = book.evaluate(main_demo.design.variables, main_demo.design.traits)
    after = book.evaluate(reference, main_demo.design.traits)
    assert not np.allclose(after["rotor_reynolds"], before["rotor_reynolds"], rtol=1e-3)
