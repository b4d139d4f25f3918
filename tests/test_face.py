"""The public face: what a Python user loads, asks and gets back, and what that costs."""

from __future__ import annotations

import copy
import importlib
import json
import pickle
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas
import pytest

import scaling as sc
from scaling.formulas import book
from scaling.show.study_json import as_json

LOADED = "import sys; import scaling; {}; print(*sorted({{name.partition('.')[0] for name in sys.modules}}))"
FACE = ("scaling.face", "scaling.loaded")
HEAVY = {"numpy", "scipy", "sympy", "pandas", "matplotlib", "pint", "jinja2", "trimesh", "ezdxf", "highspy"}


@pytest.fixture(scope="module")
def found(main_folder: Path) -> sc.Study:
    return sc.study(str(main_folder / "brief.toml"))


# Loading


@pytest.mark.parametrize("use", ["dir(scaling)", "scaling.__version__", "from scaling.files.errors import InputError"])
def test_the_package_alone_loads_nothing_heavy(process: Callable[..., Any], use: str) -> None:
    assert not set(process(before=("-c", LOADED.format(use))).out.split()) & HEAVY
    loaded = set(process(before=("-c", LOADED.format("scaling.study"))).out.split())
    assert "numpy" in loaded
    assert not loaded & {"sympy", "pint"}


@pytest.mark.parametrize(
    "line",
    [
        "import scaling.study.run",
        "from scaling.study.run import run_study",
        "from scaling import study",
        "import importlib; importlib.reload(scaling)",
    ],
)
def test_study_is_the_function_whatever_was_imported(process: Callable[..., Any], line: str) -> None:
    """A package of ours has the same name, and would take the function's place when it is imported."""
    code = f"import scaling; {line}; import scaling.face; print(scaling.study is scaling.face.study)"
    assert process(before=("-c", code)).out == "True\n"


def test_every_public_name_is_there_documented_and_typed() -> None:
    assert (Path(importlib.import_module("scaling").__file__ or "").parent / "py.typed").is_file()
    for name in sc.__all__:
        assert name in dir(sc)
        if name != "__version__":
            assert (getattr(sc, name).__doc__ or "").strip(), name
    with pytest.raises(AttributeError, match="no_such_name"):
        sc.no_such_name  # noqa: B018
    ours = [name for name in sc.__all__ if getattr(getattr(sc, name), "__module__", "") in FACE]
    assert len(ours) >= 12
    for name in ours:
        assert ">>> " in getattr(sc, name).__doc__, name


def test_a_type_checker_sees_the_names(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from mypy import api

    home = Path(importlib.import_module("scaling").__file__ or "").parent.parent
    if home.name != "site-packages":  # where it looks anyway
        monkeypatch.setenv("MYPYPATH", str(home))

    (tmp_path / "use.py").write_text(
        "import scaling as sc\nimport scaling.study.run\n"
        "robot = sc.Design.load('design.toml')\n"
        "found = sc.study(robot, 'brief.toml')\n"
        "reveal_type(found)\nreveal_type(robot['mass'].unit)\nreveal_type(found['A']['bite'].drift.gravity)\n"
        "robot.load(3)\n"
    )
    out, _, _ = api.run(["--strict", "--cache-dir", str(tmp_path), str(tmp_path / "use.py")])
    out = out.replace("builtins.", "").replace("Union[float, None]", "float | None")  # as older versions print it
    assert 'Revealed type is "scaling.face.Study"' in out
    assert 'Revealed type is "str"' in out
    assert 'Revealed type is "float | None"' in out
    assert out.count("error:") == 1
    assert "use.py:8: error" in out


# A study


def test_a_study_is_that_of_the_command(found: sc.Study, main_demo: Any) -> None:
    """Every value, ratio, exponent and drift is that of ``study.json``."""
    data = as_json(main_demo.study)
    assert list(found) == list(main_demo.study.letters)
    assert dict(found.reference) == {name: row["value"] for name, row in data["reference"]["quantities"].items()}
    for port, row in zip(found.values(), data["ports"], strict=True):
        assert (port.law, port.speed_rule, port.drive_rule) == (row["law"], row["speed_rule"], row["drive_rule"])
        assert (port.factor, port.variables) == (row["factor"], row["variables"])
        assert [problem.code for problem in port.problems] == [problem["code"] for problem in row["problems"]]
        assert set(port) == set(row["quantities"])
        for name, own in row["quantities"].items():
            seen = port[name]
            assert (seen.name, seen.value, seen.unit, seen.ratio) == (name, own["value"], own["unit"], own.get("ratio"))
            for clock in ("gravity", "driver"):
                assert getattr(seen.drift, clock) == own["drift"].get(clock)
                assert getattr(seen.similarity_ratio, clock) == own["similarity_ratio"].get(clock)
            kind, exponent = own.get("exponent_kind"), own.get("exponent")
            assert (
                seen.exponent is None
                if kind is None
                else exponent == (str(seen.exponent) if kind == "exact" else seen.exponent)
            )


def test_a_robot_and_a_brief_are_taken_loaded_or_as_paths(main_folder: Path, found: sc.Study) -> None:
    design, brief = main_folder / "design.toml", main_folder / "brief.toml"
    robot, where = sc.Design.load(str(design)), sc.Brief.load(brief)
    for arguments in [(robot, where), (design, str(brief)), (where,), (brief,)]:
        assert dict(sc.study(*arguments)["A"]) == dict(found["A"])
    assert robot["rotor.mass"] == dict(robot)["rotor.mass"] == where.design["rotor.mass"]
    assert robot["rotor.mass"].unit == "kg"


def test_another_robot_than_the_brief_names(main_folder: Path, edit: Callable[..., Path], found: sc.Study) -> None:
    slower = edit(main_folder, design={"rotor.speed": '"60 rad/s"'}).with_name("design.toml")
    other = sc.study(slower, main_folder / "brief.toml")
    assert other.design["rotor.speed"] == other.reference["rotor_speed"] == 60
    assert other.reference["rotor_energy"] < found.reference["rotor_energy"]


def test_labels_and_names_are_the_same(found: sc.Study) -> None:
    for name in ("gyro_margin", "rotor_energy"):
        label = book.quantities[name].label
        assert label in found.reference
        assert found["A"][label] == found["A"][name]
        assert found["A"].sweep(1.5, only=[label]).columns[1] == name


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda found: found["Z"], ["Z", "A, B"]),
        (lambda found: found["A"]["gyro_margn"], ["gyro_margin"]),
        (lambda found: found.reference["tip sped"], ["tip speed"]),
        (lambda found: found.design["rotor.mas"], ["rotor.mass"]),
        (lambda found: found["A"].sweep(1.5, only=["rotor_enrgy"]), ["rotor_energy"]),
        (lambda found: found.plot("drif"), ["drift", "factor_curves"]),
    ],
)
def test_what_is_not_there_is_a_key_error_that_says_what_is(found: sc.Study, ask: Any, words: list[str]) -> None:
    with pytest.raises(KeyError) as caught:
        ask(found)
    assert isinstance(caught.value, sc.InputError)
    assert all(word in str(caught.value) for word in words)
    assert found.get("Z") is None
    assert "no_such" not in found["A"]


@pytest.mark.parametrize(
    "ask",
    [
        lambda found: sc.study(found.design),
        lambda found: sc.study(3),
        lambda found: sc.study("missing.toml"),
        lambda found: sc.window(found.design.file),
        lambda found: found.drift(clock="lunch"),
        lambda found: found["A"].sweep([1.0, -1.0]),
        lambda found: found["A"].sweep([[1.0]]),
        lambda found: sc.study(Path(__file__).parent.parent / "demo_designs/tarvindle/brief.toml", laws="no-such-law"),
        lambda found: found["A"].at_speeds([-1.0], "rotor_energy"),
        lambda found: found["A"].tried({"port.rotor.ratoi": 2}, "rotor_energy"),
        lambda found: found["A"].tried({"port.rotor.ratio": 2}, "no such thing"),
        lambda found: found.design.changed({"rotor.mas": "90 g"}),
        lambda found: found.design.changed({"rotor.mass": "90 l"}),
        lambda found: found.design.changed({"mass.of": "90 g"}),
        lambda found: found.design.changed({"two words": "90 g"}),
        lambda found: found.design.changed({'parts."no such part".mass': "90 g"}),
        lambda found: sc.explain("nothing of the kind"),
        lambda found: sc.compare(found.design),
        lambda found: sc.compare(found.design, found.design, by="rotor.mass"),
        lambda found: sc.compare(found.design, found.design, mass="-1 kg"),
    ],
)
def test_bad_input_is_refused(found: sc.Study, ask: Any) -> None:
    with pytest.raises(sc.InputError):
        ask(found)


def test_a_robot_without_a_quantity_says_so(pusher_demo: Any) -> None:
    found = sc.study(pusher_demo.folder / "brief.toml")
    assert "gyro_margin" not in found.reference
    assert "gyro_margin" not in found["A"]
    with pytest.raises(KeyError, match="does not have this quantity"):
        found["A"]["gyro_margin"]
    with pytest.raises(sc.InputError, match="does not have this quantity"):
        sc.explain("gyro_margin", found.design)


def test_a_number_knows_its_unit_and_can_be_copied(found: sc.Study) -> None:
    mass = found.design["mass"]
    for other in (copy.deepcopy(mass), pickle.loads(pickle.dumps(mass))):  # noqa: S301 - our own bytes
        assert (other, other.unit, type(other.value)) == (mass, "kg", float)


# Frames


def test_the_drift_frame_is_tidy(found: sc.Study) -> None:
    for clock in ("gravity", "driver"):
        frame = found.drift(clock=clock)
        assert len(frame) == sum(map(len, found.values()))
        assert not frame.duplicated(["port", "quantity"]).any()
        assert all(name.isidentifier() and name == name.lower() for name in frame.columns)
        assert set(frame["clock"]) == {clock}
        for row in frame.sample(50, random_state=1).itertuples():
            seen = found[row.port][row.quantity]
            assert (row.value, row.unit, row.label) == (seen.value, seen.unit, seen.label)
            drift = getattr(seen.drift, clock)
            assert np.isnan(row.drift) if drift is None else row.drift == drift
    own = found.drift().set_index(["port", "quantity"])
    by_clock = {clock: found.drift(clock).set_index(["port", "quantity"])["drift"] for clock in ("gravity", "driver")}
    for row in own.sample(50, random_state=1).itertuples():  # the match lasts as long at any size, as with a driver
        theirs = by_clock["gravity" if book.quantities[row.Index[1]].clock in (None, "gravity") else "driver"]
        assert row.drift == theirs[row.Index] or np.isnan(row.drift)


def test_a_sweep_passes_through_the_port(found: sc.Study) -> None:
    """At its own factor a port is itself, whatever its law; the factors may come in any order."""
    for port in found.values():
        at = port.factor or 1.0
        frame = port.sweep(np.array([1.8, at, 1.1]))
        assert frame["factor"].tolist() == [1.8, at, 1.1]
        for name, own in port.items():
            assert frame[name][1] == pytest.approx(own.value, rel=1e-9), (port.letter, name)
        assert set(frame.attrs["units"]) == set(frame.columns)
        assert frame.attrs["units"]["tip_speed"] == "m/s"


def test_a_rotor_s_energy_goes_as_the_square_of_its_speed(found: sc.Study) -> None:
    """Energy of a turning body, I omega^2 / 2 (Newton's laws); no motor spins a rotor up to twice its own reach."""
    port = found[found.verdict.port]
    own = port["rotor_speed"].value
    frame = port.at_speeds([own, own / 2, 2 * own], only=["rotor_energy", "spin up time"])
    assert np.allclose(frame["rotor_energy"] / port["rotor_energy"].value, [1, 0.25, 4], rtol=1e-9)
    assert frame["spin_up_time"][0] == pytest.approx(port["spin_up_time"].value, rel=1e-9)
    assert frame["spin_up_time"][1] < frame["spin_up_time"][0]
    assert np.isnan(frame["spin_up_time"][2])
    assert frame.attrs["units"]["speed"] == "rad/s"


def test_a_port_tried_is_the_port_of_the_brief_so_changed(found: sc.Study, edit: Any, main_folder: Path) -> None:
    changes = {"port.rotor.ratio": "2.2", 'parts."side walls".thickness': "18 mm"}
    only = ["rush_margin", "gyro_margin", "total_mass"]
    text = {"port.rotor.ratio": "2.2", 'parts."side walls".thickness': '"18 mm"'}
    written = sc.study(edit(main_folder, brief=text))
    values = found["D"].tried(changes, only)
    assert list(values) == only
    for name, value in values.items():
        assert value == pytest.approx(written["D"][name].value, rel=1e-12)
        assert value.unit == written["D"][name].unit
    assert "spin_up_time" not in found["C"].tried({"port.rotor.ratio": 1.6}, "spin_up_time")


def test_a_robot_changed_is_the_robot_of_the_file_so_changed(found: sc.Study, edit: Any, main_folder: Path) -> None:
    wall = 'parts."side walls".mass'  # the first row of parts
    robot = found.design.changed({"rotor.mass": "95 g"}).changed({"drive.ratio": 24, wall: "33 g"})
    text = {"rotor.mass": '"95 g"', "drive.ratio": "24", "parts[1].mass": '"33 g"'}
    other = sc.Brief.load(edit(main_folder, text)).design
    assert dict(robot) == dict(other)
    assert dict(robot.quantities) == dict(sc.study(other, main_folder / "brief.toml").reference)
    assert found.design["drive.ratio"] == 22
    assert dict(found.design.quantities) == dict(found.reference)


def test_a_sweep_follows_the_square_cube_law(found: sc.Study) -> None:
    """At a held tip speed the energy of a similar rotor goes as its mass, factor³ (Galilei, Discorsi, day 2)."""
    port = next(port for port in found.values() if port.speed_rule == "hold-tip-speed")
    frame = port.sweep(np.geomspace(1, 3, 25), only=["rotor_energy", "tip_speed"])
    assert np.allclose(frame["rotor_energy"] / found.reference["rotor_energy"], frame["factor"] ** 3, rtol=1e-9)
    assert np.allclose(frame["tip_speed"], found.reference["tip_speed"], rtol=1e-9)


@pytest.mark.no_cover
def test_a_long_sweep_is_short_work(found: sc.Study) -> None:
    """100,000 factors of two closed forms, by a port whose speed is a closed form too; the best of three."""
    port = next(port for port in found.values() if port.speed_rule == "hold-tip-speed")
    factors, taken = np.geomspace(1, 3, 100_000), []
    for _ in range(3):
        start = time.process_time()
        frame = port.sweep(factor=factors, only=["gyro_margin", "rotor_energy"])
        taken.append(time.process_time() - start)
    assert min(taken) < 0.5
    assert list(frame.columns) == ["factor", "gyro_margin", "rotor_energy"]
    few = port.sweep(factors[::9973], only=["gyro_margin", "rotor_energy"])
    pandas.testing.assert_frame_equal(frame[::9973].reset_index(drop=True), few)
    assert np.isfinite(frame.to_numpy()).all()


def test_the_window_frame_is_what_the_verb_prints(main_folder: Path, command: Callable[..., Any]) -> None:
    brief = main_folder / "brief.toml"
    frame = sc.window(sc.Brief.load(brief))
    data = json.loads(command("window", brief, "--json").out)
    for each in data:
        rows = frame[(frame["speed_rule"] == each["speed_rule"]) & (frame["drive_rule"] == each["drive_rule"])]
        for limit, intervals in [("window", each["window"]), *((b["limit"], b["intervals"]) for b in each["bands"])]:
            own = rows.loc[rows["limit"] == limit, ["low", "high"]]
            assert own.dropna().to_numpy().tolist() == intervals
            assert len(own) >= 1
    shown = " ".join(command("window", brief).out.split())
    told = frame.attrs["sentences"]
    assert len(told) == len(data)
    assert all(" ".join(line.split()) in shown for lines in told.values() for line in lines)


def test_the_options_frame_is_what_the_verb_prints(main_folder: Path, command: Callable[..., Any]) -> None:
    brief = main_folder / "brief.toml"
    frame = sc.options(brief, top=5)
    data = json.loads(command("options", brief, "--top", "5", "--json").out)
    assert frame.attrs["tried"] == data["tried"]
    assert frame["rank"].tolist() == [row["rank"] for row in data["options"]]
    assert frame["score"].tolist() == [row["score"] for row in data["options"]]
    assert frame["rotor_motors"].tolist() == [row["chosen"]["rotor_motors"] for row in data["options"]]
    assert all(name.isidentifier() and name == name.lower() for name in frame.columns)


# Pictures and files


def test_a_figure_by_name(found: sc.Study) -> None:
    from matplotlib.figure import Figure

    assert isinstance(found.plot("drift"), Figure)
    assert found.plot().get_axes()


def test_a_study_is_saved_as_the_command_writes_it(
    found: sc.Study, tmp_path: Path, command: Callable[..., Any], main_folder: Path
) -> None:
    written = found.save(str(tmp_path / "out"))
    assert {path.name for path in written} == {path.name for path in (tmp_path / "out").iterdir()}
    assert command("study", main_folder / "brief.toml", "-o", tmp_path / "by_command").status == 0
    stored = [json.loads((tmp_path / name / "study.json").read_text("utf-8")) for name in ("out", "by_command")]
    assert stored[0] == stored[1]
    with pytest.raises(sc.InputError, match="holds files"):
        found.save(tmp_path / "out")
    assert found.save(tmp_path / "out", force=True)


def test_an_explanation_reads_well_and_has_fields(main_folder: Path) -> None:
    told = sc.explain("gyro_margin", main_folder / "design.toml")
    assert told.unit == "1"
    assert told.value == sc.study(main_folder / "brief.toml").reference["gyro_margin"]
    assert repr(told).splitlines()[0].startswith("Gyro margin")
    assert "gyro_lift_yaw_rate/top_yaw_rate" in repr(told)
    assert sc.explain("gyro_margin").value is None
