"""Opening a stranger's file: looked at first, so that nothing waits, and read no further than its bound."""

from __future__ import annotations

import errno
import os
import stat
from contextlib import contextmanager
from pathlib import Path
from typing import IO, TYPE_CHECKING

from scaling.files.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from scaling.files.bounds import Bound

KINDS = {
    stat.S_IFDIR: "a directory, not a file",
    stat.S_IFIFO: "a pipe, not a file",
    stat.S_IFSOCK: "a socket, not a file",
    stat.S_IFCHR: "a device, not a file",
    stat.S_IFBLK: "a device, not a file",
}

WORDS = {
    errno.ENOENT: "there is no such file",
    errno.ENOTDIR: "there is no such file",
    errno.ENAMETOOLONG: "the name is longer than the system takes",
    errno.ELOOP: "this link leads back to itself",
    errno.EACCES: "the file may not be read",
    errno.EPERM: "the file may not be read",
}

FLAGS = os.O_RDONLY | sum(getattr(os, name, 0) for name in ("O_NONBLOCK", "O_NOCTTY", "O_CLOEXEC", "O_BINARY"))
"""How a file is opened: without waiting for what may have come in its place since it was looked at."""


def fault(path: Path) -> str | None:
    """Return what keeps ``path`` from being read as a file, a few words, None where nothing does."""
    try:
        return _kind(path.stat().st_mode)
    except (OSError, ValueError) as error:
        return _words(error, path)


def is_directory(path: Path) -> bool:
    """Return whether there is a directory at ``path``, whatever else may be wrong with it."""
    try:
        return stat.S_ISDIR(path.stat().st_mode)
    except (OSError, ValueError):
        return False


def _kind(mode: int) -> str | None:
    if stat.S_ISREG(mode):
        return None
    return f"this is {KINDS.get(stat.S_IFMT(mode), 'not a file')}"


def _words(error: OSError | ValueError, path: Path) -> str:
    if not isinstance(error, OSError):  # a path that no system takes
        return "the file cannot be read: its path is not one"
    if error.errno == errno.ENOENT and path.is_symlink():
        return "this link leads to no file"
    return WORDS.get(error.errno or 0, f"the file cannot be read ({error.strerror or type(error).__name__})")


@contextmanager
def opened(path: Path, bound: Bound, kind: str) -> Iterator[IO[bytes]]:
    """Open the regular file at ``path``, of at most the ``bound``'s bytes; ``kind`` says what it should be.

    Raises InputError for what is no such file, is larger, or cannot be read, then or while it is being read.
    """
    try:
        problem = fault(path)  # what is not looked at first might wait for ever for who writes to it
        if problem is not None:
            raise InputError(problem, path, allowed=kind)
        with os.fdopen(os.open(path, FLAGS), "rb") as stream:
            found = os.fstat(stream.fileno())
            problem = _kind(found.st_mode)
            if problem is not None:
                raise InputError(problem, path, allowed=kind)
            _check_size(found.st_size, path, bound)
            yield stream
    except InputError:
        raise
    except OSError as error:
        raise InputError(_words(error, path), path, allowed=kind) from None


def read_bytes(path: Path, bound: Bound, kind: str) -> bytes:
    """Return what the file at ``path`` holds, of at most the ``bound``'s bytes; raises as ``opened`` does."""
    with opened(path, bound, kind) as stream:
        content = stream.read(bound.most + 1)  # no more than that: what says no size may have no end
        _check_size(len(content), path, bound)
        return content


def _check_size(size: int, path: Path, bound: Bound) -> None:
    if size > bound.most:
        given = f"{size:,} bytes"
        raise InputError(f"the file is too large ({bound.name})", path, None, given, bound.allowed, bound.mend)
