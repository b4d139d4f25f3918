"""Every bound of the table: what is at it is read, what is one past it is refused in a sentence that says the bound.

``BOUNDS=all pytest -s tests/test_bounds.py -k check`` runs the command at the bounds that take time or memory, and
prints what it took of the five seconds and the half gigabyte.
"""

from __future__ import annotations

import os
import struct
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from scaling.cad import outline
from scaling.cad.mesh_file import read_mesh
from scaling.cad.obj import read_obj
from scaling.cad.outline import read_outline
from scaling.cad.sampled import Sampler
from scaling.files import toml
from scaling.files.bounds import BOUNDS
from scaling.files.errors import InputError, Mistakes
from scaling.files.opener import fault
from scaling.files.plausible import OTHERS, SIZES, sizes
from scaling.files.reading import read_value, rows_of
from scaling.files.sane import check_sane
from scaling.files.text import read_text
from scaling.port.brief import load_brief
from scaling.port.option_space import read_options
from scaling.port.schema import BRIEF
from scaling.robot.design import load_design
from scaling.robot.positions import read_positions
from scaling.robot.schema import DESIGN, PARTS
from scaling.shop import materials, shelf_file, stock
from scaling.shop.motors import COLUMNS, load_motors
from scaling.show.sources_listing import uses_of

FILE = Path("file.toml")
Case = Callable[[Path, int], object]

LEAST = {"[[parts]]": 5_000, "ports": 32, "options": 1_000_000}
"""What a builder may need."""


def of_bytes(read: Callable[[Path], object], ending: str, filled: bytes = b"#") -> Case:
    """A file of so many bytes that hold nothing."""

    def case(folder: Path, size: int) -> object:
        path = folder / f"file{ending}"
        if filled:
            path.write_bytes(filled * size)
        else:
            path.touch()
            os.truncate(path, size)
        return read(path)

    return case


def of_values(count: int) -> dict[str, Any]:
    """Tables of so many values in all, the file and its two lists of lists counted."""
    rows, rest = divmod(count - 4, 1001)
    return {"a": [[0] * 1000] * rows, "b": [0] * (rest + 1)}


def _values(_: Path, count: int) -> None:
    found = of_values(count)
    assert 3 + len(found["a"]) * 1001 + len(found["b"]) == count
    check_sane(found, FILE)


def _dotted(folder: Path, count: int) -> None:
    (folder / "file.toml").write_text(".".join("a" * count) + " = 1", encoding="utf-8")
    toml.read(folder / "file.toml")


ROWS: dict[str, dict[str, Any]] = {
    "[[parts]]": {"name": "", "kind": "solid", "mass": "1 g"},
    "[[stock]]": {"key": "", "shelf": "bolt"},
    "[[fasteners]]": {"name": "", "bolt": "M3", "bolt_class": "8.8", "count": 2, "carries": "hit_force"},
    "[[removals]]": {"name": ""},
    "[[laws]]": {"law": "mass"},
    "[[closure]]": {"lever": "pocketing", "parts": ["a"]},
}
"""A row of each list of tables."""


def of_rows(heading: str) -> Case:
    table = next(each for schema in (DESIGN, BRIEF) for each in schema.tables if each.heading == heading)

    def case(_: Path, count: int) -> None:
        rows = [{key: value or f"n{place}" for key, value in ROWS[heading].items()} for place in range(count)]
        mistakes = Mistakes()
        found = rows_of(table, {table.name: rows}, FILE, mistakes, lambda row: row.name)
        mistakes.settle()
        assert len(found) == count

    return case


def _places(_: Path, count: int) -> None:
    mistakes, place = Mistakes(), ["1 mm", "2 mm", "3 mm"]
    found = read_positions({"positions": {"a": [place] * (count - 10), "b": [place] * 10}}, FILE, mistakes)
    mistakes.settle()
    assert sum(map(len, found.values())) == count


def _ports(folder: Path, count: int) -> None:
    (folder / "design.toml").touch()
    rules = ", ".join(['"hold-rpm"'] * (count - 1))
    text = f'reference = "design.toml"\nmass_limit = "1 kg"\n[[laws]]\nlaw = "mass"\nspeed_rules = [{rules}]\n'
    (folder / "brief.toml").write_text(text + '[[laws]]\nlaw = "mass"\n', encoding="utf-8")
    assert len(load_brief(folder / "brief.toml").requests) == count


def _materials(_: Path, count: int) -> None:
    mistakes = Mistakes()
    read_options({"options": {"materials": {f"p{place}": ["hdpe"] for place in range(count)}}}, FILE, mistakes)
    mistakes.settle()


def _options(_: Path, count: int) -> None:
    mistakes = Mistakes()
    rows, rest = divmod(count, 10_000)
    table = {"rotor_ratios": [1.5] * (rows + bool(rest)), "drive_ratios": [2.5] * 10_000, "fits": ["mass"]}
    found = read_options({"options": table}, FILE, mistakes)
    mistakes.settle()
    assert found is not None
    assert found.combinations == count


def shelf_text(count: int) -> str:
    return "\n".join(["diameter_mm", *(f"{1 + place / 100}" for place in range(count))])


def _shelf(folder: Path, count: int) -> None:
    (folder / "belts.csv").write_text(f"# replace\n{shelf_text(count)}", encoding="utf-8")
    assert len(stock.round_belts(folder / "belts.csv")) == count


def catalogue_text(count: int) -> str:
    rows = (f"m{place},1000,50,1,20,{20 + place % 9},30" for place in range(count))
    return "\n".join([f"name,{','.join(COLUMNS)}", *rows])


def _motors(folder: Path, count: int) -> None:
    (folder / "motors.csv").write_text(catalogue_text(count), encoding="utf-8")
    assert len(load_motors(folder / "motors.csv")) == count


def _facets(folder: Path, count: int) -> None:
    path = folder / "part.stl"
    path.write_bytes(b"\0" * 80 + struct.pack("<I", count))
    os.truncate(path, 84 + 50 * count)
    read_mesh(path)


def drawing() -> Any:
    import ezdxf

    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = 4
    return document


def _entities(_: Path, count: int) -> None:
    space = drawing().modelspace()
    for _place in range(count):
        space.add_point((0, 0))
    outline._break_up_blocks(space, [], FILE)


def wave(count: int) -> Any:
    """A closed line of so many corners."""
    turn = np.linspace(0, 2 * np.pi, count, endpoint=False)
    size = 50 + 2 * np.sin(17 * turn)
    return np.column_stack([size * np.cos(turn), size * np.sin(turn), *np.zeros((3, count))])


def _vertices(_: Path, count: int) -> None:
    line = drawing().modelspace().add_lwpolyline([(0, 0)], close=True)
    line.lwpoints.set(wave(count))
    points = Sampler(FILE).sampled(line)
    assert points is not None
    assert len(points) == count + 1


def _points(_: Path, count: int) -> None:
    circle, sampler = drawing().modelspace().add_circle((0, 0), 5), Sampler(FILE)
    one = Sampler(FILE)
    one.sampled(circle)
    sampler.points = count - one.points
    sampler.sampled(circle)
    assert sampler.points == count


def of_drawing(draw: Callable[[Any, int], None]) -> Case:
    def case(folder: Path, count: int) -> None:
        document = drawing()
        draw(document, count)
        document.saveas(folder / "plate.dxf")
        read_outline(folder / "plate.dxf")

    return case


def _loops(document: Any, count: int) -> None:
    space = document.modelspace()
    for place in range(count):
        x, y = 3 * (place % 50), 3 * (place // 50)
        space.add_lwpolyline([(x, y), (x + 2, y), (x, y + 2)], close=True)


def _layers(document: Any, count: int) -> None:
    for place in range(count - len(document.layers)):
        document.layers.add(f"layer {place}")
    document.modelspace().add_circle((0, 0), 5)


def _blocks(document: Any, count: int) -> None:
    for place in range(count):
        inner = document.blocks.new(f"b{place}")
        if place:
            inner.add_blockref(f"b{place - 1}", (0, 0))
        else:
            inner.add_circle((0, 0), 5)
    document.modelspace().add_blockref(f"b{count - 1}", (0, 0))


CASES: dict[str, Case] = {
    "design or brief file": of_bytes(toml.read, ".toml"),
    "shelf file": of_bytes(stock.bolts, ".csv"),
    "motor catalogue": of_bytes(load_motors, ".csv"),
    "materials file": of_bytes(materials.materials, ".toml"),
    "study file": of_bytes(uses_of, ".json", b" "),
    "manifest": of_bytes(lambda path: read_text(path, BOUNDS["manifest"], "a manifest"), ".json"),
    "mesh file": of_bytes(read_mesh, ".stl", b""),
    "OBJ, PLY or OFF file": of_bytes(read_mesh, ".ply", b""),
    "outline file": of_bytes(read_outline, ".dxf", b""),
    "values of a file": _values,
    "keys of a table": lambda _, count: check_sane({f"k{place}": 0 for place in range(count)}, FILE),
    "items of a list": lambda _, count: check_sane({"x": [0] * count}, FILE),
    "dotted key": _dotted,
    "key": lambda _, count: check_sane({"k" * count: 0}, FILE),
    "text": lambda _, count: check_sane({"x": "t" * count}, FILE),
    **{heading: of_rows(heading) for heading in ROWS},
    "places": _places,
    "ports": _ports,
    "[options.materials]": _materials,
    "options": _options,
    "rows of a shelf": _shelf,
    "motors of a catalogue": _motors,
    "counted pieces": lambda _, count: read_value(DESIGN.keys["wheel.count"], count, FILE, "wheel.count"),
    "pieces of a part": lambda _, count: read_value(PARTS.by_name["count"], count, FILE, "parts.a.count"),
    "facets of a mesh": _facets,
    "corners of a face": lambda _, count: read_obj(b"v 0 0 0\nf" + b" 1" * count, FILE),
    "entities of an outline": _entities,
    "vertices of an outline": _vertices,
    "points of an outline": _points,
    "loops of an outline": of_drawing(_loops),
    "layers of an outline": of_drawing(_layers),
    "blocks within blocks": of_drawing(_blocks),
}
"""What reads so many of each, by the name of its bound."""

NEXT = {"options": 10_010_000}
"""One past a bound where not every number can be."""


def test_every_bound_is_tried_and_allows_what_a_builder_may_need() -> None:
    assert set(CASES) == set(BOUNDS)
    for name, least in LEAST.items():
        assert BOUNDS[name].most >= least
    headings = {each.heading for schema in (DESIGN, BRIEF) for each in schema.tables if each.shape == "rows"}
    assert headings == set(ROWS)


@pytest.mark.parametrize("name", BOUNDS)
def test_at_the_bound_and_one_past_it(name: str, tmp_path: Path) -> None:
    bound, case = BOUNDS[name], CASES[name]
    (at, past) = (tmp_path / "at", tmp_path / "past")
    at.mkdir()
    past.mkdir()
    said = (f"at most {bound.most:,}", f"to {bound.most}")
    try:
        case(at, bound.most)
    except InputError as error:  # a file that holds nothing is refused as that
        assert not any(each in str(error) for each in said), error
    with pytest.raises(InputError) as refused:
        case(past, NEXT.get(name, bound.most + 1))
    text = str(refused.value)
    assert any(each in text for each in said)
    assert "\n" not in text
    assert len(text) < 300 + len(str(past))


def test_the_readme_tells_what_the_table_says() -> None:
    told = (Path(__file__).parent.parent / "README.md").read_text(encoding="utf-8")
    shown = {"[[parts]]": "parts", "ports": "ports", "options": "options", "facets of a mesh": "facets",
             "vertices of an outline": "vertices"}  # fmt: skip
    said = ", ".join(f"{BOUNDS[name].most:,} {word}" for name, word in shown.items())
    assert f"How large a file may be ({said})" in told


@pytest.mark.parametrize("unit", SIZES)
def test_every_number_goes_through_one_gate(unit: str) -> None:
    """The traps of shelves and materials, which are narrower, lie within it; so do the units that files have."""
    from scaling.files import units

    least, most = sizes(unit)
    for value, fits in ((least, True), (most, True), (least / 2, False), (most * 2, False), (0.0, True), (-most, True)):
        text: object = value if unit == "1" else f"{value!r} {unit.replace(' ', '*')}"
        if fits:
            assert units.read(text, unit, FILE, "key") == pytest.approx(value)
        else:
            with pytest.raises(InputError, match="no robot"):
                units.read(text, unit, FILE, "key")
    for power, low, high in shelf_file.UNITS.values() if unit == "m" else ():
        assert OTHERS[0] <= low * 10.0**power < high * 10.0**power <= OTHERS[1]


def test_the_gate_knows_every_unit_of_a_file() -> None:
    known = {key.unit for key in DESIGN.keys.values() if key.kind == "number"}
    assert known <= set(SIZES)


def test_a_file_that_is_there_has_no_fault(main_folder: Path) -> None:
    assert fault(main_folder / "design.toml") is None
    assert load_design(main_folder / "design.toml").name


# How long the command takes at the bounds: on request.

SECONDS, MEGABYTES = 5.0, 500


def many_parts(folder: Path, demo: Path) -> list[str | Path]:
    text = (demo / "design.toml").read_text(encoding="utf-8").replace('mass = "454 g"', '#')
    most = BOUNDS["[[parts]]"].most - text.count("[[parts]]")
    rows = "".join(f'[[parts]]\nname = "p{n}"\nkind = "solid"\nmass = "1 mg"\ncount = 2\n' for n in range(most))
    places = "".join(f'"p{n}" = [["1 mm", "2 mm", "3 mm"], ["4 mm", "5 mm", "6 mm"]]\n' for n in range(most - 10))
    (folder / "design.toml").write_text(
        text.replace("[positions]", f"{rows}[positions]\n{places}"), encoding="utf-8")  # fmt: skip
    return ["check", folder / "design.toml"]


def many_ports(folder: Path, demo: Path) -> list[str | Path]:
    for path in demo.iterdir():
        (folder / path.name).write_bytes(path.read_bytes())
    (folder / "rotor_motors.csv").write_text(catalogue_text(1000), encoding="utf-8")
    (folder / "drive_motors.csv").write_text(catalogue_text(BOUNDS["motors of a catalogue"].most), encoding="utf-8")
    (folder / "belts.csv").write_text(shelf_text(BOUNDS["rows of a shelf"].most), encoding="utf-8")
    laws = "".join(f'[[laws]]\nlaw = "length"\ntarget = "{200 + n} mm"\n' for n in range(BOUNDS["ports"].most))
    changes = "".join(f'[parts."p{n}"]\nmass = "2 mg"\n' for n in range(5000))
    (folder / "brief.toml").write_text(
        f'reference = "design.toml"\nmass_limit = "1.36 kg"\n{laws}{changes}[stock]\nround_belts = "belts.csv"\n'
        '[options]\ndrive_motors = "drive_motors.csv"\n', encoding="utf-8")  # fmt: skip
    many_parts(folder, demo)
    return ["check", folder / "brief.toml"]


def large_mesh(folder: Path, demo: Path) -> list[str | Path]:
    """A sphere of as many facets as there may be."""
    for path in (demo.parent / "plinthling").iterdir():
        (folder / path.name).write_bytes(path.read_bytes())
    write_sphere(folder / "scoop.stl", 707)
    text = (folder / "design.toml").read_text(encoding="utf-8")
    text = "\n".join(line for line in text.split("\n") if not line.startswith("mass = ") or "454" in line)
    (folder / "design.toml").write_text(text, encoding="utf-8")
    return ["mesh", folder / "scoop.stl", "--factor", "1.5", "--material", "hdpe"]


def write_sphere(path: Path, steps: int) -> None:
    high, round_ = np.linspace(0, np.pi, steps + 1), np.linspace(0, 2 * np.pi, steps + 1)
    at = np.stack([np.outer(np.sin(high), np.cos(round_)), np.outer(np.sin(high), np.sin(round_)),
                   np.outer(np.cos(high), np.ones(steps + 1))], -1)  # fmt: skip
    at[:, -1], at[0], at[-1] = at[:, 0], at[0, 0], at[-1, 0]
    a, b, c, d = at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]
    corners = np.concatenate([np.stack(each, 2).reshape(-1, 3, 3) for each in ((a, b, c), (a, c, d))]) * 20
    rows = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("at", "<f4", (3, 3)), ("attribute", "<u2")])
    rows["at"] = corners
    path.write_bytes(b"\0" * 80 + struct.pack("<I", len(rows)) + rows.tobytes())


def long_text_mesh(folder: Path, _: Path) -> list[str | Path]:
    """The same as text, as many facets as a file of its largest size takes."""
    facet = " facet normal 0 0 0\n outer loop\n vertex {0} 0 0\n vertex 0 {1} 0\n vertex 0 0 {2}\n endloop\n endfacet\n"
    one = "".join(facet.format(*each) for each in (("3.25", "4.5", "5.125"), ("4.125", "3.5", "6.0"))).encode()
    count = (BOUNDS["mesh file"].most - 30) // len(one)
    (folder / "text.stl").write_bytes(b"solid a\n" + one * count + b"endsolid a\n")
    return ["mesh", folder / "text.stl", "--factor", "1.5", "--material", "hdpe"]


def large_drawing(folder: Path, _: Path, *more: str | Path) -> list[str | Path]:
    document = drawing()
    space = document.modelspace()
    for place in range(BOUNDS["loops of an outline"].most - 1):
        space.add_circle((-20 + place % 45, -20 + place // 45), 0.3)
    rows = wave(BOUNDS["vertices of an outline"].most - 2 * BOUNDS["loops of an outline"].most)
    rows[:, 4] = 0.05
    space.add_lwpolyline([(0, 0)], close=True).lwpoints.set(rows)
    document.saveas(folder / "plate.dxf")
    return ["outline", folder / "plate.dxf", "--factor", "1.5", *more]


def scaled_drawing(folder: Path, demo: Path) -> list[str | Path]:
    return large_drawing(folder, demo, "-o", folder / "out.dxf")


HEAVY = {
    each.__name__: each
    for each in (many_parts, many_ports, large_mesh, long_text_mesh, large_drawing, scaled_drawing)
}

MEASURED = """
import resource, runpy, sys
sys.argv[0] = "scaling"
try:
    runpy.run_module("scaling", run_name="__main__")
finally:
    used = resource.getrusage(resource.RUSAGE_SELF)
    peak = next(line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM"))
    print(f"{used.ru_utime + used.ru_stime} {int(peak) / 1024}", file=sys.stderr)
"""


@pytest.mark.skipif(not os.environ.get("BOUNDS") or sys.platform != "linux", reason="on request: BOUNDS=all")
@pytest.mark.parametrize("name", HEAVY)
def test_check_at_the_bounds(name: str, process: Any, main_folder: Path, tmp_path: Path) -> None:
    words = HEAVY[name](tmp_path, main_folder)
    result = process(*words, before=("-c", MEASURED))
    *said, usage = result.err.strip().split("\n")
    seconds, megabytes = usage.split()
    print(f"\n{name}: {float(seconds):.1f} s, {float(megabytes):.0f} MB, status {result.status} {said[:1]}")
    assert not any("too many" in line or "too large" in line for line in said)
    assert float(seconds) < SECONDS
    assert float(megabytes) < MEGABYTES
