"""A motor whose can turns with the rotor: stress of the can, the magnets' bond, and the fit of a rotor round it.

The can is a thin ring with magnets glued inside. In spin the magnets press against it; a hit shakes them off it.
Its bearings under a hit are in bearing_load.py. Source of the thin ring and of the spinning ring: S. Timoshenko & J. N.
Goodier, Theory of Elasticity; E. J. Hearn, Mechanics of Materials 2, sec. 4.2-4.3, as quoted by a secondary page.
"""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array


def can_stress(
    can_mass: Array, can_radius: Array, magnet_mass: Array, magnet_radius: Array, speed: Array, thickness: Array,
    length: Array,
) -> dict[str, Array]:
    """Return the hoop stress of a can that spins with its magnets: omega^2 (m_c r_c + m_m r_m) / (2 pi t l).

    Half a ring is held by its two cut ends; the magnets lie in pieces and carry nothing round the ring.

    Inputs, floats or arrays that broadcast: mass of the can's ring (kg) and its middle radius (m), mass of all magnets
    (kg) and the radius of their middle (m), speed (rad/s), thickness of the ring (m) and its length along the axle (m).
    Returns ``stress`` (Pa). Valid for a ring thin beside its radius, without a rotor pressed round it that helps, or
    pulls. Open windows in the can leave less than the whole length.

    >>> round(float(can_stress(0.02, 0.0135, 0.012, 0.0125, 3000.0, 0.0015, 0.012)["stress"]) / 1e6, 1)
    33.4

    Source: this module's.
    """
    pull = np.asarray(speed) ** 2 * (can_mass * np.asarray(can_radius) + magnet_mass * np.asarray(magnet_radius))
    return {"stress": np.asarray(pull / (2 * np.pi * np.asarray(thickness) * length))}


def magnet_bond(
    magnet_mass: Array, bond_area: Array, radius: Array, speed: Array, shock: Array, angular_shock: Array,
) -> dict[str, Array]:
    """Return the stress of the glue under one magnet inside a can, in a hit.

    Spin presses it on with m omega^2 r. A hit that throws the can with acceleration a pulls it off on the struck side,
    m (a - omega^2 r) at the most, and the loss of speed shears it by m alpha r; the greatest principal stress of both.

    Inputs, floats or arrays that broadcast: mass of one magnet (kg), area of its bond (m^2), radius of its middle (m),
    speed of the can (rad/s), acceleration of the axle in the hit (m/s^2), angular deceleration of the can (rad/s^2).
    Returns ``tension`` (Pa, negative where spin holds it), ``shear`` (Pa) and ``stress`` (Pa). Valid for a magnet that
    is stiff beside its glue and for a peak that lasts longer than the glue's own ringing; magnetic pull not counted.

    >>> found = magnet_bond(0.8e-3, 60e-6, 0.0125, 1000.0, 80e3, 5e5)
    >>> round(float(found["tension"]) / 1e6, 2), round(float(found["shear"]) / 1e6, 3)
    (0.9, 0.083)

    Source: Newton's law; greatest principal stress: R. G. Budynas & J. K. Nisbett, Shigley's Mechanical Engineering
    Design, 9th ed., sec. 3-6, from memory.
    """
    inertia = np.asarray(magnet_mass) / np.asarray(bond_area)
    tension = inertia * (np.asarray(shock) - np.asarray(speed) ** 2 * radius)
    shear = inertia * np.asarray(angular_shock) * radius
    circle = np.hypot(tension / 2, shear)
    with np.errstate(all="ignore"):  # no difference of like numbers where spin presses far more
        pressed = shear**2 / (circle - tension / 2)
    greatest = np.where(tension > 0, tension / 2 + circle, np.where(circle > 0, pressed, 0.0))
    return {"tension": np.asarray(tension), "shear": np.asarray(shear), "stress": np.asarray(greatest)}


def bore_growth(
    bore: Array, outer: Array, speed: Array, density: Array, modulus: Array, poisson: Array
) -> dict[str, Array]:
    """Return how much wider the bore of a ring gets in spin: d sigma_t / E, sigma_t the hoop stress there.

    sigma_t = (3 + nu) / 4 rho omega^2 [r_o^2 + (1 - nu) / (3 + nu) r_i^2].

    Inputs, floats or arrays that broadcast: bore and outer diameter (m), speed (rad/s), density (kg/m^3), modulus (Pa)
    and Poisson's ratio. Returns ``growth`` of the diameter (m). NaN where the bore is not within the outside. Valid for
    a flat ring; what it is pressed on grows less, so the fit loosens by most of this.

    >>> round(float(bore_growth(0.04, 0.2, 1000.0, 7850.0, 207e9, 0.3)["growth"]) * 1e6, 1)
    12.6

    Source: this module's.
    """
    inner, outside = np.asarray(bore, dtype=float) / 2, np.asarray(outer, dtype=float) / 2
    hoop = (3 + np.asarray(poisson)) / 4 * density * np.asarray(speed) ** 2 * (
        outside**2 + (1 - np.asarray(poisson)) / (3 + np.asarray(poisson)) * inner**2
    )
    growth = 2 * inner * hoop / modulus
    return {"growth": np.asarray(np.where((inner > 0) & (inner < outside), growth, np.nan))}


def bore_fit(bore: Array, motor_diameter: Array, clearance: Array) -> dict[str, Array]:
    """Return whether a ring's bore passes the hub motor: what is left of it, and bore over what it needs.

    Inputs, floats or arrays that broadcast: bore of the ring (m), outer diameter of the motor (m), clearance on the
    diameter that the fit asks for (m; negative for a press fit). Returns ``left`` (m) and ``ratio``, below 1 where it
    does not go over the motor. A rotor bolted to the can's face asks nothing of the bore.

    >>> found = bore_fit(0.0282, 0.028, 0.0001)
    >>> round(float(found["left"]) * 1e3, 2)
    0.1

    Source: definition.
    """
    needed = np.asarray(motor_diameter, dtype=float) + clearance
    return {"left": np.asarray(bore - needed), "ratio": np.asarray(bore / needed)}
