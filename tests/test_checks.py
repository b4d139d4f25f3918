"""Every quantity has an outside check, and the lists of checks name real quantities.

That each check can fail is for tests/mutate.py to show.
"""

from __future__ import annotations

import os
import sys
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
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


BLIND = """
import pytest
from scaling.formulas import book

CHECKS = ("weight", "mass_use", "rotor_inertia")
GIVEN = {"mass": 2.0, "mass_limit": 4.0, "gravity": 9.8, "rotor.inertia": 1.0}

def read(name):
    return book.evaluate(GIVEN, frozenset({"rotor"}), only=[name])[name]

def test_weight():
    assert read("weight") == pytest.approx(19.6)

def test_mass_use():
    assert read("mass_use") == pytest.approx(read("mass_use"))

def test_rotor_inertia():
    assert GIVEN["rotor.inertia"] == 1.0
"""
SPOIL = """
import sys
from pathlib import Path
import mutate
mutate.prepare()
module = Path(sys.argv[1])
for outcome in mutate.run({module: ["weight", "mass_use", "rotor_inertia"]}, 1):
    print(outcome.name, outcome.failed is None)
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="each spoilt quantity is a forked process")
def test_a_check_that_cannot_fail_lets_a_spoilt_quantity_live(process: Callable[..., Any], tmp_path: Path) -> None:
    """One check that asks the book and knows better, one that compares a number with itself, one that never asks."""
    (tmp_path / "test_blind.py").write_text(BLIND, encoding="utf-8")
    done = process(tmp_path / "test_blind.py", before=("-c", SPOIL), PYTHONPATH=os.pathsep.join(sys.path))
    assert (done.status, done.err) == (0, "")
    lives = dict(line.split() for line in done.out.splitlines())
    assert lives == {"weight": "False", "mass_use": "True", "rotor_inertia": "True", "None": "True"}
