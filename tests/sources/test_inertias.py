"""Inertia of rotors: handbook formulas' figures, and solids of revolution and boxes meshed and integrated by trimesh.

The figures of the table are the standard formulas' (J. L. Meriam & L. G. Kraige, Engineering Mechanics: Dynamics,
appendix D, from memory) for steel of 7850 kg/m^3, each confirmed there by a mesh of 2048 facets.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.formulas.rotor.shapes import bar, disc, plain, point, ring, rotor_inertias

CHECKS = ("rotor_inertia", "rotor_energy", "angular_momentum", "specific_energy", "gyration_ratio", "tip_speed")

STEEL = 7850.0
FACETS = 2048
AGREE = 5e-6  # a mesh of so many facets encloses so much less than the round body

# shape, diameter, width, bore, chord (m); mass (kg); about the spin axis, larger and smaller across it (kg m^2).
TABLE = [
    ("disc", 0.2, 0.01, 0.0, None, 2.466150, 0.01233075, 0.00618593, 0.00618593),
    ("ring", 0.2, 0.01, 0.0, 0.04, 1.578336, 0.01073269, 0.00537950, 0.00537950),
    ("disc", 0.2, 0.01, 0.12, None, 1.578336, 0.01073269, 0.00537950, 0.00537950),
    ("bar", 0.2, 0.01, 0.0, 0.03, 0.4710, 0.001605325, 0.001573925, 3.925e-5),
    ("drum", 0.1, 0.12, 0.0, 0.005, 1.405706, 0.003180409, 0.003277051, 0.003277051),
]


@pytest.mark.parametrize(("shape", "diameter", "width", "bore", "chord", "mass", "spin", "large", "small"), TABLE)
def test_handbook_figures(shape, diameter, width, bore, chord, mass, spin, large, small):
    found = plain(shape, mass, diameter=diameter, width=width, bore=bore, chord=chord).inertias()
    assert found.spin == pytest.approx(spin, rel=1e-6)
    assert found.transverse == pytest.approx(large, rel=2e-6)
    assert found.transverse_small == pytest.approx(small, rel=2e-6)


def test_thin_shell_is_a_third_of_a_per_cent_low():
    """m r^2 of a tube's mean radius is 0.28 % under the tube's own inertia: the same table."""
    tube = ring(1.405706, 0.1, 0.09, 0.12)
    assert 1.405706 * 0.0475**2 / tube.tensor[0, 0] - 1 == pytest.approx(-0.0028, abs=5e-5)


def mesh_of(trimesh, kind, **sizes):
    """A mesh with the spin axis along x and its length along y."""
    if kind == "bar":
        return trimesh.creation.box((sizes["width"], sizes["length"], sizes["chord"]))
    turn = trimesh.transformations.rotation_matrix(math.pi / 2, (0, 1, 0))
    if sizes.get("inner", 0) > 0:
        solid = trimesh.creation.annulus(sizes["inner"] / 2, sizes["outer"] / 2, sizes["width"], sections=FACETS)
    else:
        solid = trimesh.creation.cylinder(sizes["outer"] / 2, sizes["width"], sections=FACETS)
    solid.apply_transform(turn)
    return solid


def hole(mesh):
    """The same mesh inside out: what it encloses counts as taken away."""
    mesh = mesh.copy()
    mesh.invert()
    return mesh


def tensor_of(trimesh, *meshes):
    """Mass, centre and inertia tensor about the centre of several closed meshes taken as one body."""
    whole = trimesh.util.concatenate(meshes)
    whole.density = STEEL
    properties = trimesh.triangles.mass_properties(whole.triangles, density=STEEL, skip_inertia=False)
    return properties["mass"], properties["center_mass"], properties["inertia"]


def agrees(body, mass, centre, tensor):
    assert body.mass == pytest.approx(mass, rel=AGREE)
    assert np.allclose(body.centre, centre, rtol=AGREE, atol=1e-9)
    assert np.allclose(body.tensor, tensor, rtol=AGREE, atol=AGREE * tensor.max())


def test_composites_against_meshes():
    """Add, subtract, move and turn: a bar with a bore, a hub on one face, two lightening holes and a tilted block."""
    import trimesh

    box_mass = STEEL * 0.2 * 0.03 * 0.01
    plug = STEEL * math.pi * 0.008**2 * 0.01
    hub = STEEL * math.pi * (0.02**2 - 0.008**2) * 0.015
    drill = STEEL * math.pi * 0.004**2 * 0.01
    block = STEEL * 0.02 * 0.01 * 0.006
    body = bar(box_mass - plug, 0.2, 0.03, 0.01, 0.016)
    body = body + ring(hub, 0.04, 0.016, 0.015).moved(axial=0.0125)
    body = body - disc(drill, 0.008, 0.01).moved(along=0.05) - disc(drill, 0.008, 0.01).moved(along=-0.07)
    body = body + bar(block, 0.02, 0.01, 0.006).moved(axial=0.008, along=0.03).turned(0.6)

    moved = mesh_of(trimesh, "ring", outer=0.04, inner=0.016, width=0.015)
    moved.apply_translation((0.0125, 0, 0))
    drills = [hole(mesh_of(trimesh, "disc", outer=0.008, width=0.01)) for _ in range(2)]
    drills[0].apply_translation((0, 0.05, 0))
    drills[1].apply_translation((0, -0.07, 0))
    tilted = mesh_of(trimesh, "bar", length=0.02, chord=0.01, width=0.006)
    tilted.apply_translation((0.008, 0.03, 0))
    tilted.apply_transform(trimesh.transformations.rotation_matrix(0.6, (1, 0, 0)))
    mass, centre, tensor = tensor_of(
        trimesh, mesh_of(trimesh, "bar", length=0.2, chord=0.03, width=0.01),
        hole(mesh_of(trimesh, "disc", outer=0.016, width=0.01)), moved, *drills, tilted,
    )
    agrees(body, mass, centre, tensor)
    assert body.unbalance == pytest.approx(mass * math.hypot(centre[1], centre[2]), rel=1e-4)
    about_axis = tensor[0, 0] + mass * (centre[1] ** 2 + centre[2] ** 2)
    assert body.inertias().spin == pytest.approx(about_axis, rel=AGREE)


def test_rotor_with_hub_and_teeth_against_a_mesh():
    """A disc with a hub and three bolted-in teeth; small balls stand for the teeth, which are taken as points."""
    import trimesh

    ball = trimesh.creation.icosphere(subdivisions=3, radius=0.005)
    teeth = []
    for place in range(3):
        tooth = ball.copy()
        tooth.apply_translation((0, 0.09 * math.cos(2 * math.pi * place / 3), 0.09 * math.sin(2 * math.pi * place / 3)))
        teeth.append(tooth)
    plate = mesh_of(trimesh, "ring", outer=0.16, inner=0.02, width=0.008)
    hub = mesh_of(trimesh, "ring", outer=0.05, inner=0.02, width=0.03)
    mass, _, tensor = tensor_of(trimesh, plate, hub, *teeth)
    numbers = {
        "rotor.mass": mass, "rotor.diameter": 0.16, "rotor.width": 0.008, "rotor.bore": 0.02, "rotor.teeth": 3.0,
        "rotor.hub.mass": STEEL * hub.volume, "rotor.hub.diameter": 0.05, "rotor.hub.width": 0.03,
        "rotor.tooth.mass": STEEL * ball.volume, "rotor.tooth.radius": 0.09,
    }
    found = rotor_inertias("disc", numbers)
    assert found.spin == pytest.approx(tensor[0, 0], rel=2e-4)
    assert found.transverse == pytest.approx(tensor[1, 1], rel=2e-4)
    assert found.transverse_small == pytest.approx(found.transverse, rel=1e-9)  # three teeth leave no larger one
    bare = {key: value for key, value in numbers.items() if ".hub." not in key and ".tooth." not in key}
    alone = plain("disc", mass, diameter=0.16, width=0.008, bore=0.02, chord=None).inertias()
    assert rotor_inertias("disc", bare) == alone


def test_parallel_axes_of_a_point_pair():
    """Two points at r: 2 m r^2 about the axis and across the line, nothing about it."""
    pair = point(0.3).moved(along=0.2) + point(0.3).moved(along=-0.2)
    found = pair.inertias()
    assert found.spin == found.transverse == pytest.approx(2 * 0.3 * 0.2**2)
    assert found.transverse_small == pytest.approx(0, abs=1e-18)
    assert pair.unbalance == pytest.approx(0, abs=1e-18)


def test_any_plane_body_has_perpendicular_axes():
    """A flat body's spin inertia is the sum of both across it: the perpendicular-axis theorem."""
    for shape, chord in (("disc", None), ("ring", 0.03), ("bar", 0.03)):
        found = plain(shape, 0.4, diameter=0.2, width=1e-9, bore=0.012, chord=chord).inertias()
        assert found.transverse + found.transverse_small == pytest.approx(found.spin, rel=1e-12)


def test_taking_away_what_was_added_leaves_the_body():
    body = bar(0.5, 0.2, 0.03, 0.01)
    more = ring(0.2, 0.05, 0.01, 0.02).moved(axial=0.01, along=0.03).turned(1.0)
    back = body + more - more
    assert back.mass == pytest.approx(body.mass)
    assert np.allclose(back.tensor, body.tensor, atol=1e-15)


@pytest.mark.parametrize("bore", [0.03, 0.04])
def test_a_bar_that_its_bore_cuts_in_two_is_refused(bore):
    with pytest.raises(InputError) as caught:
        bar(0.5, 0.2, 0.03, 0.01, bore)
    assert caught.value.key == "rotor.bore"


def test_a_rotor_lighter_than_its_teeth_is_refused():
    numbers = {"rotor.mass": 0.1, "rotor.diameter": 0.1, "rotor.width": 0.01, "rotor.bore": 0.0, "rotor.teeth": 2.0,
               "rotor.tooth.mass": 0.05, "rotor.tooth.radius": 0.045}
    with pytest.raises(InputError) as caught:
        rotor_inertias("disc", numbers)
    assert caught.value.key == "rotor.mass"


def test_energy_of_the_handbook_disc():
    """The disc above at 1000 rad/s holds 6165.4 J; its momentum I omega and tip speed follow from their definitions."""
    given = {"rotor.inertia": 0.01233075, "rotor.speed": 1000.0, "rotor.diameter": 0.2, "rotor.mass": 2.466150,
             "mass": 13.6}
    found = book.evaluate(given, frozenset({"rotor"}))
    assert found["rotor_inertia"] == pytest.approx(0.01233075)
    assert found["rotor_energy"] == pytest.approx(6165.4, rel=1e-5)
    assert found["specific_energy"] == pytest.approx(6165.4 / 13.6, rel=1e-5)
    assert found["angular_momentum"] == pytest.approx(12.33075)
    assert found["tip_speed"] == pytest.approx(100.0)
    # Radius of gyration of a solid disc: R / sqrt(2), Meriam & Kraige, appendix D, from memory.
    assert found["gyration_ratio"] == pytest.approx(1 / math.sqrt(2), rel=1e-6)
