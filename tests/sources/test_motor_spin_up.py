"""The rotor's motor: a published model's table, closed forms, and the spin-up solved anew as an equation of motion.

M. Drela, First-Order DC Electric Motor Model, MIT, 2007, from memory; its table as computed by the registry package
aerosandbox 4.2.10 (motor_electric_performance). Agreement with the equation solver: 0.1 %.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from scaling.formulas import book
from scaling.formulas.rotor.spin_up import RotorDrive

CHECKS = (
    "rotor_speed_as_motored", "rotor_speed", "rotor_unlimited_current", "spin_up_start_torque",
    "spin_up_start_acceleration", "spin_up_time", "spin_up_time_50", "spin_up_time_80", "spin_up_time_80_energy",
    "spin_up_energy", "spin_up_heat", "spin_up_efficiency", "spin_up_time_at_limit", "spin_up_time_without_limit",
    "spin_up_time_over_limit", "spin_up_heat_without_limit", "spin_up_energy_without_limit", "rush_margin", "bite",
    "bite_ratio", "bite_both_closing", "bite_both_closing_ratio", "least_bite_closing_speed", "full_bite_closing_speed",
    "full_bite_rotor_speed", "energy_lift_lengths",
)

ROTOR = frozenset({"rotor"})
RPM = math.pi / 30

TABLE_MOTOR = {
    "rotor.inertia": 1e-4, "rotor.motor.inertia": 0.0, "rotor.ratio": 1.0, "rotor.motor.kv": 1000 * RPM,
    "rotor.motor.resistance": 0.1, "rotor.motor.no_load_current": 0.4, "rotor.motor.current_limit": 1e9,
    "battery.voltage": 10.0, "battery.resistance": 0.0, "rotor.diameter": 0.1, "rotor.windage_factor": 1.0,
    "rotor.width": 0.01, "rotor.strip_drag": 0.0,
    "air.density": 1e-12, "air.viscosity": 1.5e-5,
}
"""The table's motor: 1000 rpm/V, 0.1 ohm, 0.4 A, on 10 V without sag, in hardly any air."""

FULL = TABLE_MOTOR | {
    "rotor.inertia": 3.2e-4, "rotor.motor.inertia": 9e-6, "rotor.ratio": 1.7, "rotor.motor.kv": 1300 * RPM,
    "rotor.motor.resistance": 0.022, "rotor.motor.no_load_current": 1.8, "rotor.motor.current_limit": 70.0,
    "battery.voltage": 14.8, "battery.resistance": 0.025, "rotor.diameter": 0.15, "rotor.windage_factor": 3.0,
    "air.density": 1.2,
}
"""A 1.5 kg machine's rotor with everything: limit, sag, ratio, the motor's own inertia, drag."""


def run(given, speed=None, **changes):
    """Every quantity of the rotor; at the speed that the motor reaches when none is set."""
    given = given | {key.replace("__", "."): value for key, value in changes.items()}
    if speed is None:
        speed = book.evaluate(given, ROTOR, only=["rotor_speed_as_motored"])["rotor_speed_as_motored"]
    found = book.evaluate(given | {"rotor.speed": np.asarray(speed)}, ROTOR)
    return {name: float(value) for name, value in found.items()}


def drive_of(given):
    names = ("rotor.inertia", "rotor.motor.inertia", "rotor.ratio", "rotor.motor.kv", "rotor.motor.resistance",
             "rotor.motor.no_load_current", "rotor.motor.current_limit", "battery.voltage", "battery.resistance",
             "rotor.diameter", "rotor.width", "rotor.windage_factor", "rotor.strip_drag", "air.density",
             "air.viscosity")
    kv_last = names.index("rotor.motor.kv") + 1
    numbers = [np.asarray(given[name]) for name in names]
    return RotorDrive(*numbers[:kv_last], 1 / numbers[kv_last - 1], *numbers[kv_last:])


@pytest.mark.parametrize(("rpm", "current", "torque"), [
    (0.0, 100.0, 0.951110), (9960.0, 0.4, 0.0), (5000.0, 50.0, 0.473645), (9000.0, 10.0, 0.091673),
    (9367.5445, 6.324555, 0.0565750),
])
def test_motor_table(rpm, current, torque):
    drive = drive_of(TABLE_MOTOR)
    speed = np.asarray(rpm * RPM)
    assert float(drive.current(speed)) == pytest.approx(current, rel=1e-5)
    assert float(drive.net_torque(speed)) == pytest.approx(torque, rel=1e-5, abs=1e-9)


def test_stall_and_unloaded_speed_of_the_table():
    """Stall torque with the no-load current taken off, 0.95111 and not 0.95493 N m; 9960 rpm unloaded."""
    found = run(TABLE_MOTOR)
    assert found["rotor_unlimited_current"] == pytest.approx(100.0)
    assert found["spin_up_start_torque"] == pytest.approx(0.951110, rel=1e-5)
    assert found["spin_up_start_acceleration"] == pytest.approx(0.951110 / 1e-4, rel=1e-5)
    assert found["rotor_speed_as_motored"] == pytest.approx(9960 * RPM, rel=1e-6)
    assert found["rotor_speed"] == found["rotor_speed_as_motored"]


def test_exponential_spin_up():
    """omega = omega_0 (1 - exp(-t / tau)), tau = J R / K^2 = 0.1 s: 95.021 % at 3 tau, t_90 = 2.302585 tau."""
    given = TABLE_MOTOR | {"rotor.motor.kv": 100.0, "rotor.motor.no_load_current": 0.0}
    tau = 1e-4 * 0.1 * 100.0**2
    found = run(given)
    assert found["spin_up_time"] == pytest.approx(-math.log(0.05) * tau, rel=1e-6)
    assert found["spin_up_time_50"] == pytest.approx(math.log(2) * tau, rel=1e-6)
    assert found["spin_up_time_80"] == pytest.approx(-math.log(0.2) * tau, rel=1e-6)
    assert found["spin_up_time_80_energy"] == pytest.approx(-math.log(1 - math.sqrt(0.8)) * tau, rel=1e-6)
    governed = run(given, speed=900.0)  # nine tenths of what the motor reaches, to 95 % of that
    assert governed["spin_up_time"] == pytest.approx(-math.log(1 - 0.95 * 0.9) * tau, rel=1e-6)


def test_heat_is_the_rotors_energy():
    """From constant voltage without load the heat to full speed is the rotor's energy; to the share x of the speed it
    is (2 x - x^2) of it, of 2 x drawn."""
    found = run(TABLE_MOTOR | {"rotor.motor.no_load_current": 0.0})
    energy, x = found["rotor_energy"], 0.95
    assert found["spin_up_heat"] == pytest.approx(energy * (2 * x - x**2), rel=1e-6)
    assert found["spin_up_energy"] == pytest.approx(energy * 2 * x, rel=1e-6)
    assert found["spin_up_efficiency"] == pytest.approx(x / 2, rel=1e-6)


def test_pack_and_winding_share_the_heat_by_resistance():
    """The same with a third of the resistance in the pack: the winding takes two thirds of the heat."""
    found = run(TABLE_MOTOR | {"rotor.motor.no_load_current": 0.0}, battery__resistance=0.05)
    x = 0.95
    assert found["spin_up_heat"] == pytest.approx(found["rotor_energy"] * (2 * x - x**2) * 2 / 3, rel=1e-6)


def test_limited_then_exponential():
    """At the limit the torque is constant, t = J omega_1 / (K I); beyond it tau ln(I_limit / I_end)."""
    given = TABLE_MOTOR | {"rotor.motor.no_load_current": 0.0, "rotor.motor.current_limit": 30.0}
    torque_constant, tau = 1 / (1000 * RPM), 1e-4 * 0.1 * (1000 * RPM) ** 2
    corner = (10.0 - 30.0 * 0.1) * 1000 * RPM
    held = 1e-4 * corner / (torque_constant * 30.0)
    found = run(given)
    assert found["spin_up_time_at_limit"] == pytest.approx(held, rel=1e-6)
    assert found["spin_up_time"] == pytest.approx(held + tau * math.log(30.0 / 5.0), rel=1e-6)
    assert found["spin_up_time_without_limit"] == pytest.approx(-math.log(0.05) * tau, rel=1e-6)
    assert found["spin_up_time_over_limit"] == pytest.approx(tau * math.log(100.0 / 30.0), rel=1e-6)


def test_a_limit_above_the_current_at_rest_does_nothing():
    found = run(FULL, rotor__motor__current_limit=1000.0)
    assert found["spin_up_time_at_limit"] == found["spin_up_time_over_limit"] == 0
    for name in ("time", "heat", "energy"):
        assert found[f"spin_up_{name}"] == pytest.approx(found[f"spin_up_{name}_without_limit"], rel=1e-9)


def solve_spin_up(given, goal, limit):
    """Time, pack energy, winding heat and time over the limit by scipy's solve_ivp, written down anew.

    The controller is a converter without loss: duty d gives the motor d times the pack's sagged terminal voltage and
    draws d times the motor's current. Full duty where the limit allows, else the duty that holds the limit.
    """
    from scipy.integrate import quad, solve_ivp

    strips = 2 * quad(lambda r: r**3 * given["rotor.width"] / 2, 0, given["rotor.diameter"] / 2)[0]
    constant = 1 / given["rotor.motor.kv"]
    ratio, radius = given["rotor.ratio"], given["rotor.diameter"] / 2
    winding, pack, volts = given["rotor.motor.resistance"], given["battery.resistance"], given["battery.voltage"]
    inertia = given["rotor.inertia"] + given["rotor.motor.inertia"] * ratio**2

    def currents(speed):
        back = constant * ratio * speed
        motor = (volts - back) / (winding + pack)
        if motor <= limit:
            return motor, motor
        # d (V - d I R_p) = back + I R, the smaller root
        duty = np.roots([limit * pack, -volts, back + limit * winding]).real.min() if pack > 0 else (
            (back + limit * winding) / volts)
        return limit, duty * limit

    def air_of(speed):
        """Torque over rho omega^2: a disc's, or by quadrature that of a bar's strips."""
        if given["rotor.strip_drag"] > 0:
            return given["rotor.strip_drag"] * strips
        reynolds = max(speed, 1e-9) * radius**2 / given["air.viscosity"]
        return (3.87 * reynolds**-0.5 if reynolds < 3e5 else 0.146 * reynolds**-0.2) * radius**5 / 2

    def slope(_, y):
        motor, drawn = currents(y[0])
        air = given["rotor.windage_factor"] * given["air.density"] * y[0] ** 2 * air_of(y[0])
        pull = (motor - given["rotor.motor.no_load_current"]) * constant * ratio - air
        over = motor > given["rotor.motor.current_limit"] * (1 + 1e-12)
        return [pull / inertia, volts * drawn, motor**2 * winding, float(over)]

    def there(_, y):
        return y[0] - goal

    there.terminal = True
    solved = solve_ivp(slope, (0, 60), [0.0, 0.0, 0.0, 0.0], events=there, rtol=1e-8, atol=1e-10, max_step=2e-3)
    assert solved.t_events[0].size == 1
    return solved.t_events[0][0], *solved.y_events[0][0][1:]


@pytest.mark.parametrize("changes", [
    {}, {"rotor.motor.current_limit": 25.0}, {"rotor.windage_factor": 12.0}, {"battery.resistance": 0.08},
    {"rotor.ratio": 1.0, "rotor.motor.inertia": 0.0}, {"rotor.diameter": 0.25, "rotor.inertia": 1e-3},
    {"rotor.strip_drag": 1.2, "rotor.width": 0.02, "rotor.windage_factor": 1.0},
])
def test_spin_up_against_an_equation_solver(changes):
    given = FULL | changes
    found = run(given)
    goal = 0.95 * found["rotor_speed"]
    time, energy, heat, _ = solve_spin_up(given, goal, given["rotor.motor.current_limit"])
    assert found["spin_up_time"] == pytest.approx(time, rel=1e-3)
    assert found["spin_up_energy"] == pytest.approx(energy, rel=1e-3)
    assert found["spin_up_heat"] == pytest.approx(heat, rel=1e-3)
    half = solve_spin_up(given, 0.5 * found["rotor_speed"], given["rotor.motor.current_limit"])[0]
    assert found["spin_up_time_50"] == pytest.approx(half, rel=1e-3)
    time, energy, heat, over = solve_spin_up(given, goal, math.inf)
    assert found["spin_up_time_without_limit"] == pytest.approx(time, rel=1e-3)
    assert found["spin_up_energy_without_limit"] == pytest.approx(energy, rel=1e-3)
    assert found["spin_up_heat_without_limit"] == pytest.approx(heat, rel=1e-3)
    assert found["spin_up_time_over_limit"] == pytest.approx(over, rel=1e-2, abs=2e-3)


def test_speed_reached_is_where_torque_and_drag_meet():
    """The same balance by scipy's brentq."""
    from scipy.optimize import brentq

    def spare(speed):
        back = speed * 1.7 / (1300 * RPM)
        reynolds = speed * 0.075**2 / 1.5e-5
        coefficient = 3.87 * reynolds**-0.5 if reynolds < 3e5 else 0.146 * reynolds**-0.2
        current = min((14.8 - back) / 0.047, 70.0)
        return (current - 1.8) * 1.7 / (1300 * RPM) - 3.0 * coefficient * 1.2 * speed**2 * 0.075**5 / 2

    assert run(FULL)["rotor_speed"] == pytest.approx(brentq(spare, 100, 1185, xtol=1e-9), rel=1e-6)


def test_a_speed_beyond_the_motor_has_no_spin_up():
    found = run(FULL, speed=1500.0)
    assert math.isnan(found["spin_up_time"])
    assert math.isnan(found["spin_up_time_without_limit"])
    assert math.isnan(found["spin_up_energy"])


def test_a_batch_is_its_members():
    limits = np.array([20.0, 40.0, 70.0, 500.0])
    given = {key: np.asarray(value) for key, value in FULL.items()} | {"rotor.motor.current_limit": limits}
    batch = book.evaluate(given | {"rotor.speed": np.asarray(800.0)}, ROTOR, only=["spin_up_time"])["spin_up_time"]
    for limit, time in zip(limits, batch, strict=True):
        assert run(FULL, speed=800.0, rotor__motor__current_limit=limit)["spin_up_time"] == pytest.approx(time)


def test_four_cells_and_a_controller_of_seventy_amperes():
    """Common practice, no source: a 1.5 kg machine with a four-cell pack gets a rotor controller of about 70 A. The
    current asked for without a limit is above that for a fraction of a second, and with it spin-up takes a few seconds
    at most."""
    for transmission in ({}, {"rotor.ratio": 1.0, "rotor.motor.kv": 750 * RPM}):
        found = run(FULL | transmission)
        assert found["rotor_unlimited_current"] > 70
        assert 0 < found["spin_up_time_over_limit"] < 1
        assert found["spin_up_time_over_limit"] < found["spin_up_time"] < 3
        assert 60 < found["tip_speed"] < 130  # of such a machine


def test_a_limit_costs_time_and_saves_heat_and_energy():
    found = run(FULL)
    assert found["spin_up_time"] > 1.05 * found["spin_up_time_without_limit"]
    assert found["spin_up_heat"] < 0.8 * found["spin_up_heat_without_limit"]
    assert found["spin_up_energy"] < 0.95 * found["spin_up_energy_without_limit"]


RUSH = FULL | {
    "mass": 1.5, "gravity": 9.80665, "length": 0.25, "wheel.friction": 0.9, "wheel.load_share": 1.0,
    "wheel.driven": 4.0, "wheel.count": 4.0, "wheel.diameter": 0.06, "wheel.rolling_resistance": 0.0,
    "wheel.skid_friction": 0.0,
    "drive.motors": 4.0, "drive.ratio": 16.0, "drive.efficiency": 0.8,
    "drive.motor.kv": 2000 * RPM, "drive.motor.resistance": 0.5,
    "drive.motor.no_load_current": 0.3, "drive.motor.current_limit": 30.0, "arena.length": 3.0, "cg_ahead": 0.07,
    "cg_height": 0.02, "track": 0.2, "rotor.teeth": 2.0, "rotor.tooth_height": 0.012, "rotor.least_bite": 0.001,
}


def test_rush_and_spin_up_under_even_forces():
    """Galileo and his like for rotation: x = a t^2 / 2, omega = alpha t, where grip and current limit hold throughout.

    Half of 3 m at 0.9 g, against 300 rad/s times sqrt(0.8) at 68.2 A of net current, in hardly any air.
    """
    found = run(RUSH | {"air.density": 1e-12}, speed=300.0)
    rush = math.sqrt(2 * 1.5 / (0.9 * 9.80665))
    ready = (3.2e-4 + 9e-6 * 1.7**2) * math.sqrt(0.8) * 300 / ((70 - 1.8) * 1.7 / (1300 * RPM))
    assert found["rush_margin"] == pytest.approx(rush / ready, rel=1e-6)


@pytest.mark.parametrize(("inertia", "ready_first"), [(5e-5, True), (2e-3, False)])
def test_a_rotor_that_needs_longer_than_a_rush_loses_by_it(inertia, ready_first):
    """Common practice, no source. The rush over half of 3 m takes at least sqrt(2 s / (mu g)); a rotor at the limit
    throughout takes J omega / T to the square root of 0.8 of its speed: whichever of these two is longer by far, the
    margin is on the same side of 1."""
    given = RUSH | {"rotor.inertia": inertia}
    found = run(given)
    rush = max(math.sqrt(2 * 1.5 / (0.9 * 9.80665)), 1.5 / found["top_speed"])
    ready = (inertia + 9e-6 * 1.7**2) * math.sqrt(0.8) * found["rotor_speed"] / ((70 - 1.8) * 1.7 / (1300 * RPM))
    assert (2 * ready < rush) if ready_first else (ready > 1.2 * rush)
    assert (found["rush_margin"] > 1) is ready_first


def test_bite_as_milling_feed():
    """Feed per tooth of a mill, f_z = v_f / (z n): Machinery's Handbook, from memory. 250 mm/min, 4 teeth, 500 rpm give
    0.125 mm."""
    given = {"rotor.teeth": 4.0, "rotor.speed": 500 * RPM, "top_speed": 0.250 / 60, "rotor.tooth_height": 0.25e-3,
             "rotor.least_bite": 0.125e-3}
    found = book.evaluate(given, ROTOR)
    assert found["bite"] == pytest.approx(0.125e-3)
    assert found["bite_ratio"] == pytest.approx(0.5)
    assert found["bite_both_closing"] == pytest.approx(0.25e-3)
    assert found["bite_both_closing_ratio"] == pytest.approx(1.0)
    assert found["least_bite_closing_speed"] == pytest.approx(0.250 / 60)
    assert found["full_bite_closing_speed"] == pytest.approx(0.500 / 60)
    assert found["full_bite_rotor_speed"] == pytest.approx(250 * RPM)


def test_energy_in_lifts_of_its_own_length():
    """Newton's weight times height: 294.2 J lift 1.5 kg by 20 m, eighty lengths of 0.25 m."""
    given = {"rotor.inertia": 2 * 294.2 / 1000.0**2, "rotor.speed": 1000.0, "mass": 1.5, "gravity": 9.80665,
             "length": 0.25}
    assert book.evaluate(given, ROTOR)["energy_lift_lengths"] == pytest.approx(80.0, rel=1e-4)
