"""The rotor as a flywheel: speed, energy, spin-up, drag and the stress of its own rotation."""

from __future__ import annotations

import sympy

from scaling.formulas.book import KINDS, Choice, Model, Quantity, Validity, Variable, symbols
from scaling.formulas.shapes import SHAPES
from scaling.formulas.spin_up import LAMINAR, TRANSITION, TURBULENT, as_motored_speed, spin_down, spin_up

diameter, inertia, speed, teeth = symbols("rotor.diameter rotor.inertia rotor.speed rotor.teeth")
mass, density, strength = symbols("mass rotor.density rotor.strength")
width, air_density, air_viscosity = symbols("rotor.width air.density air.viscosity")
gravity, length = symbols("gravity length")
top_speed, tooth_height, poisson = symbols("top_speed rotor.tooth_height rotor.poisson")
tip_speed, rotor_energy, rim_stress, peak_stress = symbols(
    "tip_speed rotor_energy rotor_rim_stress rotor_peak_stress"
)
bite, reynolds, disc_windage, windage_torque = symbols(
    "bite rotor_reynolds disc_moment_coefficient windage_torque"
)
stress_factor, bluffness = symbols("rotor.stress_factor rotor.windage_factor")

VARIABLES = (
    Variable("rotor.diameter", "D", "m", "cutting circle", 1),
    Variable("rotor.width", "w", "m", "width of the rotor along its axis", 1),
    Variable("rotor.bore", "d_b", "m", "bore of the rotor", 1, allowed="not negative", default=0.0),
    Variable("rotor.chord", "c", "m", "width of a bar across its length, or thickness of a drum's wall", 1,
             optional=True),
    Variable("rotor.mass", "m_r", "kg", "turning mass without the motor's own", 3),
    Variable("rotor.teeth", "z", "1", "teeth on the cutting circle", allowed="count"),
    Variable("rotor.tooth_height", "h_t", "m", "height of a tooth above the body behind it", 1),
    Variable("rotor.tooth_width", "w_t", "m", "width of a tooth along the axis", 1),
    Variable("rotor.axle_height", "h_r", "m", "height of the rotor's axle above the floor", 1, optional=True),
    Variable("rotor.inertia", "I", "kg m^2", "about the spin axis, all that turns with the rotor", 5, derived=True),
    Variable("rotor.transverse_inertia", "I_t", "kg m^2", "larger inertia about an axis across the spin axis", 5,
             derived=True),
    Variable("rotor.transverse_inertia_small", "I_s", "kg m^2",
             "smaller inertia about an axis across the spin axis", 5, derived=True),
    Variable("rotor.speed", "omega", "rad/s", "speed of the rotor at full speed", derived=True),
    Variable("rotor.ratio", "i_r", "1", "motor speed over rotor speed", default=1.0),
    Variable("rotor.windage_factor", "k_w", "1", "air drag over that of a smooth disc of the same diameter",
             default=1.0),
    Variable("rotor.density", "rho", "kg/m^3", "density of the rotor's material", derived=True),
    Variable("rotor.strength", "S_r", "Pa", "strength of the rotor's material", derived=True),
    Variable("rotor.modulus", "E_r", "Pa", "modulus of elasticity of the rotor's material", derived=True),
    Variable("rotor.poisson", "nu", "1", "Poisson's ratio of the rotor's material", derived=True),
    Variable("rotor.stress_factor", "k_s", "1",
             "peak stress of the spinning body over that of a thin ring at the tip", derived=True),
    Variable("rotor.motor.kv", "K_v", "rad/s/V", "speed constant of the rotor's motor, unloaded", -1, -1),
    Variable("rotor.motor.resistance", "R_m", "ohm", "resistance of the rotor's motor", -3, 2),
    Variable("rotor.motor.no_load_current", "I_0", "A", "no-load current of the rotor's motor", 3, -1,
             allowed="not negative"),
    Variable("rotor.motor.current_limit", "I_l", "A", "motor-side limit, the controller's or the motor's, the lower",
             3, -1),
    Variable("rotor.motor.diameter", "d_m", "m", "outer diameter of the rotor's motor", 1),
    Variable("rotor.motor.length", "l_m", "m", "length of the rotor's motor", 1, optional=True),
    Variable("rotor.motor.mass", "m_m", "kg", "mass of the rotor's motor", 3),
    Variable("rotor.motor.inertia", "J_m", "kg m^2", "of what turns with the motor and not with the rotor", 5,
             allowed="not negative", derived=True),
)

CHOICES = {
    "rotor.axis": Choice(("across", "along", "upright"), "direction of the spin axis"),
    "rotor.shape": Choice(SHAPES, "shape of the rotor", optional=True),
    "rotor.spin": Choice(("up", "down", "clockwise", "anticlockwise"),
                         "where the teeth go: at the front for a level axis, seen from above for an upright one"),
    "rotor.transmission": Choice(("hub", "direct", "belt", "gear"), "what is between motor and rotor"),
    "rotor.kind": Choice(KINDS, "how the rotor's mass follows the factor", default="solid"),
    "rotor.material": Choice(None, "material of the rotor"),
    "rotor.motor.kind": Choice(KINDS, "how the motor's mass follows the factor", default="bought"),
}

_SPIN_UP_INPUTS = (
    "rotor.inertia",
    "rotor.motor.inertia",
    "rotor.ratio",
    "rotor.motor.kv",
    "rotor.motor.resistance",
    "rotor.motor.no_load_current",
    "rotor.motor.current_limit",
    "battery.voltage",
    "battery.resistance",
    "rotor.diameter",
    "rotor.windage_factor",
    "air.density",
    "air.viscosity",
)
_DRELA = "M. Drela, First-Order DC Electric Motor Model, MIT, 2007"
_SCHLICHTING = "H. Schlichting, Boundary-Layer Theory, 7th ed., ch. V and XXI"
_DISC = Validity(
    "rotor_reynolds",
    "the disc drag coefficients were measured below a Reynolds number of 7e6",
    high=7e6,
)


def _spin_up(output: str) -> Model:
    return Model(spin_up, ("rotor.speed", *_SPIN_UP_INPUTS), output)


QUANTITIES = (
    Quantity(
        "rotor_inertia", "Rotor inertia", "I", "kg m^2", "rotor", "same", inertia,
        source="the design's stated inertia, or that of its shape: J. L. Meriam & L. G. Kraige, Engineering "
        "Mechanics: Dynamics, appendix D",
    ),
    Quantity(
        "rotor_speed_as_motored", "Rotor speed that the motor reaches", "omega_m", "rad/s", "rotor", "same",
        Model(as_motored_speed, _SPIN_UP_INPUTS, "speed"),
        source=f"{_DRELA}; balance of motor torque and drag, windage after {_SCHLICHTING}",
        assumes="pack at its nominal voltage, sagging by its resistance; windage as a disc",
    ),
    Quantity("rotor_speed", "Rotor speed", "omega", "rad/s", "rotor", "same", speed,
             source="the speed rule; the reference as measured, else as its motor reaches"),
    Quantity(
        "tip_speed", "Tip speed", "v_t", "m/s", "rotor", "same", speed * diameter / 2,
        source="rigid rotation, v = omega r",
    ),
    Quantity(
        "rotor_energy", "Rotor energy", "E", "J", "rotor", "same", inertia * speed**2 / 2,
        source="J. L. Meriam & L. G. Kraige, Engineering Mechanics: Dynamics, sec. 6/6",
    ),
    Quantity(
        "angular_momentum", "Angular momentum of the rotor", "H", "kg m^2/s", "rotor", "same", inertia * speed,
        source="J. L. Meriam & L. G. Kraige, Engineering Mechanics: Dynamics, sec. 7/6",
    ),
    Quantity(
        "specific_energy", "Rotor energy per robot mass", "E/m", "J/kg", "rotor", "higher", rotor_energy / mass,
        source="definition",
    ),
    Quantity(
        "energy_lift_lengths", "Rotor energy as body lengths of own lift", "E/(m g L)", "1", "rotor", "higher",
        rotor_energy / (mass * gravity * length),
        source="definition: rotor energy over the work of lifting the robot by its own length",
    ),
    Quantity(
        "bite", "Advance per tooth passage", "b_t", "m", "rotor", "same",
        2 * sympy.pi * top_speed / (teeth * speed),
        source="advance per tooth as in milling, f_z = v_f / (z n): Machinery's Handbook, section on milling feeds",
        assumes="closing at own top speed on a standing opponent",
    ),
    Quantity(
        "bite_ratio", "Bite over tooth height", "b_t/h_t", "1", "rotor", "higher", bite / tooth_height,
        source="definition",
        assumes="a bite beyond the tooth height is lost to the body behind the tooth",
    ),
    Quantity(
        "spin_up_time", "Spin-up to 95 % speed", "t_95", "s", "rotor", "lower", _spin_up("time_95"),
        source=f"quadrature of J domega/dt = T; motor after {_DRELA}; drag after {_SCHLICHTING}",
        assumes="motor-side current limit; pack sag; belt without slip; governed where the set speed is below the "
        "motor's own",
    ),
    Quantity(
        "spin_up_time_50", "Spin-up to 50 % speed", "t_50", "s", "rotor", "lower", _spin_up("time_50"),
        source="as spin_up_time",
    ),
    Quantity(
        "spin_up_time_80", "Spin-up to 80 % speed", "t_80", "s", "rotor", "lower", _spin_up("time_80"),
        source="as spin_up_time",
    ),
    Quantity(
        "spin_up_time_80_energy", "Spin-up to 80 % energy", "t_E80", "s", "rotor", "lower",
        _spin_up("time_energy_80"),
        source="as spin_up_time, to sqrt(0.8) of the speed",
    ),
    Quantity(
        "spin_up_energy", "Pack energy of one spin-up", "E_p", "J", "rotor", "lower", _spin_up("pack_energy"),
        source="quadrature of V I dt at the pack's open-circuit voltage, to 95 % speed",
        assumes="the controller turns volts into amps without loss, so the pack gives the motor's power",
    ),
    Quantity(
        "spin_up_heat", "Heat in the winding of one spin-up", "Q_w", "J", "rotor", "lower", _spin_up("winding_heat"),
        source="quadrature of I^2 R dt, to 95 % speed",
    ),
    Quantity(
        "spin_down_time", "Spin-down to 5 % by drag alone", "t_d", "s", "rotor", "lower",
        Model(spin_down, ("rotor.speed", *_SPIN_UP_INPUTS), "time"),
        source=f"quadrature of J domega/dt = -drag; windage after {_SCHLICHTING}; bearing and iron drag as the motor's "
        "no-load torque",
        assumes="motor coasting, not braking",
    ),
    Quantity(
        "rotor_reynolds", "Reynolds number of the rotor", "Re", "1", "rotor", "same",
        speed * (diameter / 2) ** 2 / air_viscosity,
        source="definition, omega R^2 / nu",
    ),
    Quantity(
        "disc_moment_coefficient", "Moment coefficient of a disc", "C_m", "1", "rotor", "same",
        sympy.Piecewise(
            (LAMINAR / sympy.sqrt(reynolds), reynolds < TRANSITION),
            (TURBULENT * reynolds ** sympy.Rational(-1, 5), True),
        ),
        source=f"{_SCHLICHTING}: 3.87 Re^(-1/2) laminar (Cochran), 0.146 Re^(-1/5) turbulent (von Karman); from "
        "laminar to turbulent at Re = 3e5",
        valid=(_DISC,),
    ),
    Quantity(
        "windage_torque", "Air drag torque at full speed", "T_w", "N m", "rotor", "lower",
        bluffness * disc_windage * air_density * speed**2 * (diameter / 2) ** 5 / 2,
        source=f"{_SCHLICHTING}: M = C_m rho omega^2 R^5 / 2 for both faces of a free disc",
        assumes="smooth free disc; toothed and barred rotors drag more: state rotor.windage_factor",
        valid=(_DISC,),
    ),
    Quantity(
        "windage_power", "Air drag power at full speed", "P_w", "W", "rotor", "lower", windage_torque * speed,
        source="P = T omega",
        valid=(_DISC,),
    ),
    Quantity(
        "rotor_rim_stress", "Rim stress of a thin ring at the tip", "sigma_r", "Pa", "rotor", "lower",
        density * tip_speed**2,
        source="thin rotating ring, sigma = rho v^2: S. Timoshenko & J. N. Goodier, Theory of Elasticity",
        assumes="the yardstick; the shape's own peak is rotor_peak_stress",
    ),
    Quantity(
        "rotor_rim_stress_margin", "Rotor strength over rim stress", "S_r/sigma_r", "1", "rotor", "higher",
        strength / rim_stress,
        source="definition",
    ),
    Quantity(
        "rotor_peak_stress", "Peak stress of the spinning rotor", "sigma_p", "Pa", "rotor", "lower",
        stress_factor * rim_stress,
        source="E. J. Hearn, Mechanics of Materials 2, sec. 4.2-4.3: disc (3+nu)/8, bored disc "
        "[(3+nu) + (1-nu)(r_i/r_o)^2]/4; bar 1/2; ring and drum as the bored disc",
        assumes="rotation alone, no hit; disc thin beside its radius; the bar's own bore not counted",
    ),
    Quantity(
        "rotor_peak_stress_margin", "Rotor strength over peak spinning stress", "S_r/sigma_p", "1", "rotor", "higher",
        strength / peak_stress,
        source="definition",
    ),
)
