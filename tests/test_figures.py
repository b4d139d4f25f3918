"""The pictures of a study: what stands in the files, whether it can be read, and that it is drawn where it belongs."""

from __future__ import annotations

import dataclasses
import itertools
import math
import struct
import subprocess
import sys
import warnings
from fractions import Fraction
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from pictured import contrast, faults, words

from scaling.formulas import book
from scaling.port.brief import LawRequest, load_brief
from scaling.robot.design import load_design
from scaling.show.figures import absences, applying, drift, figures, write_figure
from scaling.show.figures.exponents import cell_words
from scaling.show.figures.frame import port_signs
from scaling.show.figures.kinds import KINDS, kind_named
from scaling.show.figures.look import DARK, LIGHT, MARKERS
from scaling.show.figures.shared import extent
from scaling.study.curve import Curve
from scaling.study.drifts import judged
from scaling.study.results import Study
from scaling.study.run import run_study

DEMOS = Path(__file__).parent.parent / "demo_designs"
NAMES = [kind.name for kind in KINDS if not kind.alone]
TOLD = ("outlines", "margins", "rush", "turning")
"""Pictures of the reference beside one port, the one that a study names."""
EVERY = [name for name in NAMES if name not in TOLD]
"""Pictures of all ports."""
SPEED_RULES = ("hold-tip-speed", "gravity-similar", "hold-rpm", "as-motored", "hold-gyro-margin")
FEW = tuple(LawRequest("mass", rule) for rule in SPEED_RULES[:4])
MANY = (
    *(LawRequest("mass", rule, "gravity-similar") for rule in SPEED_RULES),
    *(LawRequest("motor-diameter", rule, "hold-speed", None, 0.042) for rule in SPEED_RULES[:3]),
    LawRequest("length", "hold-rpm", "gravity-similar", "rotor.mount.bolt_diameter", 0.009),
    LawRequest("length", "hold-gyro-margin", "gravity-similar", "rotor.mount.bolt_diameter", 0.009),
    LawRequest("length", "as-motored", "as-bought", "rotor.diameter", 0.060),
    LawRequest("length", "hold-gyro-margin", "hold-speed", "length", 0.150),
)


@cache
def study(kind: str) -> Study:
    """A study of a demo robot by our own requests: 'few', 'one', 'many' (12 ports), 'part' (laws without factor)."""
    brief = load_brief(DEMOS / ("plinthling" if kind == "pusher" else "tarvindle") / "brief.toml")
    changes = {
        "few": {"requests": FEW},
        "one": {"requests": FEW[:1]},
        "many": {"requests": MANY},
        "part": {"requests": MANY, "mass_limit": 0.100, "mass_margin": 0.095},
        "none": {"requests": FEW, "mass_limit": 0.100, "mass_margin": 0.095},
        "pusher": {},
    }
    brief = dataclasses.replace(brief, **changes[kind])
    return run_study(load_design(brief.design_file), brief)


@cache
def drawn(kind: str):
    return figures(study(kind))


def write_figures(given: Study, folder: Path, told=None) -> list[Path]:
    return [path for kind in applying(given) for path in write_figure(given, kind, folder, told)]


def line(figure, gid: str):
    found = [child for axes in figure.axes for child in axes.lines if child.get_gid() == gid]
    assert len(found) == 1, gid
    return np.asarray(found[0].get_xdata(), dtype=float), np.asarray(found[0].get_ydata(), dtype=float)


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    made = tmp_path_factory.mktemp("figures")
    assert [path.name for path in write_figures(study("few"), made)] == [
        f"{name}.{kind}" for name in NAMES for kind in ("png", "svg")
    ]
    return made


def test_folder_holds_the_figures_and_nothing_else(folder):
    assert sorted(path.name for path in folder.iterdir()) == sorted(f"{n}.{k}" for n in NAMES for k in ("png", "svg"))


@pytest.mark.parametrize("name", NAMES)
def test_png_has_print_size_and_resolution(folder, name):
    # Chunk layout and the metre of pHYs: W3C, Portable Network Graphics (PNG) Specification, 2nd ed.; from memory.
    data = (folder / f"{name}.png").read_bytes()
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    width, height = struct.unpack(">II", data[16:24])
    assert width == 1080, "7.2 inches, the text width of a page, at 150 dots an inch"
    assert 350 < height <= 1650, "no taller than a page"
    place = data.index(b"pHYs") + 4
    per_metre, _, unit = struct.unpack(">IIB", data[place : place + 9])
    assert unit == 1
    assert per_metre == pytest.approx(150 / 0.0254, abs=1)


@pytest.mark.parametrize("name", NAMES)
def test_svg_keeps_its_words_as_text_in_a_generic_font(folder, name):
    root = ElementTree.parse(folder / f"{name}.svg").getroot()  # noqa: S314  our own file
    space = "{http://www.w3.org/2000/svg}"  # W3C, Scalable Vector Graphics (SVG) 1.1, sec. 1.3; from memory
    assert root.tag == f"{space}svg"
    texts = ["".join(node.itertext()) for node in root.iter(f"{space}text")]
    assert any(study("few").design.name in text for text in texts)
    assert any("hold-tip-speed" in text for text in texts) or name in TOLD
    fonts = {node.get("style", "") for node in root.iter(f"{space}text")}
    assert all("sans-serif" in font for font in fonts)
    assert "date" not in (folder / f"{name}.svg").read_text(encoding="utf-8").partition("<defs>")[0]


def test_same_study_gives_same_bytes_whatever_the_users_own_style(folder, tmp_path):
    import matplotlib as mpl

    with mpl.rc_context({"font.size": 30, "svg.fonttype": "path", "axes.facecolor": "red", "text.usetex": False}):
        before = dict(mpl.rcParams)
        write_figures(study("few"), tmp_path)
        assert dict(mpl.rcParams) == before
    for path in folder.iterdir():
        assert (tmp_path / path.name).read_bytes() == path.read_bytes(), path.name


def test_progress_names_each_file(tmp_path):
    told: list[str] = []
    paths = write_figures(study("one"), tmp_path, told.append)
    assert told == [path.name for path in paths]


def test_drawing_library_is_loaded_when_drawing_and_without_its_global_state():
    script = (
        "import sys, scaling.show.figures; assert 'matplotlib' not in sys.modules\n"
        f"sys.path.insert(0, {str(Path(__file__).parent)!r})\n"
        "import test_figures as t; from scaling.show.figures import figures\n"
        "figures(t.study('one')); assert 'matplotlib.pyplot' not in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", script], check=True)


def test_without_any_factor_every_picture_says_why_it_is_not_there():
    assert drawn("none") == {}
    assert set(absences(study("none"))) == set(NAMES)
    assert all("no port has a factor" in why for why in absences(study("none")).values())


@pytest.mark.parametrize("name", EVERY)
def test_ports_without_a_factor_are_named_and_not_drawn(name):
    text = " ".join(" ".join(text for text, _ in words(drawn("part")[name])).split())
    assert "No factor meets the limit, so nothing to show: A (mass, hold-tip-speed, drive gravity-similar); B (" in text
    assert "A: " not in text
    assert "F: motor-diameter, hold-tip-speed, drive hold-speed, factor" in text


@pytest.mark.parametrize("kind", ["few", "one", "many", "part", "pusher"])
@pytest.mark.parametrize("name", NAMES)
def test_words_lie_inside_the_figure_and_apart_from_each_other(kind, name):
    if name not in drawn(kind):
        pytest.skip("nothing of this robot to show in it")
    figure = drawn(kind)[name]
    assert faults(figure) == []


@pytest.mark.parametrize("look", [DARK, LIGHT.sized(5.0, None)], ids=["dark", "narrow"])
@pytest.mark.parametrize("demo", ["tarvindle", "harrowmoth", "plinthling"])
def test_every_picture_of_every_demo_can_be_read_and_says_what_it_finds(demo, look):
    brief = load_brief(DEMOS / demo / "brief.toml")
    laws = tuple(law for law in brief.requests if law.law != "least-drift")  # its search takes seconds
    given = run_study(load_design(brief.design_file), dataclasses.replace(brief, requests=laws))
    made = figures(given, look)
    assert set(made) | set(absences(given)) == set(NAMES)
    for name, figure in made.items():
        assert faults(figure) == [], name
        alt = kind_named(name).words(given)
        assert given.design.name in alt
        assert any(sign.isdigit() for sign in alt), "it states what is found"
        assert all(panel.get_xlabel() for panel in figure.axes) or name in ("outlines", "rush", "exponents"), name


def test_the_window_stands_alone_and_can_be_read():
    assert "window" not in NAMES
    for kind in ("few", "pusher"):
        figure = kind_named("window").figure(study(kind))
        assert faults(figure) == []
        assert "every limit" in kind_named("window").words(study(kind))
        assert "no unit" in figure.axes[0].get_xlabel()


@pytest.mark.parametrize("kind", ["few", "many"])
def test_energy_map_stands_where_mass_and_energy_say_and_hollow_out_of_reach(kind):
    (panel,) = drawn(kind)["energy_map"].axes
    shown = {child.get_gid(): child for child in panel.lines if child.get_gid()}
    (mass,), (energy,) = line(drawn(kind)["energy_map"], "reference")
    assert (mass, energy) == (study(kind).design.variables["mass"], study(kind).reference["rotor_energy"])
    asked = {sign.letter for port, sign in port_signs(study(kind), LIGHT) if port.quantities["rotor_energy"].if_reached}
    ports = {letter: gid for gid in shown if gid.removesuffix("-hollow").isupper() for letter in gid.split("-")[0]}
    assert {letter for letter, gid in ports.items() if gid.endswith("-hollow")} == asked
    for port, sign in port_signs(study(kind), LIGHT):
        mark = shown[ports[sign.letter]]
        at = panel.transAxes.transform((mark.get_xdata()[0], mark.get_ydata()[0]))
        own = panel.transData.transform((port.variables["mass"], port.quantities["rotor_energy"].value))
        assert np.hypot(*(at - own)) < 0.05 * 100, "within half a mark of one that it shares, at 100 dots an inch"
    for gid, child in shown.items():
        if gid.endswith("-per-mass"):
            level = float(gid.removesuffix("-per-mass"))
            masses, energies = (np.asarray(each, dtype=float) for each in (child.get_xdata(), child.get_ydata()))
            np.testing.assert_allclose(energies / masses, level)


def test_front_rises_with_the_mass_and_nothing_within_reach_beats_it():
    masses, energies = line(drawn("few")["energy_map"], "front")
    assert (np.diff(masses) >= 0).all() and (np.diff(energies) >= 0).all()
    option_masses, option_energies = line(drawn("few")["energy_map"], "options")
    within = option_masses <= study("few").brief.allowed_mass * (1 + 1e-9)
    assert option_energies[within].max() <= energies[-1] * (1 + 1e-9)


@pytest.mark.parametrize("kind", ["few", "many"])
def test_spin_up_marks_lie_where_the_times_say(kind):
    times = {sign.letter: port.quantities.get("spin_up_time") for port, sign in port_signs(study(kind), LIGHT)}
    panel = drawn(kind)["spin_up"].axes[0]
    for child in panel.lines:
        gid = (child.get_gid() or "").removeprefix("speed-")
        if gid and not gid.endswith(("curve", "reference", "hollow")):
            for letter in gid:
                assert child.get_xdata()[0] == pytest.approx(times[letter].value, rel=0.03)
    hollow = [child.get_gid() for child in panel.lines if (child.get_gid() or "").endswith("-hollow")]
    asked = {letter for letter, entry in times.items() if entry is None}
    assert {letter for gid in hollow for letter in gid.split("-")[1]} == asked


@pytest.mark.parametrize("kind", ["few", "one", "many", "pusher"])
def test_every_axis_says_what_it_shows_and_in_which_unit(kind):
    made = drawn(kind)
    for panel in made["factor_curves"].axes:
        assert panel.get_xlabel() == "factor, no unit"
        assert panel.get_ylabel(), panel.get_title(loc="left")
    units = {panel.get_title(loc="left"): panel.get_ylabel() for panel in made["factor_curves"].axes}
    assert units["Total mass"] == "g"
    if kind == "pusher":
        assert units["Top speed"] == "m/s"
    else:
        assert units["Rotor energy"] == "J"
    assert all("no unit" in panel.get_xlabel() for panel in made["drift"].axes)
    assert "no unit" in made["exponents"].axes[0].get_xlabel()
    assert "quantity" in made["exponents"].axes[0].get_ylabel()
    assert [panel.get_xlabel() for panel in made["mass"].axes] == ["mass, g", "mass, g (closer axis)"]
    if kind != "pusher":
        assert [panel.get_ylabel() for panel in made["spin_up"].axes] == ["rotor speed, rpm", "rotor energy, J"]
        assert {panel.get_xlabel() for panel in made["spin_up"].axes} == {"time from rest, s"}
        (chart,) = made["energy_map"].axes
        assert (chart.get_xlabel(), chart.get_ylabel()) == ("mass, g (log scale)", "rotor energy, J (log scale)")


def test_long_numbers_are_carried_by_a_power_of_ten():
    given = study("one")
    (port,) = given.ports
    grown = {**port.curve.values, "total_mass": 1e4 * port.curve.values["total_mass"]}
    curve = type("Grown", (Curve,), {"values": grown})(port.curve.among, port.curve.place)
    heavy = {**port.quantities, "total_mass": dataclasses.replace(port.quantities["total_mass"], value=13350.0)}
    port = dataclasses.replace(port, curve=curve, quantities=heavy)
    figure = figures(dataclasses.replace(given, ports=(port,)))["factor_curves"]
    panel = next(panel for panel in figure.axes if panel.get_title(loc="left") == "Total mass")
    assert panel.get_ylabel() == "10⁶ g"
    assert line(figure, "total_mass-A")[1][0] == pytest.approx(13.35), "10⁶ g are a tonne"


def test_marks_tell_ports_apart_by_shape_and_colour():
    signs = [sign for _, sign in port_signs(study("many"), LIGHT)]
    assert len(signs) == 12
    assert len({sign.marker for sign in signs}) == 12
    assert len(set(MARKERS)) == len(MARKERS)
    for one, other in itertools.pairwise(signs):
        assert one.marker != other.marker
        assert one.colour != other.colour


def test_drawn_marks_are_those_of_the_ports_or_of_the_first_that_agree():
    panel = drawn("many")["drift"].axes[0]
    shown = {child.get_gid(): child for child in panel.lines if child.get_gid()}
    own = {sign.letter: sign.marker for _, sign in port_signs(study("many"), LIGHT)}
    assert len(shown) > 6
    assert all(child.get_marker() == own[gid.removesuffix("-hollow")] for gid, child in shown.items())
    assert all(child.get_linestyle() == "None" for child in shown.values())


@pytest.mark.parametrize("kind", ["few", "one", "many", "part", "pusher"])
def test_every_port_of_a_drift_row_stands_in_it_alone_or_by_its_letter_or_as_lacking(kind):
    given = study(kind)
    ports = port_signs(given, LIGHT)
    names = drift.chosen(given)
    rows = drift._rows(ports, names, (0.1, 10.0), 3.0, given)
    for row in rows:
        shown = [sign.letter for mark in row.marks for sign in mark.spot.signs]
        assert len(shown) == len(set(shown))
        lacking = {sign.letter for port, sign in ports if judged(port, row.name) is None}
        assert set(shown) | lacking == {sign.letter for _, sign in ports}
        said = " ".join(drift._judgement(given, row.name))
        assert ("none: " in said) == bool(lacking)
        assert all(letter in said.partition("none: ")[2] for letter in lacking)
        for one, other in itertools.combinations(row.marks, 2):
            if one.lane == other.lane:
                (start, end), (left, right) = (extent(each.spot, 3.0) for each in (one, other))
                assert end < left or right < start, "marks and letters of a lane lie apart"


@pytest.mark.parametrize("kind", ["few", "one", "many", "pusher"])
def test_drift_rows_run_role_by_role_from_the_worst_to_the_least(kind):
    labels = [text.get_text().replace("\n", " ") for text in drawn(kind)["drift"].axes[0].get_yticklabels()]
    assert 8 <= len(labels) <= 20
    known = {entry.label: name for name, entry in book.quantities.items()}
    names = [known[label] for label in labels]  # whole labels: a cut one would not be found
    # Falls and throws by gravity's clock; what a person or a pack does in a time that does not scale by the driver's.
    clock = {None: "gravity", "gravity": "gravity", "driver": "driver", "match": "driver"}
    drifts = [[port.quantities[name].drift[clock[book.quantities[name].clock]] for port in study(kind).ports
               if name in port.quantities and not port.quantities[name].if_reached] for name in names]
    worst = [max((abs(math.log(value)) if value > 0 else math.inf for value in row), default=0.0) for row in drifts]
    roles = [book.quantities[name].role for name in names]
    order = ["handling", "survival", "budget"]
    places = [order.index(role) if role in order else 3 for role in roles]
    assert places == sorted(places), "what a driver feels first, then survival, then what must close"
    for place in set(places):
        of_it = [size for size, at in zip(worst, places, strict=True) if at == place]
        assert of_it == pytest.approx(sorted(of_it, reverse=True), abs=1e-4)  # what drifts alike stands as in the book


def test_drift_says_which_way_is_better_for_each_row():
    (panel,) = drawn("one")["drift"].axes
    names = [text.get_text().replace("\n", " ") for text in panel.get_yticklabels()]
    heights = list(panel.get_yticks())
    said = {heights.index(note.xy[1]): note.get_text().split("\n")[0] for note in panel.texts if note.xy[1] in heights}
    assert len(said) == len(names)
    # A builder wants a high lift turn rate and survival margins, and a quick turn; a turn takes a driver's time and a
    # throw falls by gravity: common practice, no source.
    assert said[names.index("Gyro margin")] == "higher is better, driver"
    assert said[names.index("Reaction distance")] == "lower is better, driver"
    assert said[names.index("Throw height")] == "higher is better, gravity"
    strengths = {book.quantities[name].label for name in book.of_role("survival")}
    margins = [row for row, name in enumerate(names) if name in strengths]
    assert margins
    assert all(said[row].startswith("higher is better") for row in margins)


def test_a_drift_beyond_the_axis_stands_at_its_edge_and_the_note_says_so():
    panel = drawn("many")["drift"].axes[0]
    low, high = panel.get_xlim()
    own = [judged(port, name) or 0.0 for port in study("many").ports for name in port.quantities]
    assert max(own) > high, "the study must have one for this test to mean anything"
    marks = np.concatenate([np.asarray(child.get_xdata(), dtype=float) for child in panel.lines if child.get_gid()])
    assert marks.min() >= low
    assert marks.max() <= high
    assert any("very edge" in text for text, _ in words(drawn("many")["drift"]))
    assert not any("very edge" in text for text, _ in words(drawn("few")["drift"]))


@pytest.mark.parametrize(("low", "high"), [(0.85, 1.15), (0.6, 1.05), (0.5, 2.2), (0.2, 1.1), (0.3, 3.9), (0.09, 11.0)])
def test_log_ticks_are_few_round_and_hold_one(low, high):
    ticks = drift.plain_ticks(low, high)
    assert 3 <= len(ticks) <= 9
    assert 1 in [round(tick, 9) for tick in ticks]
    assert all(low <= tick <= high for tick in ticks)
    assert all(len(f"{tick:g}") <= 4 for tick in ticks)
    ends = np.log([ticks[0] / low, high / ticks[-1]]) / math.log(high / low)
    assert ends.min() > 0.035, "half a label's width from the next panel"
    spacing = np.diff(np.log(ticks)) / math.log(high / low)
    assert spacing.min() > 0.06, "two inches of axis with labels of a tenth of an inch"


def test_log_axis_has_no_minor_ticks():
    for panel in drawn("few")["drift"].axes:
        assert [tick for tick in panel.xaxis.get_minor_ticks() if tick.get_loc()] == []
        assert all("$" not in label.get_text() for label in panel.get_xticklabels())


# Powers of the length scale at one density. Tip speed held (Cauchy similarity: same material, same stress):
# v 0, omega -1, E 3. Gravity (Froude) similarity: v 1/2, omega -1/2, E 4, I omega 9/2: C. H. Wolowicz,
# J. S. Bowman & W. P. Gilbert, NASA TP-1435, 1979, as quoted by a secondary table. Held rotor speed: arithmetic.
POWERS = {
    "Rotor speed": ("−1", "−1/2", "0"),
    "Tip speed": ("0", "1/2", "1"),
    "Rotor energy": ("3", "4", "5"),
    "Rotor angular momentum": ("4", "9/2", "5"),
}


def cells(figure):
    panel = figure.axes[0]
    labels = [text.get_text().replace("\n", " ") for text in panel.get_yticklabels()]
    rows = list(panel.get_yticks())
    shown = {(rows.index(text.get_position()[1]), round(text.get_position()[0])): text for text in panel.texts
             if not hasattr(text, "xy")}
    return panel, labels, shown


def test_exponents_are_those_of_the_similarity_tables():
    _, labels, shown = cells(drawn("few")["exponents"])
    for label, powers in POWERS.items():
        row = labels.index(label)
        assert tuple(shown[row, column].get_text().strip("()") for column in range(3)) == powers, label
        assert all(shown[row, column].get_style() == "normal" for column in range(3))


def test_local_exponents_are_slanted_and_marked():
    _, labels, shown = cells(drawn("few")["exponents"])
    row = labels.index("Total mass")  # a sum of parts that follow the factor cubed, squared and not at all
    text = shown[row, 0]
    assert text.get_text().endswith("~")
    assert text.get_style() == "italic"
    assert 2 < float(text.get_text().rstrip("~")) < 3
    for text in shown.values():
        assert text.get_text().rstrip(")").endswith("~") == (text.get_style() == "italic")


@pytest.mark.parametrize(("exponent", "said"), [
    (-17.58, "<−8~"), (8.01, ">8~"), (-7.99, "−7.99~"), (-0.001, "0.00~"), (Fraction(9), "9"), (None, "–"),
])
def test_slopes_near_a_limit_show_no_absurd_number(exponent, said):
    assert cell_words(exponent) == said


def test_each_port_has_its_own_curve_though_others_lie_on_it():
    figure = drawn("few")["factor_curves"]
    for port in "ABC":
        _, rates = line(figure, f"top_yaw_rate-{port}-curve")  # the same drive in each, so the same curve
        np.testing.assert_allclose(rates, line(figure, "top_yaw_rate-A-curve")[1], rtol=1e-9)


def test_exponents_have_the_colour_of_their_sign_and_words_that_stand_out():
    panel, labels, shown = cells(drawn("many")["exponents"])
    panel.collections[0].update_scalarmappable()  # colours are else worked out when it is drawn
    mesh = panel.collections[0].get_facecolors()[:, :3].reshape(len(labels), -1, 3)
    for (row, column), text in shown.items():
        red, _, blue = mesh[row, column]
        number = text.get_text().strip("()").rstrip("~").replace("−", "-")
        value = 0.0 if number == "–" else float(number.lstrip("<>").split("/")[0])
        assert np.sign(blue - red) == np.sign(value) or abs(value) < 0.005, (labels[row], number)
        assert contrast(mesh[row, column], text.get_color()) >= 4.5  # W3C, WCAG 2.1, success criterion 1.4.3


@pytest.mark.parametrize("kind", ["few", "many", "pusher"])
def test_exponent_rows_are_grouped_by_branch(kind):
    panel, labels, _ = cells(drawn(kind)["exponents"])
    assert len(labels) <= 35
    branches = {entry.label: entry.branch for entry in book.quantities.values()}
    groups = [branch for branch, _ in itertools.groupby(branches[label] for label in labels)]  # labels are whole
    assert len(groups) == len(set(groups))
    assert [text.get_text() for text in panel.texts if hasattr(text, "xy")] == groups


def test_curves_follow_the_powers_of_their_rules():
    figure = drawn("few")["factor_curves"]
    for name, letter, power in [("tip_speed", "A", 0), ("rotor_energy", "A", 3), ("tip_speed", "B", 0.5),
                                ("rotor_energy", "B", 4), ("tip_speed", "C", 1), ("rotor_energy", "C", 5)]:
        factors, values = line(figure, f"{name}-{letter}-curve")
        (one,), (own,) = line(figure, f"{name}-reference")
        assert one == 1
        np.testing.assert_allclose(values, own * factors**power, rtol=1e-9)


@pytest.mark.parametrize("kind", ["few", "one", "many", "pusher"])
def test_panels_share_the_factors_axis_and_none_is_flat(kind):
    figure = drawn(kind)["factor_curves"]
    assert len({panel.get_xlim() for panel in figure.axes}) == 1
    for panel in figure.axes:
        curves = [np.asarray(child.get_ydata(), dtype=float) for child in panel.lines
                  if (child.get_gid() or "").endswith("-curve")]
        assert max(np.nanmax(curve) / np.nanmin(curve) for curve in curves) > 1.1, panel.get_title(loc="left")


def test_what_stays_along_every_law_is_named_in_place_of_a_panel():
    # Friction and gravity alone limit it, and neither follows the size: Coulomb's law; so it is the same at every port.
    text = " ".join(" ".join(text for text, _ in words(drawn("few")["factor_curves"])).split())
    assert "without a panel: grip-limited acceleration 4.31" in text.replace("  ", " ")
    assert "Grip-limited acceleration" not in text


def test_marks_lie_on_their_curves():
    figure = drawn("few")["factor_curves"]
    for name, mark in (("total_mass", "ABCD"), ("rotor_energy", "AD"), ("tip_speed", "B-hollow")):
        factors, values = line(figure, f"{name}-{mark[0]}-curve")
        (factor,), (value,) = line(figure, f"{name}-{mark}")
        assert factors[0] < 1 < factor < factors[-1]
        assert np.interp(factor, factors, values) == pytest.approx(value, rel=2e-3)


def test_mass_panel_shows_the_limit_of_the_brief():
    panels = {panel.get_title(loc="left"): panel for panel in drawn("few")["factor_curves"].axes}
    panel = panels["Total mass"]
    assert any(np.allclose(child.get_ydata(), 1360) for child in panel.lines), "mass_limit = 1.36 kg"
    assert "limit 1360 g" in [note.get_text() for note in panel.texts]


@pytest.mark.parametrize("kind", ["few", "one", "many", "pusher"])
def test_curves_fill_their_rows_of_panels(kind):
    panels = drawn(kind)["factor_curves"].axes
    assert len(panels) == 9
    assert len({panel.get_title(loc="left") for panel in panels}) == len(panels)


def test_mass_bars_add_up_to_the_stated_total_and_stand_before_the_limits():
    panel, steps = drawn("few")["mass"].axes
    ends = np.zeros(3)
    for bars in panel.containers:
        for row, bar in enumerate(bars):
            assert bar.get_x() == pytest.approx(ends[row])
            ends[row] += bar.get_width()
    factor = study("few").ports[0].factor
    assert ends[0] == pytest.approx(454), "the design file's mass"
    assert ends[1] == pytest.approx(454 * factor**3), "the square-cube law: Galileo"
    assert ends[2] == pytest.approx(1335), "the mass law: limit less margin of the brief file"
    assert [child.get_xdata()[0] for child in panel.lines] == pytest.approx([1360, 1335])
    (first, last), _ = line(drawn("few")["mass"], "ends")
    assert (first, last) == pytest.approx((454 * factor**3, 1335))
    widths = [bar.get_width() for bars in steps.containers for bar in bars]
    assert sum(widths) == pytest.approx(last - first), "the steps lead from the one to the other"
    hatches = [bars[0].get_hatch() or bars[0].get_facecolor() for bars in panel.containers]
    assert len(set(hatches)) == len(hatches), "told apart without colour or without hatch"


def test_a_strange_name_harms_no_file(tmp_path):
    odd = "$x_1$ <b>&\x07 鬼 " + 40 * "very long "
    given = study("one")
    given = dataclasses.replace(given, design=dataclasses.replace(given.design, name=odd))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        write_figures(given, tmp_path)
    root = ElementTree.parse(tmp_path / "mass.svg").getroot()  # noqa: S314  our own file
    text = "".join(root.itertext())
    assert "$x_1$ <b>&? ? very" in text
