"""The kinds of parts: how each one's mass and thickness follow the scale factor."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property


@dataclass(frozen=True)
class Kind:
    """One kind of part.

    ``power`` is that of the factor which the mass follows; of a ``sheet`` that of its area, since its mass also goes
    with its thickness, which scales, is held, or comes from a shelf. ``holds_thickness`` says that a thickness stays
    whatever the factor; ``assumed`` that the mass at the port is only assumed where the brief does not state it;
    ``solid`` that material can be pocketed out of it.
    """

    name: str
    meaning: str
    power: Fraction
    sheet: bool = False
    holds_thickness: bool = False
    assumed: bool = False
    solid: bool = False

    @cached_property
    def exponent(self) -> float:
        """The power as a number to raise to."""
        return float(self.power)


KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind("solid", "every length follows the factor, so its mass follows the cube", Fraction(3), solid=True),
        Kind("sheet", "its outline follows the factor, its thickness its own rule or a shelf", Fraction(2), sheet=True),
        Kind("bought", "comes at the mass that the brief states, else as a similar product", Fraction(3), assumed=True),
        Kind("fixed", "stays as it is", Fraction(0), holds_thickness=True),
    )
}
"""Every kind by name. What asks a part for its kind reads it here, so that a new kind is one more record."""

STATED = "fixed"
"""The kind of a part whose mass the brief states: it has that mass at every factor."""

SHEET = "sheet"
"""The kind of a part whose thickness the brief states."""
