"""What the rotor's own speed does to it: stress by shape, pull on bolted-in teeth, unbalance and whirl."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from scaling.book.algebra import Expression, largest, pi, sqrt, symbols
from scaling.book.entry import Quantity, Validity, Variable
from scaling.files.errors import InputError
from scaling.files.schema import Choice
from scaling.shop.shelves import Shelves

diameter, width, chord, bore = symbols("rotor.diameter rotor.width rotor.chord rotor.bore")
speed, rotor_mass, density, strength = symbols("rotor.speed rotor.mass rotor.density rotor.strength")
mass, gravity, stress_factor, grade = symbols("mass gravity rotor.stress_factor rotor.balance_grade")
tooth_mass, tooth_radius, bolts, stress_area, bolt_strength = symbols(
    "rotor.tooth.mass rotor.tooth.radius rotor.tooth.bolts rotor.tooth.bolt_stress_area rotor.tooth.bolt_strength"
)
shaft_diameter, span, modulus, shaft_density = symbols(
    "rotor.shaft.diameter rotor.shaft.span rotor.shaft.modulus rotor.shaft.density"
)
tip_speed, rotor_speed, rim_stress, mean_stress, peak_stress = symbols(
    "tip_speed rotor_speed rotor_rim_stress rotor_mean_stress rotor_peak_stress"
)
tooth_pull, tooth_stress, eccentricity, unbalance, shake = symbols(
    "tooth_pull tooth_bolt_stress permissible_eccentricity permissible_unbalance unbalance_force"
)
whirl_speed = symbols("whirl_speed")[0]

VARIABLES = (
    Variable("rotor.balance_grade", "G", "m/s", "balance grade, the speed of the mass centre about the axis", 0,
             default=6.3e-3),
    Variable("rotor.tooth.mass", "m_t", "kg", "mass of one bolted-in tooth", 3),
    Variable("rotor.tooth.radius", "r_t", "m", "distance of a tooth's centre of mass from the axis", 1),
    Variable("rotor.tooth.bolts", "n_t", "1", "bolts that hold one tooth", allowed="count", default=1.0),
    Variable("rotor.tooth.bolt_stress_area", "A_t", "m^2", "stress area of a tooth's bolt", 2, derived=True,
             follows=("rotor.tooth.bolt",)),
    Variable("rotor.tooth.bolt_strength", "R_t", "Pa", "tensile strength of a tooth's bolt", derived=True,
             follows=("rotor.tooth.bolt_class",)),
    Variable("rotor.shaft.modulus", "E_s", "Pa", "modulus of the shaft's material", derived=True),
    Variable("rotor.shaft.density", "rho_s", "kg/m^3", "density of the shaft's material", derived=True),
)

CHOICES = {
    "rotor.tooth.bolt": Choice(None, "size of a tooth's bolts, such as M4", optional=True),
    "rotor.tooth.bolt_class": Choice(None, "strength class of a tooth's bolts, such as 12.9", optional=True),
    "rotor.tooth.bolt_load": Choice(("tension", "shear"), "how the tooth's pull loads its bolts", default="tension"),
}

_FLAT = Validity(
    "disc_flatness",
    "a disc is taken as thin, which is 2 % off at four times its width",
    low=4.0,
    source="love-elasticity art. 80",
)
_SLENDER = Validity(
    "bar_slenderness",
    "a bar is taken as slender, which is 3 % off at a length of three chords",
    low=3.0,
)
_RIGID = Validity(
    "whirl_speed_ratio",
    "near its first whirl speed the shaft bows, and the shake is a multiple of that of a stiff one",
    low=1.5,
)
_MEAN = "robinson1944: as a criterion of bursting"


def _flatness(shape: str) -> Quantity:
    return Quantity(
        "disc_flatness", "Disc diameter over width", "D/w", "1", "rotor", "same", diameter / width,
        source="definition",
        when=(f"rotor.shape={shape}",),
    )


def _mean_stress(shape: str, factor: Expression, source: str) -> Quantity:
    return Quantity(
        "rotor_mean_stress", "Rotor mean stress", "sigma_m", "Pa", "rotor", "lower",
        factor * rim_stress,
        source=source,
        assumes="what a tough rotor bursts by, once it has yielded around the peak; rotation alone, no hit, bolted-in "
        "teeth not counted",
        when=(f"rotor.shape={shape}",),
    )


def _hoop(hole: Expression) -> Expression:
    """Mean hoop stress of a half disc's section over rho v^2; ``hole`` is the inner radius over the outer."""
    return (1 + hole + hole**2) / 3


_WALL = largest(1 - 2 * chord / diameter, 0)
_HALF_DISC = f"own-derivation: balance of half a disc, rho v^2 (1 + x + x^2) / 3, x = r_i / r_o; {_MEAN}"

STRESS = (
    Quantity(
        "rotor_rim_stress", "Thin-ring rim stress", "sigma_r", "Pa", "rotor", "lower",
        density * tip_speed**2,
        role="yardstick",
        source="timoshenko-goodier: thin rotating ring, sigma = rho v^2",
        assumes="the yardstick; the shape's own peak is rotor_peak_stress",
    ),
    Quantity(
        "rotor_rim_stress_margin", "Thin-ring rim margin", "S_r/sigma_r", "1", "rotor", "higher",
        strength / rim_stress,
        role="yardstick",
        source="definition",
    ),
    _flatness("disc"),
    _flatness("ring"),
    Quantity(
        "bar_slenderness", "Bar length over chord", "D/c", "1", "rotor", "same", diameter / chord,
        source="definition",
        when=("rotor.shape=bar",),
    ),
    Quantity(
        "rotor_peak_stress", "Rotor peak stress", "sigma_p", "Pa", "rotor", "lower",
        stress_factor * rim_stress,
        source="hearn2 sec. 4.2-4.3: disc (3+nu)/8, bored disc and ring [(3+nu) + (1-nu)(r_i/r_o)^2]/4; shigley5 as "
        "quoted by a secondary page: drum as a long cylinder; own-derivation: bar 1/2 at the middle; roark7 table "
        "17.1, as quoted by a secondary page: the hole's factor of a bar beside its bore",
        assumes="rotation alone, no hit, no press fit or keyway; elastic; the pull of bolted-in teeth not counted",
        valid=(_FLAT, _SLENDER),
    ),
    Quantity(
        "rotor_peak_stress_margin", "Rotor peak stress margin", "S_r/sigma_p", "1", "rotor", "higher",
        strength / peak_stress,
        role="survival",
        source="definition",
        assumes="below 1 the edge of the bore yields; bursting goes by rotor_mean_stress_margin",
        valid=(_FLAT, _SLENDER),
    ),
    _mean_stress("disc", _hoop(bore / diameter), _HALF_DISC),
    _mean_stress("ring", _hoop(_WALL), _HALF_DISC),
    _mean_stress("drum", _hoop(_WALL), _HALF_DISC),
    _mean_stress(
        "bar",
        (Fraction(1, 2) - bore**3 / (3 * chord * diameter**2)) / (1 - bore / chord),
        f"own-derivation: pull of half a bar over what the bore leaves; {_MEAN}",
    ),
    Quantity(
        "rotor_mean_stress_margin", "Rotor burst margin", "S_r/sigma_m", "1", "rotor", "higher",
        strength / mean_stress,
        role="survival",
        source="definition",
        assumes="as rotor_mean_stress, with the strength as tabled, which for metals is where they yield",
    ),
)

TOOTH = (
    Quantity(
        "tooth_pull", "Tooth centrifugal pull", "F_t", "N", "rotor", "lower",
        tooth_mass * tooth_radius * speed**2,
        source="meriam sec. 3/5: centripetal force, m r omega^2",
        assumes="rotation alone, no hit; it is also the shake that the rotor is left with when one tooth is gone",
    ),
    Quantity(
        "tooth_bolt_stress", "Tooth bolt stress", "sigma_t", "Pa", "rotor", "lower",
        tooth_pull / (bolts * stress_area),
        source="definition: over the stress area of the thread",
        assumes="bolts share the pull evenly; preload and seat not counted",
    ),
    Quantity(
        "tooth_bolt_margin", "Tooth bolt margin", "S_t/sigma_t", "1", "rotor", "higher",
        Fraction(9, 10) * bolt_strength / tooth_stress,
        role="survival",
        source="en1993-1-8 table 3.4, from memory: tension, 0.9 f_ub without the partial factor",
        assumes="rotation alone, no hit",
        when=("rotor.tooth.bolt_load=tension",),
    ),
    Quantity(
        "tooth_bolt_margin", "Tooth bolt margin", "S_t/sigma_t", "1", "rotor", "higher",
        Fraction(6, 10) * bolt_strength / tooth_stress,
        role="survival",
        source="en1993-1-8 table 3.4: shear, 0.6 f_ub without the partial factor",
        assumes="rotation alone, no hit; one shear plane through the thread",
        when=("rotor.tooth.bolt_load=shear",),
    ),
)


BALANCE = (
    Quantity(
        "permissible_eccentricity", "Permissible eccentricity", "e_per", "m", "rotor", "higher",
        grade / speed,
        source="iso21940-11: e_per omega = G, G 6.3 machinery in general, G 16 crushers and farm machines",
        assumes="a rotor stiff up to its speed; rotor.balance_grade says how well it is balanced",
    ),
    Quantity(
        "permissible_unbalance", "Permissible unbalance", "U_per", "kg m", "rotor", "higher", rotor_mass * eccentricity,
        source="iso21940-11: U_per = m e_per",
        assumes="both planes together; a hub motor's can not counted",
    ),
    Quantity(
        "unbalance_force", "Residual unbalance force", "F_u", "N", "rotor", "lower",
        unbalance * speed**2,
        source="own-derivation: centripetal force of an offset mass, U omega^2",
        assumes="at full speed, turning with the rotor; balanced just to the grade",
        valid=(_RIGID,),
    ),
    Quantity(
        "unbalance_force_ratio", "Unbalance force over weight", "F_u/(m g)", "1", "rotor", "lower",
        shake / (mass * gravity),
        clock="gravity",
        source="definition",
        assumes="above 1 the shake of a level axis can lift the machine off the floor at every turn",
        valid=(_RIGID,),
    ),
)

WHIRL = (
    Quantity(
        "whirl_speed", "Shaft critical speed", "omega_c", "rad/s", "rotor", "higher",
        sqrt(
            48 * modulus * pi * shaft_diameter**4 / 64 / span**3
            / (rotor_mass + 48 / pi**4 * shaft_density * pi * shaft_diameter**2 / 4 * span)
        ),
        source="khurmi ch. 23, as quoted by a secondary page: mass in the middle of a simply supported shaft, "
        "48 E I / L^3, with the shaft's own mass by Dunkerley",
        assumes="stiff supports and bearings, a narrow rotor; plastic frames take much off, a wide hub stiffens; "
        "at a span of three diameters shear takes off a tenth",
    ),
    Quantity(
        "whirl_speed_ratio", "Shaft critical speed ratio", "omega_c/omega", "1", "rotor", "higher",
        whirl_speed / rotor_speed,
        source="definition",
        assumes="a hit bows the shaft the more, the nearer this is to 1",
    ),
)

QUANTITIES = (*STRESS, *TOOTH, *BALANCE, *WHIRL)


def derive(numbers: dict[str, float], words: Mapping[str, str], shelves: Shelves) -> None:
    """Set area and strength of the tooth's bolts; raises InputError for a size or class that no shelf has."""
    for key, shelf, target, attribute in (
        ("rotor.tooth.bolt", shelves.bolt, "rotor.tooth.bolt_stress_area", "stress_area"),
        ("rotor.tooth.bolt_class", shelves.bolt_class, "rotor.tooth.bolt_strength", "ultimate"),
    ):
        if key not in words:
            continue
        try:
            numbers.setdefault(target, getattr(shelf(words[key]), attribute))
        except InputError as error:
            error.key = key
            raise
