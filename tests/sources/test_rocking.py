"""Righting by repeated pushes, against a rocking block that is followed in time and against Housner's loss.

Independent route: scipy's solve_ivp swings a block on its edges; at each passage through flat it loses what the change
of edges takes, and gets the rotor's angular impulse.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from scaling.formulas import book
from scaling.formulas.righting.rocking import pushes_to_right

CHECKS = ("rocking_edge_inertia", "rocking_kept_share", "rocking_righting_ratio", "rocking_pushes")

MASS, GRAVITY = 0.454, 9.80665


def pushes_followed(impulse: float, away: float, above: float, edge_inertia: float, kept: float, most: int = 60) -> int:
    """Pushes until the block goes over, each at the passage through flat; 0 where ``most`` do not."""
    radius, rest = math.hypot(away, above), math.atan2(away, above)
    rate = 0.0
    for number in range(1, most + 1):
        rate = math.sqrt(kept) * rate + impulse / edge_inertia

        def motion(_, state):
            return [state[1], -MASS * GRAVITY * radius * math.sin(rest - state[0]) / edge_inertia]

        def flat(_, state):
            return state[0]

        def over(_, state):
            return state[0] - rest

        flat.terminal, flat.direction = True, -1
        over.terminal = True
        found = solve_ivp(motion, (0, 20), [1e-12, rate], events=[flat, over], rtol=1e-9, atol=1e-12)
        if found.t_events[1].size:
            return number
        rate = abs(float(found.y[1, -1]))
    return 0


@pytest.mark.parametrize("kept", [0.0, 0.2, 0.6, 0.9])
@pytest.mark.parametrize("impulse", [0.01, 0.02, 0.04, 0.09])
def test_number_of_pushes_followed_in_time(kept, impulse):
    away, above, edge_inertia = 0.05, 0.039, 0.003
    barrier = MASS * GRAVITY * (math.hypot(away, above) - above)
    found = pushes_to_right(impulse, edge_inertia, barrier, kept)
    followed = pushes_followed(impulse, away, above, edge_inertia, kept)
    if followed:
        assert float(found["pushes"]) == followed
        assert float(found["limit_ratio"]) >= 1
    else:
        assert math.isnan(found["pushes"]) or float(found["pushes"]) > 60
        assert float(found["limit_ratio"]) < 1.0001


def told(away: float, above: float, axis: str = "along", **more: float) -> dict[str, float]:
    """What the book says of a box twice as long as ``away`` and twice as high as ``above``, its mass spread evenly."""
    given = {
        "mass": MASS, "gravity": GRAVITY, "width": 2 * away, "length": 2 * away, "wheelbase": away,
        "cg_ahead": away / 2, "height": 2 * above, "cg_height": above,
    } | more
    found = book.evaluate(given, frozenset({"rotor", f"rotor.axis={axis}"}))
    return {name: float(value) for name, value in found.items() if name in CHECKS}


@pytest.mark.parametrize("axis", ["across", "along"])
def test_pushes_of_the_book_followed_in_time(axis):
    """Pushes of 0.015 N m s on a tall solid block, which keeps much of its swing; 4/3 m (a^2 + h^2) about an edge."""
    away, above = 0.05, 0.15
    barrier = MASS * GRAVITY * (math.hypot(away, above) - above)
    found = told(away, above, axis, angular_momentum=0.015, righting_energy=barrier)
    inertia = 4 / 3 * MASS * (away**2 + above**2)
    kept = (1 - 1.5 * away**2 / (away**2 + above**2)) ** 2
    assert found["rocking_edge_inertia"] == pytest.approx(inertia)
    assert found["rocking_kept_share"] == pytest.approx(kept)
    assert found["rocking_pushes"] == pushes_followed(0.015, away, above, inertia, kept) > 1
    single = 0.015**2 / 2 / inertia / barrier
    assert found["rocking_righting_ratio"] == pytest.approx(single * sum(kept ** (n / 2) for n in range(999)) ** 2)


@pytest.mark.parametrize("slenderness", [0.5, 1.0, 3.0])
def test_loss_of_a_rocking_block(slenderness):
    """Housner, from memory, a solid block: r = [1 - 3/2 sin^2 alpha]^2, alpha the angle of its diagonal."""
    away, above = 0.05, 0.05 * slenderness
    housner = max(1 - 1.5 * away**2 / (away**2 + above**2), 0.0) ** 2
    found = told(away, above)
    assert found["rocking_edge_inertia"] == pytest.approx(4 / 3 * MASS * (away**2 + above**2), rel=1e-12)
    assert found["rocking_kept_share"] == pytest.approx(housner, abs=1e-12)


def test_kept_share_outside_its_range():
    found = pushes_to_right(0.02, 0.003, 0.1, np.array([-0.1, 1.0, 0.5]))
    assert np.isnan(found["limit"]).tolist() == [True, True, False]
    assert np.isnan(found["pushes"]).tolist() == [True, True, False]
