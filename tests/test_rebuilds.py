"""Machines that were scaled up before: what builders of such machines have met stands among the first risks.

The machines are invented; what goes wrong with rebuilds of these kinds is common practice, no source: a heavier rotor
is felt in turns and slower up to speed, a corded belt on a printed bracket tears its motor off when the rotor stops
dead, a thin round belt slips and cuts a plastic pulley, a wedge that grew by less than the hits bends, and bolts pull
through plastic.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from scaling.decide.risks import risks_of
from scaling.robot.design import load_design
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
