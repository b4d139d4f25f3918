"""Hits against textbook impacts, a rigid-body simulator, conservation laws, and published wave and punch stresses.

Sources: F. P. Beer & E. R. Johnston, Vector Mechanics for Engineers: Dynamics, ch. 17 (sample problems, from memory);
W. Johnson, Impact Strength of Materials, and H. Kolsky, Stress Waves in Solids (from memory); R. Hill, The Mathematical
Theory of Plasticity, and K. L. Johnson, Contact Mechanics (from memory). Independent routes: mujoco (inverse inertia of
the linked bodies at the point that is hit) and scipy's solve_ivp (a collision followed in time).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from scaling.formulas import book

CHECKS = (
    "own_hit_inertia", "own_hit_mass", "opponent_hit_mass", "hit_effective_mass", "hit_impulse", "throw_speed",
    "throw_height", "opponent_spin", "recoil_speed", "recoil_spin", "rotor_speed_drop", "rotor_speed_drop_share",
    "hit_energy", "hit_energy_lost", "hit_energy_given", "hit_energy_given_share", "contact_stiffness", "hit_force",
    "hit_contact_time", "hit_wave_stress", "hit_wave_force", "hit_wave_transits", "hit_bite_depth", "hit_crush_force",
    "hit_force_elastic", "energy_per_armour_area", "stop_impulse", "stop_recoil_speed", "stop_spin",
    "stop_chassis_energy", "stop_arc", "stop_torque", "stop_force", "taken_hit_energy", "taken_tooth_area",
    "taken_bite_depth", "taken_glance_share", "taken_glancing_energy", "taken_tooth_area_bound", "taken_hit_force",
    "rotor_inertia_share",
    "opponent_inertia", "tooth_face_area", "hit_crush_ratio",
)

HUGE = 1e18
HARD = 1e20
"""Strength of an armour that gives no way, so that any tooth gives the whole hit at once, as in the textbooks."""
GRAVITY = 9.80665
ACROSS = frozenset({"rotor", "rotor.axis=across", "rotor.axis=level"})

MACHINE = {
    "mass": 1.36, "mass_limit": 1.5, "gravity": GRAVITY, "length": 0.26, "width": 0.24, "height": 0.1,
    "rotor.diameter": 0.15, "rotor.inertia": 9e-4, "rotor.speed": 900.0, "rotor.axle_lever": 0.07,
    "opponent.hit_offset": 0.05, "opponent.restitution": 0.3, "rotor.tooth_width": 0.01, "rotor.tooth_height": 0.008,
    "rotor.density": 7850.0, "rotor.modulus": 205e9, "opponent.armour_modulus": 1e9, "opponent.armour_density": 950.0,
    "opponent.armour_strength": HARD, "opponent.armour_thickness": 0.012, "opponent.armour_span": 0.1, "bite": 0.004,
    "rotor.teeth": 2.0, "rotor.radial_share": 0.5, "opponent.friction": 0.7,
}


def hit(
    only: list[str], traits: frozenset[str] = ACROSS, drop: tuple[str, ...] = (), **changes: float
) -> dict[str, float]:
    """Named quantities of MACHINE with some variables dropped and some changed (dots written as double underscores)."""
    given_ = MACHINE | {key.replace("__", "."): value for key, value in changes.items()}
    found = book.evaluate({key: value for key, value in given_.items() if key not in drop}, traits, only=only)
    return {name: float(found[name]) for name in only if name in found}


CENTRAL = ("rotor.axle_lever", "opponent.hit_offset")


# ------------------------------------------------------------ textbook impacts


def test_sphere_against_a_hinged_rod():
    """Beer & Johnston, sample problem on eccentric impact, from memory: 2 kg at 5 m/s, rod 8 kg of 1.2 m, e = 0.80.

    Published: the rod turns with 3.21 rad/s, the sphere goes back with 0.143 m/s. The rod is the rotor (inertia about
    its hinge m l^2 / 3, hit at l), its hinge a chassis too heavy to move, the sphere the opponent; seen from the
    sphere, the rod's end comes with 5 m/s.
    """
    rod = 8 * 1.2**2 / 3
    found = hit(["throw_speed", "rotor_speed_drop", "hit_energy_lost"], drop=CENTRAL, mass=HUGE, mass_limit=2.0,
                rotor__diameter=2.4, rotor__inertia=rod, rotor__speed=5 / 1.2, opponent__restitution=0.8)
    assert found["rotor_speed_drop"] == pytest.approx(3.21, abs=0.005)
    assert found["throw_speed"] - 5 == pytest.approx(0.143, abs=0.0005)
    before, after = 2 * 5**2 / 2, 2 * 0.142857**2 / 2 + rod * 3.214286**2 / 2
    assert found["hit_energy_lost"] == pytest.approx(before - after, rel=1e-5)


def test_bullet_into_a_hinged_panel():
    """Beer & Johnston, sample problem, from memory: bullet 0.05 lb at 1500 ft/s, 14 in down a 20 lb panel of 18 in.

    Published: 4.67 rad/s, the bullet's own mass left out after the blow (0.4 %).
    """
    pound, foot = 0.45359237, 0.3048
    side, arm, panel = 1.5 * foot, 14 / 12 * foot, 20 * pound
    about_hinge = panel * side**2 / 6 + panel * (side / 2) ** 2
    found = hit(["rotor_speed_drop"], drop=CENTRAL, mass=HUGE, mass_limit=0.05 * pound, rotor__diameter=2 * arm,
                rotor__inertia=about_hinge, rotor__speed=1500 * foot / arm, opponent__restitution=0.0)
    assert found["rotor_speed_drop"] == pytest.approx(4.67, rel=5e-3)


@pytest.mark.parametrize(("restitution", "speed"), [(1.0, 3.0), (0.0, 1.5), (0.5, 2.25)])
def test_two_equal_bodies_in_line(restitution, speed):
    """Newton's impact of equal bodies, from memory: e = 1 swaps the speeds, e = 0 halves them.

    A rotor with I = m r^2 at an axle that cannot move is a point mass m at its tip.
    """
    found = hit(["throw_speed", "hit_energy_lost"], drop=CENTRAL, mass=HUGE, mass_limit=1.5, rotor__diameter=0.2,
                rotor__inertia=1.5 * 0.1**2, rotor__speed=30.0, opponent__restitution=restitution)
    assert found["throw_speed"] == pytest.approx(speed, rel=1e-9)
    assert found["hit_energy_lost"] == pytest.approx((1 - restitution**2) * 1.5 * 3.0**2 / 4, abs=1e-9)


def test_a_free_rod_hit_at_its_end_answers_like_a_quarter_of_its_mass():
    """1/m + (l/2)^2 / (m l^2 / 12) = 4/m: J. L. Meriam & L. G. Kraige, Dynamics, from memory."""
    found = hit(["opponent_hit_mass"], mass_limit=2.0, opponent__hit_offset=0.3, opponent__inertia=2.0 * 0.6**2 / 12)
    assert found["opponent_hit_mass"] == pytest.approx(0.5, rel=1e-12)


def test_box_inertia_by_axis():
    """Uniform box, m (a^2 + b^2) / 12: Meriam & Kraige, Dynamics, appendix D, from memory; against trimesh."""
    import trimesh

    box = trimesh.creation.box(extents=(0.26, 0.24, 0.1))
    box.density = 1.36 / box.volume
    for axis, place in (("along", 0), ("across", 1), ("upright", 2)):
        found = hit(["own_hit_inertia"], frozenset({"rotor", f"rotor.axis={axis}"}))
        assert found["own_hit_inertia"] == pytest.approx(box.moment_inertia[place, place], rel=1e-9)


def test_an_opponent_is_the_same_box_with_the_classs_mass():
    """Own box of 1.36 kg, the opponent's of 1.5 kg: inertias by trimesh, the rotor's 9e-4 kg m^2 a share of the own."""
    import trimesh

    box = trimesh.creation.box(extents=(0.26, 0.24, 0.1))
    box.density = 1.5 / box.volume
    found = hit(["opponent_inertia", "rotor_inertia_share"])
    assert found["opponent_inertia"] == pytest.approx(box.moment_inertia[1, 1], rel=1e-9)
    assert found["rotor_inertia_share"] == pytest.approx(9e-4 / (box.moment_inertia[1, 1] * 1.36 / 1.5), rel=1e-9)
    assert hit(["opponent_inertia"], opponent__inertia=0.02) == {"opponent_inertia": 0.02}


@pytest.mark.parametrize(("axis", "key"), [("upright", "yaw_inertia"), ("along", "roll_inertia")])
def test_a_measured_inertia_of_that_plane_counts_before_the_box(axis, key):
    """Same axis, same body: nothing to compute; a stated rotor.hit_inertia counts before both."""
    traits = frozenset({"rotor", f"rotor.axis={axis}"})
    assert hit(["own_hit_inertia"], traits, **{key: 0.0123}) == {"own_hit_inertia": 0.0123}
    assert hit(["own_hit_inertia"], traits, **{key: 0.0123}, rotor__hit_inertia=0.02) == {"own_hit_inertia": 0.02}


# ------------------------------------------------------------ a rigid-body simulator


MODEL = """
<mujoco>
  <option gravity="0 0 0"/>
  <worldbody>
    <body name="chassis" pos="0 0 0">
      <freejoint/>
      <inertial pos="0 0 0" mass="{chassis_mass}" diaginertia="1 {chassis_inertia} 1"/>
      <body name="rotor" pos="{axle} 0 0.01">
        <joint name="spin" type="hinge" axis="0 1 0"/>
        <inertial pos="0 0 0" mass="{rotor_mass}" diaginertia="{small} {rotor_inertia} {small}"/>
      </body>
    </body>
    <body name="opponent" pos="{opponent} 0 0">
      <freejoint/>
      <inertial pos="0 0 0" mass="{limit}" diaginertia="1 {opponent_inertia} 1"/>
    </body>
  </worldbody>
</mujoco>
"""


def simulated(mass: float, rotor_mass: float, lever: float, inertia: float, offset: float) -> dict[str, float]:
    """The vertical hit at a tip ahead of the axle by mujoco: inverse inertia at the tips, and speeds by M dv = J^T p.

    ``inertia`` is the whole robot's about its centre of gravity; mujoco is given the chassis' own, found by the
    parallel-axis theorem, and composes the linked bodies itself.
    """
    import mujoco

    radius, spin = MACHINE["rotor.diameter"] / 2, MACHINE["rotor.inertia"]
    chassis_mass = mass - rotor_mass
    balance = -rotor_mass * lever / chassis_mass  # the chassis' own centre, the robot's being the origin
    rise = 0.01
    apart = (lever - balance) ** 2 + rise**2
    chassis_inertia = inertia - spin - chassis_mass * rotor_mass / mass * apart
    opponent_inertia = 1.5 * (0.26**2 + 0.1**2) / 12
    text = MODEL.format(
        chassis_mass=chassis_mass, chassis_inertia=chassis_inertia, axle=lever - balance, rotor_mass=rotor_mass,
        rotor_inertia=spin, small=spin * 0.6, limit=1.5, opponent=lever - balance + radius + offset,
        opponent_inertia=opponent_inertia,
    )
    model = mujoco.MjModel.from_xml_string(text)
    data = mujoco.MjData(model)
    mujoco.mj_forward(model, data)
    point = np.array([lever - balance + radius, 0.0, rise])

    def upward(body: str) -> np.ndarray:
        rows = np.zeros((3, model.nv))
        mujoco.mj_jac(model, data, rows, None, point, mujoco.mj_name2id(model, mujoco.mjtObj.mjOBJ_BODY, body))
        return rows[2]

    relative = upward("rotor") - upward("opponent")
    answer = np.zeros((1, model.nv))
    mujoco.mj_solveM(model, data, answer, relative[None, :])
    compliance = float(relative @ answer[0])
    impulse = (1 + MACHINE["opponent.restitution"]) * MACHINE["rotor.speed"] * radius / compliance
    change = answer[0] * impulse
    return {
        "hit_effective_mass": 1 / compliance, "hit_impulse": impulse,
        "recoil_spin": abs(change[4]), "rotor_speed_drop": abs(change[4] + change[6]),
        "throw_speed": abs(change[9]), "opponent_spin": abs(change[11]),
    }


@pytest.mark.parametrize("lever", [0.0, 0.03, 0.08])
@pytest.mark.parametrize("offset", [0.0, 0.02, 0.12])
@pytest.mark.parametrize("rotor_mass", [0.15, 0.5])
def test_against_a_rigid_body_simulator(lever, offset, rotor_mass):
    """Agreement to 1e-6 with mujoco for the linked bodies, each free; a hinged rotor of its own mass on the chassis."""
    inertia = 0.012
    solved = simulated(1.36, rotor_mass, lever, inertia, offset)
    found = hit(list(solved), rotor__axle_lever=lever, opponent__hit_offset=offset, rotor__hit_inertia=inertia,
                opponent__inertia=1.5 * (0.26**2 + 0.1**2) / 12)
    for name, value in solved.items():
        assert found[name] == pytest.approx(value, rel=1e-6, abs=1e-9), name


# ------------------------------------------------------------ conservation, whatever the machine


@given(
    mass=st.floats(0.15, 15.0), ratio=st.floats(0.8, 1.25), share=st.floats(0.02, 0.8), lever=st.floats(0.0, 0.5),
    offset=st.floats(0.0, 0.5), restitution=st.floats(0.0, 1.0), speed=st.floats(50.0, 3000.0),
)
def test_momentum_and_energy_are_kept(mass, ratio, share, lever, offset, restitution, speed):
    """Conservation of momentum, of angular momentum about a fixed point, and of energy with what deforms."""
    length = 0.2 * mass ** (1 / 3)
    box = mass * (length**2 + (0.4 * length) ** 2) / 12
    sizes = {"mass": mass, "mass_limit": ratio * mass, "length": length, "height": 0.4 * length,
             "rotor__inertia": share * box, "rotor__axle_lever": lever * length,
             "opponent__hit_offset": offset * length, "opponent__restitution": restitution, "rotor__speed": speed}
    names = ["hit_impulse", "throw_speed", "recoil_speed", "opponent_spin", "recoil_spin", "rotor_speed_drop",
             "hit_energy_given", "hit_energy_lost", "opponent_inertia", "own_hit_inertia", "rotor_energy",
             "hit_energy_given_share", "rotor_speed_drop_share"]
    after = hit(names, **sizes)
    spin, radius = share * box, MACHINE["rotor.diameter"] / 2
    assert mass * after["recoil_speed"] == pytest.approx(ratio * mass * after["throw_speed"], rel=1e-9)

    # About a point that rests in space where the own centre of gravity is: the hit is at lever + radius ahead of it.
    chassis = box - spin
    own = spin * (speed - after["rotor_speed_drop"]) - chassis * after["recoil_spin"]
    arm = lever * length + radius + offset * length
    other = ratio * mass * after["throw_speed"] * arm - after["opponent_inertia"] * after["opponent_spin"]
    assert own + other == pytest.approx(spin * speed, rel=1e-9, abs=1e-9 * spin * speed)

    left = spin * (speed - after["rotor_speed_drop"]) ** 2 / 2
    chassis_energy = mass * after["recoil_speed"] ** 2 / 2 + chassis * after["recoil_spin"] ** 2 / 2
    total = left + chassis_energy + after["hit_energy_given"] + after["hit_energy_lost"]
    assert total == pytest.approx(spin * speed**2 / 2, rel=1e-9)
    assert after["hit_energy_given_share"] * after["rotor_energy"] == pytest.approx(after["hit_energy_given"], rel=1e-9)
    assert after["rotor_speed_drop_share"] * speed == pytest.approx(after["rotor_speed_drop"], rel=1e-9)


def test_teeth_that_rise_press_the_own_machine_down_with_as_much():
    """Conservation of momentum between 1.36 and 1.5 kg, before the floor pushes back."""
    found = hit(["recoil_speed", "throw_speed"], ACROSS | {"rotor.spin=up"})
    assert 1.36 * found["recoil_speed"] == pytest.approx(1.5 * found["throw_speed"], rel=1e-12)


def test_what_is_not_stated_is_central():
    """Without lever and offset the two bodies answer as 1/m_e = r^2/I + 1/m + 1/M, and nothing turns."""
    found = hit(["hit_effective_mass", "opponent_spin", "recoil_spin"], drop=CENTRAL)
    assert found == {"hit_effective_mass": pytest.approx(1 / (0.075**2 / 9e-4 + 1 / 1.36 + 1 / 1.5), rel=1e-12)}
    zero = hit(["hit_effective_mass"], rotor__axle_lever=0.0, opponent__hit_offset=0.0)
    assert zero["hit_effective_mass"] == pytest.approx(found["hit_effective_mass"], rel=1e-12)


@pytest.mark.parametrize("key", ["rotor__axle_lever", "opponent__hit_offset"])
def test_an_eccentric_hit_gives_less_lift_than_a_central_one(key):
    heights = [hit(["throw_height"], **{key: value})["throw_height"] for value in (0.0, 0.03, 0.06, 0.1)]
    assert heights == sorted(heights, reverse=True)
    assert heights[-1] < heights[0]


def test_thrown_up_at_the_throw_speed_a_body_rises_by_the_throw_height():
    """Free flight followed in time with scipy."""
    found = hit(["throw_speed", "throw_height"])
    top = solve_ivp(lambda _, y: [y[1], -GRAVITY], (0, 10), [0.0, found["throw_speed"]],
                    events=lambda _, y: y[1], rtol=1e-10, atol=1e-12)
    assert top.y_events[0][0][0] == pytest.approx(found["throw_height"], rel=1e-6)


# ------------------------------------------------------------ peak force


def test_a_collision_followed_in_time_has_that_force_and_duration():
    """Two masses with a spring between them, by scipy's solve_ivp: peak force, contact time and impulse for e = 1."""
    found = hit(["own_hit_mass", "opponent_hit_mass", "contact_stiffness", "hit_force", "hit_force_elastic",
                 "hit_contact_time", "tip_speed", "hit_impulse", "hit_energy"], opponent__restitution=1.0)
    one, two, k = found["own_hit_mass"], found["opponent_hit_mass"], found["contact_stiffness"]

    def motion(_, y):
        force = k * (y[0] - y[1])
        return [y[2], y[3], -force / one, force / two]

    def apart(t, y):
        return y[0] - y[1] if t > found["hit_contact_time"] / 10 else 1.0

    apart.terminal = True
    run = solve_ivp(motion, (0, 1), [0, 0, found["tip_speed"], 0], events=apart, rtol=1e-10, atol=1e-14,
                    max_step=found["hit_contact_time"] / 200)
    assert run.t[-1] == pytest.approx(found["hit_contact_time"], rel=1e-6)
    press = run.y[0] - run.y[1]
    assert k * press.max() == pytest.approx(found["hit_force_elastic"], rel=1e-4)
    assert found["hit_force"] == found["hit_force_elastic"]  # on armour that does not give way
    assert k * press.max() ** 2 / 2 == pytest.approx(found["hit_energy"], rel=2e-4)
    assert two * run.y[3][-1] == pytest.approx(found["hit_impulse"], rel=1e-6)


def test_a_mass_on_a_rod():
    """Horizontal blow, sigma = v sqrt(m E / (A L)): 10 kg, 1 m/s, 1 cm^2, 1 m, 200 GPa: 141.42 MPa.

    J. E. Shigley & C. R. Mischke, Mechanical Engineering Design; Roark: from memory. The rotor is a point mass of 10 kg
    at its tip, the armour a block of 1 cm^2 and 1 m without a span.
    """
    found = hit(["hit_force"], drop=CENTRAL, mass=HUGE, mass_limit=HUGE, rotor__diameter=2.0, rotor__inertia=10.0,
                rotor__speed=1.0, rotor__tooth_width=0.01, rotor__tooth_height=0.01, opponent__armour_modulus=200e9,
                opponent__armour_thickness=1.0, opponent__armour_span=1e-6)
    assert found["hit_force"] / 1e-4 == pytest.approx(141.42e6, rel=1e-4)


def test_the_panels_own_give_is_timoshenkos():
    """Square hinged plate, w = 0.01160 F a^2 / D, D = E t^3 / [12 (1 - nu^2)], nu = 0.3.

    S. Timoshenko & S. Woinowsky-Krieger, Theory of Plates and Shells, table 23, from memory.
    """
    found = hit(["contact_stiffness"], rotor__tooth_width=10.0, rotor__tooth_height=10.0, opponent__armour_span=0.3)
    rigidity = 1e9 * 0.012**3 / (12 * (1 - 0.3**2))
    assert found["contact_stiffness"] == pytest.approx(rigidity / (0.01160 * 0.3**2), rel=1e-3)


@pytest.mark.parametrize(("modulus", "stress"), [(200e9, 396.2e6), (207e9, 403.1e6)])
def test_a_velocity_step_at_a_rods_end(modulus, stress):
    """sigma = rho c v, steel of 7850 kg/m^3 at 10 m/s: W. Johnson, Impact Strength of Materials, from memory."""
    found = hit(["hit_wave_stress"], rotor__modulus=modulus, rotor__diameter=0.2, rotor__speed=100.0,
                opponent__armour_modulus=HUGE, opponent__armour_density=HUGE)
    assert found["hit_wave_stress"] == pytest.approx(stress, rel=2e-4)


def test_two_equal_bars():
    """sigma = rho c v / 2 = 198.1 MPa at 10 m/s: W. Johnson, Impact Strength of Materials, from memory."""
    found = hit(["hit_wave_stress", "hit_wave_force"], rotor__modulus=200e9, rotor__diameter=0.2, rotor__speed=100.0,
                opponent__armour_modulus=200e9, opponent__armour_density=7850.0)
    assert found["hit_wave_stress"] == pytest.approx(198.1e6, rel=2e-4)
    assert found["hit_wave_force"] == pytest.approx(198.1e6 * 0.01 * 0.008, rel=2e-4)


def test_a_wave_between_two_bars_followed_cell_by_cell():
    """The two-material form against finite volumes of the elastic wave equation (Godunov), steel on polyethylene.

    Steps of one cell's travel time in each bar keep the front sharp; agreement 1 %.
    """
    cells = 60
    impedance = np.array([math.sqrt(205e9 * 7850.0)] * cells + [math.sqrt(1e9 * 950.0)] * cells)
    velocity = np.array([10.0] * cells + [0.0] * cells)
    stress = np.zeros(2 * cells)
    for _ in range(30):  # each cell's two characteristics, exact when each cell is one step long
        right, left = stress - impedance * velocity, stress + impedance * velocity
        z1, z2 = impedance[:-1], impedance[1:]
        face_v = (left[1:] - right[:-1]) / (z1 + z2)
        face_s = (z2 * right[:-1] + z1 * left[1:]) / (z1 + z2)
        face_v = np.concatenate([velocity[:1], face_v, velocity[-1:]])
        face_s = np.concatenate([[0.0], face_s, [0.0]])
        velocity = velocity + (face_s[1:] - face_s[:-1]) / impedance
        stress = stress + impedance * (face_v[1:] - face_v[:-1])
    found = hit(["hit_wave_stress"], rotor__diameter=0.2, rotor__speed=100.0)
    assert -stress[cells + 5] == pytest.approx(found["hit_wave_stress"], rel=1e-2)


def test_wave_transits_count_the_trips():
    """Steel bar of 5047.5 m/s (W. Johnson, from memory): a trip of 2 x 12 mm takes 4.755 microseconds."""
    found = hit(["hit_wave_transits", "hit_contact_time"], opponent__armour_modulus=200e9,
                opponent__armour_density=7850.0)
    assert found["hit_contact_time"] / found["hit_wave_transits"] == pytest.approx(0.024 / 5047.5, rel=1e-4)


def test_a_flat_punch_sinks_in_at_about_three_times_the_yield_stress():
    """p = 2.97 Y for a flat punch with von Mises' condition: R. Hill, 1950; p near 3 Y: K. L. Johnson, Contact
    Mechanics, ch. 6, and D. Tabor, The Hardness of Metals; all from memory.
    """
    found = hit(["hit_crush_force", "hit_bite_depth"], opponent__armour_strength=25e6)
    assert found["hit_crush_force"] / (0.01 * 0.004 * 25e6) == pytest.approx(2.97, abs=0.005)
    assert hit(["hit_bite_depth"], bite=0.02)["hit_bite_depth"] == MACHINE["rotor.tooth_height"]
    assert found["hit_bite_depth"] == MACHINE["bite"]
    assert hit(["hit_bite_depth"], drop=("bite",))["hit_bite_depth"] == MACHINE["rotor.tooth_height"]


def test_force_over_what_the_surface_bears():
    """Hill's 2.97 Y on 10 by 4 mm, 25 MPa: 2970 N, and no more. The face of a tooth of 10 by 8 mm is 80 mm^2."""
    names = ["hit_force", "hit_force_elastic", "hit_crush_ratio", "tooth_face_area"]
    found = hit(names, opponent__armour_strength=25e6)
    assert found["hit_crush_ratio"] == pytest.approx(found["hit_force_elastic"] / 2970, rel=2e-3)
    assert found["hit_crush_ratio"] > 1
    assert found["hit_force"] == pytest.approx(2970, rel=2e-3)
    assert found["tooth_face_area"] == pytest.approx(80e-6, rel=1e-12)


def test_energy_per_armour_area_by_hand():
    found = hit(["hit_energy", "energy_per_armour_area", "hit_effective_mass"])
    assert found["hit_energy"] == pytest.approx(found["hit_effective_mass"] * (900 * 0.075) ** 2 / 2, rel=1e-12)
    assert found["energy_per_armour_area"] == pytest.approx(found["hit_energy"] * 100, rel=1e-12)


# ------------------------------------------------------------ the rotor stopped dead


def test_a_jammed_rotor_turns_the_machine_as_two_coupled_discs():
    """Followed in time: friction between rotor and chassis until they turn together (two-disc clutch).

    J. L. Meriam & L. G. Kraige, Dynamics, sec. 6/8, from memory: w = I w0 / (I1 + I2); here I1 + I2 is the robot's own.
    """
    inertia, spin, speed = 0.02, 9e-4, 900.0
    found = hit(["stop_spin", "stop_chassis_energy"], rotor__hit_inertia=inertia)
    run = solve_ivp(lambda _, w: [-50 * (w[0] - w[1]) / spin, 50 * (w[0] - w[1]) / (inertia - spin)], (0, 1),
                    [speed, 0.0], method="Radau", rtol=1e-10, atol=1e-12)
    assert run.y[0][-1] == pytest.approx(run.y[1][-1], rel=1e-6)
    assert found["stop_spin"] == pytest.approx(run.y[1][-1], rel=1e-6)
    assert found["stop_chassis_energy"] == pytest.approx(inertia * run.y[1][-1] ** 2 / 2, rel=1e-5)


def test_a_stop_at_the_tip_is_a_plastic_hit_on_something_immovable():
    """With a chassis that cannot move either, the eccentric impact with e = 0 stops the rotor by the same impulse."""
    heavy = hit(["hit_impulse", "stop_impulse"], drop=CENTRAL, mass=HUGE, mass_limit=HUGE, opponent__restitution=0.0)
    assert heavy["stop_impulse"] == pytest.approx(heavy["hit_impulse"], rel=1e-9)
    found = hit(["stop_impulse", "stop_recoil_speed"])
    assert found["stop_recoil_speed"] * 1.36 == pytest.approx(found["stop_impulse"], rel=1e-12)


@pytest.mark.parametrize("bite", [0.0005, 0.002, 0.008, 0.0149])
def test_stopped_in_one_bite(bite):
    """A constant torque over the chord's exact angle, acos(1 - b/r), followed in time: mean torque within 2 %."""
    angle = math.acos(1 - bite / 0.075)
    found = hit(["stop_torque", "stop_arc", "stop_force"], bite=bite, rotor__tooth_height=0.02)

    def rest(_, y):
        return y[1]

    rest.terminal = True
    run = solve_ivp(lambda *_: [_[1][1], -found["stop_torque"] / 9e-4], (0, 1), [0.0, 900.0], events=rest, rtol=1e-9)
    assert run.y[0][-1] == pytest.approx(angle, rel=2e-2)
    assert found["stop_force"] == pytest.approx(found["stop_torque"] / 0.075, rel=1e-12)


# ------------------------------------------------------------ hits taken


def test_an_attacker_like_oneself_takes_the_same_energy():
    """Described by energy and tip speed, a rotor of the own kind hits as the eccentric impact says."""
    energy, tip = 9e-4 * 900**2 / 2, 900 * 0.075
    central = hit(["hit_energy"], drop=CENTRAL, mass=1.5)
    pusher = {"mass": 1.5, "mass_limit": 1.5, "attacker.specific_energy": energy / 1.5, "attacker.tip_speed": tip,
              "attacker.tooth_width": 0.01, "attacker.bite": 0.004}
    found = book.evaluate(pusher, frozenset({"pusher"}), only=["taken_hit_energy", "taken_tooth_area"])
    assert found["taken_hit_energy"] == pytest.approx(central["hit_energy"], rel=1e-12)
    assert found["taken_tooth_area"] == pytest.approx(2e-5, rel=1e-12)


def test_a_tooth_finds_its_face_at_any_moment_of_the_advance():
    """A million teeth by chance, their depth even from nothing to the advance; area of the deepest by hand: 9 by 4 mm.

    A tooth on a circle of 80 mm that reaches u past a face comes with v sin phi square to it, cos phi = 1 - u / r:
    share of its energy by the components of the velocity.
    """
    given_ = {"attacker.bite": 0.004, "attacker.tooth_width": 0.009, "attacker.diameter": 0.08,
              "taken_hit_energy": 50.0}
    names = ["taken_bite_depth", "taken_tooth_area_bound", "taken_glance_share", "taken_glancing_energy"]
    found = book.evaluate(given_, frozenset(), only=names)
    depths = np.random.default_rng(1).uniform(0, 0.004, 1_000_000)
    assert found["taken_bite_depth"] == pytest.approx(depths.mean(), rel=5e-3)
    assert found["taken_tooth_area_bound"] == pytest.approx(36e-6, rel=1e-12)
    place = np.array([0.04 - 0.002, math.sqrt(0.04**2 - 0.038**2)])  # where the tip crosses the face, from the axle
    velocity = np.array([-place[1], place[0]]) / 0.04
    share = velocity[0] ** 2 / (velocity @ velocity)
    assert found["taken_glance_share"] == pytest.approx(share, rel=1e-9)
    assert found["taken_glancing_energy"] == pytest.approx(50.0 * share, rel=1e-9)
    square = {key: value for key, value in given_.items() if key != "attacker.diameter"}
    assert book.evaluate(square, frozenset(), only=names)["taken_glancing_energy"] == 50.0


def test_a_hit_taken_presses_no_harder_than_the_armour_bears():
    """Hill's 2.97 Y on 9 by 4 mm, 25 MPa: 2673 N; a light hit on 0.5 kN/mm runs it in by what holds its energy."""
    names = ["taken_hit_force"]
    given_ = {"attacker.bite": 0.004, "attacker.tooth_width": 0.009, "opponent.armour_strength": 25e6,
              "contact_stiffness": 500e3}
    heavy = book.evaluate(given_ | {"taken_hit_energy": 50.0}, frozenset(), only=names)["taken_hit_force"]
    assert heavy == pytest.approx(2673, rel=2e-3)
    light = book.evaluate(given_ | {"taken_hit_energy": 1.0}, frozenset(), only=names)["taken_hit_force"]
    assert light * (light / 500e3) / 2 == pytest.approx(1.0, rel=1e-9)


def test_a_blow_never_takes_more_than_the_attackers_rotor_has():
    speeds = np.geomspace(1.0, 1000.0, 50)
    pusher = {"mass": 1.5, "mass_limit": 1.5, "attacker.specific_energy": 200.0, "attacker.tip_speed": speeds}
    found = book.evaluate(pusher, frozenset({"pusher"}), only=["taken_hit_energy"])["taken_hit_energy"]
    assert np.all(np.diff(found) > 0)  # the faster, the lighter the rotor beside the machines
    assert found[-1] < 300.0
    assert found[-1] == pytest.approx(300.0, rel=1e-2)
