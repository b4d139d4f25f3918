"""The command as a builder meets it: help, verbs, JSON, files written, and numbers that anyone can recompute.

The recomputation here is written from the definitions of the quantities, with the variables that the study itself
prints, and shares no code with the project.
"""

from __future__ import annotations

import importlib
import json
import math
import os
import re
import tomllib
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp

ROOT = Path(__file__).parent.parent
NUMERICAL = ("numpy", "scipy", "sympy", "pandas", "matplotlib", "pint", "jinja2", "trimesh", "ezdxf")
VERBS = ("study", "check", "init", "laws", "groups")

LOADED = """
import runpy, sys
sys.argv = ["scaling", *sys.argv[1:]]
try:
    runpy.run_module("scaling", run_name="__main__")
except SystemExit as end:
    assert not end.code, end.code
print("loaded:", *sorted({name.partition(".")[0] for name in sys.modules}), file=sys.stderr)
"""


@pytest.mark.parametrize("arguments", [["--help"], ["--version"], ["study", "--help"]], ids=" ".join)
def test_help_imports_no_numerical_library(process: Callable[..., Any], arguments: list[str]) -> None:
    result = process(*arguments, before=("-c", LOADED))
    assert result.status == 0
    loaded = set(result.err.rpartition("loaded:")[2].split())
    assert "scaling" in loaded
    assert not loaded & set(NUMERICAL)


def test_help_names_every_verb(command: Callable[..., Any]) -> None:
    result = command("--help")
    assert (result.status, result.err) == (0, "")
    for verb in VERBS:
        assert re.search(rf"^\W*{verb}\s", result.out, re.MULTILINE)
        about = command(verb, "--help")
        assert (about.status, about.err) == (0, "")
        assert "--json" in about.out
        assert "Usage" in about.out


def test_the_script_and_the_module_are_the_same(process: Callable[..., Any]) -> None:
    """``scaling`` calls what ``python -m scaling`` calls; the distribution's table says so."""
    table = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    module, _, name = table["project"]["scripts"]["scaling"].partition(":")
    assert callable(getattr(importlib.import_module(module), name))
    script = f"import sys; sys.argv[0] = 'scaling'; from {module} import {name}; sys.exit({name}())"
    for arguments in (["--help"], ["study", "none.toml"]):
        as_script = process(*arguments, before=("-c", script))
        as_module = process(*arguments)
        assert as_script.status == as_module.status
        assert as_script.out.replace("python -m scaling", "scaling") == as_module.out.replace("python -m scaling", "scaling")
        assert as_script.err.replace("python -m scaling", "scaling") == as_module.err.replace("python -m scaling", "scaling")


def test_version_is_that_of_the_distribution(command: Callable[..., Any]) -> None:
    table = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    result = command("--version")
    assert result.status == 0
    assert table["project"]["version"] in result.out


# Output without escape codes.


@pytest.mark.parametrize("changes", [{}, {"FORCE_COLOR": "1", "NO_COLOR": "1"}], ids=str)
def test_piped_output_has_no_escape_codes(
    process: Callable[..., Any], main_folder: Path, changes: dict[str, str]
) -> None:
    for arguments in (["study", main_folder / "brief.toml"], ["study", "--help"], ["nonsense"]):
        result = process(*arguments, **changes)
        assert "\x1b" not in result.out + result.err
        assert "\r" not in result.out + result.err


@pytest.mark.skipif(os.name == "nt", reason="needs a pseudo-terminal")
def test_no_color_is_heeded_on_a_terminal(main_folder: Path, tmp_path: Path) -> None:
    import pty
    import subprocess
    import sys

    def shown(**changes: str) -> bytes:
        master, slave = pty.openpty()
        environment = {name: value for name, value in os.environ.items() if name not in ("NO_COLOR", "FORCE_COLOR")}
        path = os.pathsep.join([str(Path(importlib.import_module("scaling").__file__ or "").parent.parent)])
        run = subprocess.Popen(
            [sys.executable, "-m", "scaling", "laws"], stdout=slave, stderr=subprocess.DEVNULL, stdin=subprocess.DEVNULL,
            env=environment | {"PYTHONPATH": path, "TERM": "xterm-256color"} | changes, cwd=tmp_path,
        )
        os.close(slave)
        data = b""
        while True:
            try:
                more = os.read(master, 65536)
            except OSError:  # how Linux says that the other end has closed
                break
            if not more:
                break
            data += more
        os.close(master)
        assert run.wait(60) == 0
        return data

    plain, coloured = shown(NO_COLOR="1"), shown()
    assert b"hold-tip-speed" in plain
    assert b"\x1b" not in plain
    assert b"\x1b" in coloured  # else the check above could not fail


# JSON: one document on standard output, nothing else, nothing written.


def strictly(text: str) -> Any:
    """Parsed JSON; NaN and Infinity, which JSON does not have, are refused."""

    def refuse(name: str) -> None:
        raise AssertionError(f"{name} is not JSON")

    return json.loads(text, parse_constant=refuse)


def test_json_of_every_verb(
    command: Callable[..., Any], main_folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    brief, design = main_folder / "brief.toml", main_folder / "design.toml"
    calls: list[list[Any]] = [
        ["study", brief, "--json"], ["study", design, "--mass", "1.4 kg", "--json"], ["check", brief, design, "--json"],
        ["laws", "--json"], ["groups", "--json"], ["groups", brief, "--json"],
        ["init", "--json"], ["init", "--kind", "pusher", "--json"],
    ]
    for arguments in calls:
        result = command(*arguments)
        assert (result.status, result.err) == (0, ""), arguments
        assert strictly(result.out), arguments
        assert not any(tmp_path.iterdir()), arguments


def test_check_prints_what_was_found(command: Callable[..., Any], main_folder: Path, main_demo: Any) -> None:
    brief, design = main_folder / "brief.toml", main_folder / "design.toml"
    found = strictly(command("check", brief, design, "--json").out)
    assert [Path(row["file"]) for row in found] == [brief, design]
    assert found[0]["variables"] == found[1]["variables"] == dict(main_demo.design.variables)
    shown = command("check", design)
    assert shown.status == 0
    assert "Rotor energy" in shown.out
    assert main_demo.design.name in shown.out


def test_groups_of_a_design_and_of_a_brief(command: Callable[..., Any], main_folder: Path, main_demo: Any) -> None:
    for path in (main_folder / "brief.toml", main_folder / "design.toml", None):
        shown = command("groups", *([path] if path else []))
        assert shown.status == 0
        for name in ("gyro margin", "rush margin", "bite over tooth height", "specific energy over g L"):
            assert name in shown.out, name


# init


@pytest.mark.parametrize("kind", ["spinner", "pusher"])
def test_init_writes_files_that_check_and_study_accept(
    command: Callable[..., Any], tmp_path: Path, kind: str
) -> None:
    folder = tmp_path / "new" / "robot"
    result = command("init", folder, "--kind", kind)
    assert (result.status, result.err) == (0, "")
    assert sorted(path.name for path in folder.iterdir()) == ["brief.toml", "design.toml"]
    checked = command("check", folder / "design.toml", folder / "brief.toml")
    assert (checked.status, checked.err) == (0, "")
    studied = command("study", folder / "brief.toml", "--json")
    assert (studied.status, studied.err) == (0, "")
    found = strictly(studied.out)
    assert ("rotor_energy" in found["reference"]["quantities"]) == (kind == "spinner")
    for name in ("design.toml", "brief.toml"):
        text = (folder / name).read_text(encoding="utf-8")
        assert text.count("#") >= 8  # commented, to be filled in by hand
    design = tomllib.loads((folder / "design.toml").read_text(encoding="utf-8"))
    assert {"length", "width", "height", "track", "wheelbase", "cg_height"} <= set(design)
    again = command("init", folder, "--kind", kind)
    assert again.status == 2
    assert "--force" in again.err
    assert command("init", folder, "--kind", kind, "--force").status == 0


# Study: files written.


@pytest.fixture(scope="module")
def written(process: Callable[..., Any], main_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("study") / "OUT"
    result = process("study", main_folder / "brief.toml", "-o", out)
    assert (result.status, result.err) == (0, "")
    return out


def test_a_study_writes_what_it_says(written: Path) -> None:
    names = {path.name for path in written.iterdir()}
    assert {"report.html", "build_log.md", "figures", "tables", "study.json"} <= names
    assert not [path for path in written.parent.iterdir() if path != written]  # no temporary folder left
    png, svg = ({path.stem for path in (written / "figures").glob(f"*.{kind}")} for kind in ("png", "svg"))
    assert png == svg
    assert len(png) >= 4
    assert len(list((written / "tables").glob("*.csv"))) >= 4
    for path in written.rglob("*"):
        assert not path.name.startswith(".")
        if path.is_file():
            assert path.stat().st_size > 0
    for path in (written / "figures").glob("*.png"):
        assert path.read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"  # PNG specification (W3C), sec. 5.2


def test_the_report_is_one_file_of_its_own(written: Path) -> None:
    text = (written / "report.html").read_text(encoding="utf-8")
    # Whatever a page may load: nothing but data of its own.
    for source in re.findall(r"""(?:src|href|srcset|data|action)\s*=\s*["']([^"']+)["']""", text):
        assert source.startswith(("data:", "#")), source[:80]
    for source in re.findall(r"url\(([^)]+)\)", text):
        assert source.strip("\"' ").startswith(("data:", "#")), source[:80]
    assert "@import" not in text


def test_the_build_log_s_figures_are_there(written: Path) -> None:
    text = (written / "build_log.md").read_text(encoding="utf-8")
    figures = re.findall(r"!\[[^\]]*\]\(([^)\s]+)", text)
    assert figures
    for name in figures:
        assert (written / name).is_file(), name


def test_written_json_is_what_json_prints(written: Path, command: Callable[..., Any], main_folder: Path) -> None:
    stored = strictly((written / "study.json").read_text(encoding="utf-8"))
    assert stored == strictly(command("study", main_folder / "brief.toml", "--json").out)


def test_a_folder_that_holds_a_study_is_kept_unless_forced(
    written: Path, command: Callable[..., Any], main_folder: Path
) -> None:
    before = (written / "study.json").stat().st_mtime_ns
    result = command("study", main_folder / "brief.toml", "-o", written)
    assert result.status == 2
    assert (written / "study.json").stat().st_mtime_ns == before


def test_without_out_nothing_is_written(
    command: Callable[..., Any], main_folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    before = {path: path.stat().st_mtime_ns for path in main_folder.rglob("*")}
    result = command("study", main_folder / "brief.toml")
    assert (result.status, result.err) == (0, "")
    assert not any(tmp_path.iterdir())
    assert {path: path.stat().st_mtime_ns for path in main_folder.rglob("*")} == before


def test_the_study_s_table_shows_what_a_builder_asks(command: Callable[..., Any], demo: Any) -> None:
    text = command("study", demo.folder / "brief.toml").out
    for port in demo.study.ports:
        assert f"{port.factor:.3f}"[:4] in text
        assert port.request.law in text
        for problem in port.problems:
            assert problem.code in text
    assert max(map(len, text.splitlines())) <= 400
    assert "safe" not in re.sub(r"fail-?safe", "", text, flags=re.IGNORECASE).lower().replace("safety", "")
    if demo.design.has_rotor:
        assert "maims or kills" in text
        assert "creep" in text  # the first power-up


def test_flags_without_a_brief_say_the_same(command: Callable[..., Any], main_folder: Path, edit: Callable[..., Path]) -> None:
    """The mass law by flags is the mass law by a brief that says no more."""
    path = edit(main_folder)
    path.write_text('reference = "design.toml"\nmass_limit = "1.4 kg"\nmass_margin = "20 g"\n[[laws]]\nlaw = "mass"\n'
                    'speed_rules = ["hold-rpm", "as-motored"]\n[[laws]]\nlaw = "length"\ntarget = "9 inch"\n'
                    'speed_rules = ["hold-rpm", "as-motored"]\n', encoding="utf-8")
    by_brief = strictly(command("study", path, "--json").out)
    by_flags = strictly(command("study", path.with_name("design.toml"), "--mass", "1.4 kg", "--margin", "20 g", "--length",
                                "9 inch", "--speed-rule", "hold-rpm", "--speed-rule", "as-motored", "--json").out)
    assert by_flags == by_brief
    assert [(port["law"], port["speed_rule"]) for port in by_flags["ports"]] == [
        ("mass", "hold-rpm"), ("mass", "as-motored"), ("length", "hold-rpm"), ("length", "as-motored")]


# The contract of study.json.

ALWAYS = {"mass", "length", "width", "height", "track", "wheelbase", "cg_height", "drive.ratio", "battery.voltage",
          "battery.resistance", "drive.motor.kv", "drive.motor.resistance", "drive.motor.no_load_current", "drive.motors",
          "wheel.diameter", "wheel.friction", "wheel.count", "wheel.load_share"}
WITH_ROTOR = {"rotor.diameter", "rotor.mass", "rotor.teeth", "rotor.inertia", "rotor.motor.kv", "rotor.motor.resistance",
              "rotor.motor.no_load_current", "rotor.motor.current_limit", "rotor.motor.diameter", "rotor.motor.inertia",
              "rotor.ratio"}
OF_EVERY_ROBOT = {"total_mass", "top_speed", "top_yaw_rate", "traction_acceleration", "arena_crossing_time", "pack_energy",
                  "match_energy", "peak_current"}
OF_A_ROTOR = {"rotor_inertia", "rotor_speed", "tip_speed", "rotor_energy", "angular_momentum", "specific_energy", "bite",
              "spin_up_time", "spin_down_time", "windage_power", "rotor_rim_stress", "rotor_peak_stress", "rush_margin",
              "hit_force", "throw_height", "recoil_speed", "shaft_stress", "bolt_shear_stress", "wall_stress"}
OF_AN_AXIS_ACROSS = {"gyro_lift_yaw_rate", "gyro_margin"}


@pytest.fixture
def told(command: Callable[..., Any], demo: Any) -> Any:
    """What ``study --json`` prints for a demo."""
    return strictly(command("study", demo.folder / "brief.toml", "--json").out)


def numbers_of(node: Any) -> list[float]:
    if isinstance(node, dict):
        return [number for value in node.values() for number in numbers_of(value)]
    if isinstance(node, list):
        return [number for value in node for number in numbers_of(value)]
    return [node] if isinstance(node, float) else []


def test_study_json_has_every_key_of_the_contract(told: Any, demo: Any) -> None:
    assert told["schema"] == 1
    assert {"reference", "ports", "groups"} <= set(told)
    reference = told["reference"]
    assert {"name", "mass", "variables", "quantities"} <= set(reference)
    assert reference["name"] == tomllib.loads((demo.folder / "design.toml").read_text(encoding="utf-8"))["name"]
    for entry in reference["quantities"].values():
        assert {"value", "unit", "branch"} <= set(entry)
    assert len(told["ports"]) >= 3
    for port in told["ports"]:
        assert {"law", "speed_rule", "drive_rule", "factor", "naive_factor", "mass", "mass_limit", "variables", "quantities",
                "problems"} <= set(port)
        for entry in port["quantities"].values():
            assert {"value", "unit", "similarity_ratio", "drift"} <= set(entry)
            if "exponent" in entry:
                assert entry["exponent_kind"] == ("exact" if isinstance(entry["exponent"], str) else "local")
                assert isinstance(entry["exponent"], float) or re.fullmatch(r"-?\d+(/\d+)?", entry["exponent"])
        for problem in port["problems"]:
            assert set(problem) == {"code", "text"}
            assert re.fullmatch("[a-z_]+", problem["code"])
    for group in told["groups"]:
        assert {"name", "expression", "reference", "ports"} <= set(group)
        assert len(group["ports"]) == len(told["ports"])
        for power in group["expression"].values():
            assert str(Fraction(power)) == power
    assert all(math.isfinite(number) for number in numbers_of(told))


def test_variables_and_quantities_are_there_where_the_design_has_them(told: Any, demo: Any) -> None:
    variables, quantities = ALWAYS, OF_EVERY_ROBOT
    if demo.design.has_rotor:
        variables, quantities = variables | WITH_ROTOR, quantities | OF_A_ROTOR
    across = "rotor.axis=across" in demo.design.traits
    level = across or "rotor.axis=along" in demo.design.traits
    if across:
        quantities = quantities | OF_AN_AXIS_ACROSS
    reference = told["reference"]
    assert variables <= set(reference["variables"])
    assert quantities <= set(reference["quantities"])
    for port in told["ports"]:
        added = set(port["variables"]) - set(reference["variables"])
        assert set(reference["variables"]) <= set(port["variables"])
        assert all(key.startswith("reference.") for key in added)
        missing = set(reference["quantities"]) - set(port["quantities"])
        codes = {problem["code"] for problem in port["problems"]}
        assert not missing or {"not_computed", "speed_unreachable"} & codes
    # What the design does not have is absent, not zero.
    for holder in (reference, *told["ports"]):
        assert across or not OF_AN_AXIS_ACROSS & set(holder["quantities"])
        assert level or "rotor.lean" in holder["variables"] or "gyro_torque" not in holder["quantities"]
        if not demo.design.has_rotor:
            assert not OF_A_ROTOR & set(holder["quantities"])
            assert not [key for key in holder["variables"] if key.startswith("rotor")]
        if "rotor.transmission=belt" not in demo.design.traits:
            assert not [name for name in holder["quantities"] if name.startswith("belt_")]
    if "rotor.transmission=hub" in demo.design.traits:
        assert reference["variables"]["rotor.motor.inertia"] == 0


def test_the_three_masses_are_one(told: Any) -> None:
    for holder in (told["reference"], *told["ports"]):
        assert holder["mass"] == holder["variables"]["mass"] == holder["quantities"]["total_mass"]["value"]


def test_ratio_similarity_and_drift_follow_from_their_definitions(told: Any, demo: Any) -> None:
    from scaling.formulas import book

    reference = told["reference"]
    for port in told["ports"]:
        factor, mu = port["factor"], port["mass"] / reference["mass"]
        volts = port["variables"]["battery.voltage"] / reference["variables"]["battery.voltage"]
        for name, entry in port["quantities"].items():
            own = reference["quantities"][name]["value"] if name in reference["quantities"] else 0
            if own:
                assert entry["ratio"] == pytest.approx(entry["value"] / own, rel=1e-12)
            a, b, c, d, _ = map(float, book.quantities()[name].dimension)
            for clock, tau in (("gravity", math.sqrt(factor)), ("driver", 1.0)):
                current = mu * factor**2 / tau**3 / volts
                alike = mu**a * factor**b * tau**c * current**d
                assert entry["similarity_ratio"][clock] == pytest.approx(alike, rel=1e-12)
                if own:
                    assert entry["drift"][clock] == pytest.approx(entry["ratio"] / alike, rel=1e-12)


def test_groups_of_the_trade_are_shown_with_their_values(told: Any, demo: Any) -> None:
    found = {group["name"]: group for group in told["groups"]}
    wanted = {"speed over sqrt(g L)"}
    if demo.design.has_rotor:
        wanted |= {"rush margin", "bite over tooth height", "specific energy over g L", "spinning stress over strength"}
    if "rotor.axis=across" in demo.design.traits:
        wanted |= {"gyro margin"}
    assert wanted <= set(found)
    for group in found.values():
        for place, holder in enumerate([told["reference"], *told["ports"]]):
            value = group["reference"] if place == 0 else group["ports"][place - 1]
            values = holder["variables"] | {name: entry["value"] for name, entry in holder["quantities"].items()}
            if value is not None:
                product = math.prod(values[member] ** float(Fraction(power)) for member, power in group["expression"].items())
                assert value == pytest.approx(product, rel=1e-12)
            else:
                assert not set(group["expression"]) <= set(values)


# Quantities from the variables, by the definitions that the study's users are given.


def recomputed(v: dict[str, float], speed: float | None) -> dict[str, float]:
    """A dozen quantities of a robot; ``speed`` is the rotor's, rad/s."""
    pack_sag = v["drive.motor.no_load_current"] * (
        v["drive.motor.resistance"] + v["drive.motors"] * v["battery.resistance"])
    top_speed = v["drive.motor.kv"] * (v["battery.voltage"] - pack_sag) / v["drive.ratio"] * v["wheel.diameter"] / 2
    found = {
        "total_mass": v["mass"],
        "weight": v["mass"] * v["gravity"],
        "mass_use": v["mass"] / v["mass_limit"],
        "top_speed": top_speed,
        "body_lengths_per_second": top_speed / v["length"],
        "froude_speed": top_speed / math.sqrt(v["gravity"] * v["length"]),
        "reaction_distance": top_speed * v["driver.reaction_time"],
        "pack_energy": v["battery.voltage"] * v["battery.capacity"],
    }
    if speed is None:
        return found
    momentum = v["rotor.inertia"] * speed
    energy = v["rotor.inertia"] * speed**2 / 2
    return found | {
        "rotor_inertia": v["rotor.inertia"],
        "tip_speed": speed * v["rotor.diameter"] / 2,
        "rotor_energy": energy,
        "angular_momentum": momentum,
        "specific_energy": energy / v["mass"],
        "energy_lift_lengths": energy / (v["mass"] * v["gravity"] * v["length"]),
        "rotor_rim_stress": v["rotor.density"] * (speed * v["rotor.diameter"] / 2) ** 2,
        "rotor_reynolds": speed * v["rotor.diameter"] ** 2 / 4 / v["air.viscosity"],
        # The robot's advance while the next tooth comes round.
        "bite": top_speed * (2 * math.pi / speed) / v["rotor.teeth"],
    }


def speed_of(holder: Any) -> float | None:
    entry = holder["quantities"].get("rotor_speed")
    return None if entry is None else float(entry["value"])


def test_a_dozen_quantities_recomputed_from_the_variables(told: Any, demo: Any) -> None:
    for holder in (told["reference"], *told["ports"]):
        expected = recomputed(holder["variables"], speed_of(holder))
        assert len(expected) >= (16 if demo.design.has_rotor else 8)
        for name, value in expected.items():
            assert holder["quantities"][name]["value"] == pytest.approx(value, rel=1e-12), name


def test_gyro_quantities_recomputed_from_the_variables(told: Any, demo: Any) -> None:
    """Mean couple C = I omega omega_p (R. S. Khurmi & J. K. Gupta, Theory of Machines, ch. 14; secondary)."""
    for holder in (told["reference"], *told["ports"]):
        quantities, v = holder["quantities"], holder["variables"]
        yaw = quantities["top_yaw_rate"]["value"]
        if "gyro_torque" in quantities:
            momentum = v["rotor.inertia"] * (speed_of(holder) or 0)
            across_turn = math.sin(v["rotor.lean"]) if "rotor.axis=upright" in demo.design.traits else 1.0
            assert quantities["gyro_torque"]["value"] == pytest.approx(momentum * yaw * across_turn, rel=1e-12)
        if "rotor.axis=across" in demo.design.traits:
            lift = quantities["gyro_lift_yaw_rate"]["value"]
            # At that rate the couple equals the moment of the side's load about the middle.
            held = v["mass"] * v["gravity"] * v["wheel.load_share"] * v["track"] / 2
            assert v["rotor.inertia"] * (speed_of(holder) or 0) * lift == pytest.approx(held, rel=1e-12)
            assert quantities["gyro_margin"]["value"] == pytest.approx(lift / yaw, rel=1e-12)


def test_yaw_rate_is_that_of_opposed_sides_or_less(told: Any) -> None:
    """2 v / track without skid losses; with them less, never more."""
    for holder in (told["reference"], *told["ports"]):
        v = holder["variables"]
        bound = 2 * holder["quantities"]["top_speed"]["value"] / v["track"]
        found = holder["quantities"]["top_yaw_rate"]["value"]
        assert 0 < found <= bound * (1 + 1e-12)


def test_arena_crossing_is_the_integral_of_force_over_mass(told: Any) -> None:
    """By a general integrator of differential equations: grip, current limit and motor line, whichever is least."""
    for holder in (told["reference"], *told["ports"]):
        v, quantities = holder["variables"], {name: entry["value"] for name, entry in holder["quantities"].items()}
        speed = quantities["top_speed"]
        weight = v["mass"] * v["gravity"]
        grip = v["wheel.friction"] * weight * v["wheel.load_share"] * v["wheel.driven"] / v["wheel.count"]
        # Rolling resistance under the wheels and friction under the skid come off the force at every speed.
        drag = weight * (v["wheel.rolling_resistance"] * v["wheel.load_share"]
                         + v["wheel.skid_friction"] * (1 - v["wheel.load_share"]))
        lever = v["drive.ratio"] / v["drive.motor.kv"] / (v["wheel.diameter"] / 2)
        limit = v["drive.motors"] * (v["drive.motor.current_limit"] - v["drive.motor.no_load_current"]) * lever
        stall = v["drive.motors"] * lever * (
            v["battery.voltage"] / (v["drive.motor.resistance"] + v["drive.motors"] * v["battery.resistance"])
            - v["drive.motor.no_load_current"])

        def motion(_: float, state: np.ndarray, m: float = v["mass"], caps: tuple[float, float] = (grip, limit),
                   line: tuple[float, float] = (stall, speed), drag: float = drag) -> list[float]:
            return [state[1], (min(*caps, line[0] * (1 - state[1] / line[1])) - drag) / m]

        def there(_: float, state: np.ndarray, length: float = v["arena.length"]) -> float:
            return float(state[0] - length)

        there.terminal = True  # type: ignore[attr-defined]
        run = solve_ivp(motion, (0, 100), [0, 0], events=there, rtol=1e-9, atol=1e-12, max_step=0.02)
        assert quantities["arena_crossing_time"] == pytest.approx(float(run.t_events[0][0]), rel=1e-4)


def test_rush_margin_is_the_race_of_two_times(told: Any, demo: Any) -> None:
    for holder in (told["reference"], *told["ports"]):
        quantities = holder["quantities"]
        if "rush_margin" in quantities:
            race = quantities["half_arena_crossing_time"]["value"] / quantities["spin_up_time_80_energy"]["value"]
            assert quantities["rush_margin"]["value"] == pytest.approx(race, rel=1e-12)
        assert demo.design.has_rotor or "rush_margin" not in quantities
