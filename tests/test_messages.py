"""Every message of the readers, provoked by a table of cases: short, in TOML's spelling, with file, key and mend."""

from __future__ import annotations

import ast
import re
import shlex
import struct
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import bad_cases
import numpy as np
import pytest

import scaling
from conftest import _set
from scaling.cad import mesh as meshes
from scaling.cad.mesh_file import read_mesh
from scaling.files import text as texts
from scaling.files.bounds import BOUNDS
from scaling.files.errors import MOST_SAID, InputError, InputErrors, Mistakes
from scaling.files.sentence import LONGEST, LONGEST_PIECE, listed, sentence, shown
from scaling.port.brief import load_brief
from scaling.port.changes import path_of, written
from scaling.port.laws import check_law
from scaling.robot.design import Design, load_design
from scaling.robot.many import checked
from scaling.study.run import agreed

PACKAGE = Path(scaling.__file__).parent
READERS = ("files", "shop", "robot", "port", "cad", "command")
PYTHON_S = re.compile(r"\b(None|True|False|NoneType|datetime)\b|\w+Error\b|<class|\\x[0-9a-f]|Path\(|\w\('")
"""What of Python no message may say."""

ENOUGH = 0.8
"""Share of the readers' places of error that the table must reach."""


@dataclass
class Caught:
    """Where errors were made while the table was gone through, those that were said, and what was not refused."""

    places: set[tuple[str, int]] = field(default_factory=set)
    said: list[tuple[str, InputError]] = field(default_factory=list)
    taken: list[str] = field(default_factory=list)

    def add(self, case: str, work: Callable[[], object]) -> None:
        """Do what must be refused, and keep the errors that say so."""
        try:
            work()
        except InputErrors as several:
            self.said += [(case, error) for error in several.errors[: MOST_SAID + 1]]
        except InputError as error:
            self.said.append((case, error))
        else:
            self.taken.append(case)


@pytest.fixture(scope="module")
def folder(main_folder: Path, pusher_demo: Any, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The main demo's files, and others that are spoilt."""
    here = tmp_path_factory.mktemp("cases")
    for path in [*pusher_demo.folder.glob("*.stl"), *main_folder.iterdir()]:
        (here / path.name).write_bytes(path.read_bytes())
    (here / "pusher.toml").write_bytes((pusher_demo.folder / "design.toml").read_bytes())
    noise = bytes(range(256)) * 20
    corners = ((0, 0, 0), (9, 0, 0), (0, 9, 0), (0, 0, 9))
    sides = [(0, 2, 1), (0, 1, 3), (0, 3, 2), (1, 2, 3)]
    files: dict[str, bytes] = {
        "empty.stl": b"", "noise.stl": noise, "noise.ply": noise, "noise.dxf": noise, "noise.json": b"{",
        "list.json": b"[]", "words.json": b'{"sources": [3]}', "points.obj": b"v 0 0 0\nv 1 0 0\nv 0 1 0\n",
        "cube.stl": _stl(corners, sides), "open.stl": _stl(corners, sides[:3]), "huge.stl": _stl(corners, sides, 1e9),
        "there.png": b"x",
    }  # fmt: skip
    for name, content in files.items():
        (here / name).write_bytes(content)
    for name in ("full", "folder.stl", "full.png"):
        (here / name).mkdir()
    (here / "full" / "mine").write_bytes(b"x")
    with (here / "big.stl").open("wb") as sparse:
        sparse.truncate(BOUNDS["mesh file"].most + 1)
    _drawings(here)
    return here


def _stl(corners: Any, sides: Any, size: float = 1.0) -> bytes:
    rows = [struct.pack("<12f", 0, 0, 0, *(size * x for corner in side for x in corners[corner])) for side in sides]
    return bytes(80) + struct.pack("<I", len(rows)) + b"".join(row + b"\0\0" for row in rows)


def _drawings(here: Path) -> None:
    import ezdxf

    bare = ezdxf.new()  # type: ignore[attr-defined]
    bare.saveas(here / "bare.dxf")
    bare.modelspace().add_blockref("missing", (0, 0))
    bare.saveas(here / "missing.dxf")
    bare.blocks.new("tile").add_line((0, 0), (1, 0))
    many = bare.modelspace().add_blockref("tile", (0, 0))
    many.dxf.row_count = many.dxf.column_count = 10_000
    bare.saveas(here / "many.dxf")
    units = ezdxf.new()  # type: ignore[attr-defined]
    units.header["$INSUNITS"] = 99
    units.modelspace().add_circle((0, 0), 3)
    units.saveas(here / "units.dxf")


@pytest.fixture(scope="module")
def caught(folder: Path, main_demo: Any) -> Iterator[Caught]:
    """Everything that the table provokes."""
    found = Caught()
    made = InputError.__init__

    def kept(self: InputError, *given: Any, **named: Any) -> None:
        made(self, *given, **named)
        frame = sys._getframe(1)
        path = Path(frame.f_code.co_filename)
        if path.is_relative_to(PACKAGE):
            found.places.add((path.relative_to(PACKAGE).as_posix(), frame.f_lineno))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(InputError, "__init__", kept)
        patch.chdir(folder)
        _provoke(found, folder, main_demo.design)
        yield found


def _provoke(found: Caught, folder: Path, design: Design) -> None:
    paths = {name: folder / f"{name}.toml" for name in ("design", "brief")}
    good = {name: path.read_text(encoding="utf-8") for name, path in paths.items()}
    shelf, catalogue = folder / "own.csv", folder / "rotor_motors.csv"
    motors = catalogue.read_bytes()

    def design_of(text: str) -> None:
        paths["design"].write_text(text, encoding="utf-8")
        load_design(paths["design"])

    def brief_of(text: str) -> None:
        paths["brief"].write_text(text, encoding="utf-8")
        agreed(design, load_brief(paths["brief"]))

    def bytes_of(name: str, content: bytes) -> None:
        paths[name].write_bytes(content)
        (load_design if name == "design" else load_brief)(paths[name])

    def line(words: list[str]) -> None:
        from scaling.command.cli import application

        application()(words, standalone_mode=False)

    for changes in bad_cases.DESIGN:
        found.add(f"design {changes}", lambda changes=changes: design_of(_changed(good["design"], changes)))
    placed = good["design"].index("[positions]")
    for changes in bad_cases.WITHOUT_PARTS:
        text = _changed(good["design"][:placed], changes)
        found.add(f"without parts {changes}", lambda text=text: design_of(text))
    for content in bad_cases.SHELVES:
        shelf.write_text(content, encoding="utf-8")
        text = _changed(good["design"], {"stock_files.bearings": '"own.csv"'})
        found.add(f"shelf {content[:60]}", lambda text=text: design_of(text))
    for content in bad_cases.FILES:
        found.add(f"file {content[:60]!r}", lambda content=content: bytes_of("design", content))
    paths["design"].write_text(good["design"], encoding="utf-8")
    for changes in bad_cases.BRIEF:
        found.add(f"brief {changes}", lambda changes=changes: brief_of(_changed(good["brief"], changes)))
    paths["brief"].write_text(good["brief"], encoding="utf-8")
    for content in bad_cases.CATALOGUES:
        catalogue.write_text(content, encoding="utf-8")
        found.add(f"catalogue {content[:60]}", lambda: load_brief(paths["brief"]))
    catalogue.write_bytes(motors)
    for content in bad_cases.FILES:
        found.add(f"brief file {content[:60]!r}", lambda content=content: bytes_of("brief", content))
    paths["brief"].write_text(good["brief"], encoding="utf-8")
    for words in bad_cases.LINES:
        found.add(words[:80], lambda words=words: line(shlex.split(words)))
    for name, call in _calls(design).items():
        found.add(name, call)


def _changed(text: str, changes: dict[str, str | None]) -> str:
    for key, value in changes.items():
        text = _set(text, key, value)
    return text


def _calls(design: Design) -> dict[str, Callable[[], object]]:
    """What only Python can ask for."""
    body = read_mesh("cube.stl")
    open_body = meshes.mass_properties(read_mesh("open.stl"), 1000.0)
    solid = meshes.mass_properties(body, 1000.0)
    rows = np.zeros((2, 3))
    return {
        "density": lambda: meshes.mass_properties(body, -1.0),
        "no density": lambda: meshes.mesh_warnings(body, expected_mass=1.0),
        "scale": lambda: meshes.scale_mesh(body, (1.0, 2.0)),
        "combined": lambda: meshes.combine([solid], rows, np.ones(1)),
        "combined nan": lambda: meshes.combine([solid] * 2, rows * np.nan, np.ones(2)),
        "combined open": lambda: meshes.combine([open_body] * 2, rows, np.ones(2)),
        "combined none": lambda: meshes.combine([solid] * 2, rows, np.zeros(2)),
        "no path": lambda: texts.read_text(Path("a\0b"), BOUNDS["study file"], "a file"),
        "rows": lambda: checked(design, {"rotor.mass": [1.0, 2.0], "length": [1.0, 2.0, 3.0]}),
        "no rows": lambda: checked(design, {}),
        "unknown row": lambda: checked(design, {"rotor.mas": [1.0]}),
        "words": lambda: checked(design, {"rotor.mass": "heavy"}),
        "nan": lambda: checked(design, {"rotor.mass": [float("nan")]}),
        "whole": lambda: checked(design, {"wheel.count": [1.5]}),
        "dotted": lambda: path_of("a.[b"),
        "no length": lambda: check_law("length", None, None, None, "laws[1]"),
        "no table": lambda: written({"a": 1}, ("a", "b"), 1),
    }  # fmt: skip


def test_every_message_is_short_and_in_toml_s_spelling(caught: Caught) -> None:
    assert not caught.taken, "not refused"
    assert len(caught.said) > 300
    for case, error in caught.said:
        text = str(error)
        assert len(text) <= LONGEST, (case, text)
        assert text.isprintable(), (case, text)
        assert text[-1] in ".?", (case, text)
        quoted = re.sub(r'"[^"]*"', "", text)
        assert not PYTHON_S.search(quoted.replace(str(error.file), "")), (case, text)


WHOLE = (
    "the file ", "there is no such file", "this is ", "the design ", "not a row", "does not exist", "is ", "its ",
    "holds ", "exists", "cannot be ", "the rows ", "no port ", "no key ", "too many ",
    "the name is ", "this link ",
)  # fmt: skip
"""How messages about a whole file or row begin, which is under no key."""


def test_every_message_names_its_place_and_a_mend(caught: Caught) -> None:
    errors = [error for _, error in caught.said]
    assert not [str(error) for error in errors if error.file is None and error.key is None]
    keyless = [error for error in errors if error.key is None and ", line " not in str(error.file)]
    assert not [str(error) for error in keyless if not error.problem.startswith(WHOLE)]
    mendless = [error for error in errors if error.allowed is None and error.hint is None]
    assert not [str(error) for error in mendless if not error.problem.startswith("this is a f")]  # -o: it is plain


def test_no_foreign_file_s_lines_are_quoted(caught: Caught) -> None:
    for case, error in caught.said:
        assert "hush" not in str(error), case
        assert "/bin/bash" not in str(error), case


def places_of_error() -> dict[tuple[str, int], str]:
    """Every place in the readers that makes an InputError, with its words."""
    found: dict[tuple[str, int], str] = {}
    for path in (path for package in READERS for path in sorted((PACKAGE / package).rglob("*.py"))):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "InputError":
                found[path.relative_to(PACKAGE).as_posix(), node.lineno] = ast.unparse(node.args[0])
    return found


def test_the_table_reaches_the_readers_places_of_error(caught: Caught) -> None:
    wanted = places_of_error()
    missed = {place: words for place, words in wanted.items() if place not in caught.places}
    told = "\n".join(f"{file}:{line} {words}" for (file, line), words in sorted(missed.items()))
    print(f"{len(wanted) - len(missed)} of {len(wanted)} places of error provoked, not these:\n{told}")
    assert len(missed) <= (1 - ENOUGH) * len(wanted), told


def test_a_sentence_stays_short_whatever_it_is_made_of() -> None:
    long = "\u202e\t" * 400
    text = sentence("/a" * 300 + "/design.toml", "k" * 200, "p" * 500, long, "a, " * 200, "h" * 500)
    assert len(text) <= LONGEST
    assert text.isprintable()
    assert "design.toml: kkk" in text
    assert len(shown(long)) <= LONGEST_PIECE
    assert shown("a\u202eb\x1b") == '"a\\u202eb\\u001b"'
    assert sentence("f", None, "left off...", None, None, None) == "f: left off..."
    assert shown(1 << 4_000).startswith("0x1000")
    assert listed(range(12)).endswith(", 9 and 2 more")


def test_several_mistakes_are_a_sentence_each() -> None:
    mistakes = Mistakes(Path("design.toml"))
    for number in range(MOST_SAID + 3):
        mistakes.add(InputError("this cannot be", key=f"key_{number}", given=True, allowed="a number"))
    with pytest.raises(InputErrors) as raised:
        mistakes.settle()
    lines = raised.value.lines()
    assert lines[0] == "design.toml: key_0: this cannot be, given true, allowed: a number."
    assert lines[-1] == "and 3 more mistakes."
