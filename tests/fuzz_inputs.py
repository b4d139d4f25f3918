"""The files that are spoilt and the verbs that then read them: an input follows from its seed and number alone."""

from __future__ import annotations

import random
import struct
import tomllib
from collections.abc import Callable
from copy import deepcopy
from dataclasses import dataclass
from functools import cache
from io import StringIO
from pathlib import Path
from typing import Any

import fuzz_tables
import fuzz_texts

from scaling.files.schema import FileSchema
from scaling.port.schema import BRIEF
from scaling.robot.schema import DESIGN
from scaling.shop import shelf_file
from scaling.shop.shelves import FILES

ROOT = Path(__file__).parent.parent
DEMOS = ROOT / "demo_designs"
STARTERS = ROOT / "scaling" / "robot" / "starter"
ENDINGS = (".toml", ".csv", ".stl")

FEW = 6
"""Rows that a change may add where a verb tries every combination of them, or makes a port of each."""

HOW_MANY = (1, 1, 1, 1, 1, 1, 2, 2, 3, 5, 12)
"""How many changes an input takes."""

GENTLE = ("nudge", "word", "known", "delete")
SHARE_OF_GENTLE = 0.35
"""Changes that a file often bears, and the share of the inputs that take no others: they get beyond the readers."""

Files = dict[str, bytes]


@dataclass(frozen=True)
class Input:
    """One input: its kind of file, the files as they are written, what the command is asked, and the changes made."""

    kind: str
    files: Files
    arguments: tuple[str, ...]
    changes: tuple[str, ...]


@dataclass(frozen=True)
class Kind:
    """A kind of file: how often it comes, and what makes an input of it."""

    share: int
    make: Callable[[random.Random, str | None], tuple[Files, list[str], list[str]]]


@cache
def _read(folder: Path) -> Files:
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir()) if path.suffix in ENDINGS}


def _robot(rng: random.Random) -> Files:
    """The files of a robot: most often one that is studied fast."""
    name = rng.choice(["plinthling"] * 5 + ["pusher", "pusher", "pusher_short", "spinner", "tarvindle", "harrowmoth"])
    if (DEMOS / name).is_dir():
        return dict(_read(DEMOS / name))
    starters = _read(STARTERS)
    design = name if name.endswith("short") else f"{name}_design"
    return {"design.toml": starters[f"{design}.toml"], "brief.toml": starters[f"{name.partition('_')[0]}_brief.toml"]}


def _few_changes(rng: random.Random, table: dict[str, Any]) -> list[str]:
    names, shares = list(table), [share for _, share in table.values()]
    return rng.choices(names, shares, k=rng.choice(HOW_MANY))


def _spoilt_tables(rng: random.Random, data: bytes, schema: FileSchema, few: bool) -> tuple[bytes, list[str]]:
    """A TOML file after changes of its tables, now and then of its text too."""
    tables = _tables(data) if rng.random() < 0.9 else {}
    changes = []
    if tables:
        gentle = {name: fuzz_tables.CHANGES[name] for name in GENTLE}
        changes = _few_changes(rng, gentle if rng.random() < SHARE_OF_GENTLE else fuzz_tables.CHANGES)
        for name in changes:
            change = fuzz_tables.CHANGES[name][0]
            if few and name == "copies":
                fuzz_tables.copies(rng, tables, schema, FEW)
            else:
                change(rng, tables, schema)
        data = fuzz_tables.toml(tables).encode("utf-8", "surrogatepass")
    if not tables or rng.random() < 0.1:
        data, more = _spoilt_text(rng, data, fuzz_texts.TEXT)
        changes += more
    return data, changes


def _tables(data: bytes) -> dict[str, Any]:
    return deepcopy(_parsed(data))


@cache
def _parsed(data: bytes) -> dict[str, Any]:
    return tomllib.loads(data.decode())


def _spoilt_text(rng: random.Random, data: bytes, table: dict[str, Any]) -> tuple[bytes, list[str]]:
    changes = _few_changes(rng, table)
    for name in changes:
        data = table[name][0](rng, data)
    return data, changes


def _verb(rng: random.Random, verb: str | None, file: str) -> list[str]:
    """What the command is asked of a design or a brief: most often what is quick."""
    of_design = {"check": 12, "study": 3, "groups": 1, "sources": 1, "explain": 1, "compare": 1}
    of_brief = {"check": 7, "study": 3, "options": 3, "window": 2, "groups": 1, "sources": 1, "outline": 1}
    shares = of_design if file == "design.toml" else of_brief
    chosen = verb if verb in shares else rng.choices(list(shares), list(shares.values()))[0]
    arguments = {
        "explain": [rng.choice(["wheel_speed", "drive_stall_force", "gyro_margin", "mass_sum"]), file],
        "compare": [file, file],
        "outline": ["plate.dxf", "--brief", file],
    }.get(chosen, [file])
    if chosen == "study" and file == "design.toml":
        arguments += rng.choice([["--mass", "3 kg"], ["--length", "196 mm"], ["--mass", "1.36 kg", "--margin", "25 g"]])
    return [chosen, *arguments, *rng.choice([["--json"], ["--json"], [], ["--all"] if chosen in MORE else []])]


MORE = ("check", "study", "options", "compare")


def _design(rng: random.Random, verb: str | None) -> tuple[Files, list[str], list[str]]:
    files = _robot(rng)
    arguments = _verb(rng, verb, rng.choice(["design.toml", "design.toml", "brief.toml"]))
    few = arguments[0] not in ("check", "outline")
    files["design.toml"], changes = _spoilt_tables(rng, files["design.toml"], DESIGN, few)
    return files | _drawing_for(arguments), arguments, changes


def _brief(rng: random.Random, verb: str | None) -> tuple[Files, list[str], list[str]]:
    files = _robot(rng)
    arguments = _verb(rng, verb, "brief.toml")
    few = arguments[0] not in ("check", "outline")
    files["brief.toml"], changes = _spoilt_tables(rng, files["brief.toml"], BRIEF, few)
    return files | _drawing_for(arguments), arguments, changes


def _drawing_for(arguments: list[str]) -> Files:
    return {"plate.dxf": _drawings()[0]} if arguments[0] == "outline" else {}


def _stock(rng: random.Random, verb: str | None) -> tuple[Files, list[str], list[str]]:
    """A shelf of the builder's own, named by the design or the brief."""
    files = dict(_read(DEMOS / rng.choice(["plinthling", "plinthling", "plinthling", "tarvindle"])))
    holder, table, shelves = rng.choice(
        [("design.toml", "stock_files", (*FILES, "cells", "bolt_classes")), ("brief.toml", "stock", FILES)]
    )
    shelf = rng.choice(shelves)
    name = f"{shelf}.csv"
    files[name], changes = _spoilt_text(rng, (shelf_file.FOLDER / name).read_bytes(), fuzz_texts.CSV)
    tables = _tables(files[holder])
    tables[table] = {shelf: name}
    files[holder] = fuzz_tables.toml(tables).encode()
    return files, _verb(rng, verb or rng.choice(["check", "check", "check", "study", None]), "brief.toml"), changes


def _catalogue(rng: random.Random, verb: str | None) -> tuple[Files, list[str], list[str]]:
    """A catalogue of motors, which options reads."""
    files = dict(_read(DEMOS / rng.choice(["plinthling", "plinthling", "plinthling", "tarvindle"])))
    name = rng.choice([name for name in files if name.endswith(".csv")])
    files[name], changes = _spoilt_text(rng, files[name], fuzz_texts.CSV)
    if files[name].count(b"\n") > 200:  # then few of everything else, for every combination is tried
        tables = _tables(files["brief.toml"])
        tables["options"] = {"drive_motors": name, "drive_ratios": [20]}
        files["brief.toml"] = fuzz_tables.toml(tables).encode()
    return files, _verb(rng, verb or rng.choice(["options", "options", "options", "check"]), "brief.toml"), changes


BOX = ((0, 0, 0), (9, 0, 0), (9, 8, 0), (0, 8, 0), (0, 0, 7), (9, 0, 7), (9, 8, 7), (0, 8, 7))
FACETS = ((0, 2, 1), (0, 3, 2), (4, 5, 6), (4, 6, 7), (0, 1, 5), (0, 5, 4), (1, 2, 6), (1, 6, 5), (2, 3, 7), (2, 7, 6),
          (3, 0, 4), (3, 4, 7))  # fmt: skip


def _meshes() -> dict[str, bytes]:
    """A box in every format that is read, and a scoop as text."""
    corners = "".join(f"v {x} {y} {z}\n" for x, y, z in BOX)
    listed = "".join(f"{x} {y} {z}\n" for x, y, z in BOX)
    facets = "".join(f"3 {a} {b} {c}\n" for a, b, c in FACETS)
    head = "ply\nformat ascii 1.0\nelement vertex 8\nproperty float x\nproperty float y\nproperty float z\n"
    head += "element face 12\nproperty list uchar int vertex_indices\nend_header\n"
    packed = b"".join(struct.pack("<12fH", *(0,) * 3, *BOX[a], *BOX[b], *BOX[c], 0) for a, b, c in FACETS)
    return {
        "part.obj": (corners + "".join(f"f {a + 1} {b + 1} {c + 1}\n" for a, b, c in FACETS)).encode(),
        "part.off": f"OFF\n8 12 0\n{listed}{facets}".encode(),
        "part.ply": (head + listed + facets).encode(),
        "part.stl": b"\0" * 80 + struct.pack("<I", len(FACETS)) + packed,
        "scoop.stl": _read(DEMOS / "plinthling")["scoop.stl"],
    }


def _mesh(rng: random.Random, verb: str | None) -> tuple[Files, list[str], list[str]]:
    """A mesh by itself, or one from which a part of a design has its mass."""
    name, data = rng.choice(list(_meshes().items()))
    data, changes = _spoilt_text(rng, data, fuzz_texts.MESH)
    if rng.random() < 0.05:
        other = rng.choice(["part.stl", "part.obj", "part.ply", "part.off", "part.txt"])
        changes, name = [*changes, "ending"], other
    if verb == "mesh" or (verb is None and rng.random() < 0.75):
        factor = rng.choice(["1.45", "1.45", "2,1,1", "1e6", "1e-6", "0.5"])
        unit = rng.choice([[], [], ["--unit", "in"], ["--unit", "m"], ["--expected-mass", "34 g"]])
        end = rng.choice([["--json"], [], ["-o", "OUT" + Path(name).suffix]])
        return {name: data}, ["mesh", name, "--factor", factor, "--material", "hdpe", *unit, *end], changes
    files = dict(_read(DEMOS / "plinthling"))
    files["design.toml"] = files["design.toml"].replace(b'"scoop.stl"', f'"{name}"'.encode())
    return files | {name: data}, _verb(rng, verb or "check", rng.choice(["design.toml", "brief.toml"])), changes


@cache
def _drawings() -> tuple[bytes, ...]:
    """The demo's plate, and a drawing of every kind of entity with a block within a block."""
    import ezdxf

    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True  # no times, no random names
    try:
        document = ezdxf.new("R2010", units=4)
        plate = document.modelspace()
        plate.add_lwpolyline([(0, 0), (100, 0, 0, 0, 0.4), (100, 60), (0, 60)], close=True)
        plate.add_polyline2d([(10, 10), (20, 10), (20, 20)], close=True)
        plate.add_circle((50, 30), 1.7)
        plate.add_ellipse((70, 30), (6, 0), 0.5)
        plate.add_spline([(30, 40), (40, 50), (50, 40), (30, 40)])
        plate.add_arc((80, 50), 4, 0, 180)
        plate.add_line((76, 50), (84, 50))
        plate.add_text("a plate", dxfattribs={"layer": "words"})
        inner, outer = document.blocks.new("HOLES"), document.blocks.new("MORE")
        inner.add_circle((0, 0), 2)
        outer.add_blockref("HOLES", (3, 3), dxfattribs={"xscale": 1.5, "yscale": 1.5})
        plate.add_blockref("MORE", (20, 40), dxfattribs={"rotation": 30})
        stream = StringIO()
        document.write(stream)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before
    return (DEMOS / "tarvindle" / "top_plate.dxf").read_bytes(), stream.getvalue().encode()


def _outline(rng: random.Random, verb: str | None) -> tuple[Files, list[str], list[str]]:
    """A drawing of a flat part."""
    data, changes = _spoilt_text(rng, rng.choice(_drawings()), fuzz_texts.DXF)
    factor = rng.choice(["1.45", "1.45", "2", "1e4", "0.01"])
    holes = rng.choice([[], ["--hole", "3.4 mm=5.5 mm"], ["--hole", "3.4 mm=5.5 mm", "--hole", "4 mm=6 mm"]])
    end = rng.choice([["--json"], [], ["-o", "OUT.dxf"]])
    return {"plate.dxf": data}, ["outline", "plate.dxf", "--factor", factor, *holes, *end], changes


def _several(rng: random.Random, verb: str | None) -> tuple[Files, list[str], list[str]]:
    """All the files of a robot are spoilt at once, each a little."""
    files = dict(_read(DEMOS / "plinthling"))
    tables = _tables(files["design.toml"])
    tables["stock_files"] = {"bolts": "bolts.csv"}
    bolts = (shelf_file.FOLDER / "bolts.csv").read_bytes()
    files |= {"bolts.csv": bolts, "design.toml": fuzz_tables.toml(tables).encode()}
    arguments, changes = _verb(rng, verb, "brief.toml"), []
    for name in rng.sample(sorted(files), k=rng.randint(2, len(files))):
        ending = Path(name).suffix
        if ending == ".toml":
            files[name], made = _spoilt_tables(rng, files[name], DESIGN if name == "design.toml" else BRIEF, few=True)
        else:
            files[name], made = _spoilt_text(rng, files[name], fuzz_texts.CSV if ending == ".csv" else fuzz_texts.MESH)
        changes += [f"{name}: {each}" for each in made]
    return files | _drawing_for(arguments), arguments, changes


KINDS = {
    "design": Kind(30, _design),
    "brief": Kind(24, _brief),
    "stock": Kind(10, _stock),
    "catalogue": Kind(10, _catalogue),
    "mesh": Kind(12, _mesh),
    "outline": Kind(10, _outline),
    "several": Kind(4, _several),
}
"""Every kind of input, and its share of a hundred."""


def made(seed: int, number: int, only: str | None = None, verb: str | None = None) -> Input:
    """Return input ``number`` of a ``seed``: of one kind or, where that reads it, for one verb only."""
    rng = random.Random(f"{seed} {number} {only} {verb}")  # noqa: S311 - not for secrets
    kind = only or rng.choices(list(KINDS), [each.share for each in KINDS.values()])[0]
    files, arguments, changes = KINDS[kind].make(rng, verb)
    return Input(kind, files, tuple(arguments), tuple(changes))
