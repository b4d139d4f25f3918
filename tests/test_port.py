"""What a brief says of the port reaches every number that follows from it, or is refused."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from scaling.files.errors import InputError
from scaling.port.brief import load_brief
from scaling.robot.design import load_design
from scaling.shop.materials import material
from scaling.study.results import Port, Study
from scaling.study.run import run_study

ROOT = Path(__file__).parent.parent
MAIN = ROOT / "demo_designs" / "tarvindle"
SAME = """
reference = "design.toml"
mass_limit = "454 g"

[[laws]]
law = "length"
target = "165 mm"
speed_rules = ["{rule}"]
"""


@pytest.fixture
def port_of(tmp_path: Path) -> Callable[..., Port]:
    """The port of the main demo at factor 1 under a rule, with more in the brief or the design changed."""

    def make(more: str = "", rule: str = "hold-rpm", **design_changes: str) -> Port:
        text = (MAIN / "design.toml").read_text(encoding="utf-8")
        for old, new in design_changes.items():
            text = text.replace(old, new, 1)
        (tmp_path / "design.toml").write_text(text, encoding="utf-8")
        (tmp_path / "brief.toml").write_text("snap = false\n" + SAME.format(rule=rule) + more, encoding="utf-8")
        return studied(tmp_path / "brief.toml").ports[0]

    return make


def studied(path: Path) -> Study:
    brief = load_brief(path)
    return run_study(load_design(brief.design_file), brief)


@pytest.mark.parametrize("rule", ["hold-rpm", "hold-tip-speed", "gravity-similar", "hold-gyro-margin", "as-motored"])
def test_the_same_robot_has_no_drift(port_of: Callable[..., Port], rule: str) -> None:
    """At factor 1 with nothing changed the port is the reference, by definition."""
    port = port_of(rule=rule)
    for name, entry in port.quantities.items():
        for clock, drift in entry.drift.items():
            assert drift == pytest.approx(1, rel=1e-6), (name, clock)


def test_the_same_robot_with_a_measured_speed_has_no_drift(tmp_path: Path, port_of: Callable[..., Port]) -> None:
    port = port_of(rule="as-motored", **{"ratio = 1.6 ": 'speed = "9000 rpm"\nratio = 1.6 '})
    assert port.quantities["rotor_speed"].ratio == pytest.approx(1, rel=1e-9)
    assert port.quantities["rotor_energy"].drift["gravity"] == pytest.approx(1, rel=1e-9)


def test_a_part_s_material_is_its_wall_s(port_of: Callable[..., Port]) -> None:
    """Strength, modulus and density are the table's own; sources stand beside them there."""
    port = port_of('[parts."side walls"]\nmaterial = "aluminium-6082-t6"\n')
    new, old = material("aluminium-6082-t6"), material("uhmwpe")
    assert port.variables["wall.strength"] == new.strength.typical
    assert port.variables["wall.modulus"] == new.modulus.typical
    walls = next(line for line in port.parts if line.name == "side walls")
    assert walls.port / walls.reference == pytest.approx(new.density.typical / old.density.typical, rel=1e-12)


def test_a_closing_material_is_its_wall_s_too(port_of: Callable[..., Port]) -> None:
    lever = '[[closure]]\nlever = "material"\nparts = ["side walls"]\nmaterial = "hdpe"\n'
    port = port_of(lever, **{'mass = "454 g" ': 'mass = "454.0 g" '})
    kept = port_of(lever.replace("hdpe", "uhmwpe"))
    assert {port.variables["wall.strength"], kept.variables["wall.strength"]} >= {material("uhmwpe").strength.typical}


def test_what_follows_from_a_changed_size_follows(port_of: Callable[..., Port]) -> None:
    """Bored wider the bar is stressed more and turns easier; half a wheelbase is half of the new one."""
    own, bored = port_of(), port_of('[port.rotor]\nbore = "16 mm"\n')
    assert bored.variables["rotor.stress_factor"] > own.variables["rotor.stress_factor"]
    assert bored.variables["rotor.inertia"] > own.variables["rotor.inertia"]  # the same mass, further out
    wire = port_of('[port.wire]\ngauge = "AWG 12"\n')
    assert wire.variables["wire.area"] == pytest.approx(3.31e-6, rel=2e-3)  # ASTM B258, 3.309 mm2, from memory


def test_cells_of_another_voltage_make_another_pack(port_of: Callable[..., Port]) -> None:
    port = port_of('[port.battery]\ncell_voltage = "3.2 V"\n')
    assert port.variables["battery.voltage"] == pytest.approx(9.6, rel=1e-12)


def test_a_chemistry_brings_its_voltages(port_of: Callable[..., Port]) -> None:
    """Lithium iron phosphate: nominal 3.2 V, common practice, no source."""
    port = port_of(**{"cells = 3\n": 'cells = 3\ncell = "lithium iron phosphate"\n'})
    assert port.variables["battery.voltage"] == pytest.approx(9.6, rel=1e-12)


REFUSED = [
    ('[port]\nmass = "500 g"\n', "port.mass"),
    ('[port.rotor]\nspeed = "9000 rpm"\n', "port.rotor.speed"),
    ('[port.wall]\nthickness = "20 mm"\n', "port.wall.thickness"),
    ('[port.wall]\nmaterial = "hdpe"\n', "port.wall.material"),
    ('[port.rotor]\naxis = "upright"\n', "port.rotor.axis"),
    ('[port.rotor]\nkind = "fixed"\n', "port.rotor.kind"),
    ('[port]\nname = "Other"\n', "port.name"),
    ('[port.battery]\nvoltage = "22 V"\n', "port.battery.cells"),
    ('[port.wheel]\ndriven = 9\n', "wheel.driven"),
    ('[port]\ncg_height = "90 mm"\n', "cg_height"),
    ('[port.rotor.tooth]\nbolt = "M5"\n', "port.rotor.tooth.bolt"),
]


@pytest.mark.parametrize(("more", "key"), REFUSED, ids=[key for _, key in REFUSED])
def test_what_a_port_cannot_have_is_refused(port_of: Callable[..., Port], more: str, key: str) -> None:
    with pytest.raises(InputError) as refused:
        port_of(more)
    assert refused.value.key == key
    assert "brief.toml" in str(refused.value)


def test_a_limit_of_the_brief_that_is_passed_is_a_problem(port_of: Callable[..., Port]) -> None:
    port = port_of('[limits.at_most]\ntip_speed = "40 m/s"\n')
    assert "limit_passed" in {problem.code for problem in port.problems}
    fine: Any = port_of('[limits.at_most]\ntip_speed = "400 m/s"\n')
    assert "limit_passed" not in {problem.code for problem in fine.problems}
