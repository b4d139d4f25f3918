"""What is likeliest to go wrong, and the mends: each number is what a study with the mend written into it gives."""

from __future__ import annotations

import shutil
import tomllib
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from conftest import Demo
from scaling.decide.chance import survived_of
from scaling.decide.mends import risks_with_mends
from scaling.decide.risk_kinds import KINDS
from scaling.decide.risks import NEAREST, Risk, burden, burdens, risks_of
from scaling.decide.verdict import decided
from scaling.formulas import book
from scaling.port.brief import load_both, read_brief
from scaling.port.changes import path_of, value_of, written
from scaling.study.results import Port, Study
from scaling.study.run import run_study

CODES = [
    *["gyro_stronger", "tips_in_turn", "nose_lifts", "rush_lost", "shallow_bite", "belt_slips", "belt_breaks"],
    *["pulley_cut", "mount_breaks", "shaft_bends", "rotor_fails", "bearing_overloaded", "joint_fails", "wedge_bends"],
    *["wall_fails", "lid_fails", "lands_hard", "drive_slips", "drive_overheats", "motor_overheats"],
    *["pack_overloaded", "browns_out", "cannot_right", "catches_seam", "stuck_inverted", "slow_to_service"],
]
"""The codes that programs go by; creep_untested stands beside them."""


@pytest.fixture(scope="module")
def study(main_folder: Path) -> Study:
    """The main demo's study."""
    return run_study(*load_both(main_folder / "brief.toml"))


def test_every_code_has_a_row_and_no_row_another_code() -> None:
    assert {kind.code for kind in KINDS} == set(CODES)


def test_every_survival_margin_is_of_one_row() -> None:
    survival = book.of_role("survival")
    rows = Counter(name for kind in KINDS for name in kind.among(dict.fromkeys(survival)))
    assert {name: rows[name] for name in survival if rows[name] != 1} == {}


def test_every_quantity_of_a_row_is_in_the_book() -> None:
    named = [name for kind in KINDS for name in kind.names if not name.endswith("_")]
    assert [name for name in named if name not in book.quantities] == []


def test_the_worst_stands_first_and_a_risk_that_stands_has_its_numbers(study: Study) -> None:
    for port in study.ports:
        risks = risks_of(study, port)
        standing = [risk for risk in risks if risk.stands and risk.quantity]
        rises = [round(risk.rise, 6) for risk in standing]
        assert rises == sorted(rises, reverse=True)
        for risk in standing:
            assert risk.quantity is not None and risk.value == port.quantities[risk.quantity].value
            assert risk.reference == study.reference.get(risk.quantity)
            assert risk.limit is not None


def test_the_nearest_are_told_even_where_nothing_stands_and_count_for_nothing(study: Study) -> None:
    itself = run_study(*load_both(study.design.file.parent / "brief.toml")).ports[0]
    risks = risks_of(study, itself)
    near = [risk for risk in risks if not risk.stands]
    assert len(near) == NEAREST
    assert burden(risks) == pytest.approx(sum(max(0.0, risk.rise) for risk in risks if risk.stands))


def test_creep_is_on_the_list_until_its_test_is_recorded(
    edit: Callable[..., Path], main_folder: Path, study: Study
) -> None:
    assert any(risk.code == "creep_untested" for risk in risks_of(study, study.ports[0]))
    design, brief = load_both(edit(main_folder, design={"rotor.creep_test": '"2026-03-01"'}))
    tested = replace(study, design=design, brief=brief)
    assert not any(risk.code == "creep_untested" for risk in risks_of(tested, tested.ports[0]))


def test_a_pusher_has_no_rotor_to_creep(pusher_demo: Demo) -> None:
    found = run_study(*load_both(pusher_demo.folder / "brief.toml"))
    codes = {risk.code for port in found.ports for risk in risks_of(found, port)}
    assert not codes & {"creep_untested", "rush_lost"}


def _applied(study: Study, port: Port, risk: Risk, folder: Path) -> Port:
    """The same port of a brief into which a mend's keys are written by hand."""
    assert risk.mend is not None and study.brief.file is not None
    shutil.copytree(study.brief.file.parent, folder)
    path = folder / study.brief.file.name
    tables = tomllib.loads(path.read_text(encoding="utf-8"))
    for key, text in risk.mend.changes.items():
        written(tables, path_of(key), value_of(text))
    found = run_study(study.design, read_brief(tables, path))
    return next(each for each in found.ports if each.request == port.request)


@pytest.mark.parametrize("name", ["tarvindle", "harrowmoth", "plinthling"])
def test_a_mend_written_into_the_brief_gives_what_it_promised(
    demos: tuple[Demo, ...], name: str, tmp_path: Path
) -> None:
    demo = next(each for each in demos if each.folder.name == name)
    found = run_study(*load_both(demo.folder / "brief.toml"))
    told = decided(found).told
    assert told is not None
    mended = [risk for risk in risks_with_mends(found, told.port) if risk.mend is not None]
    assert mended
    for place, risk in enumerate(mended):
        port = _applied(found, told.port, risk, tmp_path / str(place))
        assert risk.quantity is not None and risk.mend is not None and risk.value is not None
        assert port.quantities[risk.quantity].value == pytest.approx(risk.mend.value, rel=0.01)
        assert risk.mend.value > risk.value
        assert set(port.misses) <= set(told.port.misses)


def _counted(port: Port, name: str) -> float:
    """A port's quantity, NaN where it is absent or there only if its speed were reached."""
    entry = port.quantities.get(name)
    return np.nan if entry is None or entry.if_reached else entry.value


def test_burdens_of_many_ports_are_those_of_each(demo: Demo) -> None:
    """Ports side by side as arrays, one of them without what the others have, and margins scattered at random."""
    study = demo.study
    ports = [port for port in study.ports if port.factor is not None]
    rng = np.random.default_rng(7)
    names = dict.fromkeys(name for port in ports for name in port.quantities)
    scattered = [
        replace(port, quantities={
            name: replace(entry, value=entry.value * float(np.exp(rng.normal(0.0, 0.7))))
            for name, entry in port.quantities.items() if rng.random() > 0.1
        })
        for port in ports * 4
    ]  # fmt: skip
    values = {
        name: np.array([_counted(port, name) for port in scattered])
        for name in names
    }
    survived = survived_of(demo.design.variables)
    found = burdens(values, study.reference, survived)
    assert found == pytest.approx([burden(risks_of(study, port)) for port in scattered], abs=1e-6)
    assert max(found) > min(found)
