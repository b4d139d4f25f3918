"""The rotor as a flywheel: inertia, speed, energy and bite; its motor, drag and strength are joined to it here."""

from __future__ import annotations

from collections.abc import Mapping

from scaling.book.algebra import pi, sqrt, symbols
from scaling.book.entry import Quantity, Variable
from scaling.files.errors import InputError
from scaling.files.schema import Choice
from scaling.files.sentence import listed
from scaling.formulas.rotor import hub, motor, retention, strength, tooth_hit, torque_constant
from scaling.formulas.rotor.shapes import SHAPES
from scaling.formulas.rotor.similar_motor import similar
from scaling.shop.shelves import Shelves

diameter, inertia, speed, teeth, rotor_mass = symbols(
    "rotor.diameter rotor.inertia rotor.speed rotor.teeth rotor.mass"
)
mass, gravity, length = symbols("mass gravity length")
top_speed, tooth_height, least_bite = symbols("top_speed rotor.tooth_height rotor.least_bite")
rotor_energy, bite, both_bite = symbols("rotor_energy bite bite_both_closing")

VARIABLES = (
    Variable("rotor.diameter", "D", "m", "cutting circle", 1),
    Variable("rotor.width", "w", "m", "width of the rotor along its axis", 1),
    Variable("rotor.bore", "d_b", "m", "bore of the rotor", 1, allowed="not negative", default=0.0),
    Variable("rotor.chord", "c", "m", "width of a bar across its length, or thickness of a ring's or drum's wall", 1,
             optional=True, when=("shape=bar", "shape=ring", "shape=drum")),
    Variable("rotor.mass", "m_r", "kg", "turning mass without the motor's own", 3),
    Variable("rotor.teeth", "z", "1", "teeth on the cutting circle", allowed="count"),
    Variable("rotor.tooth_height", "h_t", "m", "height of a tooth above the body behind it", 1),
    Variable("rotor.least_bite", "b_0", "m", "smallest advance per tooth that still grips instead of grinding", 0,
             default=1e-3),  # the edge's sharpness does not scale; the value is common practice, no source
    Variable("rotor.tooth_width", "w_t", "m", "width of a tooth along the axis", 1),
    Variable("rotor.axle_height", "h_r", "m", "height of the rotor's axle above the floor", 1, optional=True),
    Variable("rotor.inertia", "I", "kg m^2", "about the spin axis, all that turns with the rotor", 5, derived=True,
             unless="shape"),
    Variable("rotor.transverse_inertia", "I_t", "kg m^2", "larger inertia about an axis across the spin axis", 5,
             derived=True),
    Variable("rotor.transverse_inertia_small", "I_s", "kg m^2",
             "smaller inertia about an axis across the spin axis", 5, derived=True),
    Variable("rotor.speed", "omega", "rad/s", "speed of the rotor at full speed", derived=True),
    Variable("rotor.ratio", "i_r", "1", "motor speed over rotor speed", default=1.0),
    Variable("rotor.windage_factor", "k_w", "1", "air drag over that of a smooth disc of the same diameter, at the "
             "reference's speed; 1 where it is not stated, of a bar that of a bluff rod"),
    Variable("rotor.strip_drag", "C_0", "1", "drag coefficient of a bar's strips at a windage factor of 1; 0: no bar",
             allowed="not negative", derived=True),
    Variable("rotor.density", "rho", "kg/m^3", "density of the rotor's material", derived=True),
    Variable("rotor.strength", "S_r", "Pa", "strength of the rotor's material", derived=True),
    Variable("rotor.modulus", "E_r", "Pa", "modulus of elasticity of the rotor's material", derived=True),
    Variable("rotor.poisson", "nu", "1", "Poisson's ratio of the rotor's material", derived=True),
    Variable("rotor.stress_factor", "k_s", "1",
             "peak stress of the spinning body over that of a thin ring at the tip", derived=True,
             follows=("rotor.shape",)),
    Variable("rotor.motor.kv", "K_v", "rad/s/V", "speed constant of the rotor's motor, unloaded",
             *similar("kv")),
    torque_constant.variable("rotor.motor", "K_t", "the rotor's motor"),
    Variable("rotor.motor.resistance", "R_m", "ohm", "resistance of the rotor's motor",
             *similar("resistance")),
    Variable("rotor.motor.no_load_current", "I_0", "A", "no-load current of the rotor's motor",
             *similar("no_load_current"), allowed="not negative"),
    Variable("rotor.motor.current_limit", "I_l", "A", "motor-side limit, the controller's or the motor's, the lower",
             *similar("short_time_current")),
    Variable("rotor.motor.diameter", "d_m", "m", "outer diameter of the rotor's motor", 1),
    Variable("rotor.motor.length", "l_m", "m", "length of the rotor's motor", 1, optional=True),
    Variable("rotor.motor.mass", "m_m", "kg", "mass of the rotor's motor", *similar("mass")),
    Variable("rotor.motor.inertia", "J_m", "kg m^2", "of what turns with the motor and not with the rotor",
             *similar("inertia"), allowed="not negative", derived=True),
    Variable("rotor.hub.mass", "m_h", "kg", "mass of a hub, or of a drum's ends together, within the rotor's mass", 3),
    Variable("rotor.hub.diameter", "d_h", "m", "outer diameter of the hub", 1),
    Variable("rotor.hub.width", "w_h", "m", "width of the hub along the axis", 1),
    *strength.VARIABLES,
    *tooth_hit.VARIABLES,
    *retention.VARIABLES,
    *hub.VARIABLES,
)

CHOICES = {
    "rotor.axis": Choice(("across", "along", "upright"), "direction of the spin axis"),
    "rotor.shape": Choice(SHAPES, "shape of the rotor", unless="inertia"),
    "rotor.spin": Choice(("up", "down", "clockwise", "anticlockwise"),
                         "where the teeth go: up or down at the front for an axis across, clockwise or anticlockwise "
                         "seen from above for an upright one, seen from behind for one along"),
    "rotor.transmission": Choice(("hub", "direct", "belt", "gear"), "what is between motor and rotor"),
    "rotor.material": Choice(None, "material of the rotor"),
    "rotor.creep_test": Choice(None, "day of the test that the rotor stays still while the drive is at full",
                               optional=True, day=True),
    **strength.CHOICES,
    **tooth_hit.CHOICES,
    **retention.CHOICES,
    **hub.CHOICES,
}


BASIC = (
    Quantity(
        "rotor_inertia", "Rotor inertia", "I", "kg m^2", "rotor", "same", inertia,
        source="definition: the design's stated inertia; meriam appendix D: or that of its shape with hub and teeth",
    ),
    Quantity(
        "gyration_ratio", "Gyration radius over tip radius", "k/R", "1", "rotor", "higher",
        sqrt(inertia / rotor_mass) / (diameter / 2),
        source="definition: I = m k^2, how far out the mass sits, 1 is a thin ring at the tip",
        assumes="a hub motor's can counts in the inertia and not in the rotor's mass",
    ),
    Quantity("rotor_speed", "Rotor speed", "omega", "rad/s", "rotor", "same", speed,
             role="yardstick",
             source="definition: the speed rule, the reference as measured, else as its motor reaches"),
    Quantity(
        "tip_speed", "Tip speed", "v_t", "m/s", "rotor", "same", speed * diameter / 2,
        role="yardstick",
        source="own-derivation: rigid rotation, v = omega r",
    ),
    Quantity(
        "rotor_energy", "Rotor energy", "E", "J", "rotor", "same", inertia * speed**2 / 2,
        role="yardstick", clock="gravity",
        source="meriam sec. 6/6",
    ),
    Quantity(
        "angular_momentum", "Rotor angular momentum", "H", "kg m^2/s", "rotor", "same", inertia * speed,
        role="yardstick",
        source="meriam sec. 7/6",
    ),
    Quantity(
        "specific_energy", "Rotor energy per robot mass", "E/m", "J/kg", "rotor", "higher", rotor_energy / mass,
        role="yardstick", clock="gravity",
        source="definition",
    ),
    Quantity(
        "energy_lift_lengths", "Rotor energy in own lifts", "E/(m g L)", "1", "rotor", "higher",
        rotor_energy / (mass * gravity * length),
        role="handling", clock="gravity",
        source="definition: rotor energy over the work of lifting the robot by its own length",
    ),
    Quantity(
        "bite", "Bite per tooth", "b_t", "m", "rotor", "same",
        2 * pi * top_speed / (teeth * speed),
        role="yardstick", clock="driver",
        source="machinerys-handbook section on milling feeds: advance per tooth as in milling, f_z = v_f / (z n)",
        assumes="closing at own top speed on a standing opponent",
    ),
    Quantity(
        "bite_ratio", "Bite over tooth height", "b_t/h_t", "1", "rotor", "higher", bite / tooth_height,
        role="handling", clock="driver",
        source="definition",
        assumes="a bite beyond the tooth height is lost to the body behind the tooth",
    ),
    Quantity(
        "bite_both_closing", "Bite with both closing", "b_2", "m", "rotor", "same", 2 * bite,
        clock="driver",
        source="as bite",
        assumes="an opponent that comes at the same top speed, head on",
    ),
    Quantity(
        "bite_both_closing_ratio", "Bite ratio with both closing", "b_2/h_t", "1", "rotor", "higher",
        both_bite / tooth_height,
        clock="driver",
        source="definition",
        assumes="as bite_both_closing",
    ),
    Quantity(
        "least_bite_closing_speed", "Closing speed for first bite", "v_b0", "m/s", "rotor", "lower",
        least_bite * teeth * speed / (2 * pi),
        clock="driver",
        source="as bite: for rotor.least_bite; common-practice: its default of 1 mm",
        assumes="rotor at full speed; a slower one bites at less",
    ),
    Quantity(
        "full_bite_closing_speed", "Closing speed for full bite", "v_b", "m/s", "rotor", "lower",
        tooth_height * teeth * speed / (2 * pi),
        clock="driver",
        source="as bite: for the tooth's height",
        assumes="rotor at full speed: slower closing bites with less than the tooth, faster closing runs onto the body "
        "behind it",
    ),
    Quantity(
        "full_bite_rotor_speed", "Rotor speed for full bite at top speed", "omega_b", "rad/s", "rotor", "higher",
        2 * pi * top_speed / (teeth * tooth_height),
        clock="driver",
        source="as bite: for the tooth's height",
        assumes="closing at own top speed on a standing opponent; a rotor above it bites with less than its tooth",
    ),
)

QUANTITIES = (
    *BASIC, *motor.QUANTITIES, *strength.QUANTITIES, *tooth_hit.QUANTITIES, *retention.QUANTITIES, *hub.QUANTITIES,
)

SPINS = {"across": ("up", "down"), "upright": ("clockwise", "anticlockwise"), "along": ("clockwise", "anticlockwise")}
"""Words for the sense of rotation that have a meaning for each direction of the spin axis."""


def derive(numbers: dict[str, float], words: Mapping[str, str], shelves: Shelves) -> None:
    """Set bolts and bearings as the shelves have them; raises InputError for a sense that the axis cannot have."""
    axis, spin = words.get("rotor.axis"), words.get("rotor.spin")
    if axis is not None and spin is not None and spin not in SPINS[axis]:
        raise InputError(f"a rotor whose axis is {axis} cannot spin this way", key="rotor.spin", given=spin,
                         allowed=f"one of {listed(SPINS[axis])}")
    for part in (strength, retention, hub):
        part.derive(numbers, words, shelves)
