"""The verbs of the workshop by what they give and write: meshes read again by trimesh, drawings by ezdxf.

A body that grows by f has f^3 of its mass and f^5 of its inertia: Galileo's square-cube law. Clearance holes of ISO
273:1979, medium: 3.4 mm for M3, 5.5 mm for M5, as quoted by a secondary page.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest
import trimesh

from scaling.decide import one_port
from scaling.study.fasteners import fastener_lines

DENSITY = 2700.0
"""Of aluminium, kg/m^3: EN 1999-1-1, sec. 3.2.5, from memory."""


@pytest.fixture
def block(tmp_path: Path) -> Path:
    """A block of 40 x 20 x 10 mm, drawn in millimetres."""
    path = tmp_path / "block.stl"
    trimesh.creation.box(extents=(40, 20, 10)).export(path)
    return path


@pytest.fixture
def plate(tmp_path: Path) -> Path:
    """A plate of 60 x 40 mm with two holes of 3.4 mm and one of 6 mm."""
    document = ezdxf.new("R2010", units=4)
    space = document.modelspace()
    space.add_lwpolyline([(0, 0), (60, 0), (60, 40), (0, 40)], close=True)
    for centre, diameter in (((10, 10), 3.4), ((50, 10), 3.4), ((30, 30), 6.0)):
        space.add_circle(centre, diameter / 2)
    path = tmp_path / "plate.dxf"
    document.saveas(path)
    return path


def given(command: Callable[..., Any], *arguments: object) -> Any:
    result = command(*arguments, "--json")
    assert (result.status, result.err) == (0, "")
    return json.loads(result.out)


def test_mesh_grows_by_the_square_cube_law(command: Callable[..., Any], block: Path, tmp_path: Path) -> None:
    plain = ("mesh", block, "--factor", "1.5", "--material", "aluminium-6082-t6")
    asked = (*plain, "-o", tmp_path / "out.stl")
    told = given(command, *plain)
    own, scaled = told["reference"], told["scaled"]
    assert own["mass"] == pytest.approx(DENSITY * 8e-6, rel=1e-2)
    assert scaled["mass"] == pytest.approx(own["mass"] * 1.5**3, rel=1e-9)
    assert scaled["inertia"][2][2] == pytest.approx(own["inertia"][2][2] * 1.5**5, rel=1e-9)
    assert own["inertia"][2][2] == pytest.approx(own["mass"] * (0.04**2 + 0.02**2) / 12, rel=1e-9)

    shown = command(*asked)
    assert (shown.status, shown.err) == (0, "")
    assert trimesh.load(tmp_path / "out.stl").extents == pytest.approx([60, 30, 15], rel=1e-6)
    assert command(*asked).status == 2  # the file is there now
    assert command(*asked, "--force").status == 0


def test_mesh_by_three_factors_and_another_unit(command: Callable[..., Any], block: Path) -> None:
    told = given(command, "mesh", block, "--factor", "1,2,3", "--material", "hdpe", "--unit", "cm")
    assert told["scaled"]["extents"] == pytest.approx([0.4, 0.4, 0.3], rel=1e-9)
    assert told["scaled"]["volume"] == pytest.approx(6 * told["reference"]["volume"], rel=1e-9)


@pytest.mark.parametrize(("expected", "doubtful"), [("21.6 g", False), ("2.16 g", True)])
def test_mesh_beside_the_mass_that_it_should_have(
    command: Callable[..., Any], block: Path, expected: str, doubtful: bool
) -> None:
    asked = ("mesh", block, "--factor", "1", "--material", "aluminium-6082-t6", "--expected-mass", expected)
    assert bool(given(command, *asked)["warnings"]) is doubtful
    plain = command(*asked[:-2]).out
    assert (len(command(*asked).out.splitlines()) > len(plain.splitlines())) is doubtful


@pytest.mark.parametrize("factor", ["0", "-1", "1,2", "big", "1,1,0"])
def test_what_is_no_scale_is_refused(command: Callable[..., Any], refused: Callable[..., str], block: Path,
                                     factor: str) -> None:
    refused(command("mesh", block, "--factor", factor, "--material", "hdpe"), "--factor")


def holes_of(path: Path) -> list[float]:
    """Diameters of a drawing's circles, mm, by ezdxf."""
    return sorted(2 * circle.dxf.radius for circle in ezdxf.readfile(path).modelspace().query("CIRCLE"))


def test_outline_scales_the_profile_and_recuts_the_named_hole(
    command: Callable[..., Any], plate: Path, tmp_path: Path
) -> None:
    asked = ("outline", plate, "--factor", "1.5", "--hole", "3.4 mm=5.5 mm")
    told = given(command, *asked)
    assert told["factor"] == 1.5
    assert list(told["holes"].values()) == pytest.approx([5.5e-3])
    assert told["drawing"]["area"] == pytest.approx(2400e-6 - math.pi / 4 * (2 * 3.4e-3**2 + 6e-3**2), rel=1e-5)
    assert command(*asked).status == 0
    assert list(tmp_path.iterdir()) == [plate]  # without a file's name nothing is written
    out = tmp_path / "out.dxf"
    assert command(*asked, "-o", out).status == 0
    assert holes_of(out) == pytest.approx([5.5, 5.5, 9.0], rel=1e-9)
    (profile,) = ezdxf.readfile(out).modelspace().query("LWPOLYLINE")
    assert max(profile.get_points("xy")) == pytest.approx((90, 60), rel=1e-9)


def test_outline_by_a_brief_takes_its_first_ports_factor_and_fasteners(
    command: Callable[..., Any], main_demo: Any, plate: Path, tmp_path: Path
) -> None:
    brief = main_demo.folder / "brief.toml"
    told = given(command, "outline", plate, "--brief", brief)
    port = main_demo.study.ports[0]
    assert told["factor"] == pytest.approx(port.factor, rel=1e-12)
    medium = {"M3": 3.4e-3, "M4": 4.5e-3, "M5": 5.5e-3, "M6": 6.6e-3, "M8": 9e-3, "M10": 11e-3}
    sizes = {joint.size for joint in main_demo.design.fasteners}
    assert sizes
    assert sorted(map(float, told["holes"])) == pytest.approx(sorted(medium[size] for size in sizes))
    assert all(any(new == pytest.approx(hole) for hole in medium.values()) for new in told["holes"].values())
    out = tmp_path / "out.dxf"
    assert command("outline", plate, "--brief", brief, "-o", out).status == 0
    assert holes_of(out)[-1] == pytest.approx(max(6 * port.factor, *(1e3 * new for new in told["holes"].values())))


def test_outline_by_a_named_port_works_out_that_port_alone(
    command: Callable[..., Any], main_demo: Any, plate: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A study of every port, which the demo has at hand, says what each port's factor and bolts are."""
    brief, study = main_demo.folder / "brief.toml", main_demo.study
    whole, asked = one_port.whole_study, []
    monkeypatch.setattr(one_port, "whole_study", lambda *given: asked.extend(given[1].requests) or whole(*given))
    holes = set()
    for letter, port in zip(study.letters, study.ports, strict=True):
        asked.clear()
        told = given(command, "outline", plate, "--brief", brief, "--port", letter)
        assert asked == [port.request]
        assert told["factor"] == pytest.approx(port.factor, rel=1e-12)
        lines = [line.hole for line in fastener_lines(study, port) if line.hole is not None]
        assert max(told["holes"].values()) == pytest.approx(max(lines))
        holes.add(max(told["holes"].values()))
    assert len(holes) > 1


@pytest.mark.parametrize("more", [("--brief", "there", "--port", "Z"), ("--factor", "1.5", "--port", "A")])
def test_outline_needs_a_port_that_the_brief_has(
    command: Callable[..., Any], refused: Callable[..., str], main_demo: Any, plate: Path, more: tuple[str, ...]
) -> None:
    words = [str(main_demo.folder / "brief.toml") if each == "there" else each for each in more]
    refused(command("outline", plate, *words), "--port")


@pytest.mark.parametrize("more", [(), ("--factor", "1.5", "--brief", "brief.toml"), ("--factor", "1,2,3")])
def test_outline_needs_one_factor(
    command: Callable[..., Any], refused: Callable[..., str], plate: Path, more: tuple[str, ...]
) -> None:
    refused(command("outline", plate, *more), "factor")


def test_window_draws_into_a_folder(command: Callable[..., Any], pusher_demo: Any, tmp_path: Path) -> None:
    brief, out = pusher_demo.folder / "brief.toml", tmp_path / "out"
    assert given(command, "window", brief)
    shown = command("window", brief, "-o", out)
    assert (shown.status, shown.err) == (0, "")
    names = sorted(path.name for path in out.iterdir())
    assert names
    assert all(path.stat().st_size > 0 for path in out.iterdir())
    assert all(name in shown.out for name in names)
    assert command("window", brief, "-o", out).status == 2
