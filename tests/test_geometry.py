"""Masses from CAD files, and the whole robot's centre of gravity and inertia from its parts' places.

Against closed forms of mechanics (point masses, boxes, parallel axes) and against trimesh, which integrates all the
bodies as one mesh. The machine and its numbers are invented for these tests.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st
from small_pusher import TABLES

from scaling.files.errors import InputError
from scaling.robot.design import Design, load_design
from scaling.robot.parts import Part
from scaling.robot.positions import whole_body
from scaling.shop.materials import material

ROOT = (
    """
name = "Placed piece"
length = "100 mm"
width = "90 mm"
height = "60 mm"
track = "70 mm"
wheelbase = "50 mm"
{root}
"""
    + TABLES
)
PLACES = {
    "pack": '["10 mm", "5 mm", "12 mm"]',
    "drive motors": '[["0 mm", "30 mm", "15 mm"], ["0 mm", "-30 mm", "15 mm"]]',
    "wheels": '[["0 mm", "35 mm", "15 mm"], ["0 mm", "-35 mm", "15 mm"]]',
    "block": '["30 mm", "0 mm", "20 mm"]',
}
POINTS = [
    (0.020, (10, 5, 12)),
    (0.015, (0, 30, 15)),
    (0.015, (0, -30, 15)),
    (0.010, (0, 35, 15)),
    (0.010, (0, -35, 15)),
    (0.080, (30, 0, 20)),
]
"""kg and mm of the places above, with a block of 80 g."""


def design_of(folder: Path, places: dict[str, str], part: str = 'mass = "80 g"', root: str = "") -> Design:
    text = ROOT.format(root=root)
    if places:
        text += "[positions]\n" + "".join(f'"{name}" = {value}\n' for name, value in places.items())
    text += f'[[parts]]\nname = "block"\nkind = "solid"\n{part}\n'
    (folder / "design.toml").write_text(text, encoding="utf-8")
    return load_design(folder / "design.toml")


def points_together(points: list[tuple[float, Any]]) -> tuple[float, Any, Any]:
    """Mass, centre and inertia about it of point masses (kg, mm), by the definitions of mechanics."""
    masses = np.asarray([mass for mass, _ in points])
    places = np.asarray([place for _, place in points], dtype=float) / 1e3
    centre = masses @ places / masses.sum()
    x, y, z = (places - centre).T
    return masses.sum(), centre, np.asarray([masses @ (y**2 + z**2), masses @ (x**2 + z**2), masses @ (x**2 + y**2)])


def test_point_masses(tmp_path: Path) -> None:
    design = design_of(tmp_path, PLACES)
    mass, centre, inertia = points_together(POINTS)
    assert design.body is not None
    assert design.body.mass == pytest.approx(mass, rel=1e-12)
    assert design.body.share == pytest.approx(1.0, rel=1e-12)
    assert design.body.centre == pytest.approx(tuple(centre), rel=1e-12)
    found = (design.body.roll_inertia, design.body.pitch_inertia, design.body.yaw_inertia)
    assert found == pytest.approx(tuple(inertia), rel=1e-12)
    assert design.variables["cg_height"] == pytest.approx(centre[2], rel=1e-12)
    assert design.variables["cg_ahead"] == pytest.approx(centre[0], rel=1e-12)
    assert design.variables["roll_inertia"] == pytest.approx(inertia[0], rel=1e-12)
    assert design.variables["yaw_inertia"] == pytest.approx(inertia[2], rel=1e-12)


def test_a_dumbbell() -> None:
    """Two masses m at +-a across the machine: no inertia along the line between them, 2 m a^2 about the others."""
    parts = (Part("ball", "solid", 0.3, 2),)
    body = whole_body(parts, {"ball": [(0.0, 0.04, 0.02), (0.0, -0.04, 0.02)]}, 0.6)
    assert body is not None
    assert body.centre == pytest.approx((0.0, 0.0, 0.02))
    assert (body.roll_inertia, body.pitch_inertia, body.yaw_inertia) == pytest.approx(
        (2 * 0.3 * 0.04**2, 0.0, 2 * 0.3 * 0.04**2), abs=1e-15
    )


def test_one_place_for_several_pieces_is_all_of_them_there() -> None:
    parts = (Part("ball", "solid", 0.1, 3), Part("other", "solid", 0.3))
    body = whole_body(parts, {"ball": [(0.1, 0.0, 0.0)], "other": [(-0.1, 0.0, 0.0)]}, 0.6)
    assert body is not None
    assert body.mass == pytest.approx(0.6)
    assert body.centre[0] == pytest.approx(0.0, abs=1e-15)


coordinate = st.floats(-0.2, 0.2)


@given(st.lists(st.tuples(st.floats(0.01, 1), st.tuples(coordinate, coordinate, coordinate)), min_size=2, max_size=8))
def test_moving_every_part_moves_the_centre_and_no_inertia(
    points: list[tuple[float, tuple[float, float, float]]],
) -> None:
    parts = tuple(Part(str(row), "solid", mass) for row, (mass, _) in enumerate(points))
    total = sum(mass for mass, _ in points)
    here = whole_body(parts, {str(row): [place] for row, (_, place) in enumerate(points)}, total)
    there = whole_body(parts, {str(row): [(x + 1, y - 2, z + 3)] for row, (_, (x, y, z)) in enumerate(points)}, total)
    assert here is not None
    assert there is not None
    assert np.subtract(there.centre, here.centre) == pytest.approx([1, -2, 3], rel=1e-9)
    for name in ("roll_inertia", "pitch_inertia", "yaw_inertia"):
        assert getattr(there, name) == pytest.approx(getattr(here, name), rel=1e-6, abs=1e-9)


# Parts with a mesh.

STEEL = "steel-mild"
BOX = (30.0, 20.0, 10.0)


def write(folder: Path, mesh: trimesh.Trimesh, name: str = "block.stl") -> None:
    (folder / name).write_bytes(mesh.export(file_type="stl"))


def test_a_box_has_the_mass_and_inertia_of_mechanics(tmp_path: Path) -> None:
    """m = rho a b c, I = m (b^2 + c^2) / 12; mild steel is near 7850 kg/m3 (handbooks, from memory)."""
    write(tmp_path, trimesh.creation.box(BOX))
    design = design_of(
        tmp_path,
        {"block": '["30 mm", "0 mm", "20 mm"]'},
        f'mesh = "block.stl"\nmaterial = "{STEEL}"',
        'cg_height = "15 mm"',
    )
    block = next(part for part in design.parts if part.name == "block")
    assert block.mass == pytest.approx(7850 * 6e-6, rel=0.005)
    body = whole_body((block,), {"block": [(0.03, 0.0, 0.02)]}, block.mass)
    a, b, c = (side / 1e3 for side in BOX)
    expected = [block.mass / 12 * (p**2 + q**2) for p, q in ((b, c), (a, c), (a, b))]
    assert body is not None
    assert [body.roll_inertia, body.pitch_inertia, body.yaw_inertia] == pytest.approx(expected, rel=1e-6)
    assert body.centre == pytest.approx((0.03, 0.0, 0.02), rel=1e-9)


def test_meshes_and_places_as_one_mesh_in_trimesh(tmp_path: Path) -> None:
    """Five bodies of one density, each of its own file, and the same five as one mesh that trimesh integrates."""
    density = material(STEEL).density.typical
    shapes = {
        "bar": (trimesh.creation.box(BOX), [(0, 0, 10)]),
        "disc": (trimesh.creation.cylinder(15, 8, sections=64), [(60, 0, 25)]),
        "ring": (trimesh.creation.annulus(8, 14, 6, sections=64), [(20, 30, 15), (20, -30, 15)]),
        "tilted": (
            trimesh.creation.box((25, 4, 12), trimesh.transformations.rotation_matrix(0.6, (1, 2, 3))),
            [(-30, 5, 30)],
        ),
    }
    text, together = "", []
    for name, (mesh, places) in shapes.items():
        mesh.apply_translation((3, -2, 1))  # the file's origin is not the body's middle
        write(tmp_path, mesh, f"{name}.stl")
        text += f'[[parts]]\nname = "{name}"\nkind = "solid"\nmesh = "{name}.stl"\nmaterial = "{STEEL}"\n'
        text += f"count = {len(places)}\n"
        together += [mesh.copy().apply_translation(place) for place in places]
    whole = trimesh.util.concatenate(together)
    whole.apply_scale(1e-3)
    whole.density = density
    (tmp_path / "design.toml").write_text(ROOT.format(root='cg_height = "20 mm"') + text, encoding="utf-8")
    parts = tuple(part for part in load_design(tmp_path / "design.toml").parts if part.name in shapes)
    places = {name: [(x / 1e3, y / 1e3, z / 1e3) for x, y, z in rows] for name, (_, rows) in shapes.items()}
    body = whole_body(parts, places, sum(part.total for part in parts))
    assert body is not None
    assert body.share == pytest.approx(1.0, rel=1e-12)
    assert body.mass == pytest.approx(whole.mass, rel=1e-5)  # STL holds single precision
    assert body.centre == pytest.approx(tuple(whole.center_mass), rel=1e-5)
    found = [body.roll_inertia, body.pitch_inertia, body.yaw_inertia]
    assert found == pytest.approx(np.diag(whole.moment_inertia), rel=1e-5)


def test_a_stated_mass_counts_over_the_mesh_s(tmp_path: Path) -> None:
    """A hollow print weighs half of its solid: its mass and own inertia halve, and the centre of the whole moves."""
    write(tmp_path, trimesh.creation.box(BOX))
    solid = 7850 * 6e-6
    rows = f'mesh = "block.stl"\nmaterial = "{STEEL}"\nmass = "{solid / 2 * 1e3} g"'
    design = design_of(tmp_path, PLACES, rows)
    block = next(part for part in design.parts if part.name == "block")
    assert block.mass == pytest.approx(solid / 2, rel=1e-12)
    mass, centre, inertia = points_together([*POINTS[:-1], (solid / 2, (30, 0, 20))])
    a, b, c = (side / 1e3 for side in BOX)
    own = [solid / 24 * (p**2 + q**2) for p, q in ((b, c), (a, c), (a, b))]
    assert design.body is not None
    assert design.body.mass == pytest.approx(mass, rel=1e-9)
    assert design.body.share == pytest.approx(1.0, rel=1e-9)
    assert design.body.centre == pytest.approx(tuple(centre), rel=1e-6)
    found = [design.body.roll_inertia, design.body.pitch_inertia, design.body.yaw_inertia]
    assert found == pytest.approx(inertia + own, rel=1e-6)


@pytest.mark.parametrize(
    ("numbers", "stated", "right"),
    [(1.0, "in", "mm"), (1.0, "m", "mm"), (1 / 25.4, "mm", "in"), (1 / 1000, "mm", "m"), (1 / 10, "mm", "cm")],
)
def test_a_wrong_unit_is_said_with_the_one_to_state(tmp_path: Path, numbers: float, stated: str, right: str) -> None:
    """A box of 30 mm whose file has its numbers in one unit, and whose design states another: 25.4, 1000 or 10 off."""
    mesh = trimesh.creation.box(BOX)
    mesh.apply_scale(numbers)
    write(tmp_path, mesh)
    rows = f'mesh = "block.stl"\nmesh_unit = "{stated}"\nmaterial = "{STEEL}"\nmass = "{7850 * 6e-6 * 1e3} g"'
    notes = " ".join(design_of(tmp_path, {}, rows, 'cg_height = "15 mm"').notes)
    assert "block.stl" in notes
    assert f'state the unit "{right}"' in notes


def test_a_right_unit_is_not_doubted(tmp_path: Path) -> None:
    write(tmp_path, trimesh.creation.box(BOX))
    rows = f'mesh = "block.stl"\nmaterial = "{STEEL}"\nmass = "{7850 * 6e-6 * 1e3} g"'
    assert design_of(tmp_path, {}, rows, 'cg_height = "15 mm"').notes == ()


def open_box() -> trimesh.Trimesh:
    box = trimesh.creation.box(BOX)
    return trimesh.Trimesh(box.vertices, box.faces[:-1], process=False)


def test_a_leaky_mesh_needs_the_mass_beside_it(tmp_path: Path, command: Callable[..., Any]) -> None:
    write(tmp_path, open_box())
    rows = f'mesh = "block.stl"\nmaterial = "{STEEL}"'
    with pytest.raises(InputError) as refused:
        design_of(tmp_path, {}, rows, 'cg_height = "15 mm"')
    assert refused.value.key == "parts.block.mesh"
    assert "block.stl" in str(refused.value)
    assert "not watertight" in str(refused.value)
    assert "mass" in str(refused.value.hint)
    shown = command("check", tmp_path / "design.toml")
    assert shown.status == 2
    assert "not watertight" in shown.err
    design = design_of(tmp_path, PLACES, f'{rows}\nmass = "80 g"')
    assert any("not watertight" in note for note in design.notes)
    mass, centre, inertia = points_together(POINTS)  # as a point, since its inertia means nothing
    assert design.body is not None
    assert design.body.centre == pytest.approx(tuple(centre), rel=1e-9)
    assert design.body.yaw_inertia == pytest.approx(inertia[2], rel=1e-9)
    assert design.body.mass == pytest.approx(mass, rel=1e-12)


@pytest.mark.parametrize(
    ("rows", "key"),
    [
        ('mesh = "block.stl"', "parts.block.material"),
        (f'mesh = "gone.stl"\nmaterial = "{STEEL}"', "parts.block.mesh"),
        (f'mesh = "design.toml"\nmaterial = "{STEEL}"', "parts.block.mesh"),
        (f'mesh = "block.stl"\nmesh_unit = "ft"\nmaterial = "{STEEL}"', "parts.block.mesh_unit"),
        ('mesh = "block.stl"\nmaterial = "cheese"', "parts.block.material"),
    ],
)
def test_a_mesh_that_cannot_be_is_refused_by_key(tmp_path: Path, rows: str, key: str) -> None:
    write(tmp_path, trimesh.creation.box(BOX))
    with pytest.raises(InputError) as refused:
        design_of(tmp_path, {}, rows, 'cg_height = "15 mm"')
    assert refused.value.key == key


# Places.


def test_a_stated_number_counts_and_a_far_one_is_said(tmp_path: Path) -> None:
    _, centre, _ = points_together(POINTS)
    near = design_of(tmp_path, PLACES, root=f'cg_height = "{centre[2] * 1.02 * 1e3} mm"')
    assert near.variables["cg_height"] == pytest.approx(centre[2] * 1.02)
    assert near.notes == ()
    far = design_of(tmp_path, PLACES, root='cg_height = "30 mm"')
    assert far.variables["cg_height"] == pytest.approx(0.030)
    (doubt,) = [doubt for doubt in far.doubts if "positions" in doubt.keys and "cg_height" in doubt.keys]
    assert f"{centre[2] * 1e3:.1f}" in doubt.text


def test_too_few_places_do_not_stand_for_the_whole(tmp_path: Path) -> None:
    some = design_of(tmp_path, {"pack": PLACES["pack"]})
    assert "cg_height" in {estimate.key for estimate in some.estimates}
    (note,) = some.notes
    assert "13 %" in note  # 20 of 150 g


@pytest.mark.parametrize(
    ("places", "key"),
    [
        ({"blok": '["1 mm", "1 mm", "1 mm"]'}, "positions.blok"),
        ({"block": '["1 mm", "1 mm"]'}, "positions.block"),
        ({"block": '["1 mm", "1 mm", "1 kg"]'}, "positions.block"),
        ({"block": "[1, 2, 3]"}, "positions.block"),
        ({"block": '"1 mm"'}, "positions.block"),
        (
            {"wheels": '[["1 mm", "1 mm", "1 mm"], ["1 mm", "1 mm", "1 mm"], ["1 mm", "1 mm", "1 mm"]]'},
            "positions.wheels",
        ),
        (PLACES | {"block": '["-900 mm", "0 mm", "20 mm"]'}, "positions"),
        (PLACES | {"block": '["30 mm", "0 mm", "-90 mm"]'}, "positions"),
    ],
)
def test_places_that_cannot_be_are_refused_by_key(tmp_path: Path, places: dict[str, str], key: str) -> None:
    with pytest.raises(InputError) as refused:
        design_of(tmp_path, places, root='cg_height = "15 mm"')
    assert refused.value.key == key


def test_the_pusher_demo_has_a_mesh(pusher_demo: Any) -> None:
    """The scoop is a trapezium: (98 + 97.334) / 2 x 60 x 1 mm of mild steel, near 7850 kg/m3 (from memory)."""
    meshed = [part for part in pusher_demo.design.parts if part.body is not None]
    assert [part.mass for part in meshed] == pytest.approx([7850 * (98 + 97.334) / 2 * 60 * 1e-9], rel=0.005)


def test_the_main_demo_is_placed(main_demo: Any, command: Callable[..., Any]) -> None:
    assert main_demo.design.body is not None
    assert main_demo.design.body.share > 0.95
    shown = command("check", main_demo.design.file, "--json")
    assert json.loads(shown.out)[0]["variables"]["cg_height"] == main_demo.design.variables["cg_height"]


def test_check_prints_what_the_positions_say(main_demo: Any, command: Callable[..., Any]) -> None:
    """Height of the centre of gravity by hand: the places' heights weighted with the parts' masses."""
    design = main_demo.design
    shown = command("check", design.file).out
    row = next(line for line in shown.splitlines() if line.startswith("centre of gravity above the floor"))
    heights = {"rotor": [45], "rotor motor": [16], "drive motors": [20, 20], "wheels": [23, 23], "pack": [10],
               "side walls": [24, 24], "cross members": [8, 8], "top and bottom plates": [48, 3],
               "front wedgelets": [4, 4], "shaft, bearings and pulleys": [36], "rotor controller": [8],
               "drive controller, receiver, link and leads": [8], "screws": [14]}
    placed = [(part.mass, height) for part in design.parts for height in heights.get(part.name, [])]
    expected = sum(mass * height for mass, height in placed) / sum(mass for mass, _ in placed)
    number, unit = row.split()[-2:]
    assert unit == "mm"
    assert float(number) == pytest.approx(expected, abs=0.05)
