"""Entries of the book on what holds a rotor: its bearings under a hit, a hub motor's can, a ring's bore."""

from __future__ import annotations

from scaling.book.entry import Array, Model, Quantity, Variable, symbols
from scaling.files.schema import Choice
from scaling.formulas.rotor.bearing_load import shared_load, static_margin
from scaling.formulas.rotor.hub_motor import bore_fit, can_stress

rating, load, can_strength, hoop = symbols(
    "rotor.bearing.static_rating rotor_bearing_load rotor.can.strength hub_can_stress"
)

_C = "rotor.can"

VARIABLES = (
    Variable("rotor.bearing.static_rating", "C_0", "N", "static rating of one of the rotor's two bearings", 2),
    Variable("rotor.bearing.spacing", "L_c", "m", "distance between the middles of the rotor's two bearings", 1),
    Variable("rotor.bearing.offset", "x_c", "m", "from the middle between the bearings to the rotor's middle", 1,
             allowed="not negative", default=0.0),
    Variable("rotor.bearing.axial_share", "p_c", "1", "share of a hit's force that pushes along the axle",
             allowed="fraction", default=0.0),
    Variable("rotor.hub_clearance", "c_h", "m", "clearance of a ring on its hub motor's can, on the diameter", 1,
             allowed="any", default=0.0),
    Variable(f"{_C}.mass", "m_c", "kg", "mass of a hub motor's can, its ring alone", 3),
    Variable(f"{_C}.radius", "r_c", "m", "middle radius of the can's ring", 1),
    Variable(f"{_C}.thickness", "t_c", "m", "thickness of the can's ring", 1),
    Variable(f"{_C}.length", "l_c", "m", "length of the can's ring along the axle, windows taken off", 1),
    Variable(f"{_C}.magnet_mass", "m_m", "kg", "mass of all the magnets in the can", 3),
    Variable(f"{_C}.magnet_radius", "r_m", "m", "radius of the magnets' middle", 1),
    Variable(f"{_C}.strength", "S_c", "Pa", "strength of the can's material", derived=True),
)

CHOICES = {
    "rotor.hub_mounting": Choice(
        ("face", "ring"), "face: bolted to the can's face; ring: the rotor goes round the can of its hub motor",
        default="face",
    ),
    f"{_C}.material": Choice(None, "material of a hub motor's can"),
}

_BEARING_INPUTS = (
    "hit_force", "rotor.bearing.spacing", "rotor.bearing.offset", "rotor.bearing.static_rating",
    "rotor.bearing.axial_share",
)


def nearer_bearing(force: Array, spacing: Array, offset: Array, rating: Array, axial_share: Array) -> dict[str, Array]:
    """Return the static equivalent ``load`` (N) of the nearer of two bearings and its ``margin`` under a hit.

    Inputs, floats or arrays that broadcast: force (N), spacing and offset (m) as ``shared_load``, static rating (N),
    share of the force along the axle, which one bearing takes alone.
    """
    return static_margin(rating, shared_load(force, spacing, offset)["near"], force * axial_share)


QUANTITIES = (
    Quantity(
        "rotor_bearing_load", "Load of nearer rotor bearing in a hit", "P_0", "N", "rotor", "lower",
        Model(nearer_bearing, _BEARING_INPUTS, "load"),
        source="iso76: static equivalent load of a radial ball bearing; meriam sec. 3/3: moments about a bearing",
        assumes="two bearings that do not hold the shaft's slope; a hub motor's are meant too",
    ),
    Quantity(
        "rotor_bearing_margin", "Rotor bearing static margin in a hit", "C_0/P_0", "1", "rotor", "higher",
        rating / load,
        role="survival",
        source="iso76 sec. 3.6: static rating over static equivalent load",
        assumes="below 1 the balls dent their seats and the bearing runs rough; it breaks at several times that; dents "
        "of a bearing that runs fast spread and are smaller",
    ),
    Quantity(
        "hub_bore_ratio", "Bore over what the hub motor needs", "d_b/d_m", "1", "rotor", "same",
        Model(bore_fit, ("rotor.bore", "rotor.motor.diameter", "rotor.hub_clearance"), "ratio"),
        source="definition",
        assumes="below 1 the ring does not go over its motor",
        when=("rotor.transmission=hub", "rotor.hub_mounting=ring"),
    ),
    Quantity(
        "hub_can_stress", "Hub motor can hoop stress", "sigma_c", "Pa", "rotor", "lower",
        Model(can_stress, (f"{_C}.mass", f"{_C}.radius", f"{_C}.magnet_mass", f"{_C}.magnet_radius", "rotor.speed",
                           f"{_C}.thickness", f"{_C}.length"), "stress"),
        source="timoshenko-goodier: thin spinning ring; own-derivation: magnets in pieces carry nothing round the ring",
        assumes="thin ring; no rotor pressed round it that helps or pulls",
        when=("rotor.transmission=hub",),
    ),
    Quantity(
        "hub_can_margin", "Hub motor can margin", "S_c/sigma_c", "1", "rotor", "higher",
        can_strength / hoop,
        role="survival",
        source="definition",
    ),
)
