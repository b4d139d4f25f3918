"""A motor's winding and case as two lumps of heat capacity: their temperatures in closed form.

C_w dT_w/dt = P (1 + alpha T_w) - G (T_w - T_c) and C_c dT_c/dt = P_c + G (T_w - T_c) - G_a T_c, with T the rise over
the air, P the winding's heat when cold and P_c the heat of iron and bearings. It is linear, so two exponentials solve
it; that the copper's resistance rises while it warms is in the first row. Everything works on a whole batch at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scaling.book.entry import Array

SECANTS = 7
"""Steps of the secant to a current: for limits of 30 to 400 K and 5 s to hours six are right to eleven digits."""


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
        through, away = self.insulation * self.area, self.convection * self.area
        top = (self.winding_heat * self.resistance_rise - through) / self.winding_capacity
        from_case, from_winding = through / self.winding_capacity, through / self.case_capacity
        low = -(through + away) / self.case_capacity
        middle, spread = (top + low) / 2, np.sqrt(((top - low) / 2) ** 2 + from_case * from_winding)
        winding, case = self.winding_heat / self.winding_capacity, self.case_heat / self.case_capacity
        first, second = (_grown(middle + spread, time), _grown(middle - spread, time))
        even, odd = (first + second) / 2, (first - second) / (2 * spread)
        off = (top - low) / 2
        return (
            np.asarray(even * winding + odd * (off * winding + from_case * case)),
            np.asarray(even * case + odd * (from_winding * winding - off * case)),
        )

    def reached(self, limit: Array) -> Array:
        """Time from cold to a winding ``limit`` K over the air; NaN where it is never reached.

        A winding that gets there at all is there within 32 doublings of the time that it would need
        without loss; the time is then found by bisection.
        """
        cold = self.winding_heat + self.case_heat
        low = limit * self.winding_capacity / (cold * (1 + self.resistance_rise * limit))
        high = low
        for _ in range(32):
            short = self.rise(high)[0] < limit
            if not np.any(short):
                break
            high = np.where(short, 2 * high, high)
        never = self.rise(high)[0] < limit
        low = np.zeros_like(high)
        for _ in range(56):
            between = (low + high) / 2
            below = self.rise(between)[0] < limit
            low, high = np.where(below, between, low), np.where(below, high, between)
        return np.where(never, np.nan, (low + high) / 2)


def _grown(rate: Array, time: Array) -> Array:
    """(exp(rate time) - 1) / rate, which is ``time`` where the rate is nothing."""
    still = np.abs(rate * time) < 1e-12
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
