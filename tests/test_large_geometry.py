"""What reads large meshes and drawings in pieces, against the libraries that read them whole."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from matplotlib.path import Path as Outline

from scaling.cad import corners
from scaling.cad.mesh_file import read_mesh
from scaling.cad.obj import read_obj
from scaling.cad.sampled import Sampler, inside, radii, transform

SEED = 20_260_301


def ball(level: int = 4) -> trimesh.Trimesh:
    """A ball of many facets, away from the origin, pressed so that no two moments are alike."""
    found = trimesh.creation.icosphere(subdivisions=level, radius=20.0)
    found.vertices = found.vertices * (1.0, 0.7, 1.3) + (31.0, -17.0, 5.0)
    return found


@pytest.mark.parametrize("kind", ["stl", "stl_ascii", "obj", "ply", "off"])
def test_a_mesh_is_read_as_the_library_reads_it(tmp_path: Path, kind: str) -> None:
    """Reference: trimesh, which reads a file whole and merges corners by its own rounding."""
    path = tmp_path / f"ball.{kind.partition('_')[0]}"
    ball().export(path, file_type=kind)
    own, other = read_mesh(path), trimesh.load_mesh(path)
    assert (len(own.faces), len(own.vertices)) == (len(other.faces), len(other.vertices))
    assert own.volume == pytest.approx(other.volume * 1e-9, rel=1e-9)
    assert own.is_watertight


def test_moments_are_those_of_the_library() -> None:
    """Reference: trimesh's integrals over faces, after another formula than ours over tetrahedra."""
    mesh = ball()
    area, volume, first, second = corners.integrals(np.asarray(mesh.vertices), np.asarray(mesh.faces))
    found = mesh.mass_properties
    away = first / volume
    spread = second - volume * np.outer(away, away)
    assert area == pytest.approx(mesh.area, rel=1e-12)
    assert volume == pytest.approx(found.volume, rel=1e-12)
    assert away == pytest.approx(found.center_mass, rel=1e-12)
    assert np.trace(spread) * np.eye(3) - spread == pytest.approx(found.inertia, rel=1e-10, abs=1e-6)


def test_corners_that_meet_under_one_spread_are_told_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    points = np.asarray([[0, 0, 0], [1, 2, 3], [-0.0, 0, 4e-9], [1, 2, 3.1]])
    monkeypatch.setattr(corners, "SPREADS", ((0, 0, 0), *corners.SPREADS))
    found, places = corners.joined(points)
    assert len(found) == 3
    assert places[0] == places[2]
    assert found[places] == pytest.approx(points, abs=1e-8)
    monkeypatch.setattr(corners, "SPREADS", ((0, 0, 0),))
    with pytest.raises(ArithmeticError):
        corners.joined(points)


def test_corners_are_joined_across_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(corners, "AT_ONCE", 7)
    points = np.random.default_rng(SEED).integers(0, 3, (200, 3)).astype(float)
    found, places = corners.joined(points)
    assert len(found) == len(np.unique(points, axis=0))
    assert np.array_equal(found[places], points)


@pytest.mark.parametrize("drop", [0, 1])
def test_closed_as_the_library_says(drop: int) -> None:
    mesh = ball(2)
    faces = np.asarray(mesh.faces)[drop:]
    assert corners.is_closed(faces) == trimesh.Trimesh(mesh.vertices, faces, process=False).is_watertight
    turned = np.concatenate([faces[:-1], faces[-1:, ::-1]])
    assert not corners.is_closed(turned)


@pytest.mark.parametrize(
    ("text", "faces"),
    [
        ("v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", [[0, 1, 2]]),
        ("v 0 0 0\nv 1 0 0\nv 0 1 0\nf -3 -2 -1\n", [[0, 1, 2]]),
        ("v 0 0 0\nv 1 0 0\nv 0 1 0\nvt 0 0\nvn 0 0 1\nf 1/1/1 2//1 3/1\n", [[0, 1, 2]]),
        ("v 0 0 0 1\nv 1 0 0 1\nv 1 1 0 1\nv 0 1 0 1\nf 1 2 \\\n3 4 # square\n", [[0, 1, 2], [0, 2, 3]]),
        ("usemtl a\nv 0 0 0\nv 1 0 0\nl 1 2\nv 0 1 0\ng b\nf 1 2 3\n", [[0, 1, 2]]),
    ],
)
def test_faces_of_an_obj_file(text: str, faces: list[list[int]]) -> None:
    """The statements v and f of the format: corners counted from 1 or backwards, with what stands behind a slash."""
    assert read_obj(text.encode(), Path("a.obj"))[1].tolist() == faces


@pytest.mark.parametrize("text", ["v 0 0 0\nf 1 2 3\n", "v 0 0\nv 0 0 1\nf 1 2 1\n", "v a 0 0\nf 1 1 1\n", "f x y z\n"])
def test_what_is_no_obj_file(text: str) -> None:
    with pytest.raises((ValueError, IndexError)):
        read_obj(text.encode(), Path("a.obj"))


@pytest.mark.parametrize("pairs", [3, 1 << 20])
def test_what_is_inside_as_the_plotting_library_says(pairs: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Reference: matplotlib's Path.contains_points, on stars that cross themselves nowhere."""
    monkeypatch.setattr("scaling.cad.sampled.PAIRS", pairs)
    random = np.random.default_rng(SEED)
    for _ in range(20):
        count = int(random.integers(3, 60))
        star = random.uniform(0.2, 1.0, count) * np.exp(1j * np.sort(random.uniform(0, 2 * np.pi, count)))
        points = random.uniform(-1, 1, 300) + 1j * random.uniform(-1, 1, 300)
        outline = Outline(np.column_stack([star.real, star.imag]))
        expected = outline.contains_points(np.column_stack([points.real, points.imag]))
        assert np.array_equal(inside(star, points), expected)


def polyline(**more: Any) -> Any:
    import ezdxf

    space = ezdxf.new("R2010").modelspace()
    rows = [(1, 2, 0.1, 0.2, 0.5), (9, 2, 0.0, 0.0, -0.3), (9, 8, 0.0, 0.0, 1.0), (1, 8, 0.3, 0.3, 0.0)]
    return space.add_lwpolyline(rows, close=True, dxfattribs={"elevation": 0.5, "thickness": 2.0, **more})


def test_arcs_of_a_polyline_as_the_library_draws_them() -> None:
    """Reference: ezdxf, which makes arcs of a polyline's bulges."""
    line = polyline()
    arcs = [each for each in line.virtual_entities() if each.dxftype() == "ARC"]
    assert sorted(radii(line)) == pytest.approx(sorted(each.dxf.radius for each in arcs))
    points = Sampler(Path("a.dxf")).sampled(line)
    assert points is not None
    straight = 6.0  # from the last corner to the first
    expected = straight + sum(np.radians((each.dxf.end_angle - each.dxf.start_angle) % 360) * each.dxf.radius
                              for each in arcs)  # fmt: skip
    assert float(np.abs(np.diff(points)).sum()) == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize("extrusion", [(0, 0, 1), (0, 0, -1)])
def test_a_polyline_is_transformed_as_the_library_does(extrusion: tuple[int, int, int]) -> None:
    """Reference: ezdxf's own transformation, point by point."""
    from ezdxf.math import Matrix44

    own, other = (polyline(extrusion=extrusion) for _ in range(2))
    transform(own, 1.7, 3 - 4j)
    other.transform(Matrix44.chain(Matrix44.scale(1.7), Matrix44.translate(3, -4, 0)))
    assert np.asarray(own.get_points()) == pytest.approx(np.asarray(other.get_points()))
    for name in ("elevation", "thickness", "extrusion"):
        assert tuple(np.ravel(own.dxf.get(name))) == pytest.approx(tuple(np.ravel(other.dxf.get(name))))
