"""The list of what a run wrote into a folder, each file with its hash: it tells what is ours from what is not."""

from __future__ import annotations

import hashlib
import json
import os
import stat
from collections.abc import Iterator, Sequence
from pathlib import Path, PurePosixPath

from scaling.files.bounds import BOUNDS
from scaling.files.errors import InputError
from scaling.files.sentence import MOST_LISTED, calm
from scaling.files.text import read_text
from scaling.files.version import VERSION

MANIFEST = "manifest.json"
MOST_LETTERS = 120
"""Letters of all the names that a message names."""


def write_manifest(folder: Path) -> None:
    """List every file of ``folder`` in its manifest; raises OSError as the system does."""
    files = {name: sha256(folder / name) for name, mode in _entries(folder) if not stat.S_ISDIR(mode)}
    data = {"written_by": f"scaling {VERSION}", "files": files}
    text = json.dumps(data, indent=1, ensure_ascii=False) + "\n"
    (folder / MANIFEST).write_text(text, encoding="utf-8", newline="\n")


def has_manifest(folder: Path) -> bool:
    """Whether a run has written ``folder``."""
    return bool(_listed(folder))


def foreign(folder: Path) -> list[str]:
    """Return what no run wrote into ``folder``, and what has been changed since, by name; raises OSError.

    A folder's name ends in a slash, and what is in it is not named. Without a manifest everything is foreign.
    """
    listed = _listed(folder)
    parents = {parent.as_posix() for name in listed for parent in PurePosixPath(name).parents}
    found: list[str] = []
    for name, mode in _entries(folder, parents):
        if stat.S_ISDIR(mode):
            if name not in parents:
                found.append(f"{name}/")
        elif name == MANIFEST and listed:
            continue
        elif not stat.S_ISREG(mode) or name not in listed or sha256(folder / name) != listed[name]:
            found.append(name)
    return found


def named(names: Sequence[str]) -> str:
    """Return names as one text: ten of them at most, fewer where they are long, and how many more there are."""
    said = [calm(name) for name in names[:MOST_LISTED]]
    while sum(map(len, said)) > MOST_LETTERS:
        said.pop()
    more = len(names) - len(said)
    return ", ".join(said) + (f" and {more} more" if more else "")


def sha256(path: Path) -> str:
    """Return the SHA-256 hash of a file's bytes, in hexadecimal."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _listed(folder: Path) -> dict[str, str]:
    """Every file's hash by its name, as the manifest states them; nothing where there is none that can be read."""
    path = folder / MANIFEST
    try:
        if not stat.S_ISREG(path.lstat().st_mode):
            return {}
        data = json.loads(read_text(path, BOUNDS["manifest"], "a manifest"))
    except FileNotFoundError:
        return {}
    except (InputError, ValueError, RecursionError):
        return {}
    files = data.get("files") if isinstance(data, dict) else None
    if not isinstance(files, dict):
        return {}
    return {name: value for name, value in files.items() if isinstance(value, str)}


def _entries(folder: Path, entered: set[str] | None = None, under: str = "") -> Iterator[tuple[str, int]]:
    """Name and mode of everything in ``folder``, links as links; only folders that are ``entered``, all without it."""
    with os.scandir(folder / under) as found:
        rows = sorted((f"{under}{entry.name}", entry.stat(follow_symlinks=False).st_mode) for entry in found)
    for name, mode in rows:
        yield name, mode
        if stat.S_ISDIR(mode) and (entered is None or name in entered):
            yield from _entries(folder, entered, f"{name}/")
