"""Limits of size of ISO metric coarse threads, on which the strip areas of a bolt and its thread rest.

A thread at the edge of its tolerance overlaps its partner least; areas from the basic sizes would be more
than a quarter too large.

Source: ISO 965-1, tolerance 6g for the bolt and 6H for the hole. The bolt's for pitches up to 1 mm and the hole's
TD2 up to 1.25 mm as quoted by secondary pages, the others from memory; M5, M6, M8 and M10 are confirmed by
published strip areas.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

MICROMETRE = 1e-6


@dataclass(frozen=True)
class Limits:
    """Worst sizes in m of a bolt in a tapped hole: those at which the two threads overlap least."""

    external_major: float
    external_pitch: float
    internal_pitch: float
    internal_minor: float


# Pitch in mm -> in micrometres: deviation es of the bolt, tolerances of its major diameter Td and its pitch
# diameter Td2, of the hole's pitch diameter TD2 and its minor diameter TD1.
TOLERANCES = {
    0.35: (19, 85, 63, 85, 100),
    0.4: (19, 95, 67, 90, 112),
    0.45: (20, 100, 71, 95, 125),
    0.5: (20, 106, 75, 100, 140),
    0.7: (22, 140, 90, 118, 180),
    0.8: (24, 150, 95, 125, 200),
    1.0: (26, 180, 112, 150, 236),
    1.25: (28, 212, 118, 160, 265),
    1.5: (32, 236, 132, 180, 300),
    1.75: (34, 265, 150, 200, 335),
}


def limits(diameter: float, pitch: float) -> Limits | None:
    """Return the limits of a thread of nominal ``diameter`` and ``pitch`` in m, None for a pitch not listed.

    The basic pitch diameter is d - 0.649519 P, the basic minor diameter of the hole d - 1.082532 P (ISO 724), both in
    whole micrometres as the standard lists them.
    """
    found = next((row for size, row in TOLERANCES.items() if math.isclose(size, pitch * 1e3, rel_tol=1e-6)), None)
    if found is None:
        return None
    deviation, major, external, internal, minor = (value * MICROMETRE for value in found)
    basic_pitch, basic_minor = round(diameter - 0.649519 * pitch, 6), round(diameter - 1.082532 * pitch, 6)
    return Limits(
        external_major=diameter - deviation - major,
        external_pitch=basic_pitch - deviation - external,
        internal_pitch=basic_pitch + internal,
        internal_minor=basic_minor + minor,
    )
