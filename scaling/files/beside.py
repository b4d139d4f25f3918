"""What stands beside a file or folder while it is written, under names that tell whose it is.

``.NAME.scaling-part`` is unfinished or done with, and any run clears it; ``.NAME.scaling-old`` is the whole old
content of NAME, out of its place for the moment in which the new one takes it; ``.NAME.scaling-lock`` is held by who
writes NAME, and the system lets go of it when that process ends, however it ends.
"""

from __future__ import annotations

import errno
import os
import shutil
import stat
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from scaling.files.errors import InputError

PART, OLD, LOCK = "part", "old", "lock"

ELSEWHERE = "choose another place"

LONGEST = 200
"""Bytes of a name that leave room for what is added to it; systems allow 255."""

NO_WAITING = (errno.ENOSYS, errno.EOPNOTSUPP, errno.EINVAL)
"""How a file system says that it cannot wait until a file is on the disk."""


def beside(target: Path, word: str) -> Path:
    """Return the path beside ``target`` for PART, OLD or LOCK."""
    kept, name = target.name, os.fsencode(target.name)
    if len(name) > LONGEST:
        import hashlib  # which loads a library for ciphers

        kept = hashlib.sha256(name).hexdigest()
    return target.with_name(f".{kept}.scaling-{word}")


def clear(path: Path) -> None:
    """Remove a file or folder beside, where it is; what cannot be removed now is left to the next run."""
    for _ in range(2):  # what failed for a moment does not twice
        with suppress(OSError):
            if stat.S_ISDIR(os.lstat(path).st_mode):
                shutil.rmtree(path, ignore_errors=True)
            else:
                path.unlink()


def flush(path: Path) -> None:
    """Wait until a file, or every file of a folder, is on the disk, where the file system knows of such a thing."""
    for each in path.rglob("*") if path.is_dir() else (path,):
        if each.is_file():
            with each.open("rb+") as stream:
                try:
                    os.fsync(stream.fileno())
                except OSError as error:
                    if error.errno not in NO_WAITING:
                        raise


def real_place(path: Path, what: str, key: str | None) -> Path:
    """Return where ``path`` leads, links followed; raises InputError for a link that leads nowhere and for no path."""
    try:
        if path.is_symlink() and not path.exists():
            raise InputError("this link leads nowhere", path, key, hint=ELSEWHERE)
        path.lstat()
    except FileNotFoundError:
        pass
    except OSError as error:
        raise _unwritten(error, path, what, key) from None
    except InputError:
        raise
    except ValueError:
        raise InputError(f"the {what} cannot be written: its path is not one", path, key, hint=ELSEWHERE) from None
    target = Path(os.path.realpath(path))
    if not target.name:
        raise InputError(f"the {what} cannot be written: the file system begins here", path, key, hint=ELSEWHERE)
    return target


@contextmanager
def told(path: Path, what: str, key: str | None) -> Iterator[None]:
    """Turn what the system refuses in the block into a sentence on ``path``, ``what`` being the file or folder."""
    try:
        yield
    except OSError as error:
        raise _unwritten(error, path, what, key) from None


def _unwritten(error: OSError, path: Path, what: str, key: str | None) -> InputError:
    return InputError(f"the {what} cannot be written ({error.strerror or error})", path, key, hint=ELSEWHERE)


@contextmanager
def with_parents(target: Path) -> Iterator[None]:
    """Make the folders that ``target`` is to stand in; where the block fails, those that were made go again."""
    made: list[Path] = []
    try:
        for each in reversed(target.parents):
            if not each.exists():
                if each.is_symlink():  # which would be said to be there
                    raise InputError("this link leads nowhere", each, hint=ELSEWHERE)
                each.mkdir()
                made.append(each)
        yield
    except BaseException:
        for each in reversed(made):
            with suppress(OSError):
                each.rmdir()
        raise


@contextmanager
def locked(target: Path, path: Path, key: str | None) -> Iterator[None]:
    """Keep other runs from writing ``target`` while the block lasts.

    Raises InputError, which names ``path`` and ``key``, where another run is at it, and OSError as the system does.
    """
    lock = beside(target, LOCK)
    handle = _held(lock)
    if handle is None:
        raise InputError("another run is writing this", path, key, hint="wait for it, or choose another name")
    try:
        yield
    finally:
        if sys.platform == "win32":  # where nothing that is open can be removed
            os.close(handle)
            clear(lock)
        else:
            clear(lock)
            os.close(handle)


def _held(lock: Path) -> int | None:
    """Open and lock a file; None where another process has it."""
    while True:
        handle = os.open(lock, os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o666)
        try:
            _take(handle)
            if os.path.samestat(os.fstat(handle), lock.stat()):
                return handle
        except BlockingIOError:
            os.close(handle)
            return None
        except FileNotFoundError:
            pass  # who had it was done in between, and took the file along
        except BaseException:
            os.close(handle)
            raise
        os.close(handle)


def _take(handle: int) -> None:
    if sys.platform == "win32":
        import msvcrt

        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except PermissionError:
            raise BlockingIOError from None
    else:
        import fcntl

        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise
        except OSError:  # a file system without locks; there the renaming alone keeps two writers apart
            return
