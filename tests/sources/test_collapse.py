"""What ends a part: plastic mechanisms by a linear programme, deep bending by fibres, membranes by von Karman.

Independent routes: scipy's linprog seeks the mechanism that takes least work among all that fold along the lines of a
mesh; the beam's hinges are cut into rigid-plastic fibres, nothing assumed of how moment and pull share them; the large
deflections of a round plate are those of von Karman's equations, solved by scipy's solve_bvp.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from scipy.integrate import solve_bvp
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
from scaling.formulas.structure.deep_bending import beam_at_deflection, beam_for_energy
from scaling.formulas.structure.membrane import clamped_round_deflection
from scaling.formulas.structure.perforation import UNIT_AREA, UNIT_ENERGY, perforation_energy, round_tup
from scaling.formulas.structure.rate import ALUMINIUM, MILD_STEEL, bending_rate, rate_factor

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


# ------------------------------------------------------------ beams


def followed(clamped: bool, end_hold: float, last: float, span: float = 0.2, width: float = 0.02, depth: float = 0.005,
             strength: float = 250e6) -> tuple[float, float, float]:
    """Force, energy and pull of a rigid-plastic beam at a deflection, its hinges cut into fibres.

    A step of the middle turns each half by dW / l and makes it longer by W dW / l; its hinges (one, or two alike) give
    that, less what the ends slide. A fibre at z then yields by the sign of (its share of the length) + z (the turn).
    Force by moments on a half, the ends' pull at the deflection as lever.
    """
    half, hinges = span / 2, 2 if clamped else 1
    fibres = depth * ((np.arange(2001) + 0.5) / 2001 - 0.5)
    area = width * depth / fibres.size
    deflections = np.linspace(0, last, 4001)
    forces, pulls = [], []
    for at in deflections:
        stretch = at / hinges  # over the turn: (W dW / l) / hinges / (dW / l)
        signs = np.sign(stretch + fibres)
        pull = strength * area * signs.sum()
        if pull > end_hold:  # the ends slide: the neutral axis stays where the pull is the cap
            axis = np.sort(fibres)[round((1 - end_hold / (strength * width * depth)) / 2 * (fibres.size - 1))]
            signs = np.sign(fibres - axis)
            pull = end_hold
        moment = strength * area * float(signs @ fibres)
        forces.append(2 * (hinges * moment + pull * at) / half)
        pulls.append(pull)
    return forces[-1], float(np.trapezoid(forces, deflections)), pulls[-1]


@pytest.mark.parametrize("clamped", [True, False])
@pytest.mark.parametrize("end_hold", [math.inf, 15e3, 5e3, 0.0])
@pytest.mark.parametrize("last", [0.001, 0.004, 0.005, 0.012, 0.03])
def test_deep_bending_by_fibres(clamped, end_hold, last):
    force, energy, pull = followed(clamped, end_hold, last)
    found = beam_at_deflection(last, 0.2, 0.02, 0.005, 250e6, end_hold, clamped)
    assert float(found["force"]) == pytest.approx(force, rel=3e-3)
    assert float(found["energy"]) == pytest.approx(energy, rel=3e-3)
    assert float(found["pull"]) == pytest.approx(pull, rel=3e-3, abs=10)


def test_computed_beam():
    """250 MPa, 20 x 5 mm, span 200 mm: P_c 1250 N; at W = H 2500 N and 8.33 J, pull 25 kN."""
    found = beam_at_deflection(np.array([0.0, 0.005]), 0.2, 0.02, 0.005, 250e6, np.inf, True)
    assert found["force"] == pytest.approx([1250, 2500])
    assert found["energy"] == pytest.approx([0, 8.3333], rel=1e-4)
    assert found["pull"] == pytest.approx([0, 25e3])
    assert float(beam_at_deflection(0.0025, 0.2, 0.02, 0.005, 250e6, np.inf, False)["force"]) == pytest.approx(1250)


@pytest.mark.parametrize("clamped", [True, False])
@pytest.mark.parametrize("end_hold", [math.inf, 9e3, 0.0])
def test_deflection_for_an_energy_turns_back(clamped, end_hold):
    """Root of the energy over a sweep from first bending to many depths, the boundary between both branches in it."""
    deflections = np.geomspace(1e-5, 0.04, 60)
    there = beam_at_deflection(deflections, 0.2, 0.02, 0.005, 250e6, end_hold, clamped)
    back = beam_for_energy(there["energy"], 0.2, 0.02, 0.005, 250e6, end_hold, clamped)
    assert back["deflection"] == pytest.approx(deflections, rel=1e-9)
    assert back["force"] == pytest.approx(there["force"], rel=1e-9)
    assert np.isnan(beam_for_energy(-1.0, 0.2, 0.02, 0.005, 250e6, end_hold, clamped)["force"])
    assert np.isnan(beam_at_deflection(-1.0, 0.2, 0.02, 0.005, 250e6, end_hold, clamped)["force"])


def test_strain_of_the_middle_line():
    """Two straight halves: 2 hypot(L / 2, W) / L - 1."""
    found = beam_at_deflection(0.01, 0.2, 0.02, 0.005, 250e6, np.inf, True)
    assert float(found["strain"]) == pytest.approx(2 * math.hypot(0.1, 0.01) / 0.2 - 1, rel=0.01)


# ------------------------------------------------------------ membranes


def von_karman(load: float, held: bool, nu: float = 0.3) -> float:
    """Deflection over thickness of a clamped round plate, radius, thickness and modulus 1, ``load`` in its middle.

    D (phi'' + phi'/r - phi/r^2) = N phi + P / (2 pi r) with phi = w', and r N'' + 3 N' + E h phi^2 / (2 r) = 0; edge
    held: N_t = nu N there, N_t = N + r N'; slipping: N = 0.
    """
    rigidity, start = 1 / (12 * (1 - nu**2)), 1e-4

    def equations(r, state):
        slope, turn, pull, growth, _ = state
        return np.vstack([turn, -turn / r + slope / r**2 + (pull * slope + load / (2 * math.pi * r)) / rigidity, growth,
                          -3 * growth / r - slope**2 / (2 * r**2), slope])

    def ends(inner, outer):
        edge = outer[2] * (1 - nu) + outer[3] if held else outer[2]
        return np.array([inner[0], inner[3], outer[0], edge, outer[4]])

    r = np.geomspace(start, 1, 400)
    guess = np.zeros((5, r.size))
    for share in np.linspace(0.1, 1, 10):
        full, load = load, load * share
        found = solve_bvp(equations, ends, r, guess, tol=1e-5, max_nodes=50000)
        load = full
        assert found.success
        guess = found.sol(r)
    return float(abs(found.sol(start)[4]))


@pytest.mark.parametrize("load", [0.5, 2.0, 6.65, 15.0, 60.0])
@pytest.mark.parametrize("held", [True, False])
def test_large_deflections_of_a_round_plate(load, held):
    found = float(clamped_round_deflection(load, 2.0, 1.0, 1.0, held)["deflection"])
    assert found == pytest.approx(von_karman(load, held), rel=0.015 if found < 1.1 else 0.085)


def test_computed_membrane():
    """P a^2 / (E h^4) = 6.65 gives w / h = 1.009 by the equations, within 1 % of table 82's cubic."""
    assert float(clamped_round_deflection(6.65, 2.0, 1.0, 1.0, True)["deflection"]) == pytest.approx(1.009, rel=0.01)
    assert von_karman(6.65, True) == pytest.approx(1.009, rel=0.005)


def test_small_loads_leave_the_bending_plate():
    """P a^2 / (16 pi D), Timoshenko & Woinowsky-Krieger, ch. 3, from memory: 0.2173 at nu 0.3."""
    exact = 12 * (1 - 0.09) / (16 * math.pi)
    found = clamped_round_deflection(np.array([1e-6, 0.0, -1.0]), 2.0, 1.0, 1.0, True)
    assert found["deflection"][0] == pytest.approx(1e-6 * exact, rel=2e-3)
    assert found["ratio"][:2] == pytest.approx([1, 1])
    assert np.isnan(found["deflection"][2])


# ------------------------------------------------------------ laminates and rates


def test_perforation_of_a_laminate():
    """Caprino & Lopresto's law, from memory, by hand: 0.49 * 6.6^1.4 = 6.9 J for 1.5 mm, 55 %, 8 mm."""
    found = perforation_energy(np.array([1.5e-3, 3e-3, 0.0]), 0.55, 8e-3, UNIT_ENERGY, UNIT_AREA)["energy"]
    assert found[0] == pytest.approx(6.9, abs=0.05)
    assert found[1] / found[0] == pytest.approx(2.639, abs=1e-3)  # 2^1.4
    assert np.isnan(found[2])
    assert float(round_tup(math.pi * 0.008)) == pytest.approx(0.008)


def test_rate_of_strain():
    """N. Jones, Structural Impact, from memory: mild steel doubles at 40.4 1/s and trebles at 32 times that (q = 5)."""
    found = rate_factor(np.array([0.0, 40.4, 32 * 40.4, -1.0]), *MILD_STEEL)["factor"]
    assert found[:3] == pytest.approx([1, 2, 3])
    assert np.isnan(found[3])
    assert float(rate_factor(500.0, *ALUMINIUM)["factor"]) < 1.6
    assert float(rate_factor(500.0, np.inf, 5.0)["factor"]) == 1.0


def test_rate_of_a_bent_beam():
    """Elastic beam, hinged, force F in the middle: surface strain F L h / (8 E I) over deflection F L^3 / (48 E I)."""
    force, span, thickness, stiffness = 3.0, 0.1, 0.01, 7.0
    strain = force * span * thickness / (8 * stiffness)
    deflection = force * span**3 / (48 * stiffness)
    assert float(bending_rate(10.0, thickness, span)["rate"]) == pytest.approx(10.0 * strain / deflection)
