"""A wheel's shaft and the gearbox behind it, where a landing or an opponent's tooth meets that wheel.

The wheel hangs on the gearbox's output shaft, so what pushes the wheel bends that shaft over its near bearing, and what
pulls at the tread turns the gears. In a landing bending is certain; the full twist of a tyre that slides is the bound.
"""

from __future__ import annotations

from collections.abc import Iterator

from scaling.book.algebra import Expression, least, pi, sqrt, symbols
from scaling.book.entry import Clock, Quantity, Validity, Variable
from scaling.files.schema import Choice
from scaling.formulas.impact.taken import BLOW, ENGAGED, blow, crush_force, glancing_energy

mass, gravity, length, width, height, track, cg_ahead = symbols("mass gravity length width height track cg_ahead")
drop, tyre_stiffness, friction, wheel_diameter = symbols(
    "fall_height wheel.tyre_stiffness wheel.friction wheel.diameter"
)
diameter, overhang, strength, spacing = symbols(
    "wheel.shaft.diameter wheel.shaft.overhang wheel.shaft.strength wheel.shaft.bearing_spacing"
)
motors, stall_force, limited_force = symbols("drive.motors drive_stall_force drive_current_limited_force")
tyre_strength, gearbox_torque = symbols("wheel.tyre.strength drive.gearbox_torque")
share, fall_force, fall_torque, taken_force, taken_torque = symbols(
    "wheel_fall_share wheel_fall_force gearbox_fall_torque wheel_taken_force gearbox_taken_torque"
)

VARIABLES = (
    Variable("wheel.shaft.diameter", "d_x", "m", "diameter of the gearbox's output shaft that carries the wheel", 1),
    Variable("wheel.shaft.overhang", "x_x", "m", "from the gearbox's near bearing to the middle of the wheel", 1),
    Variable("wheel.shaft.bearing_spacing", "L_x", "m", "distance between the bearings of that shaft", 1,
             optional=True),
    Variable("wheel.shaft.strength", "S_x", "Pa", "strength of that shaft's material", derived=True),
    Variable("wheel.tyre.strength", "S_ty", "Pa", "strength of the tyre's material", derived=True),
    Variable("drive.gearbox_torque", "T_gb", "N m", "torque at its output that a drive gearbox bears for a moment", 3,
             optional=True),
)

CHOICES = {
    "wheel.shaft.material": Choice(None, "material of the gearbox's output shaft"),
    "wheel.tyre.material": Choice(None, "material of the tyre"),
}

_SECTION = "shigley9 sec. 5-5 and 7-4: solid round shaft"
_BENDING = f"{_SECTION}, sigma = 32 F x / (pi d^3)"
_BOTH = f"{_SECTION}, bending and torsion by distortion energy, 16 / (pi d^3) sqrt(4 (F x)^2 + 3 T^2)"
_FALL = "a tyre that gives in proportion and does not bottom out; a fall from the ceiling"
_TREAD = "the motor's inertia, times the ratio squared, holds the gears for so short a time"
_SOFT = Validity(
    "wheel_fall_travel_share",
    "the tyre bottoms out on its hub, so the force is more than this",
    high=0.5,
    source="common-practice: a tyre is soft to about half its radius",
)


def _bent(force: Expression) -> Expression:
    """Bending stress (Pa) of the shaft by a force (N) on the wheel."""
    return 32 * force * overhang / (pi * diameter**3)


def _twisted(force: Expression, torque: Expression) -> Expression:
    """Equivalent stress (Pa) of the shaft by a force (N) on the wheel and a torque (N m)."""
    return 16 * sqrt(4 * (force * overhang) ** 2 + 3 * torque**2) / (pi * diameter**3)


def _shaft(case: str, says: str, mark: str, force: Expression, source: str, assumes: str) -> Iterator[Quantity]:
    """Yield the shaft's bending stress in a landing or a hit and what is left of its strength."""
    stress = symbols(f"wheel_shaft_{case}_stress")[0]
    valid = (_SOFT,) if case == "fall" else ()
    clock: Clock | None = "gravity" if case == "fall" else None
    yield Quantity(
        f"wheel_shaft_{case}_stress", f"Wheel shaft stress in {says}", f"sigma_x{mark}", "Pa", "structure", "lower",
        _bent(force), clock=clock, source=source, assumes=assumes, valid=valid,
    )
    yield Quantity(
        f"wheel_shaft_{case}_margin", f"Wheel shaft margin in {says}", f"S_x/sigma_x{mark}", "1", "structure", "higher",
        strength / stress, role="survival", clock=clock,
        source="definition", assumes=f"below 1 the wheel's shaft stays bent; {assumes}", valid=valid,
    )


QUANTITIES = (
    Quantity(
        "gearbox_stall_margin", "Gearbox margin with motor stalled", "T_gb/T_gs", "1", "structure", "higher",
        gearbox_torque * motors / (least(stall_force, limited_force) * wheel_diameter / 2),
        role="survival",
        source="definition: torque of the stalled push on each motor's wheels",
        assumes="a wheel that is held, as by a wall or by debris; below 1 the motor strips its own gears",
    ),
    Quantity(
        "wheel_fall_share", "Mass share landing on a rear wheel", "m'/m", "1", "structure", "lower",
        1 / (1 + 12 * cg_ahead**2 / (length**2 + height**2) + 12 * (track / 2) ** 2 / (width**2 + height**2)),
        source="goldsmith ch. 2: free body hit off its centre, 1/m' = 1/m + a^2/I_p + b^2/I_r; meriam appendix D: "
        "uniform box",
        assumes="falls onto one wheel at the rear contact, level, and rolls on onto the rest; mass spread evenly over "
        "the outer box",
    ),
    Quantity(
        "wheel_fall_force", "Force on one wheel in landing", "F_wf", "N", "structure", "lower",
        mass * share * gravity * (1 + sqrt(1 + 2 * drop * tyre_stiffness / (mass * share * gravity))),
        clock="gravity",
        source="timoshenko-gere ch. 2: falling weight on a spring",
        assumes=_FALL, valid=(_SOFT,),
    ),
    Quantity(
        "wheel_fall_travel_share", "Tyre travel over radius in landing", "y_w/r", "1", "structure", "lower",
        fall_force / tyre_stiffness / (wheel_diameter / 2),
        clock="gravity",
        source="definition",
        assumes="a tyre that gives in proportion",
    ),
    *_shaft("fall", "landing", "f", fall_force, _BENDING, _FALL),
    Quantity(
        "wheel_bearing_fall_force", "Gearbox bearing force in landing", "F_bf", "N", "structure", "lower",
        fall_force * (1 + overhang / spacing),
        clock="gravity",
        source="own-derivation: moments about the far bearing, F (1 + x / L)",
        assumes=f"on the bearing next to the wheel; {_FALL}", valid=(_SOFT,),
    ),
    Quantity(
        "gearbox_fall_torque", "Gearbox torque in landing at most", "T_gf", "N m", "structure", "lower",
        friction * fall_force * wheel_diameter / 2,
        clock="gravity",
        source="own-derivation: Coulomb friction under a tyre that slides, mu F r",
        assumes=f"a bound: the floor passes under a wheel that stands; {_TREAD}", valid=(_SOFT,),
    ),
    Quantity(
        "wheel_shaft_fall_margin_bound", "Wheel shaft margin in landing and twist", "S_x/sigma_xb", "1", "structure",
        "higher", strength / _twisted(fall_force, fall_torque),
        clock="gravity",
        source=_BOTH,
        assumes="a bound: as gearbox_fall_torque", valid=(_SOFT,),
    ),
    Quantity(
        "gearbox_fall_margin_bound", "Gearbox margin landing on sliding tyre", "T_gb/T_gf", "1", "structure", "higher",
        gearbox_torque / fall_torque,
        clock="gravity",
        source="definition",
        assumes="a bound: as gearbox_fall_torque", valid=(_SOFT,),
    ),
    Quantity(
        "wheel_taken_force", "Force on a wheel in a taken hit", "F_wt", "N", "structure", "lower",
        blow(tyre_stiffness, crush_force(tyre_strength), glancing_energy),
        source=BLOW,
        assumes=f"{ENGAGED}, a tooth that runs along the tread and stays in the tyre; a guarded wheel gets less",
    ),
    *_shaft("taken", "a taken hit", "t", taken_force, _BENDING, "as wheel_taken_force"),
    Quantity(
        "wheel_shaft_taken_bend_bound", "Wheel shaft bend hit on the hub", "theta_x", "rad", "structure", "lower",
        glancing_energy / (strength * diameter**3 / 6),
        source="own-derivation: plastic hinge of a round section, S d^3 / 6 times its angle",
        assumes="a bound: the tooth is through the tyre and the shaft takes all of a glancing hit's energy",
    ),
    Quantity(
        "gearbox_taken_torque", "Gearbox torque in a taken hit", "T_gt", "N m", "structure", "lower",
        taken_force * wheel_diameter / 2,
        source="own-derivation: force along the tread times the wheel's radius",
        assumes=f"as wheel_taken_force; {_TREAD}",
    ),
    Quantity(
        "gearbox_taken_margin", "Gearbox margin in a taken hit", "T_gb/T_gt", "1", "structure", "higher",
        gearbox_torque / taken_torque,
        role="survival",
        source="definition",
        assumes=f"below 1 teeth or pins of the gears shear; as wheel_taken_force; {_TREAD}",
    ),
)
