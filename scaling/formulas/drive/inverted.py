"""Driving upside down: whether the wheels reach the floor there, what is left under the body, where the rotor is."""

from __future__ import annotations

from scaling.book.algebra import Expression, symbols, where
from scaling.book.entry import Quantity, Variable

wheel_diameter, stated, height, seam = symbols("wheel.diameter body_height height arena.seam")
axle_height, rotor_diameter, rotor_width = symbols("rotor.axle_height rotor.diameter rotor.width")
body_top, clearance = symbols("body_top inverted_clearance")

VARIABLES = (
    Variable("body_height", "H_b", "m", "height of the body's top above the floor, wheels and rotor left out", 1,
             optional=True),
)


_ON_WHEELS = "upside down on the wheels, whose axles are half their diameter above the floor"


def _rotor(axis: str, reach: str, half: Expression) -> Quantity:
    return Quantity(
        "inverted_rotor_margin", "Rotor room upside down", "h_i/r", "1", "drive", "higher",
        where(wheel_diameter > axle_height, (wheel_diameter - axle_height) / half),
        clock="driver",
        source=f"definition: height of the rotor's middle upside down over {reach}",
        assumes=f"{_ON_WHEELS}; below 1 the rotor meets the floor; none where its middle would be under it",
        when=(f"rotor.axis={axis}",),
    )


_BODY = ("body_top", "Body height", "H_b", "m", "drive")

QUANTITIES = (
    Quantity(*_BODY, "lower", stated, source="definition: the design's stated height of its body"),
    Quantity(
        *_BODY, "lower", height,
        source="definition: the design's whole height",
        assumes="body_height not stated: rotor and wheels may stand out of it, so the body may be lower",
    ),
    Quantity(
        "inverted_wheel_margin", "Wheel diameter over body height", "d_w/H_b", "1", "drive", "higher",
        wheel_diameter / body_top,
        role="handling", clock="driver",
        source="definition",
        assumes="above 1 the wheels stand out above the body too, and it drives upside down",
    ),
    Quantity(
        "inverted_clearance", "Ground clearance upside down", "c_i", "m", "drive", "higher",
        where(wheel_diameter > body_top, wheel_diameter - body_top),
        clock="driver",
        source="definition",
        assumes=f"{_ON_WHEELS}; none where they do not reach the floor",
    ),
    Quantity(
        "inverted_seam_margin", "Clearance upside down over a seam", "c_i/s_f", "1", "drive", "higher",
        clearance / seam,
        clock="driver",
        source="definition",
        assumes="as seam_clearance_margin; as inverted_clearance",
    ),
    _rotor("across", "its radius", rotor_diameter / 2),
    _rotor("along", "its radius", rotor_diameter / 2),
    _rotor("upright", "half its width", rotor_width / 2),
)
