"""Many designs at once are what each is by a file of its own.

Independent of the rows: each design read from its own file by the reader of files, one after the other.
"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

import scaling as sc
from scaling.port.changes import changed_design
from scaling.robot.design import load_design
from scaling.robot.many import AT_ONCE
from scaling.robot.schema import DESIGN
from scaling.study.beside import values_of

DEMOS = Path(__file__).parent.parent / "demo_designs"
ROWS = 6

FIXED = ("mass", "rotor.shaft.diameter", "rotor.bore", "rotor.ratio")
"""What fits other numbers to the last, or is 1 with a hub motor: a little more cannot be."""


def text_of(key: str, value: float) -> str:
    """A number as the file has it."""
    unit = DESIGN.keys[key].unit
    return str(int(value) if value % 1 == 0 else value) if unit in ("", "1") else f"{value!r} {unit}"


@pytest.mark.parametrize("name", ["tarvindle", "harrowmoth", "plinthling"])
def test_rows_are_what_files_of_their_own_are(name: str) -> None:
    """Every number of the file a little other, masses among them: what follows is derived anew in each."""
    file = DEMOS / name / "design.toml"
    robot, random = load_design(file), np.random.default_rng(11)
    given = {
        key: value * random.uniform(0.9999, 1.001, ROWS)
        for key, value in robot.given.items()
        if DESIGN.keys[key].allowed not in ("count", "share", "fraction") and value and key not in FIXED
    }
    found = sc.evaluate_many(file, given)
    compared = 0
    for place in range(ROWS):
        own = changed_design(file, {key: text_of(key, float(row[place])) for key, row in given.items()})
        values = values_of(own.variables, own.traits)
        row = found.iloc[place][len(given) :]
        assert {key for key, value in row.items() if np.isfinite(value)} == set(values)
        for key, value in values.items():
            assert row[key] == pytest.approx(value, rel=1e-9, abs=1e-300), key
            compared += 1
    assert compared > 100 * ROWS


def test_rows_of_parts_are_what_files_of_their_own_are() -> None:
    """Part rows weigh otherwise by other text in the file: sum, balance and inertias follow."""
    file = DEMOS / "tarvindle" / "design.toml"
    random = np.random.default_rng(5)
    kilograms = {part.name: part.mass for part in load_design(file).listed or ()}
    given = {f'parts."{name}".mass': kilograms[name] * random.uniform(1.0, 1.05, ROWS)
             for name in ("side walls", "cross members")}  # fmt: skip
    found = sc.evaluate_many(file, given)
    assert {found.attrs["units"][key] for key in given} == {"kg"}
    for place in range(ROWS):
        own = changed_design(file, {key: f"{float(row[place])!r} kg" for key, row in given.items()})
        values = values_of(own.variables, own.traits)
        row = found.iloc[place]
        assert {key for key in values if np.isfinite(row[key])} == set(values)
        for key, value in values.items():
            assert row[key] == pytest.approx(value, rel=1e-9, abs=1e-300), key
    assert found["turning_inertia"].nunique() == ROWS
    with pytest.raises(sc.InputError, match="side walls"):
        sc.evaluate_many(file, {'parts."side wall".mass': [0.03]})
    with pytest.raises(sc.InputError):
        sc.evaluate_many(file, {'parts."side walls".mass': [-0.03]})


def test_what_follows_from_a_mass_follows() -> None:
    """The wheels' mass stands in the sum and at its places: the inertia about the upright axis rests on it."""
    file = DEMOS / "tarvindle" / "design.toml"
    robot = sc.Design.load(file)
    masses = robot["wheel.mass"] * np.asarray([1.0, 1.1])
    found = sc.evaluate_many(robot, {"wheel.mass": masses}, only=["rotor_energy", "top_yaw_rate", "half_turn_time"])
    heavier = robot.changed({"wheel.mass": f"{float(masses[1])!r} kg"})
    for name in ("rotor_energy", "top_yaw_rate", "half_turn_time"):
        assert found[name][1] == pytest.approx(heavier.quantities[name], rel=1e-9)
    assert heavier["yaw_inertia"] != robot["yaw_inertia"]


def test_a_design_that_cannot_be_has_nan_and_spares_the_others() -> None:
    """The parts' sum must meet the stated total within two per cent, which a far heavier rotor does not."""
    robot = sc.Design.load(DEMOS / "tarvindle" / "design.toml")
    masses = robot["rotor.mass"] * np.asarray([1.0, 2.0, 1.01])
    found = sc.evaluate_many(robot, {"rotor.mass": masses}, only="rotor_energy")["rotor_energy"]
    assert np.isfinite(found).tolist() == [True, False, True]
    assert found[0] == pytest.approx(robot.quantities["rotor_energy"], rel=1e-12)
    with pytest.raises(sc.InputError):
        robot.changed({"rotor.mass": f"{float(masses[1])!r} kg"})


def test_what_a_file_is_refused_for_is_no_design() -> None:
    """A shaft that is thicker than the bore, a track that is wider than the machine: refused alone, NaN in a row."""
    robot = sc.Design.load(DEMOS / "tarvindle" / "design.toml")
    for key in ("rotor.shaft.diameter", "track"):
        sizes = robot[key] * np.asarray([1.0, 1.5, 1.0, 0.999])
        found = sc.evaluate_many(robot, {key: sizes}, only="rotor_energy")["rotor_energy"]
        assert np.isfinite(found).tolist() == [True, False, True, True]
        with pytest.raises(sc.InputError, match=key):
            robot.changed({key: f"{float(sizes[1])!r} m"})


def test_chunks_are_the_whole_and_constants_stay_one_number() -> None:
    robot = sc.Design.load(DEMOS / "tarvindle" / "design.toml")
    widths = robot["rotor.width"] * np.linspace(1, 1.01, AT_ONCE + 5)
    names = ["rotor_energy", "gyro_margin", "top_speed"]
    parts = list(sc.evaluate_chunks(robot, {"rotor.width": widths}, names))
    assert [len(part) for part in parts] == [AT_ONCE, 5]
    whole = sc.evaluate_many(robot, {"rotor.width": widths}, names)
    for name in ("rotor.width", *names):
        assert np.array_equal(np.concatenate([part[name] for part in parts]), whole[name], equal_nan=True)
    assert whole["top_speed"].nunique() == 1
    assert not any(whole["top_speed"].to_numpy().strides)
    assert whole.attrs["units"] == {"rotor.width": "m", "rotor_energy": "J", "gyro_margin": "1", "top_speed": "m/s"}


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"rotor.mas": [1.0]}, 'no such number; did you mean "rotor.mass"'),
        ({"rotor.stress_factor": [1.0]}, "follows from other numbers"),
        ({"rotor.mass": [[1.0]]}, "no numbers"),
        ({"rotor.mass": [np.nan]}, "no numbers"),
        ({"rotor.mass": ["heavy"]}, "no numbers"),
        ({"rotor.mass": [0.09, -1.0]}, "rotor.mass"),
        ({"wheel.count": [2, 2.5]}, "not all of these are whole"),
        ({"rotor.mass": [0.09, 0.1], "rotor.width": [1e-3, 2e-3, 3e-3]}, "not of one length"),
        ({}, "no key is varied"),
    ],
)
def test_bad_rows_say_so_in_a_sentence(given: dict[str, object], said: str) -> None:
    with pytest.raises(sc.InputError, match=re.escape(said)):
        sc.evaluate_many(DEMOS / "tarvindle" / "design.toml", given)  # type: ignore[arg-type]
