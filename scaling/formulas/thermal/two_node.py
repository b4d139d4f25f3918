"""A motor's winding and case as two lumps of heat capacity: their temperatures in closed form.

C_w dT_w/dt = P (1 + alpha T_w) - G (T_w - T_c) and C_c dT_c/dt = P_c + G (T_w - T_c) - G_a T_c, with T the rise over
the air, P the winding's heat when cold and P_c the heat of iron and bearings. It is linear, so two exponentials solve
it; that the copper's resistance rises while it warms is in the first row. Everything works on a whole batch at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scaling.book.entry import Array
from scaling.book.root import rising_root

SECANTS = 7
"""Steps of the secant to a current: for limits of 30 to 400 K and 5 s to hours six are right to eleven digits."""


STILL = 1e-12
"""Rate times time below which what grows at that rate has only begun."""

MOST = 32
"""Times that the time in which a limit is looked for is made four times as long; the last is beyond any match."""


@dataclass(frozen=True)
class TwoNode:
    """Heat flows and capacities of a motor; every field is a float or array of one batch shape, SI units."""

    winding_heat: Array
    case_heat: Array
    mass: Array
    winding_share: Array
    winding_specific_heat: Array
    case_specific_heat: Array
    area: Array
    insulation: Array
    convection: Array
    resistance_rise: Array

    @property
    def winding_capacity(self) -> Array:
        """Heat capacity of the copper, J/K."""
        return self.mass * self.winding_share * self.winding_specific_heat

    @property
    def case_capacity(self) -> Array:
        """Heat capacity of all the rest, J/K."""
        return self.mass * (1 - self.winding_share) * self.case_specific_heat

    def rise(self, time: Array) -> tuple[Array, Array]:
        """Rise over the air of winding and case, K, after ``time`` from cold.

        With eigenvalues l1 > l2 of the system's matrix A, which are real since heat flows both ways:
        T(t) = [(A - l2) (exp(l1 t) - 1) / l1 - (A - l1) (exp(l2 t) - 1) / l2] / (l1 - l2) times the heating.
        """
        (fast, slow), winding, case = self._modes()
        first, second = _grown(fast, time), _grown(slow, time)
        return (
            np.asarray(winding[0] * first + winding[1] * second),
            np.asarray(case[0] * first + case[1] * second),
        )

    def _modes(self) -> tuple[tuple[Array, Array], tuple[Array, Array], tuple[Array, Array]]:
        """The eigenvalues l1 > l2, and how fast winding and case start to warm by each, K/s."""
        through, away = self.insulation * self.area, self.convection * self.area
        top = (self.winding_heat * self.resistance_rise - through) / self.winding_capacity
        from_case, from_winding = through / self.winding_capacity, through / self.case_capacity
        low = -(through + away) / self.case_capacity
        middle, spread = (top + low) / 2, np.sqrt(((top - low) / 2) ** 2 + from_case * from_winding)
        winding, case = self.winding_heat / self.winding_capacity, self.case_heat / self.case_capacity
        off = (top - low) / 2
        odd_winding = (off * winding + from_case * case) / spread
        odd_case = (from_winding * winding - off * case) / spread
        return (
            (middle + spread, middle - spread),
            ((winding + odd_winding) / 2, (winding - odd_winding) / 2),
            ((case + odd_case) / 2, (case - odd_case) / 2),
        )

    def reached(self, limit: Array) -> Array:
        """Time from cold to a winding ``limit`` K over the air; NaN where it is never reached.

        A winding that does not get so warm for ever never does. Any other is looked for between a time and four of
        it, the first of them the time that it would need without loss.
        """
        (fast, slow), (first, second), _ = self._modes()
        with np.errstate(all="ignore"):
            ends = np.where(fast < 0, -first / fast - second / slow, np.inf)
            cold = self.winding_heat + self.case_heat
            low = limit * self.winding_capacity / (cold * (1 + self.resistance_rise * limit))
            low = np.where(ends > limit, low, np.nan)
            high = low
            for _ in range(MOST):
                short = _beyond(high, limit, fast, slow, first, second)[0] < 0
                if not np.any(short):
                    break
                low, high = np.where(short, high, low), np.where(short, 4 * high, high)
            low = np.where(high > low, low, 0.0)
        return rising_root(_beyond, low, high, limit, fast, slow, first, second)


def _beyond(time: Array, limit: Array, fast: Array, slow: Array, first: Array, second: Array) -> tuple[Array, Array]:
    """How far a winding is above its limit after ``time``, K, and how fast it warms then."""
    one, other = np.expm1(fast * time), np.expm1(slow * time)
    grown = np.where(np.abs(fast * time) < STILL, time, one / fast)
    return first * grown + second * other / slow - limit, first * (1 + one) + second * (1 + other)


def _grown(rate: Array, time: Array) -> Array:
    """(exp(rate time) - 1) / rate, which is ``time`` where the rate is nothing."""
    still = np.abs(rate * time) < STILL
    return np.where(still, time, np.expm1(rate * time) / np.where(still, 1.0, rate))


def temperature_rise(time: Array, *inputs: Array) -> dict[str, Array]:
    """Rise over the air of winding and case after ``time``, K; the other inputs are the fields of TwoNode."""
    winding, case = TwoNode(*inputs).rise(time)
    return {"winding": winding, "case": case}


def time_to_limit(limit: Array, *inputs: Array) -> dict[str, Array]:
    """Time in s from cold to a winding rise of ``limit`` K; the other inputs are the fields of TwoNode."""
    shape = np.broadcast(limit, *inputs).shape
    motor = TwoNode(*(np.broadcast_to(np.asarray(value, dtype=float), shape) for value in inputs))
    return {"time": motor.reached(np.broadcast_to(np.asarray(limit, dtype=float), shape))}


def jam_time(limit: Array, winding_heat: Array, *inputs: Array) -> dict[str, Array]:
    """As ``time_to_limit`` for a motor that stands still, so that iron and bearings make no heat."""
    return time_to_limit(limit, winding_heat, np.zeros_like(winding_heat), *inputs)


def match_current(
    limit: Array, time: Array, resistance: Array, case_heat: Array, mass: Array, winding_share: Array,
    winding_specific_heat: Array, case_specific_heat: Array, *cooling: Array
) -> dict[str, Array]:
    """Return the current (A) that warms the winding from cold to ``limit`` (K over the air) in ``time`` (s).

    ``resistance`` (ohm) is the cold winding's; the others are the fields of TwoNode. NaN where the case's heat alone
    passes the limit by then. Heat over rise falls nearly in a straight line with the heat, since copper's resistance
    rises with its temperature (exactly so at rest), so that the secant through two heats is soon there.
    """
    given = (limit, time, resistance, case_heat, mass, winding_share, winding_specific_heat, case_specific_heat)
    shape = np.broadcast(*given, *cooling).shape
    limit, time, resistance, case_heat, *body = (
        np.broadcast_to(np.asarray(value, dtype=float), shape) for value in (*given, *cooling)
    )

    def rise(heat: Array) -> Array:
        return TwoNode(heat, case_heat, *body).rise(time)[0]

    with np.errstate(all="ignore"):
        spare = limit - rise(np.zeros(shape))

        def short(heat: Array) -> Array:
            return spare * heat / (rise(heat) - limit + spare) - heat

        lossless = limit * TwoNode(limit, case_heat, *body).winding_capacity / time
        heat = lossless / (1 + body[-1] * limit)
        missing = short(heat)
        other = heat + missing
        for _ in range(SECANTS):
            still = short(other)
            step = still * (other - heat) / (still - missing)
            heat, missing = other, still
            other = np.where(np.isfinite(step), other - step, other)
        return {"current": np.asarray(np.where(spare > 0, np.sqrt(other / resistance), np.nan))}
