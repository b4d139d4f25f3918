"""Writing a file whole or not at all: by way of a temporary name beside it."""

from __future__ import annotations

import shutil
import stat
from collections.abc import Mapping
from pathlib import Path

from scaling.files.beside import ELSEWHERE, PART, beside, clear, flush, locked, real_place, told, with_parents
from scaling.files.errors import InputError
from scaling.files.stopping import watched


def check_file(path: Path, force: bool, key: str | None = None) -> Path:
    """Return where a file of that ``path`` would stand; raises InputError where it cannot be written.

    That is where something else than a file stands there, a file without ``force``, and where there is no such folder.
    """
    target = real_place(path, "file", key)
    if target.is_dir():
        raise InputError("this is a folder, not a file", path, key, hint="name a file in it")
    if not target.parent.is_dir():
        raise InputError("the file cannot be written: its folder does not exist", path, key, hint="make it first")
    if target.exists():
        if not stat.S_ISREG(target.stat().st_mode):
            raise InputError("this is a device or a pipe, not a plain file", path, key, hint=ELSEWHERE)
        if not force:
            hint = "choose another name, or replace it with --force"
            raise InputError("the file is there already", path, key, hint=hint)
    return target


def write_bytes(path: Path, data: bytes, force: bool, key: str | None = None) -> None:
    """Write ``data`` to ``path``; raises InputError as ``check_file`` does, and where the system refuses.

    A signal that ends the run waits until the file is whole.
    """
    with told(path, "file", key), watched(held=True):
        target = check_file(path, force, key)
        with locked(target, path, key):
            _write(check_file(path, force, key), data)


def _write(target: Path, data: bytes) -> None:
    part = beside(target, PART)
    clear(part)  # of a run that was killed
    try:
        with part.open("xb") as stream:
            stream.write(data)
        if target.exists():
            shutil.copymode(target, part)
            flush(part)  # the old bytes go when the new ones are on the disk
        part.replace(target)
    finally:
        clear(part)


def write_text(path: Path, text: str, force: bool = True, key: str | None = None) -> None:
    """Write ``text`` as UTF-8, lines ended as they are; raises InputError as ``write_bytes`` does."""
    write_bytes(path, text.encode("utf-8"), force, key)


def write_together(texts: Mapping[Path, str], force: bool) -> None:
    """Write several files, and the folders that they stand in, all or none; raises as ``write_text`` does."""
    if not texts:
        return
    with told(next(iter(texts)), "file", None), watched(held=True), with_parents(next(iter(texts))):
        before = {path: path.read_bytes() if check_file(path, force).exists() else None for path in texts}
        done: list[Path] = []
        try:
            for path, text in texts.items():
                write_text(path, text, force)
                done.append(path)
        except BaseException:
            for path in done:
                was = before[path]
                if was is None:
                    clear(path)
                else:
                    write_bytes(path, was, force=True)
            raise
