"""Laws fix the scale factor; speed rules set the rotor's speed; drive rules set what the drive does.

Every rule is written here once: as the sentence that the user reads and as the power of the factor that
it gives where everything else follows the factor.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

LAWS: dict[str, str] = {
    "length": "a length of the port is given: the envelope's, or that of a named key",
    "mass": "the mass limit less the margin is met by the sum of the parts as they really follow the factor",
    "motor-diameter": "the ratio of the two motors' diameters: the rotor's, or the drive's on a robot without rotor",
}

SPEED_RULES: dict[str, str] = {
    "hold-rpm": "same rotor speed as the reference",
    "hold-tip-speed": "same tip speed as the reference, rotor speed as 1 over the diameter",
    "gravity-similar": "rotor speed as 1 over the square root of the factor, so that throws look alike",
    "hold-gyro-margin": "rotor speed at which the gyro margin is the reference's",
    "as-motored": "what the port's motor, pack voltage under load and ratio give, times what was measured over "
    "what the same sum gives for the reference",
}

DRIVE_RULES: dict[str, str] = {
    "as-bought": "motors, ratio and pack from the brief, else similar machines",
    "hold-speed": "ratio chosen for the reference's top speed",
    "gravity-similar": "ratio chosen for a top speed that grows as the square root of the factor",
}

SIMILAR_MACHINE = (
    "A motor or pack that the brief does not name is taken as a similar machine: mass and power as factor³, "
    "diameter as the factor, the same current density and the same surface speed, wound for the port's pack "
    "voltage (speed constant as 1/factor, resistance as 1/factor³, currents as factor³, each corrected by the "
    "ratio of pack voltages)."
)


@dataclass(frozen=True)
class Closure:
    """The factor at which a mass sum meets its target, or None with the reason why there is none."""

    factor: float | None
    reason: str = ""


def naive_factor(mass_limit: float, reference_mass: float) -> float:
    """Cube root of the mass ratio: what the factor would be if every part followed factor^3."""
    return float((mass_limit / reference_mass) ** (1 / 3))


def close_mass(total_mass: Callable[[float], float], target: float) -> Closure:
    """Return the largest factor at which ``total_mass(factor)`` is within ``target`` (kg).

    The sum rises with the factor, smoothly or in the steps of a shelf, so bisection finds the last
    factor within the target to the last bit of a float.
    """
    if target <= 0:
        return Closure(None, "the margin takes up the whole mass limit")
    low, high = 1e-3, 1.0
    if total_mass(low) > target:
        return Closure(None, f"what does not scale weighs {total_mass(low) * 1e3:.0f} g, more than the "
                             f"{target * 1e3:.0f} g that the limit leaves")
    while total_mass(high) <= target:
        low, high = high, high * 2
        if high > 1e3:
            return Closure(None, "the parts' mass hardly grows with the factor, so the limit is never reached")
    while (middle := (low + high) / 2) not in (low, high):
        low, high = (middle, high) if total_mass(middle) <= target else (low, middle)
    return Closure(low)
