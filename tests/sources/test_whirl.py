"""First whirl speed of a shaft with a rotor in its middle: textbook problems, and a beam of finite elements."""

from __future__ import annotations

import math

import numpy as np
import pytest

from scaling.formulas import book

CHECKS = ("whirl_speed", "whirl_speed_ratio")


def whirl(mass, diameter, span, modulus, density, speed=100.0):
    given = {
        "rotor.mass": mass, "rotor.shaft.diameter": diameter, "rotor.shaft.span": span, "rotor.shaft.modulus": modulus,
        "rotor.shaft.density": density, "rotor.speed": speed,
    }
    found = book.evaluate(given, frozenset({"rotor"}), only=["whirl_speed_ratio"])
    assert found["whirl_speed_ratio"] == pytest.approx(found["whirl_speed"] / speed)
    return float(found["whirl_speed"])


def test_heavy_shaft():
    """20 mm by 0.6 m with 1 kg in the middle, 40 Mg/m^3, 200 GN/m^2, freely supported: 2598 rpm. R. S. Khurmi & J. K.
    Gupta, Theory of Machines, ch. 23 (the book from memory); problem and answer seen on two secondary pages."""
    assert whirl(1.0, 0.02, 0.6, 200e9, 40e3) * 30 / math.pi == pytest.approx(2598, rel=2e-3)


def test_light_shaft():
    """10 kg amid 500 mm of 30 mm, E 2.1e11 Pa, shaft without mass: an examination problem seen on a secondary page, its
    answer of 90 Hz from memory."""
    assert whirl(10.0, 0.03, 0.5, 2.1e11, 1e-9) / (2 * math.pi) == pytest.approx(90, rel=5e-3)


def beam_frequency(mass, diameter, span, modulus, density, elements=20):
    """First bending frequency of a simply supported Euler-Bernoulli beam with a point mass in the middle."""
    from scipy.linalg import eigh

    stiff, line = modulus * math.pi * diameter**4 / 64, density * math.pi * diameter**2 / 4
    cell = span / elements
    k = stiff / cell**3 * np.array([
        [12, 6 * cell, -12, 6 * cell], [6 * cell, 4 * cell**2, -6 * cell, 2 * cell**2],
        [-12, -6 * cell, 12, -6 * cell], [6 * cell, 2 * cell**2, -6 * cell, 4 * cell**2],
    ])
    m = line * cell / 420 * np.array([
        [156, 22 * cell, 54, -13 * cell], [22 * cell, 4 * cell**2, 13 * cell, -3 * cell**2],
        [54, 13 * cell, 156, -22 * cell], [-13 * cell, -3 * cell**2, -22 * cell, 4 * cell**2],
    ])
    stiffness, inertia = np.zeros((2, 2 * elements + 2, 2 * elements + 2))
    for place in range(elements):
        part = slice(2 * place, 2 * place + 4)
        stiffness[part, part] += k
        inertia[part, part] += m
    inertia[elements, elements] += mass  # an even number of elements: the middle node's deflection
    free = [place for place in range(2 * elements + 2) if place not in (0, 2 * elements)]
    return math.sqrt(eigh(stiffness[np.ix_(free, free)], inertia[np.ix_(free, free)], eigvals_only=True)[0])


@pytest.mark.parametrize(("mass", "within"), [(1e-6, 1e-3), (0.05, 0.01), (0.1, 0.01), (1.0, 0.002), (100.0, 1e-3)])
def test_against_a_beam_of_finite_elements(mass, within):
    """Dunkerley's sum is from below: exact for a bare shaft and for a heavy rotor, 1 % low between."""
    exact = beam_frequency(mass, 0.01, 0.15, 205e9, 7850)
    found = whirl(mass, 0.01, 0.15, 205e9, 7850)
    assert found == pytest.approx(exact, rel=within)
    assert found < exact * (1 + 1e-6)


def test_thicker_and_shorter_is_stiffer():
    """As d^2 and as 1 / l^(3/2) under a heavy rotor."""
    base = whirl(10.0, 0.01, 0.1, 205e9, 1e-9)
    assert whirl(10.0, 0.02, 0.1, 205e9, 1e-9) / base == pytest.approx(4)
    assert whirl(10.0, 0.01, 0.2, 205e9, 1e-9) / base == pytest.approx(2**-1.5)
