"""The powers of a similar motor, from a motor built out of its own sizes by induction, Ohm's law and heat balance."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scaling.formulas import book
from scaling.formulas.rotor.similar_motor import SIMILAR_MOTOR, similar


def grown(name: str, value: float, factor: float, voltage: float) -> float:
    length, volts = similar(name)
    return value * factor ** float(length) * voltage**volts


def built(factor: float, voltage: float) -> dict[str, float]:
    """A motor of an air gap radius of 11 mm and a stack of 9 mm, every size times ``factor``, wound for ``voltage``.

    Linkage per turn B 2 r l (A. E. Fitzgerald et al., Electric Machinery, ch. 4, from memory); wire of rho L / A with
    half of the slots' area copper; hysteresis loss per cycle and volume constant (Steinmetz at one flux density); the
    winding's rise by its surface's heat transfer.
    """
    radius, stack, slots = 0.011 * factor, 0.009 * factor, 1.1e-4 * factor**2
    turns = 24 * voltage / factor
    constant = 2 * turns * 0.8 * radius * stack  # N m per A
    wire = 1.72e-8 * turns * (2 * stack + 4 * radius) / (0.5 * slots / turns)
    iron, mass = 3.1e-6 * factor**3, 0.036 * factor**3
    speed = 12.0 * voltage / constant
    cycles = 7 * speed / (2 * math.pi)
    loss_torque = 180.0 * iron * cycles / speed
    short = 12e6 * (0.5 * slots / turns)
    steady = math.sqrt(90.0 * 5e-3 * factor**2 * 80.0 / wire)
    return {
        "turns": turns, "kv": 1 / constant, "torque_constant": constant, "resistance": wire,
        "short_time_current": short,
        "no_load_current": loss_torque / constant, "short_time_torque": constant * short,
        "short_time_power": constant * short * speed, "inertia": mass * radius**2, "mass": mass,
        "steady_current": steady, "steady_torque": constant * steady,
    }


@given(st.floats(0.3, 3.0), st.floats(0.5, 2.5))
def test_powers_are_those_of_the_built_motor(factor, voltage):
    one, other = built(1.0, 1.0), built(factor, voltage)
    assert set(one) == set(SIMILAR_MOTOR)
    for name, value in one.items():
        assert grown(name, value, factor, voltage) == pytest.approx(other[name], rel=1e-9), name


def test_what_stays_the_same():
    """Tip speed, electrical time constant over none, heating rate: dimensionless or fixed by the choice of turns."""
    powers = {name: (float(one.length), one.voltage) for name, one in SIMILAR_MOTOR.items()}

    def total(**terms: float) -> tuple[float, float]:
        lengths, volts = (sum(power * powers[name][place] for name, power in terms.items()) for place in (0, 1))
        return lengths, volts

    assert total(kv=1) == (-1, -1)  # times V: speed as 1 / L
    assert total(inertia=1, resistance=1, kv=2) == (0, 0)  # mechanical time constant J R / k^2
    assert total(short_time_current=2, resistance=1, mass=-1) == (0, 0)  # heat per mass and time
    assert total(no_load_current=1, short_time_current=-1) == (-1, 0)  # losses weigh less in a large motor


def test_computed_no_load_current():
    """Factor 1.4408 at one voltage: 1.1 A becomes 2.28 A, by the area; by the volume it would be 3.29 A."""
    assert grown("no_load_current", 1.1, 1.4408, 1.0) == pytest.approx(2.28, abs=0.005)
    assert grown("short_time_current", 1.1, 1.4408, 1.0) == pytest.approx(3.29, abs=0.005)
    for table in ("rotor.motor", "drive.motor"):
        variable = book.variables[f"{table}.no_load_current"]
        assert (variable.length_power, variable.voltage_power) == (2, -1)
    with pytest.raises(KeyError):
        similar("controller_limit")
