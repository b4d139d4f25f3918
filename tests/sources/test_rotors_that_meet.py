"""Two rotors that meet at their tips, against the textbook's constrained collision and the sum of mobilities in line.

Independent route: the bodies' speeds after a plastic collision are those nearest to the ones before, in kinetic energy,
of all that keep both tips together (Gauss's principle: L. A. Pars, A Treatise on Analytical Dynamics, from memory).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scaling.formulas.impact.rotor_on_rotor import rotor_on_rotor

SIZE = st.floats(-0.7, 0.7)


def nearest(own: dict[str, float], other: dict[str, float], angle: float) -> tuple[float, np.ndarray, np.ndarray]:
    """Energy lost, impulse on the other's tip and changes of both rotors' speeds when the tips stick together.

    Coordinates: x and y of both chassis, both rotors' angles; tips move along (1, 0) and (cos, sin) of ``angle``.
    """
    masses = np.diag([own["mass"]] * 2 + [other["mass"]] * 2 + [own["inertia"], other["inertia"]])
    before = np.array([0, 0, 0, 0, own["speed"], other["speed"]])
    tips = np.zeros((2, 6))
    tips[:, :2], tips[:, 2:4] = np.eye(2), -np.eye(2)
    tips[:, 4] = [own["radius"], 0]
    tips[:, 5] = -other["radius"] * np.array([math.cos(angle), math.sin(angle)])
    system = np.block([[masses, tips.T], [tips, np.zeros((2, 2))]])
    solved = np.linalg.solve(system, np.concatenate([masses @ before, np.zeros(2)]))
    after = solved[:6]
    lost = (before @ masses @ before - after @ masses @ after) / 2
    return float(lost), masses[2:4, 2:4] @ after[2:4], before[4:] - after[4:]


@given(SIZE, SIZE, SIZE, SIZE, st.floats(0, math.pi))
def test_clash_at_any_angle(heavy, large, fast, slow, angle):
    own = {"radius": 0.042, "inertia": 6.1e-5, "speed": 1359 * math.exp(fast), "mass": 0.454}
    other = {"radius": 0.05 * math.exp(large), "inertia": 9e-5 * math.exp(large), "speed": 1000 * math.exp(slow),
             "mass": 0.454 * math.exp(heavy)}
    lost, impulse, drops = nearest(own, other, angle)
    found = rotor_on_rotor(own["radius"], own["inertia"], own["speed"], own["mass"], other["radius"],
                           other["inertia"], other["speed"], other["mass"], angle, 0.0)
    scale = own["inertia"] * own["speed"] ** 2
    assert float(found["energy"]) == pytest.approx(lost, rel=1e-9, abs=1e-9 * scale)
    assert float(found["impulse"]) == pytest.approx(float(np.hypot(*impulse)), rel=1e-9, abs=1e-9)
    lost_speeds = [float(found["own_speed_drop"]), float(found["other_speed_drop"])]
    assert lost_speeds == pytest.approx(drops, rel=1e-6, abs=1e-6)


@pytest.mark.parametrize(("angle", "sign"), [(0.0, -1), (math.pi, 1)])
def test_in_line_the_mobilities_add_up(angle, sign):
    """1 / m_e = sum(r^2 / I + 1 / m), E = m_e v^2 / 2, J = (1 + e) m_e v, by hand."""
    mobility = 0.042**2 / 6.1e-5 + 1 / 0.454 + 0.06**2 / 2e-4 + 1 / 0.6
    closing = 1359 * 0.042 + sign * 700 * 0.06
    found = rotor_on_rotor(0.042, 6.1e-5, 1359.0, 0.454, 0.06, 2e-4, 700.0, 0.6, angle, 0.3)
    assert float(found["closing"]) == pytest.approx(closing)
    assert float(found["energy"]) == pytest.approx(closing**2 / mobility / 2)
    assert float(found["impulse"]) == pytest.approx(1.3 * closing / mobility)


def test_tips_that_run_alike_do_not_clash():
    found = rotor_on_rotor(0.042, 6.1e-5, 1000.0, 0.454, 0.084, 2e-4, 500.0, 0.6, 0.0, 0.3)
    assert float(found["energy"]) == pytest.approx(0, abs=1e-12)
