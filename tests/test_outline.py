"""DXF outlines: drawings made and measured with ezdxf, areas and lengths against closed forms of plane geometry.

Ellipse circumference: 4 a E(e^2), complete elliptic integral from scipy. ISO 273:1979 gives the clearance holes
used as examples: 3.4 mm (M3, medium), 5.5 mm (M5, medium), as quoted by a secondary page. $INSUNITS codes:
the enumeration of ezdxf, a general-purpose library.
"""

from __future__ import annotations

from math import pi, sqrt

import ezdxf
import pytest
from ezdxf.enums import InsertUnits
from scipy.special import ellipe

from scaling.cad.outline import read_outline, rescale_outline
from scaling.files.errors import InputError

SAMPLED = 4e-6
"""What chords within a millionth of an entity's size cost: each loses two thirds of that times its length (a
parabola's segment), 2.7e-6 of a circle's area."""
CUT = {"layer": "CUT"}
PLATE = 100 * 60 - (4 - pi) * 5**2  # mm^2, of the plate below without its holes


def drawing(units=InsertUnits.Millimeters, version="R2010"):
    document = ezdxf.new(version, units=units)
    if version != "R12":
        document.header["$INSUNITS"] = int(units)
    document.layers.add("CUT")
    return document, document.modelspace()


def add_plate(space):
    """Draw 100 by 60 mm with corners of 5 mm, as a CAD program would: loose lines and arcs, in no order."""
    for start, end in (((5, 0), (95, 0)), ((95, 60), (5, 60)), ((100, 55), (100, 5)), ((0, 55), (0, 5))):
        space.add_line(start, end, dxfattribs=CUT)
    for centre, start in (((95, 55), 0), ((5, 5), 180), ((5, 55), 90), ((95, 5), 270)):
        space.add_arc(centre, 5, start, start + 90, dxfattribs=CUT)


def circle_as_polyline(space, centre, diameter):
    x, y = centre
    ends = [(x - diameter / 2, y, 1), (x + diameter / 2, y, 1)]
    space.add_lwpolyline(ends, format="xyb", close=True, dxfattribs=CUT)


def circle_as_arcs(space, centre, diameter):
    space.add_arc(centre, diameter / 2, 30, 170, dxfattribs=CUT)
    space.add_arc(centre, diameter / 2, 170, 30, dxfattribs=CUT)


def circle_from_below(space, centre, diameter):
    seen = (-centre[0], centre[1])  # with the extrusion down, x runs the other way
    space.add_circle(seen, diameter / 2, dxfattribs=CUT | {"extrusion": (0, 0, -1)})


DRAWN_AS = {
    "CIRCLE": lambda space, centre, diameter: space.add_circle(centre, diameter / 2, dxfattribs=CUT),
    "CIRCLE from below": circle_from_below,
    "LWPOLYLINE": circle_as_polyline,
    "two arcs": circle_as_arcs,
    "ELLIPSE": lambda space, centre, diameter: space.add_ellipse(centre, (0, diameter / 2), 1.0, dxfattribs=CUT),
    "SPLINE": lambda space, centre, diameter: space.add_circle(centre, diameter / 2, dxfattribs=CUT).to_spline(),
}


def saved(tmp_path, document, name="part.dxf", **options):
    document.saveas(tmp_path / name, **options)
    return tmp_path / name


def plate_with_holes(tmp_path):
    document, space = drawing()
    add_plate(space)
    for x, y in ((10, 10), (90, 10), (10, 50), (90, 50)):
        space.add_circle((x, y), 1.7, dxfattribs=CUT)
    space.add_circle((50, 30), 11, dxfattribs=CUT)
    return saved(tmp_path, document)


# Measuring


def test_plate_has_the_area_length_and_circles_of_plane_geometry(tmp_path):
    found = read_outline(plate_with_holes(tmp_path))
    assert found.area == pytest.approx((PLATE - 4 * pi * 1.7**2 - pi * 11**2) * 1e-6, rel=SAMPLED)
    straight, round_parts = 2 * (90 + 50), 2 * pi * (5 + 4 * 1.7 + 11)
    assert found.length == pytest.approx((straight + round_parts) * 1e-3, rel=SAMPLED)
    assert found.extents == pytest.approx((0.1, 0.06))
    assert found.unit == "mm"
    assert found.notes == ()
    assert sorted(circle.diameter for circle in found.circles) == pytest.approx([0.0034] * 4 + [0.022])
    assert (0.09, 0.05) in [circle.centre for circle in found.circles]


@pytest.mark.parametrize("way", DRAWN_AS)
def test_a_circle_is_a_circle_however_it_is_drawn(tmp_path, way):
    document, space = drawing()
    DRAWN_AS[way](space, (70, 20), 3.4)
    (circle,) = read_outline(saved(tmp_path, document)).circles
    assert circle.centre == pytest.approx((0.07, 0.02), abs=1e-9)
    assert circle.diameter == pytest.approx(0.0034, rel=1e-6)


def regular(corners):
    return [(3 * complex(-1) ** (2 * k / corners)) for k in range(corners)]


@pytest.mark.parametrize(("corners", "counts"), [(4, False), (6, False), (12, False), (48, True)])
def test_only_a_fine_polygon_passes_for_a_circle(tmp_path, corners, counts):
    document, space = drawing()
    space.add_lwpolyline([(corner.real, corner.imag) for corner in regular(corners)], close=True)
    found = read_outline(saved(tmp_path, document))
    assert bool(found.circles) is counts
    assert found.area == pytest.approx(corners / 2 * 9 * (regular(corners)[1].imag / 3) * 1e-6)


def test_a_lens_and_an_arc_drawn_twice_are_no_circles(tmp_path):
    document, space = drawing()
    space.add_lwpolyline([(0, 0, 0.5), (10, 0, 0.5)], format="xyb", close=True)
    for _ in range(2):
        space.add_arc((50, 0), 5, 0, 270)
    assert read_outline(saved(tmp_path, document)).circles == ()


def test_ellipse_slot_and_spline(tmp_path):
    document, space = drawing()
    space.add_ellipse((20, 20), (8, 0), 0.5)
    found = read_outline(saved(tmp_path, document))
    assert found.area == pytest.approx(pi * 8 * 4 * 1e-6, rel=SAMPLED)
    assert found.length == pytest.approx(4 * 8 * ellipe(1 - 0.5**2) * 1e-3, rel=SAMPLED)
    document, space = drawing()
    space.add_lwpolyline([(0, 0, 0), (20, 0, 1), (20, 6, 0), (0, 6, 1)], format="xyb", close=True)
    found = read_outline(saved(tmp_path, document))
    assert found.area == pytest.approx((20 * 6 + pi * 3**2) * 1e-6, rel=SAMPLED)
    assert found.length == pytest.approx((40 + 2 * pi * 3) * 1e-3, rel=SAMPLED)
    document, space = drawing()  # under a parabola, two thirds of base times height (Archimedes)
    space.add_open_spline([(0, 0), (5, 8), (10, 0)], degree=2)
    space.add_line((10, 0), (0, 0))
    assert read_outline(saved(tmp_path, document)).area == pytest.approx(2 / 3 * 10 * 4 * 1e-6, rel=SAMPLED)


def test_hollow_corners_are_arcs_followed_backwards(tmp_path):
    """An ARC always turns left, so going round a plate its hollow corners run from end to start."""
    document, space = drawing()
    for (x, y), start in (((0, 0), 0), ((50, 0), 90), ((50, 40), 180), ((0, 40), 270)):
        space.add_arc((x, y), 8, start, start + 90)
    for start, end in (((8, 0), (42, 0)), ((8, 40), (42, 40)), ((0, 32), (0, 8)), ((50, 8), (50, 32))):
        space.add_line(start, end)
    assert read_outline(saved(tmp_path, document)).area == pytest.approx((50 * 40 - pi * 8**2) * 1e-6, rel=SAMPLED)


def test_layers_do_not_join(tmp_path):
    document, space = drawing()
    for layer, corners in (("CUT", [(0, 0), (10, 0), (10, 10), (0, 10)]), ("MARK", [(10, 0), (2, 1), (3, 2)])):
        for start, end in zip(corners, [*corners[1:], corners[0]], strict=True):
            space.add_line(start, end, dxfattribs={"layer": layer})
    triangle = abs((2 - 10) * 2 - (3 - 10) * 1) / 2
    assert read_outline(saved(tmp_path, document)).area == pytest.approx((100 - triangle) * 1e-6)


def test_loops_in_loops_count_by_turns(tmp_path):
    document, space = drawing()
    for half in (40, 30, 20, 5):
        space.add_lwpolyline([(-half, -half), (half, -half), (half, half), (-half, half)], close=True)
    expected = (80**2 - 60**2 + 40**2 - 10**2) * 1e-6
    assert read_outline(saved(tmp_path, document)).area == pytest.approx(expected)


@pytest.mark.parametrize(
    ("units", "metres"),
    [
        (InsertUnits.Millimeters, 1e-3),
        (InsertUnits.Inches, 0.0254),
        (InsertUnits.Meters, 1.0),
        (InsertUnits.Centimeters, 1e-2),
    ],
)
def test_units_of_the_drawing(tmp_path, units, metres):
    document, space = drawing(units)
    space.add_circle((2, 3), 0.5)
    path = saved(tmp_path, document)
    found = read_outline(path)
    assert found.circles[0].diameter == pytest.approx(metres)
    assert found.circles[0].centre == pytest.approx((2 * metres, 3 * metres))
    assert found.notes == ()
    rescale_outline(path, tmp_path / "out.dxf", 2.0, {metres: 3 * metres})
    (circle,) = ezdxf.readfile(tmp_path / "out.dxf").modelspace()
    assert circle.dxf.radius == pytest.approx(1.5)
    assert tuple(circle.dxf.center)[:2] == pytest.approx((4, 6))
    assert ezdxf.readfile(tmp_path / "out.dxf").header["$INSUNITS"] == int(units)


@pytest.mark.parametrize("version", ["R12", "R2010"])
def test_a_drawing_without_a_unit_is_taken_as_millimetres_and_says_so(tmp_path, version):
    document, space = drawing(InsertUnits.Unitless, version)
    space.add_polyline2d([(0, 0, 0), (20, 0, 1), (20, 6, 0), (0, 6, 1)], format="xyb", close=True)
    path = saved(tmp_path, document)
    found = read_outline(path)
    assert found.unit == "unitless"
    assert found.area == pytest.approx((20 * 6 + pi * 3**2) * 1e-6, rel=SAMPLED)
    assert any("millimetres" in note for note in found.notes)
    changes = rescale_outline(path, tmp_path / "out.dxf", 2.0, {})
    assert any("millimetres" in change.reason for change in changes)


def test_open_ends_and_crossings_have_no_area(tmp_path):
    document, space = drawing()
    space.add_lwpolyline([(0, 0), (10, 0), (10, 10), (0, 10)], dxfattribs=CUT)
    found = read_outline(saved(tmp_path, document))
    assert found.area is None
    assert any("(0, 10)" in note and "(0, 0)" in note for note in found.notes)
    document, space = drawing()
    space.add_circle((0, 0), 5)
    space.add_circle((4, 0), 5)
    found = read_outline(saved(tmp_path, document))
    assert found.area is None
    assert any("cross" in note for note in found.notes)


@pytest.mark.parametrize(("gap", "closes"), [(0.008, True), (0.03, False)])
def test_small_gaps_close_and_large_ones_do_not(tmp_path, gap, closes):
    document, space = drawing()
    corners = [(0, 0), (10, 0), (10, 10), (0, 10)]
    for (x, y), end in zip(corners, [*corners[1:], corners[0]], strict=True):
        space.add_line((x + gap, y), end)
    assert (read_outline(saved(tmp_path, document)).area is not None) is closes


def test_what_is_drawn_twice_counts_once_and_is_reported(tmp_path):
    document, space = drawing()
    for _ in range(2):
        space.add_circle((0, 0), 5)
    found = read_outline(saved(tmp_path, document))
    assert found.area == pytest.approx(pi * 25e-6, rel=SAMPLED)
    assert any("twice" in note for note in found.notes)


# Scaling and re-cutting


def test_outline_scales_and_holes_are_re_cut(tmp_path):
    path = plate_with_holes(tmp_path)
    changes = rescale_outline(path, tmp_path / "out.dxf", 1.5, {3.4e-3: 5.5e-3})
    found = read_outline(tmp_path / "out.dxf")
    expected = 1.5**2 * (PLATE - pi * 11**2) - 4 * pi * 2.75**2
    assert found.area == pytest.approx(expected * 1e-6, rel=SAMPLED)
    expected = 1.5 * (2 * (90 + 50) + 2 * pi * (5 + 11)) + 4 * 2 * pi * 2.75
    assert found.length == pytest.approx(expected * 1e-3, rel=SAMPLED)
    circles = {
        tuple(round(value, 9) for value in circle.dxf.center)[:2]: circle.dxf.radius
        for circle in ezdxf.readfile(tmp_path / "out.dxf").modelspace().query("CIRCLE")
    }
    holes = {(15.0, 15.0), (135.0, 15.0), (15.0, 75.0), (135.0, 75.0)}
    assert set(circles) == holes | {(75.0, 45.0)}
    assert [circles[place] for place in holes] == pytest.approx([2.75] * 4)
    assert circles[75.0, 45.0] == pytest.approx(16.5)
    header = ezdxf.readfile(tmp_path / "out.dxf").header
    assert (*header["$EXTMIN"], *header["$EXTMAX"]) == pytest.approx((0, 0, 0, 150, 90, 0), abs=1e-9)
    assert all(change.layer == "CUT" for change in changes)


def test_every_change_is_listed_with_its_reason(tmp_path):
    path = plate_with_holes(tmp_path)
    changes = rescale_outline(path, tmp_path / "out.dxf", 1.5, {3.4e-3: 5.5e-3, 8e-3: 9e-3})
    holes = [change for change in changes if "re-cut to 5.5 mm" in change.reason]
    assert len(holes) == 4
    corner = next(change for change in holes if change.old_centre == pytest.approx((0.09, 0.05)))
    assert (corner.kind, corner.layer) == ("CIRCLE", "CUT")
    assert corner.new_centre == pytest.approx((0.135, 0.075))
    assert (corner.old_diameter, corner.new_diameter) == pytest.approx((3.4e-3, 5.5e-3))
    (other,) = [change for change in changes if change.old_diameter == pytest.approx(0.022)]
    assert other.new_diameter == pytest.approx(0.033)
    assert {(change.kind, change.count) for change in changes if change.kind in {"LINE", "ARC"}} == {
        ("LINE", 4),
        ("ARC", 4),
    }
    (missing,) = [change for change in changes if change.count == 0]
    assert "no full circle of 8 mm" in missing.reason
    assert "3.4" in missing.reason
    assert "22" in missing.reason


@pytest.mark.parametrize("way", DRAWN_AS)
def test_holes_are_re_cut_however_they_are_drawn(tmp_path, way):
    document, space = drawing()
    add_plate(space)
    DRAWN_AS[way](space, (70, 20), 3.4)
    rescale_outline(saved(tmp_path, document), tmp_path / "out.dxf", 2.0, {3.4e-3: 5.5e-3})
    found = read_outline(tmp_path / "out.dxf")
    (hole,) = found.circles
    assert hole.centre == pytest.approx((0.14, 0.04), abs=1e-9)
    assert hole.diameter == pytest.approx(0.0055, rel=1e-6)
    assert found.area == pytest.approx((4 * PLATE - pi * 2.75**2) * 1e-6, rel=SAMPLED)


@pytest.mark.parametrize(("diameter", "re_cut"), [(3.35, True), (3.45, True), (3.34, False), (3.46, False)])
def test_a_hole_is_one_within_a_twentieth_of_a_millimetre(tmp_path, diameter, re_cut):
    document, space = drawing()
    space.add_circle((0, 0), diameter / 2)
    rescale_outline(saved(tmp_path, document), tmp_path / "out.dxf", 2.0, {3.4e-3: 5.5e-3})
    (circle,) = ezdxf.readfile(tmp_path / "out.dxf").modelspace()
    assert circle.dxf.radius == pytest.approx(2.75 if re_cut else diameter)


def test_the_nearest_stated_hole_counts(tmp_path):
    document, space = drawing()
    space.add_circle((0, 0), 3.43 / 2)
    rescale_outline(saved(tmp_path, document), tmp_path / "out.dxf", 2.0, {3.4e-3: 5.5e-3, 3.44e-3: 6.6e-3})
    (circle,) = ezdxf.readfile(tmp_path / "out.dxf").modelspace()
    assert circle.dxf.radius == pytest.approx(3.3)


def test_a_slot_of_a_holes_width_is_scaled_and_pointed_out(tmp_path):
    document, space = drawing()
    space.add_lwpolyline([(0, 0, 0), (20, 0, 1), (20, 3.4, 0), (0, 3.4, 1)], format="xyb", close=True)
    changes = rescale_outline(saved(tmp_path, document), tmp_path / "out.dxf", 2.0, {3.4e-3: 5.5e-3})
    (slot,) = ezdxf.readfile(tmp_path / "out.dxf").modelspace()
    flat = [value for point in slot.get_points("xyb") for value in point]
    assert flat == pytest.approx([0, 0, 0, 40, 0, 1, 40, 6.8, 0, 0, 6.8, 1])
    assert any("slot" in change.reason for change in changes)


@pytest.mark.parametrize("factor", [0.5, sqrt(2), 3.0])
def test_all_curves_scale_about_the_origin(tmp_path, factor):
    document, space = drawing()
    space.add_line((1, 2), (3, 4))
    space.add_arc((5, 6), 2, 10, 80)
    space.add_lwpolyline([(1, 1, 0.3), (9, 1, -0.4), (9, 7, 0)], format="xyb")
    space.add_ellipse((20, 20), (8, 1), 0.5, 0.2, 2.0)
    space.add_open_spline([(0, 0), (5, 8), (10, 0), (15, 4)])
    path = saved(tmp_path, document)
    rescale_outline(path, tmp_path / "out.dxf", factor, {})
    line, arc, polyline, ellipse, spline = ezdxf.readfile(tmp_path / "out.dxf").modelspace()
    assert tuple(line.dxf.end) == pytest.approx((3 * factor, 4 * factor, 0))
    assert (arc.dxf.radius, arc.dxf.start_angle, arc.dxf.end_angle) == pytest.approx((2 * factor, 10, 80))
    assert tuple(arc.dxf.center) == pytest.approx((5 * factor, 6 * factor, 0))
    assert polyline.get_points("xyb")[1] == pytest.approx((9 * factor, factor, -0.4))
    assert tuple(ellipse.dxf.major_axis) == pytest.approx((8 * factor, factor, 0))
    assert (ellipse.dxf.ratio, ellipse.dxf.start_param, ellipse.dxf.end_param) == pytest.approx((0.5, 0.2, 2.0))
    assert tuple(spline.control_points[3]) == pytest.approx((15 * factor, 4 * factor, 0))
    assert read_outline(tmp_path / "out.dxf").length == pytest.approx(factor * read_outline(path).length, rel=1e-6)


# What does not count


def test_unsupported_entities_are_left_out_and_listed(tmp_path):
    document, space = drawing()
    add_plate(space)
    hatch = space.add_hatch(dxfattribs=CUT)
    hatch.paths.add_polyline_path([(0, 0), (10, 0), (10, 10)])
    space.add_3dface([(0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0)])
    space.add_3dface([(0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0)])
    space.add_line((0, 0, 0), (0, 0, 5), dxfattribs={"layer": "3D"})
    path = saved(tmp_path, document)
    changes = rescale_outline(path, tmp_path / "out.dxf", 2.0, {})
    left = {(change.kind, change.layer): change.count for change in changes if "left out" in change.reason}
    assert left == {("HATCH", "CUT"): 1, ("3DFACE", "0"): 2, ("LINE", "3D"): 1}
    kinds = {entity.dxftype() for entity in ezdxf.readfile(tmp_path / "out.dxf").modelspace()}
    assert kinds == {"LINE", "ARC"}
    notes = " ".join(read_outline(path).notes)
    assert all(kind in notes for kind in ("1 HATCH", "2 3DFACE", "1 LINE"))
    assert read_outline(path).area == pytest.approx(PLATE * 1e-6, rel=SAMPLED)


def test_the_new_drawing_is_whole_when_a_group_loses_a_member(tmp_path):
    document, space = drawing()
    hatch = space.add_hatch()
    hatch.paths.add_polyline_path([(0, 0), (10, 0), (10, 10)])
    document.groups.new("PLATE").extend([space.add_circle((0, 0), 5), hatch])
    rescale_outline(saved(tmp_path, document), tmp_path / "out.dxf", 2.0, {})
    after = ezdxf.readfile(tmp_path / "out.dxf")
    checked = after.audit()
    assert checked.errors == []
    assert checked.fixes == []
    assert len(after.groups.get("PLATE")) == 1


def test_points_and_texts_go_along(tmp_path):
    document, space = drawing()
    space.add_circle((0, 0), 5)
    space.add_point((3, 4))
    space.add_text("A1", height=2, dxfattribs=CUT)
    changes = rescale_outline(saved(tmp_path, document), tmp_path / "out.dxf", 2.0, {})
    after = ezdxf.readfile(tmp_path / "out.dxf").modelspace()
    assert tuple(after.query("POINT")[0].dxf.location) == pytest.approx((6, 8, 0))
    assert after.query("TEXT")[0].dxf.height == pytest.approx(4)
    assert {("POINT", "0"), ("TEXT", "CUT")} <= {(change.kind, change.layer) for change in changes}


def test_blocks_are_broken_up_and_reported(tmp_path):
    """Two rows of three turned holes, from a block in a block drawn at half the size."""
    document, space = drawing()
    hole = document.blocks.new("HOLE")
    hole.add_circle((0, 0), 3.4)
    document.blocks.new("NESTED").add_blockref("HOLE", (1, 0), dxfattribs={"xscale": 0.5, "yscale": 0.5})
    grid = {"row_count": 2, "column_count": 3, "row_spacing": 10, "column_spacing": 20}
    space.add_blockref("NESTED", (5, 5), dxfattribs=CUT | grid)
    path = saved(tmp_path, document)
    centres = sorted((x, y) for x in (0.006, 0.026, 0.046) for y in (0.005, 0.015))
    assert sorted(circle.centre for circle in read_outline(path).circles) == [pytest.approx(c) for c in centres]
    changes = rescale_outline(path, tmp_path / "out.dxf", 2.0, {3.4e-3: 5.5e-3})
    assert sum("HOLE" in change.reason for change in changes) == 6
    assert sum("NESTED" in change.reason for change in changes) == 1
    after = ezdxf.readfile(tmp_path / "out.dxf").modelspace()
    assert [(entity.dxftype(), entity.dxf.layer) for entity in after] == [("CIRCLE", "CUT")] * 6
    assert [entity.dxf.radius for entity in after] == pytest.approx([2.75] * 6)


def test_a_stretched_block_turns_its_circle_into_an_ellipse(tmp_path):
    document, space = drawing()
    document.blocks.new("HOLE").add_circle((0, 0), 4)
    space.add_blockref("HOLE", (0, 0), dxfattribs={"xscale": 2, "yscale": 1})
    found = read_outline(saved(tmp_path, document))
    assert found.circles == ()
    assert found.area == pytest.approx(pi * 8 * 4 * 1e-6, rel=SAMPLED)


def test_attributes_of_a_block_are_reported(tmp_path):
    document, space = drawing()
    document.blocks.new("HOLE").add_circle((0, 0), 4)
    space.add_blockref("HOLE", (0, 0)).add_attrib("PART", "A1", (0, 0))
    assert any("left out of it: ATTRIB" in note for note in read_outline(saved(tmp_path, document)).notes)


def test_sheets_stay_and_are_reported(tmp_path):
    document, space = drawing()
    space.add_circle((0, 0), 4)
    document.layout("Layout1").add_line((0, 0), (1, 1))
    changes = rescale_outline(saved(tmp_path, document), tmp_path / "out.dxf", 2.0, {})
    assert any('"Layout1"' in change.reason for change in changes)


# Files from strangers, and files that exist


def hostile_blocks(kind):
    document, space = drawing()
    space.add_circle((0, 0), 1)
    if kind == "holds itself":
        document.blocks.new("A").add_blockref("A", (1, 1))
        space.add_blockref("A", (0, 0))
    elif kind == "repeats":
        document.blocks.new("A").add_circle((0, 0), 1)
        many = {"row_count": 30000, "column_count": 30000, "row_spacing": 1, "column_spacing": 0}
        space.add_blockref("A", (0, 0), dxfattribs=many)
    elif kind == "doubles":
        document.blocks.new("B0").add_circle((0, 0), 1)
        for level in range(1, 7):
            block = document.blocks.new(f"B{level}")
            for place in range(20):
                block.add_blockref(f"B{level - 1}", (place, level))
        space.add_blockref("B6", (0, 0))
    else:
        space.add_blockref("NOWHERE", (0, 0))
    return document


@pytest.mark.parametrize("kind", ["holds itself", "repeats", "doubles", "names none"])
def test_hostile_blocks_are_refused(tmp_path, kind):
    path = saved(tmp_path, hostile_blocks(kind))
    with pytest.raises(InputError) as caught:
        read_outline(path)
    assert caught.value.file == path


def test_numbers_that_are_none_are_left_out(tmp_path):
    document, space = drawing()
    space.add_circle((0, 0), 1)
    space.add_circle((float("nan"), 0), 1)
    space.add_circle((0, 0), float("inf"))
    space.add_lwpolyline([(0, float("inf")), (1, 1)])
    space.add_line((0, 0), (1e300, 0))
    space.add_open_spline([(0, 0), (float("nan"), 1), (2, 2), (3, 3)])
    found = read_outline(saved(tmp_path, document))
    assert found.area == pytest.approx(pi * 1e-6, rel=SAMPLED)
    assert sum("damaged" in note for note in found.notes) == 4


def test_files_that_cannot_be_used_say_why(tmp_path):
    document, space = drawing()
    space.add_text("no outline")
    none = saved(tmp_path, document, "none.dxf")
    half = none.read_bytes()
    (tmp_path / "half.dxf").write_bytes(half[: len(half) // 2])
    (tmp_path / "words.dxf").write_text("these are only words\n" * 20)
    (tmp_path / "empty.dxf").touch()
    (tmp_path / "part.dwg").write_text("AC1032")
    miles, space = drawing(InsertUnits.Miles)
    space.add_circle((0, 0), 1)
    saved(tmp_path, miles, "miles.dxf")
    for name, problem in (
        ("none.dxf", "holds no outline"),
        ("half.dxf", "cannot be read as DXF"),
        ("words.dxf", "cannot be read as DXF"),
        ("empty.dxf", "is empty"),
        ("part.dwg", "is of an unknown kind"),
        ("missing.dxf", "no such file"),
        ("miles.dxf", "unit unknown"),
    ):
        for act in (read_outline, lambda path: rescale_outline(path, tmp_path / "out.dxf", 2.0, {})):
            with pytest.raises(InputError) as caught:
                act(tmp_path / name)
            assert problem in caught.value.problem
            assert str(caught.value).startswith(str(tmp_path / name))
        assert not (tmp_path / "out.dxf").exists()


def test_binary_and_older_drawings_are_read(tmp_path):
    for version, options in (("R2000", {}), ("R2018", {}), ("R2010", {"fmt": "bin"})):
        document, space = drawing(version=version)
        space.add_circle((0, 0), 5)
        path = saved(tmp_path, document, f"{version}.dxf", **options)
        assert read_outline(path).area == pytest.approx(pi * 25e-6, rel=SAMPLED)


def test_nothing_is_overwritten_unasked(tmp_path):
    path = plate_with_holes(tmp_path)
    before = path.read_bytes()
    with pytest.raises(InputError, match="is there already"):
        rescale_outline(path, path, 2.0, {})
    assert path.read_bytes() == before
    rescale_outline(path, path, 2.0, {}, force=True)
    assert read_outline(path).extents == pytest.approx((0.2, 0.12))
    assert [entry.name for entry in tmp_path.iterdir()] == ["part.dxf"]


def test_the_source_stays_as_it_was(tmp_path):
    path = plate_with_holes(tmp_path)
    before = path.read_bytes()
    rescale_outline(path, tmp_path / "out.dxf", 2.0, {3.4e-3: 5.5e-3})
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("name", "factor", "holes", "key"),
    [
        ("out.dxf", 0.0, {}, "factor"),
        ("out.dxf", float("nan"), {}, "factor"),
        ("out.dxf", 2.0, {3.4e-3: -1.0}, "holes"),
        ("out.dxf", 2.0, {0.0: 1e-3}, "holes"),
        ("out.svg", 2.0, {}, None),
        ("nowhere/out.dxf", 2.0, {}, None),
    ],
)
def test_requests_that_make_no_sense_are_refused(tmp_path, name, factor, holes, key):
    path = plate_with_holes(tmp_path)
    with pytest.raises(InputError) as caught:
        rescale_outline(path, tmp_path / name, factor, holes)
    assert caught.value.key == key
    assert [entry.name for entry in tmp_path.iterdir()] == ["part.dxf"]
