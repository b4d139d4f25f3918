"""Every law, rule and part kind is one record that says all of it, so that another is one more record."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from scaling.decide.verdicts import factor_source, rule_lines
from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.port.asked import LawRequest
from scaling.port.brief import load_brief
from scaling.port.inputs import inputs_at, port_parts
from scaling.port.laws import LAWS, Closure, Law, check_law, law_factor
from scaling.port.rules import DRIVE_RULES, SPEED_RULES, DriveRule, SpeedRule, pure_inputs
from scaling.port.scaled import Scaled
from scaling.robot.design import load_design
from scaling.robot.kinds import KINDS, Kind
from scaling.robot.own_parts import OWN_PARTS, WORDS
from scaling.robot.parts import Part
from scaling.study.run import run_study

RECORDS = [*LAWS.items(), *SPEED_RULES.items(), *DRIVE_RULES.items()]


@pytest.mark.parametrize(("name", "record"), RECORDS, ids=[name for name, _ in RECORDS])
def test_a_record_says_its_sentence(name: str, record: Any) -> None:
    assert record.name == name
    assert str(record) == record.sentence
    assert record.sentence[0].islower()
    assert not record.sentence.endswith(".")


# Laws.


@pytest.mark.parametrize("name", LAWS)
def test_a_law_takes_what_its_record_says(name: str, demo: Any) -> None:
    """Refused without a target that it needs, with one that it has no use for, and with a key unless it takes one."""

    def refused(key: str | None, target: float | None) -> str | None:
        try:
            check_law(name, key, target, None, "laws[1]")
        except InputError as error:
            return error.key
        return None

    law = LAWS[name]
    usual = None if law.target == "none" else 0.2
    assert refused(None, usual) is None
    assert (refused(None, None) == "laws[1].target") == (law.target == "required")
    assert (refused(None, 0.2) == "laws[1].target") == (law.target == "none")
    assert (refused("track", usual) is None) == law.takes_key
    assert refused("wheel.friction", usual) == "laws[1].key"
    key = law.compares(demo.design, None)
    request = LawRequest(name, None, target=None if law.target == "none" else 1.3 * demo.design.variables[key])
    factor = law_factor(demo.design, demo.brief, request, port_parts(demo.design, demo.brief)).factor
    assert factor is not None
    if law.closes_mass:
        port = run_study(demo.design, replace(demo.brief, requests=(request,))).ports[0]
        assert port.closure == ()
        assert port.variables["mass"] <= demo.brief.allowed_mass * (1 + 1e-12)
    if law.target != "none":
        assert factor == pytest.approx(1.3, rel=1e-12)


def test_another_law_is_one_more_record(main_demo: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    law = Law(
        "twice", "everything is twice as long", "said so", lambda _design, _key: "length", lambda *_asked: Closure(2.0)
    )
    monkeypatch.setitem(LAWS, law.name, law)
    brief = replace(main_demo.brief, requests=(LawRequest("twice", "hold-tip-speed"),))
    study = run_study(main_demo.design, brief)
    assert study.ports[0].factor == 2.0
    assert study.ports[0].closure  # its mass is closed by the brief's levers
    assert factor_source(study.ports[0]) == "said so"
    assert "law twice: everything is twice as long" in rule_lines(study)


# Rules.


@pytest.mark.parametrize("name", SPEED_RULES)
def test_a_speed_rule_s_pure_power_is_that_of_its_step(name: str, all_solid: Callable[[], Any]) -> None:
    """A similar machine of one solid: where the step knows its power, it is the record's; the motor's has air drag.

    Top turn rate follows no single power for the drive motors' no-load current, whose loss is a few per cent of the
    voltage; the measured power is near that without.
    """
    design, brief = all_solid()
    found = inputs_at(design, brief, LawRequest("length", name), port_parts(design, brief), [1.0, 1.3])["rotor.speed"]
    pure = pure_inputs(name, "as-bought", design.traits)["rotor.speed"]
    assert found.power == (None if name in ("as-motored", "hold-gyro-margin") else pure)
    assert pure is not None
    if name != "as-motored":
        near = 1e-12 if found.power is not None else 0.01
        assert found.value[1] / found.value[0] == pytest.approx(1.3 ** float(pure), rel=near)


@pytest.mark.parametrize("name", DRIVE_RULES)
def test_a_drive_rule_s_pure_power_is_that_of_its_step(name: str, all_solid: Callable[[], Any]) -> None:
    design, brief = all_solid()
    request = LawRequest("length", "hold-rpm", name)
    found = inputs_at(design, brief, request, port_parts(design, brief), [1.0, 1.3])["drive.ratio"]
    pure = pure_inputs("hold-rpm", name, design.traits)["drive.ratio"]
    assert pure is not None
    assert found.power == (pure if name == "as-bought" else None)  # a wanted top speed meets the no-load loss
    near = 1e-12 if found.power is not None else 0.01
    assert found.value[1] / found.value[0] == pytest.approx(1.3 ** float(pure), rel=near)


def test_another_rule_is_one_more_record(main_demo: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    half = SpeedRule(
        "half-speed",
        "half the reference's rotor speed",
        lambda inputs, terms: inputs.having({"rotor.speed": Scaled(terms.design.variables["rotor.speed"] / 2, None)}),
        lambda _powers, _traits: Fraction(0),
    )
    geared = DriveRule(
        "geared-down",
        "a ratio of 50",
        lambda inputs, _terms: inputs.having({"drive.ratio": Scaled(50.0, Fraction(0))}),
        lambda _powers, _traits: Fraction(0),
    )
    monkeypatch.setitem(SPEED_RULES, half.name, half)
    monkeypatch.setitem(DRIVE_RULES, geared.name, geared)
    brief = replace(main_demo.brief, requests=(LawRequest("mass", half.name, geared.name),))
    port = run_study(main_demo.design, brief).ports[0]
    assert port.quantities["rotor_speed"].ratio == pytest.approx(0.5, rel=1e-12)
    assert port.variables["drive.ratio"] == 50.0


@pytest.fixture
def all_solid(main_folder: Path, edit: Callable[..., Path]) -> Callable[[], Any]:
    """The main demo made of one solid, and a brief that changes nothing."""

    def make() -> Any:
        pieces = (main_folder / "design.toml").read_text(encoding="utf-8").count("[[parts]]")
        changes: dict[str, str | None] = {"mass": None} | {own.kind_key: '"solid"' for own in OWN_PARTS}
        for place in range(1, pieces + 1):
            changes |= {f"parts[{place}].kind": '"solid"', f"parts[{place}].snap": None}
        path = edit(main_folder, changes)
        path.write_text(
            'reference = "design.toml"\nmass_limit = "9 kg"\nsnap = false\n[[laws]]\nlaw = "mass"\n', encoding="utf-8"
        )
        brief = load_brief(path)
        return load_design(brief.design_file), brief

    return make


# Kinds.


@pytest.mark.parametrize("name", KINDS)
def test_a_kind_does_what_its_record_says(name: str) -> None:
    """Mass by the power of the factor; of a sheet by its area's, times its thickness over the reference's."""
    kind = KINDS[name]
    assert (kind.name, kind.meaning[0].islower()) == (name, True)
    factors = np.array([0.5, 1.0, 3.0])
    part = Part("piece", name, 0.2, 3, thickness=0.002)
    held = replace(part, thickness_rule="hold")
    area = 0.6 * factors ** float(kind.power)
    assert part.at(factors) == pytest.approx(area * factors if kind.sheet else area, rel=1e-12)
    assert held.at(factors) == pytest.approx(area, rel=1e-12)
    grown = 0.002 * (np.ones(3) if kind.holds_thickness else factors)
    assert part.thickness_at(factors) == pytest.approx(grown, rel=1e-12)
    stays = kind.sheet or kind.holds_thickness
    assert held.thickness_at(factors) == pytest.approx(np.full(3, 0.002) if stays else grown, rel=1e-12)
    for each in (part, held):
        assert each.power is not None
        assert each.at(3.0) / each.at(1.0) == pytest.approx(3 ** float(each.power), rel=1e-12)


@pytest.mark.parametrize("name", KINDS)
def test_every_kind_may_stand_in_both_files(name: str, main_folder: Path, edit: Callable[..., Path]) -> None:
    path = edit(
        main_folder,
        {"battery.kind": f'"{name}"', "parts[2].kind": f'"{name}"', "parts[2].thickness": '"2 mm"'},
        {'parts."rotor controller".kind': f'"{name}"'},
    )
    brief = load_brief(path)
    design = load_design(brief.design_file)
    assert {part.name: part.kind for part in design.parts}["pack"] == name
    kinds = {part.name: part.kind for part in port_parts(design, brief)}
    assert (kinds["cross members"], kinds["rotor controller"]) == (name, name)
    port = run_study(design, brief).ports[0]
    told = [problem.text for problem in port.problems if problem.code == "bought_part_assumed"]
    assumed = ", ".join(part.name for part in port.parts if KINDS[part.kind].assumed)
    assert told[0].rstrip(".").endswith(assumed) if assumed else not told


def test_another_kind_is_one_more_record(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(KINDS, "rod", Kind("rod", "its length follows the factor, its section stays", Fraction(1)))
    assert Part("rail", "rod", 0.1, 2).at(3.0) == pytest.approx(0.6, rel=1e-12)
    assert Part("rail", "rod", 0.1, 2).power == 1


def test_the_book_knows_no_kinds_of_parts() -> None:
    """The words of kinds are the design file's: every own part has one, beside all words of the formulas."""
    kinds = {own.kind_key for own in OWN_PARTS}
    assert set(WORDS) == set(book.choices) | kinds
    assert kinds.isdisjoint(book.choices)
    for own in OWN_PARTS:
        assert WORDS[own.kind_key].allowed == tuple(KINDS)
        assert own.mass_key in book.variables
        assert own.count_key is None or own.count_key in book.variables
