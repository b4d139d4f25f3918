"""What stands in the way of a swap: precedence against networkx, tool changes and time by hand."""

from __future__ import annotations

import itertools
import random
from collections.abc import Callable
from pathlib import Path

import networkx as nx
import pytest

from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.robot.design import load_design
from scaling.robot.service import Removal, tool_changes, way_to
from scaling.study.as_drawn import compared

CHECKS = ("swap_time", "service_margin")

REBUILDS = Path(__file__).parent.parent / "data" / "rebuilds"

SERVICE = """
[service]
target = "rotor motor"

[[removals]]
name = "top plate"
screws = {plate}
tool = "hex key 2 mm"

[[removals]]
name = "rotor"
screws = 4
tool = "hex key 2.5 mm"
behind = "top plate"

[[removals]]
name = "belt guard"
screws = 2
tool = "hex key 2 mm"
behind = ["top plate"]

[[removals]]
name = "bottom plate"
screws = 8
tool = "hex key 3 mm"

[[removals]]
name = "rotor motor"
screws = 4
tool = "hex key 2 mm"
behind = ["rotor", "belt guard"]
"""


def jobs(seed: int) -> list[Removal]:
    """Things that lie behind those with lower numbers, in a shuffled file."""
    chance = random.Random(seed)  # noqa: S311 - no secret
    made = [
        Removal(str(place), 1, chance.choice("ab"), tuple(str(low) for low in range(place) if chance.random() < 0.3))
        for place in range(9)
    ]
    chance.shuffle(made)
    return made


@pytest.mark.parametrize("seed", range(30))
def test_the_way_is_all_that_networkx_finds_before_the_target_and_in_an_order_that_holds(seed: int) -> None:
    made = jobs(seed)
    graph = nx.DiGraph([(low, each.name) for each in made for low in each.behind])
    graph.add_nodes_from(each.name for each in made)
    way = [each.name for each in way_to("8", made)]
    assert set(way) == nx.ancestors(graph, "8") | {"8"}
    assert way[-1] == "8" and len(way) == len(set(way))
    assert all(way.index(low) < way.index(high) for low, high in graph.edges if high in way)
    assert way_to("8", made) == way_to("8", made)


@pytest.mark.parametrize("seed", range(10))
def test_few_tool_changes_beside_every_order_there_is(seed: int) -> None:
    """The tool in hand goes first; of all orders that networkx lists none saves more than two of its changes."""
    made = {each.name: each for each in jobs(seed)}
    way = way_to("8", list(made.values()))
    graph = nx.DiGraph([(low, each.name) for each in way for low in each.behind])
    graph.add_nodes_from(each.name for each in way)
    orders = itertools.islice(nx.all_topological_sorts(graph), 5000)
    least = min(tool_changes([made[name] for name in order]) for order in orders)
    assert least <= tool_changes(way) <= least + 2


def test_the_time_by_hand(tmp_path: Path) -> None:
    """Plate, guard, rotor, motor: 8 + 2 + 4 + 4 screws; 2 mm, 2.5 mm, 2 mm and back: 5 tools taken up, 20 s and 10 s.

    In: 2, 2.5, 2. Out again the first is in hand: 2.5, 2. The bottom plate is not in the way.
    """
    path = tmp_path / "first.toml"
    path.write_text((REBUILDS / "first.toml").read_text(encoding="utf-8") + SERVICE.format(plate=8), encoding="utf-8")
    design = load_design(path)
    assert (design.variables["service.screws"], design.variables["service.tool_changes"]) == (18, 5)
    found = book.evaluate(design.variables, design.traits, only=CHECKS)
    assert float(found["swap_time"]) == pytest.approx(18 * 20 + 5 * 10)
    assert float(found["service_margin"]) == pytest.approx(20 * 60 / 410)


def test_counts_that_a_file_states_count(tmp_path: Path) -> None:
    path = tmp_path / "first.toml"
    stated = '\n[service]\nscrews = 30\ntool_changes = 3\npause = "10 min"\nscrew_time = "15 s"\ntool_time = "30 s"\n'
    path.write_text((REBUILDS / "first.toml").read_text(encoding="utf-8") + stated, encoding="utf-8")
    design = load_design(path)
    found = book.evaluate(design.variables, design.traits, only=CHECKS)
    assert float(found["service_margin"]) == pytest.approx(600 / (30 * 15 + 3 * 30))


def test_a_machine_that_takes_too_long_has_the_risk_and_a_mend(tmp_path: Path) -> None:
    from scaling.decide.mends import mend_of
    from scaling.decide.risks import risks_of

    path = tmp_path / "first.toml"
    path.write_text((REBUILDS / "first.toml").read_text(encoding="utf-8") + SERVICE.format(plate=60), encoding="utf-8")
    study = compared(load_design(REBUILDS / "small.toml"), [load_design(path)])
    (risk,) = [each for each in risks_of(study, study.ports[0]) if each.code == "slow_to_service"]
    assert risk.stands and risk.limit == 1 and risk.reference is None
    assert risk.value == pytest.approx(1200 / (70 * 20 + 5 * 10))
    mend = mend_of(study, study.ports[0], risk)
    assert mend is not None and mend.mass == 0
    assert mend.value == pytest.approx(1200 / (float(mend.changes["service.screws"]) * 20 + 5 * 10))


@pytest.mark.parametrize(("name", "said"), [("top plat", 'did you mean "top plate"'), ("lid", "nothing of this name")])
def test_a_name_that_is_not_there_is_refused(name: str, said: str) -> None:
    rows = [Removal("top plate"), Removal("rotor", behind=(name,)), Removal("motor", behind=("rotor",))]
    with pytest.raises(InputError, match=said):
        way_to("motor", rows)
    with pytest.raises(InputError, match=said):
        way_to(name, rows[:1])


def test_what_lies_behind_each_other_is_named() -> None:
    ring = [Removal("a", behind=("b",)), Removal("b", behind=("c",)), Removal("c", behind=("a",)), Removal("d")]
    with pytest.raises(InputError, match="behind each other") as caught:
        way_to("a", ring)
    assert set(str(caught.value.given).split(" behind ")) == {"a", "b", "c"}
    assert [each.name for each in way_to("d", ring)] == ["d"]


def test_rows_without_a_target_are_refused(
    command: Callable[..., object], refused: Callable[..., str], tmp_path: Path
) -> None:
    path = tmp_path / "first.toml"
    text = SERVICE.format(plate=8).replace('[service]\ntarget = "rotor motor"\n', "")
    path.write_text((REBUILDS / "first.toml").read_text(encoding="utf-8") + text, encoding="utf-8")
    refused(command("check", path), "service.target", "rotor motor", "[service]")
