"""How hot a slipping belt and its pulley get when the rotor stops dead: many short passages, not one long rub.

The motor's pulley turns on inside a belt that stands still. The belt's arc is rubbed all the time, a point of the
pulley only while it passes under that arc, f = theta / 2 pi of the time. So the pulley warms by the mean of what it is
given, and each passage adds a flash on top. Source of the half-space under a heat flow: H. S. Carslaw & J. C. Jaeger,
Conduction of Heat in Solids, 2nd ed., sec. 2.9, and of the flow that falls in a straight line: R. Limpert, Brake Design
and Safety, ch. 3; both from memory.
"""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array


def slip_temperature_rise(
    flow: Array,
    slip_time: Array,
    wrap: Array,
    motor_speed: Array,
    pulley_conductivity: Array,
    pulley_heat_capacity: Array,
    belt_conductivity: Array,
    belt_heat_capacity: Array,
) -> dict[str, Array]:
    """Return the greatest temperature rise where belt and pulley rub during a dead stop.

    With the effusivities e = sqrt(k rho c) of pulley and belt, f the share of the pulley that is wrapped and t_c =
    theta / omega the time of one passage at the start: the mean rise is 2 sqrt(2) / 3 q_0 sqrt(t_s / pi) f / (e_p + f
    e_b), greatest at half time; the flash of one passage (1 - f) sqrt(2) q_0 sqrt(t_c / pi) / (e_p + e_b). Together no
    more than a pulley that is rubbed all the time, 2 sqrt(2) / 3 q_0 sqrt(t_s / pi) / (e_p + e_b), which is what is
    left of a slip shorter than a passage.

    Inputs, floats or arrays that broadcast: heat flow at the start (W/m^2), time of the slip (s), wrap theta on that
    pulley (rad), speed of the motor at the start (rad/s), conductivity (W/m/K) and heat capacity over volume (J/m^3/K)
    of the pulley's and of the belt's material.

    Returns ``rise`` (K), ``mean`` (K) and ``flash`` (K). NaN for a wrap that is not within a turn. Valid for heat that
    stays near the surface (a pulley thicker than the depth sqrt(k t_s / rho c), 1 mm in aluminium after 18 ms), spread
    evenly over the arc: by the capstan's uneven pressure it is up to a sixth more; no loss, no melting.

    >>> found = slip_temperature_rise(17.88385e6, 0.01772818, 2.966369, 2174.618, 172, 2.4e6, 0.2, 2e6)
    >>> [round(float(found[name]), 1) for name in ("rise", "mean", "flash")]
    [42.3, 29.0, 13.3]

    Source: this module's; the shares of belt and pulley by equal mean temperature, rederived.
    """
    share = np.asarray(wrap, dtype=float) / (2 * np.pi)
    share = np.where((share > 0) & (share <= 1), share, np.nan)
    pulley = np.sqrt(np.asarray(pulley_conductivity, dtype=float) * pulley_heat_capacity)
    belt = np.sqrt(np.asarray(belt_conductivity, dtype=float) * belt_heat_capacity)
    with np.errstate(all="ignore"):
        soaked = 2 * np.sqrt(2) / 3 * np.asarray(flow) * np.sqrt(np.asarray(slip_time) / np.pi)
        mean = soaked * share / (pulley + share * belt)
        passage = np.asarray(wrap) / np.asarray(motor_speed)
        flash = (1 - share) * np.sqrt(2) * np.asarray(flow) * np.sqrt(passage / np.pi) / (pulley + belt)
        rise = np.minimum(mean + flash, soaked / (pulley + belt) + 0 * share)
    return {"rise": np.asarray(rise), "mean": np.asarray(mean), "flash": np.asarray(flash)}
