"""A port whose speed the motor does not reach: what is absent, what is marked, and where the marked may not stand.

What needs the motor is told from what follows from the speed alone by the inputs of the book's entries, walked here.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from conftest import Demo
from scaling.decide.verdicts import cautions, change_of, give_way_lines, verdict
from scaling.formulas import book
from scaling.port.asked import LawRequest
from scaling.show.figures import figures
from scaling.show.figures.look import LIGHT
from scaling.show.study_json import as_json
from scaling.show.table import as_csv, as_text
from scaling.show.tables.drift import drift_table, headline
from scaling.study.results import Port, Study
from scaling.study.run import run_study

MOTOR = {f"rotor.motor.{key}" for key in ("kv", "resistance", "no_load_current", "current_limit")}

RULES = ("hold-tip-speed", "hold-rpm", "hold-gyro-margin", "as-motored")


@pytest.fixture(scope="module")
def study(main_demo: Demo) -> Study:
    """The main demo at 1.36 kg: same rpm is far beyond its motor, the tip speed held within reach."""
    brief = dataclasses.replace(main_demo.brief, requests=tuple(LawRequest("mass", rule) for rule in RULES))
    return run_study(main_demo.design, brief)


@pytest.fixture(scope="module")
def beyond(study: Study) -> Port:
    """The port at the same rpm."""
    port = study.ports[1]
    assert "speed_unreachable" in port.misses
    return port


def rests_on(study: Study, port: Port) -> dict[str, set[str]]:
    """Every variable that each quantity rests on, by the entries that count for the port."""
    found: dict[str, set[str]] = {}
    for name, entry in book.counted(study.design.traits, port.variables).items():
        found[name] = set().union(*(found.get(used, {used}) for used in entry.inputs))
    return found


def test_what_follows_from_the_speed_alone_stays_and_is_marked(study: Study, beyond: Port) -> None:
    own = rests_on(study, beyond)
    for name, entry in beyond.quantities.items():
        assert entry.if_reached == ("rotor.speed" in own[name]), name
    for name in ("rotor_speed", "tip_speed", "rotor_energy", "rotor_peak_stress", "gyro_margin", "throw_height"):
        assert beyond.quantities[name].if_reached
    for name in ("top_speed", "total_mass", "wall_collapse_margin", "peak_current"):
        assert not beyond.quantities[name].if_reached
    speed = study.design.variables["rotor.speed"]
    assert beyond.variables["rotor.speed"] == beyond.quantities["rotor_speed"].value == speed, "what was asked"


def test_what_needs_the_motor_to_hold_the_speed_is_absent(study: Study, beyond: Port) -> None:
    """Of what rests on the speed and on the motor four are there: how far beyond reach it is, the current that the
    drag at that speed asks for, how long the rotor coasts with the motor off, and whether the motor's pull makes the
    belt slip, which it can at any speed."""
    both = {name for name, keys in rests_on(study, beyond).items() if "rotor.speed" in keys and keys & MOTOR}
    there = both & set(beyond.quantities)
    assert there == {"rotor_speed_reach_share", "rotor_drag_current", "spin_down_time", "belt_slip_margin"}
    for name in ("spin_up_time", "rotor_steady_current", "motor_temperature_rise", "match_energy", "rush_margin",
                 "spin_up_efficiency", "motor_continuous_current", "motor_case_heat"):  # fmt: skip
        assert name in study.reference and name not in beyond.quantities
    assert set(study.ports[0].quantities) >= set(study.reference), "the others lack nothing"


def test_the_others_have_no_mark(study: Study) -> None:
    for port in (study.ports[0], study.ports[3]):
        assert port.status == "fits" and port.misses == ()
        assert not any(entry.if_reached for entry in port.quantities.values())


def test_json_says_if_reached_status_and_misses(study: Study, beyond: Port) -> None:
    told = as_json(study)["ports"]
    for port, row in zip(study.ports, told, strict=True):
        marked = {name for name, entry in row["quantities"].items() if entry.get("if_reached") is True}
        assert marked == {name for name, entry in port.quantities.items() if entry.if_reached}
        assert all("if_reached" not in row["quantities"][name] for name in port.quantities.keys() - marked)
        assert row["status"] == ("misses" if row["misses"] else "fits")
        codes = {problem["code"] for problem in row["problems"]}
        missing = {"no_factor", "mass_over_limit", "size_over_limit", "limit_passed", "speed_unreachable"}
        assert set(row["misses"]) == codes & (missing | {"does_not_fit"})
    assert told[1]["misses"] == ["speed_unreachable"]


def test_what_is_only_if_reached_stands_in_no_verdict(study: Study, beyond: Port) -> None:
    change = change_of(beyond)
    named = {*change.worse, *change.better, *change.alike} | ({change.weakest.name} if change.weakest else set())
    assert named and not any(beyond.quantities[name].if_reached for name in named)
    assert "out of reach" in verdict(beyond)
    assert not [line for line in give_way_lines(study) if "B" in line.partition(":")[0].split()]


def test_what_is_only_if_reached_stands_in_no_ranking(study: Study) -> None:
    """The short list is the same without those numbers."""
    bare = tuple(
        dataclasses.replace(port, quantities={n: q for n, q in port.quantities.items() if not q.if_reached})
        for port in study.ports
    )
    assert headline(study) == headline(dataclasses.replace(study, ports=bare))


def test_no_caution_says_an_energy_that_no_motor_gives(study: Study, beyond: Port, main_demo: Demo) -> None:
    """E = I omega^2 / 2 at the speed that the motor gives, of whichever port has most."""
    text = " ".join(cautions(study))
    assert f"{beyond.quantities['rotor_energy'].value:.3g} J" not in text
    reached = [
        min(port.quantities["rotor_speed"].value, port.quantities["rotor_speed_as_motored"].value)
        for port in study.ports
    ]
    energies = [p.variables["rotor.inertia"] * w**2 / 2 for p, w in zip(study.ports, reached, strict=True)]
    assert f"up to {max(energies):.3g} J and" in text
    alone = dataclasses.replace(study, ports=(beyond,))
    assert f"up to {energies[1]:.3g} J and" in " ".join(cautions(alone))
    assert "coasts" not in " ".join(cautions(alone))


def test_tables_print_it_in_brackets_and_write_the_plain_number(study: Study, beyond: Port) -> None:
    table = drift_table(study, ["rotor_energy", "top_speed"])
    drift = beyond.quantities["rotor_energy"].drift["gravity"]
    text = as_text(table)
    assert f"({drift:.3g})" in text and "( ) only if the motor reached" in text
    assert "(" not in as_csv(table).splitlines()[1] and str(drift) in as_csv(table)
    assert "( )" not in as_text(drift_table(study, ["top_speed"]))


def test_pictures_show_it_hollow(study: Study, beyond: Port) -> None:
    made = figures(study)
    marks = {
        child.get_gid(): child
        for figure in made.values()
        for panel in figure.axes
        for child in panel.lines
        if child.get_gid()
    }
    for name in ("rotor_energy", "throw_height", "top_yaw_rate", "total_mass"):
        for letter, port in zip(study.letters, study.ports, strict=True):
            if f"{name}-{letter}" in marks:
                hollow = marks[f"{name}-{letter}"].get_markerfacecolor() == LIGHT.page
                assert hollow == port.quantities[name].if_reached, (name, letter)
    assert marks["B-hollow"].get_markerfacecolor() == LIGHT.page
    shared = [mark for gid, mark in marks.items() if gid.isupper() and "B" in gid]  # where the speed does not matter
    assert shared and all(mark.get_markerfacecolor() != LIGHT.page for mark in shared)
    assert "A-hollow" not in marks
    said = [text.get_text() for figure in made.values() for legend in figure.legends for text in legend.get_texts()]
    assert any("only if the motor reached" in text.replace("\n", " ") for text in said)
    cells = {text.get_text() for text in made["exponents"].axes[0].texts}
    assert "(5)" in cells, "rotor energy at the same rpm goes as the fifth power"


def test_a_reference_measured_above_its_motor_s_data_is_within_reach(main_demo: Demo) -> None:
    """It turned so fast, whatever the data say, and a port by the same motor's rule is taken to do as well."""
    own = main_demo.design
    reached = book.evaluate(own.variables, own.traits, only=["rotor_speed_as_motored"])["rotor_speed_as_motored"]
    faster = dataclasses.replace(
        own, variables=own.variables | {"rotor.speed": 1.03 * float(reached)}, stated=own.stated | {"rotor.speed"}
    )
    both = (LawRequest("mass", "as-motored"), LawRequest("mass", "hold-rpm"))
    as_motored, rpm = run_study(faster, dataclasses.replace(main_demo.brief, requests=both)).ports
    assert as_motored.status == "fits"
    assert rpm.misses == ("speed_unreachable",)
    (problem,) = [problem for problem in rpm.problems if problem.code == "speed_unreachable"]
    assert problem.limit == pytest.approx(1.03 * rpm.quantities["rotor_speed_as_motored"].value)


# Margins that are passed.


def crossings(reference: dict[str, Any], port: dict[str, Any]) -> set[str]:
    """Names of what is called a margin, is at least 1 on the reference and below 1 at the port, the last bits aside."""
    own = {name: row["value"] for name, row in reference["quantities"].items() if "margin" in name}
    now = {name: row["value"] for name, row in port["quantities"].items()}
    return {name for name, value in own.items() if value >= 1 - 1e-9 and now.get(name, 1.0) < 1 - 1e-9}


def test_every_margin_that_a_port_passes_is_a_problem_row(
    command: Callable[..., Any], edit: Callable[..., Path], demos: tuple[Demo, ...]
) -> None:
    """Over the demos at their own limit and at one far beyond, so that margins of every kind are passed."""
    seen: set[str] = set()
    for demo in demos:
        for limit in (demo.brief.mass_limit, 40 * demo.design.variables["mass"]):
            brief = dataclasses.replace(demo.brief, mass_limit=limit, mass_margin=0.0)
            told = as_json(run_study(demo.design, brief))
            for port in told["ports"]:
                passed = crossings(told["reference"], port)
                assert passed <= {row.get("quantity") for row in port["problems"]}
                seen |= {book.quantities[name].branch for name in passed}
    assert len(seen) >= 5, seen


def test_margins_are_what_the_book_calls_so() -> None:
    named = {name for name in book.quantities if name.endswith("_margin")}
    assert named <= set(book.margins)
    assert set(book.kept) <= set(book.margins)
    assert {"righting_ratio", "wall_collapse_margin_bound"} <= set(book.margins)
    for name in book.margins:
        assert book.quantities[name].unit == "1" and book.quantities[name].better == "higher", name
    assert not {"rotor_energy", "wall_slenderness", "bite_ratio"} & set(book.margins)


def test_the_words_of_a_passed_margin(study: Study) -> None:
    rows = [problem for port in study.ports for problem in port.problems if problem.code == "margin_passed"]
    for problem in rows:
        assert re.search(r"falls below 1: \(?\d", problem.text)
        assert problem.reference is not None and problem.reference >= 1 > (problem.value or 0)


def test_a_number_outside_its_range_bears_a_star(demo: Demo) -> None:
    study = demo.study
    broken = [(port, name) for port in study.ports for name in port.outside if name in port.quantities]
    assert broken
    for port, name in broken[:20]:
        letter = study.letters[study.ports.index(port)]
        row = drift_table(study, [name]).rows[0]
        cell = row[-len(study.ports) + study.letters.index(letter)]
        drift = port.quantities[name].drift
        if drift:
            assert getattr(cell, "outside", False) is True
            assert "* outside" in as_text(drift_table(study, [name]))
    fine = next(name for name in study.reference if not any(name in port.outside for port in study.ports)
                and name not in study.outside)  # fmt: skip
    assert "*" not in as_text(drift_table(study, [fine]))
