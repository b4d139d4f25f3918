"""Getting back on the wheels: what it takes (see stability) against what rotor, arm or drive can give."""

from __future__ import annotations

from scaling.book.algebra import largest, least, symbols
from scaling.book.entry import Model, Quantity, Variable
from scaling.files.schema import Choice
from scaling.formulas.righting import stability
from scaling.formulas.righting.rocking import pushes_to_right
from scaling.formulas.righting.stability import (
    BACK_HEIGHT,
    TO_FRONT,
    TO_REAR,
    cg_ahead,
    cg_height,
    gravity,
    mass,
    width,
)

angular_momentum, hit_inertia, stop_energy = symbols("angular_momentum own_hit_inertia rotor_stop_energy")
worst_energy, edge_inertia = symbols("righting_energy rocking_edge_inertia")
side_energy, front_energy, rear_energy = symbols("back_tip_energy_side back_tip_energy_front back_tip_energy_rear")
voltage, pack_resistance, rotor_resistance = symbols("battery.voltage battery.resistance rotor.motor.resistance")
rotor_limit, rotor_no_load, rotor_torque_constant, rotor_ratio = symbols(
    "rotor.motor.current_limit rotor.motor.no_load_current rotor_torque_constant rotor.ratio"
)
arm_torque, arm_length, arm_reach, arm_angle = symbols(
    "righting.arm.torque righting.arm.length righting.arm.reach righting.arm.angle"
)
wheel_diameter, friction = symbols("wheel.diameter wheel.friction")
stall_force, limited_force = symbols("drive_stall_force drive_current_limited_force")

EDGES = ("side", "front", "rear")

_ROCKING = ("angular_momentum", "rocking_edge_inertia", "righting_energy", "rocking_kept_share")

VARIABLES = (
    Variable("righting.arm.torque", "T_a", "N m", "torque of the righting arm at its pivot", 4),
    Variable("righting.arm.length", "l_a", "m", "length of the righting arm from pivot to tip", 1),
    Variable("righting.arm.reach", "x_a", "m",
             "distance along the floor from the arm's tip to the edge that the machine tips over", 1),
    Variable("righting.arm.angle", "phi_a", "rad", "angle through which the righting arm swings"),
)

CHOICES = {
    "righting.arm.edge": Choice(EDGES, "edge over which the righting arm tips the machine", default="side"),
}

_STOP = (
    "rotor at full speed stopped at once, all its angular momentum into the chassis, which turns about an edge "
    "that does not slide; outer box; an upper bound of what a slower stop or a spin-up gives"
)
_FARTHER_END = largest(TO_FRONT, TO_REAR)
_TURNED = {
    "across": ("the farther end", _FARTHER_END),
    "along": ("a side", width / 2),
}
_AWAY = {"side": (width / 2, side_energy), "front": (TO_FRONT, front_energy), "rear": (TO_REAR, rear_energy)}


def _from_rotor(axis: str) -> tuple[Quantity, ...]:
    """Return what a rotor can do about the edges that lie along its axis."""
    where, away = _TURNED[axis]
    when = (f"rotor.axis={axis}",)
    torque = (
        (least(rotor_limit, voltage / (rotor_resistance + pack_resistance)) - rotor_no_load)
        * rotor_ratio * rotor_torque_constant
    )
    return (
        Quantity(
            "rotor_stop_energy", "Rotor-stop righting energy", "E_H", "J", "righting", "higher",
            angular_momentum**2 / (2 * (hit_inertia + mass * (away**2 + BACK_HEIGHT**2))),
            clock="gravity",
            source="meriam sec. 6/8: angular momentum kept about the edge, H^2 / (2 I_e), I_e by the parallel axis",
            assumes=f"about {where}; {_STOP}", when=when,
        ),
        Quantity(
            "righting_ratio", "Rotor-stop righting margin", "E_H/E_t", "1", "righting", "higher",
            stop_energy / worst_energy,
            role="handling", clock="gravity",
            source="definition",
            assumes=f"the stop turns it about {where}; the worst edge is the one of all that takes most energy; above "
            f"1 a sudden stop can right it over any; {_STOP}",
            when=when,
        ),
        Quantity(
            "rocking_edge_inertia", "Inertia about edge when rocking", "I_e", "kg m^2", "righting", "lower",
            hit_inertia + mass * (away**2 + BACK_HEIGHT**2),
            source="meriam sec. 6/4: parallel axis", assumes=f"about {where}; outer box", when=when,
        ),
        Quantity(
            "rocking_kept_share", "Energy kept when falling back flat", "k_r", "1", "righting", "higher",
            largest(0, 1 - 2 * mass * away**2 / edge_inertia) ** 2,
            source="housner1963: angular momentum kept about the new edge, (1 - 2 m a^2 / I_e)^2",
            assumes=f"about {where}; flat box, its centre of gravity midway; a rounded top keeps nearly all", when=when,
        ),
        Quantity(
            "rocking_righting_ratio", "Righting margin of repeated spin-ups", "E_r/E_t", "1", "righting", "higher",
            Model(pushes_to_right, _ROCKING, "limit_ratio"),
            clock="gravity",
            source="meriam sec. 6/8; housner1963: energy after any number of pushes, j^2 / (1 - sqrt(k))^2",
            assumes=f"about {where}; each push the rotor's whole angular momentum, in time; an upper bound", when=when,
        ),
        Quantity(
            "rocking_pushes", "Spin-ups to right by rocking", "n_r", "1", "righting", "lower",
            Model(pushes_to_right, _ROCKING, "pushes"),
            clock="gravity",
            source="as rocking_righting_ratio",
            assumes=f"about {where}; at least so many; absent where no number is enough", when=when,
        ),
        Quantity(
            "rotor_righting_torque_ratio", "Spin-up righting margin", "T_s/T_t", "1", "righting", "higher",
            torque / (mass * gravity * away),
            clock="gravity",
            source="drela2007: torque at rest; own-derivation: moments about the edge",
            assumes=f"about {where}; reaction to the rotor's own spin-up, the motor's inertia left out; above 1 it "
            "lifts while the torque lasts",
            when=when,
        ),
    )


def _from_arm(edge: str) -> tuple[Quantity, ...]:
    away, needed = _AWAY[edge]
    when = (f"righting.arm.edge={edge}",)
    return (
        Quantity(
            "arm_torque_margin", "Righting arm torque margin", "T_a x/(l m g a)", "1", "righting", "higher",
            arm_torque / arm_length * arm_reach / (mass * gravity * away),
            clock="gravity",
            source="own-derivation: moments about the edge, the arm's tip pushing the floor with T / l",
            assumes="from its back; arm square to its push at the start; outer box", when=when,
        ),
        Quantity(
            "arm_energy_margin", "Righting arm energy margin", "T_a phi/E_t", "1", "righting", "higher",
            arm_torque * arm_angle / needed,
            role="budget", clock="gravity",
            source="own-derivation: work of a torque, T phi",
            assumes="full torque over the whole swing; from its back; outer box", when=when,
        ),
    )


QUANTITIES = (
    *stability.QUANTITIES,
    *_from_rotor("across"),
    *_from_rotor("along"),
    *(entry for edge in EDGES for entry in _from_arm(edge)),
    Quantity(
        "tail_stand_demand", "Acceleration share to drop off its tail", "a_n/a_0", "1", "righting", "lower",
        gravity * largest(0, cg_height - wheel_diameter / 2) / (cg_ahead + wheel_diameter / 2)
        / least(friction * gravity, stall_force / mass, limited_force / mass),
        clock="gravity",
        source="wong ch. 3: moments about the wheels' contact, m a (x_g + r) = m g (h - r), over the least of grip, "
        "limit and stall",
        assumes="standing on its tail with the rear wheels on the floor, all motors on them; below 1 the drive brings "
        "it down; 0: it falls onto its wheels by itself",
    ),
)
