"""Scale factors of dynamically similar models, reproduced from dimensions alone.

Source: C. H. Wolowicz, J. S. Bowman & W. P. Gilbert, Similitude Requirements and Scaling Relationships as Applied to
Model Testing, NASA TP-1435, 1979. The report and its title page were seen; its table of scale factors is from memory.
Rows marked 'seen' stand also in a Froude multiplier table of lecture slides, a secondary source that was seen; one of
its rows prints angular velocity as 1/2, which the dimensions do not allow (a lost minus sign).

Gravity and air are those of the full scale and model and full scale have one density, so that the mass ratio is n^3.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

import pytest

from scaling.book.algebra import symbols
from scaling.book.dimensions import dimension_of, exponents
from scaling.book.similarity import similarity_ratio
from scaling.formulas import book

CUBE_ROOT_OF_3 = 3 ** (1 / 3)

# Quantity, unit, power of n, published value at n = 2 and at n = 3^(1/3), status of the power.
TABLE = [
    ("length", "m", "1", 2, 1.4422, "seen"),
    ("area", "m^2", "2", 4, 2.0801, "seen"),
    ("volume", "m^3", "3", 8, 3, "seen"),
    ("mass", "kg", "3", 8, 3, "seen"),
    ("weight, force", "N", "3", 8, 3, "seen"),
    ("moment of inertia", "kg m^2", "5", 32, 6.2403, "seen"),
    ("time, period", "s", "1/2", 1.41421, 1.2009, "seen"),
    ("velocity", "m/s", "1/2", 1.41421, 1.2009, "seen"),
    ("linear acceleration", "m/s^2", "0", 1, 1, "seen"),
    ("angle", "rad", "0", 1, 1, "seen"),
    ("angular velocity", "rad/s", "-1/2", 0.70711, 0.83268, "computed; the slides' sign is lost"),
    ("angular acceleration", "rad/s^2", "-1", 0.5, 0.69336, "seen"),
    ("moment, torque", "N m", "4", 16, 4.3267, "seen"),
    ("energy, work", "J", "4", 16, 4.3267, "seen"),
    ("power", "W", "7/2", 11.3137, 3.6028, "seen"),
    ("momentum, impulse", "kg m/s", "7/2", 11.3137, 3.6028, "seen"),
    ("angular momentum", "kg m^2/s", "9/2", 22.6274, 5.1962, "seen"),
    ("spring stiffness", "N/m", "2", 4, 2.0801, "seen"),
    ("damping", "N s/m", "5/2", 5.6569, 2.4980, "seen"),
    ("stress, pressure", "Pa", "1", 2, 1.4422, "computed"),
    ("bending stiffness EI", "N m^2", "5", 32, 6.2403, "seen"),
]


@pytest.mark.parametrize(
    ("unit", "power", "double", "triple"), [row[1:5] for row in TABLE], ids=[row[0] for row in TABLE]
)
def test_froude_scale_factors(unit: str, power: str, double: float, triple: float) -> None:
    for n, published in ((2.0, double), (CUBE_ROOT_OF_3, triple)):
        found = similarity_ratio(dimension_of(unit), n**3, n, "gravity", None)
        assert found == pytest.approx(n ** float(Fraction(power)), rel=1e-9)
        assert found == pytest.approx(published, rel=5e-5)  # as many digits as are printed


@pytest.mark.parametrize(("unit", "power"), [row[1:3] for row in TABLE], ids=[row[0] for row in TABLE])
def test_froude_powers_are_exact(unit: str, power: str) -> None:
    """Mass n^3, length n and time n^(1/2) carried through a product of the unit's bases."""
    mass, length, time = symbols("mass length time")
    a, b, c, *_ = dimension_of(unit)
    scales = {"mass": (Fraction(3),), "length": (Fraction(1),), "time": (Fraction(1, 2),)}
    product = mass**a * length**b * time**c
    found = exponents(product, scales)[0]
    assert found == Fraction(power)


@pytest.mark.parametrize(("n", "published"), [(2.0, 2.82843), (CUBE_ROOT_OF_3, 1.7321)])
def test_reynolds_number_in_the_same_air(n: float, published: float) -> None:
    """v L / nu with v as n^(1/2), L as n and fixed viscosity goes as n^(3/2): computed, and TP-1435 from memory."""
    entry = book.quantities["rotor_reynolds"]
    scales = {"rotor.speed": (Fraction(-1, 2),), "rotor.diameter": (Fraction(1),), "air.viscosity": (Fraction(0),)}
    power = exponents(entry.formula, scales)[0]
    assert power == Fraction(3, 2)
    before = {"rotor.speed": 900.0, "rotor.diameter": 0.1, "air.viscosity": 1.5e-5}
    after = {"rotor.speed": 900.0 / math.sqrt(n), "rotor.diameter": 0.1 * n, "air.viscosity": 1.5e-5}
    ratio = value("rotor_reynolds", after) / value("rotor_reynolds", before)
    assert ratio == pytest.approx(n**1.5, rel=1e-9)
    assert ratio == pytest.approx(published, rel=5e-5)
    # It has no dimension, so behaving alike asks for the same number: the drift is the whole ratio.
    assert similarity_ratio(entry.dimension, n**3, n, "gravity", None) == pytest.approx(1, rel=1e-12)


def value(name: str, variables: dict[str, float]) -> float:
    return float(book.evaluate(variables, frozenset({"rotor"}), only=[name])[name])


def test_the_5_5_per_cent_model() -> None:
    """NASA's 5.5 % free-flight models: time runs 0.2345 as long and rates are 4.26 times as high (4.26 from memory)."""
    n = 0.055
    assert similarity_ratio(dimension_of("s"), n**3, n, "gravity", None) == pytest.approx(0.2345, rel=2e-4)
    assert similarity_ratio(dimension_of("rad/s"), n**3, n, "gravity", None) == pytest.approx(4.26, rel=1e-3)
    assert similarity_ratio(dimension_of("rad/s"), n**3, n, "gravity", None) == pytest.approx(4.264, rel=1e-4)


def test_angular_velocity_is_not_that_of_the_slides() -> None:
    found = similarity_ratio(dimension_of("rad/s"), 8.0, 2.0, "gravity", None)
    assert found != pytest.approx(2**0.5, rel=0.1)
    time = similarity_ratio(dimension_of("s"), 8.0, 2.0, "gravity", None)
    assert found * time == pytest.approx(1, rel=1e-12)


# The contrast: constant tip speed and one material, Cauchy similarity (same elastic strain). Computed.
CAUCHY = {
    "tip_speed": "0",
    "rotor_speed": "-1",
    "rotor_rim_stress": "0",
    "rotor_peak_stress": "0",
    "rotor_inertia": "5",
    "rotor_energy": "3",
    "specific_energy": "0",
    "rotor_reynolds": "1",
}


@pytest.fixture(scope="module")
def held_tip_speed() -> dict[str, Any]:
    from scaling.show.tables.exponents import pure_exponents

    return pure_exponents("as-bought")["hold-tip-speed"]


@pytest.mark.parametrize("name", CAUCHY)
def test_cauchy_scale_factors(held_tip_speed: dict[str, Any], name: str) -> None:
    assert held_tip_speed[name] == Fraction(CAUCHY[name])


def test_torque_for_the_same_spin_up_time(held_tip_speed: dict[str, Any]) -> None:
    """T = I omega / t with t held: n^(5 - 1) = n^4."""
    names = ("rotor_inertia", "rotor_speed", "time")
    inertia, speed, time = symbols(" ".join(names))
    scales = {name: (held_tip_speed.get(name, Fraction(0)),) for name in names}
    assert exponents(inertia * speed / time, scales) == (Fraction(4),)


@pytest.mark.parametrize("n", [0.5, 2.0, CUBE_ROOT_OF_3])
def test_the_driver_s_clock_keeps_time(n: float) -> None:
    """With time fixed a velocity goes as n, an acceleration as n, an energy as n^5 and a power as n^5: by hand."""
    for unit, power in (("s", 0), ("m/s", 1), ("m/s^2", 1), ("rad/s", 0), ("J", 5), ("W", 5), ("N", 4), ("Pa", 2)):
        assert similarity_ratio(dimension_of(unit), n**3, n, "driver", None) == pytest.approx(n**power, rel=1e-12)
