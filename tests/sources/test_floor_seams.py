"""Floor seams and driving upside down, against statics as a linear programme, runs over an edge, plane geometry."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, linprog

from scaling.formulas import book
from scaling.formulas.drive.gearbox import efficiency_estimate

CHECKS = (
    "seam_climb_height", "seam_climb_margin", "seam_clearance_margin", "wedge_seam_margin", "seam_speed_kept",
    "seam_hop", "body_top", "inverted_wheel_margin", "inverted_clearance", "inverted_seam_margin",
    "inverted_rotor_margin",
)

RADIUS, SPEED, G = 0.023, 2.9, 9.80665
CLIMB = {"wheel.diameter": 2 * RADIUS, "arena.seam": 0.001}


def read(given: dict[str, float], *names: str, traits: tuple[str, ...] = ()) -> Any:
    found = book.evaluate(given, frozenset(traits), only=list(names))
    values = [float(found[name]) for name in names]
    return values[0] if len(values) == 1 else values


# ------------------------------------------------------------ climbing from rest


def grip_short(height: float, friction: float, axles: int, driven: int) -> float:
    """Grip that is short where one axle of a machine just stands on a step's edge, the others on the floor; linprog.

    Each axle carries a load of one. The edge pushes with N along the spoke and T along the rim; every other axle pulls
    level with P. The one at the edge is undriven where any is.
    """
    alpha = math.acos(1 - height / RADIUS)
    normal, along = np.array([-math.sin(alpha), math.cos(alpha)]), np.array([math.cos(alpha), math.sin(alpha)])
    own = friction if driven == axles else 0.0
    pushing = axles - 1 if driven == axles else driven
    found = linprog(
        [0, 0, 0, 1], A_ub=[[-own, 1, 0, -1], [-own, -1, 0, -1]], b_ub=[0, 0],
        A_eq=np.column_stack([normal, along, [1, 0], [0, 0]]), b_eq=[0, 1],
        bounds=[(0, None), (None, None), (0, pushing * friction), (0, None)],
    )
    assert found.status == 0
    return float(found.fun)


@pytest.mark.parametrize(("wheels", "driven"), [(2, 2), (4, 4), (4, 2), (6, 6), (6, 4)])
@pytest.mark.parametrize("friction", [0.2, 0.5])
def test_step_that_wheels_climb_by_statics(wheels: int, driven: int, friction: float) -> None:
    limit = brentq(
        lambda height: grip_short(height, friction, wheels // 2, driven // 2) - 1e-9, 1e-9, RADIUS * 0.9999
    )
    given = CLIMB | {"wheel.friction": friction, "wheel.count": float(wheels), "wheel.driven": float(driven)}
    height, margin = read(given, "seam_climb_height", "seam_climb_margin")
    assert height == pytest.approx(limit, rel=1e-4)
    assert margin == pytest.approx(limit / 0.001, rel=1e-4)


def test_ample_push_climbs_to_the_axle_and_no_higher() -> None:
    given = CLIMB | {"wheel.friction": 1.5, "wheel.count": 6.0, "wheel.driven": 6.0}
    assert read(given, "seam_climb_height") == pytest.approx(RADIUS)


# ------------------------------------------------------------ over it at speed


@pytest.mark.parametrize("height", [0.0005, 0.002, 0.006])
def test_hard_wheel_by_a_run_over_the_edge(height: float) -> None:
    """A mass on a light wheel: the edge pushes along the spoke, stiff and without bounce; no gravity in the blow."""
    mass, stiffness = 0.2, 1e7
    damping = 10 * math.sqrt(stiffness * mass)

    def motion(_: float, state: Any) -> list[float]:
        x, y, forward, up = state
        gap = math.hypot(x, y - height)
        nx, ny = x / gap, (y - height) / gap
        into = RADIUS - gap
        force = max(stiffness * into - damping * (forward * nx + up * ny), 0) if into > 0 else 0.0
        return [forward, up, force * nx / mass, force * ny / mass]

    start = -math.sqrt(RADIUS**2 - (RADIUS - height) ** 2)
    found = solve_ivp(motion, (0, 3e-3), [start - 1e-5, RADIUS, SPEED, 0], rtol=1e-9, atol=1e-12, max_step=2e-6)
    forward, up = found.y[2:]
    soon = int(np.searchsorted(found.t, 1e-5 / SPEED + math.sqrt(mass / stiffness)))
    given = {"wheel.diameter": 2 * RADIUS, "arena.seam": height, "top_speed": SPEED, "gravity": G}
    kept, hop = read(given, "seam_speed_kept", "seam_hop")
    assert float(np.hypot(forward[soon], up[soon])) == pytest.approx(SPEED * kept, rel=0.02)
    assert float(up[soon]) ** 2 / (2 * G) == pytest.approx(hop, rel=0.1)


@pytest.mark.parametrize("height", [0.0005, 0.001, 0.002])
def test_soft_tyre_by_a_mass_on_a_spring_whose_foot_is_lifted(height: float) -> None:
    """Equation of motion from rest until the tyre is off the floor; the height that its speed then gives."""
    mass, wheels, share, stiffness = 0.454, 2, 0.55, 9000.0
    carried = mass * share / wheels
    sunk = carried * G / stiffness

    def motion(_: float, state: Any) -> list[float]:
        return [state[1], stiffness * (height + sunk - state[0]) / carried - G]

    def off(_: float, state: Any) -> float:
        return float(state[0] - height - sunk)

    off.terminal = True  # type: ignore[attr-defined]
    found = solve_ivp(motion, (0, 0.1), [0.0, 0.0], events=off, rtol=1e-10, atol=1e-13, max_step=1e-5)
    given = {
        "wheel.diameter": 2 * RADIUS, "arena.seam": height, "top_speed": SPEED, "gravity": G, "mass": mass,
        "wheel.load_share": share, "wheel.count": float(wheels), "wheel.tyre_stiffness": stiffness,
    }
    assert read(given, "seam_hop") == pytest.approx(found.y[1, -1] ** 2 / (2 * G), rel=1e-5)


def test_a_tyre_that_sinks_deeper_than_the_seam_does_not_leave_the_floor() -> None:
    given = {
        "wheel.diameter": 2 * RADIUS, "arena.seam": 0.001, "top_speed": SPEED, "gravity": G, "mass": 4.0,
        "wheel.load_share": 1.0, "wheel.count": 2.0, "wheel.tyre_stiffness": 9000.0,
    }
    assert 2.0 * G / 9000 > 0.001
    assert read(given, "seam_hop") == 0.0


def test_a_seam_above_the_axle_stops_it() -> None:
    given = {"wheel.diameter": 2 * RADIUS, "arena.seam": 0.024, "top_speed": SPEED, "gravity": G}
    assert math.isnan(read(given, "seam_speed_kept"))
    assert math.isnan(read(given, "seam_hop"))


# ------------------------------------------------------------ what catches, and upside down


def test_edges_over_a_seam_by_measure() -> None:
    """A belly 2.2 mm and a wedge's tip 0.3 mm over the floor, a seam of half a millimetre: by a feeler gauge."""
    given = {"arena.seam": 0.0005, "ground_clearance": 0.0022, "wedge.clearance": 0.0003}
    assert read(given, "seam_clearance_margin", "wedge_seam_margin") == pytest.approx([4.4, 0.6])


UPSIDE_DOWN = {"wheel.diameter": 0.063, "body_height": 0.058, "arena.seam": 0.001, "rotor.axle_height": 0.0315,
               "rotor.diameter": 0.05, "rotor.width": 0.008}


def points(axis: str) -> np.ndarray[Any, Any]:
    """Heights of the outline on a grid: wheels, body and rotor of a machine of those sizes, wheels on the floor."""
    turn = np.linspace(0, 2 * math.pi, 721)
    half = 0.025 if axis == "across" else 0.004
    rotor = 0.0315 + half * np.sin(turn)
    wheel = 0.0315 + 0.0315 * np.sin(turn)
    body = np.linspace(0.004, 0.058, 50)
    return np.array([wheel.max(), body.max(), rotor.max()])


@pytest.mark.parametrize("axis", ["across", "along", "upright"])
def test_upside_down_by_turning_the_outline_over(axis: str) -> None:
    """The highest points of wheels, body and rotor become the lowest: the wheels stand, the others hang above."""
    wheel, body, rotor = points("upright" if axis == "upright" else "across")
    half = 0.004 if axis == "upright" else 0.025
    clearance, seams, margin = read(
        UPSIDE_DOWN, "inverted_clearance", "inverted_seam_margin", "inverted_rotor_margin",
        traits=(f"rotor.axis={axis}",),
    )
    assert clearance == pytest.approx(wheel - body)
    assert seams == pytest.approx((wheel - body) / 0.001)
    assert (margin - 1) * half == pytest.approx(wheel - rotor, abs=1e-12)
    assert read(UPSIDE_DOWN, "inverted_wheel_margin") == pytest.approx(wheel / body)


def test_wheels_that_do_not_reach_leave_no_clearance() -> None:
    given = UPSIDE_DOWN | {"body_height": 0.07}
    assert math.isnan(read(given, "inverted_clearance"))
    assert read(given, "inverted_wheel_margin") < 1


def test_the_whole_height_counts_where_the_bodys_is_not_stated() -> None:
    """A calliper over all, rotor and wheels included, is never less than one over the body."""
    over_all = {"height": 0.07, "wheel.diameter": 0.063}
    assert read(over_all, "body_top", "inverted_wheel_margin") == pytest.approx([0.07, 0.9])
    assert read(over_all | {"body_height": 0.06}, "body_top", "inverted_wheel_margin") == pytest.approx([0.06, 1.05])


# ------------------------------------------------------------ gearboxes


def test_stages_of_gearboxes_as_sold() -> None:
    """One, two and three stages are what is sold at 4, 22 and 100: common practice, no source."""
    found = efficiency_estimate(np.array([0.5, 1.0, 4.0, 22.0, 100.0]))["stages"]
    assert np.isnan(found[0])
    assert found[1:].tolist() == [0, 1, 2, 3]
