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

from scaling.formulas import book
from scaling.formulas.impact.rotor_on_rotor import rotor_on_rotor

CHECKS = (
    "clash_closing_speed", "clash_energy", "clash_energy_bound", "clash_impulse", "clash_recoil_speed",
    "clash_speed_drop_share", "clash_stiffness", "clash_face_force", "clash_force", "clash_force_bound",
    "clash_shaft_margin", "clash_shaft_margin_bound", "clash_tooth_margin", "clash_tooth_margin_bound",
)

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


# ------------------------------------------------------------ through the book

OWN = {"radius": 0.042, "inertia": 6.08e-5, "speed": 1359.0, "mass": 0.454}
OPPONENT = {"radius": 0.03, "speed": 70.0 / 0.03, "inertia": 2 * 130.0 * 0.5 / (70.0 / 0.03) ** 2, "mass": 0.5}
"""An opponent of 500 g with 130 J/kg at 70 m/s; the radius of its rotor is any."""

MEET = {
    "rotor.diameter": 0.084, "rotor_inertia": 6.08e-5, "rotor_speed": 1359.0, "mass": 0.454, "mass_limit": 0.5,
    "attacker.specific_energy": 130.0, "attacker.tip_speed": 70.0, "attacker.tip_angle": 1.9,
    "opponent.restitution": 0.2, "shaft_stiffness": 1e8, "rotor.mount.stiffness": 4e6, "tooth_strength": 1450e6,
    "rotor.tooth_width": 0.008, "attacker.tooth_width": 0.006, "hit_bite_depth": 0.006, "attacker.bite": 0.005,
    "rotor.shaft.strength": 1450e6, "rotor.shaft.diameter": 0.010, "rotor.shaft.span": 0.034, "tooth_root_force": 5e4,
}


def told(name: str, **changes: float) -> float:
    given = MEET | {key.replace("__", "."): value for key, value in changes.items()}
    return float(book.evaluate(given, frozenset(), only=[name])[name])


def test_clash_of_the_book_by_the_constrained_collision():
    """The bodies' motion after it by Gauss's principle; a rebound adds its share to every impulse."""
    lost, impulse, drops = nearest(OWN, OPPONENT, 1.9)
    assert told("clash_energy") == pytest.approx(lost, rel=1e-9)
    assert told("clash_impulse") == pytest.approx(1.2 * float(np.hypot(*impulse)), rel=1e-9)
    assert told("clash_recoil_speed") == pytest.approx(1.2 * float(np.hypot(*impulse)) / 0.454, rel=1e-9)
    assert told("clash_speed_drop_share") == pytest.approx(1.2 * drops[0] / 1359.0, rel=1e-9)
    own, other = 1359.0 * 0.042, 70.0
    cosine = math.sqrt(own**2 + other**2 - 2 * own * other * math.cos(1.9))  # law of cosines
    assert told("clash_closing_speed") == pytest.approx(cosine, rel=1e-9)
    assert told("clash_energy_bound") == pytest.approx(nearest(OWN, OPPONENT, math.pi)[0], rel=1e-9)


def test_force_that_stores_the_energy():
    """Four springs in a row, shafts and mounts, squeezed step by step until they hold the energy; else the faces."""
    def squeezed(energy: float) -> float:
        force = np.linspace(0, 1e5, 200_001)
        stored = np.cumsum(force * (2 / 1e8 + 2 / 4e6)) * (force[1] - force[0])
        return float(np.interp(energy, stored, force))

    assert told("clash_stiffness") == pytest.approx(1 / (2 / 1e8 + 2 / 4e6))
    assert told("clash_force") == pytest.approx(squeezed(told("clash_energy")), rel=1e-3)
    assert told("clash_force_bound") == pytest.approx(squeezed(told("clash_energy_bound")), rel=1e-3)
    faces = (2 + math.pi) / math.sqrt(3) * 50e6 * 0.006 * 0.005  # Hill's flat punch, on the lesser width and depth
    assert told("clash_face_force", tooth_strength=50e6) == pytest.approx(faces)
    assert told("clash_force", tooth_strength=50e6) == pytest.approx(faces)
    assert told("clash_face_force", hit_bite_depth=0.003, attacker__tooth_width=0.01) == pytest.approx(
        (2 + math.pi) / math.sqrt(3) * 1450e6 * 0.008 * 0.003)


@pytest.mark.parametrize(("word", "angle"), [("", 1.9), ("_bound", math.pi)])
def test_shaft_and_tooth_in_a_clash(word, angle):
    """A round section's plastic moment by quadrature over chords; a hinge in the middle of a span, F = 4 M_p / L."""
    from scipy.integrate import quad

    half, _ = quad(lambda y: 2 * math.sqrt(0.005**2 - y**2) * y, 0, 0.005, epsabs=0)
    bends = 4 * (2 * 1450e6 * half) / 0.034
    energy = nearest(OWN, OPPONENT, angle)[0]
    force = math.sqrt(2 * energy / (2 / 1e8 + 2 / 4e6))
    assert told(f"clash_shaft_margin{word}") == pytest.approx(bends / force, rel=1e-6)
    assert told(f"clash_tooth_margin{word}") == pytest.approx(5e4 / force, rel=1e-6)
