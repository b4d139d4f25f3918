"""Smallest sets of rows that cannot be met together, against counts and libraries that share no code.

Over rows whose right sides have nothing in common such sets are the circuits of the rows' matroid (J. Oxley, Matroid
Theory, ch. 1, from memory): of a graph's incidence rows its cycles, of six vectors of Q^3 in general position, the
uniform matroid U(3,6), every four. Cycles of random graphs: networkx.simple_cycles. The scaling laws of a model with a
free surface: F. M. White, Fluid Mechanics, ch. 5 (from memory): at one g and one fluid Froude, Reynolds and Weber ask
for velocities as L^(1/2), 1/L and L^(-1/2).
"""

from __future__ import annotations

import itertools
import math
import random
from fractions import Fraction

import networkx
import pytest
import sympy

from scaling.decide.circuits import can_be_met, conflicts, left_over, met_by, smallest_conflict

Edge = tuple[int, int]


def unlike(count: int) -> list[float]:
    """Right sides of which no combination by whole numbers is nought: ln of the primes."""
    return [math.log(sympy.prime(place)) for place in range(1, count + 1)]


def incidence(edges: list[Edge], nodes: int) -> list[list[Fraction]]:
    return [[Fraction((node == edge[0]) - (node == edge[1])) for node in range(nodes)] for edge in edges]


def circuits_of(edges: list[Edge], nodes: int) -> set[frozenset[Edge]]:
    found = conflicts(incidence(edges, nodes), unlike(len(edges)))
    return {frozenset(edges[place] for place in places) for places in found}


@pytest.mark.parametrize(("nodes", "count"), [(3, 1), (4, 7), (5, 37)])
def test_cycles_of_complete_graphs(nodes: int, count: int) -> None:
    assert len(circuits_of(list(itertools.combinations(range(nodes), 2)), nodes)) == count


@pytest.mark.parametrize("seed", range(12))
def test_cycles_of_random_graphs(seed: int) -> None:
    graph = networkx.gnm_random_graph(6, 8 + seed % 3, seed=seed)
    edges = [(min(edge), max(edge)) for edge in graph.edges]
    known = {
        frozenset((min(pair), max(pair)) for pair in zip(cycle, [*cycle[1:], cycle[0]], strict=True))
        for cycle in networkx.simple_cycles(graph)
    }
    assert circuits_of(edges, 6) == known


def test_six_vectors_in_general_position() -> None:
    rows = [[Fraction(1), Fraction(t), Fraction(t * t)] for t in range(6)]
    found = list(conflicts(rows, unlike(6)))
    assert len(found) == 15 == math.comb(6, 4)
    assert {len(each) for each in found} == {4}


FROUDE, REYNOLDS, WEBER = ([Fraction(1)] for _ in range(3))  # each rises with the velocity, whose factor is unknown
ASKED = [Fraction(1, 2), Fraction(-1), Fraction(-1, 2)]  # powers of the length that each asks of the velocity


@pytest.mark.parametrize("pair", list(itertools.combinations(range(3), 2)))
def test_any_two_of_froude_reynolds_and_weber_conflict_once_size_changes(pair: tuple[int, int]) -> None:
    rows = [FROUDE, REYNOLDS, WEBER]
    right = [power * Fraction(7, 10) for power in ASKED]  # ln of the length's factor: anything but nought
    assert smallest_conflict([rows[place] for place in pair], [right[place] for place in pair]) == (0, 1)
    for place in pair:
        assert can_be_met([rows[place]], [right[place]])
        assert met_by([rows[place]], [right[place]]) == [pytest.approx(float(right[place]))]


def test_all_three_hold_at_the_same_size() -> None:
    rows, right = [FROUDE, REYNOLDS, WEBER], [Fraction(0)] * 3
    assert smallest_conflict(rows, right) is None
    assert met_by(rows, right) == [0.0]


def test_what_is_left_over_is_by_how_much_the_other_is_off() -> None:
    """At Froude's velocity a model at four times the length has 4^(3/2) = 8 times the Reynolds number."""
    right = [float(power) * math.log(4) for power in ASKED[:2]]
    assert left_over([FROUDE, REYNOLDS], right, (0, 1))[1] == pytest.approx(math.log(8))


@pytest.mark.parametrize("seed", range(40))
def test_ranks_and_solutions_agree_with_sympy(seed: int) -> None:
    """Rank of A and of [A|b], and the rows at the unknowns found, by SymPy's exact matrices."""
    draw = random.Random(seed)  # noqa: S311 - cases, not secrets
    rows = [[Fraction(draw.randint(-2, 2), draw.choice((1, 2))) for _ in range(3)] for _ in range(draw.randint(1, 5))]
    right = [Fraction(draw.randint(-1, 1)) for _ in rows]
    matrix = sympy.Matrix([[sympy.Rational(entry.numerator, entry.denominator) for entry in row] for row in rows])
    column = sympy.Matrix([sympy.Rational(value.numerator, value.denominator) for value in right])
    feasible = matrix.rank() == matrix.row_join(column).rank()
    assert can_be_met(rows, right) == feasible
    conflict = smallest_conflict(rows, right)
    if feasible:
        assert conflict is None
        met = met_by(rows, right)
        for row, value in zip(rows, right, strict=True):
            assert sum(float(a) * x for a, x in zip(row, met, strict=True)) == pytest.approx(float(value), abs=1e-12)
    else:
        assert conflict is not None
        some = [matrix.row(place).row_join(column.row(place)) for place in conflict]
        assert sympy.Matrix.vstack(*some).rank() == sympy.Matrix.vstack(*some)[:, :-1].rank() + 1
        assert len(conflict) <= matrix.rank() + 1
        assert all(len(other) >= len(conflict) for other in conflicts(rows, right))


def test_a_row_without_unknowns_conflicts_alone() -> None:
    rows = [[Fraction(0)], [Fraction(1)]]
    assert smallest_conflict(rows, [0.3, 0.1]) == (0,)
    assert smallest_conflict(rows, [1e-12, 0.1]) is None
    assert smallest_conflict([], []) is None
