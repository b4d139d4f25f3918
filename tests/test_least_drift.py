"""The law that frees dimensions, on the demos: limits held, nothing better near, prices true, combinations all tried.

Independent of the search: SciPy's SLSQP on the same problem with its own slack variables, points of a scrambled Sobol
sequence, combinations of sheets searched without leaving out what the linear program thinks little of, and masses
worked out by hand. LEAST_DRIFT_POINTS=16384 looks at so many points, and at every combination in place of some.
"""

from __future__ import annotations

import json
import math
import os
import random
import shutil
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.stats import qmc

from conftest import Demo
from scaling.decide.freed_search import Found, search
from scaling.decide.freed_space import Space, margin_bounds
from scaling.decide.held_port import held_at
from scaling.decide.least_drift import evenly_spread, least_drift, what_holds
from scaling.decide.mends import risks_with_mends
from scaling.decide.objective import objective_of, port_score
from scaling.decide.prices import GRAMS
from scaling.decide.risks import Risk
from scaling.decide.shelf_search import from_the_shelf, sizes_of
from scaling.decide.slp import linearised, minimise
from scaling.decide.whole import whole_study
from scaling.formulas import book
from scaling.port.asked import LawRequest, ObjectiveRequest, PartChange
from scaling.port.brief import load_both, read_brief
from scaling.port.changes import path_of, value_of, written
from scaling.port.freed import levers_of
from scaling.port.inputs import port_parts
from scaling.port.laws import close_mass
from scaling.robot.parts import mass_at, off_the_shelf
from scaling.study.results import Port
from scaling.study.run import reference_values

REQUEST = LawRequest("least-drift", None, None)

POINTS = int(os.environ.get("LEAST_DRIFT_POINTS", "1024"))
"""How many points are sampled."""

COMBINATIONS = 2 if POINTS < 16_384 else None
"""How many combinations of sheets are searched, None for all."""


def port_of(demo: Demo, request: LawRequest = REQUEST, **changes: Any) -> Port:
    brief = replace(demo.brief, requests=(request,), **changes)
    return whole_study(demo.design, brief).ports[0]


def space_of(demo: Demo, **changes: Any) -> tuple[Space, Any]:
    """The ports that a demo's request may choose from, without a shelf, and the point of the plain scaling."""
    brief = replace(demo.brief, **changes)
    reference = reference_values(demo.design)
    levers, _ = levers_of(demo.design, brief, REQUEST)
    space = Space(
        demo.design, brief, REQUEST, objective_of(brief, reference), reference, levers, margin_bounds(reference)
    )
    parts = tuple(map(off_the_shelf, port_parts(demo.design, brief)))
    factor = close_mass(lambda each: mass_at(parts, each), brief.allowed_mass).factor
    assert factor is not None
    plain = space.plain(factor)
    return what_holds(space, plain)[0], plain


@pytest.fixture(scope="module")
def solved(main_demo: Demo) -> Port:
    """The main demo's own port of the law."""
    return next(port for port in main_demo.study.ports if port.request.law == "least-drift")


@pytest.fixture(scope="module")
def relaxed(main_demo: Demo) -> Found:
    """What is least on the main demo without a shelf, from the plain scaling on."""
    return search(*space_of(main_demo))


@pytest.fixture(scope="module")
def bought(relaxed: Found) -> Found:
    """The same with sheets from the shelf."""
    return from_the_shelf(relaxed)


def test_the_main_demo_asks_for_it_and_it_fits(main_demo: Demo, solved: Port) -> None:
    assert solved.factor is not None
    brief = main_demo.brief
    assert solved.variables["mass"] <= brief.allowed_mass * (1 + 1e-9)
    codes = {problem.code for problem in solved.problems}
    assert not codes & {"mass_over_limit", "size_over_limit", "limit_passed", "speed_unreachable", "no_factor"}
    assert (solved.request.speed_rule, solved.request.drive_rule) == (None, None)


def test_every_margin_is_at_least_one_or_the_reference_s(main_demo: Demo, solved: Port) -> None:
    assert solved.solved is not None and solved.solved.unheld == ()
    held = margin_bounds(main_demo.study.reference)
    assert len(held) > 20
    for name, bound in held.items():
        assert solved.quantities[name].value >= bound * (1 - 1e-5), name


def test_it_drifts_less_than_any_plain_scaling(main_demo: Demo, solved: Port) -> None:
    objective = objective_of(main_demo.brief, main_demo.study.reference)
    others = [port for port in main_demo.study.ports if port is not solved]
    own = port_score(objective, solved)
    assert own is not None
    assert all(own < (port_score(objective, port) or math.inf) for port in others)


def test_the_port_s_numbers_are_those_of_its_variables(main_demo: Demo, solved: Port) -> None:
    found = book.evaluate(solved.variables, main_demo.design.traits)
    for name, entry in solved.quantities.items():
        assert float(found[name]) == pytest.approx(entry.value, rel=1e-12)


def test_masses_by_hand(main_demo: Demo, solved: Port) -> None:
    """The rotor is a bar with a bore: (d c - pi b^2 / 4) w; a sheet goes with its area, thickness and the width."""
    own, port = main_demo.design.variables, solved.variables
    factor = solved.factor or 0.0
    areas = [
        (values["rotor.diameter"] * chord - math.pi / 4 * bore**2) * values["rotor.width"]
        for values, chord, bore in (
            (own, own["rotor.chord"], own["rotor.bore"]),
            (port, own["rotor.chord"] * factor, own["rotor.bore"] * factor),
        )
    ]
    assert port["rotor.mass"] / own["rotor.mass"] == pytest.approx(areas[1] / areas[0], rel=1e-9)
    assert port["width"] - factor * own["width"] == pytest.approx(port["track"] - factor * own["track"], abs=1e-12)
    wider = port["width"] / (factor * own["width"])
    freed = {lever.key: lever.value for lever in solved.solved.freed} if solved.solved else {}
    for line in solved.parts:
        part = next(part for part in main_demo.design.parts if part.name == line.name)
        thickness = freed.get(f"parts.{part.name}.thickness")
        if thickness is not None:
            expected = part.total * factor**2 * thickness / part.thickness * wider
            assert line.port == pytest.approx(expected, rel=1e-9), part.name
    assert sum(line.port for line in solved.parts) == pytest.approx(port["mass"], rel=1e-12)


def test_teeth_stay_as_far_off_the_floor_and_supports_from_the_rotor(main_demo: Demo, solved: Port) -> None:
    own, port, factor = main_demo.design.variables, solved.variables, solved.factor or 0.0

    def floor(values: Any) -> float:
        return float(values["rotor.axle_height"] - values["rotor.diameter"] / 2)

    assert floor(port) == pytest.approx(factor * floor(own), abs=1e-12)
    gap = port["rotor.shaft.span"] - port["rotor.width"]
    assert gap == pytest.approx(factor * (own["rotor.shaft.span"] - own["rotor.width"]), abs=1e-12)


def test_sheets_come_from_the_shelf(solved: Port) -> None:
    assert solved.solved is not None
    for lever in solved.solved.freed:
        if lever.key.endswith(".thickness"):
            part = next(each for each in solved.carried if each.name == lever.key.split(".")[1])
            assert any(abs(float(lever.value) - size) < 1e-12 for size in sizes_of(part))


@pytest.mark.parametrize("name", ["harrowmoth", "plinthling"])
def test_the_other_demos_have_it_too(demos: tuple[Demo, ...], name: str) -> None:
    demo = next(each for each in demos if each.folder.name == name)
    port = port_of(demo)
    assert port.factor is not None and port.solved is not None
    assert port.variables["mass"] <= demo.brief.allowed_mass * (1 + 1e-9)
    objective = objective_of(demo.brief, demo.study.reference)
    plain = port_of(demo, LawRequest("mass", "hold-tip-speed" if demo.design.has_rotor else None))
    assert (port_score(objective, port) or 9) < (port_score(objective, plain) or 0)
    held = margin_bounds(demo.study.reference)
    for name in set(held) - set(port.solved.unheld):
        assert port.quantities[name].value >= held[name] * (1 - 1e-5), name


# Nothing better.


def test_another_solver_finds_nothing_better(relaxed: Found) -> None:
    """SLSQP on the epigraph form, from the point that was found and from the plain scaling, to one per cent."""
    problem, point = relaxed.problem, relaxed.point
    size, terms = point.size, problem.weights.size
    kept: dict[bytes, Any] = {}

    def at(z: Any) -> Any:
        key = z[:size].tobytes()
        if key not in kept:
            kept.clear()
            kept[key] = linearised(problem, np.clip(z[:size], problem.lower, problem.upper))
        return kept[key]

    def held(z: Any) -> Any:
        return np.concatenate([z[size:] - at(z).residuals, z[size:] + at(z).residuals, at(z).levels])

    def slopes(z: Any) -> Any:
        rows, levels = at(z).residual_slopes, at(z).level_slopes
        none = np.zeros((levels.shape[0], terms))
        return np.block([[-rows, np.eye(terms)], [rows, np.eye(terms)], [levels, none]])

    found = minimize(
        lambda z: problem.weights @ z[size:],
        np.concatenate([point, np.abs(relaxed.minimum.at.residuals)]),
        jac=lambda z: np.concatenate([np.zeros(size), problem.weights]),
        method="SLSQP",
        bounds=[*zip(problem.lower, problem.upper, strict=True), *[(0, None)] * terms],
        constraints={"type": "ineq", "fun": held, "jac": slopes},
        options={"maxiter": 30, "ftol": 1e-7},
    )
    other = linearised(problem, np.clip(found.x[:size], problem.lower, problem.upper))
    assert other.missed < 1e-4
    assert relaxed.minimum.at.score(problem) <= other.score(problem) * 1.01


@pytest.mark.parametrize("near", [None, 0.05])
def test_sampled_points_are_no_better(relaxed: Found, near: float | None) -> None:
    """Points over all that is free, and as many about the point that was found."""
    problem = relaxed.problem
    share = qmc.Sobol(relaxed.point.size, seed=11).random(POINTS).T
    low, high = problem.lower[:, None], problem.upper[:, None]
    points = low + share * (high - low)
    if near is not None:
        points = np.clip(relaxed.point[:, None] + near * (2 * share - 1), low, high)
    found = problem.evaluate(points)
    drifts = np.where(np.isnan(found.residuals), problem.absent, np.abs(found.residuals))
    scores = np.where((found.levels >= -1e-5).all(axis=0), problem.weights @ drifts, np.inf)
    if near is not None:
        assert np.isfinite(scores).sum() > POINTS / 800
    assert relaxed.minimum.at.score(problem) <= scores.min() * 1.01


@pytest.mark.parametrize("size", [1, 2, 5, 9, 14])
def test_starts_fill_the_cube_more_evenly_than_chance(size: int) -> None:
    """By the centred discrepancy of SciPy, beside seeded random points."""
    points = evenly_spread(size, 512)
    assert points.shape == (size, 512)
    assert points.min() >= 0
    assert points.max() < 1
    chance = [qmc.discrepancy(np.random.default_rng(seed).random((512, size))) for seed in range(5)]
    assert qmc.discrepancy(points.T) < 0.8 * np.mean(chance)


def test_other_combinations_of_sheets_are_beaten(relaxed: Found, bought: Found) -> None:
    """The next two sizes of every free sheet, each combination searched in the stretch of the factor that won."""
    space = bought.space
    parts = {part.name: part for part in space.parts(space.variation(0 * relaxed.point))}
    places = {place: lever.part for place, lever in enumerate(space.levers, 1) if lever.part is not None}
    assert len(places) >= 2
    next_ones = []
    for place, name in places.items():
        sizes = np.log(np.asarray(sizes_of(parts[name])) / parts[name].thickness)
        below = sizes <= relaxed.point[place]
        next_ones.append([*sizes[below][-1:], *sizes[~below][:1]])
    combinations = [dict(zip(places, map(float, each), strict=True)) for each in product(*next_ones)]
    assert len(combinations) >= 4
    for fixed in random.Random(3).sample(combinations, COMBINATIONS or len(combinations)):  # noqa: S311 - no secret
        problem = space.problem(fixed, (bought.problem.lower[0], bought.problem.upper[0]), 20.0)
        start = np.clip(relaxed.point, problem.lower, problem.upper)
        tried = minimise(problem, start, worth=1e-3, beat=bought.merit * 0.995)
        assert tried.at.merit(problem) >= bought.merit * 0.995, fixed


# Prices.


def test_the_price_of_ten_grams_is_what_solving_again_gives(solved: Port, bought: Found) -> None:
    """By the multiplier, as it is told, and by solving with ten grams more and ten less."""
    space, found = bought.space, bought.problem
    assert solved.solved is not None
    price = next(price.price for price in solved.solved.prices if price.limit == "mass")
    fixed = {place: float(low) for place, low in enumerate(found.lower) if low == found.upper[place]}
    span = float(found.lower[0]), float(found.upper[0])
    merits = []
    for more in (GRAMS, -GRAMS):
        other = replace(space, brief=replace(space.brief, mass_margin=space.brief.mass_margin - more))
        problem = other.problem(fixed, span, found.penalty / space.problem({}).penalty)
        merits.append(minimise(problem, bought.point, reach=1e-2, tolerance=1e-12).at.merit(problem))
    assert (merits[0] - merits[1]) / 2 == pytest.approx(price, rel=0.05)


def test_prices_are_told_largest_first(main_demo: Demo, solved: Port) -> None:
    assert solved.solved is not None
    prices = [price.price for price in solved.solved.prices]
    assert prices == sorted(prices)
    assert all(price < 0 for price in prices)
    mass = next(price for price in solved.solved.prices if price.limit == "mass")
    assert mass.text.startswith("Ten grams more")


# Traps.


def test_a_speed_out_of_reach_is_not_taken(main_demo: Demo) -> None:
    """A motor of a third of the speed constant: what it cannot reach would be absent, and is no way to drift less."""
    kv = main_demo.design.variables["rotor.motor.kv"]
    port = port_of(main_demo, numbers={**main_demo.brief.numbers, "rotor.motor.kv": kv / 3})
    assert "speed_unreachable" not in {problem.code for problem in port.problems}
    speeds = [port.quantities[name].value for name in ("rotor_speed", "rotor_speed_as_motored")]
    assert speeds[0] <= speeds[1] * (1 + 1e-6)
    assert "spin_up_time" in port.quantities


@pytest.fixture(scope="module")
def chosen(main_demo: Demo) -> Port:
    """The main demo's port with the count of cells and a material free as well: four combinations."""
    levers, _ = levers_of(main_demo.design, main_demo.brief, REQUEST)
    free = (*(lever.key for lever in levers), "battery.cells", "parts.side walls.material")
    return port_of(main_demo, replace(REQUEST, free=free))


def test_cells_are_tried_with_the_winding_held(main_demo: Demo, solved: Port, chosen: Port) -> None:
    port = chosen
    assert port.solved is not None and main_demo.brief.options is not None
    own, factor = main_demo.design.variables, port.factor or 0.0
    cells = next(lever.value for lever in port.solved.freed if lever.key == "battery.cells")
    assert cells in main_demo.brief.options.cells
    assert port.variables["battery.voltage"] == pytest.approx(own["battery.voltage"] * cells / own["battery.cells"])
    for table in ("rotor.motor", "drive.motor"):
        assert port.variables[f"{table}.kv"] == pytest.approx(own[f"{table}.kv"] / factor, rel=1e-9)
    objective = objective_of(main_demo.brief, main_demo.study.reference)
    assert (port_score(objective, port) or 9) <= (port_score(objective, solved) or 0) * 1.01


def test_materials_are_tried(main_demo: Demo, chosen: Port) -> None:
    assert chosen.solved is not None and main_demo.brief.options is not None
    material = next(lever.value for lever in chosen.solved.freed if lever.key == "parts.side walls.material")
    assert material in main_demo.brief.options.materials["side walls"]
    part = next(part for part in chosen.carried if part.name == "side walls")
    assert part.materials[int(part.which)] == material


def test_only_sheets_that_a_table_is_are_free(main_demo: Demo) -> None:
    levers, _ = levers_of(main_demo.design, main_demo.brief, REQUEST)
    tables = {word for key, word in main_demo.design.choices.items() if key.endswith(".part")}
    sheets = {lever.part for lever in levers if lever.part is not None}
    assert sheets == tables & {part.name for part in main_demo.design.parts if part.is_sheet}
    stated = replace(main_demo.brief, parts={"side walls": PartChange(thickness=0.012)})
    assert "side walls" not in {lever.part for lever in levers_of(main_demo.design, stated, REQUEST)[0]}
    boxed = replace(main_demo.brief, size_limit={"length": 0.3})
    assert {each.key: each.most for each in levers_of(main_demo.design, boxed, REQUEST)[0]}["rotor.diameter"] == 1.0


def test_a_bound_of_the_brief_is_held(edit: Callable[..., Any], main_folder: Any) -> None:
    design, brief = load_both(edit(main_folder, None, {"limits.at_most.track": '"150 mm"'}))
    assert brief is not None
    port = whole_study(design, replace(brief, requests=(REQUEST,))).ports[0]
    assert port.variables["track"] <= 0.150 * (1 + 1e-9)
    assert "limit_passed" not in {problem.code for problem in port.problems}


def test_weights_of_the_brief_are_what_is_made_least(main_demo: Demo) -> None:
    """With all the weight on the gyro margin it can be held exactly."""
    names = objective_of(main_demo.brief, main_demo.study.reference).weights
    weights = dict.fromkeys(names, 0.0) | {"gyro_margin": 1.0}
    port = port_of(main_demo, objective=ObjectiveRequest(weights=weights))
    assert port.quantities["gyro_margin"].drift["driver"] == pytest.approx(1.0, abs=1e-3)


def test_what_no_setting_holds_is_said_and_kept_at_the_plain_scaling_s(main_demo: Demo) -> None:
    """Without any lever but the factor and the rotor's speed, thin sheets cannot be made thicker."""
    request = replace(REQUEST, free=("rotor.speed",))
    port = port_of(main_demo, request)
    assert port.solved is not None
    assert port.solved.unheld
    for name in port.solved.unheld:
        assert name in margin_bounds(main_demo.study.reference)


def test_no_port_without_a_mass_that_can_close(main_demo: Demo) -> None:
    reason = least_drift(
        main_demo.design, replace(main_demo.brief, mass_margin=main_demo.brief.mass_limit * 0.999), REQUEST,
        main_demo.study.reference,
    )  # fmt: skip
    assert isinstance(reason, str) and reason.startswith("No factor meets the mass limit")


# Mends.


@pytest.fixture(scope="module")
def mended(main_demo: Demo, solved: Port) -> list[Risk]:
    """The risks of the port for which there is a mend."""
    return [risk for risk in risks_with_mends(main_demo.study, solved) if risk.mend is not None]


def _written(demo: Demo, changes: Mapping[str, str], folder: Path) -> Port:
    """The port of a brief into which a mend's keys are written by hand."""
    shutil.copytree(demo.folder, folder)
    tables = tomllib.loads((folder / "brief.toml").read_text(encoding="utf-8"))
    for key, text in changes.items():
        written(tables, path_of(key), value_of(text))
    brief = read_brief(tables, folder / "brief.toml")
    return whole_study(demo.design, replace(brief, requests=(REQUEST,))).ports[0]


def test_what_is_held_is_the_port_that_was_found(main_demo: Demo, solved: Port, tmp_path: Path) -> None:
    held = _written(main_demo, held_at(solved), tmp_path / "held")
    assert held.factor == pytest.approx(solved.factor, rel=1e-8)
    assert held.variables == pytest.approx(solved.variables, rel=1e-8)


def test_mends_written_into_the_brief_give_what_they_promised(
    main_demo: Demo, solved: Port, mended: list[Risk], tmp_path: Path
) -> None:
    assert len(mended) > 5
    assert any(risk.mend is not None and risk.mend.mass > 0.005 for risk in mended)  # the factor gives way to the mass
    for place, risk in enumerate(mended):
        assert risk.mend is not None and risk.quantity is not None and risk.value is not None
        port = _written(main_demo, risk.mend.changes, tmp_path / str(place))
        assert port.quantities[risk.quantity].value == pytest.approx(risk.mend.value, rel=1e-6), risk.code
        assert risk.mend.value > risk.value
        assert set(port.misses) <= set(solved.misses)


def test_mends_hold_cells_and_materials_that_were_chosen(main_demo: Demo, chosen: Port, tmp_path: Path) -> None:
    held = _written(main_demo, held_at(chosen), tmp_path / "held")
    assert held.variables == pytest.approx(chosen.variables, rel=1e-8)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ('"rotor.sped" = 1.0', ("rotor.sped", "rotor.speed")),
        ('"rotor.speed" = 1.0', ("held", "factor")),
        ('"parts.side walls.material" = 1.0', ("material",)),
        ('factor = 1.4\n"parts.sidewalls.thickness" = 1.0', ("sidewalls", "side walls")),
        ("factor = -1.0", ("held.factor", "-1")),
        ('factor = "wide"', ("held.factor", "wide")),
        ('factor = 1.4\n"battery.cells" = 2.5', ("battery.cells", "2.5")),
    ],
)
def test_what_cannot_be_held_is_refused(
    line: str, words: tuple[str, ...], edit: Callable[..., Any], main_folder: Any, study_refused: Callable[..., str]
) -> None:
    path = edit(main_folder, None, {})
    path.write_text(f"{path.read_text(encoding='utf-8')}\n[held]\n{line}\n", encoding="utf-8")
    study_refused(path, "brief.toml", *words)


# What is read and told.


@pytest.mark.parametrize(
    ("free", "words"),
    [
        ('["rotor.sped"]', ("rotor.sped", "rotor.speed")),
        ('["wheel.diameter"]', ("wheel.diameter", "cannot be free")),
        ('["parts.rotor controller.thickness"]', ("rotor controller",)),
        ('["parts.side walls.material", "parts.screws.material"]', ("screws",)),
        ('"track"', ("list",)),
    ],
)
def test_a_bad_list_is_refused(
    free: str, words: tuple[str, ...], edit: Callable[..., Any], main_folder: Any, study_refused: Callable[..., str]
) -> None:
    place = sum(1 for line in (main_folder / "brief.toml").read_text(encoding="utf-8").splitlines()
                if line.strip() == "[[laws]]")  # fmt: skip
    study_refused(edit(main_folder, None, {f"laws[{place}].free": free}), "brief.toml", *words)


@pytest.mark.parametrize(
    ("key", "value"), [("speed_rules", '["hold-rpm"]'), ("drive_rule", '"hold-speed"'), ("target", '"1 m"')]
)
def test_the_law_takes_no_rules(
    key: str, value: str, edit: Callable[..., Any], main_folder: Any, study_refused: Callable[..., str]
) -> None:
    place = (main_folder / "brief.toml").read_text(encoding="utf-8").count("[[laws]]\n")
    study_refused(edit(main_folder, None, {f"laws[{place}].{key}": value}), f".{key}")


def test_study_json_has_what_was_freed(main_demo: Demo, solved: Port) -> None:
    from scaling.show.study_json import as_json

    told = json.loads(json.dumps(as_json(main_demo.study), allow_nan=False))["ports"][-1]
    assert (told["law"], told["speed_rule"], told["drive_rule"]) == ("least-drift", None, None)
    assert told["freed"]["factor"]["value"] == told["factor"] == solved.factor
    for lever in told["freed"].values():
        assert set(lever) == {"reference", "similar", "value"}
    for key in ("rotor.speed", "rotor.diameter", "rotor.width", "track", "drive.ratio"):
        assert told["freed"][key]["value"] == pytest.approx(told["variables"][key], rel=1e-12)
    assert all(set(price) == {"limit", "price", "text"} for price in told["prices"])


def test_the_tables_say_what_to_change(main_demo: Demo, capsys: pytest.CaptureFixture[str]) -> None:
    from scaling.command.study_text import print_study
    from scaling.show.tables.freed import changes_table, prices_table, restored_table

    changes = changes_table(main_demo.study)
    assert any("rotor.diameter" in str(row[1]) for row in changes.rows)
    restored = {row[1] for row in restored_table(main_demo.study).rows}
    assert {"restores", "gives up"} <= restored
    assert prices_table(main_demo.study).rows
    print_study(main_demo.study, "Study", None, every=True, only=None)
    shown = capsys.readouterr().out
    for heading in ("What to change against", "What the free dimensions restore", "Ten grams more would buy"):
        assert heading in shown
