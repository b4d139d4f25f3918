"""The rotor stopped dead: what goes into the own chassis, and how hard."""

from __future__ import annotations

from scaling.book.algebra import sqrt, symbols
from scaling.book.entry import Quantity, Validity

mass, diameter = symbols("mass rotor.diameter")
rotor_energy, angular_momentum, own_inertia, bite_depth = symbols(
    "rotor_energy angular_momentum own_hit_inertia hit_bite_depth"
)
stop_impulse, stop_torque, stop_arc = symbols("stop_impulse stop_torque stop_arc")

_MOMENTUM = "meriam sec. 6/8"
SHALLOW = Validity(
    "stop_arc",
    "the arc of a bite is taken as that of a shallow one, good to 2 % while it is below 0.63 rad",
    high=0.63,
)

QUANTITIES = (
    Quantity(
        "stop_impulse", "Dead-stop impulse", "J_s", "kg m/s", "impact", "lower",
        angular_momentum / (diameter / 2),
        clock="gravity",
        source=f"{_MOMENTUM}: angular impulse at the tip, J r = I omega",
        assumes="tip against something that does not move, no bounce",
    ),
    Quantity(
        "stop_recoil_speed", "Dead-stop recoil speed", "v_s", "m/s", "impact", "lower",
        stop_impulse / mass,
        clock="gravity",
        source=f"{_MOMENTUM}: impulse and momentum",
        assumes="as stop_impulse; own machine free, pushed through its centre of gravity",
    ),
    Quantity(
        "stop_spin", "Jam spin of own chassis", "omega_s", "rad/s", "impact", "lower",
        angular_momentum / own_inertia,
        clock="gravity",
        source=f"{_MOMENTUM}: angular momentum kept, I omega = I_G Omega",
        assumes="rotor locked to the chassis by the chassis itself, machine free",
    ),
    Quantity(
        "stop_chassis_energy", "Jam energy in own chassis", "E_s", "J", "impact", "lower",
        angular_momentum**2 / (2 * own_inertia),
        clock="gravity",
        source="meriam sec. 6/8: (I omega)^2 / (2 I_G), the rest of the rotor's energy heats and breaks what jams",
        assumes="as stop_spin",
    ),
    Quantity(
        "stop_arc", "Stop angle in one bite", "theta_s", "rad", "impact", "same",
        sqrt(2 * bite_depth / (diameter / 2)),
        source="own-derivation: the chord's geometry, r (1 - cos theta) = b, theta near sqrt(2 b / r)",
        assumes="the tooth enters at its bite's full depth and is stopped on its way out",
        valid=(SHALLOW,),
    ),
    Quantity(
        "stop_torque", "Mean stop torque in one bite", "T_s", "N m", "impact", "lower",
        rotor_energy / stop_arc,
        source=f"{_MOMENTUM}: work of a torque, T theta = I omega^2 / 2",
        assumes="the whole energy gone in the angle of one bite",
        valid=(SHALLOW,),
    ),
    Quantity(
        "stop_force", "Mean stop force in one bite", "F_s", "N", "impact", "lower",
        stop_torque / (diameter / 2),
        source="own-derivation: moment of a force, T = F r",
        assumes="as stop_torque",
        valid=(SHALLOW,),
    ),
)
