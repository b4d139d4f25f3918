"""Dimensionless groups: how many a set of variables has, and a basis in which the trade's own appear.

The number and the span follow from the dimension matrix alone (Buckingham's theorem); which basis is
shown is a choice. Here the named groups come first, each checked to be dimensionless and independent,
and exact null vectors of small whole numbers fill what the names leave open.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import gcd, lcm

import numpy as np

from scaling.book.dimensions import Dimension, rank, row_reduce
from scaling.book.entry import Array, Values

Exponents = dict[str, Fraction]
Echelon = list[tuple[int, list[Fraction]]]
"""Rows of a span, each with the place of its leading one, zero there in the rows after it."""


@dataclass(frozen=True)
class GroupSet:
    """A stated set of variables and the groups of it that the trade has names for.

    ``members`` are keys of variables or names of quantities; ``named`` maps a group's name to its
    exponents as text 'p/q' by member.
    """

    name: str
    label: str
    members: tuple[str, ...]
    named: dict[str, dict[str, str]]


@dataclass(frozen=True)
class Group:
    """One dimensionless product of powers, and the set that it belongs to."""

    name: str
    set_name: str
    expression: Exponents


SETS = (
    GroupSet(
        "rotor_and_gyro",
        "rotor and gyro",
        (
            "mass", "length", "track", "gravity", "rotor.diameter", "rotor.inertia", "rotor_speed", "rotor_energy",
            "rotor.density", "rotor.strength", "rotor_peak_stress", "rotor.tooth_height", "bite", "top_yaw_rate",
            "gyro_lift_yaw_rate", "air.viscosity",
        ),
        {
            "gyro margin": {"gyro_lift_yaw_rate": "1", "top_yaw_rate": "-1"},
            "gyro moment over holding moment": {
                "rotor.inertia": "1", "rotor_speed": "1", "top_yaw_rate": "1", "mass": "-1", "gravity": "-1",
                "track": "-1",
            },
            "bite over tooth height": {"bite": "1", "rotor.tooth_height": "-1"},
            "specific energy over g L": {"rotor_energy": "1", "mass": "-1", "gravity": "-1", "length": "-1"},
            "spinning stress over strength": {"rotor_peak_stress": "1", "rotor.strength": "-1"},
            "inertia share": {"rotor.inertia": "1", "mass": "-1", "length": "-2"},
            "tip speed over sqrt(g L)": {
                "rotor_speed": "1", "rotor.diameter": "1", "gravity": "-1/2", "length": "-1/2",
            },
            "strength over rho v^2": {
                "rotor.strength": "1", "rotor.density": "-1", "rotor_speed": "-2", "rotor.diameter": "-2",
            },
            "rotor Reynolds number": {"rotor_speed": "1", "rotor.diameter": "2", "air.viscosity": "-1"},
            "track over length": {"track": "1", "length": "-1"},
            "rotor diameter over length": {"rotor.diameter": "1", "length": "-1"},
        },
    ),
    GroupSet(
        "rush",
        "rush and reaction",
        (
            "length", "gravity", "arena.length", "top_speed", "half_arena_crossing_time", "spin_up_time_80_energy",
            "driver.reaction_time",
        ),
        {
            "rush margin": {"half_arena_crossing_time": "1", "spin_up_time_80_energy": "-1"},
            "speed over sqrt(g L)": {"top_speed": "1", "gravity": "-1/2", "length": "-1/2"},
            "arena in body lengths": {"arena.length": "1", "length": "-1"},
            "reaction in body lengths": {"top_speed": "1", "driver.reaction_time": "1", "length": "-1"},
        },
    ),
    GroupSet(
        "drive",
        "drive",
        (
            "mass", "length", "gravity", "wheelbase", "cg_height", "track", "wheel.diameter", "top_speed",
            "traction_acceleration", "traction_force", "drive_stall_force", "arena.length", "arena_crossing_time",
        ),
        {
            "Froude number": {"top_speed": "1", "gravity": "-1/2", "length": "-1/2"},
            "grip in g": {"traction_acceleration": "1", "gravity": "-1"},
            "motors' push over grip": {"drive_stall_force": "1", "traction_force": "-1"},
            "track over centre of gravity height": {"track": "1", "cg_height": "-1"},
            "arena crossings at top speed": {
                "arena_crossing_time": "1", "top_speed": "1", "arena.length": "-1",
            },
        },
    ),
    GroupSet(
        "motor_and_pack",
        "motor and pack",
        (
            "battery.voltage", "battery.resistance", "battery.capacity", "rotor.motor.kv", "rotor.motor.resistance",
            "rotor.motor.no_load_current", "rotor.motor.current_limit", "rotor.inertia", "rotor_speed",
            "rotor_energy", "spin_up_time",
        ),
        {
            "pack share of the loop resistance": {"battery.resistance": "1", "rotor.motor.resistance": "-1"},
            "limit over stall current": {
                "rotor.motor.current_limit": "1", "rotor.motor.resistance": "1", "battery.voltage": "-1",
            },
            "no-load over limit current": {"rotor.motor.no_load_current": "1", "rotor.motor.current_limit": "-1"},
            "speed over unloaded motor speed": {
                "rotor_speed": "1", "rotor.motor.kv": "-1", "battery.voltage": "-1",
            },
            "spin-up over motor time constant": {
                "spin_up_time": "1", "rotor.inertia": "-1", "rotor.motor.resistance": "-1", "rotor.motor.kv": "-2",
            },
            "rotor energy over pack energy": {
                "rotor_energy": "1", "battery.voltage": "-1", "battery.capacity": "-1",
            },
        },
    ),
    GroupSet(
        "hit_and_structure",
        "hit and structure",
        (
            "mass", "length", "gravity", "hit_force", "hit_effective_mass", "contact_stiffness", "tip_speed",
            "throw_height", "shaft_stress", "rotor.shaft.strength", "rotor.shaft.diameter", "bolt_shear_stress",
            "rotor.mount.bolt_strength", "wall_stress", "wall.strength", "wall.thickness",
        ),
        {
            "shaft stress over strength": {"shaft_stress": "1", "rotor.shaft.strength": "-1"},
            "bolt shear over strength": {"bolt_shear_stress": "1", "rotor.mount.bolt_strength": "-1"},
            "wall stress over strength": {"wall_stress": "1", "wall.strength": "-1"},
            "hit force over weight": {"hit_force": "1", "mass": "-1", "gravity": "-1"},
            "throw in body lengths": {"throw_height": "1", "length": "-1"},
            "effective mass share": {"hit_effective_mass": "1", "mass": "-1"},
            "tip speed over contact speed": {
                "tip_speed": "1", "contact_stiffness": "1/2", "hit_effective_mass": "1/2", "hit_force": "-1",
            },
        },
    ),
)


def dimension_matrix(members: Sequence[str], stated: Mapping[str, Dimension]) -> list[list[Fraction]]:
    """Rows for mass, length, time, current and temperature, a column a member."""
    return [list(row) for row in zip(*(stated[member] for member in members), strict=True)]


def null_space(matrix: Sequence[Sequence[Fraction]]) -> list[list[Fraction]]:
    """Exact basis of the vectors x with matrix x = 0, each scaled to coprime whole numbers."""
    reduced, pivots = row_reduce(matrix)
    width = len(matrix[0])
    basis: list[list[Fraction]] = []
    for free in (column for column in range(width) if column not in pivots):
        vector = [Fraction(0)] * width
        vector[free] = Fraction(1)
        for line, pivot in enumerate(pivots):
            vector[pivot] = -reduced[line][free]
        basis.append(_whole(vector))
    return basis


def _whole(vector: Sequence[Fraction]) -> list[Fraction]:
    scale = lcm(*(entry.denominator for entry in vector))
    whole = [int(entry * scale) for entry in vector]
    shared = gcd(*whole)
    return [Fraction(entry, shared) for entry in whole]


def dimensionless_groups(
    members: Sequence[str], stated: Mapping[str, Dimension], named: Mapping[str, Mapping[str, Fraction]] | None = None
) -> dict[str, Exponents]:
    """A basis of the dimensionless groups of ``members``: the ``named`` ones first, the rest from the null space.

    Returns members minus rank groups, exponents by member. Raises ValueError for a named group
    that is not dimensionless, that the earlier ones already span, or that uses a member outside the set.
    """
    matrix = dimension_matrix(members, stated)
    wanted = len(members) - rank(matrix)
    span: Echelon = []
    found: dict[str, Exponents] = {}
    for name, expression in (named or {}).items():
        if not set(expression) <= set(members):
            raise ValueError(f"{name} uses members that are not in the set")
        vector = [expression.get(member, Fraction(0)) for member in members]
        if any(sum((a * b for a, b in zip(row, vector, strict=True)), Fraction(0)) != 0 for row in matrix):
            raise ValueError(f"{name} is not dimensionless")
        if not _widens(span, vector):
            raise ValueError(f"{name} follows from the groups before it")
        found[name] = {member: entry for member, entry in zip(members, vector, strict=True) if entry}
    # Fill from the sparsest null vectors, so that what is shown stays readable.
    for vector in sorted(null_space(matrix), key=lambda entries: (sum(entry != 0 for entry in entries), entries)):
        if len(span) == wanted:
            break
        if _widens(span, vector):
            expression = {member: entry for member, entry in zip(members, vector, strict=True) if entry}
            found[expression_text(expression)] = expression
    return found


def _widens(span: Echelon, vector: Sequence[Fraction]) -> bool:
    """Whether ``vector`` lies outside ``span``; if so the span takes it up."""
    rest = list(vector)
    for pivot, row in span:
        if rest[pivot] != 0:
            factor = rest[pivot]
            rest = [entry - factor * own if own else entry for entry, own in zip(rest, row, strict=True)]
    first = next((place for place, entry in enumerate(rest) if entry != 0), None)
    if first is None:
        return False
    lead = rest[first]
    span.append((first, [entry / lead if entry else entry for entry in rest]))
    return True


def expression_text(expression: Mapping[str, Fraction]) -> str:
    """Return a group as readable text, such as 'gravity length / top_speed^2'."""

    def side(sign: int) -> str:
        parts = [(member, abs(power)) for member, power in expression.items() if power * sign > 0]
        return " ".join(
            member if power == 1 else f"{member}^{power}" if power.denominator == 1 else f"{member}^({power})"
            for member, power in parts
        )

    above, below = side(1) or "1", side(-1)
    if not below:
        return above
    return f"{above} / ({below})" if " " in below else f"{above} / {below}"


def groups_of(present: Mapping[str, object], stated: Mapping[str, Dimension]) -> list[Group]:
    """The groups of every set, with the members that a design has.

    ``present`` holds its values by name, ``stated`` the dimension of each name.
    """
    found: list[Group] = []
    for group_set in SETS:
        members = tuple(member for member in group_set.members if member in present)
        named = {
            name: {member: Fraction(power) for member, power in expression.items()}
            for name, expression in group_set.named.items()
            if set(expression) <= set(members)
        }
        # A set is shown by its named groups, so one that a design hardly has is left out whole.
        if not named:
            continue
        basis = dimensionless_groups(members, stated, named)
        found += [Group(name, group_set.name, expression) for name, expression in basis.items()]
    return found


def group_value(expression: Mapping[str, Fraction], values: Values) -> Array:
    """Value of a group for numbers by name; NaN where a member is missing."""
    result = np.asarray(1.0)
    for member, power in expression.items():
        if member not in values:
            return np.asarray(np.nan)
        result = result * np.asarray(values[member], dtype=float) ** float(power)
    return result
