"""What people are told of a study: tables, problems, drift and verdicts in words, against sums done here by hand.

CSV as Python's csv module reads it back (RFC 4180); frames as pandas has them.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pandas
import pytest

from conftest import Demo
from scaling.book.similarity import worse
from scaling.decide.verdicts import change_of, verdict
from scaling.formulas import book
from scaling.port.asked import LawRequest
from scaling.show.table import Column, Table, as_csv, as_frame, as_text, columns
from scaling.show.tables import all_tables
from scaling.show.tables.drift import drift_table, headline, worst_first
from scaling.show.tables.problems import brief_problems_table, shared_problems
from scaling.study.drifts import clock_of, drift_text, is_alike, judged, told_clock
from scaling.study.problem import CODES, Problem, shared
from scaling.study.problems import value_problems
from scaling.study.results import Port, PortQuantity

SNAKE = re.compile(r"[a-z0-9_]+\Z")

SHELF = Table(
    "shelf",
    "What is sold",
    columns("family", Column("thickness", unit="mm"), Column("price", "price today"), "note"),
    (("steel", 1.5, None, 'bent, "as is"'), ("wood", 12.0, 3, "words that go on for longer than a column may be wide")),
)


def test_a_table_is_a_frame_with_its_units_in_columns_of_their_own() -> None:
    frame = as_frame(SHELF)
    assert list(frame.columns) == ["family", "thickness", "thickness_unit", "price", "note"]
    assert frame["thickness"].sum() == 13.5
    assert set(frame["thickness_unit"]) == {"mm"}
    assert pandas.isna(frame["price"][0])


def test_a_table_as_csv_reads_back() -> None:
    head, *rows = csv.reader(io.StringIO(as_csv(SHELF)))
    assert head == ["family", "thickness, mm", "price today", "note"]
    assert rows[0] == ["steel", "1.5", "", 'bent, "as is"']


def test_a_table_as_text_is_aligned_and_fits() -> None:
    wide, narrow = as_text(SHELF).splitlines(), as_text(SHELF, width=68).splitlines()
    assert wide[0] == narrow[0] == "What is sold"
    assert len(wide) == 6, "title, blank, head, rule, two rows: nothing is wrapped without a width"
    assert len(narrow) == 7 and max(map(len, narrow)) <= 68 < max(map(len, wide))
    assert " ".join(f"{narrow[5]} {narrow[6]}".split()) == " ".join(wide[5].split())
    for lines in (wide, narrow):  # numbers stand under the end of their heading
        assert lines[4].index("1.50") + 4 == lines[5].index("12.0") + 4 == lines[2].index("mm") + 2


def test_every_table_of_a_study_has_plain_keys(demo: Demo) -> None:
    for table in all_tables(demo.study):
        keys = [column.key for column in table.columns]
        assert all(SNAKE.match(key) for key in keys), table.name
        assert len(set(keys)) == len(keys), table.name
        assert all(len(row) == len(keys) for row in table.rows)
        assert len(as_frame(table)) == len(table.rows)


# Drift in words.


@pytest.mark.parametrize(
    ("drift", "words"),
    [(0.69, "-31 %"), (1.42, "+42 %"), (1.0, "0 %"), (0.9996, "0 %"), (2.5, "+150 %"), (0.0, "-100 %")],
)
def test_drift_is_what_there_is_more_or_less(drift: float, words: str) -> None:
    assert drift_text(drift) == words


@pytest.mark.parametrize(
    ("drift", "alike"), [(1.0, True), (1.049, True), (1 / 1.049, True), (1.051, False), (0.95, False), (0.0, False)]
)
def test_alike_is_within_five_per_cent_either_way(drift: float, alike: bool) -> None:
    assert is_alike(drift) == alike


def test_a_quantity_is_judged_by_its_own_clock(main_demo: Demo) -> None:
    """Gravity's time grows as the root of the factor; a driver's and a match's stays."""
    port = main_demo.study.ports[0]
    assert port.factor is not None
    root = port.factor**0.5
    for name, entry in port.quantities.items():
        clock = book.quantities[name].clock
        own = judged(port, name)
        assert own == entry.drift.get("gravity" if clock in (None, "gravity") else "driver")
        _, _, time, current, _ = map(float, book.quantities[name].dimension)
        if entry.ratio and entry.drift:  # current goes as the third power of one over time
            assert entry.drift["driver"] / entry.drift["gravity"] == pytest.approx(root ** (time - 3 * current))
        assert (told_clock(name) is None) == (clock is None and time == current == 0)
    assert clock_of("top_yaw_rate") == "driver"
    assert clock_of("top_yaw_rate", "gravity") == "gravity"


def test_drift_table_judges_by_own_clock_unless_told(main_demo: Demo) -> None:
    study = main_demo.study
    for clock in (None, "gravity", "driver"):
        (row,) = drift_table(study, ["top_yaw_rate"], clock).rows
        own = [port.quantities["top_yaw_rate"].drift[clock or "driver"] for port in study.ports]
        assert list(row[-len(own) :]) == own


def test_the_short_table_is_of_what_is_felt_what_must_hold_and_what_must_close(demo: Demo) -> None:
    names = headline(demo.study)
    assert len(names) == len(set(names)) == 10
    roles = [book.quantities[name].role for name in names]
    assert roles[0] == "handling"
    if demo.design.has_rotor:
        assert set(roles) == {"handling", "survival", "budget"}
    worst = worst_first(demo.study)
    for role in set(roles):
        own, known = [name for name in names if book.quantities[name].role == role], book.of_role(role, among=worst)
        if role == "survival":  # what falls most ends something first
            least = {name: min(judged(port, name) or 1.0 for port in demo.study.ports) for name in known}
            assert least[own[0]] == pytest.approx(min(least.values()), abs=1e-3)
        elif role in ("handling", "budget"):
            assert own == sorted(own, key=worst.index)
            assert own[0] == known[0]


def test_a_verdict_says_worse_better_and_what_stays(demo: Demo) -> None:
    for port in demo.study.ports:
        change, text = change_of(port), verdict(port)
        for name in book.of_role("handling", among=port.quantities):
            drift = None if port.quantities[name].if_reached else judged(port, name)
            against = drift is not None and worse(drift, book.quantities[name].better)
            if drift is None:
                assert name not in change.worse and name not in change.better
            elif 1 / 1.05 <= drift <= 1.05:
                assert name in change.alike
            else:
                assert (name in change.worse) == against
                assert (name in change.better) != against
        for name in [*change.worse, *change.better][:1]:
            label = book.quantities[name].label
            assert f"{label[1:]} {100 * ((judged(port, name) or 0) - 1):+.0f} %" in text
        margins = {name: port.quantities[name] for name in book.of_role("survival", among=port.quantities)}
        fallen = {
            name: entry.ratio
            for name, entry in margins.items()
            if entry.ratio and entry.ratio < 0.95 and not entry.if_reached
        }
        assert (change.weakest is None) == (not fallen)
        if change.weakest is not None:
            assert fallen[change.weakest.name] == min(fallen.values())
            own = demo.study.reference[change.weakest.name]
            assert change.weakest.reference == pytest.approx(own)
            assert f"{own:.3g}" in text and "->" in text
        assert "loses on" not in text


def test_a_verdict_without_a_factor_says_why() -> None:
    problem = Problem("no_factor", "No factor meets the mass limit: too heavy")
    port = Port(LawRequest("mass", None), None, 1.0, 1.0, {}, {}, (), (problem,), None)
    assert verdict(port) == "mass. No factor meets the mass limit: too heavy."


# Problems in words.


def margin(value: float, **more: Any) -> Problem:
    return Problem("strength_passed", "", "wall_stress_margin", value, 0.127, 1.0, **more)


def test_a_problem_s_sentence_is_built_from_its_numbers() -> None:
    label = book.quantities["wall_stress_margin"].label
    assert margin(0.1153).text == f"{label} fails: 0.115 (reference 0.127)."
    (found,) = shared([("B", margin(0.1153)), ("C", margin(0.0961)), ("D", margin(0.1153))])
    assert found.ports == ("B", "C", "D")
    assert found.text == f"{label} fails: B D 0.115, C 0.0961 (reference 0.127)."
    (same,) = shared([("A", margin(0.1)), ("B", margin(0.1))])
    assert same.text == f"{label} fails: 0.100 (reference 0.127)."


@pytest.mark.parametrize(
    ("problem", "words"),
    [
        (Problem("mass_over_limit", "", "total_mass", 1.412, limit=1.335), "over the limit less margin of 1335 g"),
        (Problem("mass_over_limit", "", "total_mass", 1.412, limit=1.335), ": 1412 g (+77.0 g)."),
        (Problem("size_over_limit", "", "length", 0.26, limit=0.25), "Length over the size limit of 250 mm: 260.0 mm"),
        (Problem("limit_passed", "", "tip_speed", 68.6, limit=60.0), "above the brief's limit of 60 m/s: 68.60 m/s."),
        (Problem("limit_passed", "", "wheel.diameter", 0.04, limit=0.05), "wheel.diameter below the brief's"),
        (Problem("target_lighter", "down", "mass_limit", 0.1, limit=0.2), "mass of 200 g: 100.0 g; down."),
        (Problem("not_computed", rests_on=("bite", "tip_speed")), "Not computed: "),
        (Problem("off_the_shelf", "The shelf has none."), "The shelf has none."),
    ],
)
def test_sentences_of_the_other_codes(problem: Problem, words: str) -> None:
    assert words in problem.text
    assert problem.text.count(".") >= 1 and problem.text.endswith(".") and not problem.text.endswith("..")


def test_what_differs_in_its_limit_is_told_apart() -> None:
    found = shared(
        [
            ("A", Problem("size_over_limit", "", "length", 0.26, limit=0.25)),
            ("B", Problem("size_over_limit", "", "length", 0.27, limit=0.24)),
            ("C", Problem("size_over_limit", "", "width", 0.26, limit=0.25)),
        ]
    )
    assert [row.ports for row in found] == [("A",), ("B",), ("C",)]


def test_the_gravest_stand_first_and_the_quantity_is_named(demo: Demo) -> None:
    order = list(CODES)
    found = shared_problems(demo.study)
    assert [order.index(row.problem.code) for row in found] == sorted(order.index(row.problem.code) for row in found)
    for row in found:
        assert row.problem.quantity is None or row.problem.quantity in book.quantities
        assert row.problem.quantity is not None or not row.problem.code.startswith("strength")
    brief = brief_problems_table(demo.study)
    assert [code for _, code, _ in brief.rows if str(code).endswith("_alike")] == list(
        dict.fromkeys(row.problem.code for row in found if row.problem.kind.alike and not row.problem.kind.range)
    )
    assert not [code for _, code, _ in brief.rows if str(code).startswith("outside_valid_range")]


def test_a_range_is_that_of_the_entry_that_counts(main_demo: Demo) -> None:
    """Of a name's entries only the one by which the port was computed may break its range.

    A rotor that spins within the robot's own mass has no share of the inertia in its formula, though another entry of
    the name has, and says up to which share it is good.
    """
    study, traits = main_demo.study, main_demo.design.traits
    port = study.ports[0]
    in_line = {key: value for key, value in port.variables.items() if key != "rotor.axle_lever"}
    values = {name: entry.value for name, entry in port.quantities.items()}
    several = {name for name in values if len([entry for entry in book.entries if entry.name == name]) > 1}
    counted = book.counted(traits, in_line)
    differing = {name for name in several if counted[name].valid != book.quantities[name].valid}
    assert differing, "the demo must have one for this test to mean anything"
    ranges = {valid for name in differing for valid in book.quantities[name].valid}
    beyond = {valid.of: valid.high * 1.1 for valid in ranges if valid.high < float("inf")}
    found = value_problems(in_line, values | beyond, study.reference, traits)
    assert beyond, "a range that the other entry has, and that these values pass"
    assert not {name for problem in found if problem.about in beyond for name in problem.rests_on} & differing
    # The entry that counts does say so: of every broken range of the port, and of a range of its own that is passed.
    counted = book.counted(traits, port.variables)
    own = next((name, valid) for name, entry in counted.items() for valid in entry.valid if valid.high < 1e9)
    found = value_problems(port.variables, values | {own[1].of: own[1].high * 1.1}, study.reference, traits)
    assert any(problem.about == own[1].of and own[0] in problem.rests_on for problem in found)
    for problem in port.problems:
        if problem.code.startswith("outside_valid_range"):
            for name in problem.rests_on:
                assert problem.said in [valid.sentence for valid in counted[name].valid if valid.of == problem.about]


def test_drifts_of_nothing_are_nothing() -> None:
    entry = PortQuantity(0.0, "1", None, Fraction(0), {}, {})
    port = Port(LawRequest("mass", None), 1.0, 1.0, 1.0, {}, {"gyro_margin": entry}, (), (), None)
    assert judged(port, "gyro_margin") is None
    assert judged(port, "rush_margin") is None
    assert change_of(replace(port, quantities={})).worse == {}
