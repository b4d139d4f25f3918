"""The pictures of the reference beside the port that a study names: what stands in them, and whether it can be read."""

from __future__ import annotations

import dataclasses
import re
import time
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from matplotlib.text import Text
from pictured import contrast, faults, words

import scaling
from scaling.files import toml
from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.port.asked import Brief, LawRequest
from scaling.port.brief import load_brief
from scaling.robot.design import Design, load_design, read_design
from scaling.show.figures import absences, margins, outlines
from scaling.show.figures.kinds import KINDS, kind_named
from scaling.show.figures.look import DARK, LIGHT
from scaling.show.figures.saving import save_as
from scaling.show.figures.silhouette import side_view, top_view
from scaling.show.figures.told import told_port
from scaling.show.report.pictures import small_svg
from scaling.study.as_drawn import compared
from scaling.study.results import Study
from scaling.study.run import run_study

DEMO_FOLDER = Path(__file__).parent.parent / "demo_designs"
DEMOS = ("tarvindle", "harrowmoth", "plinthling")
TOLD = ("outlines", "margins", "rush", "turning")
LOOKS = {"light": LIGHT, "dark": DARK, "narrow": LIGHT.sized(5.0, None), "wide": DARK.sized(11.0, None)}


@cache
def study(name: str) -> Study:
    """A demo's study as its brief asks."""
    brief = load_brief(DEMO_FOLDER / name / "brief.toml")
    return run_study(load_design(brief.design_file), brief)


@cache
def unreachable() -> Study:
    """A study whose only port asks its motor for a speed that it does not reach."""
    brief = load_brief(DEMO_FOLDER / "tarvindle" / "brief.toml")
    brief = dataclasses.replace(brief, requests=(LawRequest("mass", "hold-rpm"),))
    return run_study(load_design(brief.design_file), brief)


def changed(given: Study, name: str, value: float | None, own: float | None) -> Study:
    """A study whose ports, and whose reference, have another value of a quantity, None for none."""
    ports, reference = [], {key: each for key, each in given.reference.items() if key != name}
    for port in given.ports:
        quantities = {key: entry for key, entry in port.quantities.items() if key != name}
        if value is not None:
            quantities[name] = dataclasses.replace(port.quantities[name], value=value)
        ports.append(dataclasses.replace(port, quantities=quantities))
    if own is not None:
        reference[name] = own
    return dataclasses.replace(given, ports=tuple(ports), reference=reference)


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("demo", DEMOS)
@pytest.mark.parametrize("kind", TOLD)
def test_words_lie_on_the_sheet_and_apart(kind, demo, look):
    drawn = kind_named(kind)
    if (why := drawn.why_absent(study(demo))) is not None:
        assert why.endswith(".") and "no such picture, since" in why
        with pytest.raises(InputError, match="no such picture"):
            drawn.figure(study(demo), LOOKS[look])
        return
    figure = drawn.figure(study(demo), LOOKS[look])
    assert faults(figure) == []
    assert figure.get_size_inches()[0] == LOOKS[look].width
    for text in figure.findobj(Text):
        assert contrast(figure.get_facecolor()[:3], text.get_color()) >= 4.5, text.get_text()  # WCAG 2.1, 1.4.3


STARTERS = Path(scaling.__file__).parent / "robot" / "starter"


def other_robots() -> list[Design]:
    """What the starters know of a robot, short and long, and the first demo with other rotors."""
    found = [load_design(STARTERS / f"{name}.toml") for name in ("spinner_short", "pusher_short", "pusher_design")]
    tables = toml.read(DEMO_FOLDER / "tarvindle" / "design.toml")
    rotors = (("along", "clockwise", "bar"), ("upright", "anticlockwise", "disc"), ("across", "down", "drum"))
    for axis, spin, shape in rotors:
        tables["rotor"] |= {"axis": axis, "spin": spin, "shape": shape}
        found.append(read_design(tables, DEMO_FOLDER / "tarvindle" / "design.toml"))
    return found


@pytest.mark.parametrize("place", range(6))
def test_other_robots_are_drawn_too(place):
    design = other_robots()[place]
    request = LawRequest("mass", "hold-tip-speed" if design.has_rotor else None)
    brief = Brief(design.name, design.file, Path("brief.toml"), 4 * design.variables["mass"], requests=(request,))
    found = run_study(design, brief)
    for kind in map(kind_named, TOLD):
        if kind.why_absent(found) is None:
            assert faults(kind.figure(found, LIGHT)) == [], kind.name
            assert kind.words(found)
    side = side_view(outlines.machine_of(design, design.variables, 1.0))
    assert min(shape.points[:, 1].min() for shape in side.shapes) > -1e-9, "nothing stands in the floor"


def test_machines_as_drawn_stand_beside_a_robot_in_every_picture_that_they_can_have():
    own, other = (load_design(DEMO_FOLDER / name / "design.toml") for name in ("tarvindle", "harrowmoth"))
    beside = compared(own, [other])
    for kind in KINDS:
        if (why := kind.why_absent(beside)) is None:
            assert faults(kind.figure(beside, LIGHT)) == []
            assert "Tarvindle" in kind.words(beside)
        else:
            assert kind.name in ("factor_curves", "exponents", "window") and "follows no law" in why


def test_what_does_not_apply_says_why():
    assert set(absences(study("tarvindle"))) == set()
    assert "has no rotor" in absences(study("plinthling"))["rush"]
    assert "does not lie across" in absences(study("harrowmoth"))["turning"]


@pytest.mark.parametrize("kind", TOLD)
def test_a_port_out_of_reach_is_told_as_such(kind):
    figure = kind_named(kind).figure(unreachable(), LIGHT)
    assert faults(figure) == []
    text = " ".join(" ".join(text for text, _ in words(figure)).split())
    said = {"margins": "only if the motor reached that speed", "rush": "does not reach the speed"}
    assert said.get(kind, "") in text
    assert "which misses" in kind_named(kind).words(unreachable()) or kind in ("margins", "rush")


@pytest.mark.parametrize("kind", TOLD)
def test_a_sheet_of_a_height_is_filled_or_refused(kind):
    own = kind_named(kind).figure(study("tarvindle"), LIGHT).get_size_inches()[1]
    tall = kind_named(kind).figure(study("tarvindle"), LIGHT.sized(None, own + 1.5))
    assert tall.get_size_inches()[1] == pytest.approx(own + 1.5)
    assert faults(tall) == []
    with pytest.raises(InputError, match="the picture has no room"):
        kind_named(kind).figure(study("tarvindle"), LIGHT.sized(None, 1.0))


# A builder's own sketch of the first demo, from its design file: axle of the wheels over the rear contact, the rotor's
# middle 96 mm ahead and 45 mm up, its tips 42 mm from there, 165 mm over all.
def test_outlines_stand_where_the_design_says():
    design = study("tarvindle").design
    machine = outlines.machine_of(design, design.variables, 1.0)
    side, top = side_view(machine), top_view(machine)
    assert side.axles == ((0.0, 0.023), (0.096, 0.045))
    assert side.sweep is not None
    assert side.sweep.max(axis=0) == pytest.approx([0.138, 0.087], abs=1e-4)
    assert side.high[0] - side.low[0] == pytest.approx(0.165, abs=1e-4)
    assert top.high[1] - top.low[1] == pytest.approx(0.150, abs=1e-4)
    assert side.centre == (0.042, 0.023)
    rotor = next(shape.points for shape in side.shapes if shape.role == "rotor") - np.array([0.096, 0.045])
    assert np.hypot(*rotor.T).max() == pytest.approx(0.042, rel=1e-6), "the teeth reach the cutting circle"
    assert rotor[:, 1].min() > -0.042, "and stay off the floor"


@pytest.mark.parametrize("demo", DEMOS)
def test_both_machines_and_the_hand_are_to_one_scale(demo):
    figure = kind_named("outlines").figure(study(demo), LIGHT)
    (panel,) = figure.axes
    shapes = {found.get_gid(): found for found in panel.collections if found.get_gid()}
    assert np.diff(panel.transData.transform([[0, 0], [1, 1]]), axis=0) == pytest.approx(figure.dpi), "units are inches"
    design, told = study(demo).design, told_port(study(demo))

    def across(gid: str) -> float:
        points = np.concatenate([path.vertices for path in shapes[gid].get_paths()])
        return float(np.ptp(points[:, 1]))

    letter = told.letter
    hand = np.concatenate([path.vertices for path in shapes["hand"].get_paths()])
    scale = np.ptp(hand[:, 0]) / outlines.HAND
    own, port = top_view(outlines.machine_of(design, design.variables, 1.0)), told.port
    ported = top_view(outlines.machine_of(design, port.variables, port.factor))
    for gid, view in (("reference-top", own), (f"{letter}-top", ported)):
        tall = max(np.ptp(np.concatenate([shape.points for shape in view.shapes])[:, 1]), 0)
        assert across(gid) == pytest.approx(tall * scale, rel=1e-6)
    assert ("class" in shapes) == bool(study(demo).brief.size_limit)


@pytest.mark.parametrize("demo", DEMOS)
def test_the_ladder_runs_from_what_gives_way_first_and_drops_nothing(demo):
    given = study(demo)
    ladder = margins.rungs(given, told_port(given))
    assert [rung.counts for rung in ladder] == sorted(rung.counts for rung in ladder)
    assert {rung.name for rung in ladder} == set(book.of_role("survival", among=given.names))
    figure = kind_named("margins").figure(given, LIGHT)
    text = " ".join(text for text, _ in words(figure))
    assert (f"And {len(ladder) - margins.ROWS} more" in text) == (len(ladder) > margins.ROWS)
    marks = {line.get_gid(): line for line in figure.axes[0].lines if line.get_gid()}
    assert len(marks["port"].get_xdata()) == min(len(ladder), margins.ROWS)
    assert marks["own"].get_markerfacecolor() == LIGHT.page, "the reference is hollow"
    assert marks["port"].get_markerfacecolor() != LIGHT.page, "the port is filled"
    assert "log scale" in figure.axes[0].get_xlabel() and "no unit" in figure.axes[0].get_xlabel()


@pytest.mark.parametrize(("value", "own", "said"), [
    (0.0, 0.8, "0, was 0.80"), (None, 0.8, "none, was 0.80"), (0.6, None, "0.60, was none"), (-0.2, 0.8, "-0.20, was"),
])
def test_a_margin_of_nought_or_none_stands_in_the_ladder(value, own, said):
    given = changed(study("tarvindle"), "wedge_bend_margin", value, own)
    figure = kind_named("margins").figure(given, LIGHT)
    assert faults(figure) == []
    assert any(said in text for text, _ in words(figure))


def test_the_race_meets_where_the_book_s_numbers_say():
    given = study("harrowmoth")
    figure = kind_named("rush").figure(given, LIGHT)
    lines = {line.get_gid(): line for panel in figure.axes for line in panel.lines if line.get_gid()}
    (arrival,), (met,) = lines["reference-meet"].get_data()
    assert arrival == pytest.approx(given.reference["half_arena_crossing_time"])
    # Energy goes as the square of the speed: at 80 % and 50 % of the speed it is 64 % and 25 %.
    times, shares = lines["reference-energy"].get_data()
    for name, share in (("spin_up_time_80", 64), ("spin_up_time_50", 25)):
        assert np.interp(given.reference[name], times, shares) == pytest.approx(share, abs=0.2)
    assert met == pytest.approx(np.interp(arrival, times, shares))
    margin = given.reference["rush_margin"]
    (ready,), (at,) = lines["reference-ready"].get_data()
    assert at == 80
    assert arrival / ready == pytest.approx(margin)
    assert "too soon" in kind_named("rush").words(given) and margin < 1
    assert [panel.get_ylabel().rpartition(", ")[2] for panel in figure.axes] == ["m", "% of full"]
    assert figure.axes[0].get_xlabel().endswith(", s")


def test_turning_ends_where_a_side_lifts():
    given = study("tarvindle")
    figure = kind_named("turning").figure(given, LIGHT)
    lines = {line.get_gid(): line for panel in figure.axes for line in panel.lines if line.get_gid()}
    rpm = given.reference["gyro_lift_yaw_rate"] * 60 / (2 * np.pi)
    assert lines["reference-lift-off"].get_xdata()[0] == pytest.approx(rpm)
    rates, loads = lines["reference-lifting"].get_data()
    assert rates[-1] == pytest.approx(rpm)
    assert loads[0] == pytest.approx(50), "half the weight at rest"
    assert loads + lines["reference-other"].get_ydata() == pytest.approx(100), "both bear the weight"
    assert "442 rpm" in " ".join(text for text, _ in words(figure)), "4.4 turns a second at 2.92 m/s on a 126 mm track"
    assert figure.axes[0].get_xlabel() == "turn rate, rpm"


@pytest.mark.parametrize("kind", TOLD)
def test_alternative_text_states_the_finding(kind):
    said = kind_named(kind).words(study("tarvindle"))
    port = told_port(study("tarvindle")).port
    least = min(rung.counts for rung in margins.rungs(study("tarvindle"), told_port(study("tarvindle"))))
    finding = {
        "outlines": f"{port.factor:.3g} times as long",
        "margins": f"margin {least:.2g}",
        "rush": "before the opponent is there",
        "turning": "a side lifts at 1/",
    }
    assert finding[kind] in said


@pytest.mark.parametrize("kind", TOLD)
def test_a_file_is_quickly_drawn(kind, tmp_path):
    """Its own processor time, the best of some: the floor is 0.12 s a file; a busy machine's caches get half again."""
    drawn = kind_named(kind)
    spent = []
    for _ in range(3):
        start = time.process_time()
        for suffix in ("png", "svg"):
            save_as(drawn.figure(study("tarvindle"), LIGHT), tmp_path / f"picture.{suffix}")
        spent.append((time.process_time() - start) / 2)
    assert min(spent) < 0.18


@pytest.mark.parametrize("kind", ["outlines", "margins", "mass"])
def test_in_the_page_a_picture_is_smaller_and_shows_the_same(kind, tmp_path):
    """What SVG 2 of the W3C calls a reference is a url() or an href with a fragment; from memory."""
    path = save_as(kind_named(kind).figure(study("tarvindle"), LIGHT), tmp_path / "picture.svg")
    own = path.read_text(encoding="utf-8")
    small = small_svg(own)
    assert len(small) < 0.85 * len(own)
    was, kept = (ElementTree.fromstring(text) for text in (own, small))  # noqa: S314 - our own
    for tag in ("text", "path", "use"):
        every = [list(tree.iter(f"{{http://www.w3.org/2000/svg}}{tag}")) for tree in (was, kept)]
        assert len(every[0]) == len(every[1])
        assert [" ".join("".join(each.itertext()).split()) for each in every[0]] == [
            " ".join("".join(each.itertext()).split()) for each in every[1]]  # fmt: skip
    ids = {each.get("id") for each in kept.iter()} - {None}
    called = set(re.findall(r"(?:url\(|href=.)#([^)\"]+)", small))
    assert ids == called and called
    assert small.count("DejaVu Sans") == 1, "the font stands once, for all words"


@pytest.mark.parametrize("demo", DEMOS)
def test_the_ring_of_the_reference_lies_within_each_panel_of_curves(demo):
    """Also where every curve misses it, since a port's pack or motors are those that the brief states."""
    rings = [(panel, line) for panel in kind_named("factor_curves").figure(study(demo), LIGHT).axes
             for line in panel.lines if str(line.get_gid()).endswith("-reference")]
    assert len(rings) >= 6
    for panel, ring in rings:
        (low, high), (value,) = panel.get_ylim(), ring.get_ydata()
        assert 0.03 < (value - low) / (high - low) < 0.97, ring.get_gid()


def test_every_kind_has_a_line_and_a_name_of_its_own():
    assert len({kind.name for kind in KINDS}) == len(KINDS)
    assert all(kind.line and kind.title and kind.line[-1] != "." for kind in KINDS)
