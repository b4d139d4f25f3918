"""What every report says in the same words: how to read it, and what its figures show."""

from __future__ import annotations

READING = (
    "Similarity ratio: what a quantity would be multiplied by if the port behaved exactly like the reference. It "
    "follows from the quantity's dimensions alone: mass ratio, factor, time ratio and current ratio, each to the "
    "quantity's own power. Temperature does not scale.",
    "Drift: the computed ratio over the similarity ratio. 1 is like the reference; 0.8 is a fifth less than "
    "like-the-reference, 1.25 a quarter more. Whether less is a loss stands in the column 'better': higher, lower, or "
    "same as the reference.",
    "Clocks: by gravity's clock time grows as the square root of the factor, so that falls, tips and throws look alike "
    "in body lengths. By the driver's clock time does not scale, since a person's reaction stays as it is. Judge "
    "throws, tips and rolls by gravity's clock, and what the driver must answer in time by the driver's.",
    "Margins: strength over stress. A material's strength does not grow with the factor, so judge survival by the "
    "margin's own value and not by the drift of the stress. A margin below 1 means that the elastic estimate says it "
    "yields or breaks; one above 1 says what was computed from the stated inputs, and no more.",
    "Arena, driver, gravity and materials do not scale, so that no port is like the reference in everything: choose "
    "what to give up.",
    "Exponent: the power of the factor that a quantity follows along a law. A whole number or a fraction is exact; a "
    "decimal with a ~ is the local slope at the port's factor.",
)

FIGURES: dict[str, tuple[str, str]] = {
    "drift": (
        "Drift of each port, by either clock",
        "Dots on a log scale show the drift of the main quantities of {name}, port by port, by gravity's and by the "
        "driver's clock; 1 is like the reference. The tables of drift hold the numbers.",
    ),
    "factor_curves": (
        "Main quantities against the factor",
        "Small curves show what main quantities of {name} become as the factor grows, along the rules of each port; "
        "marks show the ports. The tables of values hold the ports' numbers.",
    ),
    "mass": (
        "Mass by group of parts, against the limit",
        "Bars show the mass of {name} and of each port by group of parts, against the mass limit. The table of mass "
        "holds every part.",
    ),
    "exponents": (
        "Exponents along each law",
        "A map shows the power of the factor that each main quantity of {name} follows, a column for each port.",
    ),
}
"""Heading and alternative text of each figure, by name; {name} is the design's."""
