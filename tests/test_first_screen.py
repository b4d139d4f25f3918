"""The first screen: thirty lines that answer, at any width, whatever came of the study."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conftest import Demo, Result
from scaling.command.study_text import asked_next
from scaling.decide.mends import Mended, with_mends
from scaling.decide.verdict import decided
from scaling.files.units import format_value
from scaling.port.brief import load_both
from scaling.show.figures.kinds import KINDS, kind_named
from scaling.show.figures.saving import save_as
from scaling.show.first_screen import LINES, Paragraph, first_screen, fitted
from scaling.study.results import Study
from scaling.study.run import run_study

ROOT = Path(__file__).parent.parent
TEXTS = st.text("ab 1.m:", max_size=90)
HEADS = ("build", "not", "port", "feels", "breaks", "buy", "care", "ask")


def _screen(study: Study, width: int) -> list[str]:
    decision = decided(study)
    told = decision.told
    mended = with_mends(study, told.port, told.risks) if told is not None else ()
    return first_screen(study, decision, mended, asked_next(study), width)


def _heads(lines: list[str]) -> list[str]:
    return [head for line in lines if (head := line.split(" ", 1)[0]) in HEADS]


@pytest.mark.parametrize("width", [60, 80, 120])
def test_a_screen_has_thirty_lines_at_most_and_breaks_no_number(demo: Demo, width: int) -> None:
    lines = _screen(demo.study, width)
    assert len(lines) <= LINES
    assert max(map(len, lines)) <= width
    for line, after in pairwise(lines):
        assert not (re.search(r" \d+(\.\d+)?$", line) and re.match(r"\s+(%|mm|g|kg|J|m/s|rpm|A|s|N)\b", after))
        assert not line.endswith("->")
    assert [head for head in _heads(lines) if head != "not"] == [head for head in HEADS if head != "not"]


def test_the_answer_names_factor_length_speed_energy_and_what_is_left(main_demo: Demo) -> None:
    decision = decided(main_demo.study)
    best = decision.best
    assert best is not None and best.port.factor is not None
    answer = " ".join(_screen(main_demo.study, 120)[1:3])
    for name, unit in (("rotor_speed", "rad/s"), ("rotor_energy", "J"), ("tip_speed", "m/s")):
        assert format_value(best.port.quantities[name].value, unit) in answer
    assert f"factor {best.port.factor:.3f}" in answer
    assert f"{1e3 * best.port.variables['length']:.0f} mm long" in answer and "g left" in answer


MOST_TOLD = 5
"""Risks of which thirty lines have room for at most, however short they are told."""


def test_the_screen_is_the_same_where_mends_are_sought_only_for_what_it_shows(demo: Demo) -> None:
    decision = decided(demo.study)
    told = decision.told
    assert told is not None
    every, ask = with_mends(demo.study, told.port, told.risks), asked_next(demo.study)
    sought = Mended(demo.study, told.port, told.risks)
    for width in (60, 80, 120):
        shown = first_screen(demo.study, decision, sought, ask, width)
        assert shown == first_screen(demo.study, decision, every, ask, width)
    assert 0 < len(sought.found) <= MOST_TOLD
    assert all(every[place].mend == risk.mend for place, risk in sought.found.items())


@settings(deadline=None)
@given(st.lists(st.tuples(st.lists(TEXTS, min_size=1, max_size=9), st.integers(1, 3)), min_size=1, max_size=4),
       st.lists(st.tuples(TEXTS, TEXTS), min_size=1, max_size=9), st.integers(0, 3), st.integers(1, 30))
def test_what_is_only_begun_is_fitted_as_if_all_of_it_were_there(
    others: list[tuple[list[str], int]], begun: list[tuple[str, str]], place: int, room: int
) -> None:
    """However long the ends are: those that are not asked for would not have been shown."""
    rest = [Paragraph("some", tuple(texts), least) for texts, least in others]
    texts = tuple(f"{first}{end}" for first, end in begun)
    full = Paragraph("other", texts, 2)
    lazy = Paragraph("other", tuple(first for first, _ in begun), 2, whole=texts.__getitem__)
    found, wanted = (
        fitted((*rest[:place], each, *rest[place:]), (), room, 40) for each in (lazy, full)
    )
    assert found == wanted


def test_a_recommended_port_never_misses(demo: Demo) -> None:
    best = decided(demo.study).best
    assert best is not None and not best.port.misses


NOTHING_FITS = {
    "tip speed": {"limits.at_most.tip_speed": '"40 m/s"'},
    "a motor that is too slow": {"laws[1].speed_rules": '["gravity-similar", "hold-rpm"]'},
}


@pytest.mark.parametrize("changes", NOTHING_FITS.values(), ids=NOTHING_FITS)
def test_where_nothing_fits_the_screen_says_what_would(
    edit: Callable[..., Path], main_folder: Path, changes: dict[str, str]
) -> None:
    path = edit(main_folder, brief=changes)
    study = run_study(*load_both(path))
    only = replace(study, ports=tuple(port for port in study.ports if port.request.law == "mass"))
    decision = decided(only)
    assert decision.verdict.port is None
    assert decision.verdict.text.startswith("No port fits.") and decision.verdict.text.endswith("and it fits.")
    lines = _screen(only, 80)
    assert len(lines) <= LINES and "it fits" in " ".join(" ".join(lines).split())


def test_eight_ports_and_more_still_fit_the_screen(edit: Callable[..., Path], main_folder: Path) -> None:
    path = edit(main_folder)
    text = path.read_text(encoding="utf-8")
    more = '[[laws]]\nlaw = "length"\ntarget = "{size} mm"\nspeed_rules = ["hold-tip-speed", "hold-rpm"]\n'
    path.write_text(text + "".join(more.format(size=size) for size in (200, 210, 220)), encoding="utf-8")
    study = run_study(*load_both(path))
    assert len(study.ports) >= 12
    for width in (60, 80, 120):
        lines = _screen(study, width)
        assert len(lines) <= LINES and max(map(len, lines)) <= width
        assert {"build", "breaks", "ask"} <= set(_heads(lines))


def test_every_port_is_answered_for_and_motors_and_pack_are_told(main_demo: Demo) -> None:
    """At 80 columns the main demo's thirty lines have a word on each port, and all that is powered of what to buy."""
    lines = _screen(main_demo.study, 80)
    text = " ".join(" ".join(lines).split())
    said = text.partition(" not ")[2].partition(" port ")[0]
    best = decided(main_demo.study).verdict.port
    others = [letter for letter in main_demo.study.letters if letter != best]
    assert [letter for letter in others if not re.search(rf"\b{letter}\b", said)] == []
    assert " more" not in said
    buy = text.partition(" buy ")[2]
    assert "rotor motor" in buy and "drive motors" in buy and "pack of 3 cells" in buy


def test_the_readme_shows_the_screen_as_it_is_printed_above_all_else(
    command: Callable[..., Result], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(ROOT)
    top = (ROOT / "README.md").read_text(encoding="utf-8").partition("\n## ")[0]
    line, shown = re.search(r"`(scaling study [^`]+)`:\n\n```text\n(.*?)```", top, re.DOTALL).groups()  # type: ignore[union-attr]
    printed = command(*line.split()[1:])
    assert printed.status == 0 and len(shown.splitlines()) <= LINES
    assert shown.strip() == printed.out.strip()
    assert top.index("<picture>") < top.index("```text")


def test_every_picture_of_the_readme_stands_over_the_command_that_draws_it() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = re.findall(r'(?:<img src="|!\[[^\]]*\]\()([^")]+)', text)
    assert len(shown) >= 3
    for path in shown:
        kind = Path(path).stem
        said = f"*Drawn by `scaling plot {kind} demo_designs/tarvindle/brief.toml -o {kind}.png`"
        assert said in text.partition(path)[2][:600], path


def test_the_readme_s_pictures_are_those_of_the_demo_today(main_demo: Demo, tmp_path: Path) -> None:
    """All but the map, whose options take long to try; a few dots may differ by a rounding."""
    from matplotlib.image import imread

    for kind in ("outlines", "mass", "drift"):
        made = kind_named(kind)
        save_as(made.figure(main_demo.study), tmp_path / f"{kind}.png")
        drawn, stored = imread(tmp_path / f"{kind}.png"), imread(ROOT / "demo_designs" / "tarvindle" / f"{kind}.png")
        assert drawn.shape == stored.shape and abs(drawn - stored).max() < 0.1, f"{kind}.png is to be drawn anew"


def test_the_readme_tells_of_every_kind_of_picture() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8").partition("\nPictures, each also alone")[2]
    text = text.partition("\n\n")[0]
    told = {name.replace(" ", "_") for name in re.findall(r"\*([a-z ]+)\*", text)}
    assert told == {kind.name for kind in KINDS}
