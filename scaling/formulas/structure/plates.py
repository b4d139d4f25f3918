"""Numeric models of plates: rectangular and round, hinged or clamped edges, a force in the middle or a pressure.

Each takes arrays that broadcast together, lengths in m and moduli in Pa, and returns by unit of load: "stress", the
largest bending stress over the force (1/m^2) or over the pressure (1), and "stiffness", the force (N/m) or pressure
(Pa/m) over the middle's deflection. A force is spread over a circle with the area of a
patch; under half a thickness the circle's radius r is replaced by the equivalent one, sqrt(1.6 r^2 + t^2) - 0.675 t
(Westergaard), which keeps the stress finite under a point. Small deflections, elastic, thin plates.

A patch that does not fit on the plate gives NaN. Source of the tables: W. C. Young & R. G. Budynas, Roark's Formulas
for Stress and Strain, 7th ed., table 11.4, cases 1a, 1b, 8a and 8b, case 1a as quoted by a secondary page, the others
from memory; they are for a Poisson's ratio of 0.3, and a deflection goes as 1 - nu^2, so stiffnesses are carried over
exactly. The round plates' closed forms: S. Timoshenko & S. Woinowsky-Krieger, Theory of Plates and Shells, ch. 3, from
memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from scaling.book.entry import Array


@dataclass(frozen=True)
class _Table:
    """Coefficients over the plate's longer side over its shorter one; beyond the last they stay."""

    aspects: Sequence[float]
    values: Sequence[float]

    def at(self, longer: Array, shorter: Array) -> Array:
        """Coefficients by straight lines between the entries."""
        found: Array = np.interp(longer / shorter, self.aspects, self.values)
        return found


_LONG = (1.0, 1.2, 1.4, 1.6, 1.8, 2.0, 3.0, 4.0, 5.0, 10.0)
_SHORT = (1.0, 1.2, 1.4, 1.6, 1.8, 2.0, 3.0)

TABLES_POISSON = 0.3

HINGED_PRESSURE_STRESS = _Table(_LONG, (0.2874, 0.3762, 0.4530, 0.5172, 0.5688, 0.6102, 0.7134, 0.7410, 0.7476, 0.7500))
HINGED_PRESSURE_SAG = _Table(_LONG, (0.0444, 0.0616, 0.0770, 0.0906, 0.1017, 0.1110, 0.1335, 0.1400, 0.1417, 0.1421))
HINGED_FORCE_STRESS = _Table(_SHORT, (0.435, 0.650, 0.789, 0.875, 0.927, 0.958, 1.000))
HINGED_FORCE_SAG = _Table(_SHORT, (0.1267, 0.1478, 0.1621, 0.1715, 0.1770, 0.1805, 0.1851))
CLAMPED_PRESSURE_STRESS = _Table(_SHORT, (0.3078, 0.3834, 0.4356, 0.4680, 0.4872, 0.4974, 0.5000))
CLAMPED_PRESSURE_SAG = _Table(_SHORT, (0.0138, 0.0188, 0.0226, 0.0251, 0.0267, 0.0277, 0.0284))
CLAMPED_FORCE_STRESS = _Table(_SHORT, (-0.238, -0.078, 0.011, 0.053, 0.068, 0.067, 0.067))
CLAMPED_FORCE_EDGE = _Table(_SHORT, (0.7542, 0.8940, 0.9624, 0.9906, 1.0000, 1.004, 1.008))
CLAMPED_FORCE_SAG = _Table(_SHORT, (0.0611, 0.0706, 0.0754, 0.0777, 0.0786, 0.0788, 0.0791))


def patch_radius(patch_area: Array, thickness: Array, shorter: Array) -> Array:
    """Radius (m) of the circle on which a force on a patch of that area (m^2) bears, for the plate's bending."""
    radius = np.sqrt(patch_area / np.pi)
    equivalent = np.sqrt(1.6 * radius**2 + thickness**2) - 0.675 * thickness
    radius = np.where(radius < 0.5 * thickness, equivalent, radius)
    return np.where(radius < shorter / 2, radius, np.nan)


def _sides(length: Array, height: Array) -> tuple[Array, Array]:
    return np.maximum(length, height), np.minimum(length, height)


def _bending(modulus: Array, thickness: Array, poisson: Array) -> Array:
    """E t^3 (Pa m^3) that a plate at the tables' Poisson's ratio would have for the same bending rigidity."""
    bending: Array = modulus * thickness**3 * (1 - TABLES_POISSON**2) / (1 - poisson**2)
    return bending


def _middle(beta: Array, shorter: Array, thickness: Array, poisson: Array, patch_area: Array) -> Array:
    """Stress in the middle over the force, 3 / (2 pi t^2) [(1 + nu) ln(2 b / (pi r)) + beta], b the shorter side."""
    logarithm = np.log(2 * shorter / (np.pi * patch_radius(patch_area, thickness, shorter)))
    stress: Array = 3 / (2 * np.pi * thickness**2) * ((1 + poisson) * logarithm + beta)
    return stress


def hinged_force_stress(
    length: Array, height: Array, thickness: Array, poisson: Array, patch_area: Array
) -> dict[str, Array]:
    """Force on the middle of a rectangular plate whose edges are held but free to turn (case 1b)."""
    longer, shorter = _sides(length, height)
    return {"stress": _middle(HINGED_FORCE_STRESS.at(longer, shorter), shorter, thickness, poisson, patch_area)}


def clamped_force_stress(
    length: Array, height: Array, thickness: Array, poisson: Array, patch_area: Array
) -> dict[str, Array]:
    """Force on the middle of a rectangular plate with clamped edges (case 8b): the larger of middle and edge.

    In the middle as with hinged edges but with another beta; at the middle of the longer edge beta_2 / t^2.
    """
    longer, shorter = _sides(length, height)
    edge = CLAMPED_FORCE_EDGE.at(longer, shorter) / thickness**2
    middle = _middle(CLAMPED_FORCE_STRESS.at(longer, shorter), shorter, thickness, poisson, patch_area)
    return {"stress": np.maximum(edge, middle)}


def hinged_force_stiffness(
    length: Array, height: Array, thickness: Array, modulus: Array, poisson: Array
) -> dict[str, Array]:
    """As ``hinged_force_stress``: E t^3 / (alpha b^2), b the shorter side."""
    longer, shorter = _sides(length, height)
    return {"stiffness": _bending(modulus, thickness, poisson) / (HINGED_FORCE_SAG.at(longer, shorter) * shorter**2)}


def clamped_force_stiffness(
    length: Array, height: Array, thickness: Array, modulus: Array, poisson: Array
) -> dict[str, Array]:
    """As ``clamped_force_stress``: E t^3 / (alpha b^2), b the shorter side."""
    longer, shorter = _sides(length, height)
    return {"stiffness": _bending(modulus, thickness, poisson) / (CLAMPED_FORCE_SAG.at(longer, shorter) * shorter**2)}


def hinged_pressure(
    length: Array, height: Array, thickness: Array, modulus: Array, poisson: Array
) -> dict[str, Array]:
    """Even pressure q on a rectangular plate whose edges are held but free to turn (case 1a).

    sigma = beta q b^2 / t^2 in the middle and y = alpha q b^4 / (E t^3), b the shorter side.
    """
    longer, shorter = _sides(length, height)
    bending = _bending(modulus, thickness, poisson)
    return {
        "stress": HINGED_PRESSURE_STRESS.at(longer, shorter) * shorter**2 / thickness**2,
        "stiffness": bending / (HINGED_PRESSURE_SAG.at(longer, shorter) * shorter**4),
    }


def clamped_pressure(
    length: Array, height: Array, thickness: Array, modulus: Array, poisson: Array
) -> dict[str, Array]:
    """Even pressure on a rectangular plate with clamped edges (case 8a): at the middle of the longer edge."""
    longer, shorter = _sides(length, height)
    bending = _bending(modulus, thickness, poisson)
    return {
        "stress": CLAMPED_PRESSURE_STRESS.at(longer, shorter) * shorter**2 / thickness**2,
        "stiffness": bending / (CLAMPED_PRESSURE_SAG.at(longer, shorter) * shorter**4),
    }


def _rigidity(modulus: Array, thickness: Array, poisson: Array) -> Array:
    return modulus * thickness**3 / (12 * (1 - poisson**2))


def round_hinged_force_stress(
    diameter: Array, thickness: Array, poisson: Array, patch_area: Array
) -> dict[str, Array]:
    """Force on the middle of a round plate whose edge is held but free to turn.

    6 M / t^2 with M = [(1 + nu) ln(a / r) + 1] / (4 pi), a the plate's radius.
    """
    moment = ((1 + poisson) * np.log(diameter / 2 / patch_radius(patch_area, thickness, diameter)) + 1) / (4 * np.pi)
    return {"stress": 6 * moment / thickness**2}


def round_clamped_force_stress(
    diameter: Array, thickness: Array, poisson: Array, patch_area: Array
) -> dict[str, Array]:
    """Force on the middle of a round plate with a clamped edge: the larger of middle and edge.

    6 M / t^2 with M = (1 + nu) ln(a / r) / (4 pi) in the middle and 1 / (4 pi) at the edge.
    """
    middle = (1 + poisson) * np.log(diameter / 2 / patch_radius(patch_area, thickness, diameter))
    return {"stress": 6 * np.maximum(middle, 1.0) / (4 * np.pi * thickness**2)}


def round_hinged_force_stiffness(
    diameter: Array, thickness: Array, modulus: Array, poisson: Array
) -> dict[str, Array]:
    """As ``round_hinged_force_stress``: 16 pi D (1 + nu) / (a^2 (3 + nu))."""
    rigidity = _rigidity(modulus, thickness, poisson)
    return {"stiffness": 16 * np.pi * rigidity * (1 + poisson) / ((diameter / 2) ** 2 * (3 + poisson))}


def round_clamped_force_stiffness(
    diameter: Array, thickness: Array, modulus: Array, poisson: Array
) -> dict[str, Array]:
    """As ``round_clamped_force_stress``: 16 pi D / a^2."""
    return {"stiffness": 16 * np.pi * _rigidity(modulus, thickness, poisson) / (diameter / 2) ** 2}


def round_hinged_pressure(diameter: Array, thickness: Array, modulus: Array, poisson: Array) -> dict[str, Array]:
    """Even pressure q on a round plate whose edge is held but free to turn.

    sigma = 3 (3 + nu) / 8 q a^2 / t^2 in the middle and y = (5 + nu) / (1 + nu) q a^4 / (64 D), a the plate's radius.
    """
    edge = diameter / 2
    return {
        "stress": 3 * (3 + poisson) / 8 * edge**2 / thickness**2,
        "stiffness": 64 * _rigidity(modulus, thickness, poisson) * (1 + poisson) / ((5 + poisson) * edge**4),
    }


def round_clamped_pressure(diameter: Array, thickness: Array, modulus: Array, poisson: Array) -> dict[str, Array]:
    """Even pressure q on a round plate with a clamped edge: sigma = 0.75 q a^2 / t^2 there, y = q a^4 / (64 D)."""
    edge = diameter / 2
    return {
        "stress": 0.75 * edge**2 / thickness**2,
        "stiffness": 64 * _rigidity(modulus, thickness, poisson) / edge**4,
    }
