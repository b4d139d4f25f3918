"""The perfect port, which no builder can have: every input times its own similarity ratio, so every drift is 1.

Materials, air, arena, driver, pack and motor constants all follow. The theorem is that of complete physical
similarity (E. Buckingham, On Physically Similar Systems, Phys. Rev. 4, 345, 1914; from memory). A variable that
a formula uses and the variables do not list, or a formula that is not homogeneous, breaks it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scaling.book.dimensions import dimension_of
from scaling.book.similarity import CLOCKS, similarity_ratio
from scaling.formulas import book

ratios = st.floats(-1, 1).map(lambda decade: 10**decade)


def scale_of(unit_powers: Any, mass: float, length: float, time: float, current: float) -> float:
    """mu^a lambda^b tau^c i^d, by own arithmetic; temperature stays."""
    a, b, c, d, _ = (float(power) for power in unit_powers)
    return float(mass**a * length**b * time**c * current**d)


def perfect(values: Mapping[str, float], mass: float, length: float, time: float, volts: float) -> dict[str, float]:
    # A volt is a watt an ampere, so the current's ratio follows from that of power and that of voltage.
    current = mass * length**2 / time**3 / volts
    stated = book.dimensions
    return {key: value * scale_of(stated[key], mass, length, time, current) for key, value in values.items()}


def drifts(
    demo: Any, port: Mapping[str, float], mass: float, length: float, clock: str, volts: float
) -> dict[str, float]:
    own = book.evaluate(demo.design.variables, demo.design.traits)
    values = book.evaluate(port, demo.design.traits)
    assert set(values) == set(own)
    found = {}
    for name, value in values.items():
        alike = similarity_ratio(book.quantities[name].dimension, mass, length, clock, volts)
        if np.isfinite(own[name]) and own[name] != 0:
            found[name] = float(value / own[name] / alike)
    return found


@pytest.mark.parametrize("clock", CLOCKS)
@settings(max_examples=8)
@given(mass=ratios, length=ratios, volts=ratios)
def test_every_drift_is_one(demo: Any, clock: str, mass: float, length: float, volts: float) -> None:
    time = length**0.5 if clock == "gravity" else 1.0
    port = perfect(demo.design.variables, mass, length, time, volts)
    if clock == "gravity":
        assert port["gravity"] == pytest.approx(demo.design.variables["gravity"], rel=1e-12)
    assert port["battery.voltage"] == pytest.approx(volts * demo.design.variables["battery.voltage"], rel=1e-12)
    found = drifts(demo, port, mass, length, clock, volts)
    assert len(found) >= 20
    for name, drift in found.items():
        assert drift == pytest.approx(1, abs=1e-9), name


@pytest.mark.parametrize(
    ("key", "disturbed"),
    [
        ("air.viscosity", "rotor_reynolds"),
        ("gravity", "weight"),
        ("rotor.density", "rotor_rim_stress"),
        ("arena.length", "arena_crossing_time"),
        ("battery.resistance", "brown_out_margin"),
        ("mass_limit", "throw_speed"),
    ],
)
def test_one_input_that_stays_is_seen(main_demo: Any, key: str, disturbed: str) -> None:
    mass, length, volts = 5.0, 1.5, 1.3
    port = perfect(main_demo.design.variables, mass, length, length**0.5, volts)
    port[key] = main_demo.design.variables[key] * 1.25 if key == "gravity" else main_demo.design.variables[key]
    found = drifts(main_demo, port, mass, length, "gravity", volts)
    assert abs(found[disturbed] - 1) > 1e-3


def test_without_a_pack_electrical_quantities_have_no_ratio() -> None:
    assert similarity_ratio(dimension_of("A"), 3.0, 1.4, "gravity", None) is None
    assert similarity_ratio(dimension_of("V"), 3.0, 1.4, "driver", None) is None
    assert similarity_ratio(dimension_of("W"), 3.0, 1.4, "driver", None) == pytest.approx(3 * 1.4**2)


def test_temperature_does_not_scale() -> None:
    for clock in CLOCKS:
        assert similarity_ratio(dimension_of("K"), 7.0, 2.0, clock, 1.5) == 1
