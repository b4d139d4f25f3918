"""Every quantity has an outside check, and the lists of checks name real quantities.

That each check can fail is for tests/mutate.py to show.
"""

from __future__ import annotations

from collections import Counter

from unchecked import checks_of, unchecked

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


def test_every_quantity_is_checked() -> None:
    assert unchecked() == []


def test_each_quantity_is_checked_in_one_place() -> None:
    listed = [name for names in checks_of().values() for name in names]
    assert sorted(name for name, times in Counter(listed).items() if times > 1) == []
    assert sorted(set(listed) - set(book.quantities)) == []
