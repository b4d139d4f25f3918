"""What a gearbox leaves of the motor's torque: the push, the current of a push, and an estimate of its efficiency."""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array

STAGE_EFFICIENCY = 0.9
"""Of one planetary or spur stage of a small geared motor: common practice, no source; 0.8 when worn or dry."""

STAGE_RATIO = 4.5
"""Ratio of one such stage: common practice, no source; 3.5 to 6."""

CONSTANT_PRODUCT = (0.67, 0.87, 1.25)
"""Torque constant times speed constant of small motors as sold, low, median and high: 1 by theory. From published
tables of motors, common practice, no source."""


def efficiency_estimate(ratio: Array) -> dict[str, Array]:
    """Return the efficiency of a gearbox of which only its ratio is known: 0.9 for each stage of about 4.5.

    Inputs, floats or arrays: ratio. Returns ``stages``, a whole number, and ``efficiency``. NaN for a ratio under 1.

    >>> found = efficiency_estimate(22.0)
    >>> float(found["stages"]), round(float(found["efficiency"]), 2)
    (2.0, 0.81)

    Source: common practice, no source.
    """
    ratio = np.asarray(ratio, dtype=float)
    with np.errstate(all="ignore"):
        stages = np.round(np.log(np.where(ratio >= 1, ratio, np.nan)) / np.log(STAGE_RATIO))
    return {"stages": np.asarray(stages), "efficiency": np.asarray(STAGE_EFFICIENCY**stages)}


def wheel_push(
    motors: Array, current: Array, no_load_current: Array, kv: Array, constant_product: Array, ratio: Array,
    efficiency: Array, wheel_diameter: Array,
) -> dict[str, Array]:
    """Return the push of geared motors at a current: n (I - I_0) c / K_v times i eta / r.

    The gearbox takes its share of the torque and none of the speed.

    Inputs, floats or arrays that broadcast: motors, current of each and its no-load current (A), speed constant
    (rad/s/V), torque constant times speed constant (1 by theory), ratio, efficiency of the gearbox, wheel's diameter
    (m). Returns ``force`` (N), zero below the no-load current. NaN for an efficiency that is not within 0 to 1.

    >>> round(float(wheel_push(2, 6.0, 0.11, 256.56, 0.87, 22, 0.81, 0.046)["force"]), 1)
    30.9

    Source: M. Drela, First-Order DC Electric Motor Model, MIT, 2007: T = (I - I_0) / K_v; power balance of the gears.
    """
    efficiency = np.asarray(efficiency, dtype=float)
    kept = np.where((efficiency > 0) & (efficiency <= 1), efficiency, np.nan)
    torque = np.maximum(np.asarray(current) - no_load_current, 0.0) * constant_product / np.asarray(kv)
    return {"force": np.asarray(motors * torque * ratio * kept / (np.asarray(wheel_diameter) / 2))}


def push_current(
    force: Array, motors: Array, no_load_current: Array, kv: Array, constant_product: Array, ratio: Array,
    efficiency: Array, wheel_diameter: Array,
) -> dict[str, Array]:
    """Return the current of each motor that a push takes: ``wheel_push`` turned round.

    Inputs as there, the push (N) of all wheels first. Returns ``current`` (A).

    >>> round(float(push_current(30.949, 2, 0.11, 256.56, 0.87, 22, 0.81, 0.046)["current"]), 2)
    6.0

    Source: ``wheel_push``.
    """
    efficiency = np.asarray(efficiency, dtype=float)
    kept = np.where((efficiency > 0) & (efficiency <= 1), efficiency, np.nan)
    torque = np.asarray(force) * np.asarray(wheel_diameter) / 2 / (motors * np.asarray(ratio) * kept)
    return {"current": np.asarray(no_load_current + torque * kv / np.asarray(constant_product))}
