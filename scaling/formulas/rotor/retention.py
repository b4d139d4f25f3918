"""Entries of the book on what holds a rotor in a hit: its two bearings, and what keeps it from sliding off its axle."""

from __future__ import annotations

from collections.abc import Mapping

from scaling.book.algebra import symbols
from scaling.book.entry import Array, Model, Quantity, Variable
from scaling.files.errors import InputError
from scaling.files.schema import Choice
from scaling.formulas.rotor.bearing_load import shared_load, static_margin
from scaling.shop.shelves import Shelves

rating, load, hit_force, axial_share, axial_hold, axial_load = symbols(
    "rotor.bearing.static_rating rotor_bearing_load hit_force rotor.axial_share rotor.axial_hold rotor_axial_load"
)

_B = "rotor.bearing"

VARIABLES = (
    Variable(f"{_B}.static_rating", "C_0", "N", "static rating of one of the rotor's two bearings", 2,
             unless="designation"),
    Variable(f"{_B}.spacing", "L_c", "m", "distance between the middles of the rotor's two bearings, the shaft's span "
             "where it is not stated", 1, optional=True),
    Variable(f"{_B}.offset", "x_c", "m", "from the middle between the bearings to the rotor's middle", 1,
             allowed="not negative", default=0.0),
    Variable("rotor.axial_share", "p_c", "1", "share of a hit's force that pushes along the axle",
             allowed="fraction", default=0.2),  # common practice, no source
    Variable("rotor.axial_hold", "F_c", "N", "force along the axle that the rotor's nut, clip or collar holds", 2,
             optional=True),
)

CHOICES = {
    f"{_B}.designation": Choice(None, "the rotor's two bearings as the shelf calls them, such as 608", optional=True),
}

_BEARING_INPUTS = ("hit_force", f"{_B}.spacing", f"{_B}.offset", f"{_B}.static_rating", "rotor.axial_share")


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
        "rotor_axial_load", "Axial load on the rotor in a hit", "F_x", "N", "rotor", "lower", axial_share * hit_force,
        source="definition: rotor.axial_share of the hit's force; common-practice: its default of a fifth",
        assumes="a struck edge is seldom square to the axle",
    ),
    Quantity(
        "rotor_axial_margin", "Rotor axial hold in a hit", "F_c/F_x", "1", "rotor", "higher", axial_hold / axial_load,
        role="survival",
        source="definition",
        assumes="below 1 the rotor slides along its axle",
    ),
)


def derive(numbers: dict[str, float], words: Mapping[str, str], shelves: Shelves) -> None:
    """Set the bearings' rating from the shelf, and their spacing; raises InputError for one that is not there."""
    if f"{_B}.designation" in words and f"{_B}.static_rating" not in numbers:
        numbers[f"{_B}.static_rating"] = _rating(words[f"{_B}.designation"], shelves)
    if f"{_B}.static_rating" in numbers and "rotor.shaft.span" in numbers:
        numbers.setdefault(f"{_B}.spacing", numbers["rotor.shaft.span"])


def _rating(designation: str, shelves: Shelves) -> float:
    try:
        found = shelves.bearing(designation).static_rating
    except InputError as error:
        error.key = f"{_B}.designation"
        raise
    if found is None:
        raise InputError("the shelf has no static rating of this bearing", None, f"{_B}.designation", designation,
                         hint=f"state {_B}.static_rating")
    return found
