"""What a builder may leave out: the estimates that stand in, what is absent without it, and the short starters."""

from __future__ import annotations

import copy
import json
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from left_out import Case, cases, left_out, sample

from scaling.files.toml import flatten
from scaling.formulas import book
from scaling.port.brief import load_brief
from scaling.robot.design import Design, load_design, read_design
from scaling.robot.estimates import ESTIMATED
from scaling.robot.schema import DESIGN
from scaling.robot.starters import STARTERS
from scaling.study.absent import absent
from scaling.study.beside import reference_values
from scaling.study.run import run_study

KINDS = ("spinner", "pusher")
MOST_KEYS = 35


def plain(path: Path) -> dict[str, Any]:
    """The plain keys of a design file, as the file gives them."""
    maps = [table.name for table in DESIGN.tables if table.shape != "table"]
    return flatten(tomllib.loads(path.read_text(encoding="utf-8")), maps, path)


def needs_of(design: Design) -> dict[str, tuple[str, ...]]:
    return {row.quantity: row.needs for row in absent(design, design.variables, reference_values(design))}


# One key at a time.


@pytest.mark.no_cover
@pytest.mark.parametrize("case", sample(0.05, seed=7), ids=str)
def test_a_key_that_may_be_left_out_leaves_a_study_that_says_what_it_costs(case: Case) -> None:
    outcome = left_out(case)
    assert outcome.wrong == ""


def test_the_sweep_sees_what_is_lost(main_folder: Path) -> None:
    every = {(case.brief.parent.name, case.key): case for case in cases()}
    ceiling = left_out(every[main_folder.name, "arena.ceiling"])
    assert (ceiling.refused, ceiling.wrong) == (False, "")
    assert ceiling.lost > 10
    assert left_out(every[main_folder.name, "rotor.motor.kv"]).refused


# Estimates.


def test_what_is_left_out_is_estimated_and_told(
    edit: Callable[..., Path], main_folder: Path, command: Callable[..., Any]
) -> None:
    left = ("rotor.motor.resistance", "rotor.motor.no_load_current", "battery.resistance", "cg_ahead", "wheel.friction")
    brief = edit(main_folder, design=dict.fromkeys(left))
    (row, _) = json.loads(command("check", brief.with_name("design.toml"), brief, "--json").out)
    told = {each["key"]: each for each in row["estimates"]}
    assert set(left) - {"cg_ahead"} <= set(told)  # the parts' places give that one
    for key, each in told.items():
        assert each["low"] <= each["value"] <= each["high"], key
        assert each["rule"], key
        assert each["source"], key
        assert each["unit"] == book.variables[key].unit
    assert row["variables"]["battery.resistance"] == told["battery.resistance"]["value"]
    shown = command("check", brief).out
    assert "battery.resistance" in shown.partition("Estimated, since")[2]
    assert "common practice" in shown
    study = json.loads(command("study", brief, "--json").out)
    assert {each["key"] for each in study["reference"]["estimates"]} == set(told)
    assert "battery.resistance" in command("study", brief, "--all").out.partition("Estimated, since")[2]


def test_estimates_stand_in_report_log_tables_and_sources(
    edit: Callable[..., Path], main_folder: Path, command: Callable[..., Any], tmp_path: Path
) -> None:
    brief = edit(main_folder, design={"rotor.motor.resistance": None, "arena.ceiling": None})
    assert command("study", brief, "-o", tmp_path / "OUT").status == 0
    texts = {name: (tmp_path / "OUT" / name).read_text(encoding="utf-8").replace("\\", "")
             for name in ("report.html", "formulas.html", "build_log.md")}  # fmt: skip
    for name in ("report.html", "formulas.html"):
        assert "rotor.motor.resistance" in texts[name].partition("Estimated, since the design file does not say")[2]
    assert "rotor.motor.resistance" in texts["build_log.md"].partition("Estimated, not measured")[2]
    assert "arena.ceiling" in texts["formulas.html"].partition("Absent for want of an input")[2]
    for name, key in (("estimates", "rotor.motor.resistance"), ("absent", "arena.ceiling")):
        assert key in (tmp_path / "OUT" / "tables" / f"{name}.csv").read_text(encoding="utf-8")
    listed = json.loads(command("sources", tmp_path / "OUT", "--json").out)
    work = next(row for row in listed if row["key"] == "budinger2020")
    assert "rotor.motor.resistance" in work["quantities"]


def test_an_estimate_follows_the_factor_as_a_stated_number(edit: Callable[..., Path], main_folder: Path) -> None:
    brief = edit(main_folder, design={"rotor.motor.resistance": None})
    design = load_design(brief.with_name("design.toml"))
    port = run_study(design, load_brief(brief)).ports[0]
    assert port.factor is not None
    grown = port.variables["rotor.motor.resistance"] / design.variables["rotor.motor.resistance"]
    volts = port.variables["battery.voltage"] / design.variables["battery.voltage"]
    assert grown == pytest.approx(port.factor**-3 * volts**2)  # as SIMILAR_MOTOR has it


def test_keys_says_what_is_estimated(command: Callable[..., Any]) -> None:
    rows = {row["key"]: row for row in json.loads(command("keys", "rotor.motor", "--json").out)}
    assert {key for key, row in rows.items() if row["estimated"]} == {"resistance", "no_load_current", "inertia"}
    assert rows["resistance"]["required"] == "no"
    assert "estimated" in command("keys", "battery").out


def test_no_parts_need_a_weighed_mass(refused: Callable[..., str], command: Callable[..., Any], tmp_path: Path) -> None:
    text = (STARTERS / "pusher_short.toml").read_text(encoding="utf-8")
    path = tmp_path / "design.toml"
    path.write_text(text.replace('mass = "500 g"', "", 1), encoding="utf-8")
    refused(command("check", path), "mass", "[[parts]]")
    path.write_text(text.replace('mass = "500 g"', 'mass = "100 g"'), encoding="utf-8")
    refused(command("check", path), "mass", "100.0 g")


# The short starters.


@pytest.mark.parametrize("kind", KINDS)
def test_a_short_starter_states_few_keys_and_studies_in_full(
    kind: str, command: Callable[..., Any], tmp_path: Path
) -> None:
    folder = tmp_path / "robot"
    assert command("init", folder, "--kind", kind, "--short").status == 0
    said = plain(folder / "design.toml")
    assert len(said) <= MOST_KEYS
    assert not set(said) & (ESTIMATED - {"attacker.diameter"})
    study = json.loads(command("study", folder / "brief.toml", "--json").out)
    whole = load_design(STARTERS / f"{kind}_design.toml")
    for row in (study["reference"], *study["ports"]):
        names, listed = set(row["quantities"]), {each["quantity"] for each in row["absent"]}
        if "factor" in row or row is study["reference"]:
            assert not listed & set(book.of_role("handling"))
            assert not listed & names
    own = set(study["reference"]["quantities"])
    handling = set(book.of_role("handling", among=reference_values(whole)))
    assert handling <= own
    listed = {each["quantity"]: each["needs"] for each in study["reference"]["absent"]}
    for name in set(reference_values(whole)) - own:
        assert name in listed, name


@pytest.mark.parametrize("kind", KINDS)
def test_a_short_starter_judges_the_parts_that_it_states(kind: str) -> None:
    design = load_design(STARTERS / f"{kind}_short.toml")
    survival = set(book.of_role("survival", among=reference_values(design)))
    expected = {
        "spinner": {"rotor_peak_stress_margin", "rotor_mean_stress_margin"},
        "pusher": {"wedge_bend_margin"},
    }
    assert survival == expected[kind]


@pytest.mark.parametrize("kind", KINDS)
def test_a_stated_number_takes_the_estimate_s_place(kind: str) -> None:
    path = STARTERS / f"{kind}_short.toml"
    tables = tomllib.loads(path.read_text(encoding="utf-8"))
    for each in load_design(path).estimates:
        if each.key not in ESTIMATED:
            continue  # the opponent's table stands or falls as a whole
        more = copy.deepcopy(tables)
        *names, last = each.key.split(".")
        at = more
        for name in names:
            at = at.setdefault(name, {})
        unit = book.variables[each.key].unit
        at[last] = each.value if unit == "1" else f"{each.value!r} {unit}"
        stated = read_design(more, path)
        assert each.key not in {other.key for other in stated.estimates}
        assert stated.variables[each.key] == pytest.approx(each.value)


# What is said to bring a quantity brings it.

EXAMPLES = {
    "m": "8 mm", "kg": "5 g", "N": "900 N", "N m": "1 N m", "1": 0.7, "N/m": "50 N/mm", "rad": "40 deg", "A": "30 A",
    "N m/A": "5 mN m/A", "ohm": "0.05 ohm", "kg m^2": "3 kg mm^2", "m^2": "1 mm^2", "J/kg": "60 J/kg", "m/s": "40 m/s",
}  # fmt: skip
"""Values of the keys that no demo states, by unit."""

WORDS = {"material": "carbon-fibre-plate", "bolt": "M4", "bolt_class": "8.8", "pattern": "circle", "kind": "toothed"}


def example(key: str, donors: dict[str, Any], needs: tuple[str, ...]) -> Any:
    """A value for a key: a demo's, else one of its unit or kind."""
    known = DESIGN.keys[key]
    if key == "body_height":
        return "30 mm"  # less than the wheels, so that they reach the floor upside down
    if key in donors and not (key == "rotor.belt.kind" and "rotor.belt.pitch" in needs) and known.name != "material":
        return donors[key]
    if known.kind != "number":
        if key == "wall.material" and "wall.end_hold" in needs:
            return "uhmwpe"  # a strap of it yields, a laminate's does not
        return WORDS.get(known.name) or (known.words or ("",))[-1]
    return 4 if known.allowed == "count" else EXAMPLES[known.unit]


@pytest.mark.parametrize("name", [f"{kind}_{length}.toml" for kind in KINDS for length in ("short", "design")])
def test_stating_what_is_needed_brings_the_quantity(name: str, demos: Any) -> None:
    path = STARTERS / name
    tables = tomllib.loads(path.read_text(encoding="utf-8"))
    donors: dict[str, Any] = {}
    for demo in demos:
        donors = plain(demo.design.file) | donors
    by_needs: dict[tuple[str, ...], set[str]] = {}
    for quantity, needs in needs_of(load_design(path)).items():
        by_needs.setdefault(needs, set()).add(quantity)
    assert len(by_needs) > 20
    for needs, quantities in by_needs.items():
        more = copy.deepcopy(tables)
        for key in needs:
            *names, last = key.split(".")
            at = more
            for each in names:
                at = at.setdefault(each, {})
            at[last] = example(key, donors, needs)
        design = read_design(more, path)
        still = needs_of(design)
        for quantity in quantities & set(still):  # what a value may bring, and this one does not
            assert not set(still[quantity]) & set(needs), (quantity, still[quantity], needs)
        assert quantities & set(reference_values(design)), needs


# What cannot be had is not listed.


def test_what_a_design_cannot_have_is_not_listed(demos: Any) -> None:
    for demo in demos:
        keys = {key for needs in needs_of(demo.design).values() for key in needs}
        if not demo.design.has_rotor:
            assert not {key for key in keys if key.startswith(("rotor", "opponent"))}
        elif demo.design.choices["rotor.transmission"] == "hub":
            assert not {key for key in keys if key.startswith("rotor.belt")}
        assert "rotor.axis" not in keys
        assert not keys & set(demo.design.said)


def test_check_lists_behind_a_summary(command: Callable[..., Any], main_folder: Path) -> None:
    short, full = (command("check", main_folder / "design.toml", *more).out for more in ((), ("--all",)))
    assert "absent for want of an input; --all" in short
    assert "battery.fuse" not in short
    assert "battery.fuse" in full
    brief = main_folder / "brief.toml"
    assert "battery.fuse" in command("study", brief, "--all").out


def test_places_that_cover_too_little_ask_for_more_places(edit: Callable[..., Path], main_folder: Path) -> None:
    path = edit(main_folder).with_name("design.toml")
    text = path.read_text(encoding="utf-8")
    lines = [line for line in text.splitlines(True) if not line.startswith('"side walls" =')]
    path.write_text("".join(lines), encoding="utf-8")
    assert needs_of(load_design(path))["tip_over_time"] == ('positions."side walls"',)
