"""The formula book as a whole: what every entry must have, its three readings, and arrays in place of numbers."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from scaling.book.dimensions import dimension_of
from scaling.book.entry import Model, Quantity
from scaling.files.errors import InputError
from scaling.formulas import book

ENTRIES = book.entries

# What the book must hold, and in which unit: the words and definitions of the job.
PROMISED = {
    "total_mass": "kg",
    "rotor_inertia": "kg m^2",
    "rotor_speed": "rad/s",
    "tip_speed": "m/s",
    "rotor_energy": "J",
    "angular_momentum": "kg m^2/s",
    "specific_energy": "J/kg",
    "bite": "m",
    "spin_up_time": "s",
    "spin_down_time": "s",
    "windage_power": "W",
    "rotor_rim_stress": "Pa",
    "rotor_peak_stress": "Pa",
    "gyro_torque": "N m",
    "gyro_lift_yaw_rate": "rad/s",
    "gyro_margin": "1",
    "top_speed": "m/s",
    "top_yaw_rate": "rad/s",
    "traction_acceleration": "m/s^2",
    "arena_crossing_time": "s",
    "rush_margin": "1",
    "hit_force": "N",
    "throw_height": "m",
    "recoil_speed": "m/s",
    "shaft_stress": "Pa",
    "bolt_shear_stress": "Pa",
    "wall_stress": "Pa",
    "pack_energy": "J",
    "match_energy": "J",
    "peak_current": "A",
}


def numbered() -> list[Any]:
    """Entries as test parameters, named and numbered."""
    return [pytest.param(entry, id=f"{entry.name}-{place}") for place, entry in enumerate(ENTRIES)]


def test_the_promised_quantities_are_there() -> None:
    found = book.quantities
    for name, unit in PROMISED.items():
        assert dimension_of(found[name].unit) == dimension_of(unit), name


@pytest.mark.parametrize("entry", numbered())
def test_every_entry_says_what_it_is(entry: Quantity) -> None:
    assert re.fullmatch(r"[a-z][a-z0-9_]*", entry.name)
    assert entry.label[0].isupper() or entry.label[0].isdigit()
    assert not entry.label.endswith(".")
    assert entry.symbol.strip()
    assert entry.better in ("higher", "lower", "same")
    assert entry.branch in book.titles
    assert entry.unit == "1" or entry.dimension != dimension_of("1") or "rad" in entry.unit
    assert all(trait == "rotor" or trait == "pusher" or "=" in trait for trait in entry.when)
    for valid in entry.valid:
        of = book.quantities.get(valid.of) or book.variables[valid.of]
        assert of.dimension == dimension_of("1")
        assert valid.low < valid.high
        assert valid.sentence.strip()


def test_every_trait_is_one_that_a_design_can_have() -> None:
    words = {f"{key}={word}" for key, options in book.choices.items() for word in options.allowed or ()}
    known = words | {"rotor", "pusher", "rotor.axis=level"}
    for entry in ENTRIES:
        assert set(entry.when) <= known, entry.name


def test_labels_tell_quantities_apart() -> None:
    labels = [entry.label.casefold() for entry in book.quantities.values()]
    assert len(labels) == len(set(labels))


def test_labels_are_short_and_may_stand_in_a_list() -> None:
    for name, entry in book.quantities.items():
        assert len(entry.label) < 40, name
        assert not set(entry.label) & set(",;()"), name


def test_a_quantity_is_found_by_name_and_by_label() -> None:
    for name, entry in book.quantities.items():
        for said in (name, name.upper(), name.replace("_", " "), entry.label, entry.label.lower(), f" {entry.label}  "):
            assert book.find(said) == name, said


@pytest.mark.parametrize(
    ("said", "meant"), [("gyro_margn", "gyro_margin"), ("Gyro margni", "gyro margin"), ("thow height", "throw height")]
)
def test_what_is_neither_gets_the_nearest(said: str, meant: str) -> None:
    with pytest.raises(InputError) as caught:
        book.find(said, key="QUANTITY", file="brief.toml")
    assert (caught.value.given, caught.value.key, caught.value.file) == (said, "QUANTITY", "brief.toml")
    assert caught.value.hint == f'did you mean "{meant}"?'


@pytest.mark.parametrize("said", ["", "zzz", "rotor.speed"])
def test_what_is_near_nothing_is_refused_all_the_same(said: str) -> None:
    with pytest.raises(InputError, match="there is no such quantity"):
        book.find(said)


def test_every_input_is_known_and_comes_first() -> None:
    known = set(book.variables)
    assert not known & set(book.quantities)
    for entry in ENTRIES:
        for used in entry.inputs:
            assert used in known, (entry.name, used)
        if entry is [other for other in ENTRIES if other.name == entry.name][-1]:
            known.add(entry.name)


def test_every_variable_says_what_it_is() -> None:
    symbols = set()
    for key, variable in book.variables.items():
        assert re.fullmatch(r"[a-z][a-z0-9_]*(\.[a-z][a-z0-9_]*)*", key)
        assert variable.meaning.strip()
        assert variable.symbol.strip()
        assert variable.default is None or np.isfinite(variable.default)
        symbols.add(variable.symbol)
    assert len(symbols) > 30


def test_every_variable_is_used_or_describes_a_part() -> None:
    """A number that the file asks for serves a formula, the mass sum, a derived number or a law."""
    used = {key for entry in ENTRIES for key in entry.inputs} | {valid.of for entry in ENTRIES for valid in entry.valid}
    asked = [
        variable
        for variable in book.variables.values()
        if not variable.optional and variable.default is None and not variable.derived
    ]
    unused = {variable.key for variable in asked} - used
    assert "wheel.mass" in unused
    # Masses of bought parts go into the sum; sizes of the rotor into its inertia; a motor's size into the motor law.
    assert all(key.endswith((".mass", ".diameter", ".width", ".height", ".cells")) for key in unused), unused


def test_a_similar_machine_s_powers_are_consistent() -> None:
    """Powers of a similar electrical machine, from its definition: same current density, same surface speed.

    By hand: power ~ lambda^3 at the pack's voltage V takes a current ~ lambda^3 / V; the speed, 1/lambda, over V is the
    speed constant; resistance is V over the current, V^2 / lambda^3. Iron loses lambda^3 a cycle, so that its torque
    over lambda V takes lambda^2 / V.
    """
    for table in ("rotor.motor", "drive.motor"):
        found = {name: book.variables[f"{table}.{name}"] for name in ("kv", "resistance", "no_load_current", "mass")}
        assert (found["kv"].length_power, found["kv"].voltage_power) == (-1, -1)
        assert (found["resistance"].length_power, found["resistance"].voltage_power) == (-3, 2)
        assert (found["no_load_current"].length_power, found["no_load_current"].voltage_power) == (2, -1)
        assert found["mass"].length_power == 3
    for key, variable in book.variables.items():
        if variable.unit == "m" and not key.startswith(("arena.", "opponent.", "attacker.")):
            assert variable.length_power in (0, 1), key
        if key.startswith(("air.", "arena.", "match.", "driver.")) or key == "gravity":
            assert (variable.length_power, variable.voltage_power) == (0, 0), key
        if variable.unit in ("Pa", "kg/m^3"):
            assert (variable.length_power, variable.voltage_power) == (0, 0), key


# Arrays.


@pytest.mark.parametrize(
    "entry", [entry for entry in ENTRIES if isinstance(entry.formula, Model)], ids=lambda entry: str(entry.name)
)
def test_models_return_what_they_are_asked_for(entry: Quantity) -> None:
    assert isinstance(entry.formula, Model)
    with np.errstate(all="ignore"):  # as the book calls them: what cannot be computed is NaN
        found = entry.formula.function(*(np.full((2, 1), 0.5) for _ in entry.inputs))
    assert np.shape(found[entry.formula.output]) == (2, 1)


def dependants(traits: frozenset[str], given_keys: set[str]) -> dict[str, set[str]]:
    """The variables that each quantity of a design rests on, by own walk."""
    rests: dict[str, set[str]] = {key: {key} for key in given_keys}
    for entry in ENTRIES:
        if entry.name not in rests and set(entry.when) <= traits and all(key in rests for key in entry.inputs):
            rests[entry.name] = set().union(*(rests[key] for key in entry.inputs)) if entry.inputs else set()
    return rests


shapes = arrays.mutually_broadcastable_shapes(num_shapes=3, max_dims=3, max_side=3)


@settings(max_examples=25)
@given(data=st.data(), shaped=shapes, seed=st.integers(0, 2**32 - 1))
def test_any_variable_may_be_an_array(demos: tuple[Any, ...], data: st.DataObject, shaped: Any, seed: int) -> None:
    demo = data.draw(st.sampled_from(demos), label="demo")
    variables, traits = dict(demo.design.variables), demo.design.traits
    keys = data.draw(st.lists(st.sampled_from(sorted(variables)), min_size=3, max_size=3, unique=True), label="keys")
    random = np.random.default_rng(seed)
    for key, shape in zip(keys, shaped.input_shapes, strict=True):
        variables[key] = variables[key] * random.uniform(0.9, 1.1, shape)
    found = book.evaluate(variables, traits)
    rests = dependants(traits, set(variables))
    assert set(found) == set(rests) - set(variables)
    places = list(np.ndindex(shaped.result_shape))
    for name, values in found.items():
        assert np.shape(values) == np.broadcast_shapes(*(np.shape(variables[key]) for key in rests[name])), name
    for place in places[:: max(1, len(places) // 4)]:
        one = {key: float(np.broadcast_to(value, shaped.result_shape)[place]) for key, value in variables.items()}
        for name, value in book.evaluate(one, traits).items():
            at = np.broadcast_to(found[name], shaped.result_shape)[place]
            assert at == pytest.approx(float(value), rel=1e-12, nan_ok=True), name


def test_every_variable_as_an_array(main_demo: Any) -> None:
    """All inputs at once as columns of three, and every fifth one alone, so that none is left out by chance."""
    design = main_demo.design
    rests = dependants(design.traits, set(design.variables))
    plain = book.evaluate(design.variables, design.traits)
    keys = sorted(design.variables)
    for columns in (set(keys), *({key} for key in keys[::5])):
        values = {key: np.full((3, 1), value) if key in columns else value for key, value in design.variables.items()}
        found = book.evaluate(values, design.traits)
        assert set(found) == set(plain)
        for name, value in found.items():
            assert np.shape(value) == ((3, 1) if columns & rests[name] else ()), name
            expected = np.broadcast_to(plain[name], np.shape(value))
            assert np.allclose(value, expected, rtol=1e-12, atol=0, equal_nan=True), name


def test_an_empty_batch_gives_empty_results(main_demo: Any) -> None:
    design = main_demo.design
    found = book.evaluate({**design.variables, "rotor.speed": np.zeros(0)}, design.traits)
    assert found["rotor_energy"].shape == (0,)
    assert found["spin_up_time"].shape == (0,)


def test_only_what_is_asked_for_is_computed(main_demo: Any) -> None:
    design = main_demo.design
    found = book.evaluate(design.variables, design.traits, only=["gyro_margin"])
    assert {"gyro_margin", "gyro_lift_yaw_rate", "top_yaw_rate"} <= set(found)
    assert "spin_up_time" not in found
    full = book.evaluate(design.variables, design.traits)
    assert found["gyro_margin"] == full["gyro_margin"]


def test_reading_does_not_change_what_is_read(main_demo: Any) -> None:
    speeds = np.linspace(100.0, 900.0, 7)
    before = speeds.copy()
    given_values = {**main_demo.design.variables, "rotor.speed": speeds}
    keys = dict(given_values)
    book.evaluate(given_values, main_demo.design.traits)
    assert np.array_equal(speeds, before)
    assert given_values.keys() == keys.keys()


# Powers against measured slopes: an independent reading of the same book.


def test_powers_agree_with_slopes_of_the_numbers(demo: Any) -> None:
    """Where every variable follows a power of s, so does every quantity that ``powers`` gives a power for."""
    random = np.random.default_rng(11)
    of = {key: Fraction(int(random.integers(-6, 7)), 2) for key in demo.design.variables}
    for variables in (of, {key: Fraction(book.variables[key].length_power) for key in of}):
        powers = book.powers(variables, demo.design.traits)
        step = 1.02
        scaled = {key: value * step ** float(variables[key]) for key, value in demo.design.variables.items()}
        before = book.evaluate(demo.design.variables, demo.design.traits)
        after = book.evaluate(scaled, demo.design.traits)
        told = 0
        for name, power in powers.items():
            if power is None or not np.isfinite(before[name]) or not before[name] or not np.isfinite(after[name]):
                continue
            assert np.log(after[name] / before[name]) / np.log(step) == pytest.approx(float(power), abs=1e-7), name
            told += 1
        assert told >= 10


def test_a_variable_without_a_power_leaves_its_quantities_without_one(main_demo: Any) -> None:
    of: dict[str, Fraction | None] = dict.fromkeys(main_demo.design.variables, Fraction(0))
    of["mass"] = None
    found = book.powers(of, main_demo.design.traits)
    assert found["total_mass"] is None
    assert found["specific_energy"] is None
    assert found["tip_speed"] == 0
