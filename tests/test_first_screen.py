"""The first screen: thirty lines that answer, at any width, whatever came of the study."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from conftest import Demo, Result
from scaling.command.study_text import asked_next
from scaling.decide.mends import with_mends
from scaling.decide.verdict import decided
from scaling.files.units import format_value
from scaling.port.brief import load_both
from scaling.show.figures.kinds import KINDS, kind_named
from scaling.show.figures.saving import save_as
from scaling.show.first_screen import LINES, first_screen
from scaling.study.results import Study
from scaling.study.run import run_study

ROOT = Path(__file__).parent.parent
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
