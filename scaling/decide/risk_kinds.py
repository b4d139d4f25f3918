"""What can go wrong at a port's first event: a row each, with the quantities that tell of it.

A row is one place of the machine, so that a joint and the rotor's mount, which both may fail, stand apart.
"""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass

from scaling.formulas import book

FEEL = 0.2
"""Scatter of ln of what is no strength, such as a rush or a gyro margin: common practice, no source."""

SLIP = 0.25
"""Scatter of ln of a grip or a friction: common practice, no source; friction is seldom known within a fifth."""

HEAT = 0.5
"""Scatter of ln of a temperature rise, a current or what a pack is rated at: common practice, no source."""


@dataclass(frozen=True)
class RiskKind:
    """One thing that may go wrong: its code, the place, what is said of it and the quantities that tell of it.

    ``names`` are quantities, or beginnings of names of survival margins where they end in an underscore. ``limit`` is
    what a quantity must not fall below, None where that is the reference's own. ``scatter`` is the doubt of ln of
    what is no strength; a margin of strength or energy has none here, and its chance starts from what the reference
    stood. ``exposure`` is the share of hits that meet this place (common practice, no source): one hit does not load
    all of a machine alike.
    """

    code: str
    place: str
    says: str
    names: tuple[str, ...]
    limit: float | None = 1.0
    scatter: float | None = None
    exposure: float = 1.0

    def among(self, values: Container[str]) -> tuple[str, ...]:
        """The quantities of this row that are among ``values``, names or a mapping by name."""
        found: list[str] = []
        for name in self.names:
            if name.endswith("_"):
                found += [each for each in _SURVIVAL if each.startswith(name) and each in values]
            elif name in values:
                found.append(name)
        return tuple(found)


_SURVIVAL = tuple(book.of_role("survival"))

KINDS: tuple[RiskKind, ...] = (
    RiskKind("gyro_stronger", "turns", "the gyro is stronger in turns", ("gyro_lift_yaw_rate", "gyro_margin"), None,
             FEEL),
    RiskKind("tips_in_turn", "turns", "it tips over sooner in a turn", ("tip_over_time",), None, FEEL),
    RiskKind("tips_in_turn", "sliding", "it tips before it slides", ("slide_margin",), 1.0, FEEL),
    RiskKind("nose_lifts", "spin-up", "spinning up lifts an end", ("nose_lift_margin", "tail_lift_margin"), 1.0, FEEL),
    RiskKind("nose_lifts", "launch", "full throttle lifts the nose", ("wheelie_margin",), 1.0, FEEL),
    RiskKind("rush_lost", "start", "an opponent arrives before the rotor is up", ("rush_margin",), 1.0, FEEL),
    RiskKind("shallow_bite", "teeth", "the teeth bite less than the reference's", ("bite_ratio",), None, FEEL),
    RiskKind("belt_slips", "belt", "the belt slips under the motor's pull", ("belt_slip_margin",), 1.0, SLIP),
    RiskKind("belt_breaks", "belt", "the belt gives way",
             ("belt_stall_margin", "belt_tension_margin", "belt_tooth_margin")),
    RiskKind("pulley_cut", "pulley", "the belt cuts or turns its pulley at a dead stop", ("pulley_stall_margin",)),
    RiskKind("mount_breaks", "motor mount", "a dead stop drags the motor off its mount", ("motor_mount_",)),
    RiskKind("shaft_bends", "rotor shaft", "the rotor's shaft bends",
             ("shaft_stress_margin", "shaft_equivalent_stress_margin", "clash_shaft_margin", "axle_stall_margin")),
    RiskKind("shaft_bends", "motor shaft", "a dead stop bends the motor's shaft", ("motor_shaft_stall_margin",)),
    RiskKind("rotor_fails", "rotor", "the rotor fails",
             ("rotor_peak_", "rotor_mean_", "rotor_axial_", "tooth_", "clash_tooth_", "hub_", "magnet_", "can_")),
    RiskKind("bearing_overloaded", "bearings", "a hit dents the rotor's bearings", ("rotor_bearing_margin",)),
    RiskKind("joint_fails", "rotor mount", "the rotor's mount gives way at its bolts", ("bolt_", "rotor_mount_")),
    RiskKind("joint_fails", "watched joint", "the watched joint gives way at its bolts", ("joint_",), exposure=0.5),
    RiskKind("wedge_bends", "wedge", "the wedge bends", ("wedge_bend_margin",)),
    RiskKind("wall_fails", "side wall", "a side wall is broken through", ("wall_", "rail_"), exposure=0.3),
    RiskKind("lid_fails", "lid", "the lid is broken through",
             ("lid_collapse_margin", "lid_punch_margin", "lid_perforation_margin"), exposure=0.2),
    RiskKind("lands_hard", "landing", "a fall from a throw breaks something", ("lid_fall_", "wheel_", "gearbox_"),
             exposure=0.3),
    RiskKind("catches_seam", "floor", "it catches on seams of the floor",
             ("seam_climb_margin", "seam_clearance_margin"), 1.0, FEEL),
    RiskKind("stuck_inverted", "upside down", "it cannot drive upside down", ("inverted_wheel_margin",), 1.0, FEEL),
    RiskKind("drive_slips", "drive", "the wheels find less grip for the machine's mass", ("traction_acceleration",),
             None, SLIP),
    RiskKind("drive_overheats", "drive motors", "the drive's motors or controller run too hot",
             ("drive_motor_temperature_margin", "drive_motor_continuous_current_margin",
              "drive_controller_temperature_margin"), 1.0, HEAT),
    RiskKind("motor_overheats", "rotor motor", "the rotor's motor or controller runs too hot",
             ("motor_temperature_margin", "rotor_steady_current_margin", "motor_continuous_current_margin",
              "rotor_controller_temperature_margin"), 1.0, HEAT),
    RiskKind("pack_overloaded", "pack", "the pack is asked for too much",
             ("pack_current_margin", "fuse_margin", "match_energy_margin"), 1.0, HEAT),
    RiskKind("browns_out", "pack", "the voltage sags below the cut-off", ("brown_out_margin", "end_brown_out_margin"),
             1.0, HEAT),
    RiskKind("cannot_right", "righting", "it cannot right itself",
             ("righting_ratio", "arm_energy_margin", "arm_torque_margin"), 1.0, FEEL),
    RiskKind("slow_to_service", "service", "what wears out is not swapped before the next match", ("service_margin",),
             1.0, FEEL, exposure=0.2),
)  # fmt: skip
"""Every row; a code may have several places."""

CREEP = "creep_untested"
CREEP_TEST = "rotor.creep_test"
"""The key that records the test: a date."""
