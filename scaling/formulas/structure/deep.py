"""Entries of the book on plates bent further than their thickness: a wall as a strap between its ends, a lid's stretch.

A wall whose upper edge is free is not the plate that walls.py takes it for: at the least it is a strap from one end to
the other. Past its collapse it pulls on what holds its ends, and carries more the better they hold.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from scaling.book.algebra import symbols
from scaling.book.entry import Array, Model, Quantity, Validity, Variable
from scaling.formulas.impact.force import CRUSH_NUMBER
from scaling.formulas.impact.taken import ENGAGED
from scaling.formulas.structure.deep_bending import beam_at_deflection, beam_for_energy, beam_for_force
from scaling.formulas.structure.membrane import CLAMPED_SLIPPING, HINGED_SLIPPING, stretched_deflection

end_hold, end_pull, bow, length, stretched, lid_thickness = symbols(
    "wall.end_hold wall_end_pull wall_bow wall.length lid_stretched_deflection lid.thickness"
)

VARIABLES = (
    Variable("wall.end_hold", "N_w", "N", "pull along the wall that the screws at one of its ends hold; 0: they slide",
             2, allowed="not negative", optional=True),
)


def strap(
    energy: Array, tooth_area: Array, span: Array, width: Array, depth: Array, strength: Array, fibre_share: Array,
    end_hold: Array, clamped: bool,
) -> dict[str, Array]:
    """Bend a strap until it has taken the energy, or until the tooth cuts into it at p A instead.

    Inputs, floats or arrays that broadcast: energy (J), area on which the tooth bears (m^2), span, width and depth of
    the strap (m), strength (Pa), share of fibres (a laminate has no hinge: NaN), pull that its ends hold (N), whether
    they are held against turning. Returns ``bow`` (m) and ``pull`` (N), that on ends which nothing moves.
    """
    digs = CRUSH_NUMBER * np.asarray(strength) * tooth_area

    def bent(hold: Array) -> tuple[Array, Array]:
        beam = (span, width, depth, np.asarray(strength), hold, np.asarray(clamped))
        by_energy, by_force = beam_for_energy(energy, *beam), beam_for_force(digs, *beam)
        deflection = np.minimum(by_energy["deflection"], by_force["deflection"])
        deflection = np.where(np.asarray(fibre_share) > 0, np.nan, deflection)
        return deflection, beam_at_deflection(deflection, *beam)["pull"]

    return {"bow": bent(end_hold)[0], "pull": bent(np.asarray(np.inf) + 0 * np.asarray(end_hold))[1]}


def clamped_strap(
    energy: Array, tooth_area: Array, span: Array, width: Array, depth: Array, strength: Array, fibre_share: Array,
    end_hold: Array,
) -> dict[str, Array]:
    """Ends held against turning: P / P_c = 1 + x^2 to x = W / H = 1, then 2 x, P_c = 8 M_p / L, as far as held."""
    return strap(energy, tooth_area, span, width, depth, strength, fibre_share, end_hold, True)


def hinged_strap(
    energy: Array, tooth_area: Array, span: Array, width: Array, depth: Array, strength: Array, fibre_share: Array,
    end_hold: Array,
) -> dict[str, Array]:
    """Ends free to turn: P / P_c = 1 + 4 x^2 to x = W / H = 1/2, then 4 x, P_c = 4 M_p / L, as far as held."""
    return strap(energy, tooth_area, span, width, depth, strength, fibre_share, end_hold, False)


def clamped_lid_stretch(
    energy: Array, tooth_area: Array, strength: Array, stiffness: Array, thickness: Array
) -> dict[str, Array]:
    """Edge clamped and free to slip: w / h + 0.200 (w / h)^3 = F / (k h), no further than until the tooth cuts in."""
    digs = CRUSH_NUMBER * np.asarray(strength) * tooth_area
    return stretched_deflection(energy, digs, stiffness, thickness, CLAMPED_SLIPPING)


def hinged_lid_stretch(
    energy: Array, tooth_area: Array, strength: Array, stiffness: Array, thickness: Array
) -> dict[str, Array]:
    """Edge free to turn and to slip: w / h + 0.272 (w / h)^3 = F / (k h), no further than until the tooth cuts in."""
    digs = CRUSH_NUMBER * np.asarray(strength) * tooth_area
    return stretched_deflection(energy, digs, stiffness, thickness, HINGED_SLIPPING)


_SECTION = (
    "wall.length", "wall.height", "wall.thickness", "wall.strength", "wall.fibre_share", "wall.end_hold",
)
_MEAN = ("taken_glancing_energy", "taken_tooth_area")
_LID = ("taken_glancing_energy", "taken_tooth_area", "lid.strength", "lid_stiffness", "lid.thickness")
_STRAPS: tuple[tuple[Callable[..., dict[str, Array]], tuple[str, ...]], ...] = (
    (clamped_strap, ("wall.edges=clamped",)), (hinged_strap, ()),
)
_LIDS: tuple[tuple[Callable[..., dict[str, Array]], tuple[str, ...]], ...] = (
    (clamped_lid_stretch, ("lid.edges=clamped",)), (hinged_lid_stretch, ()),
)
_STRAP = (
    "haythornthwaite1957; jones-impact ch. 1 and 7: rigid-plastic beam under a force on its middle, moment and pull "
    "sharing the section, M/M_p = 1 - (N/N_p)^2"
)
_FREE_EDGE = (
    "the wall as a strap between its ends, upper and lower edge free, so it gives way more than a wall that stands on "
    "its floor; force on its middle; a tough material that does not harden; none of a laminate"
)


_STEEP = Validity(
    "wall_bow_ratio",
    "bowed by more than a quarter of its length the strap is no longer the beam that it is taken for",
    high=0.25,
)


def _of_strap(name: str, label: str, symbol: str, output: str, assumes: str) -> list[Quantity]:
    """Return a quantity of the strap, its ends clamped and hinged."""
    return [
        Quantity(
            name, label, symbol, "N" if output == "pull" else "m", "structure", "lower",
            Model(model, (*_MEAN, *_SECTION), output),
            source=_STRAP, assumes=f"{assumes}; {_FREE_EDGE}", when=when, valid=(_STEEP,),
        )
        for model, when in _STRAPS
    ]


QUANTITIES = (
    *_of_strap("wall_bow", "Side wall bow as strap in a taken hit", "W_w", "bow", ENGAGED),
    Quantity(
        "wall_bow_ratio", "Side wall bow as strap over length", "W_w/a_w", "1", "structure", "lower", bow / length,
        source="definition",
    ),
    *_of_strap("wall_end_pull", "Side wall pull on ends in a taken hit", "N_wt", "pull",
               f"{ENGAGED}; ends that nothing moves"),
    Quantity(
        "wall_end_hold_ratio", "Side wall end hold over its pull", "N_w/N_wt", "1", "structure", "higher",
        end_hold / end_pull,
        source="definition",
        assumes="below 1 the ends slide and the wall bows further, as wall_bow counts; it does not end by that",
    ),
    *(
        Quantity(
            "lid_stretched_deflection", "Lid deflection with stretch", "y_ls", "m", "structure", "lower",
            Model(model, _LID, "deflection"),
            source="woinowsky-krieger table 82: large deflections of a round plate under a force on its middle, edge "
            "free to slip",
            assumes=f"{ENGAGED}, a tooth that runs along the lid; elastic; a rectangular lid as a round one of its own "
            "bending stiffness; lid_taken_deflection is that without stretch",
            when=when,
        )
        for model, when in _LIDS
    ),
    Quantity(
        "lid_stretched_deflection_ratio", "Lid bow/thickness with stretch", "y_ls/t_l", "1", "structure", "lower",
        stretched / lid_thickness,
        source="definition",
    ),
)
