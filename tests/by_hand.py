"""Thirty of the book's closed forms as one writes them down in NumPy, to measure the book's own reading against.

They are those of the main demo's robot, from every branch, light and heavy as the book has them; tests/test_by_hand.py
holds each equal to the book.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

YIELD = (2 + np.pi) / np.sqrt(3)
"""Prandtl's punch over the strength, by von Mises."""


def by_hand(of: Mapping[str, Any]) -> dict[str, Any]:
    """Return thirty quantities by name, from the variables by key."""
    mass, gravity, speed, inertia = of["mass"], of["gravity"], of["rotor.speed"], of["rotor.inertia"]
    weight, diameter, tooth = mass * gravity, of["rotor.diameter"], of["rotor.tooth_height"]
    tip_speed = speed * diameter / 2
    rotor_energy = inertia * speed**2 / 2
    angular_momentum = inertia * speed
    top_speed = (
        of["drive.motor.kv"] * of["wheel.diameter"] / (2 * of["drive.ratio"])
        * (of["battery.voltage"] - of["drive.motor.no_load_current"]
           * (of["drive.motor.resistance"] + of["drive.motors"] * of["battery.resistance"]))
    )  # fmt: skip
    bite = 2 * np.pi * top_speed / (of["rotor.teeth"] * speed)
    windage_torque = (
        of["rotor.windage_factor"] * of["rotor.strip_drag"] * of["air.density"] * speed**2 * of["rotor.width"]
        * diameter**4 / 64
    )  # fmt: skip
    rotor_rim_stress = of["rotor.density"] * tip_speed**2
    slot = of["rotor.bore"] / of["rotor.chord"]
    rotor_mean_stress = rotor_rim_stress * (0.5 - slot * (of["rotor.bore"] / diameter) ** 2 / 3) / (1 - slot)
    hit_bite_depth = np.minimum(bite, tooth)
    hit_crush_force = YIELD * of["opponent.armour_strength"] * of["rotor.tooth_width"] * hit_bite_depth
    thick = of["opponent.armour_thickness"]
    contact_stiffness = of["opponent.armour_modulus"] / (
        thick / (of["rotor.tooth_width"] * tooth) + 0.1267 * of["opponent.armour_span"] ** 2 / thick**3
    )
    own_hit_mass = 1 / (
        diameter**2 / (4 * inertia) + 1 / mass + of["rotor.axle_lever"] ** 2 / (of["rotor.hit_inertia"] - inertia)
    )
    hit_effective_mass = 1 / (1 / own_hit_mass + 1 / of["mass_limit"])
    hit_force = np.minimum(tip_speed * np.sqrt(contact_stiffness * hit_effective_mass), hit_crush_force)
    hit_contact_time = np.pi * np.sqrt(hit_effective_mass / contact_stiffness)
    top_yaw_rate = 2 * top_speed / of["track"]
    gyro_lift_yaw_rate = weight * of["wheel.load_share"] * of["track"] / (2 * angular_momentum)
    gyro_margin = gyro_lift_yaw_rate / top_yaw_rate
    traction_acceleration = (
        gravity * of["wheel.load_share"]
        * (of["wheel.friction"] * of["wheel.driven"] / of["wheel.count"] - of["wheel.rolling_resistance"])
    )  # fmt: skip
    taken_hit_energy = 1 / (
        1 / (of["attacker.specific_energy"] * of["mass_limit"])
        + 2 * (1 / mass + 1 / of["mass_limit"]) / of["attacker.tip_speed"] ** 2
    )
    taken_bite_depth = of["attacker.bite"] / 2
    taken_glancing_energy = taken_hit_energy * (1 - (1 - 2 * taken_bite_depth / of["attacker.diameter"]) ** 2)
    shaft_stress = 8 * hit_force * of["rotor.shaft.span"] / (np.pi * of["rotor.shaft.diameter"] ** 3)
    wedge_stiffness = (
        of["wedge.modulus"] * of["wedge.width"] * of["wedge.thickness"] ** 3 / (4 * of["wedge.length"] ** 3)
    )
    wedge_yield_force = (
        of["wedge.strength"] * of["wedge.width"] * of["wedge.thickness"] ** 2 / (6 * of["wedge.length"])
    )
    wedge_yield_margin = wedge_yield_force**2 / (2 * wedge_stiffness) / taken_glancing_energy
    fall_height = of["arena.ceiling"] - of["height"]
    fall_factor = 1 + np.sqrt(1 + 2 * fall_height * of["landing.stiffness"] / weight)
    fall_force = weight * fall_factor
    bolt_shear_stress = hit_force / (of["rotor.mount.bolts"] * of["rotor.mount.bolt_stress_area"])
    wall_spring_energy_per_mass = of["wall.strength"] ** 2 / (2 * of["wall.modulus"] * of["wall.density"])
    return {
        "tip_speed": tip_speed, "rotor_energy": rotor_energy, "angular_momentum": angular_momentum,
        "top_speed": top_speed, "bite": bite, "windage_torque": windage_torque, "rotor_rim_stress": rotor_rim_stress,
        "rotor_mean_stress": rotor_mean_stress, "hit_bite_depth": hit_bite_depth, "hit_crush_force": hit_crush_force,
        "contact_stiffness": contact_stiffness, "own_hit_mass": own_hit_mass, "hit_effective_mass": hit_effective_mass,
        "hit_force": hit_force, "hit_contact_time": hit_contact_time, "top_yaw_rate": top_yaw_rate,
        "gyro_lift_yaw_rate": gyro_lift_yaw_rate, "gyro_margin": gyro_margin,
        "traction_acceleration": traction_acceleration, "taken_hit_energy": taken_hit_energy,
        "taken_glancing_energy": taken_glancing_energy, "shaft_stress": shaft_stress,
        "wedge_stiffness": wedge_stiffness, "wedge_yield_force": wedge_yield_force,
        "wedge_yield_margin": wedge_yield_margin, "fall_height": fall_height, "fall_factor": fall_factor,
        "fall_force": fall_force, "bolt_shear_stress": bolt_shear_stress,
        "wall_spring_energy_per_mass": wall_spring_energy_per_mass,
    }  # fmt: skip
