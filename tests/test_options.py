"""Ranking of candidates: every combination again as a study of its own, judged, sorted and compared by own code.

The one-pass ranking and the scalar study share only the formula book, whose numbers other tests hold to published
sources. Candidates are invented for these tests.
"""

from __future__ import annotations

import itertools
import json
import math
import re
import tracemalloc
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from scaling.decide import options
from scaling.decide.objective import objective_of, port_drifts, port_score
from scaling.decide.option_batch import pareto
from scaling.decide.options import Option, OptionSpace, rank_options, space_of
from scaling.decide.risks import burden, risks_of
from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.port.asked import Bound, Brief, LawRequest, PartChange
from scaling.port.brief import load_brief
from scaling.port.changes import changed
from scaling.robot.design import Design
from scaling.shop.motors import Motor, load_motors
from scaling.study.results import Port, Study
from scaling.study.run import run_study

TOLD = (
    "rotor_speed", "tip_speed", "rotor_energy", "specific_energy", "spin_up_time", "rush_margin", "gyro_margin",
    "top_speed", "peak_current",
)
"""What programs find among an option's values."""


@pytest.fixture(scope="module")
def motors(main_folder: Path) -> tuple[tuple[Motor, ...], tuple[Motor, ...]]:
    return load_motors(main_folder / "rotor_motors.csv"), load_motors(main_folder / "drive_motors.csv")


@pytest.fixture(scope="module")
def space(motors: Any) -> OptionSpace:
    """A few motors of differing sizes, packs and ratios, and a wall of two materials with one shelf and one without."""
    rotor, drive = motors
    return OptionSpace(
        rotor_motors=(rotor[1], rotor[4], rotor[9]),
        drive_motors=drive[3:4],
        cells=(3, 4),
        rotor_ratios=(1.4, 2.0),
        drive_ratios=(22.0,),
        materials={"side walls": ("hdpe", "pla")},
    )


def study_of_one(design: Design, brief: Brief, chosen: dict[str, Any], fit: str, speed_rule: str | None) -> Study:
    """The study of one combination, asked for as a builder would in a brief of its own."""
    numbers = dict(brief.numbers)
    for axis, table in (("rotor_motors", "rotor.motor"), ("drive_motors", "drive.motor")):
        if axis in chosen:
            numbers |= {f"{table}.{key}": value for key, value in chosen[axis].numbers.items()}
    for axis, key in (("cells", "battery.cells"), ("rotor_ratios", "rotor.ratio"), ("drive_ratios", "drive.ratio")):
        if axis in chosen:
            numbers[key] = float(chosen[axis])
    parts = dict(brief.parts)
    for axis, material in chosen.items():
        if axis.startswith("material of "):
            name = axis.removeprefix("material of ")
            parts[name] = replace(parts.get(name, PartChange()), material=material)
    own = replace(
        brief,
        numbers={key: value for key, value in numbers.items() if key in design.variables},
        parts=parts,
        requests=(LawRequest(fit, speed_rule, "as-bought"),),
    )
    return run_study(design, own)


def test_a_stated_mass_and_a_stated_strength_are_the_study_s(main_demo: Any, motors: Any) -> None:
    """Side walls whose mass the brief states keep it and their 10 mm, whatever material and motor are tried.

    So does a strength that the design states beside the material. A part whose mass is given has none of the factor's.
    """
    design = main_demo.design
    stated = replace(design, stated=design.stated | {"wall.strength"})
    shown = Bound("wall.thickness", 0.03, "at most", "30 mm")
    brief = replace(
        main_demo.brief, parts={"side walls": PartChange(mass=0.150)}, closure=(), limits={"wall.thickness": shown}
    )
    space = OptionSpace(rotor_motors=(motors[0][1], motors[0][9]), materials={"side walls": ("uhmwpe", "hdpe", "pla")})
    for machine in (design, stated):
        ranked, _ = rank_options(machine, brief, space, 100)
        assert len(ranked) == 12
        for option in ranked:
            motor = next(motor for motor in motors[0] if motor.name == option.chosen["rotor_motors"])
            chosen = {"rotor_motors": motor, "material of side walls": option.chosen["material of side walls"]}
            port = study_of_one(machine, brief, chosen, option.fit, space.speed_rule).ports[0]
            assert option.factor == pytest.approx(port.factor, rel=1e-9)
            assert option.mass == pytest.approx(port.variables["mass"], rel=1e-9)
            assert option.values["wall.thickness"] == pytest.approx(0.010, rel=1e-12)
            for name, value in option.values.items():
                if name in port.quantities:
                    assert value == pytest.approx(port.quantities[name].value, rel=1e-6), name


def every(space: OptionSpace) -> list[tuple[dict[str, Any], str]]:
    """Every combination with its fit, in the order of the lists."""
    axes = space.axes()
    return [
        (dict(zip(axes, values, strict=True)), fit)
        for fit in space.fits
        for values in itertools.product(*axes.values())
    ]


def shown(chosen: dict[str, Any]) -> dict[str, str]:
    return {axis: value.name if isinstance(value, Motor) else str(value) for axis, value in chosen.items()}


def own_aims(study: Study) -> dict[str, float]:
    """Hit, handling and survival of a study's port by their definitions, from its drifts and risks."""
    port = study.ports[0]
    drifts = {name: entry.drift for name, entry in port.quantities.items()}

    def weighed(names: dict[str, float], clock: dict[str, str], sign: Callable[[str, float], float]) -> float:
        had = {name: weight for name, weight in names.items() if study.reference.get(name)}
        total = 0.0
        for name, weight in had.items():
            drift = drifts.get(name, {}).get(clock.get(name, "driver"))
            total += weight * (-math.log(2) if drift is None else sign(name, math.log(drift)))
        return total / sum(had.values())

    def gain(name: str, size: float) -> float:
        return size if book.quantities[name].better == "higher" else -size

    thrown = ("throw_height", "throw_slide", "energy_lift_lengths", "bite_ratio")
    hit = dict.fromkeys(thrown, 3.0) | {"spin_up_time": 1.0, "rush_margin": 1.0, "recoil_speed": 1.0}
    felt = ("half_turn_time", "top_yaw_rate", "gyro_margin", "froude_speed", "traction_acceleration",
            "arena_crossing_time")  # fmt: skip
    handling = dict.fromkeys(felt, 3.0) | dict.fromkeys(("stopping_distance", "drive_push_margin", "rush_margin"), 1.0)
    gravity = dict.fromkeys(("throw_height", "throw_slide", "energy_lift_lengths", "recoil_speed"), "gravity")
    return {
        "hit": weighed(hit, gravity, gain),
        "handling": weighed(handling, {}, lambda _name, size: -abs(size)),
        "survival": -burden(risks_of(study, port)),
    }


def for_nothing(port: Port, reference: dict[str, float]) -> bool:
    """Whether a rotor has less than a quarter of the reference's energy over mass."""
    return not port.quantities["specific_energy"].value >= 0.25 * reference["specific_energy"]


@pytest.fixture(scope="module")
def both(main_demo: Any, space: OptionSpace) -> tuple[list[Option], dict[tuple[str, ...], Study], Brief]:
    """The ranking of the small space, and each combination's own study."""
    brief = replace(main_demo.brief, size_limit={"width": 0.212})
    ranked, tried = rank_options(main_demo.design, brief, space, 10_000)
    assert tried == len(every(space)) == 3 * 2 * 2 * 2 * 2
    own = {
        (fit, *shown(chosen).values()): study_of_one(main_demo.design, brief, chosen, fit, space.speed_rule)
        for chosen, fit in every(space)
    }
    return ranked, own, brief


def key_of(option: Option) -> tuple[str, ...]:
    return (option.fit, *option.chosen.values())


def test_factor_mass_and_quantities_are_those_of_the_study(both: Any, main_demo: Any) -> None:
    """Quantities as anyone can recompute them from the variables that study.json states."""
    ranked, own, _ = both
    assert {key_of(option) for option in ranked} == set(own)
    for option in ranked:
        (port,) = own[key_of(option)].ports
        assert option.factor == pytest.approx(port.factor, rel=1e-9)
        assert option.mass == pytest.approx(port.variables["mass"], rel=1e-9)
        assert set(TOLD) <= set(option.values)
        again = book.evaluate(port.variables, main_demo.design.traits, only=list(option.values))
        for name, value in option.values.items():
            if name in again:
                assert value == pytest.approx(float(again[name]), rel=1e-6), name


def test_what_a_brief_must_say_is_told_and_gives_the_same(both: Any, main_demo: Any, space: OptionSpace) -> None:
    ranked, own, brief = both
    for option in ranked[::7]:
        request = LawRequest(option.fit, space.speed_rule, space.drive_rule)
        (port,) = run_study(main_demo.design, replace(changed(brief, option.changes), requests=(request,))).ports
        (same,) = own[key_of(option)].ports
        assert port.factor == pytest.approx(same.factor, rel=1e-9)
        for name in TOLD:
            assert port.quantities[name].value == pytest.approx(option.values[name], rel=1e-6)


def test_the_space_has_what_it_should_try(both: Any) -> None:
    """Both fits, closed and too heavy masses, sizes within and beyond the box, rotors that hit and that do not."""
    ranked, own, brief = both
    ports = [study.ports[0] for study in own.values()]
    assert {option.fit for option in ranked} == {"mass", "motor-diameter"}
    assert any(port.closure for port in ports)
    assert any(option.left < 0 for option in ranked)
    assert {"fits", "misses"} == {option.status for option in ranked}
    assert any(port.variables["width"] > brief.size_limit["width"] for port in ports)
    assert len({round(port.variables["wall.thickness"], 9) for port in ports}) > 2


def test_status_and_score_are_the_port_s(both: Any, main_demo: Any) -> None:
    ranked, own, brief = both
    objective = objective_of(brief, main_demo.study.reference)
    for option in ranked:
        (port,) = own[key_of(option)].ports
        assert (option.status, option.misses) == (port.status, port.misses)
        assert option.score == pytest.approx(port_score(objective, port), rel=1e-6)


def test_aims_are_those_of_the_study(both: Any) -> None:
    ranked, own, _ = both
    for option in ranked:
        assert option.aims == pytest.approx(own_aims(own[key_of(option)]), rel=1e-5, abs=1e-6)


def test_misses_come_first_then_the_score(both: Any, main_demo: Any) -> None:
    ranked, own, brief = both
    objective = objective_of(brief, main_demo.study.reference)
    assert [option.rank for option in ranked] == list(range(1, len(ranked) + 1))
    keys = []
    for option in ranked:
        (port,) = own[key_of(option)].ports
        idle = for_nothing(port, main_demo.study.reference)
        keys.append((idle, len(port.misses), round(port_score(objective, port) or 0.0, 6)))
    assert keys == sorted(keys)


def beats(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    """Nowhere worse and somewhere better."""
    return all(a >= b for a, b in zip(one, other, strict=True)) and any(a > b for a, b in zip(one, other, strict=True))


def test_unbeaten_by_the_definition(both: Any, main_demo: Any) -> None:
    """Against all pairs of what fits, told apart by 5 % and a tenth of a chance; the first stands for what is alike."""
    ranked, own, _ = both
    told = {
        key_of(option): tuple(round(option.aims[aim] / step) for aim, step in
                              (("hit", 0.05), ("handling", 0.05), ("survival", 0.1)))
        for option in ranked
    }  # fmt: skip
    usable = [option for option in ranked if option.status == "fits"
              and not for_nothing(own[key_of(option)].ports[0], main_demo.study.reference)]  # fmt: skip
    seen: set[tuple[int, ...]] = set()
    for option in ranked:
        mine = told[key_of(option)]
        free = option in usable and not any(beats(told[key_of(other)], mine) for other in usable)
        assert option.unbeaten == (free and mine not in seen)
        seen |= {mine} if free else set()
    assert 0 < sum(option.unbeaten for option in ranked) < len(usable)


@given(
    arrays.arrays(float, st.tuples(st.integers(1, 25), st.integers(1, 4)), elements=st.integers(0, 4).map(float)),
    st.data(),
)
def test_pareto_against_all_pairs(costs: Any, data: st.DataObject) -> None:
    usable = data.draw(arrays.arrays(bool, len(costs)))
    rows = [tuple(-row) for row in costs]
    expected = [
        bool(mine) and not any(fit and beats(other, row) for other, fit in zip(rows, usable, strict=True))
        for row, mine in zip(rows, usable, strict=True)
    ]
    assert pareto(costs, usable).tolist() == expected


def test_each_text_states_what_is_so(both: Any, main_demo: Any) -> None:
    ranked, own, brief = both
    for option in ranked:
        (port,) = own[key_of(option)].ports
        left = (brief.mass_limit - brief.mass_margin - port.variables["mass"]) * 1e3
        assert f"{abs(left):.0f} g {'left' if left > -0.5 else 'over'}" in option.text
        assert ("nothing beats it" in option.text) == option.unbeaten
        assert ("Misses: " in option.text) == bool(port.misses)
        assert ("hits for nothing" in option.text) == for_nothing(port, main_demo.study.reference)
        assert option.chosen["rotor_motors"] in option.text.split(";")[0]


def test_a_miss_is_told_with_its_number(main_demo: Any, motors: Any) -> None:
    """A box of 20 mm and a tip speed of 2 m/s: nothing fits, and by how much is said."""
    space = OptionSpace(rotor_motors=motors[0][:2], fits=("mass",))
    for brief, code, words in (
        (replace(main_demo.brief, size_limit={"width": 0.02}), "size_over_limit", "mm too wide"),
        (
            replace(main_demo.brief, limits={"tip_speed": Bound("tip_speed", 2.0, "at most", "2 m/s")}),
            "limit_passed",
            "m/s above 2.00 m/s",
        ),
    ):
        ranked, _ = rank_options(main_demo.design, brief, space, 5)
        assert all(words in option.text and option.misses == (code,) for option in ranked)
        assert not any(option.unbeaten for option in ranked)


def test_fewer_asked_for_are_the_best_and_the_unbeaten(both: Any, main_demo: Any, space: OptionSpace) -> None:
    ranked, _, brief = both
    few, tried = rank_options(main_demo.design, brief, space, 4)
    assert tried == len(ranked)
    expected = [option for option in ranked if option.rank <= 4 or option.unbeaten]
    assert [key_of(option) for option in few] == [key_of(option) for option in expected]
    assert [option.unbeaten for option in few] == [option.unbeaten for option in expected]
    best, same = rank_options(main_demo.design, brief, space, 4, beside=False)
    assert len(few) > 4 == len(best) and same == tried and best == few[:4]


def test_more_asked_for_than_fit_are_the_next_best(both: Any, main_demo: Any, space: OptionSpace) -> None:
    ranked, _, brief = both
    fits = sum(option.status == "fits" for option in ranked)
    some, _ = rank_options(main_demo.design, brief, space, fits + 5)
    assert [key_of(option) for option in some] == [key_of(option) for option in ranked[: fits + 5]]


@pytest.mark.parametrize("chunk", [1, 7, 50])
def test_the_size_of_a_pass_changes_nothing(
    both: Any, main_demo: Any, space: OptionSpace, monkeypatch: pytest.MonkeyPatch, chunk: int
) -> None:
    brief = both[2]
    small = replace(space, rotor_motors=space.rotor_motors[:2], cells=space.cells[:1])
    whole, _ = rank_options(main_demo.design, brief, small, 5)
    monkeypatch.setattr(options, "CHUNK", chunk)
    pieces, _ = rank_options(main_demo.design, brief, small, 5)
    assert [key_of(option) for option in pieces] == [key_of(option) for option in whole]
    for one, other in zip(pieces, whole, strict=True):
        assert one.unbeaten == other.unbeaten
        assert (one.score, one.factor, one.mass) == pytest.approx((other.score, other.factor, other.mass), rel=1e-12)


@pytest.mark.parametrize("chunk", [3, 2048])
def test_equals_stand_in_the_order_of_the_lists(
    main_demo: Any, motors: Any, monkeypatch: pytest.MonkeyPatch, chunk: int
) -> None:
    """Twins of one motor have one score; the first stands for all of them."""
    twins = tuple(Motor(name, motors[0][6].numbers) for name in ("first", "second", "third", "fourth", "fifth"))
    monkeypatch.setattr(options, "CHUNK", chunk)
    ranked, _ = rank_options(main_demo.design, main_demo.brief, OptionSpace(rotor_motors=twins, fits=("mass",)), 5)
    assert [option.chosen["rotor_motors"] for option in ranked] == [twin.name for twin in twins]
    assert [option.unbeaten for option in ranked] == [True, False, False, False, False]


def test_a_speed_that_is_not_reached_is_a_miss(main_demo: Any, motors: Any) -> None:
    """A motor of half the speed constant: what follows from the speed counts as absent, each as much as a doubling."""
    weak = Motor("weak", motors[0][3].numbers | {"kv": motors[0][3].numbers["kv"] / 2})
    space = OptionSpace(rotor_motors=(motors[0][3], weak), fits=("mass",), speed_rule="hold-tip-speed")
    first, last = rank_options(main_demo.design, main_demo.brief, space, 5)[0]
    assert (first.chosen["rotor_motors"], first.misses) == (motors[0][3].name, ())
    assert last.misses == ("speed_unreachable",)
    assert "short" in last.text
    study = study_of_one(main_demo.design, main_demo.brief, {"rotor_motors": weak}, "mass", "hold-tip-speed")
    objective = objective_of(main_demo.brief, study.reference)
    still = {"top_yaw_rate", "froude_speed", "arena_crossing_time", "traction_acceleration"}
    drifts = port_drifts(objective, study.ports[0])
    costs = {name: abs(drifts[name]) if name in still else math.log(2) for name in objective.weights}
    assert last.score == pytest.approx(sum(costs.values()) / len(costs), rel=1e-9)


def test_no_factor_no_rank(main_demo: Any, motors: Any) -> None:
    """A motor heavier than the class leaves nothing to close: it is tried, and not among the options."""
    heavy = Motor("heavy", motors[0][3].numbers | {"mass": 1.5})
    space = OptionSpace(rotor_motors=(heavy, motors[0][3]), fits=("mass",))
    ranked, tried = rank_options(main_demo.design, main_demo.brief, space, 5)
    assert tried == 2
    assert [option.chosen["rotor_motors"] for option in ranked] == [motors[0][3].name]
    nothing, _ = rank_options(main_demo.design, main_demo.brief, replace(space, rotor_motors=(heavy,)), 5)
    assert nothing == []


def test_a_motor_of_another_world_is_not_ranked(main_demo: Any, motors: Any) -> None:
    """A motor of 3 m asks for a factor above a hundred, which no study is made of."""
    huge = Motor("huge", motors[0][3].numbers | {"diameter": 3.0})
    space = OptionSpace(rotor_motors=(huge, motors[0][3]), fits=("motor-diameter",))
    ranked, tried = rank_options(main_demo.design, main_demo.brief, space, 5)
    assert tried == 2
    assert [option.chosen["rotor_motors"] for option in ranked] == [motors[0][3].name]


def test_memory_does_not_grow_with_the_combinations(
    main_demo: Any, motors: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(options, "CHUNK", 256)

    def peak(ratios: int) -> int:
        space = OptionSpace(rotor_motors=motors[0], rotor_ratios=tuple(np.linspace(1.2, 2.2, ratios)), fits=("mass",))
        tracemalloc.start()
        rank_options(main_demo.design, main_demo.brief, space, 12)
        _, most = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        return most

    peak(5)
    few, many = peak(80), peak(320)
    assert many < 1.2 * few


def test_progress_is_told(main_demo: Any, motors: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(options, "CHUNK", 16)
    calls: list[tuple[int, int]] = []
    space = OptionSpace(rotor_motors=motors[0], drive_motors=motors[1])
    _, total = rank_options(main_demo.design, main_demo.brief, space, 3, lambda done, all_: calls.append((done, all_)))
    assert total == 2 * len(motors[0]) * len(motors[1])
    assert {all_ for _, all_ in calls} == {total}
    done = [done for done, _ in calls]
    assert done == sorted(set(done))
    assert done[-1] == total
    assert done[0] == 16


def test_the_demo_s_ten_thousand_as_json(command: Callable[..., Any], main_folder: Path) -> None:
    found = command("options", main_folder / "brief.toml", "--json", "--top", "5")
    data = json.loads(found.out, parse_constant=lambda word: pytest.fail(f"{word} in JSON"))
    assert data["tried"] >= 10_000
    assert [option["rank"] for option in data["options"]][:5] == [1, 2, 3, 4, 5]
    assert data["objective"]["preset"] == "balanced"
    for option in data["options"]:
        assert option["status"] == "fits"
        assert set(TOLD) <= set(option["values"])
        assert {"rotor_motors", "drive_motors", "cells"} <= set(option["chosen"])
    assert sum(option["unbeaten"] for option in data["options"]) > 1


def test_every_demo_ranks_its_candidates(demo: Any, command: Callable[..., Any], tmp_path: Path) -> None:
    """Piped output is 80 columns wide, and names what was tried and the aims; the file has all that is known."""
    out = tmp_path / "options.csv"
    found = command("options", demo.folder / "brief.toml", "--top", "3", "-o", out)
    assert found.status == 0, found.err
    assert "combinations tried" in found.out
    assert max(map(len, found.out.splitlines())) <= 80 + len(str(out))
    assert max(len(line) for line in found.out.splitlines() if "Written" not in line) <= 80
    assert all(word in found.out for word in ("handling", "survival", "hit" if demo.design.has_rotor else "turn"))
    header, *rows = out.read_text(encoding="utf-8").splitlines()
    assert header.startswith("rank,")
    assert len(rows) >= 3
    assert command("options", demo.folder / "brief.toml", "-o", out).status == 2


def test_columns_that_are_asked_for(command: Callable[..., Any], main_folder: Path) -> None:
    brief = main_folder / "brief.toml"
    found = command("options", brief, "--top", "2", "--only", "Throw height", "--only", "gyro_torque")
    assert found.status == 0, found.err
    head = found.out.splitlines()[2]
    assert ("throw" in head, "gyro torque" in head, "rpm" in head) == (True, True, False)
    data = json.loads(command("options", brief, "--top", "2", "--json", "--only", "throw_height").out)
    assert all(set(option["values"]) == {"throw_height"} for option in data["options"])
    assert command("options", brief, "--only", "nothing such").status == 2


def test_prices_stand_where_the_catalogue_has_them(
    brief_with: Callable[..., Path], command: Callable[..., Any], tmp_path: Path
) -> None:
    path = brief_with("[options]\nrotor_motors = 'rotor_motors.csv'\ndrive_motors = 'drive_motors.csv'")
    assert "price" not in command("options", path, "--top", "3").out
    for name, price in (("rotor_motors", "40 EUR"), ("drive_motors", "12.50 EUR")):
        lines = (tmp_path / f"{name}.csv").read_text(encoding="utf-8").splitlines()
        lines = [line if line.startswith("#") else f"{line},{'price' if 'name' in line else price}" for line in lines]
        (tmp_path / f"{name}.csv").write_text("\n".join(lines), encoding="utf-8")
    found = command("options", path, "--top", "3")
    assert "price" in found.out
    assert found.out.count("65 EUR") == 3  # one at 40, two at 12.50
    assert max(map(len, found.out.splitlines())) <= 80
    told = json.loads(command("options", path, "--top", "3", "--json").out)["options"]
    rows = re.findall(r"^\d+ +(?:[*!] +)?(\S+) .* 65 EUR$", found.out, flags=re.MULTILINE)
    assert rows == [each["chosen"]["rotor_motors"] for each in told[:3]]


# What the brief may not say.


@pytest.fixture
def brief_with(edit: Callable[..., Path], main_folder: Path, tmp_path: Path) -> Callable[..., Path]:
    """A copy of the main demo with other lines under [options]."""

    def copy(options_table: str, design: dict[str, str | None] | None = None) -> Path:
        path = edit(main_folder, design)
        for file in main_folder.iterdir():
            if file.suffix in (".csv", ".stl"):
                (tmp_path / file.name).write_bytes(file.read_bytes())
        text = path.read_text(encoding="utf-8").split("\n[options]")[0]
        path.write_text(f"{text}\n{options_table}\n", encoding="utf-8")
        return path

    return copy


@pytest.mark.parametrize(
    ("table", "key"),
    [
        ("", "options"),
        ("[options]", "options"),
        ("options = 3", None),
        ("[options]\nrotor_motor = 'rotor_motors.csv'", "options.rotor_motor"),
        ("[options]\nrotor_motors = 3", "options.rotor_motors"),
        ("[options]\nrotor_motors = 'gone.csv'", None),
        ("[options]\ncells = []", "options.cells"),
        ("[options]\ncells = [2.5]", "options.cells"),
        ("[options]\nrotor_ratios = [0]", "options.rotor_ratios"),
        ("[options]\nrotor_ratios = ['fast']", "options.rotor_ratios"),
        ("[options]\nrotor_ratios = 2", "options.rotor_ratios"),
        ("[options]\ncells = [3]\nfits = ['luck']", "options.fits"),
        ("[options]\ncells = [3]\nfits = ['motor-diameter']", "options.fits"),
        ("[options]\ncells = [3]\nspeed_rule = 'fast'", "options.speed_rule"),
        ("[options]\ncells = [3]\ndrive_rule = 'fast'", "options.drive_rule"),
        ("[options.materials]\nrotor = ['hdpe']", "options.materials.rotor"),
        ("[options.materials]\n'side walls' = ['cheese']", "options.materials.side walls"),
        ("[options.materials]\n'side walls' = 'hdpe'", "options.materials.side walls"),
        (f"[options]\nrotor_ratios = {list(range(1, 2000))}\ndrive_ratios = {list(range(1, 19000))}", "options"),
    ],
)
def test_options_that_cannot_be_are_refused_by_key(
    brief_with: Callable[..., Path], command: Callable[..., Any], table: str, key: str | None
) -> None:
    path = brief_with(table)
    refused = command("options", path)
    assert refused.status == 2
    assert "unforeseen" not in refused.err
    if key is not None:
        assert f": {key}:" in refused.err


def test_an_axis_that_the_design_lacks_is_refused(pusher_demo: Any, tmp_path: Path) -> None:
    path = tmp_path / "brief.toml"
    design = (pusher_demo.folder / "design.toml").as_posix()
    path.write_text(
        f'reference = "{design}"\nmass_limit = "3 kg"\n[[laws]]\nlaw = "mass"\n[options]\nrotor_ratios = [2]\n',
        encoding="utf-8",
    )
    with pytest.raises(InputError) as refused:
        space_of(load_brief(path), pusher_demo.design)
    assert refused.value.key == "options.rotor_ratios"


def test_without_a_motor_only_the_mass_fits(brief_with: Callable[..., Path], main_demo: Any) -> None:
    path = brief_with("[options]\ncells = [3, 4]")
    space = space_of(load_brief(path), main_demo.design)
    assert space.fits == ("mass",)
    path = brief_with("[options]\nrotor_motors = 'rotor_motors.csv'")
    assert space_of(load_brief(path), main_demo.design).fits == ("mass", "motor-diameter")


def test_a_bad_row_of_the_catalogue_is_named_by_file_and_line(
    brief_with: Callable[..., Path], command: Callable[..., Any], tmp_path: Path
) -> None:
    path = brief_with("[options]\nrotor_motors = 'rotor_motors.csv'")
    text = (tmp_path / "rotor_motors.csv").read_text(encoding="utf-8")
    (tmp_path / "rotor_motors.csv").write_text(text.replace(",48,1.6,", ",fortyeight,1.6,", 1), encoding="utf-8")
    line = next(
        row
        for row, words in enumerate((tmp_path / "rotor_motors.csv").read_text().splitlines(), 1)
        if "fortyeight" in words
    )
    refused = command("options", path)
    assert refused.status == 2
    assert f"rotor_motors.csv, line {line}" in refused.err
    assert "resistance_mohm" in refused.err
