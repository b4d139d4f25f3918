"""Roles, clocks and kept margins of the quantities: what each is to the builder, against the words of the job.

Whose time scales how: under gravity times go as the square root of the length (W. Froude's similarity, in NASA TP-1435,
from memory); a driver's reaction and a match's length stay.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any, get_args

import pytest

from scaling.book.dimensions import dimension_of
from scaling.book.entry import Clock, Keep, Quantity, Role
from scaling.formulas import book

NO_DIMENSION = dimension_of("1")

OBJECTIVE = {
    "energy_lift_lengths": "gravity",
    "throw_height": "gravity",
    "righting_ratio": "gravity",
    "bite_ratio": "driver",
    "gyro_margin": "driver",
    "half_turn_time": "driver",
    "top_yaw_rate": "driver",
    "spin_up_time": "driver",
    "rush_margin": "driver",
    "froude_speed": "driver",
    "arena_crossing_time": "driver",
    "traction_acceleration": "driver",
    "match_energy_margin": "match",
}
"""What a port is scored by, each by its own clock: throws, falls, tipping and righting gravity's; turns, spin-up, rush
and driving the driver's; heat, packs and wear the match's."""

CLOCKS_OF = {
    "mass": set(),
    "rotor": {"gravity", "driver", "match"},
    "gyro": {"gravity", "driver"},
    "impact": {"gravity"},
    "structure": {"gravity"},
    "joints": set(),
    "transmission": set(),
    "drive": {"gravity", "driver"},
    "electrical": {"match"},
    "thermal": {"match"},
    "righting": {"gravity"},
    "service": {"match"},
}
"""Whose time a branch's quantities may be judged by: heat is never gravity's, a fall never the driver's."""


def named(entry: Quantity) -> str:
    return entry.name


@pytest.mark.parametrize("entry", book.entries, ids=named)
def test_role_clock_and_keep_are_words_of_the_job(entry: Quantity) -> None:
    assert entry.role in get_args(Role)
    assert entry.clock is None or entry.clock in CLOCKS_OF[entry.branch]
    assert entry.keep is None or entry.keep in get_args(Keep)
    assert set(get_args(Clock)) == {"gravity", "driver", "match"}


@pytest.mark.parametrize("entry", book.entries, ids=named)
def test_alternatives_of_one_name_agree(entry: Quantity) -> None:
    first = book.quantities[entry.name]
    for field in ("label", "unit", "branch", "better", "role", "clock", "keep"):
        assert getattr(entry, field) == getattr(first, field), field


def test_objective_is_handling_by_its_own_clock() -> None:
    for name, clock in OBJECTIVE.items():
        entry = book.quantities[name]
        assert entry.role == ("budget" if name == "match_energy_margin" else "handling"), name
        assert entry.clock == clock, name


def test_what_a_driver_feels_has_a_clock() -> None:
    for name in book.of_role("handling"):
        assert book.quantities[name].clock in ("gravity", "driver"), name


def test_survival_is_every_strength_over_a_stress_and_nothing_else() -> None:
    """Told by another route: a margin's name, in a branch where something breaks, less the four that repeat others.

    What a hit only marks does not end by it, and a bound stands beside the margin that counts.
    """
    breaking = ("rotor", "structure", "joints", "transmission")
    repeats = ("rotor_rim_stress_margin", "belt_slip_margin", "stall_fuse_margin", "weakest_link_margin")
    expected = [
        name
        for name, entry in book.quantities.items()
        if name.endswith("_margin") and not name.endswith(("_weakest_margin", "_separation_margin"))
        and entry.branch in breaking and name not in repeats and "marks" not in entry.label.split()
    ]
    assert book.of_role("survival") == expected
    assert len(expected) > 40


def test_margins_have_no_dimension_and_more_is_better() -> None:
    for name in book.kept:
        entry = book.quantities[name]
        assert entry.dimension == NO_DIMENSION, name
        assert entry.better == "higher", name
        assert name.endswith("_margin"), name


def test_a_kept_margin_is_no_detail() -> None:
    for name in book.kept:
        assert book.quantities[name].role in ("handling", "survival", "budget"), name
    assert set(book.of_role("survival")) <= set(book.kept)
    assert {name for name, level in book.kept.items() if level == "reference"} == {"gyro_margin"}


def test_names_of_a_role_stand_in_the_order_that_is_asked_for() -> None:
    both = ["rush_margin", "no_such_quantity", "total_mass", "gyro_margin"]
    assert book.of_role("handling", among=both) == ["rush_margin", "gyro_margin"]
    assert book.of_role("handling", "budget", among=both) == ["rush_margin", "total_mass", "gyro_margin"]
    in_book = [name for name in book.quantities if name in both]
    assert [name for name in book.of_role("handling", "budget") if name in both] == in_book


def _similar(entry: Quantity, time: Fraction) -> Fraction:
    """Power of the factor that a quantity follows at one density where time follows ``time``."""
    mass, length, per_time = entry.dimension[:3]
    return 3 * mass + length + time * per_time


@pytest.mark.parametrize(
    ("name", "clock", "power"),
    [
        ("throw_height", "gravity", 1),
        ("recoil_speed", "gravity", Fraction(1, 2)),
        ("rotor_energy", "gravity", 4),
        ("fall_force", "gravity", 3),
        ("top_speed", "driver", 1),
        ("top_yaw_rate", "driver", 0),
        ("spin_up_time", "driver", 0),
    ],
)
def test_the_stated_clock_asks_for_what_similitude_does(name: str, clock: str, power: Any) -> None:
    """Froude scaling's powers of speed, height, energy and force; a driver's times stay."""
    entry = book.quantities[name]
    assert entry.clock == clock
    assert _similar(entry, Fraction(1, 2) if clock == "gravity" else Fraction(0)) == power


def test_the_written_study_says_role_and_clock(main_demo: Any) -> None:
    from scaling.show.study_json import as_json

    found = as_json(main_demo.study)
    for rows in (found["reference"]["quantities"], *(port["quantities"] for port in found["ports"])):
        assert rows["gyro_margin"]["role"] == "handling"
        assert rows["throw_height"]["clock"] == "gravity"
        for name, row in rows.items():
            assert (row["role"], row["clock"]) == (book.quantities[name].role, book.quantities[name].clock), name
