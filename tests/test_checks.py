"""Every quantity that the design names has an outside check, and the lists of checks name real quantities."""

from __future__ import annotations

from unchecked import checked

from scaling.formulas import book

PROMISED = (
    "total_mass", "rotor_inertia", "rotor_speed", "tip_speed", "rotor_energy", "angular_momentum",
    "specific_energy", "bite", "spin_up_time", "spin_down_time", "windage_power", "rotor_rim_stress",
    "rotor_peak_stress", "gyro_torque", "gyro_lift_yaw_rate", "gyro_margin", "top_speed", "top_yaw_rate",
    "traction_acceleration", "arena_crossing_time", "rush_margin", "hit_force", "throw_height", "recoil_speed",
    "shaft_stress", "bolt_shear_stress", "bolt_tear_out_stress", "wall_stress", "righting_ratio",
    "belt_slip_margin", "belt_stall_tension", "pack_energy", "match_energy", "peak_current",
    "motor_temperature_rise",
)


def test_promised_quantities_exist() -> None:
    assert set(PROMISED) <= set(book.quantities)


def test_promised_quantities_are_checked() -> None:
    assert sorted(set(PROMISED) - set(checked())) == []


def test_lists_of_checks_name_quantities() -> None:
    assert sorted(set(checked()) - set(book.quantities)) == []


def test_there_are_enough_of_both() -> None:
    assert len(book.quantities) >= 80
    assert sum(map(len, checked().values())) >= 60
