"""Which changes a workshop tries against each risk: a table by its code, cheap and quick things first."""

from __future__ import annotations

from collections.abc import Mapping

from scaling.decide.belt_proposals import metal_pulley, round_belt
from scaling.decide.proposals import (
    LESS,
    MORE,
    Offer,
    about,
    bolts,
    fewer,
    larger_pack,
    looser,
    metal_plate,
    motor,
    of,
    sold,
    thicker,
    times,
    wheels,
    wider,
)

SLOWER = times("rotor.ratio", (1.1, 1.2, 1.3, 1.5, 1.75, 2.0), "gear the rotor down to {size} to 1")
RATED = (*MORE, 2.5, 3.0)
LIGHTER = times("rotor.mass", LESS, "lighten the rotor to {size}")
BELT_WIDTH = sold("rotor.belt.width", "round-belt", "take a belt of {size}")

OFFERS: Mapping[str, tuple[Offer, ...]] = {
    "gyro_stronger": (wider, LIGHTER, SLOWER),
    "tips_in_turn": (wider, times("cg_height", (0.95, 0.9, 0.8), "bring the centre of gravity down to {size}")),
    "nose_lifts": (
        times("rotor.motor.current_limit", LESS, "set the rotor controller's limit to {size}"),
        times("wheelbase", (1.05, 1.1, 1.2), "lengthen the wheelbase to {size}"),
        times("cg_ahead", (1.05, 1.1, 1.2), "move the centre of gravity forward to {size}"),
    ),
    "rush_lost": (
        SLOWER,
        LIGHTER,
        times("rotor.motor.current_limit", (1.1, 1.25, 1.5), "take a rotor motor and controller that bear {size}"),
        motor("rotor.motor"),
    ),
    "shallow_bite": (
        times("drive.ratio", (0.9, 0.8, 0.7), "gear the drive up to {size} to 1"),
        times("rotor.teeth", (0.5,), "leave the rotor {size} tooth"),
    ),
    "belt_slips": (
        times("rotor.belt.tension", (1.1, 1.2, 1.35, 1.5, 2.0), "tighten the belt to {size} at rest"),
        BELT_WIDTH,
        times("rotor.belt.pulley_diameter", (1.1, 1.2, 1.35), "take a motor pulley of {size}"),
    ),
    "belt_breaks": (
        metal_pulley,
        round_belt,
        BELT_WIDTH,
        times("rotor.belt.breaking_tension", MORE, "take a belt that breaks at {size}"),
    ),
    "pulley_cut": (
        metal_pulley,
        round_belt,
        BELT_WIDTH,
        times("rotor.belt.pulley.fixing_torque", MORE, "fix the pulley so that it holds {size}"),
        times("rotor.belt.pulley_diameter", (1.1, 1.25, 1.5), "take a motor pulley of {size}"),
    ),
    "mount_breaks": (
        bolts,
        metal_plate,
        round_belt,
        times("rotor.motor_mount.stiffness", LESS, "let the motor's mount give more, at {size}"),
    ),
    "shaft_bends": (
        sold("rotor.shaft.diameter", "bearing-bore", "take a rotor shaft of {size}"),
        times("rotor.shaft.span", LESS, "bring the shaft's supports together to {size}"),
        times("rotor.motor.shaft.diameter", (1.1, 1.25, 1.5, 2.0), "take a motor with a shaft of {size}"),
        round_belt,
    ),
    "rotor_fails": (
        about("hub_bolt_", bolts),
        about("rotor_axial_", times("rotor.axial_hold", RATED, "hold the rotor on its axle against {size}")),
        about("clash_tooth_", times("rotor.tooth_width", MORE, "make the teeth {size} wide")),
        about("tooth_", times("rotor.tooth_width", MORE, "make the teeth {size} wide")),
        about("clash_tooth_", times("rotor.tooth_height", LESS, "make the teeth {size} high")),
        of("wear-steel-500"),
    ),
    "bearing_overloaded": (
        times("rotor.bearing.static_rating", RATED, "take rotor bearings that bear {size} at rest"),
        times("rotor.bearing.spacing", (1.1, 1.25, 1.5), "set the rotor's bearings {size} apart"),
    ),
    "joint_fails": (looser, bolts, metal_plate),
    "wedge_bends": (thicker, of("wear-steel-500", "spring-steel")),
    "wall_fails": (thicker, of("polycarbonate", "aluminium-7075-t6")),
    "lid_fails": (thicker, of("polycarbonate", "aluminium-7075-t6", "titanium-6al-4v")),
    "lands_hard": (
        about("gearbox_", times("drive.gearbox_torque", MORE, "take gearboxes that bear {size}")),
        times("landing.stiffness", LESS, "land on pads of {size}"),
        thicker,
    ),
    "stuck_inverted": (wheels,),
    "drive_slips": (times("wheel.friction", (1.1, 1.2, 1.3), "take tyres with a friction of {size}"),),
    "drive_overheats": (
        times("drive.ratio", (1.1, 1.2, 1.35), "gear the drive down to {size} to 1"),
        motor("drive.motor"),
    ),
    "motor_overheats": (
        times("rotor.ratio", (1.1, 1.2, 1.35), "gear the rotor down to {size} to 1"),
        motor("rotor.motor"),
    ),
    "pack_overloaded": (
        about("match_energy_", larger_pack),
        times("battery.current_limit", MORE, "take a pack that may give {size}"),
        times("rotor.motor.current_limit", LESS, "set the rotor controller's limit to {size}"),
    ),
    "browns_out": (
        times("battery.resistance", LESS, "take a pack of at most {size}"),
        times("rotor.motor.current_limit", LESS, "set the rotor controller's limit to {size}"),
    ),
    "cannot_right": (
        times("righting.arm.torque", MORE, "gear the righting arm for {size}"),
        times("righting.arm.spring_energy", MORE, "take a spring that stores {size}"),
    ),
    "slow_to_service": (
        fewer("service.tool_changes", "let one tool fit more of the screws: {size} changes of tool on the way"),
        fewer("service.screws", "get by with {size} screws on the way to what is swapped"),
    ),
}
"""What is offered against each risk, by its code: cheap and quick things first."""

