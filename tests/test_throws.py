"""Throws as a builder is told of them: by the first tooth, by the engagement over what its model leaves open, at most.

Each number is that of a study of its own, of the same design with another radial share of the cutting force written in
its file.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from conftest import Demo
from scaling.decide.throws import doubt_text, farthest_lines, throws
from scaling.decide.verdicts import verdicts
from scaling.formulas import book
from scaling.port.brief import load_brief
from scaling.port.explain import explain, lines
from scaling.robot.design import load_design
from scaling.show.table import as_text
from scaling.show.tables.throws import throws_table
from scaling.study.results import Study
from scaling.study.run import run_study


def studied(path: Path) -> Study:
    brief = load_brief(path)
    return run_study(load_design(brief.design_file), brief)


@pytest.fixture(scope="module")
def hub_demo(demos: tuple[Demo, ...]) -> Demo:
    """The demo whose upright rotor throws sideways: which of its ports does so farthest hangs on the radial share."""
    return next(demo for demo in demos if "rotor.axis=upright" in demo.design.traits)


@pytest.mark.parametrize("share", [0.2, 1.0])
def test_each_throw_is_that_of_a_study_with_that_radial_share(
    hub_demo: Demo, edit: Callable[..., Path], share: float
) -> None:
    other = studied(edit(hub_demo.folder, {"rotor.radial_share": str(share)}))
    name = "throw_slide"
    found = {throw.whose: throw for throw in throws(hub_demo.study)}
    assert set(found) == {"reference", *hub_demo.study.letters}
    assert found["reference"].engagement[share] == pytest.approx(other.reference[name])
    for letter, port, own in zip(other.letters, other.ports, hub_demo.study.ports, strict=True):
        throw = found[letter]
        assert throw.engagement[share] == pytest.approx(port.quantities[name].value)
        assert throw.drift[share] == pytest.approx(port.quantities[name].drift["gravity"])
        assert throw.first_tooth == own.quantities[f"{name}_first_tooth"].value, "no second tooth, so no such share"
        assert throw.bound == own.quantities[f"{name}_bound"].value


def test_a_study_says_that_who_throws_farthest_hangs_on_it(hub_demo: Demo, main_demo: Demo) -> None:
    found = [throw for throw in throws(hub_demo.study) if throw.whose != "reference"]
    first = max(found, key=lambda throw: throw.engagement[0.2]).whose
    last = max(found, key=lambda throw: throw.engagement[1.0]).whose
    assert first != last, "the demo must have it so for this test to mean anything"
    (line,) = farthest_lines(hub_demo.study)
    assert "hangs on rotor.radial_share" in line
    assert f"from 0.2 on {first}," in line and last in line.rpartition("from ")[2]
    within, *conditional = farthest_lines(main_demo.study)
    assert "whatever rotor.radial_share is from 0.2 to 1" in within
    assert len(conditional) == 1 and conditional[0].startswith("If every speed were reached: ")
    beyond = {throw.whose for throw in throws(main_demo.study) if throw.if_reached}
    assert beyond and not beyond & set(within.split())


def test_verdicts_say_a_throw_with_its_doubt(hub_demo: Demo) -> None:
    said = 0
    for throw, line in zip(throws(hub_demo.study)[1:], verdicts(hub_demo.study), strict=True):
        label = book.quantities[throw.name].label
        if label[1:] in line:
            said += 1
            assert f"({doubt_text(throw)})" in line
    assert said


def test_the_table_has_first_tooth_engagement_and_bound(demo: Demo) -> None:
    table = throws_table(demo.study)
    if not demo.design.has_rotor:
        assert table.rows == () and farthest_lines(demo.study) == []
        return
    assert [column.header for column in table.columns[1:]] == [
        "first tooth", "engagement at 0.2", "engagement at 0.5", "engagement at 1", "at most",
    ]  # fmt: skip
    for row in table.rows:
        numbers = [float(cell) for cell in row[1:]]  # type: ignore[arg-type]
        assert 0 < numbers[0] <= max(numbers[1:4]) <= numbers[-1] * (1 + 1e-9)
    assert "rotor.radial_share" in as_text(table)


def test_angles_have_their_unit() -> None:
    """120 degrees of wrap are 2.09 rad, and people are told degrees with their sign."""
    text = " ".join(lines(explain("belt_slip_margin")))
    assert "belt_wrap at least 120 °:" in text
    angles = {name for name, entry in book.quantities.items() if entry.unit == "rad"}
    assert angles >= {"tip_over_turn", "half_turn_stop_lead", "wedge_lasting_bend", "side_tip_angle", "stop_arc"}


def told(values: dict[str, Any]) -> str:
    from scaling.decide.throws import Throw

    return doubt_text(Throw("A", "throw_height", 1.0, {}, 1.0, values))


def test_the_doubt_in_words() -> None:
    assert told({0.2: 1.2, 1.0: 0.14}) == "-86 to +20 %"
    assert told({0.2: 0.7, 1.0: 0.701}) == "-30 %"


def test_what_is_felt_of_a_throw_is_told_with_its_range(hub_demo: Demo) -> None:
    """The shove at any radial share from 0.2 to 1, which above is held against studies of their own."""
    from scaling.decide.feel import felt

    for throw, port in zip(throws(hub_demo.study)[1:], hub_demo.study.ports, strict=True):
        lines_, alike = felt(hub_demo.study, port)
        (line,) = [line for line in lines_ if line.startswith("it shoves")] or [""]
        assert bool(line) != (book.quantities[throw.name].label in alike)
        if line:
            said = [float(word) for word in line.partition(" mm, ")[2].removesuffix(" by the cut").split(" to ")]
            ends = [1000 * far for far in (min(throw.engagement.values()), max(throw.engagement.values()))]
            assert said == pytest.approx(ends, rel=5e-3)


def test_nothing_is_felt_of_a_speed_out_of_reach(main_demo: Demo) -> None:
    from scaling.decide.feel import felt

    beyond = next(port for port in main_demo.study.ports if "speed_unreachable" in port.misses)
    lines_, alike = felt(main_demo.study, beyond)
    assert not [line for line in lines_ if line.startswith(("it throws", "it is thrown", "a half turn", "one side"))]
    assert book.quantities["throw_height"].label not in alike
