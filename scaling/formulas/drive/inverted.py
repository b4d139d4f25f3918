"""Driving upside down: whether the wheels reach the floor there, what is left under the body, where the rotor is."""

from __future__ import annotations

from scaling.book.entry import Quantity, Variable, symbols, where

wheel_diameter, body_height, seam = symbols("wheel.diameter body_height arena.seam")
axle_height, rotor_diameter, rotor_width = symbols("rotor.axle_height rotor.diameter rotor.width")
clearance = symbols("inverted_clearance")[0]

VARIABLES = (
    Variable("body_height", "H_b", "m", "height of the body's top above the floor, wheels and rotor left out", 1,
             derived=True),
)


def derive(numbers: dict[str, float]) -> None:
    """Take the whole height as the body's where it is not stated."""
    if "height" in numbers:
        numbers.setdefault("body_height", numbers["height"])


_ON_WHEELS = "upside down on the wheels, whose axles are half their diameter above the floor"


def _rotor(axis: str, reach: str, half: object) -> Quantity:
    return Quantity(
        "inverted_rotor_margin", "Rotor room upside down", "h_i/r", "1", "drive", "higher",
        where(wheel_diameter > axle_height, (wheel_diameter - axle_height) / half),
        clock="driver",
        source=f"definition: height of the rotor's middle upside down over {reach}",
        assumes=f"{_ON_WHEELS}; below 1 the rotor meets the floor; none where its middle would be under it",
        when=(f"rotor.axis={axis}",),
    )


QUANTITIES = (
    Quantity(
        "inverted_wheel_margin", "Wheel diameter over body height", "d_w/H_b", "1", "drive", "higher",
        wheel_diameter / body_height,
        role="handling", clock="driver",
        source="definition",
        assumes="above 1 the wheels stand out above the body too, and it drives upside down; the whole height counts "
        "where body_height is not stated",
    ),
    Quantity(
        "inverted_clearance", "Ground clearance upside down", "c_i", "m", "drive", "higher",
        where(wheel_diameter > body_height, wheel_diameter - body_height),
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
