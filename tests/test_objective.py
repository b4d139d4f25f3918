"""The score of a port: a weighted mean of |ln drift|, each by its own clock, absence counting as ln 2.

What the scores must be is worked out here from the printed numbers alone, by the definitions: a port that is like the
reference has mass ratio mu, length ratio lambda and time ratio sqrt(lambda) by gravity's clock, 1 by the driver's and
the match's (W. Froude's similarity, in NASA TP-1435, from memory).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from scaling.book.dimensions import dimension_of
from scaling.decide.objective import MOST, drifts_over, objective_of, port_drifts, port_score, score, terms
from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.port.asked import ObjectiveRequest
from scaling.port.brief import load_brief
from scaling.port.presets import BALANCED, PRESETS
from scaling.show.study_json import as_json


def score_by_hand(told: dict[str, Any], port: dict[str, Any]) -> float:
    """The score of a port of ``study.json``, from the values that stand there."""
    reference, objective = told["reference"], told["objective"]
    assert set(objective["weights"]) == set(objective["clocks"])
    mu = port["mass"] / reference["mass"]
    costs: list[tuple[float, float]] = []
    for name, weight in objective["weights"].items():
        own, entry = reference["quantities"][name], port["quantities"].get(name)
        if entry is None or entry.get("if_reached"):
            costs.append((weight, math.log(2)))
            continue
        mass, length, time, current, _ = map(float, dimension_of(own["unit"]))
        assert current == 0
        tau = math.sqrt(port["factor"]) if objective["clocks"][name] == "gravity" else 1.0
        alike = mu**mass * port["factor"] ** length * tau**time
        costs.append((weight, abs(math.log(entry["value"] / own["value"] / alike))))
    return sum(weight * cost for weight, cost in costs) / sum(weight for weight, _ in costs)


@pytest.mark.parametrize("preset", PRESETS)
def test_score_is_the_weighted_mean_of_the_drifts(demo: Any, preset: str) -> None:
    brief = replace(demo.brief, objective=ObjectiveRequest(preset))
    told = as_json(replace(demo.study, brief=brief))
    assert told["objective"]["preset"] == preset
    for port in told["ports"]:
        assert port["score"] == pytest.approx(score_by_hand(told, port), rel=1e-9)


def test_usual_weights_are_those_of_the_contract_that_the_robot_has(demo: Any) -> None:
    told = as_json(demo.study)
    assert told["objective"]["preset"] == "balanced"
    assert told["objective"]["weights"] == {name: 1.0 for name in BALANCED if name in demo.study.reference}


def test_weights_of_the_brief_stand_in_place_of_the_preset_s(main_demo: Any) -> None:
    own = ObjectiveRequest("hit", {"throw_height": 0.0, "rotor_energy": 2.5})
    objective = objective_of(replace(main_demo.brief, objective=own), main_demo.study.reference)
    assert objective.weights["rotor_energy"] == 2.5
    assert "throw_height" not in objective.weights
    assert objective.weights["bite_ratio"] == PRESETS["hit"].weights["bite_ratio"]


def test_a_port_like_the_reference_scores_nought(main_demo: Any) -> None:
    objective = objective_of(main_demo.brief, main_demo.study.reference)
    own = main_demo.study.reference
    drifts = drifts_over(objective, own, own, 1.0, 1.0, 1.0)
    assert float(score(objective, drifts)) == 0.0


def _counted(port: Any, name: str) -> float:
    """A port's quantity, NaN where it is absent or there only if its speed were reached."""
    entry = port.quantities.get(name)
    return math.nan if entry is None or entry.if_reached else float(entry.value)


def test_arrays_score_as_ports_do(demo: Any) -> None:
    study = demo.study
    objective = objective_of(demo.brief, study.reference)
    ports = [port for port in study.ports if port.factor is not None]
    names = {name for port in ports for name in port.quantities}
    values = {
        name: np.array([_counted(port, name) for port in ports])
        for name in names
    }
    mass = np.array([port.variables["mass"] for port in ports]) / demo.design.variables["mass"]
    volts = np.array([port.variables["battery.voltage"] for port in ports]) / demo.design.variables["battery.voltage"]
    factor = np.array([port.factor for port in ports])
    drifts = drifts_over(objective, values, study.reference, mass, factor, volts)
    assert score(objective, drifts) == pytest.approx([port_score(objective, port) for port in ports], rel=1e-12)
    parts = terms(objective, drifts)
    assert set(parts) == set(objective.weights)
    assert sum(parts.values()) == pytest.approx(score(objective, drifts), rel=1e-12)


def test_what_is_absent_or_out_of_reach_costs_as_a_doubling(main_demo: Any) -> None:
    port = main_demo.study.ports[0]
    objective = objective_of(main_demo.brief, main_demo.study.reference)
    entry = port.quantities["throw_height"]
    doubled = replace(entry, drift={"gravity": 2.0, "driver": 1.0})
    unreached = replace(entry, if_reached=True)
    lacking = {name: each for name, each in port.quantities.items() if name != "throw_height"}
    with_doubled = port_score(objective, replace(port, quantities={**lacking, "throw_height": doubled}))
    assert with_doubled == pytest.approx(port_score(objective, replace(port, quantities=lacking)), rel=1e-12)
    assert with_doubled == pytest.approx(
        port_score(objective, replace(port, quantities={**lacking, "throw_height": unreached})), rel=1e-12
    )
    assert math.isnan(port_drifts(objective, replace(port, quantities=lacking))["throw_height"])
    assert port_score(objective, replace(port, factor=None)) is None


def test_worse_drifts_score_worse_down_to_nought(main_demo: Any) -> None:
    """A quantity that goes through nought, where ln has no end, still leaves scores in order."""
    objective = objective_of(main_demo.brief, main_demo.study.reference)
    own = main_demo.study.reference
    shares = np.array([1.0, 0.9, 0.1, 1e-2, 0.0])
    drifts = drifts_over(objective, own | {"throw_height": own["throw_height"] * shares}, own, 1.0, 1.0, 1.0)
    costs = score(objective, drifts)
    assert np.all(np.isfinite(costs))
    assert np.all(np.diff(costs) > 0)
    assert drifts["throw_height"][-1] == -MOST


def test_presets_weigh_what_their_names_say() -> None:
    def largest(preset: str) -> set[str]:
        weights = PRESETS[preset].weights
        return {name for name, weight in weights.items() if weight == max(weights.values())}

    assert largest("drive-feel") == {
        "half_turn_time", "top_yaw_rate", "gyro_margin", "froude_speed", "traction_acceleration", "arena_crossing_time",
    }  # fmt: skip
    assert largest("hit") == {"throw_height", "throw_slide", "energy_lift_lengths", "bite_ratio"}
    assert set(book.of_role("survival")) < largest("survive")
    for name, preset in PRESETS.items():
        assert set(BALANCED) <= set(preset.weights) <= set(book.quantities), name


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ('preset = "balancd"', ["objective.preset", "balancd", "balanced", "drive-feel"]),
        ('presets = "hit"', ["objective.presets", "preset"]),
        ("weights = { gyro_margn = 1 }", ["objective.weights.gyro_margn", "gyro_margin"]),
        ("weights = { gyro_margin = -1 }", ["objective.weights.gyro_margin", "-1", "zero or above"]),
        ("weights = 3", ["objective.weights", "must be a table"]),
    ],
)
def test_slips_are_told(
    tmp_path: Path, main_demo: Any, command: Callable[..., Any], lines: str, said: list[str]
) -> None:
    brief = tmp_path / "brief.toml"
    brief.write_text(
        f'reference = "{(main_demo.folder / "design.toml").as_posix()}"\nmass_limit = "1.36 kg"\n'
        f'[[laws]]\nlaw = "mass"\n[objective]\n{lines}\n',
        encoding="utf-8",
    )
    result = command("check", brief)
    assert result.status == 2
    for words in said:
        assert words in result.err


def test_a_brief_s_objective_is_read(tmp_path: Path, main_demo: Any) -> None:
    path = tmp_path / "brief.toml"
    path.write_text(
        f'reference = "{(main_demo.folder / "design.toml").as_posix()}"\nmass_limit = "1.36 kg"\n'
        '[[laws]]\nlaw = "mass"\n[objective]\npreset = "drive-feel"\nweights = { tip_speed = 2, rush_margin = 0 }\n',
        encoding="utf-8",
    )
    assert load_brief(path).objective == ObjectiveRequest("drive-feel", {"tip_speed": 2.0, "rush_margin": 0.0})


def test_nothing_weighed_is_a_mistake(main_demo: Any) -> None:
    asked = ObjectiveRequest("balanced", dict.fromkeys(BALANCED, 0.0))
    with pytest.raises(InputError, match="nothing that this robot has is weighed"):
        objective_of(replace(main_demo.brief, objective=asked), main_demo.study.reference)


def test_the_readme_tells_of_each_preset_what_it_weighs() -> None:
    """One table for people; its names and weights are the presets' own."""
    text = (Path(__file__).parent.parent / "README.md").read_text(encoding="utf-8")
    rows = [line.split("|")[1:-1] for line in text.splitlines() if line.startswith("| `")]
    told = {row[0].split("`")[1]: row[1:] for row in rows if row[0].split("`")[1] in PRESETS}
    assert set(told) == set(PRESETS)
    for name, (three, one, _) in told.items():
        weights = PRESETS[name].weights
        assert {each for each, weight in weights.items() if weight == 3} == _names(three)
        ones = {each for each, weight in weights.items() if weight == 1}
        assert ones == _names(one) | (set(book.of_role("survival")) if "every survival margin" in one else set())
        assert {each: weight for each, weight in weights.items() if each not in ones | _names(three)} == dict.fromkeys(
            set(BALANCED) - ones - _names(three), 0.25
        )


def _names(cell: str) -> set[str]:
    return set(re.findall(r"[a-z]+(?:_[a-z]+)+", cell))
