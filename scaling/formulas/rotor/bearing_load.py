"""Bearings of the rotor under a hit: how the force is shared between two of them, and their static rating over it.

A ball bearing that stands still, or turns less than a turn while it is hit, is dented by a load over its static rating:
the balls' seats stay 1/10 000 of a ball's diameter deep, which is felt as roughness. Source: ISO 76, the static
equivalent load of deep-groove bearings, as quoted by secondary pages. The same holds for the two bearings of a hub
motor.
"""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array


def shared_load(force: Array, spacing: Array, offset: Array) -> dict[str, Array]:
    """Return what each of two bearings carries of a force square to their shaft.

    F (1/2 + x / L) on the near one, F (1/2 - x / L) on the far one, which an overhung rotor (x over L / 2) lifts.

    Inputs, floats or arrays that broadcast: force (N), distance L between the bearings' middles (m), offset x of the
    force from the middle between them (m). Returns ``near`` and ``far`` (N, negative where it is lifted). NaN for a
    spacing that is not positive. Valid for bearings that do not hold the shaft's slope.

    >>> found = shared_load(4000.0, 0.034, 0.0)
    >>> float(found["near"]), float(found["far"])
    (2000.0, 2000.0)

    Source: moments about a bearing.
    """
    spacing = np.asarray(spacing, dtype=float)
    with np.errstate(all="ignore"):
        out = np.abs(offset) / np.where(spacing > 0, spacing, np.nan)
    return {"near": np.asarray(force * (0.5 + out)), "far": np.asarray(force * (0.5 - out))}


def static_margin(static_rating: Array, radial: Array, axial: Array) -> dict[str, Array]:
    """Return a deep-groove ball bearing's static rating over its load, C_0 / max(F_r, 0.6 F_r + 0.5 F_a).

    Inputs, floats or arrays that broadcast: static rating C_0 (N), radial and axial load (N, either sign). Returns
    ``load`` (N) and ``margin``, infinite without a load. Below 1 the bearing is dented and runs rough; it breaks
    at several times that. Valid for a still or slowly turning bearing: dents of one that runs fast spread and are
    smaller.

    >>> round(float(static_margin(1370.0, 2000.0, 0.0)["margin"]), 3)
    0.685

    Source: ISO 76, as quoted by secondary pages.
    """
    radial, axial = np.abs(np.asarray(radial, dtype=float)), np.abs(np.asarray(axial, dtype=float))
    load = np.maximum(radial, 0.6 * radial + 0.5 * axial)
    with np.errstate(all="ignore"):
        return {"load": load, "margin": np.asarray(static_rating / load)}
