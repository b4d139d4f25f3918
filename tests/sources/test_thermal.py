"""Motor temperatures against material tables, resistor networks and the heat equations solved by scipy.

Specific heat of copper 24.4 J/(mol K) over 63.546 g/mol = 384.0 J/(kg K), iron 449.5: CRC Handbook of Chemistry and
Physics, read from the `chemicals` library's table. Coefficient of copper's resistance 0.00393 per K: IEC 60028, from
memory. `solve_ivp` integrates the two heat balances; it shares no code with the closed form of the book.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from scaling.formulas import book
from scaling.formulas.thermal.two_node import TwoNode, jam_time, temperature_rise, time_to_limit

CHECKS = (
    "motor_temperature_rise", "motor_case_temperature_rise", "motor_temperature_margin", "motor_time_to_limit",
    "motor_jam_time", "motor_full_speed_heat", "drive_motor_full_speed_heat",
    "motor_continuous_current", "motor_continuous_current_margin", "motor_cooling_area",
    "spin_up_temperature_rise", "drive_motor_temperature_rise", "drive_motor_case_temperature_rise",
    "drive_motor_temperature_margin", "drive_motor_time_to_limit", "drive_motor_jam_time",
    "drive_motor_continuous_current", "drive_motor_continuous_current_margin", "drive_motor_cooling_area",
)

NAMES = ("winding_heat", "case_heat", "mass", "winding_share", "winding_specific_heat", "case_specific_heat", "area",
         "insulation", "convection", "resistance_rise")
MOTOR = dict(zip(NAMES, (6.0, 4.0, 0.1, 0.2, 385.0, 450.0, 0.004, 200.0, 60.0, 0.00393), strict=True))
BLOCK = {"resistance_rise": 0.0, "insulation": 1e-12, "convection": 1e-12, "winding_share": 1 - 1e-9}
"""A block of copper that keeps its heat and its resistance."""


def rises(time: float, **changes: float) -> tuple[float, float]:
    found = temperature_rise(np.asarray(time), *(np.asarray((MOTOR | changes)[name]) for name in NAMES))
    return float(found["winding"]), float(found["case"])


def time_to(limit: float, **changes: float) -> float:
    return float(time_to_limit(np.asarray(limit), *(np.asarray((MOTOR | changes)[name]) for name in NAMES))["time"])


def balances(motor: dict[str, float]):
    """The two heat balances as scipy wants them."""
    winding = motor["mass"] * motor["winding_share"] * motor["winding_specific_heat"]
    case = motor["mass"] * (1 - motor["winding_share"]) * motor["case_specific_heat"]

    def rates(_, state):
        across = motor["insulation"] * motor["area"] * (state[0] - state[1])
        made = motor["winding_heat"] * (1 + motor["resistance_rise"] * state[0])
        return [(made - across) / winding,
                (motor["case_heat"] + across - motor["convection"] * motor["area"] * state[1]) / case]

    return rates


# Published and handbook numbers


def test_a_block_of_copper_warms_as_the_table_says():
    """100 A in 0.1 ohm for 5 s into 0.1 kg of copper, 385 J/(kg K): 129.87 K by hand."""
    winding, _ = rises(5.0, winding_heat=1000.0, mass=0.1, **BLOCK)
    assert winding == pytest.approx(129.87, abs=5e-3)


def test_specific_heats_are_those_of_the_handbook():
    """CRC: copper 24.4 / 0.063546 = 384.0, iron 449.5; agreement half a per cent."""
    for table in ("rotor.motor", "drive.motor"):
        variables = book.variables
        assert variables[f"{table}.winding_specific_heat"].default == pytest.approx(24.4 / 0.063546, rel=5e-3)
        assert variables[f"{table}.case_specific_heat"].default == pytest.approx(449.5, rel=5e-3)
        assert variables[f"{table}.resistance_rise"].default == pytest.approx(0.00393, rel=1e-9)
        # Y. A. Cengel, Heat Transfer, as quoted by its publisher's page: gases 2 to 25 free, 25 to 250 W/(m2 K) forced.
        assert 2 <= variables[f"{table}.convection"].default <= 250


def test_a_turning_can_is_cooled_as_a_turning_cylinder():
    """Nu = 0.133 Re^(2/3) Pr^(1/3), J. T. Anderson & O. A. Saunders 1953, from memory: 28 mm at 20 000 rpm.

    The default for a rotor's motor must be of that size, within a factor of two: only part of it turns.
    """
    reynolds = 20000 * math.pi / 30 * 0.028**2 / (2 * 1.5e-5)
    coefficient = 0.133 * reynolds ** (2 / 3) * 0.71 ** (1 / 3) * 0.026 / 0.028
    assert 0.5 < book.variables["rotor.motor.convection"].default / coefficient < 2


def test_without_loss_a_copper_winding_follows_the_logarithm():
    """Adiabatic with rising resistance: t = C ln(1 + alpha T) / (P alpha), the law behind fuse equations for copper."""
    keeps = BLOCK | {"resistance_rise": 0.00393}
    heat, capacity = 500.0, 0.1 * 385.0
    assert time_to(200.0, winding_heat=heat, case_heat=0.0, **keeps) == pytest.approx(
        capacity * math.log(1 + 0.00393 * 200) / (heat * 0.00393), rel=1e-6
    )


def test_after_a_long_time_it_is_a_network_of_resistances():
    """Kirchhoff for heat: both heats through 1 / (h A) to the air, the winding's through 1 / (k A) as well."""
    to_air, to_case = 1 / (60 * 0.004), 1 / (200 * 0.004)
    winding, case = rises(1e6, resistance_rise=0.0)
    assert case == pytest.approx((6 + 4) * to_air, rel=1e-9)
    assert winding == pytest.approx((6 + 4) * to_air + 6 * to_case, rel=1e-9)


# The equations of heat, solved by scipy


@pytest.mark.parametrize("time", [0.5, 5.0, 60.0, 180.0, 3600.0])
@pytest.mark.parametrize(
    "changes",
    [{}, {"case_heat": 0.0}, {"winding_heat": 0.0}, {"winding_heat": 60.0}, {"insulation": 5.0}, {"convection": 1e-6},
     {"winding_share": 0.5, "resistance_rise": 0.0}],
    ids=["plain", "winding only", "case only", "hot", "insulated", "no air", "even"],
)
def test_temperatures_are_those_of_the_heat_balances(changes, time):
    """Agreement 1e-6 of the greater rise."""
    motor = MOTOR | changes
    run = solve_ivp(balances(motor), (0, time), [0.0, 0.0], method="LSODA", rtol=1e-10, atol=1e-10)
    winding, case = rises(time, **changes)
    assert winding == pytest.approx(run.y[0, -1], rel=1e-6, abs=1e-6)
    assert case == pytest.approx(run.y[1, -1], rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("limit", [5.0, 30.0, 80.0])
def test_time_to_a_limit_is_that_of_the_heat_balances(limit):
    """scipy stops at the event; agreement 1e-6."""
    gets_there = lambda _, state: state[0] - limit  # noqa: E731
    gets_there.terminal = True  # type: ignore[attr-defined]
    motor = MOTOR | {"winding_heat": 40.0}
    run = solve_ivp(balances(motor), (0, 1e5), [0.0, 0.0], method="LSODA", events=gets_there, rtol=1e-10, atol=1e-10)
    assert time_to(limit, winding_heat=40.0) == pytest.approx(run.t_events[0][0], rel=1e-6)


def test_a_limit_that_is_never_reached_has_no_time():
    steady, _ = rises(1e7)
    assert math.isnan(time_to(steady * 1.001))
    assert time_to(steady * 0.999) > 0


@given(st.lists(st.floats(0.1, 10), min_size=10, max_size=10), st.floats(1, 1e4))
def test_heat_is_kept_over_the_whole_range(factors, time):
    """First law over a wide sweep: heat in, less what the air took, is what the lumps hold; and nothing cools."""
    motor = TwoNode(*(np.asarray(MOTOR[name] * factor) for name, factor in zip(NAMES, factors, strict=True)))
    if motor.winding_share >= 1:
        return
    middle = np.linspace(0, time, 4001)
    with np.errstate(over="ignore"):
        winding, case = motor.rise(middle)
    if not winding[-1] < 1e6:
        return  # past any motor: resistance and temperature drive each other up
    made = motor.winding_heat * (1 + motor.resistance_rise * winding) + motor.case_heat
    taken = motor.convection * motor.area * case
    held = motor.winding_capacity * winding[-1] + motor.case_capacity * case[-1]
    balance = np.trapezoid(made - taken, middle)
    scale = np.trapezoid(made + taken, middle)
    assert held == pytest.approx(balance, abs=2e-3 * scale)
    assert np.all(np.diff(winding) >= -1e-9 * winding[-1])


def test_designs_in_one_batch_are_those_alone():
    """Vectorised: rows of a batch are the same as each alone, those that never reach the limit too."""
    heats = np.array([1.0, 6.0, 40.0, 300.0])
    batch = [np.broadcast_to(np.asarray(MOTOR[name]), heats.shape) for name in NAMES]
    batch[0] = heats
    found = time_to_limit(np.asarray(80.0), *batch)["time"]
    alone = [time_to(80.0, winding_heat=float(heat)) for heat in heats]
    assert found == pytest.approx(np.array(alone), rel=1e-12, nan_ok=True)
    assert np.isnan(found[0])
    assert np.all(np.isfinite(found[2:]))
    assert float(jam_time(np.asarray(80.0), np.asarray(300.0), *batch[2:])["time"][0]) == pytest.approx(
        time_to(80.0, winding_heat=300.0, case_heat=0.0), rel=1e-12
    )


# Through the book, by design keys

KEYS = {
    "mass": 0.036, "winding_share": 0.2, "winding_specific_heat": 385.0, "case_specific_heat": 450.0,
    "insulation": 200.0, "convection": 100.0, "resistance_rise": 0.00393, "rise_limit": 80.0, "diameter": 0.028,
    "length": 0.027, "resistance": 0.075, "no_load_current": 1.1, "kv": 200.0, "current_limit": 28.0,
}
MATCH = {"match.time": 180.0, "match.rotor_duty": 0.9, "match.drive_duty": 0.3, "match.spin_up_rate": 10 / 180,
         "battery.voltage": 11.1, "battery.resistance": 0.036, "drive.motors": 2.0}


def keyed(table: str) -> dict[str, float]:
    return {f"{table}.{key}": number for key, number in KEYS.items()} | MATCH


@pytest.mark.parametrize(
    ("prefix", "table", "flows"),
    [
        ("motor", "rotor.motor",
         {"spin_up_heat": 60.0, "rotor_steady_current": 5.0, "rotor.speed": 1400.0, "rotor.ratio": 1.4,
          "rotor_speed_reach_share": 1.0}),
        ("drive_motor", "drive.motor", {"drive_traction_current": 14.0}),
    ],
)
def test_a_match_by_design_keys_is_that_of_the_heat_balances(prefix, table, flows):
    """The motor's heats by hand from I^2 R and no-load loss, then scipy's temperatures; agreement 1e-6."""
    given = keyed(table) | flows
    if prefix == "motor":
        winding_heat = 10 * 60.0 / 180 + 0.9 * 5.0**2 * 0.075
        case_heat = 0.9 * 1.1 * 1400.0 * 1.4 / 200.0
    else:
        winding_heat = 0.3 * 14.0**2 * 0.075
        case_heat = 0.3 * 1.1 * (11.1 - 14.0 * (0.075 + 2 * 0.036))
    area = math.pi * 0.028 * 0.027 + math.pi * 0.028**2 / 4
    motor = {
        "winding_heat": winding_heat, "case_heat": case_heat, "area": area,
        **{key: KEYS[key] for key in ("mass", "winding_share", "winding_specific_heat", "case_specific_heat",
                                      "insulation", "convection", "resistance_rise")},
    }
    run = solve_ivp(balances(motor), (0, 180), [0.0, 0.0], method="LSODA", rtol=1e-10, atol=1e-10)
    names = ("temperature_rise", "case_temperature_rise", "temperature_margin", "jam_time", "continuous_current",
             "cooling_area", "full_speed_heat")
    found = {name: float(book.evaluate(given, frozenset({"rotor"}), only=[f"{prefix}_{name}"])[f"{prefix}_{name}"])
             for name in names}
    assert found["cooling_area"] == pytest.approx(area, rel=1e-12)
    assert found["temperature_rise"] == pytest.approx(run.y[0, -1], rel=1e-6)
    assert found["case_temperature_rise"] == pytest.approx(run.y[1, -1], rel=1e-6)
    assert found["temperature_margin"] == pytest.approx(80.0 / run.y[0, -1], rel=1e-6)

    # Half of the rise that the match makes is passed on the way.
    half = lambda _, state: state[0] - run.y[0, -1] / 2  # noqa: E731
    limit = solve_ivp(balances(motor), (0, 180), [0.0, 0.0], method="LSODA", events=half, rtol=1e-10, atol=1e-10)
    lower = given | {f"{table}.rise_limit": run.y[0, -1] / 2}
    time = book.evaluate(lower, frozenset({"rotor"}), only=[f"{prefix}_time_to_limit"])[f"{prefix}_time_to_limit"]
    assert time == pytest.approx(limit.t_events[0][0], rel=1e-6)

    reaches = lambda _, state: state[0] - 80.0  # noqa: E731
    reaches.terminal = True  # type: ignore[attr-defined]
    stalled = motor | {"winding_heat": 28.0**2 * 0.075, "case_heat": 0.0}
    jam = solve_ivp(balances(stalled), (0, 1e4), [0.0, 0.0], method="LSODA", events=reaches, rtol=1e-10, atol=1e-10)
    assert found["jam_time"] == pytest.approx(jam.t_events[0][0], rel=1e-6)

    # The current for a whole match, held at full speed, brings the winding just to its limit at the end.
    full_speed = 1.1 * 1400.0 * 1.4 / 200.0 if prefix == "motor" else 1.1 * (11.1 - 1.1 * (0.075 + 2 * 0.036))
    assert found["full_speed_heat"] == pytest.approx(full_speed, rel=1e-12)
    held = motor | {"winding_heat": found["continuous_current"] ** 2 * 0.075, "case_heat": full_speed}
    steady = solve_ivp(balances(held), (0, 180), [0.0, 0.0], method="LSODA", rtol=1e-10, atol=1e-10)
    assert steady.y[0, -1] == pytest.approx(80.0, rel=1e-5)
    over = f"{prefix}_continuous_current_margin"
    margin = float(book.evaluate(given, frozenset({"rotor"}), only=[over])[over])
    assert margin == pytest.approx(found["continuous_current"] / (5.0 if prefix == "motor" else 14.0), rel=1e-12)


def test_one_spin_up_warms_the_winding_by_its_heat():
    """60 J into 36 g times 0.2 of copper at 385 J/(kg K): 21.65 K by hand."""
    given = keyed("rotor.motor") | {"spin_up_heat": 60.0}
    name = "spin_up_temperature_rise"
    found = float(book.evaluate(given, frozenset({"rotor"}), only=[name])[name])
    assert found == pytest.approx(60 / (0.036 * 0.2 * 385), rel=1e-12)
    assert found == pytest.approx(21.65, abs=5e-3)


@pytest.mark.parametrize(
    ("prefix", "table", "diameters"), [("motor", "rotor.motor", 1), ("drive_motor", "drive.motor", 2)]
)
def test_a_motor_without_a_length_is_taken_as_so_many_diameters_long(prefix, table, diameters):
    """trimesh, an independent geometry library: area of a cylinder less one end; 1 % for its facets."""
    import trimesh

    given = keyed(table)
    del given[f"{table}.length"]
    cylinder = trimesh.creation.cylinder(radius=0.014, height=0.028 * diameters, sections=256)
    name = f"{prefix}_cooling_area"
    assert float(book.evaluate(given, frozenset(), only=[name])[name]) == pytest.approx(
        cylinder.area - math.pi * 0.014**2, rel=0.01
    )


@pytest.mark.parametrize(("reach", "iron"), [(1.0, 40.0), (1.01, 1.0)])
def test_no_current_where_iron_passes_the_limit_or_the_speed_is_out_of_reach(reach, iron):
    """Absent, never nothing; the case's heat counts neither where the motor cannot hold the speed."""
    given = keyed("rotor.motor") | {"rotor.speed": 1400.0, "rotor.ratio": 1.4, "rotor_speed_reach_share": reach}
    given["rotor.motor.no_load_current"] *= iron
    names = ["motor_continuous_current", "motor_full_speed_heat", "motor_case_heat"]
    found = book.evaluate(given, frozenset({"rotor"}), only=names)
    assert math.isnan(found["motor_continuous_current"])
    assert math.isnan(found["motor_case_heat"]) is (reach > 1)


@given(st.floats(30.0, 600.0), st.floats(1.01, 5.0), st.floats(0.0, 0.2), st.floats(1.0, 200.0))
def test_a_longer_match_never_cools(time, longer, rate, heat):
    """Spin-ups are counted over time, so that their heat is not spread thinner: from cold a motor only warms up."""
    flows = {"rotor_steady_current": 5.0, "rotor.speed": 1400.0, "rotor.ratio": 1.4, "rotor_speed_reach_share": 1.0}
    given = keyed("rotor.motor") | flows | {"spin_up_heat": heat, "match.spin_up_rate": rate}
    rises = [
        float(book.evaluate(given | {"match.time": length}, frozenset({"rotor"}), only=["motor_temperature_rise"])[
            "motor_temperature_rise"])
        for length in (time, longer * time)
    ]
    assert rises[0] <= rises[1] * (1 + 1e-9)


def test_a_jam_burns_a_motor_in_seconds(demos):
    """Common practice, no source: a rotor's motor jammed at full current is lost within seconds, not minutes."""
    times = [demo.study.reference["motor_jam_time"] for demo in demos if "motor_jam_time" in demo.study.reference]
    assert times
    assert all(0.5 < time < 30 for time in times)
