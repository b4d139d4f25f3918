"""The structure branch: shaft, walls, lids, wedge, rails and a landing, each in strength and in stiffness.

The formulas stand in modules of one idea each; here they are joined into the branch.
"""

from __future__ import annotations

from scaling.formulas import cantilever, landing, rail, shaft, walls

VARIABLES = (
    *shaft.VARIABLES,
    *walls.VARIABLES,
    *cantilever.VARIABLES,
    *rail.VARIABLES,
    *landing.VARIABLES,
)

CHOICES = shaft.CHOICES | walls.CHOICES | cantilever.CHOICES | rail.CHOICES

QUANTITIES = (
    *shaft.QUANTITIES,
    *walls.QUANTITIES,
    *cantilever.QUANTITIES,
    *rail.QUANTITIES,
    *landing.QUANTITIES,
)
