"""What is no file, in the place of every file that a verb takes or a file names: one sentence at once, status 2."""

from __future__ import annotations

import errno
import os
import socket
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from scaling.files import opener
from scaling.port.schema import BRIEF
from scaling.robot.schema import DESIGN

pytestmark = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes under a name here")

AT_ONCE = 5.0
"""Seconds within which a refusal comes, however busy the machine: what waits for a writer waits for ever."""

LONG = "x" * 300

SPECIAL = {
    "pipe": "pipe",
    "device without end": "device",
    "device that is empty": "device",
    "socket": "socket",
    "directory": "directory",
    "link to nothing": "leads to no file",
    "link to itself": "leads back to itself",
    "missing": "no such file",
    "under a file": "no such file",
    "long name": "longer than the system takes",
    "long path": "longer than the system takes",
    "NUL": "path is not one",
}
"""What stands in a file's place, and a word of the sentence that refuses it."""


@pytest.fixture
def place(tmp_path: Path) -> Iterator[Callable[[str, str], Path]]:
    """Put something special under a name with the ending that the file should have; returns its path."""
    sockets: list[socket.socket] = []

    def put(kind: str, ending: str) -> Path:
        path = tmp_path / f"special{ending}"
        if kind == "pipe":
            os.mkfifo(path)
        elif kind.startswith("device"):
            path.symlink_to("/dev/zero" if "without end" in kind else "/dev/null")
        elif kind == "socket":
            made = socket.socket(socket.AF_UNIX)
            sockets.append(made)
            here = Path.cwd()
            os.chdir(tmp_path)  # the name of a socket is short
            made.bind(path.name)
            os.chdir(here)
        elif kind == "directory":
            path.mkdir()
        elif kind == "link to nothing":
            path.symlink_to(tmp_path / "nowhere")
        elif kind == "link to itself":
            path.symlink_to(path)
        elif kind == "under a file":
            (tmp_path / "file").write_text("", encoding="utf-8")
            path = tmp_path / "file" / path.name
        elif kind == "long name":
            path = tmp_path / f"{LONG}{ending}"
        elif kind == "long path":
            path = tmp_path / "/".join(["x" * 200] * 30) / path.name
        elif kind == "NUL":
            path = tmp_path / f"a\0b{ending}"
        return path

    yield put
    for each in sockets:
        each.close()


ARGUMENTS: dict[str, tuple[str, tuple[str, ...]]] = {
    "check": (".toml", ("check", "PATH")),
    "study": (".toml", ("study", "PATH")),
    "study of a design": (".toml", ("study", "PATH", "--mass", "1 kg")),
    "window": (".toml", ("window", "PATH")),
    "options": (".toml", ("options", "PATH")),
    "groups": (".toml", ("groups", "PATH")),
    "explain": (".toml", ("explain", "gyro_margin", "PATH")),
    "plot": (".toml", ("plot", "drift", "PATH", "-o", "OUT.svg")),
    "compare": (".toml", ("compare", "PATH", "GOOD")),
    "compare with": (".toml", ("compare", "GOOD", "PATH")),
    "sources": (".toml", ("sources", "PATH")),
    "sources of a study": (".json", ("sources", "PATH")),
    "mesh": (".stl", ("mesh", "PATH", "--factor", "2", "--material", "hdpe")),
    "mesh as OBJ": (".obj", ("mesh", "PATH", "--factor", "2", "--material", "hdpe")),
    "outline": (".dxf", ("outline", "PATH", "--factor", "2")),
    "outline's brief": (".toml", ("outline", "DXF", "--brief", "PATH")),
}
"""Every argument that is a file: its ending, and the command."""


@pytest.mark.parametrize("kind", [kind for kind in SPECIAL if kind != "NUL"])  # which no system passes on
@pytest.mark.parametrize("verb", ARGUMENTS)
def test_in_the_place_of_an_argument(
    verb: str, kind: str, place: Any, refused: Any, command: Any, main_folder: Path, tmp_path: Path
) -> None:
    ending, words = ARGUMENTS[verb]
    path = place(kind, ending)
    given = {"PATH": path, "GOOD": main_folder / "design.toml", "OUT.svg": tmp_path / "out.svg",
             "DXF": main_folder / "top_plate.dxf"}  # fmt: skip
    start = time.monotonic()
    result = command(*(given.get(word, word) for word in words))
    if verb.startswith("sources") and kind == "directory":  # the folder of a study, which has none in it
        kind = "missing"
    refused(result, SPECIAL[kind])
    assert time.monotonic() - start < AT_ONCE
    assert not (tmp_path / "out.svg").exists()


NAMED = {
    "reference": ("brief", "reference", ".toml"),
    "drawn machine": ("brief", "port.design", ".toml"),
    "rotor motors": ("brief", "options.rotor_motors", ".csv"),
    "drive motors": ("brief", "options.drive_motors", ".csv"),
    **{key: ("brief", f"stock.{key}", ".csv") for key in BRIEF.by_name["stock"].by_name},
    **{f"own {key}": ("design", f"stock_files.{key}", ".csv") for key in DESIGN.by_name["stock_files"].by_name},
    "mesh": ("design", "parts[2].mesh", ".stl"),
}
"""Every key that names a file: which file says it, and the ending."""


def test_every_key_that_names_a_file_is_tried() -> None:
    named = {
        ("brief" if schema is BRIEF else "design", table.dotted(key))
        for schema in (DESIGN, BRIEF)
        for table in schema.tables
        for key in table.keys
        if key.kind == "path"
    }
    assert named == {(file, key.replace("[2]", "")) for file, key, _ in NAMED.values()}


@pytest.mark.parametrize("kind", SPECIAL)
@pytest.mark.parametrize("name", NAMED)
def test_in_the_place_of_a_file_that_is_named(
    name: str, kind: str, place: Any, refused: Any, command: Any, edit: Any, main_folder: Path
) -> None:
    file, key, ending = NAMED[name]
    text = '"' + str(place(kind, ending)).replace("\0", "\\u0000") + '"'
    changes: dict[str, str | None] = {key: text}
    if name == "mesh":
        changes |= {"parts[2].material": '"hdpe"', "parts[2].mass": None}
    brief = edit(main_folder, **{file: changes})
    start = time.monotonic()
    said = {"NUL": "control characters", "long path": "too many characters"}  # what the text itself cannot be
    refused(command("check", brief), f"{file}.toml: ", key.partition("[")[0], said.get(kind, SPECIAL[kind]))
    assert time.monotonic() - start < AT_ONCE


FAULTS = {
    errno.EACCES: "may not be read",
    errno.EPERM: "may not be read",
    errno.EIO: "cannot be read (Input/output error)",
    errno.ESTALE: "cannot be read",
    errno.EMFILE: "cannot be read",
    errno.EAGAIN: "cannot be read",
}
"""What a system says of a file that it does not let be read, and words of the sentence."""


@pytest.mark.parametrize("call", ["stat", "open", "fstat"])
@pytest.mark.parametrize("number", FAULTS)
@pytest.mark.parametrize("verb", ["check", "mesh", "outline", "sources of a study"])
def test_a_file_that_the_system_does_not_let_be_read(
    verb: str, number: int, call: str, refused: Any, command: Any, main_folder: Path, tmp_path: Path, monkeypatch: Any
) -> None:
    """The superuser may read everything, so the system's answer is put in the call's place."""
    ending, words = ARGUMENTS[verb]
    path = tmp_path / f"unreadable{ending}"
    path.write_bytes(b"x" * 200)
    real, real_stat = getattr(os, call), Path.stat

    def fails(of: Any, *rest: Any, **named: Any) -> Any:
        if call == "fstat" or Path(of) == path:
            raise OSError(number, os.strerror(number), str(path))
        return (real_stat if call == "stat" else real)(of, *rest, **named)

    monkeypatch.setattr(*((opener.Path, "stat") if call == "stat" else (opener.os, call)), fails)
    result = command(*(path if word == "PATH" else word for word in words))
    monkeypatch.undo()
    refused(result, path.name, FAULTS[number])


def test_a_pipe_that_takes_a_files_place_does_not_hold_the_reader_up(
    refused: Any, command: Any, tmp_path: Path, monkeypatch: Any
) -> None:
    """Between the look and the opening another may put a pipe there: it is opened without waiting, and looked at."""
    path = tmp_path / "design.toml"
    path.write_text('name = "x"', encoding="utf-8")
    path.unlink()
    os.mkfifo(path)
    monkeypatch.setattr(opener, "fault", lambda _: None)
    refused(command("check", path), "this is a pipe")
