"""Changes to a port that are tried together give what each gives by itself, and searches for them what each finds."""

from __future__ import annotations

from collections.abc import Callable, Generator
from dataclasses import replace
from pathlib import Path

import pytest

from conftest import Demo
from scaling.decide.abreast import abreast, searched
from scaling.decide.mends import mend_of, with_mends
from scaling.decide.verdict import decided
from scaling.decide.whole import whole_study
from scaling.formulas import book
from scaling.port.brief import load_brief
from scaling.robot.design import load_design
from scaling.shop.materials import material
from scaling.study.tried import Trials, tried

CHANGES = (
    {"port.rotor.ratio": "1.5"},
    {"port.rotor.ratio": "1.7"},
    {"port.track": "0.9 mm"},  # a machine that no risk spares
    {"port.battery.mass": "200 g"},  # heavier, so that the mass law's factor is another
    {"port.no.such": "1"},
    {"port.rotor.mass": "300 g", "port.rotor.ratio": "1.5"},
)


@pytest.mark.parametrize("law", ["mass", "length"])
def test_trials_together_are_those_of_each(main_demo: Demo, law: str) -> None:
    port = next(each for each in main_demo.study.ports if each.request.law == law)
    names = book.of_role("survival", among=port.quantities)
    found = Trials(main_demo.study, port).together(CHANGES, names)
    for changes, together in zip(CHANGES, found, strict=True):
        alone = tried(main_demo.study, port, changes, names)
        assert (together is None) == (alone is None) == (list(changes) == ["port.no.such"])
        if together is not None and alone is not None:
            assert together.values == pytest.approx(alone.values, rel=1e-12)
            assert (together.added, together.missed) == (alone.added, alone.missed)
    heavier = found[3]
    assert heavier is not None and heavier.added > 0.05


def test_a_glance_stays_at_the_ports_own_factor_and_a_trial_does_not(main_demo: Demo) -> None:
    """A pack of twice the mass leaves less of the limit to the rest, so that port and rotor get smaller."""
    port = next(each for each in main_demo.study.ports if each.request.law == "mass")
    trials, heavier = Trials(main_demo.study, port), {"port.battery.mass": f"{2 * port.variables['battery.mass']} kg"}
    seen = trials.glance(heavier, "rotor_inertia")
    (smaller,) = trials.together([heavier], ["rotor_inertia"])
    assert seen == pytest.approx(port.quantities["rotor_inertia"].value)
    assert smaller is not None and smaller.values["rotor_inertia"] < 0.95 * seen


def test_mends_sought_abreast_are_those_of_each_risk(demo: Demo) -> None:
    told = decided(demo.study).told
    assert told is not None
    standing = [risk for risk in told.risks if risk.stands]
    found = [risk.mend for risk in with_mends(demo.study, told.port, standing)]
    for risk, mend in zip(standing, found, strict=True):
        alone = mend_of(demo.study, told.port, risk)
        assert (mend is None) == (alone is None)
        if mend is not None and alone is not None:
            assert mend.value == pytest.approx(alone.value, rel=1e-12)
            assert replace(mend, value=0.0) == replace(alone, value=0.0)


def test_searches_abreast_wait_for_each_other_and_end_when_they_do() -> None:
    def counted(number: int) -> Generator[list[int], list[int], str]:
        while number > 0:
            (number,) = yield [number]
        return "done"

    def inner(numbers: list[int]) -> Generator[list[int], list[int], list[str]]:
        return (yield from abreast([counted(each) for each in numbers]))

    asked: list[list[int]] = []

    def lower(numbers: list[int]) -> list[int]:
        asked.append(numbers)
        return [each - 1 for each in numbers]

    found = searched(abreast([inner([1, 3]), inner([]), inner([2])]), lower)
    assert found == [["done", "done"], [], ["done"]]
    assert asked == [[1, 3, 2], [2, 1], [1]]


def test_a_rotor_of_a_material_of_its_own_takes_another(edit: Callable[..., Path], main_demo: Demo) -> None:
    """Where no part has the rotor's material, what follows from another one is looked up anew."""
    folder = main_demo.design.file.parent
    brief = load_brief(edit(folder, {"rotor.material": '"tpu95a"'}, {"port.rotor.material": '"tool-steel-s7"'}))
    study = whole_study(load_design(brief.design_file), brief)
    steel = material("tool-steel-s7")
    for port in study.ports:
        if port.variables:
            assert port.variables["rotor.poisson"] == steel.poisson
            assert port.variables["rotor.density"] == steel.density.typical
