"""Meshes against closed forms of solids, against direct integration, and against files made by hand.

Closed forms: J. L. Meriam & L. G. Kraige, Engineering Mechanics: Dynamics, appendix D, table of homogeneous
solids, from memory. Parallel axes: the same, appendix B, from memory. The inch: NIST Special Publication 811
(2008), appendix B. The meshes come from trimesh, a general-purpose library, or are written out here.
"""

from __future__ import annotations

import os
import sys
from math import pi, sin
from pathlib import Path

import numpy as np
import pytest
import trimesh

from scaling.cad.mesh import combine, mass_properties, mesh_warnings, scale_mesh, write_mesh
from scaling.cad.mesh_file import MESH_KINDS, read_mesh
from scaling.files.errors import InputError

STEEL = 7850.0
FACETS = 2048
TESSELLATION = 5e-6
"""Bound on what 2048 flat facets cost a round body: (2/3)(pi/2048)^2 = 1.6e-6 of its mass, 3.1e-6 of its inertia."""

CORNERS = ["0 0 0", "10 0 0", "10 10 0", "0 10 0", "0 0 10", "10 0 10", "10 10 10", "0 10 10"]
SIDES = ["4 3 2 1", "5 6 7 8", "1 2 6 5", "2 3 7 6", "3 4 8 7", "4 1 5 8"]


def obj_text(sides=SIDES, shift=0.0):
    """Write a cube of 10 units as OBJ, by hand."""
    moved = (" ".join(str(float(value) + shift) for value in corner.split()) for corner in CORNERS)
    return "\n".join([*(f"v {corner}" for corner in moved), *(f"f {side}" for side in sides)])


def reversed_side(side):
    return " ".join(reversed(side.split()))


def tetrahedron(leg):
    """Return the corner of a cube cut off: three legs along the axes."""
    corners = leg * np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]], dtype=float)
    return trimesh.Trimesh(corners, [[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]], process=False)


def box(x, y, z, at=(0.0, 0.0, 0.0)):
    mesh = trimesh.creation.box((x, y, z))
    mesh.apply_translation(at)
    return mesh


def box_inertia(mass, x, y, z):
    return np.diag([mass * (y**2 + z**2), mass * (x**2 + z**2), mass * (x**2 + y**2)]) / 12


# mesh, mass, inertia about the axis, inertia across it
def disc(radius=0.1, height=0.01, facets=FACETS):
    mass = STEEL * pi * radius**2 * height
    mesh = trimesh.creation.cylinder(radius=radius, height=height, sections=facets)
    return mesh, mass, mass * radius**2 / 2, mass * (3 * radius**2 + height**2) / 12


def hollow(inner, outer, height):
    mass = STEEL * pi * (outer**2 - inner**2) * height
    mesh = trimesh.creation.annulus(r_min=inner, r_max=outer, height=height, sections=FACETS)
    squares = inner**2 + outer**2
    return mesh, mass, mass * squares / 2, mass * (3 * squares + height**2) / 12


ROUND_BODIES = {
    "disc": disc(),
    "long cylinder": disc(0.02, 0.3),
    "annulus": hollow(0.06, 0.10, 0.01),
    "tube": hollow(0.045, 0.05, 0.12),
}


@pytest.mark.parametrize("body", ROUND_BODIES)
def test_round_bodies_match_closed_forms(body):
    mesh, mass, about, across = ROUND_BODIES[body]
    found = mass_properties(mesh, STEEL)
    inertia = np.array(found.inertia)
    assert found.mass == pytest.approx(mass, rel=TESSELLATION)
    assert np.diag(inertia) == pytest.approx([across, across, about], rel=TESSELLATION)
    assert inertia - np.diag(np.diag(inertia)) == pytest.approx(np.zeros((3, 3)), abs=1e-12 * about)
    assert found.centre == pytest.approx((0, 0, 0), abs=1e-12)
    assert found.watertight


def test_published_check_values():
    """Numbers worked out by hand from the closed forms: disc, annulus and tube of steel at 7850 kg/m^3."""
    assert mass_properties(ROUND_BODIES["disc"][0], STEEL).inertia[2][2] == pytest.approx(0.01233075, rel=TESSELLATION)
    assert mass_properties(ROUND_BODIES["annulus"][0], STEEL).mass == pytest.approx(1.578336, rel=TESSELLATION)
    assert mass_properties(ROUND_BODIES["tube"][0], STEEL).inertia[0][0] == pytest.approx(0.003277051, rel=TESSELLATION)


@pytest.mark.parametrize("facets", [32, 256, 2048])
def test_facets_cost_what_an_inscribed_polygon_lacks(facets):
    """Area of a regular n-gon inscribed in a circle: (n/2) r^2 sin(2 pi / n), elementary geometry."""
    mesh, mass, about, _ = disc(facets=facets)
    found = mass_properties(mesh, STEEL)
    assert found.mass / mass == pytest.approx(facets / (2 * pi) * sin(2 * pi / facets), rel=1e-9)
    short = (2 / 3) * (pi / facets) ** 2  # what the docstring promises, to the next order
    assert 1 - found.mass / mass == pytest.approx(short, rel=0.01)
    assert 1 - found.inertia[2][2] / about == pytest.approx(2 * short, rel=0.01)


def test_box_is_exact_wherever_it_stands():
    mesh = box(0.2, 0.03, 0.01, at=(3.0, -2.0, 1.0))
    found = mass_properties(mesh, STEEL)
    assert found.mass == pytest.approx(0.4710, rel=1e-9)
    assert np.array(found.inertia) == pytest.approx(box_inertia(0.4710, 0.2, 0.03, 0.01), rel=1e-9, abs=1e-13)
    assert found.centre == pytest.approx((3.0, -2.0, 1.0))
    assert found.extents == pytest.approx((0.2, 0.03, 0.01))
    assert found.area == pytest.approx(2 * (0.2 * 0.03 + 0.2 * 0.01 + 0.03 * 0.01))
    assert found.faces == 12


@pytest.mark.parametrize("leg", [1e-4, 0.05, 30.0])
def test_tetrahedron_has_its_products_of_inertia(leg):
    """Direct integration: the integral of x^a y^b z^c over the unit corner is a! b! c! / (a + b + c + 3)!."""
    found = mass_properties(tetrahedron(leg), 1000.0)
    scale = 1000.0 * leg**5
    assert found.mass == pytest.approx(1000.0 * leg**3 / 6, rel=1e-9)
    assert found.centre == pytest.approx((leg / 4,) * 3, rel=1e-9)
    expected = np.full((3, 3), scale / 480) + np.eye(3) * (scale / 80 - scale / 480)
    assert np.array(found.inertia) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("density", [0.0, -1.0, float("nan"), float("inf")])
def test_density_must_be_positive(density):
    with pytest.raises(InputError) as caught:
        mass_properties(box(1, 1, 1), density)
    assert caught.value.key == "density"


# Reading and writing


@pytest.mark.parametrize(("unit", "metres"), [("mm", 0.001), ("cm", 0.01), ("m", 1.0), ("in", 0.0254)])
def test_units_of_a_file(tmp_path, unit, metres):
    path = tmp_path / "cube.obj"
    path.write_text(obj_text())
    found = mass_properties(read_mesh(path, unit), 1000.0)
    assert found.extents == pytest.approx((10 * metres,) * 3)
    assert found.mass == pytest.approx(1000.0 * (10 * metres) ** 3)


def test_millimetres_are_the_default_and_capitals_do_not_matter(tmp_path):
    path = tmp_path / "CUBE.OBJ"
    path.write_text(obj_text())
    assert mass_properties(read_mesh(path), 1000.0).mass == pytest.approx(0.001)


def test_ascii_stl_written_by_hand(tmp_path):
    facets = ["0 0 0,0 9 0,9 0 0", "0 0 0,9 0 0,0 0 9", "0 0 0,0 0 9,0 9 0", "9 0 0,0 9 0,0 0 9"]
    rows = "".join(
        "facet normal 0 0 0\nouter loop\n"
        + "".join(f"vertex {corner}\n" for corner in facet.split(","))
        + "endloop\nendfacet\n"
        for facet in facets
    )
    path = tmp_path / "corner.stl"
    path.write_text(f"solid corner\n{rows}endsolid corner\n")
    found = mass_properties(read_mesh(path), 1000.0)
    assert found.watertight
    assert found.volume == pytest.approx(0.009**3 / 6)


@pytest.mark.parametrize("kind", MESH_KINDS)
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_what_is_written_reads_back(tmp_path, kind, unit):
    mesh = tetrahedron(0.07)
    write_mesh(mesh, tmp_path / f"part{kind}", unit)
    found = mass_properties(read_mesh(tmp_path / f"part{kind}", unit), STEEL)
    single = 1e-6  # STL and PLY hold single precision
    assert found.mass == pytest.approx(STEEL * 0.07**3 / 6, rel=single)
    assert found.watertight
    assert trimesh.load_mesh(tmp_path / f"part{kind}").extents == pytest.approx(
        [0.07 / {"mm": 0.001, "in": 0.0254}[unit]] * 3, rel=single
    )
    assert [entry.name for entry in tmp_path.iterdir()] == [f"part{kind}"]


def test_one_body_in_two_materials_or_groups_is_one_mesh(tmp_path):
    for word in ("usemtl", "o", "g"):
        path = tmp_path / f"{word}.obj"
        path.write_text(obj_text([*SIDES[:3], f"{SIDES[3]}\n{word} second", *SIDES[4:]]))
        found = mass_properties(read_mesh(path), 1000.0)
        assert found.watertight, word
        assert found.mass == pytest.approx(0.001)


def test_bodies_of_one_file_add_up_even_when_they_touch(tmp_path):
    apart = trimesh.util.concatenate([box(0.01, 0.01, 0.01), box(0.02, 0.02, 0.02, at=(0.1, 0, 0))])
    touching = trimesh.util.concatenate([box(0.01, 0.01, 0.01), box(0.01, 0.01, 0.01, at=(0.01, 0.01, 0))])
    for name, mesh, volume in (("apart", apart, 9e-6), ("touching", touching, 2e-6)):
        write_mesh(mesh, tmp_path / f"{name}.stl")
        found = mass_properties(read_mesh(tmp_path / f"{name}.stl"), 1000.0)
        assert found.watertight, name
        assert found.volume == pytest.approx(volume, rel=1e-6)


PLY_HEADER = """ply
format ascii 1.0
comment TextureFile secret.png
element vertex 4
property float x
property float y
property float z
element face 4
property list uchar int vertex_indices
end_header
"""
REFERRING = {
    "cube.obj": "mtllib secret.mtl\nusemtl a\n" + obj_text(),
    "corner.ply": PLY_HEADER + "0 0 0\n9 0 0\n0 9 0\n0 0 9\n3 0 2 1\n3 0 1 3\n3 0 3 2\n3 1 2 3\n",
}


@pytest.mark.parametrize("name", REFERRING)
def test_nothing_that_a_file_refers_to_is_opened_or_missed(tmp_path, caplog, name):
    (tmp_path / "secret.mtl").write_text("newmtl a\nmap_Kd secret.png\n")
    (tmp_path / "secret.png").write_bytes(b"secret")
    (tmp_path / name).write_text(REFERRING[name])
    opened: list[str] = []
    watching = [True]

    def watch(event, details):
        if watching and (event.startswith("socket.") or (event == "open" and str(tmp_path) in str(details[0]))):
            opened.append(f"{event} {details}")

    sys.addaudithook(watch)
    mesh = read_mesh(tmp_path / name)
    watching.clear()
    assert mesh.is_watertight
    assert len(opened) == 1
    assert name in opened[0]
    assert caplog.records == []


BAD_FILES = {
    "empty.stl": (b"", "is empty"),
    "words.stl": (b"these are only words " * 20, "holds no faces"),
    "words.ply": (b"these are only words " * 20, "cannot be read as a mesh"),
    "words.off": (b"these are only words " * 20, "cannot be read as a mesh"),
    "huge_count.off": (b"OFF\n999999999999 999999999999 0\n0 0 0\n", "cannot be read as a mesh"),
    "no_vertex.obj": (b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n", "cannot be read as a mesh"),
    "points.obj": (b"v 0 0 0\nv 1 0 0\nv 0 1 0\n", "holds no faces"),
    "comma.stl": (b"solid\nvertex 0,5 0 0\nvertex 1 0 0\nvertex 0 1 0\nendsolid\n", "cannot be read as a mesh"),
    "letters.stl": (
        b"solid\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nvertex o 0 0\nvertex 1 0 0\nvertex 0 1 0\nendsolid\n",
        "cannot be read as a mesh",
    ),
    "vast.obj": (obj_text().replace("10.0", "1e30").encode(), "across"),
    "part.step": (b"ISO-10303-21;", "is of an unknown kind"),
    "part": (b"solid", "is of an unknown kind"),
}


@pytest.mark.parametrize("name", BAD_FILES)
def test_files_that_cannot_be_used_say_why(tmp_path, name):
    content, problem = BAD_FILES[name]
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(InputError) as caught:
        read_mesh(path)
    assert problem in caught.value.problem
    sentence = str(caught.value)
    assert sentence.startswith(str(path))
    assert sentence.endswith(".")
    assert "\n" not in sentence


def test_missing_folder_pipe_and_oversize(tmp_path):
    os.mkfifo(tmp_path / "pipe.stl")
    (tmp_path / "large.stl").touch()
    os.truncate(tmp_path / "large.stl", 200_000_001)
    (tmp_path / "folder.stl").mkdir()
    for name, problem in (
        ("none.stl", "no such file"),
        ("folder.stl", "a directory"),
        ("pipe.stl", "a pipe"),
        ("large.stl", "is too large"),
    ):
        with pytest.raises(InputError, match=problem):
            read_mesh(tmp_path / name)


def test_unknown_unit_names_the_known_ones(tmp_path):
    for act in (read_mesh, lambda path, unit: write_mesh(box(1, 1, 1), path, unit)):
        with pytest.raises(InputError) as caught:
            act(tmp_path / "a.stl", "furlong")
        assert (caught.value.key, caught.value.given) == ("unit", "furlong")
        assert caught.value.allowed == "mm, cm, m, in"


def test_nothing_is_overwritten_unasked(tmp_path):
    path = tmp_path / "part.stl"
    path.write_text("precious")
    with pytest.raises(InputError, match="is there already"):
        write_mesh(box(0.1, 0.1, 0.1), path)
    assert path.read_text() == "precious"
    write_mesh(box(0.1, 0.1, 0.1), path, force=True)
    assert mass_properties(read_mesh(path), 1000.0).mass == pytest.approx(1.0, rel=1e-6)


def test_a_failed_write_leaves_nothing_behind(tmp_path, monkeypatch):
    path = tmp_path / "part.stl"
    path.write_text("precious")

    def fail(self, target):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", fail)
    with pytest.raises(InputError, match="No space left on device"):
        write_mesh(box(0.1, 0.1, 0.1), path, force=True)
    assert [entry.name for entry in tmp_path.iterdir()] == ["part.stl"]
    assert path.read_text() == "precious"


def test_places_that_cannot_be_written(tmp_path):
    (tmp_path / "folder.stl").mkdir()
    for name, problem in (("folder.stl", "is a folder"), ("no/a.stl", "does not exist"), ("a.step", "unknown kind")):
        with pytest.raises(InputError, match=problem):
            write_mesh(box(1, 1, 1), tmp_path / name, force=True)


# What is doubtful about a mesh


def read_cube(tmp_path, sides=SIDES, unit="mm"):
    path = tmp_path / "cube.obj"
    path.write_text(obj_text(sides))
    return read_mesh(path, unit)


def test_a_sound_mesh_of_the_expected_size_is_not_doubted(tmp_path):
    mesh = read_cube(tmp_path)
    assert mesh_warnings(mesh) == []
    assert mesh_warnings(mesh, [0.011, 0.0095, 0.0105], 0.0012, 1000.0) == []


def test_open_mesh_is_reported_and_has_no_mass_to_rely_on(tmp_path):
    mesh = read_cube(tmp_path, SIDES[:5])
    found = mass_properties(mesh, 1000.0)
    assert not found.watertight
    assert all(np.isfinite(np.ravel(value)).all() for value in (found.mass, found.centre, found.inertia))
    assert found.extents == pytest.approx((0.01, 0.01, 0.01))
    (warning,) = mesh_warnings(mesh)
    assert "not watertight" in warning
    assert "repair" in warning
    assert "export" in warning


def test_flat_mesh_has_no_volume(tmp_path):
    found = mass_properties(read_cube(tmp_path, SIDES[:1]), 1000.0)
    assert not found.watertight
    assert (found.volume, found.mass) == (0.0, 0.0)


def test_inside_out_mesh_is_reported_and_turned(tmp_path):
    mesh = read_cube(tmp_path, [reversed_side(side) for side in SIDES])
    assert mass_properties(mesh, 1000.0).mass == pytest.approx(0.001)
    assert np.array(mass_properties(mesh, 1000.0).inertia) == pytest.approx(box_inertia(0.001, 0.01, 0.01, 0.01))
    (warning,) = mesh_warnings(mesh)
    assert "inside out" in warning


def test_one_face_turned_spoils_the_mass(tmp_path):
    mesh = read_cube(tmp_path, [*SIDES[:5], reversed_side(SIDES[5])])
    assert not mass_properties(mesh, 1000.0).watertight
    (warning,) = mesh_warnings(mesh)
    assert "opposite ways" in warning


@pytest.mark.parametrize(
    ("read_as", "truth", "metres"),
    [("mm", "in", 0.0254), ("mm", "m", 1.0), ("mm", "cm", 0.01), ("in", "mm", 0.001), ("m", "mm", 0.001)],
)
def test_wrong_unit_names_the_right_one(tmp_path, read_as, truth, metres):
    """A cube of 10 units expected to be 10 of the true unit, give or take what a rough drawing misses by."""
    mesh = read_cube(tmp_path, unit=read_as)
    size = 10 * metres
    for warnings in (
        mesh_warnings(mesh, expected_extents=[1.1 * size, size, 0.9 * size]),
        mesh_warnings(mesh, expected_mass=1.2 * 7850.0 * size**3, density=7850.0),
    ):
        (warning,) = warnings
        assert f'state the unit "{truth}"' in warning


@pytest.mark.parametrize("factor", [10.0, 25.4, 1000.0])
def test_a_file_too_large_by_a_units_factor_must_be_exported_again(tmp_path, factor):
    (warning,) = mesh_warnings(read_cube(tmp_path), expected_extents=[0.01 / factor] * 3)
    assert f"{factor:g} times larger" in warning
    assert "export" in warning


@pytest.mark.parametrize("expected", [[0.02, 0.02, 0.02], [0.1, 0.1, 0.02], [0.254, 0.254, 0.01]])
def test_other_sizes_are_reported_without_blaming_a_unit(tmp_path, expected):
    (warning,) = mesh_warnings(read_cube(tmp_path), expected_extents=expected)
    assert "no unit explains it" in warning


def test_expectations_must_make_sense(tmp_path):
    mesh = read_cube(tmp_path)
    for key, given in (
        ("density", {"expected_mass": 1.0}),
        ("expected_mass", {"expected_mass": -1.0, "density": 1000.0}),
        ("expected_extents", {"expected_extents": [0.1, 0.1]}),
        ("expected_extents", {"expected_extents": [0.1, 0.1, 0.0]}),
    ):
        with pytest.raises(InputError) as caught:
            mesh_warnings(mesh, **given)
        assert caught.value.key == key


# Scaling


@pytest.mark.parametrize("factor", [0.25, 3 ** (1 / 3), 2.0, 10.0])
def test_uniform_scale_follows_the_powers_of_similarity(factor):
    """Mass as n^3 and inertia as n^5 at one density: NASA TP-1435 (Wolowicz, Bowman & Gilbert, 1979), from memory."""
    mesh = tetrahedron(0.05)
    before, after = mass_properties(mesh, STEEL), mass_properties(scale_mesh(mesh, factor), STEEL)
    assert after.mass == pytest.approx(before.mass * factor**3, rel=1e-9)
    assert np.array(after.inertia) == pytest.approx(np.array(before.inertia) * factor**5, rel=1e-9)
    assert after.centre == pytest.approx(np.array(before.centre) * factor, rel=1e-9)


def test_sheet_scales_its_outline_and_its_thickness_apart():
    after = mass_properties(scale_mesh(box(0.2, 0.03, 0.004), (1.5, 1.5, 1.25)), STEEL)
    mass = STEEL * 0.3 * 0.045 * 0.005
    assert after.extents == pytest.approx((0.3, 0.045, 0.005))
    assert after.mass == pytest.approx(mass)
    assert np.array(after.inertia) == pytest.approx(box_inertia(mass, 0.3, 0.045, 0.005), rel=1e-9, abs=1e-13)


def test_scaling_leaves_the_original_alone():
    mesh = box(0.2, 0.03, 0.004)
    scale_mesh(mesh, 3.0)
    assert mesh.extents == pytest.approx((0.2, 0.03, 0.004))


@pytest.mark.parametrize("factors", [0.0, -1.0, float("nan"), (1.0, 2.0), (1.0, 2.0, 0.0), ((1.0,) * 3,) * 3])
def test_what_is_not_a_scale_is_refused(factors):
    with pytest.raises(InputError) as caught:
        scale_mesh(box(1, 1, 1), factors)
    assert caught.value.key == "factors"


# Parts together


def test_parts_together_match_one_mesh_of_them_all():
    sizes = [(0.1, 0.2, 0.3), (0.05, 0.05, 0.4), (0.3, 0.02, 0.1)]
    places = np.array([(0.0, 0.0, 0.0), (0.5, -0.3, 0.2), (-0.4, 0.6, -0.7)])
    parts = [mass_properties(box(*size, at=(0.01, 0.02, 0.03)), STEEL) for size in sizes]
    union = trimesh.util.concatenate(
        [box(*size, at=np.add((0.01, 0.02, 0.03), place)) for size, place in zip(sizes, places, strict=True)]
    )
    union.density = STEEL
    found = combine(parts, places, [1, 1, 1])
    assert found.mass == pytest.approx(union.mass, rel=1e-12)
    assert found.centre == pytest.approx(union.center_mass, rel=1e-9)
    assert np.array(found.inertia) == pytest.approx(union.moment_inertia, rel=1e-9)


def test_dumbbell_by_parallel_axes():
    """Two cubes of side a, a distance d apart: about the middle, m a^2 / 6 + m d^2 / 4 each across the line."""
    side, apart = 0.04, 0.5
    cube = mass_properties(box(side, side, side), STEEL)
    found = combine([cube, cube], np.array([(0.0, 0, 0), (apart, 0, 0)]), [1, 1])
    across = 2 * cube.mass * (side**2 / 6 + apart**2 / 4)
    assert found.centre == pytest.approx((apart / 2, 0, 0))
    expected = np.diag([2 * cube.mass * side**2 / 6, across, across])
    assert np.array(found.inertia) == pytest.approx(expected, rel=1e-9, abs=1e-12)


def test_counts_repeat_a_part_at_its_place():
    bar, cube = (mass_properties(box(*size), STEEL) for size in ((0.1, 0.02, 0.02), (0.03, 0.03, 0.03)))
    counted = combine([bar, cube], np.array([(0.0, 0, 0), (0.2, 0.1, 0)]), [1, 3])
    listed = combine([bar, *[cube] * 3], np.array([(0.0, 0, 0), *[(0.2, 0.1, 0)] * 3]), [1] * 4)
    none = combine([bar, cube], np.array([(0.0, 0, 0), (0.2, 0.1, 0)]), [1, 0])
    assert counted.mass == pytest.approx(STEEL * (0.1 * 0.02**2 + 3 * 0.03**3))
    assert np.array(counted.inertia) == pytest.approx(np.array(listed.inertia), rel=1e-12)
    assert np.array(none.inertia) == pytest.approx(np.array(bar.inertia), rel=1e-12)


def test_parts_that_do_not_fit_together_are_refused(tmp_path):
    cube = mass_properties(box(1, 1, 1), STEEL)
    leaking = mass_properties(read_cube(tmp_path, SIDES[:5]), STEEL)
    here = np.zeros((1, 3))
    for parts, places, counts, key in (
        ([cube], np.zeros(3), [1], "positions, counts"),
        ([cube], here, [1, 1], "positions, counts"),
        ([cube], here, [-1], "positions, counts"),
        ([cube], here * np.nan, [1], "positions, counts"),
        ([cube], here, [0], "counts"),
        ([leaking], here, [1], "properties[0]"),
    ):
        with pytest.raises(InputError) as caught:
            combine(parts, places, counts)
        assert caught.value.key == key
