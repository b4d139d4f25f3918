"""Standing: on the wheels, on the back, on a side, and the energy to tip the machine over each edge.

The machine is taken as its outer box with the contacts in the middle of its length; its centre of gravity lies
cg_height above the floor it drives on and cg_ahead of the rear contact.
"""

from __future__ import annotations

from scaling.book.algebra import Expression, atan, largest, sqrt, symbols
from scaling.book.entry import Quantity

mass, gravity, length, width, height = symbols("mass gravity length width height")
track, wheelbase, cg_height, cg_ahead = symbols("track wheelbase cg_height cg_ahead")
wheel_diameter, friction, stability_factor = symbols("wheel.diameter wheel.friction static_stability_factor")
edge_energies = symbols("back_tip_energy_side back_tip_energy_front back_tip_energy_rear")

BACK_HEIGHT = height - cg_height
"""Height of the centre of gravity above the floor when the machine lies on its back."""
TO_REAR = (length - wheelbase) / 2 + cg_ahead
TO_FRONT = length - TO_REAR
"""Distances along the machine from its centre of gravity to its ends."""

_TIP = "meriam sec. 3/7: conservation of energy, the centre of gravity lifted over the edge"
_BOX = "outer box, contacts in the middle of its length; slow, no bounce, the edge does not slide"


def over_edge(away: Expression, above: Expression) -> Expression:
    """Energy to tip over an edge ``away`` from the centre of gravity, which starts at height ``above``."""
    return mass * gravity * (sqrt(away**2 + above**2) - above)


def _from_back(edge: str, away: Expression, where: str) -> Quantity:
    return Quantity(
        f"back_tip_energy_{edge}", f"Righting energy over {where}", "E_t", "J", "righting", "lower",
        over_edge(away, BACK_HEIGHT), clock="gravity", source=_TIP, assumes=_BOX,
    )


QUANTITIES = (
    Quantity(
        "static_stability_factor", "Static stability factor", "t/2h", "1", "righting", "higher",
        track / (2 * cg_height),
        clock="gravity",
        source="nhtsa2000: static stability factor, T / (2 H)",
        assumes="sideways acceleration in g that lifts a side, on stiff wheels",
    ),
    Quantity(
        "side_tip_angle", "Side tip angle", "theta_t", "rad", "righting", "higher",
        atan(stability_factor),
        clock="gravity",
        source="as static_stability_factor: tilt table, tan of the angle is the static stability factor",
    ),
    Quantity(
        "slide_margin", "Tip-before-slide margin", "t/(2 h mu)", "1", "righting", "higher", stability_factor / friction,
        clock="gravity",
        source="definition: static stability factor over the tyres' friction",
        assumes="above 1 a machine shoved sideways slides before it tips",
    ),
    Quantity(
        "wheels_tip_energy", "Energy to tip off its wheels", "E_w", "J", "righting", "higher",
        over_edge(track / 2, cg_height),
        clock="gravity",
        source=_TIP, assumes="about the wheels of one side; slow, the wheels do not slide",
    ),
    Quantity(
        "back_stability_factor", "Stability factor on its back", "W/2h'", "1", "righting", "lower",
        width / (2 * BACK_HEIGHT),
        clock="gravity",
        source="as static_stability_factor: for the outer box upside down",
        assumes="lower is easier to right; outer box",
    ),
    Quantity(
        "inverted_wheel_ratio", "Wheel diameter over height", "d_w/H", "1", "righting", "higher",
        wheel_diameter / height,
        source="definition",
        assumes="1 where the wheels reach the floor either way up, so that it drives on its back",
    ),
    _from_back("side", width / 2, "a side"),
    _from_back("front", TO_FRONT, "the front"),
    _from_back("rear", TO_REAR, "the rear"),
    Quantity(
        "righting_energy", "Righting energy over the worst edge", "E_r", "J", "righting", "lower",
        largest(*edge_energies), clock="gravity", source="definition: the greatest of the edges' energies",
        assumes=_BOX,
    ),
    Quantity(
        "side_tip_energy", "Righting energy from its side", "E_s", "J", "righting", "lower",
        over_edge(cg_height, width / 2), clock="gravity", source=_TIP, assumes=_BOX,
    ),
    Quantity(
        "righting_torque", "Righting torque at the worst edge", "T_r", "N m", "righting", "lower",
        mass * gravity * largest(width / 2, TO_FRONT, TO_REAR),
        clock="gravity",
        source="own-derivation: moments about the edge, m g times the distance to the centre of gravity",
        assumes=_BOX,
    ),
)
