"""A brief's own drawing among the ports, machines side by side, and what only one of two machines of unlike kinds has.

Expected numbers are worked out here from the machines' own files.
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

import scaling as sc
from scaling.command.study_text import asked_next
from scaling.decide.mends import with_mends
from scaling.decide.verdict import decided
from scaling.port.brief import load_both, load_brief
from scaling.robot.design import Design, load_design
from scaling.show.first_screen import LINES, first_screen
from scaling.study.as_drawn import compared
from scaling.study.results import Study
from scaling.study.run import run_study

REBUILDS = Path(__file__).parent / "data" / "rebuilds"

BRIEF = """name = "Pipwhistle at 1.5 kg"
reference = "small.toml"
mass_limit = "{limit}"
mass_margin = "20 g"

[port]
design = "drawings/first.toml"

[[laws]]
law = "mass"

[limits.at_most]
tip_speed = "{tip}"
"""


@pytest.fixture
def brief_of(tmp_path: Path) -> Callable[..., Path]:
    """Write a brief whose reference has a hub motor and whose drawing a belt."""

    def write(limit: str = "1.5 kg", tip: str = "120 m/s", **changes: str) -> Path:
        (tmp_path / "drawings").mkdir(exist_ok=True)
        shutil.copy(REBUILDS / "small.toml", tmp_path)
        shutil.copy(REBUILDS / "first.toml", tmp_path / "drawings")
        text = BRIEF.format(limit=limit, tip=tip)
        for old, new in changes.items():
            text = text.replace(old, new)
        path = tmp_path / "brief.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def screens(study: Study, *widths: int) -> list[list[str]]:
    """The first screen at each width, and what holds of all: thirty lines, none too wide, no number broken."""
    decision = decided(study)
    assert decision.told is not None
    mended = with_mends(study, decision.told.port, decision.told.risks)
    found = [first_screen(study, decision, mended, asked_next(study), width) for width in widths]
    for lines, width in zip(found, widths, strict=True):
        assert len(lines) <= LINES and max(map(len, lines)) <= width
        for line, after in pairwise(lines):
            assert not (re.search(r" \d+(\.\d+)?$", line) and re.match(r"\s+(%|mm|g|kg|J|m/s|rpm|A|s|N)\b", after))
    return found


def spoken(lines: list[str]) -> str:
    return " ".join(" ".join(lines).split())


def test_a_brief_s_drawing_is_one_more_port_under_its_limit(command: Callable[..., Any], brief_of: Any) -> None:
    found = json.loads(command("study", brief_of(), "--json").out)
    plain, drawn = found["ports"]
    assert [plain["law"], drawn["law"]] == ["mass", "as-drawn"]
    assert (drawn["speed_rule"], drawn["drive_rule"]) == (None, None)
    assert (drawn["mass_limit"], drawn["machine"]) == (1.5, "Pipwhistle rebuilt")
    small, first = (load_design(REBUILDS / f"{name}.toml").variables for name in ("small", "first"))
    assert drawn["factor"] == pytest.approx(first["length"] / small["length"])
    assert drawn["mass"] == pytest.approx(first["mass"])
    own, ported = set(found["reference"]["quantities"]), set(drawn["quantities"])
    assert set(drawn["only_reference"]) == own - ported and set(drawn["only_port"]) == ported - own
    assert {"belt_tension_margin", "motor_shaft_stall_margin"} <= set(drawn["only_port"])
    assert "axle_stall_margin" in drawn["only_reference"]
    missing = [name for each in drawn["problems"] if each["code"] == "not_computed" for name in each["rests_on"]]
    assert "axle_stall_margin" not in missing  # of a hub's axle: a belt's machine has none to compute


@pytest.mark.parametrize(
    ("limit", "tip", "missed"),
    [("1.5 kg", "120 m/s", []), ("1.47 kg", "120 m/s", ["mass_over_limit"]), ("1.5 kg", "60 m/s", ["limit_passed"])],
)
def test_the_brief_s_limits_hold_for_the_drawing(brief_of: Any, limit: str, tip: str, missed: list[str]) -> None:
    """It weighs 1460 g: over 1470 g less 20 g; its tips run at 71 m/s."""
    study = run_study(*load_both(brief_of(limit, tip)))
    assert list(study.ports[1].misses) == missed


def test_the_box_holds_for_the_drawing(brief_of: Any) -> None:
    box = '[[laws]]\nlaw = "mass"\n\n[size_limit]\nlength = "200 mm"\n'
    study = run_study(*load_both(brief_of(**{'[[laws]]\nlaw = "mass"\n': box})))
    assert "size_over_limit" in study.ports[1].misses


def test_a_port_of_another_kind_opens_with_thirty_lines_that_end_in_something_to_do(brief_of: Any) -> None:
    study = run_study(*load_both(brief_of()))
    for shown in (study, replace(study, ports=study.ports[1:])):
        found = screens(shown, 60, 80, 120)
        assert all("scaling " in " ".join(lines[-3:]) for lines in found)
    assert all("belt transmission, was hub; 4 cells, was 2" in spoken(lines) for lines in found)


def test_a_drawing_that_is_too_heavy_is_told_what_to_lose(brief_of: Any) -> None:
    study = run_study(*load_both(brief_of("1.47 kg")))
    alone = decided(replace(study, ports=study.ports[1:])).verdict
    assert alone.port is None
    over = 1e3 * load_design(REBUILDS / "first.toml").variables["mass"] - 1450
    assert f"take {over:.0f} g out of it" in alone.text and "rotor 370 g" in alone.text


def test_a_mend_of_a_drawing_passes_no_mass_limit(brief_of: Any) -> None:
    """With 5 g to spare no mend may add more."""
    study = run_study(*load_both(brief_of("1.485 kg")))
    port = study.ports[1]
    spare = 1.465 - port.variables["mass"]
    assert spare > 0
    judged = decided(study).ports["B"]
    mends = [risk.mend for risk in with_mends(study, port, judged.risks) if risk.mend is not None]
    assert mends
    for mend in mends:
        if any(key.startswith("parts.") for key in mend.changes):
            assert mend.mass <= spare + 1e-9


def test_a_drawing_needs_no_law_beside_it(command: Callable[..., Any], brief_of: Any) -> None:
    path = brief_of()
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('[[laws]]\nlaw = "mass"\n', ""), encoding="utf-8")
    data = json.loads(command("study", path, "--json").out)
    assert [port["law"] for port in data["ports"]] == ["as-drawn"]
    assert "no law" in command("window", path).out


def test_other_verbs_take_such_a_brief(command: Callable[..., Any], brief_of: Any) -> None:
    brief = brief_of()
    shown = command("study", brief, "--all")
    assert (shown.status, shown.err) == (0, "")
    assert "What only one has" in shown.out and "Belt tension margin" in shown.out
    hold = ("groups", brief, "--hold", "gyro margin")
    for arguments in (("window", brief), ("groups", brief), hold, ("check", brief)):
        result = command(*arguments)
        assert (result.status, result.err) == (0, ""), arguments


@pytest.mark.parametrize(
    ("value", "words"),
    [('"nowhere.toml"', ["no such file", "relative to this one"]), ("3", ["text"]),
     ('"brief.toml"', ["brief, not a design"]), ('""', ["text"])],
)  # fmt: skip
def test_a_drawing_that_is_none_is_refused(
    command: Callable[..., Any], refused: Callable[..., str], brief_of: Any, value: str, words: list[str]
) -> None:
    path = brief_of(**{'"drawings/first.toml"': value})
    said = refused(command("study", path), *words)
    assert "port.design" in said or "reference" in said


def test_a_mistake_in_the_drawing_names_its_file(
    command: Callable[..., Any], refused: Callable[..., str], brief_of: Any
) -> None:
    path = brief_of()
    drawing = path.parent / "drawings" / "first.toml"
    text = drawing.read_text(encoding="utf-8")
    drawing.write_text(text.replace('date = "2025-09-20"', 'date = "2025-09-31"'), encoding="utf-8")
    refused(command("study", path), "first.toml", "date", "no such day")


def test_the_brief_holds_the_drawing_as_it_was_read(brief_of: Any) -> None:
    drawn = load_brief(brief_of()).drawn
    assert drawn is not None and drawn.name == "Pipwhistle rebuilt"


# machines side by side


def dated(design: Design, day: str | None, name: str) -> Design:
    words = {key: word for key, word in design.choices.items() if key != "date"}
    return replace(design, name=name, choices=words | ({} if day is None else {"date": day}))


def test_machines_stand_in_the_order_of_their_days_and_the_undated_last() -> None:
    small, first = (load_design(REBUILDS / f"{name}.toml") for name in ("small", "first"))
    days = {"late": "2026-02-07", "unsaid": None, "early": "2025-09-30", "also unsaid": None, "between": "2025-10-01"}
    study = compared(small, [dated(first, day, name) for name, day in days.items()])
    names = [port.machine.name for port in study.ports if port.machine is not None]
    assert names == ["early", "between", "late", "unsaid", "also unsaid"]
    assert "early, 2025-09-30" in spoken(*screens(study, 120))


@pytest.mark.parametrize(("count", "limit"), [(1, None), (2, None), (12, None), (12, 1.4)])
def test_one_to_twelve_machines_fit_the_screen(count: int, limit: float | None) -> None:
    small, *built = (load_design(REBUILDS / f"{name}.toml") for name in ("small", "first", "second"))
    days = [f"2026-01-{place + 1:02}" for place in range(count)]
    named = [dated(built[place % 2], day, f"Rebuild {day} of a long name") for place, day in enumerate(days)]
    for lines in screens(compared(small, named, mass_limit=limit), 60, 80, 120):
        told = spoken(lines)
        assert " port" not in told and "buy" not in told and "Build" not in told
        assert "with -o FOLDER" in told and told.endswith("compare again")


def test_the_verdict_says_which_machine_stands_best_and_why() -> None:
    small, first, second = (load_design(REBUILDS / f"{name}.toml") for name in ("small", "first", "second"))
    decision = decided(compared(small, [first, second]))
    assert decision.verdict.port == "B"
    assert decision.verdict.text.startswith("B, Pipwhistle rebuilt again, stands best of 2")
    assert decision.ports["B"].burden < decision.ports["A"].burden
    assert any(reason.startswith("A: riskier") for reason in decision.verdict.reasons)
    heavy = decided(compared(small, [first, second], mass_limit=1.4)).verdict
    assert heavy.port is None and heavy.text.startswith("No machine fits. Nearest is B: 55 g over; take 55 g out of it")


@pytest.mark.no_cover
def test_a_comparison_writes_what_a_study_writes(
    command: Callable[..., Any], refused: Callable[..., str], tmp_path: Path
) -> None:
    files = [REBUILDS / f"{name}.toml" for name in ("small", "first")]
    (tmp_path / "kept.txt").touch()
    refused(command("compare", *files, "-o", tmp_path), "holds files", "--force")
    refused(command("compare", *files, "-o", tmp_path, "--force"), "no run wrote: kept.txt;")
    (tmp_path / "kept.txt").unlink()
    shown = command("compare", *files, "-o", tmp_path, "--force")
    assert (shown.status, shown.err) == (0, "") and f"Written to {tmp_path}" in shown.out
    made = {path.name for path in tmp_path.iterdir()}
    assert made == {"report.html", "formulas.html", "build_log.md", "figures", "tables", "study.json", "manifest.json"}
    assert (tmp_path / "figures" / "drift.png").stat().st_size > 10_000
    (port,) = json.loads((tmp_path / "study.json").read_text(encoding="utf-8"))["ports"]
    assert (port["date"], port["mass_limit"]) == ("2025-09-20", port["mass"])
    texts = {name: (tmp_path / name).read_text(encoding="utf-8") for name in made if name.endswith((".md", ".html"))}
    assert all("to a limit of" not in text for text in texts.values())
    assert "misses nothing" in texts["build_log.md"] and "misses nothing" in texts["report.html"]
    assert "What only one has" in texts["formulas.html"]
    masses = (tmp_path / "tables" / "mass.csv").read_text(encoding="utf-8")
    assert "cross members" in masses  # a part that the small machine does not have


def test_python_has_what_the_verb_prints(command: Callable[..., Any]) -> None:
    files = [REBUILDS / f"{name}.toml" for name in ("small", "second", "first")]
    study = sc.side_by_side(*files)
    said = json.loads(command("compare", *files, "--json").out)
    assert said["verdict"] == {"port": study.verdict.port, "text": study.verdict.text,
                               "reasons": list(study.verdict.reasons)}  # fmt: skip
    for row in said["ports"]:
        port = study[row["letter"]]
        assert [risk["code"] for risk in row["risks"]] == [risk.code for risk in port._judged.risks]
        assert row["quantities"]["rush_margin"]["drift"]["driver"] == port["rush_margin"].drift.driver
    frame = sc.compare(*files, clock="driver").set_index(["port", "quantity"])
    assert frame.loc[("A", "rush_margin"), "drift"] == study["A"]["rush_margin"].drift.driver
    with pytest.raises(sc.InputError, match="as drawn"):
        study["A"].sweep([1.0, 2.0])
