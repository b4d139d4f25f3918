"""Motor-side and pack-side current, which a controller turns into one another.

At part throttle the controller is a step-down converter: the pack gives the motor's power, so from rest a motor at its
limit of thirty amperes takes a few from the pack. A limit on one side is none on the other.
Source: power balance of a step-down converter: R. W. Erickson & D. Maksimovic, Fundamentals of Power Electronics, ch.
2, from memory; motor after M. Drela, First-Order DC Electric Motor Model, MIT, 2007.
"""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array


def pack_current(
    motor_current: Array, motor_speed: Array, kv: Array, resistance: Array, voltage: Array, pack_resistance: Array
) -> dict[str, Array]:
    """Return what the pack gives while the motor draws a current at a speed: the lesser root of I_p (V - I_p R_p) = P.

    P = I (omega / K_v + I R). Where the voltage that this takes is more than the pack has, the controller is fully open
    and the motor draws (V - omega / K_v) / (R + R_p) instead, the same on both sides.

    Inputs, floats or arrays that broadcast: motor's current (A) and speed (rad/s), its speed constant (rad/s/V) and
    resistance (ohm), the pack's open-circuit voltage (V) and resistance (ohm). Returns ``current`` (A) of the pack,
    ``motor_current`` (A) that flows, ``duty``, the share of the time that the controller is open, and ``voltage`` (V)
    of the pack. Valid for a controller without loss; NaN where the motor would drive the pack.

    >>> found = pack_current(28.0, 0.0, 198.97, 0.075, 11.1, 0.036)
    >>> round(float(found["current"]), 1), round(float(found["duty"]), 2)
    (5.4, 0.19)

    Source: this module's.
    """
    induced = np.asarray(motor_speed, dtype=float) / kv
    open_current = (np.asarray(voltage) - induced) / (np.asarray(resistance) + pack_resistance)
    flowing = np.minimum(motor_current, open_current)
    flowing = np.where(flowing >= 0, flowing, np.nan)
    power = flowing * (induced + flowing * resistance)
    # 2 P / (V + sqrt(V^2 - 4 R_p P)): the lesser root, also for a pack without resistance.
    given = 2 * power / (voltage + np.sqrt(np.maximum(np.asarray(voltage) ** 2 - 4 * pack_resistance * power, 0.0)))
    given = np.where(np.asarray(motor_current) >= open_current, flowing, given)  # fully open: one current on both sides
    loaded = voltage - given * pack_resistance
    return {
        "current": np.asarray(given), "motor_current": np.asarray(flowing),
        "duty": np.asarray((induced + flowing * resistance) / loaded), "voltage": np.asarray(loaded),
    }


def motor_current_at_pack_limit(
    pack_limit: Array, motor_speed: Array, kv: Array, resistance: Array, voltage: Array, pack_resistance: Array
) -> dict[str, Array]:
    """Return the motor's current when the pack gives its limit: I = [-e + sqrt(e^2 + 4 R P)] / (2 R).

    e = omega / K_v, P = I_b (V - I_b R_p); no more than the fully open controller passes.

    Inputs, floats or arrays that broadcast: limit on the pack's side (A), the rest as ``pack_current``. Returns
    ``current`` (A) of the motor. From rest it is sqrt(P / R), several times the pack's: a limit that a controller
    sets on the pack's side does not protect a motor that is stalled.

    >>> round(float(motor_current_at_pack_limit(28.0, 0.0, 198.97, 0.075, 11.1, 0.036)["current"]), 1)
    61.4

    Source: this module's.
    """
    induced = np.asarray(motor_speed, dtype=float) / kv
    power = np.asarray(pack_limit) * (voltage - np.asarray(pack_limit) * pack_resistance)
    allowed = (np.sqrt(induced**2 + 4 * np.asarray(resistance) * power) - induced) / (2 * np.asarray(resistance))
    fully_open = (np.asarray(voltage) - induced) / (np.asarray(resistance) + pack_resistance)
    return {"current": np.asarray(np.minimum(allowed, fully_open))}
