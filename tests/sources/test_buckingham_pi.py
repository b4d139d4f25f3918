"""Dimensionless groups against textbook cases and an independent library.

Textbook forms: B. R. Munson, D. F. Young & T. H. Okiishi, Fundamentals of Fluid Mechanics, ch. 7; F. M. White, Fluid
Mechanics, ch. 5; both from memory. Independent library: pint, ``UnitRegistry.pi_theorem``. Independent rank: SymPy. A
basis is not unique, so number, dimensionlessness, independence and span are compared, never single groups.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

import pint
import pytest
import sympy

from scaling.book.dimensions import Dimension, dimension_of, rank, row_reduce, solve_exactly
from scaling.book.groups import (
    SETS,
    GroupSet,
    dimension_matrix,
    dimensionless_groups,
    expression_text,
    groups_of,
    null_space,
)
from scaling.formulas import book

REGISTRY = pint.UnitRegistry()

# Case: units of the variables, number of groups, textbook groups.
CASES: dict[str, tuple[dict[str, str], int, list[dict[str, int]]]] = {
    "pendulum": (
        {"T": "s", "M": "kg", "L": "m", "g": "m/s^2"},
        1,
        [{"g": 1, "T": 2, "L": -1}],
    ),
    "pipe, pressure drop per length": (
        {"dp_l": "Pa/m", "D": "m", "V": "m/s", "rho": "kg/m^3", "mu": "Pa s"},
        2,
        [{"D": 1, "dp_l": 1, "rho": -1, "V": -2}, {"rho": 1, "V": 1, "D": 1, "mu": -1}],
    ),
    "pipe, full": (
        {"dp": "Pa", "l": "m", "D": "m", "V": "m/s", "rho": "kg/m^3", "mu": "Pa s", "eps": "m"},
        4,
        [{"dp": 1, "rho": -1, "V": -2}, {"l": 1, "D": -1}, {"eps": 1, "D": -1}, {"rho": 1, "V": 1, "D": 1, "mu": -1}],
    ),
    "drag of a sphere": (
        {"F": "N", "D": "m", "V": "m/s", "rho": "kg/m^3", "mu": "Pa s"},
        2,
        [{"F": 1, "rho": -1, "V": -2, "D": -2}, {"rho": 1, "V": 1, "D": 1, "mu": -1}],
    ),
    "thrust of a propeller": (
        {"T": "N", "D": "m", "V": "m/s", "n": "1/s", "rho": "kg/m^3", "mu": "Pa s"},
        3,
        [{"T": 1, "rho": -1, "n": -2, "D": -4}, {"V": 1, "n": -1, "D": -1}, {"rho": 1, "V": 1, "D": 1, "mu": -1}],
    ),
    "stress in a rotor": (
        {"sigma": "Pa", "R": "m", "omega": "rad/s", "rho": "kg/m^3"},
        1,
        [{"sigma": 1, "rho": -1, "omega": -2, "R": -2}],
    ),
}


def matrix(members: Sequence[str], groups: Sequence[Mapping[str, Any]]) -> sympy.Matrix:
    return sympy.Matrix([[rational(group.get(member, 0)) for member in members] for group in groups])


def rational(value: Any) -> sympy.Rational:
    exact = Fraction(value).limit_denominator(10_000)
    return sympy.Rational(exact.numerator, exact.denominator)


def by_pint(units: Mapping[str, str]) -> list[dict[str, Any]]:
    """Pint's groups; it takes quantities, since a dimensionless variable as text makes it fail."""
    quantities = {
        name: REGISTRY.Quantity(1, REGISTRY.parse_units(unit.replace(" ", "*"))) for name, unit in units.items()
    }
    return [dict(group) for group in REGISTRY.pi_theorem(quantities)]


def pint_powers(unit: str) -> dict[str, Any]:
    return dict(REGISTRY.parse_units(unit.replace(" ", "*")).dimensionality)


def check_against_pint(units: Mapping[str, str], found: Sequence[Mapping[str, Fraction]]) -> None:
    """Dimensionless by pint's own dimensions, independent by SymPy's rank, and of pint's number and span."""
    members = list(units)
    for group in found:
        total: dict[str, Fraction] = {}
        for member, power in group.items():
            for base, entry in pint_powers(units[member]).items():
                total[base] = total.get(base, Fraction(0)) + Fraction(entry) * power
        assert not any(total.values()), group
    own = matrix(members, found)
    theirs = by_pint(units)
    assert own.rank() == len(found) == len(theirs)
    assert own.col_join(matrix(members, theirs)).rank() == len(found)


@pytest.mark.parametrize("case", CASES)
def test_textbook_cases(case: str) -> None:
    units, number, textbook = CASES[case]
    stated = {name: dimension_of(unit) for name, unit in units.items()}
    found = list(dimensionless_groups(list(units), stated).values())
    assert len(found) == number
    assert len(units) - sympy.Matrix(dimension_matrix(list(units), stated)).rank() == number
    check_against_pint(units, found)
    own = matrix(list(units), found)
    for group in textbook:
        assert own.col_join(matrix(list(units), [group])).rank() == number


@pytest.mark.parametrize("case", CASES)
def test_textbook_groups_may_be_named(case: str) -> None:
    """Given as names they are the basis itself, whatever the null space would have chosen."""
    units, number, textbook = CASES[case]
    stated = {name: dimension_of(unit) for name, unit in units.items()}
    named = {
        str(place): {name: Fraction(power) for name, power in group.items()} for place, group in enumerate(textbook)
    }
    found = dimensionless_groups(list(units), stated, named)
    assert list(found) == list(named)
    assert len(found) == number
    assert all(found[name] == group for name, group in named.items())


def test_mass_drops_out_of_the_pendulum() -> None:
    units = CASES["pendulum"][0]
    (group,) = dimensionless_groups(list(units), {name: dimension_of(unit) for name, unit in units.items()}).values()
    assert "M" not in group


@pytest.mark.parametrize("group_set", SETS, ids=lambda entry: str(entry.name))
def test_the_stated_sets(group_set: GroupSet) -> None:
    stated = book.dimensions
    units = {name: unit_of(name) for name in group_set.members}
    named = {name: exact(expression) for name, expression in group_set.named.items()}
    found = dimensionless_groups(group_set.members, stated, named)
    assert list(found)[: len(named)] == list(named)
    check_against_pint(units, list(found.values()))


def unit_of(name: str) -> str:
    entry = book.variables.get(name) or book.quantities[name]
    return entry.unit


def exact(expression: Mapping[str, str]) -> dict[str, Fraction]:
    return {member: Fraction(power) for member, power in expression.items()}


def test_each_named_group_says_which_set_it_is_of(demo: Any) -> None:
    present = {**demo.design.variables, **demo.study.reference}
    found = groups_of(present, book.dimensions)
    sets = {entry.name: entry for entry in SETS}
    for group in found:
        assert set(group.expression) <= set(sets[group.set_name].members)
        if group.name in sets[group.set_name].named:
            assert group.expression == exact(sets[group.set_name].named[group.name])
        else:
            assert group.name == expression_text(group.expression)


def test_the_groups_of_each_demo(demo: Any) -> None:
    """A design that lacks members has the groups of what is left, as many as pint finds."""
    present = {**demo.design.variables, **demo.study.reference}
    found = groups_of(present, book.dimensions)
    assert found
    for name in {group.set_name for group in found}:
        members = next(entry.members for entry in SETS if entry.name == name)
        units = {member: unit_of(member) for member in members if member in present}
        check_against_pint(units, [group.expression for group in found if group.set_name == name])


def test_a_motor_set_s_rank_is_below_the_number_of_base_units() -> None:
    """Five variables in four base units make two groups, not one, since the rank is three: by SymPy's rank."""
    units = {"V": "V", "R": "ohm", "Kt": "N m/A", "omega": "rad/s", "I": "A"}
    stated = {name: dimension_of(unit) for name, unit in units.items()}
    rows = dimension_matrix(list(units), stated)
    assert sum(any(row) for row in rows) == 4
    assert rank(rows) == sympy.Matrix(rows).rank() == 3
    found = dimensionless_groups(list(units), stated)
    assert len(found) == 2
    check_against_pint(units, list(found.values()))


KNOWN = {"a": dimension_of("m"), "b": dimension_of("m"), "c": dimension_of("s"), "d": dimension_of("m/s")}


@pytest.mark.parametrize(
    ("named", "words"),
    [
        ({"x": {"a": 1}}, "not dimensionless"),
        ({"x": {"a": 1, "b": -1}, "y": {"a": -2, "b": 2}}, "follows"),
        ({"x": {"a": 1, "e": -1}}, "not in the set"),
    ],
)
def test_named_groups_are_checked(named: dict[str, dict[str, int]], words: str) -> None:
    groups = {name: {member: Fraction(power) for member, power in group.items()} for name, group in named.items()}
    with pytest.raises(ValueError, match=words):
        dimensionless_groups(list(KNOWN), KNOWN, groups)


# The exact arithmetic below it, against SymPy.


def random_rows(seed: int) -> list[list[Fraction]]:
    import random

    source = random.Random(seed)  # noqa: S311 (no secret, a draw that can be repeated)
    rows, columns = source.randint(1, 5), source.randint(1, 7)
    return [[Fraction(source.randint(-3, 3), source.choice((1, 1, 2))) for _ in range(columns)] for _ in range(rows)]


@pytest.mark.parametrize("seed", range(40))
def test_exact_algebra_agrees_with_sympy(seed: int) -> None:
    rows = random_rows(seed)
    theirs = sympy.Matrix([[rational(entry) for entry in row] for row in rows])
    reduced, pivots = theirs.rref()
    own, own_pivots = row_reduce(rows)
    assert sympy.Matrix([[rational(entry) for entry in row] for row in own]) == reduced
    assert tuple(own_pivots) == tuple(pivots)
    assert rank(rows) == theirs.rank()
    basis = null_space(rows)
    assert len(basis) == len(theirs.nullspace())
    for vector in basis:
        assert all(entry.denominator == 1 for entry in vector)
        assert not any(sum((a * b for a, b in zip(row, vector, strict=True)), Fraction(0)) for row in rows)
    right = [row[0] * 2 - row[-1] for row in rows]
    solution = solve_exactly(rows, right)
    assert solution is not None
    for row, value in zip(rows, right, strict=True):
        assert sum((a * b for a, b in zip(row, solution, strict=True)), Fraction(0)) == value


def test_no_solution_is_said() -> None:
    assert solve_exactly([[Fraction(1), Fraction(1)], [Fraction(2), Fraction(2)]], [Fraction(1), Fraction(3)]) is None


def test_groups_are_readable() -> None:
    shown = expression_text({"a": Fraction(1), "b": Fraction(-2), "c": Fraction(1, 2), "d": Fraction(-1)})
    assert shown == "a c^(1/2) / (b^2 d)"
    assert expression_text({"a": Fraction(-1)}) == "1 / a"
    assert expression_text({"a": Fraction(2), "b": Fraction(-1)}) == "a^2 / b"


def test_dimension_is_a_tuple_of_five_fractions() -> None:
    found: Dimension = dimension_of("kg m^2/s^2")
    assert found == (1, 2, -2, 0, 0)
    assert all(isinstance(entry, Fraction) for entry in found)
