"""Ranking of candidates: every combination again as a study of its own, scored, sorted and compared by own code.

The one-pass ranking and the scalar study share only the formula book, whose numbers other tests hold to published
sources. Candidates are invented for these tests.
"""

from __future__ import annotations

import itertools
import json
import math
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
from scaling.decide.option_score import WATCHED, pareto
from scaling.decide.options import Option, OptionSpace, rank_options, space_of
from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.port.asked import Bound, Brief, LawRequest, PartChange
from scaling.port.brief import load_brief
from scaling.robot.design import Design
from scaling.shop.motors import Motor, load_motors
from scaling.study.results import Port
from scaling.study.run import run_study

MARGINS = ("rotor", "structure", "joints", "transmission")
"""Branches whose margins are strength over stress."""

HELD = (
    "brown_out_margin", "pack_current_margin", "match_energy_margin", "rotor_steady_current_margin", "belt_slip_margin",
)
"""Margins besides strength whose bounds count, listed here once more."""


AGGREGATES = ("rotor_rim_stress_margin", "belt_slip_margin", "stall_fuse_margin", "weakest_link_margin")


def counts(name: str, branches: tuple[str, ...]) -> bool:
    """Whether a margin is a strength of its own, not a yardstick, the least of others, or what only leaves a mark."""
    if not name.endswith("_margin") or name in AGGREGATES or name.endswith(("_weakest_margin", "_separation_margin")):
        return False
    return book.quantities[name].branch in branches and "marks" not in book.quantities[name].label.split()


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


def study_of_one(design: Design, brief: Brief, chosen: dict[str, Any], fit: str, speed_rule: str | None) -> Port:
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
    return run_study(design, own).ports[0]


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
            port = study_of_one(machine, brief, chosen, option.fit, space.speed_rule)
            assert option.factor == pytest.approx(port.factor, rel=1e-9)
            assert option.mass == pytest.approx(port.variables["mass"], rel=1e-9)
            assert option.values["wall.thickness"] == pytest.approx(0.010, rel=1e-12)
            for name, value in option.values.items():
                if name in port.quantities:
                    assert value == pytest.approx(port.quantities[name].value, rel=1e-6), name


def own_score(port: Port, reference: dict[str, float], brief: Brief) -> tuple[float, float, float, float]:
    """Drift, shortfall, what the mass adds and whether the speed is reached, by the words of the score."""
    drifts = []
    for name in WATCHED:
        if name not in reference:  # nothing to drift from
            continue
        found = port.quantities.get(name)
        drift = found.drift.get("gravity") if found is not None else None
        better = book.quantities[name].better
        size = 1.0 if drift is None else math.log(drift)
        worse = (
            size if drift is None else {"higher": max(-size, 0.0), "lower": max(size, 0.0), "same": abs(size)}[better]
        )
        drifts.append(worse)
    shortfall = 0.0
    for name, entry in port.quantities.items():
        if name in HELD or counts(name, MARGINS):
            shortfall += max(math.log(min(1.0, reference.get(name, 1.0)) / entry.value), 0.0)
    for name, bound in brief.limits.items():
        ratio = port.quantities[name].value / bound.value
        shortfall += max(math.log(ratio if bound.side == "at most" else 1 / ratio), 0.0)
    for key, size in brief.size_limit.items():
        shortfall += max(math.log(port.variables[key] / size), 0.0)
    target = brief.mass_limit - brief.mass_margin
    left = (target - port.variables["mass"]) / target
    unreached = float(any(problem.code == "speed_unreachable" for problem in port.problems))
    return sum(drifts) / len(drifts), shortfall, max(left, 0.0) + 10 * max(-left, 0.0), unreached


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


@pytest.fixture(scope="module")
def both(main_demo: Any, space: OptionSpace) -> tuple[list[Option], dict[tuple[str, ...], tuple[Port, Any]], Brief]:
    """The ranking of the small space, and each combination's own study with its score."""
    brief = replace(main_demo.brief, size_limit={"width": 0.212})
    ranked, tried = rank_options(main_demo.design, brief, space, 10_000)
    assert tried == len(every(space)) == 3 * 2 * 2 * 2 * 2
    own = {}
    for chosen, fit in every(space):
        port = study_of_one(main_demo.design, brief, chosen, fit, space.speed_rule)
        own[(fit, *shown(chosen).values())] = (port, own_score(port, main_demo.study.reference, brief))
    return ranked, own, brief


def key_of(option: Option) -> tuple[str, ...]:
    return (option.fit, *option.chosen.values())


def test_factor_mass_and_quantities_are_those_of_the_study(both: Any, main_demo: Any) -> None:
    """Quantities as anyone can recompute them from the variables that study.json states."""
    ranked, own, _ = both
    assert {key_of(option) for option in ranked} == set(own)
    for option in ranked:
        port, _ = own[key_of(option)]
        assert option.factor == pytest.approx(port.factor, rel=1e-9)
        assert option.mass == pytest.approx(port.variables["mass"], rel=1e-9)
        watched = {name for name in port.quantities if name in WATCHED or name in HELD}
        assert watched <= set(option.values)
        again = book.evaluate(port.variables, main_demo.design.traits, only=list(option.values))
        for name, value in option.values.items():
            if name in again:
                assert value == pytest.approx(float(again[name]), rel=1e-6), name


def test_the_space_has_what_it_should_try(both: Any) -> None:
    """Both fits, closed and too heavy masses, reached bounds and missed ones, sizes within and beyond the box."""
    ranked, own, brief = both
    assert {option.fit for option in ranked} == {"mass", "motor-diameter"}
    assert any(port.closure for port, _ in own.values())
    assert any(option.left < 0 for option in ranked)
    assert any(port.variables["width"] > brief.size_limit["width"] for port, _ in own.values())
    assert len({round(port.variables["wall.thickness"], 9) for port, _ in own.values()}) > 2


def test_scores_and_ranks(both: Any) -> None:
    ranked, own, _ = both
    for option in ranked:
        drift, shortfall, mass, unreached = own[key_of(option)][1]
        assert option.drift == pytest.approx(drift, rel=1e-6, abs=1e-9)
        assert option.shortfall == pytest.approx(shortfall, rel=1e-6, abs=1e-8)
        assert option.score == pytest.approx(drift + shortfall + mass + unreached, rel=1e-6)
    assert [option.rank for option in ranked] == list(range(1, len(ranked) + 1))
    scores = [sum(own[key_of(option)][1]) for option in ranked]
    assert scores == pytest.approx(sorted(scores), rel=1e-6)


def beats(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    """Nowhere worse and somewhere better."""
    return all(a <= b for a, b in zip(one, other, strict=True)) and any(a < b for a, b in zip(one, other, strict=True))


def test_unbeaten_by_the_definition(both: Any) -> None:
    """Against all pairs: in drift, margins with the speed, and mass, of what is within the limit."""
    ranked, own, _ = both
    costs = {
        key_of(option): tuple(np.round([drift, shortfall + unreached, mass], 9))
        for option in ranked
        for drift, shortfall, mass, unreached in [own[key_of(option)][1]]
    }
    light = {key_of(option) for option in ranked if option.left >= -1e-9}
    for option in ranked:
        mine = costs[key_of(option)]
        unbeaten = key_of(option) in light and not any(beats(costs[other], mine) for other in light)
        assert option.unbeaten == unbeaten
    assert ranked[0].unbeaten
    assert 0 < sum(option.unbeaten for option in ranked) < len(light)


@given(
    arrays.arrays(float, st.tuples(st.integers(1, 25), st.integers(1, 4)), elements=st.integers(0, 4).map(float)),
    st.data(),
)
def test_pareto_against_all_pairs(costs: Any, data: st.DataObject) -> None:
    usable = data.draw(arrays.arrays(bool, len(costs)))
    rows = [tuple(row) for row in costs]
    expected = [
        bool(mine) and not any(fit and beats(other, row) for other, fit in zip(rows, usable, strict=True))
        for row, mine in zip(rows, usable, strict=True)
    ]
    assert pareto(costs, usable).tolist() == expected


def test_each_reason_states_what_is_so(both: Any) -> None:
    ranked, own, brief = both
    for option in ranked:
        port, (_, shortfall, _, unreached) = own[key_of(option)]
        left = (brief.mass_limit - brief.mass_margin - port.variables["mass"]) * 1e3
        assert f"{abs(left):.0f} g {'left' if left > -1e-6 else 'too heavy'}" in option.reason
        assert ("does not reach" in option.reason) == bool(unreached)
        assert ("nothing beats it" in option.reason) == option.unbeaten
        assert ("every margin at its bound" in option.reason) == (shortfall < 1e-9)


def test_the_limit_that_is_passed_most_is_named(main_demo: Any, motors: Any) -> None:
    """A box of 20 mm and a tip speed of 2 m/s: both are passed many times over, and the worse of them is said."""
    space = OptionSpace(rotor_motors=motors[0][:2], fits=("mass",))
    for brief, words in (
        (replace(main_demo.brief, size_limit={"width": 0.02}), "width at most 20 mm is passed most, by"),
        (
            replace(main_demo.brief, limits={"tip_speed": Bound("tip_speed", 2.0, "at most", "2 m/s")}),
            "ip speed at most 2 m/s is passed most, by",
        ),
    ):
        ranked, _ = rank_options(main_demo.design, brief, space, 5)
        assert all(words in option.reason for option in ranked)
        plain, _ = rank_options(main_demo.design, replace(brief, size_limit={}, limits={}), space, 5)
        assert ranked[0].shortfall > plain[0].shortfall + math.log(9)


def test_fewer_asked_for_are_the_best_and_the_unbeaten(both: Any, main_demo: Any, space: OptionSpace) -> None:
    ranked, _, brief = both
    few, tried = rank_options(main_demo.design, brief, space, 4)
    assert tried == len(ranked)
    expected = [option for option in ranked if option.rank <= 4 or option.unbeaten]
    assert [key_of(option) for option in few] == [key_of(option) for option in expected]
    assert [option.unbeaten for option in few] == [option.unbeaten for option in expected]


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
    """Twins of one motor have one score, and neither beats the other."""
    twins = tuple(Motor(name, motors[0][3].numbers) for name in ("first", "second", "third", "fourth", "fifth"))
    monkeypatch.setattr(options, "CHUNK", chunk)
    ranked, _ = rank_options(main_demo.design, main_demo.brief, OptionSpace(rotor_motors=twins, fits=("mass",)), 5)
    assert [option.chosen["rotor_motors"] for option in ranked] == [twin.name for twin in twins]
    assert len({option.unbeaten for option in ranked}) == 1


def test_a_speed_that_is_not_reached_counts(main_demo: Any, motors: Any) -> None:
    weak = Motor("weak", motors[0][3].numbers | {"kv": motors[0][3].numbers["kv"] / 4})
    space = OptionSpace(rotor_motors=(motors[0][3], weak), fits=("mass",), speed_rule="hold-tip-speed")
    ranked, _ = rank_options(main_demo.design, main_demo.brief, space, 5)
    reached = {option.chosen["rotor_motors"]: "does not reach" not in option.reason for option in ranked}
    assert reached["weak"] is False
    assert ranked[-1].chosen["rotor_motors"] == "weak"
    assert ranked[-1].score > 1


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
    assert data["options"][0]["unbeaten"]
    assert "less is better" in data["score"]


def test_every_demo_ranks_its_candidates(demo: Any, command: Callable[..., Any], tmp_path: Path) -> None:
    out = tmp_path / "options.csv"
    found = command("options", demo.folder / "brief.toml", "--top", "3", "-o", out)
    assert found.status == 0, found.err
    assert "combinations tried" in found.out
    assert out.read_text(encoding="utf-8").startswith("rank,")
    assert command("options", demo.folder / "brief.toml", "-o", out).status == 2


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
        (f"[options]\nrotor_ratios = {list(range(1, 2000))}\ndrive_ratios = {list(range(1, 200))}", "options"),
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
