"""Shaft and teeth when two rotors meet: the margins under the force of impact/clash.py, head on as the bound beside."""

from __future__ import annotations

from scaling.book.algebra import Expression, symbols
from scaling.book.entry import Quantity

strength, diameter, span, root_force, force, bound = symbols(
    "rotor.shaft.strength rotor.shaft.diameter rotor.shaft.span tooth_root_force clash_force clash_force_bound"
)

HINGE = 2 * strength * diameter**3 / (3 * span)
"""Force (N) in the middle of the rotor's shaft that makes it bend over."""

HINGED = (
    "own-derivation: plastic hinge of a round section, M_p = S d^3 / 6, under a force in the middle of its span, "
    "F = 4 M_p / L"
)


def _margins(word: str, mark: str, struck: Expression) -> tuple[Quantity, ...]:
    """Return the margins of shaft and tooth under a force; ``word`` ends their names, ``mark`` their symbols."""
    says = "head on" if word else "in a clash"
    how = "; head on, a bound" if word else "; at attacker.tip_angle"
    rows = (
        ("shaft", "Shaft hinge margin", HINGE, HINGED, "supports free to turn; below 1 the shaft bends over"),
        ("tooth", "Tooth root margin", root_force, "definition: tooth_root_force over the force",
         "below 1 the tooth bends over or shears off; a hard tooth chips before"),
    )
    return tuple(
        Quantity(
            f"clash_{part}_margin{word}", f"{label} {says}", f"n_{part[0]}{mark}", "1", "structure", "higher",
            holds / struck,
            role="detail" if word else "survival",
            source=source,
            assumes=f"{assumes}{how}",
        )
        for part, label, holds, source, assumes in rows
    )


QUANTITIES = (*_margins("", "c", force), *_margins("_bound", "cb", bound))
