"""Numeric model of a rectangular plate with a force on its middle."""

from __future__ import annotations

import numpy as np

from scaling.formulas.book import Array

# Roark's Formulas for Stress and Strain, 7th ed., table 11.4 case 1b, from memory; nu = 0.3.
ASPECTS = (1.0, 1.2, 1.4, 1.6, 1.8, 2.0, 3.0)
BETAS = (0.435, 0.650, 0.789, 0.875, 0.927, 0.958, 1.000)


def plate_centre_stress(
    force: Array,
    length: Array,
    height: Array,
    thickness: Array,
    poisson: Array,
    patch_width: Array,
    patch_height: Array,
) -> dict[str, Array]:
    """Bending stress (Pa) under ``force`` (N) on the middle of a simply supported plate; lengths in m.

    sigma = 3 F / (2 pi t^2) [(1 + nu) ln(2 b / (pi r)) + beta], b the shorter side. The loaded circle
    has the area of the patch; under half a thickness its radius is replaced by the equivalent one
    sqrt(1.6 r^2 + t^2) - 0.675 t (Westergaard), which keeps the stress finite under a point.
    """
    longer, shorter = np.maximum(length, height), np.minimum(length, height)
    radius = np.sqrt(patch_width * patch_height / np.pi)
    equivalent = np.sqrt(1.6 * radius**2 + thickness**2) - 0.675 * thickness
    radius = np.where(radius < 0.5 * thickness, equivalent, radius)
    beta = np.interp(longer / shorter, ASPECTS, BETAS)
    bracket = (1 + poisson) * np.log(2 * shorter / (np.pi * radius)) + beta
    return {"stress": 3 * force / (2 * np.pi * thickness**2) * bracket}
