"""What every report says in the same words: its headings, and how to read drift."""

from __future__ import annotations

READING = (
    "Similarity ratio: what a quantity would be multiplied by if the port behaved exactly like the reference. It "
    "follows from the quantity's dimensions alone: mass ratio, factor, time ratio and current ratio, each to the "
    "quantity's own power. Temperature does not scale.",
    "Drift: the computed ratio over the similarity ratio. 1 is like the reference; 0.8 is a fifth less than "
    "like-the-reference, 1.25 a quarter more. Whether less is a loss stands in the column 'better': higher, lower, or "
    "same as the reference.",
    "Clocks: by gravity's clock time grows as the square root of the factor, so that falls, tips and throws look alike "
    "in body lengths. By the driver's clock time does not scale, since a person's reaction stays as it is, and by the "
    "match's it does not either. A quantity with a clock of its own is judged by that: throws, tips and rolls by "
    "gravity's, what the driver must answer in time by the driver's, heat and packs by the match's; all others by "
    "gravity's.",
    "Margins: strength over stress. A material's strength does not grow with the factor, so judge survival by the "
    "margin's own value and not by the drift of the stress. A margin below 1 means that the estimate says it yields, "
    "folds or breaks; one before a hit marks it, that it stays bent there; one above 1 says what was computed from the "
    "stated inputs, and no more.",
    "Arena, driver, gravity and materials do not scale, so that no port is like the reference in everything: choose "
    "what to give up.",
    "Exponent: the power of the factor that a quantity follows along a law. A whole number or a fraction is exact; a "
    "decimal with a ~ is the local slope at the port's factor.",
)

READING_SHORT = (
    "Drift is what a quantity became over what it would be if the port behaved just like the reference: 1 is alike, "
    "0.8 a fifth less. By gravity's clock time stretches with the square root of the factor, as falls and throws do; "
    "by the driver's it does not, as reaction, heat and a match do not. 'counts' says which of them judges."
)

PAGE: dict[str, str] = {
    "ports": "Ports side by side",
    "risks": "What may go wrong, and the mend",
    "worst": "What drifts",
    "mass": "Mass",
    "sizes": "Shopping list",
    "doubts": "Assumed and doubted",
    "pictures": "Further pictures",
    "cautions": "Cautions",
    "repeat": "To repeat this study",
}
"""Headings of the page by id, in order; a picture stands in the section that its record names."""

PAGE_COMPARED = {"ports": "Machines side by side", "sizes": "Sizes and holes"}
"""Headings that a comparison of machines has in place of those."""

NUMBERS: dict[str, str] = {
    "laws": "Factor of each law",
    "gives": "What each port gives up",
    "freed": "What the free dimensions restore, and what limits cost",
    "problems": "Problems",
    "throws": "Throws",
    "rules": "What each law and rule means",
    "parts": "Mass of every port",
    "shelves": "What the shelves did",
    "absent": "Absent for want of an input",
    "branches": "All quantities by branch",
    "groups": "Dimensionless groups",
    "reading": "How to read drift",
    "formulas": "Formulas",
    "inputs": "Inputs",
    "sources": "Sources",
    "more": "Further pictures",
}
"""Headings of the file behind the page, by id, in order."""

NUMBERS_COMPARED = {"laws": "Factor of each machine", "rules": "What each is judged by"}
"""Headings that a comparison of machines has in place of those."""
