"""What ends a plate: plastic mechanisms by a linear programme; a wedge's hinge by fibres; a laminate's perforation.

Independent route: scipy's linprog seeks the mechanism that takes least work among all that fold along the lines of a
mesh. Plates and beams bent further are in test_deep_bending.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.sparse import coo_matrix, hstack, vstack

from scaling.formulas.structure.collapse import (
    clamped_collapse,
    hinge_angle,
    hinged_collapse,
    plastic_moment,
    punching,
    round_collapse,
)
from scaling.formulas.structure.perforation import UNIT_AREA, UNIT_ENERGY, perforation_energy, round_tup

# ------------------------------------------------------------ plates


def least_work(points: np.ndarray, triangles: np.ndarray, edge: np.ndarray, free: np.ndarray) -> float:
    """Force on point 0 over M_p of the mechanism that takes least work, folds along the mesh's lines alone.

    Each triangle stays flat; a line folds by the jump of the slope across it and takes M_p times its length times that.
    The points in ``edge`` stay put; rim lines between two of ``free`` turn for nothing, as on a hinged edge.
    """
    sides: dict[tuple[int, int], list[int]] = {}
    turning = set(free.tolist())
    for number, corners in enumerate(triangles):
        for pair in itertools.combinations(sorted(int(corner) for corner in corners), 2):
            sides.setdefault(pair, []).append(number)
    slopes = []  # of each triangle, over the deflections of its corners
    for corners in triangles:
        square = np.column_stack([points[corners], np.ones(3)])
        slopes.append(np.linalg.inv(square)[:2])
    rows, columns, values, lengths = [], [], [], []
    for (one, other), of in sides.items():
        if len(of) == 1 and one in turning and other in turning:
            continue
        along = points[other] - points[one]
        length = float(np.hypot(*along))
        normal = np.array([-along[1], along[0]]) / length
        for sign, number in zip((1, -1), of, strict=False):
            for corner, value in zip(triangles[number], normal @ slopes[number], strict=True):
                rows.append(len(lengths))
                columns.append(int(corner))
                values.append(sign * value)
        lengths.append(length)
    count = len(points)
    jump = coo_matrix((values, (rows, columns)), shape=(len(lengths), count)).tocsr()
    unit = coo_matrix((np.ones(len(lengths)), (range(len(lengths)), range(len(lengths)))),
                      shape=(len(lengths), len(lengths)))
    bounds = [(0, 0) if number in set(edge.tolist()) else (None, None) for number in range(count)]
    bounds[0] = (1, 1)
    found = linprog(
        np.concatenate([np.zeros(count), lengths]), A_ub=vstack([hstack([jump, -unit]), hstack([-jump, -unit])]),
        b_ub=np.zeros(2 * len(lengths)), bounds=bounds + [(0, None)] * len(lengths), method="highs",
    )
    assert found.status == 0
    return float(found.fun)


def rectangle(length: float, width: float, parts: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Points (the middle first), triangles and edge points of a mesh whose lines run eight ways through each node."""
    steps = np.linspace(-0.5, 0.5, 2 * parts + 1)
    grid = np.array([(x * length, y * width) for x in steps for y in steps])
    order = np.argsort(np.hypot(grid[:, 0], grid[:, 1]), kind="stable")
    place = np.argsort(order)
    row = 2 * parts + 1
    triangles = []
    for x, y in itertools.product(range(2 * parts), repeat=2):
        a, b, c, d = x * row + y, (x + 1) * row + y, (x + 1) * row + y + 1, x * row + y + 1
        triangles += [(a, b, c), (a, c, d)] if (x + y) % 2 == 0 else [(a, b, d), (b, c, d)]
    points = grid[order]
    rim = (np.abs(points[:, 0]) > 0.4999 * length) | (np.abs(points[:, 1]) > 0.4999 * width)
    return points, place[np.array(triangles)], np.flatnonzero(rim)


def disc(spokes: int, rings: int, radius: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Points (the middle first), triangles and edge points of a round plate."""
    angles = 2 * math.pi * np.arange(spokes) / spokes
    points = np.vstack([np.zeros((1, 2)), *(
        radius * ring / rings * np.column_stack([np.cos(angles), np.sin(angles)]) for ring in range(1, rings + 1))])
    triangles = [(0, 1 + k, 1 + (k + 1) % spokes) for k in range(spokes)]
    for ring in range(1, rings):
        inner, outer = 1 + (ring - 1) * spokes, 1 + ring * spokes
        for k in range(spokes):
            nxt = (k + 1) % spokes
            triangles += [(inner + k, outer + k, outer + nxt), (inner + k, outer + nxt, inner + nxt)]
    return points, np.array(triangles), np.arange(1 + (rings - 1) * spokes, 1 + rings * spokes)


def fans(width: float, spokes: int = 96) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Spokes to both long edges within half a right angle, to a circle through their ends elsewhere, nothing beyond."""
    angles = 2 * math.pi * np.arange(spokes) / spokes
    rays = np.column_stack([np.cos(angles), np.sin(angles)])
    reach = np.minimum(width / 2 / np.maximum(np.abs(rays[:, 1]), 1e-9), width / math.sqrt(2))
    points = np.vstack([np.zeros((1, 2)), reach[:, None] * rays])
    triangles = np.array([(0, 1 + k, 1 + (k + 1) % spokes) for k in range(spokes)])
    return points, triangles, np.arange(1, spokes + 1), np.flatnonzero(np.abs(points[:, 1]) > 0.4999 * width)


NONE = np.array([], dtype=int)


@pytest.mark.parametrize(("length", "width"), [(1.0, 1.0), (1.5, 1.0), (1.0, 1.9), (2.0, 1.0), (2.4, 1.0), (4.0, 1.0)])
def test_no_mechanism_of_a_hinged_plate_takes_less(length, width):
    """Of two meshes, one with the diagonals and one with fans: nothing that folds along their lines is 1 % cheaper."""
    found = float(hinged_collapse(length, width, 0.02, 1e6)["force"]) / float(plastic_moment(0.02, 1e6))
    mesh = rectangle(length, width, 6)
    least = least_work(*mesh, mesh[-1])
    assert least == pytest.approx(4 * (length / width + width / length), rel=1e-6)
    if max(length, width) >= math.sqrt(2) * min(length, width):
        least = min(least, least_work(*fans(min(length, width))))
    assert 0.995 * found < least < 1.005 * found


def test_long_hinged_plate_by_the_work_of_its_pieces():
    """Two flat pieces of half-angle beta on the long edges, two fans: 4 tan beta + 4 (pi - 2 beta), least at 45 deg."""
    beta = np.linspace(0.1, 1.4, 2000)
    least = float(np.min(4 * np.tan(beta) + 4 * (math.pi - 2 * beta)))
    assert float(hinged_collapse(0.5, 0.1, 0.02, 1e6)["force"]) / 100 == pytest.approx(least, rel=1e-5)


def test_fan_within_any_edges():
    """N spokes and a rim: 4 N tan(pi / N), down to 4 pi; hinged at the rim half of it; also inside a square."""
    for spokes in (8, 16, 32):
        least = least_work(*disc(spokes, 2, 0.3), NONE)
        assert least == pytest.approx(4 * spokes * math.tan(math.pi / spokes), rel=1e-6)
    assert float(clamped_collapse(0.3, 0.2, 0.02, 1e6)["force"]) == pytest.approx(100 * least, rel=0.004)
    assert float(round_collapse(0.02, 1e6, True)["force"]) == pytest.approx(100 * least, rel=0.004)
    mesh = disc(32, 3, 0.3)
    hinged = least_work(*mesh, mesh[-1])
    assert float(round_collapse(0.02, 1e6, False)["force"]) == pytest.approx(100 * hinged, rel=0.004)
    inside = least_work(*rectangle(1.0, 1.0, 6), NONE)  # a coarse fan, eight ways only
    assert 4 * math.pi <= inside <= 16.001


def test_computed_square_plate():
    """22 MPa, 10 mm: 4400 N hinged, 6912 N clamped; yield-line theory, Johansen, from memory."""
    assert float(hinged_collapse(0.06, 0.06, 0.01, 22e6)["force"]) == pytest.approx(4400, abs=0.5)
    assert float(clamped_collapse(0.06, 0.06, 0.01, 22e6)["force"]) == pytest.approx(6912, abs=0.5)


def test_plates_without_sides_have_no_collapse():
    assert np.isnan(hinged_collapse(np.array([0.0, -1.0]), 0.1, 0.01, 22e6)["force"]).all()
    assert np.isnan(clamped_collapse(0.1, np.array([0.0, -1.0]), 0.01, 22e6)["force"]).all()


def test_punching_against_the_dig_of_the_same_tooth():
    """Worked by hand on a wall of 22 MPa and 10 mm, tooth 8 mm wide: 1.64 at the mean bite of 3.374 mm, 1.06 at all."""
    for depth, margin in ((0.003374, 1.64), (0.006747, 1.06)):
        dig = (2 + math.pi) / math.sqrt(3) * 22e6 * 0.008 * depth
        assert float(punching(0.008, depth, 0.01, 22e6)["force"]) / dig == pytest.approx(margin, abs=0.005)
    assert np.isnan(punching(0.008, 0.0, 0.01, 22e6)["force"])


def test_bend_of_a_wedge():
    """A fully plastic hinge cut into fibres: energy over angle is the moment."""
    fibres = (np.arange(1000) + 0.5) / 1000 - 0.5
    moment = 1.2e9 * 0.022 * 0.002**2 * np.sum(np.abs(fibres)) / 1000
    assert float(hinge_angle(6.0, 0.022, 0.002, 1.2e9)["angle"]) == pytest.approx(6.0 / moment, rel=1e-5)


# ------------------------------------------------------------ laminates


def test_perforation_of_a_laminate():
    """Caprino & Lopresto's law, from memory, by hand: 0.49 * 6.6^1.4 = 6.9 J for 1.5 mm, 55 %, 8 mm."""
    found = perforation_energy(np.array([1.5e-3, 3e-3, 0.0]), 0.55, 8e-3, UNIT_ENERGY, UNIT_AREA)["energy"]
    assert found[0] == pytest.approx(6.9, abs=0.05)
    assert found[1] / found[0] == pytest.approx(2.639, abs=1e-3)  # 2^1.4
    assert np.isnan(found[2])
    assert float(round_tup(math.pi * 0.008)) == pytest.approx(0.008)
