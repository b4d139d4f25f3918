"""Machines that were scaled up before: what builders of such machines have met stands among the first risks.

The machines are invented; what goes wrong with rebuilds of these kinds is common practice, no source: a heavier rotor
is felt in turns and slower up to speed, a corded belt on a printed bracket tears its motor off when the rotor stops
dead, a thin round belt slips and cuts a plastic pulley, a wedge that grew by less than the hits bends, and bolts pull
through plastic.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from scaling.decide.mends import with_mends
from scaling.decide.risks import risks_of
from scaling.port.changes import path_of, value_of, written
from scaling.robot.design import load_design, read_design
from scaling.study.as_drawn import compared
from scaling.study.results import Study

REBUILDS = Path(__file__).parent / "data" / "rebuilds"
FIRST = 8
"""Risks that a builder reads."""

MET = {
    "first": {"gyro_stronger", "mount_breaks", "rush_lost", "wedge_bends", "joint_fails"},
    "second": {"rush_lost", "belt_slips", "pulley_cut", "wedge_bends", "joint_fails"},
}
"""What builders of such machines have met: common practice, no source."""


@pytest.fixture(scope="module")
def study() -> Study:
    """Both rebuilds beside the small machine."""
    machines = [load_design(REBUILDS / f"{name}.toml") for name in MET]
    return compared(load_design(REBUILDS / "small.toml"), machines)


@pytest.mark.parametrize("place", [0, 1])
def test_what_builders_have_met_is_among_the_first_risks(study: Study, place: int) -> None:
    name = list(MET)[place]
    told = [risk.code for risk in risks_of(study, study.ports[place])[:FIRST]]
    assert MET[name] - set(told) == set(), told


def test_the_small_machine_beside_itself_has_nothing_that_is_likelier_to_fail() -> None:
    small = load_design(REBUILDS / "small.toml")
    itself = compared(small, [small])
    assert [risk.code for risk in risks_of(itself, itself.ports[0]) if risk.rise > 1e-9] == []


MENDED = 5
"""Risks, the first, for each of which a workshop knows a mend of machines like these."""


@pytest.mark.parametrize("place", [0, 1])
def test_each_of_the_first_risks_has_a_mend_that_gives_what_it_promised(study: Study, place: int) -> None:
    """The keys of each mend are written into the machine's own file by hand, and the machine compared anew."""
    port = study.ports[place]
    assert port.machine is not None
    mended = with_mends(study, port, risks_of(study, port)[:MENDED])
    assert [risk.code for risk in mended if risk.mend is None] == []
    for risk in mended:
        assert risk.mend is not None and risk.quantity is not None
        tables = tomllib.loads(port.machine.file.read_text(encoding="utf-8"))
        for key, text in risk.mend.changes.items():
            names = path_of(key)
            rows = [row for row in tables["parts"] if names[0] == "parts" and row["name"] == names[1]]
            written(rows[0] if rows else tables, names[2:] if rows else names, value_of(text))
        again = compared(study.design, [read_design(tables, port.machine.file)]).ports[0]
        assert again.quantities[risk.quantity].value == pytest.approx(risk.mend.value, rel=0.01)
        grams = again.variables["mass"] - port.variables["mass"]
        assert grams <= risk.mend.mass + 1e-4  # screws are counted beside the parts
        codes = {each.code for each in risks_of(study, again) if each.stands and each.rise > 0.02}
        assert risk.code not in codes or (risk.reference or 0) < (risk.limit or 0), risk.mend.text


def test_a_thin_belt_s_pulley_is_mended_by_metal(study: Study) -> None:
    """A plastic pulley softens under a slipping belt; a metal one leads the heat away: common practice, no source."""
    (risk,) = with_mends(study, study.ports[1], [each for each in risks_of(study, study.ports[1])
                                                if each.code == "pulley_cut"])  # fmt: skip
    assert risk.mend is not None and "aluminium" in risk.mend.text


def test_what_a_mend_takes_from_the_hit_is_told(study: Study) -> None:
    """At the same torque and twice the ratio the rotor turns at half its speed and holds a quarter of its energy."""
    (risk,) = with_mends(study, study.ports[1], [each for each in risks_of(study, study.ports[1])
                                                if each.code == "rush_lost"])  # fmt: skip
    assert risk.mend is not None
    assert risk.mend.changes == {"rotor.ratio": "2.8"}  # 1.4 in the file
    assert risk.mend.costs == "rotor energy -75 %"


def test_the_screen_ends_in_what_to_write_into_the_file_first(command: Callable[..., Any]) -> None:
    paths = [REBUILDS / f"{name}.toml" for name in ("small", *MET)]
    lines = command("compare", *paths).out.splitlines()
    assert len(lines) <= 30 and max(map(len, lines)) <= 80
    told = " ".join(" ".join(lines).split())
    assert told.endswith('write rotor.belt.pulley.material = "aluminium-6082-t6" into second.toml, then compare again')
