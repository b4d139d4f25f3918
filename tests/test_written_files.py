"""A file that is written is there whole or not at all, and replaces only what is a plain file, when it is asked to."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from scaling.files.beside import PART, beside, locked
from scaling.files.errors import InputError
from scaling.files.write import check_file, write_bytes, write_together


def test_a_file_is_replaced_only_with_force(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    write_bytes(path, b"old", False)
    path.chmod(0o640)
    beside(path, PART).write_bytes(b"of a run that was killed")
    with pytest.raises(InputError, match=r"a.csv: --out: the file is there already; .*--force"):
        write_bytes(path, b"new", False, "--out")
    write_bytes(path, b"new", True)
    assert path.read_bytes() == b"new" and stat.S_IMODE(path.stat().st_mode) == 0o640
    assert list(tmp_path.iterdir()) == [path]


def test_places_where_no_file_can_stand(tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "dangling").symlink_to("nowhere")
    os.mkfifo(tmp_path / "pipe")
    before = sorted(tmp_path.iterdir())
    for path, said in ((tmp_path / "folder", "a folder, not a file"), (tmp_path / "dangling", "leads nowhere"),
                       (tmp_path / "pipe", "a device or a pipe"), (Path("/dev/null"), "a device or a pipe"),
                       (tmp_path / "none" / "a", "folder does not exist"), (tmp_path / "a\0b", "cannot be written"),
                       (tmp_path / ("x" * 256), "File name too long"), (Path(), "a folder, not a file")):  # fmt: skip
        for force in (False, True):
            for act in (check_file, lambda path, force: write_bytes(path, b"new", force)):
                with pytest.raises(InputError, match=said):
                    act(path, force)
    assert sorted(tmp_path.iterdir()) == before


def test_a_file_behind_a_link_is_replaced_and_the_link_stays(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_bytes(b"old")
    (tmp_path / "link").symlink_to("a.csv")
    write_bytes(tmp_path / "link", b"new", True)
    assert (tmp_path / "link").is_symlink() and (tmp_path / "a.csv").read_bytes() == b"new"


def test_a_file_that_another_run_is_writing(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    with locked(path, path, None), pytest.raises(InputError, match=r"a.csv: another run is writing this"):
        write_bytes(path, b"new", True)
    assert not any(tmp_path.iterdir())


@pytest.mark.parametrize("old", [None, "old"])
def test_files_together_are_all_new_or_all_old(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, old: str | None
) -> None:
    folder = tmp_path / "new" / "robot"
    names = [folder / "design.toml", folder / "brief.toml"]
    if old is not None:
        write_together(dict.fromkeys(names, old), False)
    replace = Path.replace

    def refuse(path: Path, target: Path) -> Path:
        if "brief" in target.name:
            raise OSError(errno.EXDEV, os.strerror(errno.EXDEV))
        return replace(path, target)

    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(InputError, match=r"brief.toml: the file cannot be written"):
        write_together(dict.fromkeys(names, "new"), True)
    found = {path: path.read_text(encoding="utf-8") for path in tmp_path.rglob("*") if path.is_file()}
    assert found == ({} if old is None else dict.fromkeys(names, old))
    assert (tmp_path / "new").exists() == (old is not None)


def test_every_verb_that_writes_refuses_the_same(
    command: Callable[..., Any], refused: Callable[..., str], main_folder: Path, tmp_path: Path
) -> None:
    """Files that are there, and pipes: before anything is worked out, and nothing is changed."""
    asked = {
        "a.csv": ("options", main_folder / "brief.toml"),
        "a.png": ("plot", "drift", main_folder / "brief.toml"),
        "a.dxf": ("outline", main_folder / "top_plate.dxf", "--factor", "2"),
        "a.stl": ("mesh", main_folder.with_name("plinthling") / "scoop.stl", "--factor", "2", "--material", "hdpe"),
    }
    for name, words in asked.items():
        (tmp_path / name).write_bytes(b"mine")
        refused(command(*words, "-o", tmp_path / name), name, "the file is there already", "--force")
        assert (tmp_path / name).read_bytes() == b"mine"
        (tmp_path / name).unlink()
        os.mkfifo(tmp_path / name)
        refused(command(*words, "-o", tmp_path / name, "--force"), name, "not a plain file")
    for words in (("study", main_folder / "brief.toml"), ("window", main_folder / "brief.toml"),
                  ("compare", main_folder / "design.toml", main_folder / "design.toml")):  # fmt: skip
        refused(command(*words, "-o", tmp_path, "--force"), "no run wrote: a.csv, a.dxf, a.png, a.stl")
