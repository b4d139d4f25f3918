"""What a motor of the same design does at another size and pack voltage: one consistent set of powers.

Every length goes as the factor L, the turns of the winding as V / L, so that at the pack voltage ratio V the tip speed
of its rotor stays; flux density, materials and the copper's share of the slots stay. The rest follows from induction,
Ohm's law and the heat that may be made. Source: machines of one flux density and one current density: M. G. Say, The
Performance and Design of Alternating Current Machines, from memory; rederived in the test.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType


@dataclass(frozen=True)
class Powers:
    """A quantity of the similar motor is the reference's times L^length times V^voltage."""

    length: Fraction
    voltage: int
    because: str


def _powers(length: Fraction | int, voltage: int, because: str) -> Powers:
    return Powers(Fraction(length), voltage, because)


SIMILAR_MOTOR: Mapping[str, Powers] = MappingProxyType({
    "turns": _powers(-1, 1, "chosen: the tip speed at the pack's voltage stays"),
    "kv": _powers(-1, -1, "flux linkage, turns times area, is V L"),
    "torque_constant": _powers(1, 1, "flux linkage too"),
    "resistance": _powers(-3, 2, "turns squared times length over the slots' area"),
    "short_time_current": _powers(3, -1, "the same current density, for seconds: heat stays in the copper"),
    "no_load_current": _powers(2, -1, "hysteresis torque goes as the iron's volume, over the torque constant V L"),
    "short_time_torque": _powers(4, 0, "torque constant times current"),
    "short_time_power": _powers(3, 0, "that torque at a speed of 1 / L"),
    "inertia": _powers(5, 0, "mass times length squared"),
    "mass": _powers(3, 0, "volume"),
    "steady_current": _powers(Fraction(5, 2), -1, "heat I^2 R leaves by a surface of L^2 at the same rise"),
    "steady_torque": _powers(Fraction(7, 2), 0, "torque constant times that current"),
})
"""Powers of the similar motor by what they are of. A controller's limit is bought and does not scale."""


def similar(name: str) -> tuple[Fraction, int]:
    """Return the powers of factor and pack voltage that a motor's value follows: the last fields of a Variable.

    Raises KeyError for a name that is not among ``SIMILAR_MOTOR``. Valid for the same design and cooling by its
    surface; a bought motor of that size differs.

    >>> similar("no_load_current")
    (Fraction(2, 1), -1)

    Source: this module's.
    """
    return SIMILAR_MOTOR[name].length, SIMILAR_MOTOR[name].voltage
