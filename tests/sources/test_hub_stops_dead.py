"""A hub motor whose rotor stops dead, against sums over pieces, the stress tensor, and a hinge by its chords.

One machine of about 1.4 kg with invented numbers; the rotor stops in one bite, on the mean with 7 kN at its tip.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from scaling.formulas import book

CHECKS = (
    "hub_stop_torque", "hub_magnet_stop_stress", "magnet_stall_margin", "hub_can_stop_stress", "can_stall_margin",
    "hub_bolt_stall_margin", "axle_stall_margin", "rotor_mount_stall_margin",
)

FORCE, RADIUS, INERTIA, SPEED = 7100.0, 0.105, 1.025e-3, 821.0
HUB = {
    "stop_force": FORCE, "stop_torque": FORCE * RADIUS, "rotor_inertia": INERTIA, "rotor_speed": SPEED,
    "rotor.diameter": 2 * RADIUS, "rotor.mass": 0.262, "hit_force": 6700.0, "bolt_combined_margin": 4.3,
    "rotor.can.mass": 0.024, "rotor.can.radius": 0.02, "rotor.can.thickness": 0.0015, "rotor.can.length": 0.016,
    "rotor.can.magnet_mass": 0.026, "rotor.can.magnet_radius": 0.0182, "rotor.can.bond_area": 1.3e-3,
    "rotor.can.bond_strength": 10e6, "rotor.can.strength": 275e6,
    "rotor.hub_bolts.bolts": 6.0, "rotor.hub_bolts.pattern_diameter": 0.025,
    "rotor.hub_bolts.bolt_stress_area": 5.03e-6, "rotor.hub_bolts.bolt_strength": 1220e6,
    "rotor.hub_bolts.bolt_shear_share": 0.5,
    "rotor.shaft.diameter": 0.012, "rotor.shaft.span": 0.03, "rotor.shaft.strength": 880e6,
}
TRAITS = frozenset({"rotor.transmission=hub", "rotor.hub_mounting=face"})

SLOWING = FORCE * RADIUS / INERTIA
PIECES = 360
CAN_TORQUE = sum(
    mass / PIECES * SLOWING * radius * radius for mass, radius in ((0.024, 0.02), (0.026, 0.0182))
    for _ in range(PIECES)
)
"""Each piece of ring and magnets is slowed along its own circle, m alpha r at the radius r."""


def told(name: str, **changes: float) -> float:
    given = HUB | {key.replace("__", "."): value for key, value in changes.items()}
    return float(book.evaluate(given, TRAITS, only=[name])[name])


def test_torque_that_stops_the_can() -> None:
    assert told("hub_stop_torque") == pytest.approx(CAN_TORQUE)


def test_glue_in_a_dead_stop() -> None:
    """Greatest eigenvalue of a magnet's stress: thrown off by the axle's jerk, pressed by spin, sheared by slowing."""
    pull = 0.026 / 1.3e-3 * (FORCE / (0.262 + 0.024 + 0.026) - SPEED**2 * 0.0182)
    shear = 0.026 / 1.3e-3 * SLOWING * 0.0182
    greatest = float(np.linalg.eigvalsh([[pull, shear], [shear, 0.0]])[-1])
    assert told("hub_magnet_stop_stress") == pytest.approx(greatest, rel=1e-9)
    assert told("magnet_stall_margin") == pytest.approx(10e6 / greatest, rel=1e-9)


def test_can_in_a_dead_stop() -> None:
    """Shear round a thin tube by its lever all round, hoop stress by half a ring; von Mises on the stress tensor."""
    shear = CAN_TORQUE / quad(lambda _: 0.02 * 0.0015 * 0.02, 0, 2 * math.pi)[0]
    half, _ = quad(lambda at: math.sin(at) * SPEED**2 * (0.024 * 0.02 + 0.026 * 0.0182) / (2 * math.pi), 0, math.pi)
    hoop = half / (2 * 0.0015 * 0.016)
    tensor = np.array([[hoop, shear, 0], [shear, 0, 0], [0, 0, 0]])
    deviator = tensor - np.trace(tensor) / 3 * np.eye(3)
    mises = math.sqrt(1.5 * float(np.sum(deviator**2)))
    assert told("hub_can_stop_stress") == pytest.approx(mises, rel=1e-9)
    assert told("can_stall_margin") == pytest.approx(275e6 / mises, rel=1e-9)


def test_rotors_screws_in_a_dead_stop() -> None:
    """The bolt where a sixth of the force and a sixth of the can's torque over the radius point alike."""
    worst = (FORCE / 6 + CAN_TORQUE / (6 * 0.0125)) / 5.03e-6
    assert told("hub_bolt_stall_margin") == pytest.approx(0.5 * 1220e6 / worst, rel=1e-9)


def test_axle_in_a_dead_stop() -> None:
    """A round section's plastic moment by quadrature over its chords; a hinge in the middle of a span."""
    half, _ = quad(lambda y: 2 * math.sqrt(0.006**2 - y**2) * y, 0, 0.006, epsabs=0)
    assert told("axle_stall_margin") == pytest.approx(4 * 2 * 880e6 * half / 0.03 / FORCE, rel=1e-6)


def test_mount_in_a_dead_stop() -> None:
    """By proportion: bolts that bear 4.3 times 6.7 kN bear 4.06 times 7.1 kN."""
    assert told("rotor_mount_stall_margin") == pytest.approx(4.3 * 6700 / 7100)
