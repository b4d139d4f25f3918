"""The feasible window: ends of bands against closed forms and an independent root-finder, and openings that open.

Where a band has a closed form (mass of solids, lengths, tip speed at one rotor speed) its end is that ratio. Every
other end is found again by scipy.optimize.brentq on the margins of single ports. The test machines are invented.
"""

from __future__ import annotations

import json
import math
import re
import tomllib
import warnings
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from scaling.decide.limits import NARROWEST, Band
from scaling.decide.window import Window, _colliding, sentences, windows
from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.port.asked import Bound, Brief, LawRequest
from scaling.port.brief import load_brief, read_brief
from scaling.port.changes import changed
from scaling.port.inputs import inputs_at, port_parts
from scaling.robot.design import Design, load_design
from scaling.robot.parts import mass_at
from scaling.show.figures.look import LIGHT, drawing
from scaling.show.figures.window import window_figure, write_windows
from scaling.study.run import run_study

STRENGTH = ("rotor", "structure", "joints", "transmission")
MARGINS = (
    "gyro_margin", "rush_margin", "belt_slip_margin", "rotor_steady_current_margin", "brown_out_margin",
    "pack_current_margin", "match_energy_margin",
)
"""Margins besides strength that a port must keep, listed here once more."""


AGGREGATES = ("rotor_rim_stress_margin", "belt_slip_margin", "stall_fuse_margin", "weakest_link_margin")


def counts(name: str, branches: tuple[str, ...]) -> bool:
    """Whether a margin is a strength of its own, not a yardstick, the least of others, or what only leaves a mark."""
    if not name.endswith("_margin") or name in AGGREGATES or name.endswith(("_weakest_margin", "_separation_margin")):
        return False
    return book.quantities[name].branch in branches and "marks" not in book.quantities[name].label.split()


@cache
def _windows(path: Path) -> tuple[Design, Brief, tuple[Window, ...]]:
    brief = load_brief(path)
    design = load_design(brief.design_file)
    return design, brief, tuple(windows(design, brief))


@pytest.fixture
def seen(demo: Any) -> tuple[Design, Brief, tuple[Window, ...]]:
    """Each demo with its windows."""
    return _windows(demo.folder / "brief.toml")


def own_level(design: Design, brief: Brief, window: Window, name: str, factor: float) -> float:
    """How far a limit is held by a single port at ``factor``, 1 at its bound, NaN where it cannot be computed."""
    request = LawRequest("length", window.speed_rule, window.drive_rule)
    values = inputs_at(design, brief, request, port_parts(design, brief), factor).variables
    if name == "mass":
        return float((brief.mass_limit - brief.mass_margin) / values["mass"])
    if name in brief.size_limit:
        return float(brief.size_limit[name] / values[name])
    if name == "rotor_speed":
        reached = book.evaluate(values, design.traits, only=["rotor_speed_as_motored"])["rotor_speed_as_motored"]
        return float(reached / values["rotor.speed"]) * (1 + 1e-6)
    found = float(book.evaluate(values, design.traits, only=[name]).get(name, values.get(name, math.nan)))
    if name in brief.limits:
        ratio = found / brief.limits[name].value
        return 1 / ratio if brief.limits[name].side == "at most" else ratio
    own = float(book.evaluate(design.variables, design.traits, only=[name])[name])
    return found / (own if name == "gyro_margin" else min(1.0, own))


def test_every_end_of_every_band(seen: Any) -> None:
    """A hair inside each end the limit holds, a hair outside it does not; a smooth end is the root by brentq."""
    design, brief, found = seen
    checked = smooth = 0
    for window in found:
        for band in window.bands:
            for interval in band.intervals:
                for side, end in enumerate(interval):
                    if end in window.axis:
                        continue
                    hair = (1e-8, -1e-8)[side]
                    inside, outside = (
                        own_level(design, brief, window, band.name, end * (1 + sign * hair)) for sign in (1, -1)
                    )
                    assert inside >= 1 - 1e-9, (window.speed_rule, band.name, end)
                    assert not outside >= 1 - 1e-9, (window.speed_rule, band.name, end)
                    checked += 1
                    wide = [own_level(design, brief, window, band.name, end * (1 + step)) for step in (-1e-4, 1e-4)]
                    if (
                        all(map(math.isfinite, wide))
                        and (wide[0] - 1) * (wide[1] - 1) < 0
                        and abs(wide[0] - wide[1]) < 3e-3
                    ):
                        root = brentq(
                            lambda factor, name=band.name, window=window: (
                                own_level(design, brief, window, name, factor) - 1
                            ),
                            end * (1 - 1e-4),
                            end * (1 + 1e-4),
                            xtol=1e-13,
                        )
                        # A limit counts as met within 1e-9, which on a flat curve is some way along it.
                        slope = abs(wide[0] - wide[1]) / 2e-4
                        assert end == pytest.approx(root, rel=1e-8 + 2e-9 / slope)
                        smooth += 1
    assert checked >= 6
    assert smooth >= 2


def test_between_the_ends_a_band_holds_and_between_bands_it_does_not(seen: Any) -> None:
    design, brief, found = seen
    rng = np.random.default_rng(4)
    for window in found:
        for factor in np.exp(rng.uniform(*np.log(window.axis), 6)):
            for band in window.bands:
                inside = any(low <= factor <= high for low, high in band.intervals)
                assert (own_level(design, brief, window, band.name, factor) >= 1 - 1e-9) == inside


def test_every_margin_of_strength_is_a_band(seen: Any) -> None:
    design, brief, found = seen
    for window in found:
        names = {band.name for band in window.bands}
        reference = book.evaluate(design.variables, design.traits)
        expected = {
            name
            for name in reference
            if name in MARGINS or (counts(name, STRENGTH) and reference[name] >= 1)
        }
        assert expected | {"mass"} | set(brief.size_limit) | set(brief.limits) <= names
        assert ("rotor_speed" in names) == design.has_rotor


def in_all(window: Window, factor: float) -> bool:
    return all(any(low <= factor <= high for low, high in band.intervals) for band in window.bands)


def own_intersection(window: Window) -> list[tuple[float, float]]:
    """Where all bands hold, piece by piece between all ends, without what is narrower than a thousandth."""
    ends = sorted({end for band in window.bands for pair in band.intervals for end in pair})
    pieces: list[tuple[float, float]] = []
    for low, high in pairwise(ends):
        if in_all(window, math.sqrt(low * high)):
            joined = bool(pieces) and pieces[-1][1] == low
            pieces[-1:] = [(pieces[-1][0], high)] if joined else [*pieces[-1:], (low, high)]
    return [piece for piece in pieces if piece[1] > piece[0] * (1 + NARROWEST)]


def test_the_window_is_the_intersection_and_names_what_binds(seen: Any) -> None:
    for window in seen[2]:
        assert [pytest.approx(pair) for pair in own_intersection(window)] == list(window.intervals)
        by_name = {band.name: band for band in window.bands}
        for (low, high), (below, above) in zip(window.intervals, window.binding, strict=True):
            for end, name, side in ((low, below, 0), (high, above, 1)):
                if name is None:
                    assert end == pytest.approx(window.axis[side])
                else:
                    assert any(pair[side] == end for pair in by_name[name].intervals)


def test_laws_fall_where_the_study_has_them(demo: Any) -> None:
    design, brief, found = _windows(demo.folder / "brief.toml")
    factors = {port.request.law: port.factor for port in demo.study.ports if port.solved is None}
    for window in found:
        assert {law: window.laws[law] for law in factors} == pytest.approx(factors, rel=1e-12)
        low, high = window.axis
        assert all(low < factor < high for factor in (*window.laws.values(), 1.0))
        for law, factor in window.laws.items():
            levels = [own_level(design, brief, window, band.name, factor) for band in window.bands]
            assert window.inside[law] == all(level >= 1 - 1e-9 for level in levels)


# Closed forms.

SOLID = """
name = "Solid piece"
length = "100 mm"
width = "90 mm"
height = "50 mm"
track = "70 mm"
wheelbase = "50 mm"
cg_height = "20 mm"
[battery]
cells = 2
capacity = "900 mAh"
resistance = "20 mohm"
mass = "20 g"
[drive]
motors = 2
ratio = 20
[drive.motor]
kv = "2500 rpm/V"
resistance = "2 ohm"
no_load_current = "0.1 A"
mass = "15 g"
[wheel]
diameter = "30 mm"
mass = "10 g"
friction = 0.8
count = 2
[arena]
length = "2 m"
[match]
time = "2 min"
[[parts]]
name = "frame"
kind = "solid"
material = "aluminium-6082-t6"
mass = "{frame!r} g"
[[parts]]
name = "lid"
kind = "sheet"
material = "wear-steel-450"
thickness = "{lid_thickness!r} mm"
mass = "{lid!r} g"
"""
OWN = {"frame": 30.0, "lid": 25.0, "lid_thickness": 2.0}
"""With pack, motors and wheels 125 g, all of which follows the cube: 1 kg at twice the length."""


def solid(
    folder: Path, limits: str = "", mass: float = 1000.0, law: str = 'law = "mass"', root: str = "", **own: float
) -> list[Window]:
    (folder / "design.toml").write_text(SOLID.format(**OWN | own), encoding="utf-8")
    (folder / "brief.toml").write_text(
        f'reference = "design.toml"\nmass_limit = "{mass!r} g"\n{root}\n[[laws]]\n{law}\n{limits}', encoding="utf-8"
    )
    brief = load_brief(folder / "brief.toml")
    return windows(load_design(brief.design_file), brief)


def band(window: Window, name: str) -> tuple[tuple[float, float], ...]:
    return next(band.intervals for band in window.bands if band.name == name)


@pytest.mark.parametrize("mass", [500.0, 1000.0, 3000.0])
def test_mass_of_solids_is_a_cube_root(tmp_path: Path, mass: float) -> None:
    (window,) = solid(tmp_path, mass=mass)
    ((low, high),) = band(window, "mass")
    assert low == window.axis[0]
    assert high == pytest.approx((mass / 125) ** (1 / 3), rel=2e-9)
    assert window.laws["mass"] == pytest.approx(high, rel=2e-9)
    assert window.inside["mass"]


def test_lengths_are_ratios(tmp_path: Path) -> None:
    limits = (
        '[size_limit]\nwidth = "180 mm"\nlength = "190 mm"\n[limits.at_least]\ntrack = "84 mm"\n'
        '[limits.at_most]\n"wheel.diameter" = "58.5 mm"\n'
    )
    (window,) = solid(tmp_path, limits)
    assert band(window, "width")[0][1] == pytest.approx(2.0, rel=2e-9)
    assert band(window, "length")[0][1] == pytest.approx(1.9, rel=2e-9)
    assert band(window, "track")[0][0] == pytest.approx(1.2, rel=2e-9)
    assert band(window, "wheel.diameter")[0][1] == pytest.approx(1.95, rel=2e-9)
    assert window.intervals == (pytest.approx((1.2, 1.9), rel=2e-9),)
    assert window.binding == (("track", "length"),)
    text = " ".join(sentences(window))
    assert "from 1.2 " in text
    assert "to 1.9 " in text
    assert "outside" in text  # the mass law's 2 is


@pytest.mark.parametrize("bound", [65.0, 80.0, 95.0])
def test_tip_speed_at_one_rotor_speed_is_a_ratio(main_demo: Any, bound: float) -> None:
    """v = omega r: at the reference's rotor speed it grows as the factor; rim stress rho v^2 as its square."""
    own = main_demo.study.reference
    limits = {
        "tip_speed": Bound("tip_speed", bound, "at most", f"{bound} m/s"),
        "rotor_rim_stress": Bound("rotor_rim_stress", 1.7 * own["rotor_rim_stress"], "at most", "1.7 times"),
    }
    brief = replace(main_demo.brief, limits=limits, requests=(LawRequest("mass", "hold-rpm"),))
    (window,) = windows(main_demo.design, brief)
    assert band(window, "tip_speed")[0][1] == pytest.approx(bound / own["tip_speed"], rel=3e-9)
    assert band(window, "rotor_rim_stress")[0][1] == pytest.approx(math.sqrt(1.7), rel=3e-9)


def test_a_limit_that_is_held_twice_is_two_bands(tmp_path: Path) -> None:
    """The class's box and the workshop's own bound are both on the width; each has its own end."""
    (window,) = solid(tmp_path, '[size_limit]\nwidth = "180 mm"\n[limits.at_most]\nwidth = "135 mm"\n')
    ends = [each.intervals[0][1] for each in window.bands if each.name == "width"]
    assert ends == pytest.approx([2.0, 1.5], rel=2e-9)
    assert window.intervals[0][1] == pytest.approx(1.5, rel=2e-9)


def test_several_lengths_have_their_own_lines(tmp_path: Path) -> None:
    laws = 'law = "length"\ntarget = "150 mm"\n[[laws]]\nlaw = "length"\nkey = "track"\ntarget = "84 mm"'
    (window,) = solid(tmp_path, law=laws)
    assert sorted(window.laws.values()) == pytest.approx([1.2, 1.5])
    assert any("track" in law for law in window.laws)


def test_a_limit_on_what_the_design_lacks_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError) as refused:
        solid(tmp_path, '[limits.at_most]\ntip_speed = "90 m/s"\n')
    assert refused.value.key == "limits.tip_speed"


def test_snapping_makes_bands_of_pieces(main_demo: Any) -> None:
    """Wall and lid are bought in steps; every jump of their bands is where own arithmetic has a shelf's step.

    Walls of 10 mm snapped to the nearest of 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30 mm (common practice) step at 1.1,
    1.35, 1.75, 2.25 and 2.75 times the size.
    """
    design, brief = main_demo.design, main_demo.brief
    name = "wall_stiffness"  # grows with the size and jumps with the thickness
    own = float(book.evaluate(design.variables, design.traits, only=[name])[name])
    bound = Bound(name, 1.3 * own, "at least", "what is asked for")
    found = windows(design, replace(brief, limits={name: bound}))
    walls = [each for window in found for each in window.bands if each.name == name]
    assert any(len(each.intervals) > 1 for each in walls)
    starts = {round(low, 6) for each in walls for low, _ in each.intervals[1:]}
    assert starts <= {1.1, 1.35, 1.75, 2.25, 2.75}


# Empty windows.


def open_at(window: Window, factor: float) -> bool:
    return any(low * (1 - 1e-9) <= factor <= high * (1 + 1e-9) for low, high in window.intervals)


def opened(window: Window, words: str) -> Any:
    assert not window.intervals
    return next(opening for opening in window.openings if words in opening.text)


def with_changes(folder: Path, changes: dict[str, str]) -> list[Window]:
    """The windows of the brief in ``folder`` with an opening's keys written into its text by hand."""
    tables = tomllib.loads((folder / "brief.toml").read_text(encoding="utf-8"))
    for key, text in changes.items():
        ((_, path),) = flat(tomllib.loads(f"{key} = 0"))
        table = tables
        for name in path[:-1]:
            table = table.setdefault(name, {})
        table[path[-1]] = float(text) if re.fullmatch(r"[0-9.]+", text) else text
    if isinstance(tables.get("port", {}).get("battery", {}).get("cells"), float):
        tables["port"]["battery"]["cells"] = int(tables["port"]["battery"]["cells"])
    brief = read_brief(tables, folder / "brief.toml")
    return windows(load_design(brief.design_file), brief)


def flat(tables: dict[str, Any], path: tuple[str, ...] = ()) -> list[tuple[Any, tuple[str, ...]]]:
    found: list[tuple[Any, tuple[str, ...]]] = []
    for name, value in tables.items():
        found += flat(value, (*path, name)) if isinstance(value, dict) else [(value, (*path, name))]
    return found


LONG = '[limits.at_least]\nlength = "160 mm"\n'
"""A port at least 1.6 times as long: 512 g of solids."""


def test_two_limits_collide(tmp_path: Path) -> None:
    (window,) = solid(tmp_path, LONG, mass=440.0)
    assert window.intervals == ()
    assert set(window.colliding) == {"mass", "length"}
    assert any("collide" in line for line in sentences(window))


def test_one_limit_that_holds_nowhere_is_said_alone(tmp_path: Path) -> None:
    (window,) = solid(tmp_path, '[limits.at_most]\n"wheel.friction" = 0.5\n')
    assert window.colliding == ("wheel.friction",)
    assert sentences(window)[0].startswith("No factor from")
    assert "62 % of it at best" in sentences(window)[0]  # 0.5 asked for, 0.8 there


def test_where_one_limit_holds_nowhere_the_nearest_pair_is_named_too(tmp_path: Path) -> None:
    """200 mm asked for are off the axis: of them a factor f has f / 2, of 100 g met 100 / (125 f^3).

    Both are alike at f^4 = 1.6, which is where the worse of the two is best.
    """
    (window,) = solid(tmp_path, '[limits.at_least]\nlength = "200 mm"\n', mass=100.0)
    assert window.colliding == ("length",)
    near = window.nearest
    assert near is not None and near.factor == pytest.approx(1.6**0.25, rel=0.005)
    assert {name for name, _, _ in near.limits} == {"mass", "length"}
    assert [share for _, _, share in near.limits] == pytest.approx([1.6**0.25 / 2] * 2, rel=0.01)
    assert "Nearest to all of them comes factor 1.1" in sentences(window)[1]


@pytest.mark.parametrize(
    ("words", "mass", "grams", "changes"),
    [
        # Of 512 g at 1.6 times the length the lid is 102.4 g of 3.2 mm; steel is sold in 2, 2.5 and 3 mm.
        ("make lid 2 mm thick", 480.0, -102.4 * (1 - 2 / 3.2), {"parts.lid.thickness": "2 mm"}),
        ("make lid 2.5 mm thick", 502.0, -102.4 * (1 - 2.5 / 3.2), {"parts.lid.thickness": "2.5 mm"}),
        ("make lid 3 mm thick", 510.0, -102.4 * (1 - 3 / 3.2), {"parts.lid.thickness": "3 mm"}),
        # The frame is 122.88 g there, and 30 g times the cube of the law's factor, (480 / 125)^(1/3), at its size:
        # 0.7 and 0.85 of that are the first to save 35 and 23 g, with a thousandth of the factor to spare.
        ("pocket 35 g out of frame", 480.0, 0.7 * 30 * 480 / 125 - 122.88, {"parts.frame.mass": "80.6 g"}),
        ("pocket 18 g out of frame", 492.0, 0.85 * 30 * 492 / 125 - 122.88, {"parts.frame.mass": "100 g"}),
    ],
)
def test_the_least_change_is_the_closed_form_s(
    tmp_path: Path, words: str, mass: float, grams: float, changes: dict[str, str]
) -> None:
    (window,) = solid(tmp_path, LONG, mass=mass)
    opening = opened(window, words)
    assert dict(opening.changes) == changes
    assert opening.mass * 1e3 == pytest.approx(grams, rel=0.02)
    assert opening.factor == pytest.approx(1.6, rel=0.01)
    (after,) = with_changes(tmp_path, dict(opening.changes))
    assert open_at(after, opening.factor)


def test_the_fewest_grams_come_first(tmp_path: Path) -> None:
    (window,) = solid(tmp_path, LONG, mass=480.0)
    sizes = [abs(opening.mass) for opening in window.openings]
    assert len(sizes) > 2
    assert sizes == sorted(sizes)


def test_a_wider_track_really_opens(tmp_path: Path) -> None:
    """Asked for 161 mm where twice the length, the most that 1 kg allows, has 140 mm: made so, it is there."""
    (window,) = solid(tmp_path, '[limits.at_least]\ntrack = "161 mm"\n')
    opening = opened(window, "track 161 mm")
    assert dict(opening.changes) == {"port.track": "161 mm"}
    (after,) = with_changes(tmp_path, dict(opening.changes))
    assert open_at(after, opening.factor)


def test_another_material_really_opens(tmp_path: Path) -> None:
    """Aluminium near 2700 kg/m3 is the lightest of the metals here: a frame of it stays.

    A lid of steel (7850) in titanium (4430) or aluminium (2700 to 2810) saves what is too much; the least is enough.
    """
    (window,) = solid(tmp_path, LONG, mass=490.0)
    swaps = [opening for opening in window.openings if "lid of " in opening.text]
    assert swaps
    assert not any("frame of " in opening.text for opening in window.openings)
    for opening in swaps:
        (after,) = with_changes(tmp_path, dict(opening.changes))
        assert open_at(after, opening.factor)


def test_two_changes_where_no_single_one_opens(tmp_path: Path) -> None:
    """A track and a ratio both out of reach."""
    limits = '[limits.at_least]\ntrack = "161 mm"\n"drive.ratio" = 23\n'
    (window,) = solid(tmp_path, limits)
    assert window.openings
    for opening in window.openings:
        assert {"port.track", "port.drive.ratio"} <= set(opening.changes)
        assert ", and " in opening.text
        (after,) = with_changes(tmp_path, dict(opening.changes))
        assert open_at(after, opening.factor)


def test_where_nothing_opens_it_that_is_said(tmp_path: Path) -> None:
    """No workshop makes a machine three times as long that is at most twice as wide."""
    limits = '[limits.at_least]\nlength = "300 mm"\n[limits.at_most]\nwidth = "180 mm"\n'
    (window,) = solid(tmp_path, limits, mass=5000.0)
    assert window.openings == ()
    assert any("Nothing that was tried" in line for line in sentences(window))


def test_every_opening_of_the_demos_opens(demo: Any, tmp_path: Path) -> None:
    """The keys that an opening names, written into the brief's text by hand, make a window at its factor.

    At that factor the study's own ports, asked for by their length, keep what the window's limits ask.
    """
    design, _, found = _windows(demo.folder / "brief.toml")
    for path in demo.folder.iterdir():
        (tmp_path / path.name).write_bytes(path.read_bytes())
    for place, window in enumerate(found):
        for opening in window.openings:
            after = with_changes(tmp_path, dict(opening.changes))[place]
            assert open_at(after, opening.factor), opening.text
            brief = changed(demo.brief, opening.changes)
            length = opening.factor * design.variables["length"]
            request = LawRequest("length", window.speed_rule, window.drive_rule, "length", length)
            (port,) = run_study(design, replace(brief, requests=(request,), closure=())).ports
            assert not {"mass_over_limit", "limit_passed", "speed_unreachable"} & set(port.misses)
            plain = mass_at(port_parts(design, demo.brief), opening.factor)
            assert port.variables["mass"] - plain <= opening.mass + 1e-9


def test_the_demos_windows_open_or_are_opened(demo: Any) -> None:
    for window in _windows(demo.folder / "brief.toml")[2]:
        assert bool(window.intervals) != bool(window.colliding)


@pytest.mark.parametrize(
    ("intervals", "colliding"),
    [
        ([[(1, 2)], [(3, 4)], [(1, 9)]], {"0", "1"}),
        ([[(1, 2)], [(2.5, 4)], [(5, 9)], [(1, 9)]], {"0", "2"}),  # the two that are farthest apart
        ([[], [(1, 2)]], {"0"}),
        ([[], [(1, 2)], []], {"0", "2"}),
        ([[(1, 2)], [(2, 3)]], {"0", "1"}),  # they only touch
        ([[(1, 2), (5, 6)], [(1.5, 3), (7, 8)], [(2.5, 3), (5, 6)], [(0, 9)]], {"0", "1", "2"}),
        ([[(1, 4)], [(1, 2), (3, 4)], [(1.9, 3.1)], [(2.2, 2.8), (3.05, 4)], [(1, 2.9)]], {"1", "3", "4"}),
    ],
)
def test_what_collides(intervals: list[list[tuple[float, float]]], colliding: set[str]) -> None:
    """The limits that hold nowhere; else two without a common factor; else a set of which none can be left out."""
    bands = tuple(Band(str(row), str(row), tuple(pairs)) for row, pairs in enumerate(intervals))
    assert set(_colliding(bands)) == colliding


# What is told.


def test_window_as_json(demo: Any, command: Callable[..., Any]) -> None:
    found = command("window", demo.folder / "brief.toml", "--json")
    assert found.status == 0
    data = json.loads(found.out, parse_constant=lambda word: pytest.fail(f"{word} in JSON"))
    for plain, window in zip(data, _windows(demo.folder / "brief.toml")[2], strict=True):
        assert plain["window"] == [list(pair) for pair in window.intervals]
        assert {row["limit"] for row in plain["bands"]} == {each.name for each in window.bands}
        assert plain["laws"] == pytest.approx(dict(window.laws))
        assert bool(plain["window"]) != bool(plain["colliding"])


def test_windows_are_printed(demo: Any, command: Callable[..., Any]) -> None:
    """Only limits that begin, end or fail on the axis; the others are counted. Piped output is 80 columns wide."""
    shown = command("window", demo.folder / "brief.toml").out
    assert max(map(len, shown.splitlines())) <= 80
    parts = shown.split("Feasible window, ")[1:]
    for part, window in zip(parts, _windows(demo.folder / "brief.toml")[2], strict=True):
        assert f"drive {window.drive_rule}" in part
        for factor in window.laws.values():
            assert f"{factor:.4g}" in part
        rows = " ".join(part.split("Laws:")[0].split())
        quiet = [band for band in window.bands if band.intervals == (window.axis,)]
        assert all(band.label not in rows for band in quiet)
        assert all(band.label[:24] in rows for band in window.bands if band not in quiet)  # a long one wraps
        assert f"{len(quiet)} more limit" in part
    assert "inside" in shown or "outside" in shown


def test_limits_that_are_asked_for(main_demo: Any, command: Callable[..., Any]) -> None:
    brief = main_demo.folder / "brief.toml"
    shown = command("window", brief, "--only", "Brown-out margin", "--only", "mass").out
    assert "Brown-out margin at least 1" in shown
    assert "Mass at most" in shown
    assert "Belt slip margin at least 1  " not in shown
    data = json.loads(command("window", brief, "--only", "mass", "--json").out)
    assert {band["limit"] for each in data for band in each["bands"]} == {"mass"}
    refused = command("window", brief, "--only", "nothing such")
    assert (refused.status, "no such limit" in refused.err) == (2, True)


def test_a_way_to_fail_that_the_reference_does_not_have_is_no_limit(main_demo: Any) -> None:
    """A laminate is perforated and a plate folds: the margin of the one is absent of the other, and binds nothing."""
    _, _, found = _windows(main_demo.folder / "brief.toml")
    names = {band.name for window in found for band in window.bands}
    absent = {name for name in book.of_role("survival") if name not in main_demo.study.reference}
    assert "lid_collapse_margin" in absent
    assert not names & absent
    assert any(window.intervals for window in found)


def test_a_collision_is_told_with_its_factors(tmp_path: Path) -> None:
    """440 g are met up to the cube root of 440 / 125, twice the reference's mass; 160 mm from 1.6 on."""
    (window,) = solid(tmp_path, LONG, mass=440.0)
    told = sentences(window)[0]
    assert f"holds up to {(440 / 125) ** (1 / 3):.4g}" in told
    assert "from 1.6" in told
    assert told.endswith("they collide.")


def test_what_a_law_s_factor_breaks_is_named(tmp_path: Path) -> None:
    laws = 'law = "length"\ntarget = "250 mm"'
    (window,) = solid(tmp_path, mass=1000.0, law=laws)
    assert window.breaks == {"length": ("mass",)}
    assert any(line == "At length's factor breaks: Mass at most 1000 g." for line in sentences(window))


def test_pictures_are_written_and_nothing_overlaps(demo: Any, tmp_path: Path) -> None:
    """Words of the axis, the title, the key and the rows: no two of them share room, and none leaves the page."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    found = list(_windows(demo.folder / "brief.toml")[2])
    for name in write_windows(found, demo.design.name, tmp_path):
        assert (tmp_path / name).stat().st_size > 5000
    for window in found:
        with drawing(LIGHT), warnings.catch_warnings():
            warnings.simplefilter("error")
            figure = window_figure(window, demo.design.name)
            renderer = FigureCanvasAgg(figure).get_renderer()
            figure.draw(renderer)
        (axes,) = figure.axes
        words = [
            *axes.get_xticklabels(),
            *axes.get_yticklabels(),
            axes.xaxis.label,
            *figure.texts,
            *figure.legends[0].get_texts(),
        ]
        boxes = [text.get_window_extent(renderer) for text in words if text.get_text()]
        page = figure.bbox
        for place, box in enumerate(boxes):
            assert page.x0 <= box.x0
            assert box.x1 <= page.x1
            assert page.y0 <= box.y0
            assert box.y1 <= page.y1
            for other in boxes[:place]:
                assert not (box.shrunk(0.98, 0.9).overlaps(other.shrunk(0.98, 0.9)))
        assert "(no unit)" in axes.get_xlabel()


def test_the_same_study_finds_the_margin_of_the_window(main_demo: Any) -> None:
    """At an end of a band the study of that length shows the bound itself."""
    _, brief, found = _windows(main_demo.folder / "brief.toml")
    window = next(window for window in found if window.speed_rule == "hold-rpm")
    end = band(window, "tip_speed")[0][1]
    request = LawRequest("length", "hold-rpm", "as-bought", "length", end * main_demo.design.variables["length"])
    port = run_study(main_demo.design, replace(brief, requests=(request,))).ports[0]
    assert port.quantities["tip_speed"].value == pytest.approx(brief.limits["tip_speed"].value, rel=1e-8)
