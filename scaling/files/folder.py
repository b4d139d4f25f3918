"""Writing a folder whole or not at all: filled beside, then swapped for what stands there.

The steps, each under the folder's lock: fill the part beside, list it in its manifest, rename the old folder aside,
rename the part into its place, give the old one the part's name and clear that. So whatever moment a run is killed at,
the old or the new folder is there whole, in its place or aside, and what the next run finds tells which (``_settle``).
"""

from __future__ import annotations

import errno
import os
import shutil
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from scaling.files.beside import OLD, PART, beside, clear, flush, locked, real_place, told, with_parents
from scaling.files.errors import InputError
from scaling.files.manifest import foreign, has_manifest, named, write_manifest
from scaling.files.stopping import watched

KEY = "--out"

TAKEN = (errno.ENOTEMPTY, errno.EEXIST, errno.ENOTDIR)
"""How a system says that a name is no more free for a folder."""

PATIENCE = 1.0
"""Seconds in which a reader waits for a swap that goes on; it takes a hundredth."""


def check_folder(folder: Path, force: bool) -> Path:
    """Return where a folder of that name would stand; raises InputError where it cannot be written.

    That is where a file stands, where the folder holds anything without ``force``, and with it where that holds what no
    run wrote. What a run that was killed has left is put right first.
    """
    target = real_place(folder, "folder", KEY)
    with told(folder, "folder", KEY):
        if target.parent.is_dir():
            with watched(held=True), locked(target, folder, KEY):
                _settle(target)
        _judge(target, folder, force)
    return target


def write_folder(folder: Path, force: bool, fill: Callable[[Path], object]) -> list[str]:
    """Let ``fill`` write into a new folder, and put that into the place of ``folder``; returns the names in it.

    Raises InputError as ``check_folder`` does, and where the system refuses: then all is as it was. A signal ends
    ``fill`` at once, and waits while the folder is swapped.
    """
    target = check_folder(folder, force)
    part = beside(target, PART)
    with told(folder, "folder", KEY), watched(held=True) as watch, with_parents(target), locked(target, folder, KEY):
        _settle(target)
        _judge(target, folder, force)
        try:
            part.mkdir()
            with watch.heeded():
                fill(part)
                write_manifest(part)
            names = sorted(path.name + ("/" if path.is_dir() else "") for path in part.iterdir())
            _swap(part, target, folder, force)
        except InputError as error:
            if isinstance(error.file, Path) and error.file.is_relative_to(part):
                error.file = folder / error.file.relative_to(part)
            raise
        finally:
            clear(part)
    return names


def restore(folder: Path) -> None:
    """Put back a folder that a killed run left aside, for who wants to read it; where that fails it is not there."""
    end = time.monotonic() + PATIENCE
    with suppress(OSError, InputError):
        target = real_place(folder, "folder", None)
        while not target.exists() and beside(target, OLD).is_dir():
            try:
                with watched(held=True), locked(target, folder, None):
                    _settle(target)
            except InputError:  # a run is writing it: in a moment there is a new one
                if time.monotonic() > end:
                    return
                time.sleep(0.01)


def _judge(target: Path, folder: Path, force: bool) -> None:
    """Raise InputError where what stands at ``target`` may not be replaced; ``folder`` is what it is called."""
    if not target.exists():
        return
    if not target.is_dir():
        raise InputError("this is a file, not a folder", folder, KEY, hint="choose another name")
    if any(target.iterdir()):
        if not force:
            hint = "choose another, or replace what a run wrote with --force"
            raise InputError("the folder holds files", folder, KEY, hint=hint)
        _refuse_foreign(target, folder)
    with suppress(FileNotFoundError):  # of a folder that is gone
        if Path.cwd().is_relative_to(target):
            raise InputError("the run stands in this folder, which would be swapped for another", folder, KEY,
                             hint="choose another, or a folder in it")  # fmt: skip
    if os.path.ismount(target):
        raise InputError("a file system begins here, and no other folder can take its place", folder, KEY,
                         hint="choose a folder in it")  # fmt: skip


def _refuse_foreign(target: Path, folder: Path) -> None:
    found = foreign(target)
    if not found:
        return
    since = " or that were changed since" if has_manifest(target) else ""
    raise InputError(f"the folder holds files that no run wrote{since}: {named(found)}", folder, KEY,
                     hint="choose another folder, or move them out")  # fmt: skip


def _swap(part: Path, target: Path, folder: Path, force: bool) -> None:
    """Put ``part`` into the place of ``target``; what has come there since it was judged is judged again."""
    if target.is_dir():
        shutil.copymode(target, part)
    if not (force and target.is_dir() and any(target.iterdir())):
        _take_place(part, target, folder)
        return
    old = beside(target, OLD)
    flush(part)  # before the old files go
    target.rename(old)
    try:
        _refuse_foreign(old, folder)  # under this name nobody finds it to write into it
        _take_place(part, target, folder)
    except BaseException as error:
        _put_back(old, target, folder, error)
        raise
    _drop(old, part)


def _take_place(part: Path, target: Path, folder: Path) -> None:
    """Rename ``part`` to ``target``, which is not there or empty."""
    try:
        if os.name == "nt" and target.is_dir():
            target.rmdir()
        part.rename(target)
    except OSError as error:
        if error.errno not in TAKEN:
            raise
        hint = "choose another, or replace it with --force"
        raise InputError("another has written here while this run worked", folder, KEY, hint=hint) from None


def _put_back(old: Path, target: Path, folder: Path, why: BaseException) -> None:
    for _ in range(2):
        with suppress(OSError):
            old.rename(target)
            return
    reason = getattr(why, "strerror", None) or why
    raise InputError(f"the folder cannot be written ({reason}) nor put back, it stands beside as {old.name}", folder,
                     KEY, hint="the next run puts it back") from None  # fmt: skip


def _drop(old: Path, part: Path) -> None:
    """Clear the old folder under a name that says so, since one that is half gone must never be put back."""
    for _ in range(2):
        with suppress(OSError):
            old.rename(part)
            break
    clear(part)


def _settle(target: Path) -> None:
    """Put right what a killed run left: the old folder back where no new one stands, and gone where one does."""
    old, part = beside(target, OLD), beside(target, PART)
    clear(part)
    if not old.is_dir():
        return
    if target.is_dir() and any(target.iterdir()):
        if has_manifest(target):
            _drop(old, part)
    elif target.is_dir() or not target.exists():
        if target.is_dir():
            target.rmdir()
        old.rename(target)
