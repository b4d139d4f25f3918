"""A hub motor's rotor stops dead in one bite: what its can, its magnets and what holds it get, and what gives first.

No belt slips between rotor and motor, so the can, the magnets in it and the axle are stopped as fast as the tip is.
"""

from __future__ import annotations

import itertools

from scaling.book.algebra import least, pi, sqrt, symbol, symbols
from scaling.book.entry import Model, Quantity
from scaling.formulas.impact.rotor_stop import SHALLOW
from scaling.formulas.rotor.hub import (
    BOLTS_ASSUME,
    BOND_ASSUMES,
    HUB,
    ON_ITS_FACE,
    SHOCK_INPUTS,
    bolt_shear,
    bolt_strength,
    bond_under_force,
    can_inertia,
    can_radius,
    can_strength,
    hoop,
    rotor_inertia,
    shear_share,
)
from scaling.formulas.structure.clash_holds import HINGE, HINGED

thickness, bond_strength = symbols("rotor.can.thickness rotor.can.bond_strength")
stop_torque, stop_force, hit_force, mount_margin = symbols("stop_torque stop_force hit_force bolt_combined_margin")
can_torque, bond_stress, can_stress = symbols("hub_stop_torque hub_magnet_stop_stress hub_can_stop_stress")

LINKS = {
    "magnets": "magnet_stall_margin",
    "can": "can_stall_margin",
    "rotor's screws": "hub_bolt_stall_margin",
    "axle": "axle_stall_margin",
    "mount's screws": "rotor_mount_stall_margin",
}
"""What can give way when a hub motor's rotor stops dead, and the margin of each: the least goes first."""

_STOPPED = "the whole energy gone in the angle of one bite, on the mean; its peak is up to twice as high"
_VALID = (SHALLOW,)


def _weakest() -> tuple[Quantity, ...]:
    """Return the least margin of the links that are known, the fullest set first; axle and mount always count."""
    margins = {link: symbol(name) for link, name in LINKS.items()}
    sometimes = ("magnets", "can", "rotor's screws")
    always = [margin for link, margin in margins.items() if link not in sometimes]
    sets = [known for count in (3, 2, 1, 0) for known in itertools.combinations(sometimes, count)]
    return tuple(
        Quantity(
            "weakest_link_margin", "Dead-stop least margin", "n_w", "1", "transmission", "higher",
            least(*always, *(margins[link] for link in known)),
            source="definition: the chain gives way at its weakest link",
            assumes="of what is stated",
            when=HUB,
        )
        for known in sets
    )


QUANTITIES = (
    Quantity(
        "hub_stop_torque", "Dead-stop torque on hub motor can", "T_c", "N m", "transmission", "lower",
        stop_torque * can_inertia / rotor_inertia,
        source="meriam sec. 6/4: rotation of what is fixed together, T I_c / I",
        assumes=_STOPPED, when=HUB, valid=_VALID,
    ),
    Quantity(
        "hub_magnet_stop_stress", "Dead-stop magnet bond stress", "sigma_ms", "Pa", "transmission", "lower",
        Model(bond_under_force, (*SHOCK_INPUTS, "stop_force"), "stress"),
        source="as hub_magnet_stress",
        assumes=f"{_STOPPED}; {BOND_ASSUMES}", when=HUB, valid=_VALID,
    ),
    Quantity(
        "magnet_stall_margin", "Dead-stop magnet bond margin", "n_ms", "1", "transmission", "higher",
        bond_strength / bond_stress,
        role="survival",
        source="definition",
        when=HUB, valid=_VALID,
    ),
    Quantity(
        "hub_can_stop_stress", "Dead-stop hub motor can stress", "sigma_cs", "Pa", "transmission", "lower",
        sqrt(hoop**2 + 3 * (can_torque / (2 * pi * can_radius**2 * thickness)) ** 2),
        source="shigley5 ch. 2 and 6: thin tube in torsion, T / (2 pi r^2 t), and the hoop stress of its spin by "
        "distortion energy",
        assumes=f"{_STOPPED}; the whole can's torque through its ring; no windows", when=HUB, valid=_VALID,
    ),
    Quantity(
        "can_stall_margin", "Dead-stop hub motor can margin", "n_cs", "1", "transmission", "higher",
        can_strength / can_stress,
        role="survival",
        source="definition",
        when=HUB, valid=_VALID,
    ),
    Quantity(
        "hub_bolt_stall_margin", "Dead-stop rotor-to-can bolt margin", "n_hs", "1", "transmission", "higher",
        shear_share * bolt_strength / bolt_shear(stop_force, can_torque),
        role="survival",
        source="as hub_bolt_margin",
        assumes=f"{_STOPPED}; {BOLTS_ASSUME}", when=ON_ITS_FACE, valid=_VALID,
    ),
    Quantity(
        "axle_stall_margin", "Dead-stop axle hinge margin", "n_xs", "1", "transmission", "higher",
        HINGE / stop_force,
        role="survival",
        source=HINGED,
        assumes=f"{_STOPPED}; supports free to turn; below 1 the axle bends over", when=HUB, valid=_VALID,
    ),
    Quantity(
        "rotor_mount_stall_margin", "Dead-stop rotor mount bolt margin", "n_rs", "1", "transmission", "higher",
        mount_margin * hit_force / stop_force,
        role="survival",
        source="as bolt_combined_margin: which falls as the force rises",
        assumes=_STOPPED, when=HUB, valid=_VALID,
    ),
    *_weakest(),
)
